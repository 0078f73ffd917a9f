#include "exchange/tzrule_internal.h"

#include <string.h>

#include "core/base/civil.h"

typedef struct reader {
    const char *at, *end;
} reader;

static int is_letter(char c)
{
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

static int is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static int take(reader *r, char c)
{
    if (r->at == r->end || *r->at != c)
        return 0;
    r->at++;
    return 1;
}

static int take_number(reader *r, int most, int *value)
{
    int found = 0, count = 0;
    for (; r->at < r->end && is_digit(*r->at) && count < 3; count++)
        found = found * 10 + (*r->at++ - '0');
    *value = found;
    return count > 0 && found <= most;
}

/* "MST" or "<-03>". */
static int take_letters(reader *r, char letters[8])
{
    const int is_quoted = take(r, '<');
    const char *begin = r->at;
    while (r->at < r->end && (is_letter(*r->at) || (is_quoted && (is_digit(*r->at) || *r->at == '+' || *r->at == '-'))))
        r->at++;
    const size_t n = (size_t)(r->at - begin), kept = n < 7 ? n : 7;
    memset(letters, 0, 8);
    memcpy(letters, begin, kept);
    return n >= 3 && (!is_quoted || take(r, '>'));
}

/* [+-]h[h[h]][:mm[:ss]] */
static int take_time(reader *r, int most_hours, int32_t *second)
{
    const int is_negative = take(r, '-');
    if (!is_negative)
        take(r, '+');
    int hours = 0, minutes = 0, seconds = 0;
    if (!take_number(r, most_hours, &hours))
        return 0;
    if (take(r, ':')) {
        if (!take_number(r, 59, &minutes))
            return 0;
        if (take(r, ':') && !take_number(r, 59, &seconds))
            return 0;
    }
    *second = (hours * 3600 + minutes * 60 + seconds) * (is_negative ? -1 : 1);
    return 1;
}

static int take_day(reader *r, lw_tz_day *day)
{
    memset(day, 0, sizeof *day);
    day->second = 7200;
    if (take(r, 'M')) {
        day->kind = LW_TZ_DAY_WEEK;
        if (!take_number(r, 12, &day->month) || day->month < 1 || !take(r, '.') || !take_number(r, 5, &day->week) ||
            day->week < 1 || !take(r, '.') || !take_number(r, 6, &day->weekday))
            return 0;
    } else {
        day->kind = take(r, 'J') ? LW_TZ_DAY_JULIAN : LW_TZ_DAY_ZERO;
        if (!take_number(r, 365, &day->number) || (day->kind == LW_TZ_DAY_JULIAN && day->number < 1))
            return 0;
    }
    return !take(r, '/') || take_time(r, 167, &day->second);
}

int lw_tz_rule_parse(const char *text, size_t n, lw_tz_rule *rule)
{
    reader r = {text, text + n};
    lw_tz_rule found;
    memset(&found, 0, sizeof found);
    if (!take_letters(&r, found.standard.letters) || !take_time(&r, 24, &found.standard.offset_s))
        return 0;
    found.standard.offset_s = -found.standard.offset_s; /* the rule counts west positive */
    if (r.at < r.end) {
        found.has_summer = 1;
        if (!take_letters(&r, found.summer.letters))
            return 0;
        found.summer.offset_s = found.standard.offset_s + 3600;
        if (r.at < r.end && *r.at != ',') {
            if (!take_time(&r, 24, &found.summer.offset_s))
                return 0;
            found.summer.offset_s = -found.summer.offset_s;
        }
        if (!take(&r, ',') || !take_day(&r, &found.begin) || !take(&r, ',') || !take_day(&r, &found.end))
            return 0;
    }
    if (r.at != r.end)
        return 0;
    *rule = found;
    return 1;
}

static int64_t day_in(const lw_tz_day *day, int year)
{
    const int64_t first = lw_day_of((lw_date){year, 1, 1});
    if (day->kind == LW_TZ_DAY_ZERO)
        return first + day->number;
    if (day->kind == LW_TZ_DAY_JULIAN)
        return first + day->number - 1 + (day->number >= 60 && lw_is_leap(year));
    const int64_t month_begin = lw_day_of((lw_date){year, day->month, 1});
    const int weekday = (day->weekday + 6) % 7; /* Sunday 0 to Monday 0 */
    int64_t found = month_begin + (weekday - lw_weekday_of(month_begin) + 7) % 7 + 7 * (int64_t)(day->week - 1);
    if (found >= month_begin + lw_days_in_month(year, day->month))
        found -= 7; /* week 5 is the last one, also of a month with four */
    return found;
}

int64_t lw_tz_rule_begin(const lw_tz_rule *rule, int year)
{
    return day_in(&rule->begin, year) * 86400 + rule->begin.second - rule->standard.offset_s;
}

int64_t lw_tz_rule_end(const lw_tz_rule *rule, int year)
{
    return day_in(&rule->end, year) * 86400 + rule->end.second - rule->summer.offset_s;
}
