#include "exchange/hourly.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "exchange/epw.h"
#include "exchange/hourly_internal.h"
#include "exchange/nsrdb.h"
#include "exchange/tmy3.h"
#include "text/decimal.h"
#include "text/say.h"

#define DAY_S 86400

static const struct {
    const char *name;
    double least, most;
    int must, is_bridged;
} COLUMNS[] = {
#define ROW(id, name, least, most, must, bridged) {#name, least, most, must, bridged},
    LW_HOURLY_COLUMNS(ROW)
#undef ROW
};

const char *lw_hourly_name(lw_hourly_column column)
{
    return COLUMNS[(unsigned)column < LW_HOURLY_COLUMN_COUNT ? column : 0].name;
}

void lw_hourly_init(lw_hourly *h)
{
    memset(h, 0, sizeof *h);
}

void lw_hourly_clear(lw_hourly *h)
{
    free(h->block);
    lw_hourly_init(h);
}

lw_code lw_hourly_take_block(lw_hourly *h, lw_err *err)
{
    const size_t rows = LW_HOURLY_RECORDS, doubles = rows * LW_HOURLY_COLUMN_COUNT;
    h->block = malloc(doubles * sizeof(double) + rows * (sizeof(int32_t) + sizeof(int16_t) + 2 * sizeof(int8_t)));
    if (!h->block)
        return lw_fail(err, LW_E_FULL, "no memory to hold a year of weather");
    double *column = h->block;
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++)
        h->column[c] = column + (size_t)c * rows;
    h->end_s = (void *)(column + doubles);
    h->year = (void *)(h->end_s + rows);
    h->month = (void *)(h->year + rows);
    h->day = h->month + rows;
    return LW_OK;
}

lw_code lw_hourly_number(const lw_csv *csv, size_t field, const char *what, int or_nan, double *value, lw_err *err)
{
    const char *at = csv->field[field], *end = at + csv->field_n[field];
    while (at < end && *at == ' ')
        at++;
    while (end > at && end[-1] == ' ')
        end--;
    if (at == end && or_nan) {
        *value = NAN;
        return LW_OK;
    }
    if (lw_decimal_parse(at, end, value))
        return LW_OK;
    lw_fail(err, LW_E_SYNTAX, "column %zu (%s) is '%s', which is no number", field + 1, what,
            lw_quoted(csv->field[field], csv->field_n[field]).text);
    return lw_err_at(err, NULL, csv->line, NULL);
}

lw_code lw_hourly_whole(const lw_csv *csv, size_t field, const char *what, int low, int high, int *value, lw_err *err)
{
    double number;
    const lw_code bad = lw_hourly_number(csv, field, what, 0, &number, err);
    if (bad)
        return bad;
    if (number >= low && number <= high && !(fabs(number - nearbyint(number)) > 0.0)) {
        *value = (int)number;
        return LW_OK;
    }
    lw_fail(err, LW_E_RANGE, "column %zu (%s) is %s; a whole number from %d to %d belongs here", field + 1, what,
            lw_num(number).text, low, high);
    return lw_err_at(err, NULL, csv->line, NULL);
}

lw_code lw_hourly_check_place(const lw_hourly *h, lw_err *err)
{
    static const char *const NAMES[] = {"latitude_deg", "longitude_deg", "utc_offset_h", "elevation_m"};
    const double value[] = {h->latitude_deg, h->longitude_deg, h->utc_offset_h, h->elevation_m};
    const double limit[] = {90.0, 180.0, 14.0, 9000.0};
    for (int i = 0; i < 4; i++) {
        lw_fault fault;
        if (lw_want_range(&fault, NAMES[i], value[i], -limit[i], limit[i]))
            return lw_fault_say(&fault, err);
    }
    return LW_OK;
}

/* The step behind the last row, the leap day present or not. */
static int follows(const lw_hourly *h, const lw_stamp *s)
{
    const int last = h->count - 1, month = h->month[last], day = h->day[last];
    if (h->end_s[last] + h->step_s <= DAY_S)
        return s->month == month && s->day == day && s->end_s == h->end_s[last] + h->step_s;
    if (s->end_s != h->step_s)
        return 0;
    if (s->month == month)
        return s->day == day + 1;
    const int is_month_over = day == lw_days_in_month(2000, month) || (month == 2 && day == 28);
    return is_month_over && s->month == month % 12 + 1 && s->day == 1;
}

lw_code lw_hourly_add(lw_hourly *h, const lw_stamp *stamp, const double *value, lw_err *err)
{
    if (h->count == LW_HOURLY_RECORDS)
        return lw_fail(err, LW_E_FULL, "this file has more than %d rows, a leap year of quarter hours",
                       LW_HOURLY_RECORDS);
    if (stamp->day > lw_days_in_month(2000, stamp->month))
        return lw_fail(err, LW_E_RANGE, "month %d has no day %d", stamp->month, stamp->day);
    if (h->count > 0 && !follows(h, stamp)) {
        const int last = h->count - 1;
        return lw_fail(err, LW_E_SYNTAX,
                       "hours are out of order: month %d day %d %02d:%02d comes after month %d day %d %02d:%02d",
                       stamp->month, stamp->day, (int)stamp->end_s / 3600, (int)stamp->end_s / 60 % 60, h->month[last],
                       h->day[last], (int)h->end_s[last] / 3600, (int)h->end_s[last] / 60 % 60);
    }
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++)
        if (value[c] < COLUMNS[c].least || value[c] > COLUMNS[c].most) {
            const lw_fault fault = {LW_E_RANGE, COLUMNS[c].name, value[c], COLUMNS[c].least, COLUMNS[c].most};
            return lw_fault_say(&fault, err);
        }
    const int row = h->count++;
    h->year[row] = (int16_t)stamp->year;
    h->month[row] = (int8_t)stamp->month;
    h->day[row] = (int8_t)stamp->day;
    h->end_s[row] = stamp->end_s;
    h->has_leap_day |= stamp->month == 2 && stamp->day == 29;
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++)
        h->column[c][row] = value[c];
    return LW_OK;
}

static lw_code bridge(lw_hourly *h, int c, lw_err *err)
{
    double *v = h->column[c];
    const int most = LW_HOURLY_GAP_H * 3600 / h->step_s;
    for (int row = 0; row < h->count; row++) {
        if (!isnan(v[row]))
            continue;
        int stop = row;
        while (stop < h->count && isnan(v[stop]))
            stop++;
        if (stop - row > most)
            return lw_fail(err, LW_E_MISSING,
                           "%s is missing for %s h from month %d day %d %02d:%02d on; gaps of up to %d h are bridged",
                           COLUMNS[c].name, lw_num((double)(stop - row) * h->step_s / 3600.0).text, h->month[row],
                           h->day[row], (int)h->end_s[row] / 3600, (int)h->end_s[row] / 60 % 60, LW_HOURLY_GAP_H);
        const double before = row > 0 ? v[row - 1] : v[stop], after = stop < h->count ? v[stop] : before;
        for (int i = row; i < stop; i++)
            v[i] = before + (after - before) * (i - row + 1) / (stop - row + 1);
        h->filled[c] += stop - row;
        row = stop;
    }
    return LW_OK;
}

/* Names are shown to people: no control character of a strange file may reach their terminal. */
static void clean(char *text)
{
    for (; *text; text++)
        if ((unsigned char)*text < 0x20 || *text == 0x7F)
            *text = '?';
}

lw_code lw_hourly_finish(lw_hourly *h, lw_err *err)
{
    clean(h->place);
    clean(h->station);
    if (h->count == 0)
        return lw_fail(err, LW_E_MISSING, "the file has a header and no hours");
    const int last = h->count - 1;
    if (h->end_s[last] != DAY_S)
        return lw_fail(err, LW_E_SYNTAX,
                       "the file is cut: its last row is month %d day %d %02d:%02d, not the end of a day",
                       h->month[last], h->day[last], (int)h->end_s[last] / 3600, (int)h->end_s[last] / 60 % 60);
    const int days = 365 + h->has_leap_day;
    h->is_whole_year = h->month[0] == 1 && h->day[0] == 1 && h->end_s[0] == h->step_s && h->month[last] == 12 &&
                       h->day[last] == 31 && h->count == days * (DAY_S / h->step_s);
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++) {
        int known = 0;
        for (int row = 0; row < h->count; row++)
            known += !isnan(h->column[c][row]);
        h->is_absent[c] = known == 0;
        if (known == 0 && COLUMNS[c].must)
            return lw_fail(err, LW_E_MISSING, "the file holds no %s at all", COLUMNS[c].name);
        if (known > 0 && COLUMNS[c].is_bridged) {
            const lw_code bad = bridge(h, c, err);
            if (bad)
                return bad;
        }
    }
    return LW_OK;
}

static int begins_with(const char *bytes, size_t n, const char *word)
{
    const size_t m = strlen(word);
    if (n < m)
        return 0;
    for (size_t i = 0; i < m; i++)
        if ((bytes[i] >= 'a' && bytes[i] <= 'z' ? bytes[i] - 'a' + 'A' : bytes[i]) != word[i])
            return 0;
    return 1;
}

static int holds(const char *bytes, size_t n, const char *word)
{
    for (size_t at = 0; at < n; at++)
        if (begins_with(bytes + at, n - at, word))
            return 1;
    return 0;
}

lw_hourly_form lw_hourly_sniff(const char *bytes, size_t n)
{
    if (n >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        bytes += 3;
        n -= 3;
    }
    if (begins_with(bytes, n, "LOCATION,"))
        return LW_FORM_EPW;
    const char *line = memchr(bytes, '\n', n);
    if (line && begins_with(line + 1, n - (size_t)(line + 1 - bytes), "DATE (MM/DD/YYYY),TIME"))
        return LW_FORM_TMY3;
    const size_t first = line ? (size_t)(line - bytes) : n;
    if (holds(bytes, first, ",LATITUDE,") && holds(bytes, first, ",TIME ZONE,"))
        return LW_FORM_NSRDB;
    return LW_FORM_UNKNOWN;
}

const char *lw_hourly_form_word(lw_hourly_form form)
{
    return form == LW_FORM_EPW ? "EPW" : form == LW_FORM_TMY3 ? "TMY3" : form == LW_FORM_NSRDB ? "NSRDB" : "unknown";
}

/* The bytes that were looked at come first again. */
typedef struct peeked {
    lw_read_fn *read;
    void *context;
    char head[512];
    size_t n, given;
} peeked;

static long read_peeked(void *context, char *buf, size_t n)
{
    peeked *p = context;
    if (p->given == p->n)
        return p->read(p->context, buf, n);
    const size_t got = p->n - p->given < n ? p->n - p->given : n;
    memcpy(buf, p->head + p->given, got);
    p->given += got;
    return (long)got;
}

static lw_code peek(peeked *p, lw_err *err)
{
    while (p->n < sizeof p->head) {
        const long got = p->read(p->context, p->head + p->n, sizeof p->head - p->n);
        if (got < 0)
            return lw_fail(err, LW_E_IO, "the system refused to read it");
        if (got == 0)
            break;
        p->n += (size_t)got;
    }
    if (p->n == 0)
        return lw_fail(err, LW_E_MISSING, "the file is empty");
    return LW_OK;
}

static lw_code read_form(peeked *source, lw_hourly *h, lw_err *err)
{
    h->form = lw_hourly_sniff(source->head, source->n);
    if (h->form == LW_FORM_UNKNOWN)
        return lw_fail(err, LW_E_SYNTAX,
                       "this is no hourly weather file: EPW begins with LOCATION, TMY3 has Date (MM/DD/YYYY) in its "
                       "second line, NSRDB names Latitude and Time Zone in its first");
    lw_code code = lw_hourly_take_block(h, err);
    lw_csv *csv = code ? NULL : malloc(sizeof *csv);
    if (!code && !csv)
        code = lw_fail(err, LW_E_FULL, "no memory to read a table");
    if (!code) {
        lw_csv_init(csv, read_peeked, source, 0);
        code = h->form == LW_FORM_EPW    ? lw_epw_read(csv, h, err)
               : h->form == LW_FORM_TMY3 ? lw_tmy3_read(csv, h, err)
                                         : lw_nsrdb_read(csv, h, err);
    }
    free(csv);
    return code;
}

lw_code lw_hourly_read(lw_read_fn *read, void *context, const char *name, lw_hourly *h, lw_err *err)
{
    peeked source = {.read = read, .context = context};
    lw_hourly found;
    lw_hourly_init(&found);
    lw_code code = peek(&source, err);
    code = code ? code : read_form(&source, &found, err);
    if (code) {
        lw_hourly_clear(&found);
        return lw_err_at(err, name, 0, NULL);
    }
    lw_hourly_clear(h);
    *h = found;
    return LW_OK;
}

lw_code lw_hourly_read_path(const char *path, lw_hourly *h, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, LW_E_IO, "the system does not let this file be read; is its name right?");
        return lw_err_at(err, path, 0, NULL);
    }
    const lw_code code = lw_hourly_read(lw_read_file, file, path, h, err);
    fclose(file);
    return code;
}

lw_code lw_hourly_want_year(const lw_hourly *h, lw_err *err)
{
    if (h->is_whole_year)
        return LW_OK;
    if (h->count == 0)
        return lw_fail(err, LW_E_MISSING, "there is no weather file");
    const int last = h->count - 1;
    return lw_fail(err, LW_E_MISSING,
                   "this weather runs from month %d day %d to month %d day %d; a whole year is needed", h->month[0],
                   h->day[0], h->month[last], h->day[last]);
}

static int day_of_year(int month, int day, int has_leap_day)
{
    const int year = has_leap_day ? 2000 : 2001;
    const int kept = day > lw_days_in_month(year, month) ? lw_days_in_month(year, month) : day;
    return (int)(lw_day_of((lw_date){year, month, kept}) - lw_day_of((lw_date){year, 1, 1}));
}

static double between(double a, double b, double part)
{
    return isnan(a) ? b : isnan(b) ? a : a + (b - a) * part;
}

static double direction_between(double a, double b, double part)
{
    const double turn = remainder(b - a, 360.0), found = fmod(between(a, a + turn, part) + 720.0, 360.0);
    return isnan(turn) ? between(a, b, part) : found;
}

lw_code lw_hourly_at(const lw_hourly *h, int month, int day, double hour, lw_hourly_values *out, lw_err *err)
{
    if (month < 1 || month > 12 || day < 1 || day > lw_days_in_month(2000, month) || !(hour >= 0.0 && hour <= 24.0))
        return lw_fail(err, LW_E_RANGE, "month %d day %d hour %s is no time of a year", month, day, lw_num(hour).text);
    if (h->count == 0)
        return lw_fail(err, LW_E_MISSING, "there is no weather file");
    const int days = 365 + h->has_leap_day;
    const int since =
        (day_of_year(month, day, h->has_leap_day) - day_of_year(h->month[0], h->day[0], h->has_leap_day) + days) % days;
    /* In steps, so that whole numbers are rows: row 0 ends the file's first step. */
    const double place = (since * (double)DAY_S + hour * 3600.0 - h->end_s[0]) / h->step_s;
    int after = (int)ceil(place), before = (int)floor(place);
    const double part = place - before;
    if (h->is_whole_year) {
        after = (after + h->count) % h->count;
        before = (before + h->count) % h->count;
    } else if (place <= -1.0 - 1e-9 || after >= h->count) {
        return lw_fail(err, LW_E_MISSING, "the weather file does not cover month %d day %d", month, day);
    }
    after = after < 0 ? 0 : after;
    before = before < 0 ? after : before;
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++) {
        const double *v = h->column[c];
        const int is_of_step =
            c == LW_HOURLY_GHI || c == LW_HOURLY_DNI || c == LW_HOURLY_DHI || c == LW_HOURLY_PRECIPITATION;
        out->value[c] = is_of_step                 ? v[after]
                        : c == LW_HOURLY_WIND_FROM ? direction_between(v[before], v[after], part)
                                                   : between(v[before], v[after], part);
    }
    return LW_OK;
}

char *lw_hourly_notes(const lw_hourly *h, char *buf, size_t n)
{
    size_t used = 0;
    if (n > 0)
        buf[0] = '\0';
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT && used < n; c++) {
        int put = 0;
        if (c == LW_HOURLY_SNOW) /* nothing here is reckoned from it */
            continue;
        if (h->is_absent[c])
            put = snprintf(buf + used, n - used, "the weather file holds no %s\n", COLUMNS[c].name);
        else if (h->filled[c])
            put =
                snprintf(buf + used, n - used, "%d missing values of %s were bridged\n", h->filled[c], COLUMNS[c].name);
        used += put > 0 ? (size_t)put : 0;
    }
    if (used < n && h->count > 0 && !h->is_whole_year)
        snprintf(buf + used, n - used, "the weather file covers %s days, not a year\n",
                 lw_num((double)h->count * h->step_s / DAY_S).text);
    return buf;
}
