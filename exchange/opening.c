#include "exchange/opening.h"

#include <stdio.h>
#include <string.h>

static const char *const MONTHS[12] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                       "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
static const char *const WEEKDAYS[7] = {"Mo", "Tu", "We", "Th", "Fr", "Sa", "Su"};
enum { LAST_DAY = 31, HOUR_MOST = 48 };

static void blanks(const char **at)
{
    while (**at == ' ' || **at == '\t')
        ++*at;
}

static int is_letter(char c)
{
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

static int is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* A word of a list that stands here alone; -1: none does. */
static int take_word(const char **at, const char *const *words, int count)
{
    for (int i = 0; i < count; i++) {
        const size_t n = strlen(words[i]);
        if (strncmp(*at, words[i], n) == 0 && !is_letter((*at)[n])) {
            *at += n;
            return i;
        }
    }
    return -1;
}

static int take_mark(const char **at, char mark)
{
    const char *from = *at;
    blanks(&from);
    if (*from != mark)
        return 0;
    *at = from + 1;
    blanks(at);
    return 1;
}

/* One or two digits. */
static int take_number(const char **at, int *value)
{
    const char *from = *at;
    for (*value = 0; is_digit(**at) && *at - from < 2; ++*at)
        *value = *value * 10 + (**at - '0');
    return *at > from && !is_digit(**at);
}

/* ---- months and days of the year ---- */

/* "15" of "Apr 15", unless it begins a time. */
static int take_day(const char **at, int *day)
{
    const char *from = *at;
    blanks(&from);
    if (!take_number(&from, day) || *from == '/' || (*from == ':' && is_digit(from[1])) || *day < 1 || *day > LAST_DAY)
        return 0;
    *at = from;
    return 1;
}

/* "May-Sep", "Apr 15-Oct 31", "Apr 15-30", "Dec 25". */
static int take_season(const char **at, int month, lw_opening_season *season)
{
    int day, has_day = take_day(at, &day), end = month;
    season->from = month * 100 + (has_day ? day : 1);
    season->to = month * 100 + (has_day ? day : LAST_DAY);
    const char *behind = *at;
    if (!take_mark(&behind, '-'))
        return 1;
    const int named = take_word(&behind, MONTHS, 12) + 1;
    end = named ? named : month;
    int end_day;
    const int has_end_day = take_day(&behind, &end_day);
    if ((!named && !has_end_day) || has_day != has_end_day)
        return 0;
    season->to = end * 100 + (has_end_day ? end_day : LAST_DAY);
    *at = behind;
    return 1;
}

/* 1: taken, 0: there are none, -1: not understood. */
static int take_seasons(const char **at, lw_opening_rule *r)
{
    for (int month; (month = take_word(at, MONTHS, 12)) >= 0;) {
        if (r->seasons == LW_OPENING_SEASONS || !take_season(at, month + 1, &r->season[r->seasons++]))
            return -1;
        const char *behind = *at;
        if (!take_mark(&behind, ',') || take_word(&(const char *){behind}, MONTHS, 12) < 0)
            break;
        *at = behind;
    }
    if (r->seasons)
        (void)take_mark(at, ':');
    blanks(at);
    return r->seasons > 0;
}

/* ---- weekdays ---- */

/* A list that begins with a weekday or with PH. */
static int take_weekdays(const char **at, lw_opening_rule *r)
{
    static const char *const PUBLIC[] = {"PH"};
    int has_any = 0, has_holidays = 0;
    for (;;) {
        int first;
        if (take_word(at, PUBLIC, 1) == 0) {
            has_holidays = 1;
        } else if ((first = take_word(at, WEEKDAYS, 7)) >= 0) {
            int last = first;
            if (take_mark(at, '-') && (last = take_word(at, WEEKDAYS, 7)) < 0)
                return -1;
            for (int d = first;; d = (d + 1) % 7) {
                r->weekdays |= 1u << d;
                if (d == last)
                    break;
            }
        } else {
            return has_any ? -1 : 0;
        }
        has_any = 1;
        const char *behind = *at;
        if (!take_mark(&behind, ',') || !is_letter(*behind))
            break;
        *at = behind;
    }
    r->is_holidays = has_holidays && r->weekdays == 0;
    (void)take_mark(at, ':');
    blanks(at);
    return 1 + has_holidays;
}

/* ---- times ---- */

static int take_time(const char **at, int *minute)
{
    int hour, part;
    if (!take_number(at, &hour) || **at != ':')
        return 0;
    ++*at;
    if (!take_number(at, &part) || hour > HOUR_MOST || part > 59)
        return 0;
    *minute = hour * 60 + part;
    return 1;
}

static int take_times(const char **at, lw_opening_rule *r)
{
    while (is_digit(**at)) {
        lw_minutes span;
        if (r->spans == LW_OPENING_SPANS || !take_time(at, &span.from) || !take_mark(at, '-') ||
            !take_time(at, &span.to))
            return -1;
        span.to += span.to <= span.from ? LW_OPENING_DAY_MIN : 0;
        if (span.from >= LW_OPENING_DAY_MIN || span.to > 2 * LW_OPENING_DAY_MIN)
            return -1;
        r->span[r->spans++] = span;
        const char *behind = *at;
        if (!take_mark(&behind, ',') || !is_digit(*behind))
            break;
        *at = behind;
    }
    blanks(at);
    return r->spans > 0;
}

/* ---- rules ---- */

/* What the rule says in a word at its end; 0: a word that is not known. */
static int take_state(const char **at, lw_opening_rule *r, int has_any)
{
    static const char *const STATES[] = {"off", "closed", "open"};
    const int state = take_word(at, STATES, 3);
    r->is_off = state == 0 || state == 1;
    blanks(at);
    return state >= 0 || has_any;
}

/* One rule up to its ; or , or the end. */
static int take_rule(const char **at, lw_opening *o)
{
    static const char ALWAYS[] = "24/7";
    if (o->rules == LW_OPENING_RULES)
        return 0;
    lw_opening_rule *r = &o->rule[o->rules++];
    *r = (lw_opening_rule){.seasons = 0};
    blanks(at);
    const int seasons = take_seasons(at, r), days = seasons < 0 ? -1 : take_weekdays(at, r);
    if (days < 0)
        return 0;
    o->has_holidays |= days == 2;
    const int is_always = strncmp(*at, ALWAYS, sizeof ALWAYS - 1) == 0;
    *at += is_always ? sizeof ALWAYS - 1 : 0;
    blanks(at);
    const int times = is_always ? 1 : take_times(at, r);
    return times >= 0 && take_state(at, r, seasons || days || times);
}

void lw_opening_read(const char *text, lw_opening *out)
{
    const char *at = text;
    int is_more = 0;
    *out = (lw_opening){.rules = 0};
    for (;;) {
        if (!take_rule(&at, out))
            return;
        out->rule[out->rules - 1].is_more = is_more;
        if (*at == '\0')
            break;
        if (*at != ';' && *at != ',')
            return;
        is_more = *at++ == ',';
        blanks(&at);
        if (*at == '\0')
            break; /* a mark at the very end */
    }
    out->is_understood = 1;
}
