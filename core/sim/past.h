/* core/sim/past.h: a past run again with other starts, other use and other transfers: what learning asks of the engine.
 *
 * Computes   The states at stated moments of one course, from the start of a context to the last of the moments.
 * Two ways   lw_past_run: the engine's hour loop, every supply. lw_past_sums: vessels that uses alone move (not propane, fuel
 *            or battery) by sums: what each group takes in a stretch between moments, transfers and civil days is added up
 *            once, so that a draw costs some hundred multiplications. Both agree where no vessel meets its limit inside a
 *            stretch, and there to within what one stretch moves.
 * Course     each supply's own: where one is at its end it is lent, its level stays at the limit, and the rest goes on.
 * Inputs     a context in steps of one hour; moments sorted, from its start to its end. A moment of a transfer is behind it.
 * Errors     LW_E_RANGE for a moment outside the context or out of order; LW_E_FULL when the arena is too small, when
 *            stretches are more than LW_PAST_STRETCHES or transfers more than LW_TRANSFERS.
 * Limits     weather is the context's. Inside an hour use and weather are even.
 * Source     docs/learning.md. */
#ifndef LW_CORE_SIM_PAST_H
#define LW_CORE_SIM_PAST_H

#include "core/sim/outlook.h"

enum { LW_PAST_STRETCHES = 4096 };

typedef struct lw_past lw_past; /* lives in the arena, read-only afterwards */

typedef struct lw_past_in {
    const lw_context *context;
    const int64_t *at_s; /* read again later: must outlive the past */
    int at_count;
    uint8_t is_inexact[LW_TRANSFERS]; /* the scenario's transfers whose result a draw may change */
} lw_past_in;

/* One draw. Factors are by civil day from the context's first; HEAT is of the cabin's conductance on that day. */
typedef struct lw_past_draw {
    double level[LW_VESSELS]; /* at the start */
    double battery_frac;
    double
        beside[LW_TRANSFERS]; /* of an inexact transfer: FILL: short of capacity; EMPTY: left in on top of the residue;
                                  * ADD: more than was stated (negative: less) */
    float factor[LW_DAYS + 2][LW_GROUP_COUNT];
    double capacity_frac[LW_VESSELS]; /* of what the scenario says: 1; by sums alone */
} lw_past_draw;

size_t lw_past_bytes(const lw_past_in *in);
LW_MUST_USE lw_code lw_past_prepare(const lw_past_in *in, lw_arena *arena, lw_past **past, lw_fault *fault);

const lw_scenario *lw_context_scenario(const lw_context *context);

/* The draw as the scenario says: its levels, factors of 1, transfers exact. */
void lw_past_plain(const lw_past *past, lw_past_draw *draw);

/* Levels at each moment, [moment][vessel]; those of propane and fuel stay at the start's. */
void lw_past_sums(const lw_past *past, const lw_past_draw *draw, double (*level)[LW_VESSELS]);
int lw_past_is_by_sums(const lw_past *past, int vessel);

/* What the group alone takes from a vessel, or puts into it, at factor 1 from the start to the last moment. */
double lw_past_use(const lw_past *past, int vessel, int group);

/* States at the first `count` moments. scratch: lw_past_scratch_bytes, aligned for any type, one for each thread; begun once,
 * it serves any number of draws of this past. */
size_t lw_past_scratch_bytes(const lw_context *context);
void lw_past_begin(const lw_past *past, void *scratch);
void lw_past_run(const lw_past *past, const lw_past_draw *draw, int count, void *scratch, lw_state *at);

/* Goes on from a state at from_s, behind the transfers of that moment, to the last of the moments; none of them lies before
 * from_s. The draw's levels are not read. *state is that of the last moment afterwards. */
void lw_past_go_on(const lw_past *past, const lw_past_draw *draw, int64_t from_s, void *scratch, lw_state *state);

#endif
