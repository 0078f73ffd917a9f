/* service/outlook.h: from a request to an outlook: reads the scenario, checks it, runs the engine.
 *
 * Inputs    lw_outlook_request: where the scenario comes from with changes to its keys, the wished end, the step.
 * Results   lw_outlook_answer: everything a report, a JSON text or a page shows. Owned by the caller until
 *           lw_outlook_answer_clear; all zero is a valid empty answer. On failure nothing is owned.
 * Errors    one sentence: those of exchange/scenario.h; LW_E_RANGE from the core with the key it means.
 * Threads   no state: any number of calls at once. */
#ifndef LW_SERVICE_OUTLOOK_H
#define LW_SERVICE_OUTLOOK_H

#include "core/sim/outlook.h"
#include "exchange/scenario.h"
#include "service/draws.h"

typedef struct lw_outlook_request {
    lw_scenario_from from;
    const char *until;   /* wished departure as text ("2026-06-28 11:00"); NULL: the scenario's */
    int steps_per_hour;  /* 0: 1 */
    int wants_series;    /* hourly rows of both courses */
    lw_draws_wish draws; /* .draws 0 or 1: one course, with weather and use as given */
    int ahead_days;      /* lw_outlook_near; 0: as far as the scenario goes */
} lw_outlook_request;

typedef struct lw_outlook_answer {
    lw_loaded loaded;
    lw_outlook *outlook;
    lw_series own, joint;         /* rows only when wanted */
    double *battery_frac;         /* state of charge at the end of each row of joint */
    struct lw_learning *learning; /* service/learning.h: what the book's readings added; owned; NULL: of a file */
} lw_outlook_answer;

LW_MUST_USE lw_code lw_outlook_run(const lw_outlook_request *request, lw_outlook_answer *answer, lw_err *err);
/* The same from a scenario that is in memory: `loaded` is taken over and left empty, on failure too. Without a
 * scenario it is refused (LW_E_MISSING); assumption and note may be NULL, and so may draws: one course. */
LW_MUST_USE lw_code lw_outlook_of_loaded(lw_loaded *loaded, int steps_per_hour, int wants_series,
                                         const lw_draws_wish *draws, lw_outlook_answer *answer, lw_err *err);

/* Where no more is asked: the horizon ends with the day behind the wished departure or, without one, so many days behind now or
 * the begin, whichever is later; never before a week, over which daily use is counted. What comes before it stays as it
 * was: draws too are those of the longer horizon. */
void lw_outlook_near(lw_loaded *loaded, int64_t now_s, int ahead_days);

/* Of an answer with rows, the row of the joint course that ends where a moment's hour begins; -1: at the start, or no rows. A
 * moment behind the rows has the last one. */
int lw_joint_row_at(const lw_outlook_answer *answer, int64_t at_s);

void lw_outlook_answer_clear(lw_outlook_answer *answer); /* twice is fine */

#endif
