#include "core/land/opening.h"

#include <string.h>

#include "core/base/civil.h"

enum { TWO_DAYS_MIN = 2 * LW_OPENING_DAY_MIN };

static int is_in_season(const lw_opening_rule *r, int month_day)
{
    for (int i = 0; i < r->seasons; i++) {
        const lw_opening_season *s = &r->season[i];
        if (s->from <= s->to ? month_day >= s->from && month_day <= s->to : month_day >= s->from || month_day <= s->to)
            return 1;
    }
    return r->seasons == 0;
}

static int holds_on(const lw_opening_rule *r, int64_t day)
{
    const lw_date date = lw_date_of(day);
    return !r->is_holidays && is_in_season(r, date.month * 100 + date.day) &&
           (r->weekdays == 0 || (r->weekdays >> lw_weekday_of(day) & 1u));
}

/* Minutes of a day and of the one behind it, in which its late spans end. */
static void fill(const lw_opening *o, int64_t day, unsigned char minute[TWO_DAYS_MIN])
{
    memset(minute, 0, TWO_DAYS_MIN);
    for (int i = 0; i < o->rules; i++) {
        const lw_opening_rule *r = &o->rule[i];
        if (!holds_on(r, day))
            continue;
        if (!r->is_more && !(r->is_off && r->spans))
            memset(minute, 0, TWO_DAYS_MIN);
        for (int k = 0; k < r->spans; k++)
            memset(minute + r->span[k].from, !r->is_off, (size_t)(r->span[k].to - r->span[k].from));
        if (r->spans == 0)
            memset(minute, !r->is_off, LW_OPENING_DAY_MIN);
    }
}

static void fill_with_evening_before(const lw_opening *o, int64_t day, unsigned char minute[LW_OPENING_DAY_MIN])
{
    unsigned char own[TWO_DAYS_MIN], before[TWO_DAYS_MIN];
    fill(o, day, own);
    fill(o, day - 1, before);
    for (int i = 0; i < LW_OPENING_DAY_MIN; i++)
        minute[i] = own[i] | before[LW_OPENING_DAY_MIN + i];
}

uint32_t lw_opening_hours(const lw_opening *o, int64_t day)
{
    unsigned char minute[LW_OPENING_DAY_MIN];
    uint32_t hours = 0;
    if (!o->is_understood)
        return 0;
    fill_with_evening_before(o, day, minute);
    for (int h = 0; h < 24; h++) {
        int open = 0;
        for (int m = 0; m < 60; m++)
            open += minute[h * 60 + m];
        hours |= (uint32_t)(open == 60) << h;
    }
    return hours;
}

int lw_opening_next_min(const lw_opening *o, int64_t day, int minute, int *is_open)
{
    enum { DAYS = 14 };
    unsigned char of_day[LW_OPENING_DAY_MIN];
    *is_open = 0;
    if (!o->is_understood)
        return -1;
    for (int d = 0; d <= DAYS; d++) {
        fill_with_evening_before(o, day + d, of_day);
        if (d == 0)
            *is_open = of_day[minute];
        for (int m = d == 0 ? minute : 0; m < LW_OPENING_DAY_MIN; m++)
            if (of_day[m] != *is_open)
                return d * LW_OPENING_DAY_MIN + m - minute;
    }
    return -1;
}
