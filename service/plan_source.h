/* service/plan_source.h: where a plan's stay comes from: a scenario file, or the stay that the book follows.
 *
 * Use       path or book is set; lw_plan_source_open, then lw_plan_source_trials gives what service/trial.h loads with; close at the end.
 * Book      what readings say of levels and of the household is learned once and stands under every change; a vessel that a change
 *           adds begins as the change says.
 * Given up  where is_over says so, the next trial is not loaded: LW_E_CONFLICT. Planners load one for each thing they try.
 * Errors    those of exchange/scenario.h and service/learning.h, in one sentence. */
#ifndef LW_SERVICE_PLAN_SOURCE_H
#define LW_SERVICE_PLAN_SOURCE_H

#include <pthread.h>

#include "book/book.h"
#include "service/learning.h"
#include "service/trial.h"

typedef struct lw_plan_source {
    const char *path;          /* of a scenario; NULL: of the book */
    lw_book *book;             /* borrowed; must outlive the source */
    const char *until;         /* wished departure as typed; NULL: the scenario's */
    const char *const *change; /* to its keys, before those of a trial; borrowed */
    int change_count;
    int is_anew; /* another stay than the one that goes on: of the book only the household, with its use as learned */
    int64_t now_s;
    uint64_t seed;
    int threads;                /* 0: one a core */
    int (*is_over)(void *with); /* nobody waits for the plan any more; from any thread; NULL: never */
    void *with;
    lw_outlook_answer known;       /* of the book: what was learned; owned */
    pthread_mutex_t one_at_a_time; /* the book answers one thread */
} lw_plan_source;

LW_MUST_USE lw_code lw_plan_source_open(lw_plan_source *source, lw_err *err);
void lw_plan_source_close(lw_plan_source *source);

/* The camp as it is, without a trial; lw_loaded_clear. */
LW_MUST_USE lw_code lw_plan_source_camp(lw_plan_source *source, lw_loaded *camp, lw_err *err);

/* *source must outlive the trials. */
lw_trials lw_plan_source_trials(lw_plan_source *source);

/* The same stay from a later moment on: levels are those of the start, for the caller to set (lw_trial_more). */
typedef struct lw_plan_later {
    lw_plan_source *source;
    int64_t begin_s;
} lw_plan_later;
lw_trials lw_plan_later_trials(lw_plan_later *later); /* *later must outlive the trials */

#endif
