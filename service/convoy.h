/* service/convoy.h: several rigs at one place: one plan of errands for all, with the things that they lend each other.
 *
 * Inputs    what each household tells (exchange/convoy.h), the services around the place (exchange/errands.h; its ways are not read: the
 *           vehicles are those that are lent).
 * Results   lw_convoy: runs with who drives, what is brought for whom and what each owes; for each rig how long it lasts without runs, what its
 *           own runs cost, and what it pays in the convoy; what else is lent; the share file of a household.
 * Model     core/plan/runs.h over the convoy's common supplies: each lasts as long as in the rig in which it ends first. Cans and bladders
 *           that are lent go with every vehicle and are parted by use: what they bring lasts their litres over the use of all, and
 *           no longer than a full tank of any; a waste tank the same way. The driver is free when it says. By itself a
 *           rig has its own vehicles, and breaking camp (90 minutes, 0.60 USD a mile, from memory), which carries all of them.
 * Split     by what each adds to the cost, in the mean over every order in which they could join (the value of L. S. Shapley, A value for
 *           n-person games, 1953); a group costs what its own best runs do, together or in parts, so that nobody pays more than by
 *           itself. Where some group could not go at all, or parts would be cheaper: each run in equal parts among the rigs that it
 *           serves. Who drove is owed the others' parts; the driver's hours are in the cost, at the mean value of all.
 * Chance    Where all households tell courses, the aim at which supplies are taken is the lowest at which everything that runs serve lasts
 *           in every rig until the end, in the share of courses that the most careful household wishes: even courses choose, odd
 *           ones say the chance. Households are taken as independent.
 * Horizon   until the first of them leaves, at most 60 days.
 * Errors    one sentence; LW_E_MISSING nobody lends a vehicle; LW_E_CONFLICT two households of one name, or no common days.
 * Limits    black water goes with its own rig. The chance stands on LW_CONVOY_COURSES / 2 courses a household: good to some 3 points for each.
 *           Without courses supplies are as sure as told, each by itself, and no chance is said. Room in a vehicle for rubbish, gas and groceries is not weighed. Drinking water must go in clean vessels of its own. */
#ifndef LW_SERVICE_CONVOY_H
#define LW_SERVICE_CONVOY_H

#include "core/plan/runs.h"
#include "exchange/convoy.h"
#include "exchange/errands.h"
#include "service/trial.h"
#include "service/words.h"

enum {
    LW_CONVOY_RIGS = 6,
    LW_CONVOY_WAYS = LW_RUN_TYPES,
    LW_CONVOY_DAYS = 60,
    LW_CONVOY_LOANS = 16,
    LW_CONVOY_SHARE_DRAWS = 256
};

typedef struct lw_convoy_member {
    lw_convoy_rig rig;
    lw_supply bare_supply; /* that ends first without any run */
    double bare_days;      /* INFINITY: nothing ends before the plan does */
    int is_alone_found, alone_runs;
    double alone_usd;
    int alone_short; /* the supply that its own runs cannot keep; -1: none by itself */
    double
        own_days; /* in the convoy: what stays its own matter (black water, battery, data) ends; INFINITY: not before */
    lw_supply own_supply;
    int drives;                  /* runs with its vehicles */
    double share_usd, drove_usd; /* its part; the cost of the runs it drove */
    char sentence[LW_SENTENCE];
} lw_convoy_member;

typedef struct lw_convoy_run {
    int64_t leave_s, back_s;
    int driver, thing; /* member, and which of its things */
    uint32_t rigs;     /* bit per member served */
    double usd;
    double water_l[LW_CONVOY_RIGS]; /* brought for each */
    char sentence[LW_SENTENCE];
} lw_convoy_run;

typedef struct lw_convoy {
    lw_words_choice choice;
    lw_convoy_member member[LW_CONVOY_RIGS];
    int count;
    lw_zone zone;
    int64_t start_s, until_s, day0, tick0_s;
    int is_found, short_supply;
    lw_convoy_run run[LW_RUN_SLOTS];
    int run_count, loan_count;
    double usd, alone_usd;               /* of all; alone NaN: not every rig can by itself */
    double confidence_frac, chance_frac; /* the most careful wish; that all supplies of all last, NaN: not reckoned */
    double apart_usd;                    /* the least of all ways to form groups; INFINITY: none can */
    int is_by_joining;                   /* the split; 0: in equal parts */
    char headline[LW_SENTENCE], rule[LW_SENTENCE], ask[LW_SENTENCE];
    char loan[LW_CONVOY_LOANS][LW_SENTENCE];
} lw_convoy;

LW_MUST_USE lw_code lw_convoy_plan(const lw_convoy_rig *rig, int count, const lw_errands *errands,
                                   const lw_words_choice *choice, lw_convoy *convoy, lw_err *err);

/* The text is the caller's (free); NULL: no memory. "schema": "leeway.convoy/1". */
char *lw_convoy_json(const lw_convoy *convoy, const char *version);

/* What a household tells, as the text of a share file; the caller's (free). trials: opened and closed here. */
typedef struct lw_convoy_share_wish {
    const char *household;            /* NULL: the rig's name */
    double confidence_frac, hour_usd; /* hour_usd NaN: data/prices.csv */
    const lw_convoy_thing *thing;
    int thing_count, draws;
} lw_convoy_share_wish;

LW_MUST_USE lw_code lw_convoy_share(lw_trials *trials, const lw_convoy_share_wish *wish, char **text, lw_err *err);

#endif
