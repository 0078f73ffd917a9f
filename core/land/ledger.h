/* core/land/ledger.h: nights, what several stays leave of a limit, money, and how good past forecasts were.
 *
 * Computes   nights of several stays by place and manager; from a stay rule (core/land/stay_rule.h) and all stays so far,
 *            how many days are left today, by when to leave, and when one may be back; money by kind; the score of kept
 *            forecasts against what happened.
 * Inputs     civil days since 1970-01-01 throughout: a night belongs to the day it begins on, so that a change of the
 *            clock never makes or loses one. A stay: arrival and departure day; departure >= today while it lasts.
 *            place, manager: numbers of the caller's; -1 in a question stands for any. A manager is the land of the rule.
 * Permits    hold from first_day to last_day, inside their season (month x 100 + day, may pass the turn of the year, 0 =
 *            all year), on one manager's land. On a day that a permit covers the rule does not ask; days spent
 *            under it are counted by the rule all the same, the stricter reading, unless is_uncounted.
 * Results    nights: each civil night once, however many stays overlap on it.
 *            frees: if one stays away from tomorrow on, the first day on which fewer days count than then, and the first on which
 *            none does. covered: the last day in a row from a day on which some permit covers.
 *            left: of days counted (by the rule's count) from today on, in one go. again_day: first day on which the
 *            rule allows this place anew once all of them are used and one stays away; leaving early and coming back
 *            within the radius starts nothing anew, as the stays stay in the history.
 *            score: an end inside P10..P90 is inside, borders too. A stay that was left before the supply ended says
 *            nothing, unless it had already lasted past P90: then the forecast is known to be outside.
 * Errors     LW_E_RANGE, LW_E_CONFLICT (departure before arrival), LW_E_FULL (more than LW_LEDGER_STAYS) from the checks.
 * Source     definitions; the readings of rules stand in core/land/stay_rule.h with their sources. An 80 % interval that is
 *            well made holds 80 of 100 ends: definition of a quantile.
 * Limits     the other half of LW_STAYS is for stays that uncounted permits cut in two. Permits are taken at their word; the terms on the paper and the ranger win. */
#ifndef LW_CORE_LAND_LEDGER_H
#define LW_CORE_LAND_LEDGER_H

#include <stdint.h>

#include "core/base/err.h"
#include "core/land/stay_rule.h"

enum { LW_LEDGER_STAYS = LW_STAYS / 2, LW_PERMITS = 16, LW_FORECASTS = 512 };

typedef struct lw_ledger_stay {
    int place, manager; /* manager 0: not known, which counts under every rule */
    lw_spot spot;
    int64_t arrival_day, departure_day;
} lw_ledger_stay;

typedef struct lw_permit {
    int manager;
    int64_t first_day, last_day;
    int season_from, season_to; /* 901 = 1 September; 0: all year */
    int is_uncounted;           /* days under it do not count against the rule */
    double price_usd;
    int renews_days; /* the price is due again after so many days; 0: once */
} lw_permit;

typedef struct lw_ledger {
    const lw_ledger_stay *stay; /* borrowed, any order */
    int stay_count;
    const lw_permit *permit;
    int permit_count;
} lw_ledger;

typedef struct lw_ledger_left {
    int is_limited;    /* 0: nothing binds within LW_STAY_HORIZON_DAYS */
    int is_permit;     /* today is covered by a permit */
    int used_days;     /* counted by the rule before today */
    int left_days;     /* today included; 0: be gone */
    int64_t last_day;  /* the last day allowed; today - 1 where none is */
    int64_t leave_day; /* be gone in the course of it */
    int64_t
        again_day; /* meaningful if is_limited: first day allowed after that; last_day + LW_STAY_HORIZON_DAYS if none */
    double away_m; /* how far off counts as away; 0: off all of the manager's land */
    lw_stay_limit limit;
} lw_ledger_left;

LW_MUST_USE lw_code lw_ledger_check(const lw_ledger *ledger, lw_fault *fault);

/* Civil nights from from_day to until_day (the night that begins on until_day not counted). */
int lw_ledger_nights(const lw_ledger *ledger, int place, int manager, int64_t from_day, int64_t until_day);

lw_ledger_left lw_ledger_left_at(const lw_ledger *ledger, const lw_stay_rule *rule, lw_stay_place place, int64_t today);

typedef struct lw_ledger_frees {
    int used_days;     /* counted on the day after today, today included where there is a stay on it */
    int64_t first_day; /* fewer than used_days count from then on; 0: none is counted */
    int freed_days;    /* so many fewer on first_day */
    int64_t all_day;   /* none is counted any more; 0: none is counted already */
} lw_ledger_frees;
lw_ledger_frees lw_ledger_frees_at(const lw_ledger *ledger, const lw_stay_rule *rule, lw_stay_place place,
                                   int64_t today);

/* day - 1 where no permit covers it; at most LW_STAY_HORIZON_DAYS on. */
int64_t lw_permit_covered_until(const lw_ledger *ledger, int manager, int64_t day);

/* The first day after `day` on which the price is due again; 0: no more. */
int64_t lw_permit_due_day(const lw_permit *permit, int64_t day);

/* What a permit costs from its first day to before until_day, renewals included. */
double lw_permit_cost_usd(const lw_permit *permit, int64_t until_day);

#define LW_EXPENSES(X)                                                                                                 \
    X(CAMP, "camp")                                                                                                    \
    X(PERMIT, "permit")                                                                                                \
    X(FUEL, "fuel")                                                                                                    \
    X(PROPANE, "propane")                                                                                              \
    X(WATER, "water")                                                                                                  \
    X(DUMP, "dump")                                                                                                    \
    X(RUBBISH, "rubbish")                                                                                              \
    X(DATA, "data")                                                                                                    \
    X(FOOD, "food")                                                                                                    \
    X(LAUNDRY, "laundry")                                                                                              \
    X(GEAR, "gear")                                                                                                    \
    X(REPAIR, "repair")                                                                                                \
    X(OTHER, "other")
typedef enum lw_expense_kind {
#define LW_EXPENSE_ID(id, word) LW_EXPENSE_##id,
    LW_EXPENSES(LW_EXPENSE_ID) LW_EXPENSE_COUNT
#undef LW_EXPENSE_ID
} lw_expense_kind;

typedef struct lw_expense {
    int64_t day;
    lw_expense_kind kind;
    int64_t cents; /* whole, so that sums are exact; negative: money back */
} lw_expense;

typedef struct lw_money {
    int64_t cents[LW_EXPENSE_COUNT], all_cents;
} lw_money;

lw_money lw_ledger_money(const lw_expense *expense, int count, int64_t from_day, int64_t until_day);

typedef struct lw_forecast_kept {
    double p10_days, p50_days, p90_days; /* from when it was made */
    double happened_days;                /* how long it did last, or how long it was watched */
    int is_left_early;                   /* the household left before it ended */
} lw_forecast_kept;

typedef struct lw_score {
    int scored, unscored, inside;
    int with_error;         /* ends that were seen: those that the errors are of */
    double inside_frac;     /* NaN without one */
    double mean_error_days; /* happened - P50: positive lasted longer; NaN without one */
    double median_off_days; /* of |happened - P50|; NaN without one */
} lw_score;

LW_MUST_USE lw_code lw_forecasts_check(const lw_forecast_kept *kept, int count, lw_fault *fault);
lw_score lw_ledger_score(const lw_forecast_kept *kept, int count);

#endif
