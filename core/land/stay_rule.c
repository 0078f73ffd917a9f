#include "core/land/stay_rule.h"

#include "core/base/civil.h"

/* The stays that count for a question, as used days: the past ones near enough, and the one being tried. */
typedef struct counted {
    int64_t first[LW_STAYS + 1], last[LW_STAYS + 1];
    int count;
} counted;

static lw_code want_days(lw_fault *fault, const char *field, int value, int high)
{
    return lw_want_range(fault, field, value, 0.0, high);
}

static lw_code check_month_day(lw_fault *fault, const char *field, int month_day)
{
    const int days = lw_days_in_month(2000, month_day / 100); /* a leap year: 29 February may stand in an order */
    if (month_day > 0 && days > 0 && month_day % 100 >= 1 && month_day % 100 <= days)
        return LW_OK;
    *fault = (lw_fault){.code = LW_E_RANGE, .field = field, .value = month_day, .low = 101.0, .high = 1231.0};
    return LW_E_RANGE;
}

lw_code lw_stay_rule_check(const lw_stay_rule *rule, lw_fault *fault)
{
    lw_code bad = want_days(fault, "days", rule->days, LW_STAY_HORIZON_DAYS);
    if (!bad)
        bad = want_days(fault, "window_days", rule->window_days, LW_STAY_HORIZON_DAYS);
    if (!bad)
        bad = want_days(fault, "consecutive_days", rule->consecutive_days, LW_STAY_HORIZON_DAYS);
    if (!bad)
        bad = want_days(fault, "year_days", rule->year_days, 366);
    if (!bad)
        bad = want_days(fault, "site_gap_days", rule->site_gap_days, LW_STAY_HORIZON_DAYS);
    if (!bad)
        bad = lw_want_range(fault, "reading", (double)rule->reading, 0.0, LW_STAY_READING_COUNT - 1);
    if (!bad)
        bad = lw_want_range(fault, "count", (double)rule->count, 0.0, LW_STAY_COUNT_COUNT - 1);
    if (!bad)
        bad = lw_want_range(fault, "radius_m", rule->radius_m, 0.0, 2.1e7);
    if (!bad)
        bad = lw_want_range(fault, "site_m", rule->site_m, 0.0, 2.1e7);
    if (bad || rule->second_from == 0)
        return bad;
    bad = lw_want_range(fault, "second_radius_m", rule->second_radius_m, 0.0, 2.1e7);
    if (!bad)
        bad = check_month_day(fault, "second_from", rule->second_from);
    return bad ? bad : check_month_day(fault, "second_to", rule->second_to);
}

lw_code lw_stay_history_check(const lw_stay_history *history, lw_fault *fault)
{
    if (history->count < 0 || history->count > LW_STAYS) {
        *fault = (lw_fault){.code = LW_E_FULL, .field = "history.count", .value = history->count, .high = LW_STAYS};
        return LW_E_FULL;
    }
    for (int i = 0; i < history->count; i++) {
        const lw_stay_past *stay = &history->stay[i];
        /* years 1..9999 */
        lw_code bad = lw_spot_check(&stay->spot, fault);
        if (!bad)
            bad = lw_want_range(fault, "first_day", (double)stay->first_day, -719162.0, 2932896.0);
        if (!bad)
            bad = lw_want_range(fault, "last_day", (double)stay->last_day, -719162.0, 2932896.0);
        if (bad)
            return bad;
        if (stay->last_day < stay->first_day) {
            *fault = (lw_fault){.code = LW_E_CONFLICT,
                                .field = "last_day",
                                .value = (double)stay->last_day,
                                .low = (double)stay->first_day};
            return LW_E_CONFLICT;
        }
    }
    return LW_OK;
}

double lw_stay_radius_m(const lw_stay_rule *rule, int64_t day)
{
    if (rule->second_from == 0)
        return rule->radius_m;
    const lw_date date = lw_date_of(day);
    const int now = date.month * 100 + date.day, from = rule->second_from, to = rule->second_to;
    const int is_second = from <= to ? now >= from && now <= to : now >= from || now <= to;
    return is_second ? rule->second_radius_m : rule->radius_m;
}

/* Stays on this land within radius_m (0: anywhere on it) that began before `day`, cut to the days before it. */
static void gather(const lw_stay_rule *rule, const lw_stay_history *history, lw_stay_place place, double radius_m,
                   int64_t day, counted *c)
{
    c->count = 0;
    for (int i = 0; i < history->count; i++) {
        const lw_stay_past *stay = &history->stay[i];
        const int64_t last = rule->count == LW_STAY_NIGHTS ? stay->last_day - 1 : stay->last_day;
        if (stay->first_day >= day || last < stay->first_day)
            continue;
        if (stay->land && place.land && stay->land != place.land)
            continue;
        if (radius_m > 0.0 && !(lw_distance_m(stay->spot, place.spot) <= radius_m))
            continue;
        c->first[c->count] = stay->first_day;
        c->last[c->count++] = last < day ? last : day - 1;
    }
}

/* The stay being tried counts wherever it is. */
static void gather_own(counted *c, int64_t own_first, int64_t day)
{
    if (own_first < day) {
        c->first[c->count] = own_first;
        c->last[c->count++] = day - 1;
    }
}

static int is_used(const counted *c, int64_t day)
{
    for (int i = 0; i < c->count; i++)
        if (day >= c->first[i] && day <= c->last[i])
            return 1;
    return 0;
}

static int used_between(const counted *c, int64_t from, int64_t to)
{
    int used = 0;
    for (int64_t day = from; day <= to; day++)
        used += is_used(c, day);
    return used;
}

/* First used day at or after `from`; `otherwise` when there is none. */
static int64_t first_used(const counted *c, int64_t from, int64_t otherwise)
{
    int64_t first = otherwise;
    for (int i = 0; i < c->count; i++) {
        const int64_t candidate = c->first[i] > from ? c->first[i] : from;
        if (candidate <= c->last[i] && candidate < first)
            first = candidate;
    }
    return first;
}

/* Last used day before `day`; a day far before when there is none. */
static int64_t last_used(const counted *c, int64_t day)
{
    int64_t last = day - 1000000;
    for (int i = 0; i < c->count; i++)
        if (c->first[i] < day && c->last[i] > last)
            last = c->last[i];
    return last;
}

static int window_used(const lw_stay_rule *rule, const counted *c, int64_t day)
{
    if (rule->reading == LW_STAY_ROLLING)
        return used_between(c, day - rule->window_days + 1, day - 1);
    if (rule->reading == LW_STAY_ANCHORED) {
        int64_t opened = first_used(c, INT64_MIN, day);
        while (day - opened >= rule->window_days)
            opened = first_used(c, opened + rule->window_days, day);
        return used_between(c, opened, day - 1);
    }
    int used = 0, away = 0;
    for (int64_t back = day - 1; away < rule->window_days; back--) {
        const int is = is_used(c, back);
        used += is;
        away = is ? 0 : away + 1;
    }
    return used;
}

static int running(const counted *c, int64_t day)
{
    int days = 0;
    while (is_used(c, day - 1 - days))
        days++;
    return days;
}

static lw_stay_verdict verdict_on(const lw_stay_rule *rule, const lw_stay_history *history, lw_stay_place place,
                                  int64_t own_first, int64_t day)
{
    lw_stay_verdict v = {.is_allowed = 1};
    counted near;
    const int has_window = rule->days > 0 && rule->window_days > 0;
    if (has_window) {
        gather(rule, history, place, lw_stay_radius_m(rule, day), day, &near);
        gather_own(&near, own_first, day);
        v.used_days = window_used(rule, &near, day);
        if (v.used_days >= rule->days)
            v.limit = LW_STAY_LIMIT_WINDOW;
    }
    if (rule->consecutive_days > 0 || rule->site_gap_days > 0) {
        gather(rule, history, place, rule->site_m, day, &near);
        gather_own(&near, own_first, day);
        const int run = running(&near, day);
        const int64_t gap = day - 1 - last_used(&near, day);
        if (!has_window)
            v.used_days = run;
        if (!v.limit && rule->consecutive_days > 0 && run >= rule->consecutive_days)
            v.limit = LW_STAY_LIMIT_CONSECUTIVE;
        if (!v.limit && gap > 0 && gap < rule->site_gap_days)
            v.limit = LW_STAY_LIMIT_SITE_GAP;
    }
    gather(rule, history, place, 0.0, day, &near);
    gather_own(&near, own_first, day);
    v.year_used_days = used_between(&near, lw_day_of((lw_date){lw_date_of(day).year, 1, 1}), day - 1);
    if (!v.limit && rule->year_days > 0 && v.year_used_days >= rule->year_days)
        v.limit = LW_STAY_LIMIT_YEAR;
    v.is_allowed = v.limit == LW_STAY_LIMIT_NONE;
    return v;
}

lw_stay_verdict lw_stay_on(const lw_stay_rule *rule, const lw_stay_history *history, lw_stay_place place, int64_t day)
{
    return verdict_on(rule, history, place, day, day);
}

lw_stay_until lw_stay_last_day(const lw_stay_rule *rule, const lw_stay_history *history, lw_stay_place place,
                               int64_t first_day)
{
    lw_stay_until until = {.last_day = first_day - 1};
    for (int64_t day = first_day; day < first_day + LW_STAY_HORIZON_DAYS; day++) {
        const lw_stay_verdict v = verdict_on(rule, history, place, first_day, day);
        if (!v.is_allowed) {
            until.is_limited = 1;
            until.limit = v.limit;
            break;
        }
        until.last_day = day;
    }
    until.leave_day = rule->count == LW_STAY_NIGHTS ? until.last_day + 1 : until.last_day;
    return until;
}
