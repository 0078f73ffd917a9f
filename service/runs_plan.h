/* service/runs_plan.h: the runs of a stay: when to go, where to, by what, and the chance that nothing runs short.
 *
 * Inputs    a scenario file with a wished departure, the errands around it (exchange/errands.h), the confidence, what an hour is worth.
 * Results   lw_runs_planned: the cheapest runs by core/plan/runs.h, and the chance that no supply ends before the departure with them,
 *           measured on fresh draws.
 * Model     How long a supply lasts after a run comes from whole ensemble paths that begin on the run's morning with the levels it
 *           leaves, at the aimed share of draws; every fourth day is drawn, days between take the lesser neighbour. Days are halves,
 *           7 to 14 and 14 to 21 o'clock; a run lies in one of them. A run with
 *           cans counts as if nothing had been left, one with a waste tank as if the tank had been full. The driver is any
 *           grown-up without work or school then; the rig moves while nobody works; not on the days of arrival and departure. Where the measured chance falls short the aim is raised.
 * Errors    one sentence; LW_E_MISSING no departure is wished, LW_E_CONFLICT the stay limit comes before it.
 * Limits    battery, data and the days allowed are no errands. Services for nobody knows whom are never relied on. At most
 *           LW_RUNS_DAYS days. Of a file, not of the book. */
#ifndef LW_SERVICE_RUNS_PLAN_H
#define LW_SERVICE_RUNS_PLAN_H

#include "core/plan/runs.h"
#include "exchange/errands.h"
#include "service/trial.h"
#include "service/words.h"

enum { LW_RUNS_DAYS = 60, LW_RUNS_DRAWS_USUAL = 256, LW_RUNS_FRESH = 10000 };

typedef struct lw_runs_wish {
    const char *path, *until;
    int64_t now_s;
    double confidence_frac, hour_usd; /* hour_usd NaN: data/prices.csv */
    int draws, fresh;                 /* 0: the usual */
    uint64_t seed;
    int threads;
    lw_words_choice choice;
    int has_units; /* choice.units counts; otherwise the scenario's */
} lw_runs_wish;

typedef struct lw_planned_run {
    int64_t leave_s, back_s;
    char sentence[LW_SENTENCE];
} lw_planned_run;

typedef struct lw_runs_planned {
    lw_errands errands;
    lw_runs_in in;
    lw_runs_out out;
    int supply[LW_RUN_SUPPLIES];  /* lw_supply of each supply of `in` */
    int service[LW_RUN_SERVICES]; /* of errands, for each service of `in` */
    lw_planned_run run[LW_RUN_DAYS];
    int64_t start_s, departure_s;
    int64_t day0;                                                 /* civil day of the start */
    double confidence_frac, aimed_frac, fresh_frac, without_frac; /* without: no runs at all */
    int fresh_draws, draws, is_reached, tightened;
    char headline[LW_SENTENCE], measured[LW_SENTENCE], ask[LW_SENTENCE];
} lw_runs_planned;

LW_MUST_USE lw_code lw_runs_plan_make(const lw_runs_wish *wish, const lw_errands *errands, lw_runs_planned *plan,
                                      lw_err *err);

#endif
