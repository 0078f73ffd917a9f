/* service/done.h: what if this were done now: fills, dumps, gifts, comings and goings tried on an outlook of the book.
 *
 * Reads     lw_done_read: events in the words of `leeway log` ("filled fresh 40 gal", "dumped grey black", "people +2"), against a
 *           rig as it is. Readings, money, moves and changed habits are no deeds of this kind.
 * Applies   to the crew of the loaded camp, to the level of each of its vessels, and to those of each draw, in the order they were said.
 * Errors    those of service/log.h; LW_E_SYNTAX for another kind of event, LW_E_RANGE for people who cannot come or go, LW_E_FULL for more
 *           than LW_DONE_EVENTS. All or nothing.
 * Limits    a dump of a stated amount is exact here; in the book it would be known to some percent. */
#ifndef LW_SERVICE_DONE_H
#define LW_SERVICE_DONE_H

#include "core/sim/ensemble.h"
#include "service/log.h"

enum { LW_DONE_EVENTS = 16, LW_DONE_TRANSFERS = 64, LW_DONE_WORDS = 16 };

typedef struct lw_done {
    lw_transfer transfer[LW_DONE_TRANSFERS];
    int count;
} lw_done;

/* The people are in *loaded afterwards; of the levels, *done. */
LW_MUST_USE lw_code lw_done_read(lw_loaded *loaded, int64_t now_s, const char *const *event, int count, lw_done *done,
                                 lw_err *err);
void lw_done_to_rig(const lw_done *done, lw_rig *rig);
void lw_done_to_state(const lw_done *done, const lw_rig *rig, lw_state *state);

#endif
