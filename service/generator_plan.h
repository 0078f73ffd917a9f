/* service/generator_plan.h: when to run the generator in the coming days.
 *
 * Inputs    a camp (trials.h's loader: of a scenario file or of the book), the wished confidence. Costs of calls, lessons, naps and
 *           neighbours, and what needs the current anyway: rig.generator.bother, .needs, .per_hour, .per_start of the scenario.
 * Results   lw_generator_plan: windows of whole hours inside the allowed ones, each with the battery before and after, its fuel, and from
 *           which level on it can be skipped; the chance that the battery stays above the owner's floor with them, measured on fresh
 *           draws; the chance that each day's work has its current.
 * Model     Days as poor as they are in the aimed share of draws: each civil day is a day of a draw, that of the aimed rank by sun less
 *           loads of that day. For those hours core/plan/set_hours.h finds the least cost. The plan is then run, with its rule for
 *           skipping, through draws of their own; the aim is the lowest step at which the wished share of them stays above the floor.
 * Horizon   to the departure, at most LW_SET_DAYS. At its end the battery may be at its floor.
 * Errors    one sentence; LW_E_MISSING no generator, battery, or charger.
 * Limits    a gauge that shows the battery's share is needed for skipping. Where the set heats or cools the cabin that is fuel and
 *           time, not warmth, in the choice of hours. */
#ifndef LW_SERVICE_GENERATOR_PLAN_H
#define LW_SERVICE_GENERATOR_PLAN_H

#include "book/book.h"
#include "core/plan/set_hours.h"
#include "service/prices.h"
#include "service/trial.h"
#include "service/words.h"

enum {
    LW_GENERATOR_DRAWS_USUAL = 256,
    LW_GENERATOR_FRESH = 10000,
    LW_GENERATOR_WINDOWS = LW_SET_HOURS / 2 + 1,
    LW_GENERATOR_DAYS = LW_SET_DAYS + 2,
};

typedef struct lw_generator_wish {
    double confidence_frac;
    int draws, fresh; /* 0: the usual */
    int further;      /* draws more, for holding the chance against; 0: none */
    lw_words_choice choice;
} lw_generator_wish;

typedef struct lw_generator_run {
    int64_t from_s, until_s;
    int from_hour, hours, is_at_night; /* night: before 8:00 or from 22:00 */
    double before_frac, after_frac;    /* of the battery: means of the fresh draws that run it */
    double fuel;                       /* of such a run; litres, of propane kg */
    double runs_frac;                  /* share of draws that do not skip it */
    double skip_from_frac;             /* at this level it can be left out; NaN: never */
    int64_t floor_s;                   /* when a poor course would pass the floor without it; 0: it would not */
    char why[LW_NAME * 4];             /* needs it serves; empty: the battery alone */
    char spite[LW_NAME * 4];           /* whom it bothers all the same */
    char sentence[LW_SENTENCE];
} lw_generator_run;

/* A day with work or school in camp from the start on. */
typedef struct lw_work_day {
    int64_t until_s; /* its last hour's end */
    double enough_frac;
    int hour;
    char sentence[LW_SENTENCE];
} lw_work_day;

typedef struct lw_generator_plan {
    lw_generator_wish wish;
    uint64_t seed;
    int draws, fresh_draws, hours;
    int64_t start_s, until_s;
    int is_found, is_needed, is_reached, is_to_departure, is_exact;
    int is_gas; /* the set burns propane: amounts in kg */
    double floor_frac, aimed_frac, fresh_frac, without_frac, always_frac;
    double further_frac; /* of the further draws; NaN: none were asked for */
    double fuel, running_h,
        fuel_there;        /* means of the fresh draws; there: what the set may still burn, NaN: not tracked */
    double usd, bound_usd; /* of the model's days */
    double fuel_usd, per_hour_usd, per_start_usd;
    lw_price_list prices; /* all that it counts with */
    lw_generator_run run[LW_GENERATOR_WINDOWS];
    int run_count;
    lw_work_day work[LW_GENERATOR_DAYS];
    int work_count;
    char headline[LW_SENTENCE], measured[LW_SENTENCE], fuel_sentence[LW_SENTENCE], note[LW_SENTENCE];
    lw_caution caution;
} lw_generator_plan;

/* trials: opened and closed here; load, with, seed and threads are the caller's. */
LW_MUST_USE lw_code lw_generator_plan_make(lw_trials *trials, const lw_generator_wish *wish, lw_generator_plan *plan,
                                           lw_err *err);

/* Into the book's stay as stay.generator, in place of what stood there; a plan that was not found is LW_E_CONFLICT. */
LW_MUST_USE lw_code lw_generator_plan_keep(lw_book *book, int64_t now_s, const lw_generator_plan *plan, lw_err *err);

/* The text is the caller's (free); NULL: no memory. */
char *lw_generator_plan_json(const lw_generator_plan *plan, const lw_loaded *loaded, const char *version);

#endif
