/* service/cost.h: what a stay costs, and a month of such stays, beside nights with hookups.
 *
 * Inputs    how the scenario is loaded (service/trial.h), with a wished departure; the way there, the way of a run, prices; what was spent
 *           on the stay so far, from the book.
 * Results   lw_costed: a line for each thing that costs: site, permits, the drive (fuel by its effort, wear), gas, generator (fuel, wear),
 *           data, runs (fees, way), rubbish; each with how it comes about, its source, and the mean over the draws; the sum with its
 *           P10 and P90; a night, a month of such stays, and the nights with hookups that cost the same.
 * Model     The stay's own course (core/sim/ensemble.h) in `draws` draws. Runs: one at the end; before it one when the first of what a run
 *           serves ends, and then as often as all of it lasts from full. The drive: the way there once, by the forces on the rig (service/roads.h), heights
 *           not counted. Data: the periods' price by the days. A month: the stay's sum times 30.44 over its nights.
 * Errors    LW_E_MISSING no departure is wished; LW_E_RANGE a price below zero; those of the scenario.
 * Limits    food, laundry, insurance, what the rig loses in value: not counted. With a book it is of the days still to come, and what was
 *           logged stands beside it.
 * Source    data/prices.csv, each line its own. */
#ifndef LW_SERVICE_COST_H
#define LW_SERVICE_COST_H

#include "book/book.h"
#include "core/land/ledger.h"
#include "service/prices.h"
#include "service/trial.h"
#include "service/words.h"

enum { LW_COST_DRAWS_USUAL = 400 };

/* id, word, kind of spending that it answers to */
#define LW_COSTS(X)                                                                                                    \
    X(SITE, "site", CAMP)                                                                                              \
    X(PERMIT, "permit", PERMIT)                                                                                        \
    X(DRIVE, "drive", FUEL)                                                                                            \
    X(DRIVE_WEAR, "drive_wear", REPAIR)                                                                                \
    X(PROPANE, "propane", PROPANE)                                                                                     \
    X(GENERATOR, "generator", FUEL)                                                                                    \
    X(GENERATOR_WEAR, "generator_wear", REPAIR)                                                                        \
    X(DATA, "data", DATA)                                                                                              \
    X(RUNS, "runs", DUMP)                                                                                              \
    X(RUN_WAY, "run_way", FUEL)                                                                                        \
    X(RUBBISH, "rubbish", RUBBISH)
typedef enum lw_cost_kind {
#define LW_COST_ID(id, word, expense) LW_COST_##id,
    LW_COSTS(LW_COST_ID) LW_COST_COUNT
#undef LW_COST_ID
} lw_cost_kind;

/* NaN: not said, from data/prices.csv or the scenario. */
typedef struct lw_cost_wish {
    double fee_usd;    /* a night; else place.about.fee; else none is known */
    double drive_m;    /* the way there; else it is not counted */
    double run_m;      /* the way of a run, there alone; else its way is not counted */
    double hookup_usd; /* a night */
    double fuel_usd_l, propane_usd_kg, run_usd;
    int draws;
    const lw_money *spent; /* on this stay so far, USD; NULL: not known */
    int spent_nights;
    lw_words_choice choice;
} lw_cost_wish;

typedef struct lw_cost_line {
    const char *word;
    char title[64];
    int is_counted;                /* 0: nothing of it here, or not known: `how` says which */
    double usd, low_usd, high_usd; /* mean, P10, P90 of the draws */
    char how[LW_SENTENCE], source[192], kind[24];
} lw_cost_line;

typedef struct lw_costed {
    lw_cost_wish wish;
    lw_price_list prices; /* all that it counts with, but for what the scenario says */
    int64_t start_s, departure_s,
        limit_s; /* limit: the place allows no longer, which is before the departure; 0: it does */
    uint64_t seed;
    int draws;
    double nights, runs; /* nights: of the place's calendar, one at least; runs: mean */
    lw_cost_line line[LW_COST_COUNT];
    double usd, low_usd, high_usd, night_usd, month_usd;
    double hookup_nights; /* with hookups that cost the same */
    char headline[LW_SENTENCE], month[LW_SENTENCE], hookups[LW_SENTENCE], spent[LW_SENTENCE], left_out[LW_SENTENCE];
} lw_costed;

/* What was logged as spent in USD on the stay that goes on, for `spent` and `spent_nights`. is_known 0: no stay goes on. */
typedef struct lw_cost_spent {
    lw_money money;
    int nights, is_known;
} lw_cost_spent;
LW_MUST_USE lw_code lw_cost_spent_of(lw_book *book, int64_t now_s, lw_cost_spent *spent, lw_err *err);

/* trials: load, with, seed and threads are set; the rest is filled and cleared here. */
LW_MUST_USE lw_code lw_cost_make(lw_trials *trials, const lw_cost_wish *wish, lw_costed *costed, lw_err *err);

/* cost_words.c: fills the sentences of the whole. */
void lw_cost_say(lw_costed *to, const lw_loaded *loaded);

/* "schema": "leeway.cost/1", docs/cost.schema.json; the text is the caller's (free), NULL: no memory. */
char *lw_cost_json(const lw_costed *costed, const lw_loaded *loaded, const char *version);

#endif
