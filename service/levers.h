/* service/levers.h: what a household may change to stay longer, what each change buys, and the least burdensome set that does.
 *
 * Inputs    how a changed scenario is loaded (service/trial.h), the wished confidence, what an hour and a nuisance are worth.
 * Results   lw_levers: a row for each lever of data/levers.csv that makes sense for this household, found by running the camp again
 *           with it: days gained on the stay and on each supply, days beyond the horizon told as ">="; what it costs in money,
 *           minutes, nuisance and other supplies; whether a purchase pays itself back. With a wished departure the least
 *           burdensome set that reaches it, and the chance of that measured on fresh draws.
 * Model     A set reaches the departure when in at least `aimed_frac` of the first `set_draws` draws no supply ends before it, each
 *           supply by itself; of all such sets the least burdensome (core/plan/least_set.h). Then the chance is measured on
 *           LW_LEVER_FRESH draws that chose nothing; where it falls short the aim is raised and the set chosen again.
 * Burden    USD over the stay: price, fuel and gas above today's; minutes by the hour's value; nuisance x days x its value.
 * Horizon   the wished departure; without one three times what binds, a week at least.
 * Errors    one sentence: those of the scenario; LW_E_RANGE a confidence outside 0.5..0.99; LW_E_MISSING a nuisance for a lever
 *           that there is not.
 * Limits    a run happens once, at 10:00 before the day by which the stay is safe. Purchases count whole: they stay when the
 *           stay is over. */
#ifndef LW_SERVICE_LEVERS_H
#define LW_SERVICE_LEVERS_H

#include "core/plan/least_set.h"
#include "service/prices.h"
#include "service/trial.h"
#include "service/what_if.h"

enum {
    LW_LEVERS = 96,
    LW_LEVER_CHANGES = 4,
    LW_LEVER_CHANGE_BYTES = 224,
    LW_LEVER_DRAWS_USUAL = 256,
    LW_LEVER_SET_DRAWS = 1000,
    LW_LEVER_FRESH = 10000,
    LW_LEVER_WEIGHTS = 64,
    LW_LEVER_SETS_USUAL = 100,
};

#define LW_LEVER_SORTS(X)                                                                                              \
    X(HABIT, "habit")                                                                                                  \
    X(GENERATOR, "generator")                                                                                          \
    X(RUN, "run")                                                                                                      \
    X(CONTAINER, "container")                                                                                          \
    X(STOCK, "stock") /* bought to be used up */                                                                       \
    X(PURCHASE, "purchase")
typedef enum lw_lever_sort {
#define LW_LEVER_ID(id, word) LW_LEVER_##id,
    LW_LEVER_SORTS(LW_LEVER_ID) LW_LEVER_SORT_COUNT
#undef LW_LEVER_ID
} lw_lever_sort;

/* Whose a nuisance is: of data/levers.csv, of crew.nuisance in the scenario, of the wish. */
typedef enum lw_nuisance_from { LW_NUISANCE_TABLE = 0, LW_NUISANCE_SCENARIO, LW_NUISANCE_ASKED } lw_nuisance_from;

typedef struct lw_gain {
    int had, has;                   /* the supply is there before, after */
    double before_days, after_days; /* P50 of the draws; the horizon where beyond */
    int before_is_beyond, after_is_beyond;
    double difference_days; /* 0 where unknown */
    lw_bound bound;
    char text[64]; /* "+2.3", ">= +5", "same"; "" where both are beyond */
} lw_gain;

typedef struct lw_lever {
    char id[LW_NAME], title[96], exclusive[LW_NAME], source[192], kind[24];
    lw_lever_sort sort;
    int number; /* as read; levers are sorted afterwards */
    char change[LW_LEVER_CHANGES][LW_LEVER_CHANGE_BYTES];
    int change_count;
    double price_usd, minutes_a_day, minutes_once, nuisance, mass_kg, roof_m2; /* nuisance above that of today */
    lw_nuisance_from nuisance_from;
    char why_not[160]; /* it cannot be tried with this camp; empty: it was */
    lw_gain stay, gain[LW_SUPPLY_COUNT];
    double use_more[LW_SUPPLY_COUNT],
        room_more[LW_SUPPLY_COUNT]; /* a day, and at the start, above today's; usual course */
    double stays_frac;              /* chance of reaching the departure with it alone */
    double running_usd;             /* fuel and gas above today's, over the stay; negative: saved */
    double minutes, burden_usd;     /* over the stay */
    double payback_days;            /* purchases: until saved fuel has paid it; INFINITY: never; NaN: no purchase */
    int is_in_set;                  /* of the chosen set */
    int is_drawn; /* 0: it touches nothing that ends here, so its draws are those of the unchanged camp */
    lw_set_lever in_set;
    char sentence[LW_SENTENCE], payback[160];
} lw_lever;

typedef struct lw_lever_weight {
    char id[LW_NAME];
    double nuisance;
} lw_lever_weight;

typedef struct lw_levers_wish {
    double confidence_frac;        /* 0.5 .. 0.99 */
    double hour_usd, nuisance_usd; /* NaN: data/prices.csv */
    const lw_lever_weight *weight; /* nuisances above those of the scenario */
    int weight_count;
    const char *const *without; /* levers that are not to be thought of */
    int without_count;
    int is_used;   /* prices of used things, where there are any */
    int draws;     /* of each lever; 0: LW_LEVER_DRAWS_USUAL */
    int set_draws; /* by which sets are chosen; 0: LW_LEVER_SET_DRAWS or, if more, those of each lever */
    int fresh;     /* for measuring; 0: LW_LEVER_FRESH */
    int further;   /* more than these, to tell how near the chance that is told comes; 0: none */
    int sets;      /* run again at most before a set is given that is not proven the least; 0: LW_LEVER_SETS_USUAL */
    int wants_no_set;
    lw_words_choice choice;
} lw_levers_wish;

typedef struct lw_levers {
    lw_lever lever[LW_LEVERS]; /* what buys most stay first */
    int count;
    int not_tried; /* of them; they stand last */
    lw_levers_wish wish;
    double hour_usd, nuisance_usd, fuel_usd_l, propane_usd_kg;
    lw_price_list prices;
    int64_t start_s, departure_s; /* departure 0: none wished */
    int64_t run_s;                /* when a run of the table happens */
    double horizon_days;
    int draws, set_draws;
    uint64_t seed;
    int binding;                           /* of the unchanged camp by P50; -1: none within the horizon */
    lw_gain stay, supply[LW_SUPPLY_COUNT]; /* before = after */
    double stays_frac;

    int has_set;    /* a departure is wished and a set was looked for */
    int is_chosen;  /* a set is chosen, though perhaps too few fresh draws get there */
    int is_reached; /* by fresh_frac of the fresh draws */
    int is_least;   /* proven; otherwise no set of a burden under bound_usd does it */
    double bound_usd;
    int set_count, sets_asked, tightened;
    double aimed_frac, model_frac, fresh_frac, further_frac; /* the last: of wish.further draws */
    int fresh_draws;
    double set_burden_usd, set_price_usd, set_running_usd, set_minutes, set_mass_kg, set_roof_m2;
    lw_gain set_gain[LW_SUPPLY_COUNT], set_stay;
    uint32_t hopeless; /* bit per supply that no set carries so far */
    /* set_lead and set_cost: the sentence's beginning and end, for who lists the levers between them. */
    char headline[LW_SENTENCE], set_sentence[LW_SENTENCE * 2], measured[LW_SENTENCE];
    char set_lead[LW_SENTENCE], set_cost[LW_SENTENCE];
} lw_levers;

/* trials: load, with, seed and threads are set; the rest is filled and cleared here. *levers is large: allocate it. */
LW_MUST_USE lw_code lw_levers_make(lw_trials *trials, const lw_levers_wish *wish, lw_levers *levers, lw_err *err);

const char *lw_lever_sort_word(lw_lever_sort sort);

/* "160 USD; 3 min a day; nuisance 2 (yours)": what it is counted with. */
void lw_lever_say_costs(const lw_lever *lever, char *buf, size_t n);

/* "schema": "leeway.levers/1", docs/levers.schema.json; the text is the caller's (free), NULL: no memory. */
char *lw_levers_json(const lw_levers *levers, const lw_loaded *loaded, const char *version);

#endif
