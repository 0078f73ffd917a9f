#include "text/moment.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "text/decimal.h"
#include "text/say.h"

#define DAY_S 86400

typedef struct reader {
    const char *text, *at, *end;
    lw_err *err;
} reader;

static reader reader_of(const char *text, lw_err *err)
{
    reader r = {.text = text, .end = text + strlen(text), .err = err};
    while (r.text < r.end && *r.text == ' ')
        r.text++;
    while (r.end > r.text && r.end[-1] == ' ')
        r.end--;
    r.at = r.text;
    return r;
}

static lw_quoted_text whole(const reader *r)
{
    return r->text == r->end ? lw_quoted("nothing", 7) : lw_quoted(r->text, (size_t)(r->end - r->text));
}

static int is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c;
}

static void skip_blanks(reader *r)
{
    while (r->at < r->end && *r->at == ' ')
        r->at++;
}

static int take(reader *r, char c)
{
    if (r->at == r->end || *r->at != c)
        return 0;
    r->at++;
    return 1;
}

/* Between least and most digits; -1 when they are not there. */
static int take_number(reader *r, int least, int most)
{
    int value = 0, count = 0;
    while (count < most && r->at < r->end && is_digit(*r->at)) {
        value = value * 10 + (*r->at++ - '0');
        count++;
    }
    return count < least || (r->at < r->end && is_digit(*r->at)) ? -1 : value;
}

static int take_word(reader *r, const char *word)
{
    const size_t n = strlen(word);
    if ((size_t)(r->end - r->at) < n)
        return 0;
    for (size_t i = 0; i < n; i++)
        if (lower(r->at[i]) != word[i])
            return 0;
    r->at += n;
    return 1;
}

static lw_code take_date(reader *r, lw_date *date)
{
    static const char FORM[] = "%s is not a date; write year-month-day, such as 2026-06-14";
    const int year = take_number(r, 4, 4);
    if (year < 0 || !take(r, '-'))
        return lw_fail(r->err, LW_E_SYNTAX, FORM, whole(r).text);
    const int month = take_number(r, 2, 2);
    if (month < 0 || !take(r, '-'))
        return lw_fail(r->err, LW_E_SYNTAX, FORM, whole(r).text);
    const int day = take_number(r, 2, 2);
    if (day < 0)
        return lw_fail(r->err, LW_E_SYNTAX, FORM, whole(r).text);
    if (year < 1)
        return lw_fail(r->err, LW_E_RANGE, "%s: years run from 0001 to 9999", whole(r).text);
    if (month < 1 || month > 12)
        return lw_fail(r->err, LW_E_RANGE, "%s does not exist: months run from 01 to 12", whole(r).text);
    const int days = lw_days_in_month(year, month);
    if (day < 1 || day > days)
        return lw_fail(r->err, LW_E_RANGE, "%s does not exist: that month has %d days", whole(r).text, days);
    *date = (lw_date){year, month, day};
    return LW_OK;
}

static lw_code refuse_time(const reader *r)
{
    return lw_fail(r->err, LW_E_SYNTAX, "%s is not a time of day; write it as 22:00 or 10 pm", whole(r).text);
}

/* "pm" behind hours 1..12; 0 when neither stands there. */
static int take_half(reader *r)
{
    reader ahead = *r;
    skip_blanks(&ahead);
    const int is_pm = take_word(&ahead, "pm") || take_word(&ahead, "p.m.");
    if (!is_pm && !take_word(&ahead, "am") && !take_word(&ahead, "a.m."))
        return 0;
    *r = ahead;
    return is_pm ? 2 : 1;
}

static lw_code take_time(reader *r, int32_t *second, double *fraction)
{
    *fraction = 0.0;
    if (take_word(r, "noon")) {
        *second = DAY_S / 2;
        return LW_OK;
    }
    if (take_word(r, "midnight")) {
        *second = 0;
        return LW_OK;
    }
    int hour = take_number(r, 1, 2), minute = 0, s = 0;
    const int has_minute = hour >= 0 && take(r, ':');
    if (has_minute)
        minute = take_number(r, 2, 2);
    if (has_minute && minute >= 0 && take(r, ':')) {
        s = take_number(r, 2, 2);
        if (s >= 0 && r->at + 1 < r->end && *r->at == '.' && is_digit(r->at[1])) {
            const char *stop = r->at + 1;
            while (stop < r->end && is_digit(*stop))
                stop++;
            if (!lw_decimal_parse(r->at, stop, fraction))
                return refuse_time(r);
            r->at = stop;
        }
    }
    if (hour < 0 || minute < 0 || s < 0)
        return refuse_time(r);
    const int half = take_half(r);
    if (!half && !has_minute)
        return refuse_time(r);
    if (half && (hour < 1 || hour > 12))
        return lw_fail(r->err, LW_E_RANGE, "%s does not exist: with am or pm hours run from 1 to 12", whole(r).text);
    if (half)
        hour = hour % 12 + (half == 2 ? 12 : 0);
    const int is_day_end = hour == 24 && minute == 0 && s == 0 && !(*fraction > 0.0);
    if ((hour > 23 && !is_day_end) || minute > 59 || s > 59)
        return lw_fail(r->err, LW_E_RANGE, "%s does not exist: a day runs from 00:00 to 24:00, an hour to :59",
                       whole(r).text);
    *second = hour * 3600 + minute * 60 + s;
    return LW_OK;
}

static lw_code want_end(const reader *r, const char *what)
{
    if (r->at == r->end)
        return LW_OK;
    return lw_fail(r->err, LW_E_SYNTAX, "%s: %s is left over behind the %s", whole(r).text,
                   lw_quoted(r->at, (size_t)(r->end - r->at)).text, what);
}

lw_code lw_date_parse(const char *text, lw_date *date, lw_err *err)
{
    reader r = reader_of(text, err);
    lw_date found;
    lw_code bad = take_date(&r, &found);
    bad = bad ? bad : want_end(&r, "date");
    if (!bad)
        *date = found;
    return bad;
}

lw_code lw_time_parse(const char *text, int32_t *second, lw_err *err)
{
    reader r = reader_of(text, err);
    int32_t found = 0;
    double fraction;
    lw_code bad = take_time(&r, &found, &fraction);
    bad = bad ? bad : want_end(&r, "time");
    if (!bad)
        *second = found;
    return bad;
}

static lw_code take_offset(reader *r, lw_moment *moment)
{
    if (take(r, 'Z') || take(r, 'z')) {
        moment->has_offset = 1;
        return LW_OK;
    }
    const int is_west = r->at < r->end && *r->at == '-';
    if (!is_west && (r->at == r->end || *r->at != '+'))
        return LW_OK;
    r->at++;
    const int hours = take_number(r, 2, 2), minutes = hours >= 0 && take(r, ':') ? take_number(r, 2, 2) : 0;
    if (hours < 0 || hours > 24 || minutes < 0 || minutes > 59)
        return lw_fail(r->err, LW_E_SYNTAX, "%s: write the offset from UTC as Z or as -06:00", whole(r).text);
    moment->has_offset = 1;
    moment->offset_s = (hours * 60 + minutes) * 60 * (is_west ? -1 : 1);
    return LW_OK;
}

lw_code lw_moment_parse(const char *text, lw_moment *moment, lw_err *err)
{
    reader r = reader_of(text, err);
    lw_moment found = {0};
    lw_date date = {0};
    lw_code bad = take_date(&r, &date);
    if (bad)
        return bad;
    found.day = lw_day_of(date);
    if (take(&r, 'T') || take(&r, 't') || take(&r, ' ')) {
        skip_blanks(&r);
        found.has_time = 1;
        bad = take_time(&r, &found.second, &found.fraction);
        skip_blanks(&r);
        bad = bad ? bad : take_offset(&r, &found);
    }
    bad = bad ? bad : want_end(&r, "time");
    if (!bad)
        *moment = found;
    return bad;
}

int64_t lw_moment_utc(const lw_moment *moment, const lw_zone *zone)
{
    if (moment->has_offset)
        return moment->day * DAY_S + moment->second - moment->offset_s;
    return lw_utc_of(zone, moment->day, moment->second);
}

lw_shown lw_moment_shown(const lw_moment *moment, const lw_zone *zone)
{
    if (moment->has_offset || !moment->has_time)
        return LW_SHOWN_ONCE;
    const int64_t local_s = moment->day * DAY_S + moment->second, utc_s = lw_utc_of(zone, moment->day, moment->second);
    if (utc_s + lw_zone_offset(zone, utc_s) != local_s)
        return LW_SHOWN_NEVER;
    /* Twice only where the clock is put back soon after: under the offset that holds then, it is the same time again. */
    for (int row = 0; row < zone->count; row++) {
        const int64_t other_s = local_s - zone->offset_s[row];
        if (other_s > utc_s && other_s - utc_s < DAY_S && other_s + lw_zone_offset(zone, other_s) == local_s)
            return LW_SHOWN_TWICE;
    }
    return LW_SHOWN_ONCE;
}

lw_code lw_instant_parse(const char *text, double *utc_s, lw_err *err)
{
    lw_moment moment;
    const lw_code bad = lw_moment_parse(text, &moment, err);
    if (bad)
        return bad;
    if (!moment.has_offset)
        return lw_fail(err, LW_E_SYNTAX,
                       "%s does not say which clock; end it with Z for UTC or an offset such as -06:00",
                       lw_quoted(text, strlen(text)).text);
    *utc_s = (double)(moment.day * DAY_S + moment.second - moment.offset_s) + moment.fraction;
    return LW_OK;
}

static const char *const WEEKDAYS[] = {"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"};
static const char *const SHORT_WEEKDAYS[] = {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};

const char *lw_weekday_word(int weekday)
{
    return SHORT_WEEKDAYS[weekday >= 0 && weekday < 7 ? weekday : 0];
}

/* "tue", "tues", "tuesday": any start of three letters or more. -1 for another word. */
static int take_weekday(reader *r)
{
    const char *stop = r->at;
    while (stop < r->end && lower(*stop) >= 'a' && lower(*stop) <= 'z')
        stop++;
    const size_t n = (size_t)(stop - r->at);
    for (int day = 0; day < 7 && n >= 3; day++) {
        size_t same = 0;
        while (same < n && WEEKDAYS[day][same] == lower(r->at[same]))
            same++;
        if (same == n) {
            r->at = stop;
            return day;
        }
    }
    return -1;
}

static lw_code refuse_weekdays(const reader *r)
{
    return lw_fail(r->err, LW_E_SYNTAX, "%s is no list of weekdays; write Mon-Fri, Mon,Wed,Sat or daily",
                   whole(r).text);
}

lw_code lw_weekdays_parse(const char *text, unsigned *days, lw_err *err)
{
    static const struct {
        const char *word;
        unsigned days;
    } SETS[] = {{"daily", LW_EVERY_DAY},
                {"every day", LW_EVERY_DAY},
                {"weekdays", 0x1F},
                {"weekends", 0x60},
                {"weekend", 0x60}};
    reader r = reader_of(text, err);
    for (size_t i = 0; i < sizeof SETS / sizeof SETS[0]; i++)
        if (take_word(&r, SETS[i].word) && r.at == r.end) {
            *days = SETS[i].days;
            return LW_OK;
        }
    r.at = r.text;
    unsigned found = 0;
    do {
        skip_blanks(&r);
        const int first = take_weekday(&r);
        skip_blanks(&r);
        int last = first;
        if (first >= 0 && take(&r, '-')) {
            skip_blanks(&r);
            last = take_weekday(&r);
            skip_blanks(&r);
        }
        if (first < 0 || last < 0)
            return refuse_weekdays(&r);
        for (int day = first; day != last; day = (day + 1) % 7)
            found |= 1u << day;
        found |= 1u << last;
    } while (take(&r, ','));
    if (r.at != r.end)
        return refuse_weekdays(&r);
    *days = found;
    return LW_OK;
}

lw_code lw_clock_range_parse(const char *text, lw_clock_range *range, lw_err *err)
{
    reader r = reader_of(text, err);
    lw_clock_range found = {0};
    double fraction;
    lw_code bad = take_time(&r, &found.from_s, &fraction);
    if (bad)
        return bad;
    skip_blanks(&r);
    if (!take(&r, '-') && !take_word(&r, "to "))
        return lw_fail(err, LW_E_SYNTAX, "%s is no span of the day; write it as 08:00-17:00", whole(&r).text);
    skip_blanks(&r);
    bad = take_time(&r, &found.to_s, &fraction);
    bad = bad ? bad : want_end(&r, "span");
    if (bad)
        return bad;
    found.from_s %= DAY_S;
    found.to_s = found.to_s == 0 ? DAY_S : found.to_s; /* until midnight is until the day's end */
    if (found.from_s == found.to_s)
        return lw_fail(err, LW_E_RANGE, "%s is empty; write 00:00-24:00 for the whole day", whole(&r).text);
    *range = found;
    return LW_OK;
}

int lw_is_in_clock_range(lw_clock_range range, int32_t second)
{
    if (range.from_s < range.to_s)
        return second >= range.from_s && second < range.to_s;
    return second >= range.from_s || second < range.to_s;
}

char *lw_date_print(char *buf, size_t n, lw_date date)
{
    snprintf(buf, n, "%04d-%02d-%02d", date.year, date.month, date.day);
    return buf;
}

char *lw_time_print(char *buf, size_t n, int32_t second)
{
    if (second % 60)
        snprintf(buf, n, "%02d:%02d:%02d", (int)second / 3600, (int)second / 60 % 60, (int)second % 60);
    else
        snprintf(buf, n, "%02d:%02d", (int)second / 3600, (int)second / 60 % 60);
    return buf;
}

char *lw_clock_print(char *buf, size_t n, const lw_clock *clock)
{
    snprintf(buf, n, "%s %04d-%02d-%02d %02d:%02d", lw_weekday_word(clock->weekday), clock->date.year,
             clock->date.month, clock->date.day, clock->hour, clock->minute);
    return buf;
}

char *lw_instant_print(char *buf, size_t n, double utc_s, int decimals)
{
    static const double TENS[] = {1.0, 10.0, 100.0, 1000.0, 1e4, 1e5, 1e6};
    const double latest_s = 253402300799.0, earliest_s = -62135596800.0; /* years 1..9999 */
    if (!(utc_s >= earliest_s && utc_s <= latest_s)) {
        snprintf(buf, n, "%s", isnan(utc_s) ? "" : "beyond the calendar");
        return buf;
    }
    const int places = decimals < 0 ? 0 : decimals > 6 ? 6 : decimals;
    double whole_s = floor(utc_s);
    double part = nearbyint((utc_s - whole_s) * TENS[places]);
    if (part >= TENS[places]) {
        part = 0.0;
        whole_s += 1.0;
    }
    const int64_t utc = (int64_t)whole_s;
    const int64_t day = utc >= 0 ? utc / DAY_S : -((-utc + DAY_S - 1) / DAY_S);
    const int second = (int)(utc - day * DAY_S);
    const lw_date date = lw_date_of(day);
    char point[16] = "";
    if (places > 0)
        snprintf(point, sizeof point, ".%0*d", places, (int)part);
    snprintf(buf, n, "%04d-%02d-%02dT%02d:%02d:%02d%sZ", date.year, date.month, date.day, second / 3600,
             second / 60 % 60, second % 60, point);
    return buf;
}

/* Runs of three days and more are joined; the week begins on Monday. */
char *lw_weekdays_print(char *buf, size_t n, unsigned days)
{
    size_t used = 0;
    if (n > 0)
        buf[0] = '\0';
    if ((days & LW_EVERY_DAY) == LW_EVERY_DAY) {
        snprintf(buf, n, "daily");
        return buf;
    }
    for (int day = 0; day < 7 && used < n; day++) {
        if (!(days >> day & 1u))
            continue;
        int last = day;
        while (last < 6 && (days >> (last + 1) & 1u))
            last++;
        const int is_run = last - day >= 2;
        const int put = snprintf(buf + used, n - used, "%s%s%s%s", used ? "," : "", lw_weekday_word(day),
                                 is_run ? "-" : "", is_run ? lw_weekday_word(last) : "");
        used += put > 0 ? (size_t)put : 0;
        day = is_run ? last : day;
    }
    return buf;
}

char *lw_clock_range_print(char *buf, size_t n, lw_clock_range range)
{
    char from[16], to[16];
    snprintf(buf, n, "%s-%s", lw_time_print(from, sizeof from, range.from_s), lw_time_print(to, sizeof to, range.to_s));
    return buf;
}
