/* The ledger's limits and permits in sentences. */
#include <stdio.h>

#include "service/ledger.h"
#include "service/words_internal.h"

char *lw_civil_say(char *buf, size_t n, int64_t day)
{
    static const char *const WEEKDAY[] = {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};
    static const char *const MONTH[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                        "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    const lw_clock clock = lw_clock_at(&(lw_zone){.count = 0}, day * 86400);
    snprintf(buf, n, "%s %d %s %d", WEEKDAY[clock.weekday], clock.date.day, MONTH[clock.date.month - 1],
             clock.date.year);
    return buf;
}

enum { CIVIL = 24 };

static const char *unit_of(const lw_place_limit *limit, int count)
{
    if (limit->count == LW_STAY_NIGHTS)
        return count == 1 ? "night" : "nights";
    return count == 1 ? "day" : "days";
}

static void say_left(const lw_place_limit *limit, lw_line *to)
{
    const lw_ledger_left *left = &limit->left;
    char leave[CIVIL], again[CIVIL];
    lw_civil_say(leave, sizeof leave, left->leave_day);
    lw_civil_say(again, sizeof again, left->again_day);
    if (!left->is_limited)
        lw_line_add(to, "Nothing ends a stay here within %d days.", LW_STAY_HORIZON_DAYS);
    else if (left->left_days == 0 && limit->is_here)
        lw_line_add(to, "No %s is left: leave now; you may be back from %s.", unit_of(limit, 1), again);
    else if (left->left_days == 0)
        lw_line_add(to, "No %s is left; you may come from %s.", unit_of(limit, 1), again);
    else if (limit->is_here)
        lw_line_add(to, "%d %s left with today: leave by %s; after that you may be back from %s.", left->left_days,
                    unit_of(limit, left->left_days), leave, again);
    else
        lw_line_add(to, "If you came today: %d %s, until %s.", left->left_days, unit_of(limit, left->left_days), leave);
}

char *lw_limit_say(const lw_place_limit *limit, char *buf, size_t n)
{
    const lw_ledger_frees *frees = &limit->frees;
    char first[CIVIL], all[CIVIL];
    lw_line to = lw_line_of(buf, n);
    if (limit->permit_until >= limit->today)
        lw_line_add(&to, "A permit holds until %s; the rule does not ask before. ",
                    lw_civil_say(first, sizeof first, limit->permit_until));
    lw_line_add(&to, "%d %s used before today. ", limit->left.used_days, unit_of(limit, limit->left.used_days));
    say_left(limit, &to);
    if (frees->first_day)
        lw_line_add(&to, " Away from tomorrow on, %d %s %s free on %s", frees->freed_days,
                    unit_of(limit, frees->freed_days), frees->freed_days == 1 ? "comes" : "come",
                    lw_civil_say(first, sizeof first, frees->first_day));
    if (frees->first_day && frees->all_day > frees->first_day)
        lw_line_add(&to, ", the last of %d on %s", frees->used_days, lw_civil_say(all, sizeof all, frees->all_day));
    if (frees->first_day)
        lw_line_add(&to, ".");
    return buf;
}

char *lw_permit_say(const lw_permit_sum *permit, int64_t today, char *buf, size_t n)
{
    const lw_permit *terms = &permit->permit.terms;
    char from[CIVIL], until[CIVIL], due[CIVIL], money[LW_MONEY_TEXT];
    lw_line to = lw_line_of(buf, n);
    lw_line_add(&to, "%s: %s to %s", permit->permit.manager, lw_civil_say(from, sizeof from, terms->first_day),
                lw_civil_say(until, sizeof until, terms->last_day));
    if (terms->season_from)
        lw_line_add(&to, ", each year %02d-%02d to %02d-%02d", terms->season_from / 100, terms->season_from % 100,
                    terms->season_to / 100, terms->season_to % 100);
    lw_line_add(&to, "; %s",
                permit->is_now             ? "it holds today"
                : today < terms->first_day ? "it has not begun"
                : today > terms->last_day  ? "it is over"
                                           : "out of its season today");
    if (terms->is_uncounted)
        lw_line_add(&to, "; days under it do not count against the rule");
    if (terms->price_usd > 0.0)
        lw_line_add(&to, "; %s by its terms so far",
                    lw_money_print(money, sizeof money, (int64_t)(permit->cost_usd * 100.0 + 0.5), LW_CURRENCY_USD));
    if (permit->due_day && terms->price_usd > 0.0)
        lw_line_add(&to, ", %s due on %s",
                    lw_money_print(money, sizeof money, (int64_t)(terms->price_usd * 100.0 + 0.5), LW_CURRENCY_USD),
                    lw_civil_say(due, sizeof due, permit->due_day));
    lw_line_add(&to, ".");
    return buf;
}
