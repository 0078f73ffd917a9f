/* core/sim/asked.h: what people's doings ask of a supply, as a sum, without running the hours.
 *
 * Computes   In its own course a use is never cut short, so what uses ask of a supply is a sum over days and groups of use, in
 *            proportion to a draw's factors (lw_ensemble_factors). Against the room of the supply's vessels it tells whether
 *            that supply lasts to an hour, in the time of a hundred multiplications instead of all the hours.
 * Inputs     a prepared context; from which of its steps to which; one step an hour.
 * Results    lw_asked: by day and group, at factor 1. is_known: nothing else moves that supply in these hours (gas, fuel, battery and
 *            data never are; nor one that a filter's cartridge or a planned fill or dump touches, but for one at their very
 *            beginning, which is_begun tells); more asked than there is room is a certain end. is_whole: of these, every use
 *            reaches all of its vessels; then room enough is also certain to last.
 * Errors     none: a context is checked.
 * Limits     equality: within LW_ASKED_SAME of the room neither is certain. */
#ifndef LW_CORE_SIM_ASKED_H
#define LW_CORE_SIM_ASKED_H

#include "core/sim/ensemble.h"

#define LW_ASKED_SAME 1e-6 /* of the room: far above the rounding of sums, far below any use */

typedef struct lw_asked {
    uint32_t is_known, is_begun, is_whole; /* bit per supply */
    int days;
    double of[LW_SUPPLY_COUNT][LW_DAYS + 2][LW_GROUP_COUNT];
} lw_asked;

void lw_asked_make(const lw_context *context, int from, int until, lw_asked *to);
double lw_asked_sum(const lw_asked *asked, lw_supply supply, const float *factor); /* [day][group] */

/* What can be drawn from, or fits into, all vessels of the supply; and what a run can bring, or take away, of it. */
typedef struct lw_asked_rooms {
    double now, renewed; /* renewed: all full or, where they fill, down to their residue */
    double missing;      /* up to full or, where they fill, down to nothing */
} lw_asked_rooms;

lw_asked_rooms lw_asked_room(const lw_context *context, lw_supply supply, const lw_state *state);

#endif
