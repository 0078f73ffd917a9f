/* service/ask_plan_internal.h: what plans over the wire have in common: the camp that they are of, and the wish. */
#ifndef LW_SERVICE_ASK_PLAN_INTERNAL_H
#define LW_SERVICE_ASK_PLAN_INTERNAL_H

#include "service/ask_internal.h"
#include "service/errands_kept.h"
#include "service/plan_source.h"

typedef struct lw_asked_plan {
    lw_plan_source source;
    const char *change[LW_ASK_PARAMS];
    lw_words_choice choice;
    double confidence_frac;
} lw_asked_plan;

/* Takes until, confidence (percent), set and anew, where the NULL-ended keys have them. The plan must stay where it is until
 * lw_plan_source_close of its source; on failure it is closed. Given up when nobody waits any more. */
LW_MUST_USE lw_code lw_asked_plan_open(lw_asked *a, const char *const *keys, lw_asked_plan *plan, lw_err *err);

/* Whole USD under a key; without it *to stays. */
LW_MUST_USE lw_code lw_asked_usd(lw_asked *a, const char *key, double *to, lw_err *err);

/* What is missing (a generator, a wished departure, services around the place) is a state of the camp, 409, and no mistake of who
 * asks. Gives the code. */
lw_code lw_asked_as_state(lw_asked *a, lw_code code);

/* The errands of the book around this camp; none: LW_E_MISSING as a state. */
LW_MUST_USE lw_code lw_asked_errands(lw_asked *a, const lw_loaded *camp, lw_errands *errands, lw_err *err);

#endif
