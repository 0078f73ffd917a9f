#include "exchange/icalendar.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/hash.h"
#include "text/decimal.h"
#include "text/say.h"
#include "text/utf8.h"

enum { LINE_BYTES = 75, DAY_S = 86400, ALARM_MOST_S = 366 * DAY_S };
static const int64_t YEAR_2020_S = 1577836800, YEAR_2100_S = 4102444800, YEAR_10000_S = 253402300800;

typedef struct folded {
    FILE *to;
    size_t column; /* bytes of the line so far */
} folded;

/* One character; a line that would grow too long goes on behind a blank. */
static void put(folded *out, const char *bytes, size_t n)
{
    if (out->column + n > LINE_BYTES) {
        fputs("\r\n ", out->to);
        out->column = 1;
    }
    fwrite(bytes, 1, n, out->to);
    out->column += n;
}

static void put_plain(folded *out, const char *text)
{
    for (; *text; text++)
        put(out, text, 1);
}

static void end_line(folded *out)
{
    fputs("\r\n", out->to);
    out->column = 0;
}

static void put_line(folded *out, const char *name, const char *value)
{
    put_plain(out, name);
    put_plain(out, value);
    end_line(out);
}

static void put_escaped(folded *out, const char *text)
{
    size_t n;
    for (const char *at = text; *at; at += n) {
        n = lw_utf8_length(at);
        if (n == 0) {
            n = 1;
            put(out, "\xEF\xBF\xBD", 3);
        } else if (*at == '\n' || *at == '\r') {
            n = *at == '\r' && at[1] == '\n' ? 2 : 1;
            put_plain(out, "\\n");
        } else if (strchr("\\;,", *at)) {
            put_plain(out, "\\");
            put(out, at, 1);
        } else if (((unsigned char)*at < 0x20 && *at != '\t') || *at == 0x7F)
            put(out, " ", 1);
        else
            put(out, at, n);
    }
}

static void put_text(folded *out, const char *name, const char *text)
{
    if (!text)
        return;
    put_plain(out, name);
    put_escaped(out, text);
    end_line(out);
}

static void put_moment(folded *out, const char *name, int64_t utc_s)
{
    char text[64];
    const int64_t day = utc_s / DAY_S;
    const int second = (int)(utc_s % DAY_S);
    const lw_date date = lw_date_of(day);
    snprintf(text, sizeof text, "%04d%02d%02dT%02d%02d%02dZ", date.year, date.month, date.day, second / 3600,
             second / 60 % 60, second % 60);
    put_line(out, name, text);
}

static void put_day(folded *out, const char *name, int64_t day)
{
    char text[48];
    const lw_date date = lw_date_of(day);
    snprintf(text, sizeof text, "%04d%02d%02d", date.year, date.month, date.day);
    put_line(out, name, text);
}

static void put_alarm(folded *out, const lw_ical_event *e)
{
    char text[64];
    const int32_t s = e->alarm_before_s;
    put_line(out, "BEGIN:VALARM", "");
    put_line(out, "ACTION:DISPLAY", "");
    put_text(out, "DESCRIPTION:", e->summary);
    snprintf(text, sizeof text, "-P%" PRId32 "DT%" PRId32 "H%" PRId32 "M%" PRId32 "S", s / DAY_S, s / 3600 % 24,
             s / 60 % 60, s % 60);
    put_line(out, "TRIGGER:", text);
    put_line(out, "END:VALARM", "");
}

static void put_place(folded *out, const lw_ical_event *e)
{
    char text[2 * LW_DECIMAL_BYTES + 2], number[LW_DECIMAL_BYTES];
    lw_decimal_print(number, sizeof number, e->latitude_deg, 6, 1);
    size_t used = (size_t)snprintf(text, sizeof text, "%s;", number);
    lw_decimal_print(number, sizeof number, e->longitude_deg, 6, 1);
    snprintf(text + used, sizeof text - used, "%s", number);
    put_line(out, "GEO:", text);
}

static void put_event(folded *out, const lw_ical *calendar, const lw_ical_event *e)
{
    char number[24];
    put_line(out, "BEGIN:VEVENT", "");
    put_text(out, "UID:", e->uid);
    put_moment(out, "DTSTAMP:", calendar->stamp_s);
    snprintf(number, sizeof number, "%" PRId64, (calendar->stamp_s - YEAR_2020_S) / 60);
    put_line(out, "SEQUENCE:", number);
    if (e->is_whole_days) {
        put_day(out, "DTSTART;VALUE=DATE:", e->from_day);
        put_day(out, "DTEND;VALUE=DATE:", e->until_day);
    } else {
        put_moment(out, "DTSTART:", e->start_s);
        if (e->end_s > e->start_s) /* DTEND must be later: a moment has none */
            put_moment(out, "DTEND:", e->end_s);
    }
    put_text(out, "SUMMARY:", e->summary);
    put_text(out, "DESCRIPTION:", e->description);
    put_text(out, "LOCATION:", e->location);
    put_text(out, "CATEGORIES:", e->category);
    if (e->has_place)
        put_place(out, e);
    put_line(out, "TRANSP:", e->is_free ? "TRANSPARENT" : "OPAQUE");
    if (e->has_alarm)
        put_alarm(out, e);
    put_line(out, "END:VEVENT", "");
}

static void put_calendar(folded *out, const lw_ical *calendar)
{
    put_line(out, "BEGIN:VCALENDAR", "");
    put_line(out, "VERSION:2.0", "");
    put_plain(out, "PRODID:-//Leeway//leeway ");
    put_escaped(out, calendar->version);
    put_plain(out, "//EN");
    end_line(out);
    put_text(out, "NAME:", calendar->name);
    for (size_t i = 0; i < calendar->count; i++)
        put_event(out, calendar, &calendar->event[i]);
    put_line(out, "END:VCALENDAR", "");
}

/* Whether both lie within the years that a date has four digits for. */
static int are_within(int64_t from, int64_t to, int64_t end)
{
    return from >= 0 && to >= 0 && from < end && to < end;
}

static lw_code check_event(const lw_ical_event *e, size_t at, lw_err *err)
{
    const int is_dated = e->is_whole_days ? are_within(e->from_day, e->until_day, YEAR_10000_S / DAY_S)
                                          : are_within(e->start_s, e->end_s, YEAR_10000_S);
    const int is_forward = e->is_whole_days ? e->until_day > e->from_day : e->end_s >= e->start_s;
    if (!e->uid || !*e->uid || !e->summary || !*e->summary)
        return lw_fail(err, LW_E_MISSING, "event %zu of the calendar has no uid or no summary", at + 1);
    if (!is_dated)
        return lw_fail(err, LW_E_RANGE, "event %zu of the calendar is not within the years 1970 to 9999", at + 1);
    if (!is_forward)
        return lw_fail(err, LW_E_RANGE, "event %zu of the calendar ends before it starts", at + 1);
    if (e->has_alarm && (e->alarm_before_s < 0 || e->alarm_before_s > ALARM_MOST_S))
        return lw_fail(err, LW_E_RANGE, "event %zu of the calendar has an alarm that is not within a year before it",
                       at + 1);
    if (e->has_place && !(e->latitude_deg >= -90.0 && e->latitude_deg <= 90.0 && e->longitude_deg >= -180.0 &&
                          e->longitude_deg <= 180.0))
        return lw_fail(err, LW_E_RANGE, "event %zu of the calendar has a latitude or longitude that is none", at + 1);
    return LW_OK;
}

static int by_uid(const void *a, const void *b)
{
    const char *const *p = a, *const *q = b;
    return strcmp(*p, *q);
}

static lw_code check_uids(const lw_ical *calendar, lw_err *err)
{
    const char **uid = malloc((calendar->count + 1) * sizeof *uid);
    lw_code code = LW_OK;
    if (!uid)
        return lw_fail(err, LW_E_FULL, "no memory to write a calendar");
    for (size_t i = 0; i < calendar->count; i++)
        uid[i] = calendar->event[i].uid;
    qsort(uid, calendar->count, sizeof *uid, by_uid);
    for (size_t i = 1; i < calendar->count && !code; i++)
        if (strcmp(uid[i - 1], uid[i]) == 0)
            code = lw_fail(err, LW_E_CONFLICT, "two events of the calendar have the uid %s",
                           lw_quoted(uid[i], strlen(uid[i])).text);
    free(uid);
    return code;
}

static lw_code check(const lw_ical *calendar, lw_err *err)
{
    if (calendar->count > LW_ICAL_MOST)
        return lw_fail(err, LW_E_FULL, "%zu events are more than one calendar holds: %d", calendar->count,
                       LW_ICAL_MOST);
    if (calendar->count == 0)
        return lw_fail(err, LW_E_MISSING, "there is nothing to put into a calendar");
    if (calendar->stamp_s < YEAR_2020_S || calendar->stamp_s >= YEAR_2100_S)
        return lw_fail(err, LW_E_RANGE, "a calendar is made between 2020 and 2100: is the clock right?");
    for (size_t i = 0; i < calendar->count; i++)
        if (check_event(&calendar->event[i], i, err))
            return err->code;
    return check_uids(calendar, err);
}

lw_code lw_ical_print(const lw_ical *calendar, char **text, lw_err *err)
{
    size_t size = 0;
    char *made = NULL;
    const lw_code code = check(calendar, err);
    if (code)
        return code;
    folded out = {.to = open_memstream(&made, &size)};
    int is_bad = !out.to;
    if (out.to) {
        put_calendar(&out, calendar);
        is_bad = ferror(out.to);
        is_bad |= fclose(out.to) != 0;
    }
    if (is_bad) {
        free(made);
        return lw_fail(err, LW_E_FULL, "no memory to write a calendar");
    }
    *text = made;
    return LW_OK;
}

lw_ical_uid_text lw_ical_uid(const char *owner, const char *what, int64_t number)
{
    lw_ical_uid_text uid;
    uint64_t hash = lw_hash(LW_HASH_START, owner, strlen(owner) + 1);
    hash = lw_hash(hash, what, strlen(what));
    snprintf(uid.text, sizeof uid.text, "%.32s-%" PRId64 "-%016" PRIx64 "@leeway", what, number, hash);
    return uid;
}
