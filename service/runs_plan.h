/* service/runs_plan.h: the runs of a stay: when to go, where to, by what, and the chance that nothing runs short.
 *
 * Inputs    where the stay comes from (service/plan_source.h: a file, or the book's stay from now on), the errands around it
 *           (exchange/errands.h, service/errands_kept.h), the confidence, what an hour is worth.
 * Results   lw_runs_planned: the cheapest runs by core/plan/runs.h, and the chance that no supply that can be fetched or carried away
 *           ends before the departure with them, all together, measured on LW_RUNS_FRESH draws that chose nothing.
 * Model     How long a supply lasts when it is full (or empty, where it fills) comes from whole ensemble paths that begin on
 *           a morning, at the aimed share of draws; every fourth day is drawn, days between take the lesser neighbour. Cans and waste
 *           tanks add by the same use. Days are halves, 7 to 14 and 14 to 21 o'clock; a run lies in one of them, and everything
 *           must last to its end. The driver is any grown-up without work or school then; the rig moves while nobody works, not in the
 *           place's quiet hours, and is back by sunset; not on the days of arrival and departure. The aim is searched for: the
 *           cheapest plan whose chance is enough. The place's limit of days ends the plan where it comes before the departure.
 * Spot      breaking camp can lose it: its chance times the way to the fallback and its trouble is part of the cost.
 * Errors    one sentence; LW_E_MISSING no departure is wished, or neither services nor ways are known.
 * Limits    battery, data and the days allowed are no errands. Services for nobody knows whom are never relied on. At most
 *           LW_RUNS_DAYS days. After a lost spot the plan goes on as if the fallback were the place. */
#ifndef LW_SERVICE_RUNS_PLAN_H
#define LW_SERVICE_RUNS_PLAN_H

#include "core/plan/runs.h"
#include "exchange/errands.h"
#include "service/plan_source.h"
#include "service/prices.h"
#include "service/words.h"

enum { LW_RUNS_DAYS = 60, LW_RUNS_DRAWS_USUAL = 256, LW_RUNS_FRESH = 10000 };

typedef struct lw_runs_wish {
    double confidence_frac, hour_usd; /* hour_usd NaN: data/prices.csv */
    int draws, fresh;                 /* 0: the usual */
    int further;                      /* draws more, for holding the chance against; 0: none */
    lw_words_choice choice;
    int has_units; /* choice.units counts; otherwise the scenario's */
} lw_runs_wish;

/* What a run costs, part by part: they add up to run.usd. */
typedef struct lw_run_part {
    char what[160], source[LW_ERRAND_SOURCE];
    double usd;
} lw_run_part;

enum { LW_RUN_PARTS = 24 };

typedef struct lw_planned_run {
    int64_t leave_s, back_s;
    char sentence[LW_SENTENCE];
    lw_run_part part[LW_RUN_PARTS];
    int part_count;
} lw_planned_run;

typedef struct lw_runs_planned {
    lw_errands errands;
    lw_runs_in in;
    lw_runs_out out;
    int supply[LW_RUN_SUPPLIES];  /* lw_supply of each supply of `in` */
    int service[LW_RUN_SERVICES]; /* of errands, for each service of `in` */
    lw_planned_run run[LW_RUN_SLOTS];
    int64_t start_s, departure_s,
        wished_s;          /* departure: that the plan goes to; wished: before the place's limit cut it */
    int64_t day0, tick0_s; /* civil day of tick 0, and its midnight */
    int tick_h;
    lw_zone zone;
    char file[256];
    uint64_t seed;
    double confidence_frac, aimed_frac, fresh_frac, without_frac; /* without: no runs at all */
    double further_frac;                                          /* of the further draws; NaN: none were asked for */
    double keeps_spot_frac;                                       /* through all break-camp runs */
    int64_t reach_s; /* where there is no plan: that far there is one; 0: not known */
    int fresh_draws, draws, is_reached, tries;
    lw_price_list prices;
    char headline[LW_SENTENCE], measured[LW_SENTENCE], ask[LW_SENTENCE], spot[LW_SENTENCE], driving[LW_SENTENCE],
        notes[LW_SENTENCE]; /* driving: the same calls on a day that is spent driving anyway */
} lw_runs_planned;

LW_MUST_USE lw_code lw_runs_plan_make(lw_plan_source *source, const lw_runs_wish *wish, const lw_errands *errands,
                                      lw_runs_planned *plan, lw_err *err);

/* What of the stay's events (stay.events) is an errand after now: filling and dumping by the name of a supply, cans and a waste tank. A
 * new plan is made without them, since it takes their place. *change: all other events as a change of the stay's keys, the caller's
 * (free); NULL: there are no such errands. */
LW_MUST_USE lw_code lw_runs_without_kept(lw_book *book, int64_t now_s, char **change, int *errands, lw_err *err);

/* The runs into the stay's events, in place of the errands after now; a plan that was not found is LW_E_CONFLICT. */
LW_MUST_USE lw_code lw_runs_keep(lw_book *book, int64_t now_s, const lw_runs_planned *plan, lw_err *err);

/* "schema": "leeway.runs/1", docs/runs.schema.json; the text is the caller's (free), NULL: no memory. */
char *lw_runs_json(const lw_runs_planned *plan, const lw_loaded *camp, const char *version);

#endif
