/* core/land/stay_rule.h: may we stay here on a day, and until when.
 *
 * Computes   the days counted against a rule of N days in W (within a radius), against a limit of days running at one place,
 *            a cap a calendar year and a gap before the same site; from the stays so far; and the last day that is allowed.
 * Inputs     rule: every limit is optional (0 = none). Days are civil days since 1970-01-01.
 *            Reading of the window: ROLLING, on day d the days used in d-W+1..d-1 must be fewer than N (the stricter);
 *            ANCHORED, a window opens on the first day used and a new one on the first day used after its W days;
 *            RESET, the count falls to 0 after W days running away.
 *            Radius: that of the day asked; between second_from and second_to (month x 100 + day, may pass the turn of
 *            the year) second_radius_m. Radius 0: all of the land under the rule.
 *            Stays: first and last civil day at a spot. ANY_PART counts both and all between; NIGHTS all but the last.
 *            Days on which two stays overlap count once. `land`: a number of the caller's for the land under one rule; a
 *            stay on another land is not counted, 0 = not known, which is counted everywhere.
 * Results    lw_stay_day: allowed or not, the first limit that says no, days used so far in the window and the year.
 *            lw_stay_until: last allowed day from a first day on, the day to leave, and the limit that ends it.
 * Errors     LW_E_RANGE, LW_E_CONFLICT (last before first), LW_E_FULL (more than LW_STAYS) from the checks.
 * Source     "14 days within any period of 28 consecutive days", 62 FR 66880 (22 Dec 1997), reads as rolling; radius by
 *            season: Boise National Forest Order 0402-00-62; two limits at once: Rogue River-Siskiyou Order 06-10-24-07;
 *            14 in 30: 43 CFR 423.33(b), 36 CFR 327.7.
 * Limits     air distance, also where an order says road miles. The office's order and the sign at the entrance win. */
#ifndef LW_CORE_LAND_STAY_RULE_H
#define LW_CORE_LAND_STAY_RULE_H

#include <stdint.h>

#include "core/base/err.h"
#include "core/land/distance.h"

enum { LW_STAYS = 256, LW_STAY_HORIZON_DAYS = 400 };

#define LW_STAY_READINGS(X) X(ROLLING, "rolling") X(ANCHORED, "anchored") X(RESET, "reset")
typedef enum lw_stay_reading {
#define LW_STAY_READING_ID(id, word) LW_STAY_##id,
    LW_STAY_READINGS(LW_STAY_READING_ID) LW_STAY_READING_COUNT
#undef LW_STAY_READING_ID
} lw_stay_reading;

#define LW_STAY_COUNTS(X) X(ANY_PART, "any-part") X(NIGHTS, "nights")
typedef enum lw_stay_count {
#define LW_STAY_COUNT_ID(id, word) LW_STAY_##id,
    LW_STAY_COUNTS(LW_STAY_COUNT_ID) LW_STAY_COUNT_COUNT
#undef LW_STAY_COUNT_ID
} lw_stay_count;

typedef struct lw_stay_rule {
    int days, window_days; /* N in W; days without window_days: none */
    lw_stay_reading reading;
    lw_stay_count count;
    double radius_m, second_radius_m;
    int second_from, second_to; /* 901 = 1 September; 0 = no second radius */
    int consecutive_days;
    double site_m; /* what is the same place for consecutive_days and site_gap_days */
    int year_days;
    int site_gap_days;
} lw_stay_rule;

typedef struct lw_stay_past {
    lw_spot spot;
    int land;
    int64_t first_day, last_day;
} lw_stay_past;

typedef struct lw_stay_history {
    const lw_stay_past *stay; /* borrowed, any order */
    int count;
} lw_stay_history;

typedef struct lw_stay_place {
    lw_spot spot;
    int land;
} lw_stay_place;

typedef enum lw_stay_limit {
    LW_STAY_LIMIT_NONE = 0,
    LW_STAY_LIMIT_WINDOW,
    LW_STAY_LIMIT_CONSECUTIVE,
    LW_STAY_LIMIT_YEAR,
    LW_STAY_LIMIT_SITE_GAP,
} lw_stay_limit;

typedef struct lw_stay_verdict {
    int is_allowed;
    lw_stay_limit limit; /* the first that says no */
    int used_days; /* counted in the window before the day asked, or running at the site where there is no window */
    int year_used_days;
} lw_stay_verdict;

typedef struct lw_stay_until {
    int is_limited;    /* 0: nothing binds within LW_STAY_HORIZON_DAYS, last_day is its end */
    int64_t last_day;  /* the last day counted; first day - 1 when not even that one is allowed */
    int64_t leave_day; /* be gone in the course of this day: last_day, or the morning after the last night */
    lw_stay_limit limit;
} lw_stay_until;

LW_MUST_USE lw_code lw_stay_rule_check(const lw_stay_rule *rule, lw_fault *fault);
LW_MUST_USE lw_code lw_stay_history_check(const lw_stay_history *history, lw_fault *fault);

double lw_stay_radius_m(const lw_stay_rule *rule, int64_t day); /* by season; 0: all of the land */

lw_stay_verdict lw_stay_on(const lw_stay_rule *rule, const lw_stay_history *history, lw_stay_place place, int64_t day);
lw_stay_until lw_stay_last_day(const lw_stay_rule *rule, const lw_stay_history *history, lw_stay_place place,
                               int64_t first_day);

#endif
