#include "exchange/epw.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/hourly_internal.h"
#include "text/say.h"

#define LEAST_COLUMNS 22
#define HEADER_LINES  20 /* eight by the book; a few more are borne with */

static int is_line(const lw_csv *csv, const char *word)
{
    const size_t n = strlen(word);
    if (csv->field_n[0] < n)
        return 0;
    for (size_t i = 0; i < n; i++) {
        const char c = csv->field[0][i];
        if ((c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c) != word[i])
            return 0;
    }
    return 1;
}

static lw_code fail_here(const lw_csv *csv, lw_err *err)
{
    return lw_err_at(err, NULL, csv->line, NULL);
}

static lw_code read_location(const lw_csv *csv, lw_hourly *h, lw_err *err)
{
    if (!is_line(csv, "LOCATION") || csv->count < 10) {
        lw_fail(err, LW_E_SYNTAX,
                "line LOCATION has %zu fields; ten are needed, the last of them latitude, longitude, zone "
                "and elevation",
                csv->count);
        return fail_here(csv, err);
    }
    snprintf(h->place, sizeof h->place, "%s, %s, %s", csv->field[1], csv->field[2], csv->field[3]);
    snprintf(h->station, sizeof h->station, "%s", csv->field[5]);
    double *const into[] = {&h->latitude_deg, &h->longitude_deg, &h->utc_offset_h, &h->elevation_m};
    static const char *const what[] = {"latitude", "longitude", "time zone", "elevation"};
    for (size_t i = 0; i < 4; i++) {
        const lw_code bad = lw_hourly_number(csv, 6 + i, what[i], 0, into[i], err);
        if (bad)
            return bad;
    }
    return lw_hourly_check_place(h, err) ? fail_here(csv, err) : LW_OK;
}

/* " 1/ 1", "12/31", "12/31/1999": 0 when it is none. */
static int read_day(const char *text, int *month, int *day)
{
    char compact[16];
    size_t n = 0;
    for (; *text && n < sizeof compact - 1; text++)
        if (*text != ' ')
            compact[n++] = *text;
    compact[n] = '\0';
    return sscanf(compact, "%2d/%2d", month, day) == 2;
}

typedef struct period {
    int per_hour, end_month, end_day; /* month 0: not known */
} period;

static lw_code read_period(const lw_csv *csv, period *p, lw_err *err)
{
    int periods = 0;
    if (csv->count < 3) {
        lw_fail(err, LW_E_SYNTAX, "line DATA PERIODS has no counts");
        return fail_here(csv, err);
    }
    lw_code bad = lw_hourly_whole(csv, 1, "number of data periods", 1, 1000, &periods, err);
    bad = bad ? bad : lw_hourly_whole(csv, 2, "records an hour", 1, 60, &p->per_hour, err);
    if (bad)
        return bad;
    if (periods > 1 || p->per_hour > 4) {
        lw_fail(err, LW_E_FULL,
                "the file holds %d data periods with %d records an hour; one period with 1 to 4 is read", periods,
                p->per_hour);
        return fail_here(csv, err);
    }
    p->end_month = 0;
    if (csv->count > 6 && !read_day(csv->field[6], &p->end_month, &p->end_day))
        p->end_month = 0;
    return LW_OK;
}

static lw_code read_header(lw_csv *csv, lw_hourly *h, period *p, lw_err *err)
{
    lw_code bad = lw_csv_next(csv, err);
    bad = bad ? bad : read_location(csv, h, err);
    for (int i = 1; !bad && i < HEADER_LINES; i++) {
        bad = lw_csv_next(csv, err);
        if (!bad && csv->count == 0)
            return lw_fail(err, LW_E_SYNTAX, "the file ends before its header line DATA PERIODS");
        if (!bad && is_line(csv, "DATA PERIODS"))
            return read_period(csv, p, err);
        if (!bad && csv->field[0][0] >= '0' && csv->field[0][0] <= '9')
            break;
    }
    if (bad)
        return bad;
    lw_fail(err, LW_E_SYNTAX, "header line DATA PERIODS is missing");
    return fail_here(csv, err);
}

/* Where a value stands in a row, what counts as missing from there up, and what brings it to our unit. */
static const struct {
    lw_hourly_column column;
    size_t field;
    double missing_from, scale;
} FIELDS[] = {
    {LW_HOURLY_AIR, 6, 99.9, 1.0},        {LW_HOURLY_DEW, 7, 99.9, 1.0},
    {LW_HOURLY_HUMIDITY, 8, 999.0, 0.01}, {LW_HOURLY_PRESSURE, 9, 999999.0, 1.0},
    {LW_HOURLY_GHI, 13, 9999.0, 1.0},     {LW_HOURLY_DNI, 14, 9999.0, 1.0},
    {LW_HOURLY_DHI, 15, 9999.0, 1.0},     {LW_HOURLY_WIND_FROM, 20, 999.0, 1.0},
    {LW_HOURLY_WIND, 21, 999.0, 1.0},     {LW_HOURLY_SNOW, 30, 999.0, 0.01},
    {LW_HOURLY_ALBEDO, 32, 999.0, 1.0},   {LW_HOURLY_PRECIPITATION, 33, 999.0, 1.0},
};

static int is_irradiance(lw_hourly_column column)
{
    return column == LW_HOURLY_GHI || column == LW_HOURLY_DNI || column == LW_HOURLY_DHI;
}

static lw_code read_row(const lw_csv *csv, lw_hourly *h, lw_err *err)
{
    lw_stamp stamp;
    int hour = 0, minute = 0;
    lw_code bad = lw_hourly_whole(csv, 0, "year", 0, 9999, &stamp.year, err);
    bad = bad ? bad : lw_hourly_whole(csv, 1, "month", 1, 12, &stamp.month, err);
    bad = bad ? bad : lw_hourly_whole(csv, 2, "day", 1, 31, &stamp.day, err);
    bad = bad ? bad : lw_hourly_whole(csv, 3, "hour", 1, 24, &hour, err);
    bad = bad ? bad : lw_hourly_whole(csv, 4, "minute", 0, 60, &minute, err);
    if (bad)
        return bad;
    const int is_hourly = h->step_s == 3600;
    stamp.end_s = is_hourly || minute == 0 ? hour * 3600 : (hour - 1) * 3600 + minute * 60;
    double value[LW_HOURLY_COLUMN_COUNT];
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++)
        value[c] = NAN;
    for (size_t i = 0; i < sizeof FIELDS / sizeof FIELDS[0]; i++) {
        if (FIELDS[i].field >= csv->count)
            continue;
        double *v = &value[FIELDS[i].column];
        bad = lw_hourly_number(csv, FIELDS[i].field, lw_hourly_name(FIELDS[i].column), 1, v, err);
        if (bad)
            return bad;
        /* Wh/m2 of a step shorter than an hour is a larger mean W/m2. */
        const double scale = is_irradiance(FIELDS[i].column) ? 3600.0 / h->step_s : FIELDS[i].scale;
        *v = *v >= FIELDS[i].missing_from ? NAN : *v * scale;
    }
    return lw_hourly_add(h, &stamp, value, err) ? fail_here(csv, err) : LW_OK;
}

static lw_code check_end(const lw_hourly *h, const period *p, lw_err *err)
{
    const int last = h->count - 1;
    if (p->end_month == 0 || h->count == 0 || (h->month[last] == p->end_month && h->day[last] == p->end_day))
        return LW_OK;
    return lw_fail(err, LW_E_SYNTAX,
                   "the file is cut: its rows end at month %d day %d, its header promises month %d day %d",
                   h->month[last], h->day[last], p->end_month, p->end_day);
}

lw_code lw_epw_read(lw_csv *csv, lw_hourly *h, lw_err *err)
{
    period p = {.per_hour = 1};
    csv->flags = LW_CSV_NO_QUOTES; /* header lines hold quotes as they please */
    lw_code bad = read_header(csv, h, &p, err);
    if (bad)
        return bad;
    h->step_s = 3600 / p.per_hour;
    size_t columns = 0;
    for (;;) {
        bad = lw_csv_next(csv, err);
        if (bad)
            return bad;
        if (csv->count == 0)
            break;
        columns = columns ? columns : csv->count;
        if (csv->count < LEAST_COLUMNS || csv->count != columns) {
            lw_fail(err, LW_E_SYNTAX, "this row has %zu columns; %s has %zu", csv->count,
                    csv->count < LEAST_COLUMNS ? "an EPW row at least" : "the first row",
                    csv->count < LEAST_COLUMNS ? (size_t)LEAST_COLUMNS : columns);
            return fail_here(csv, err);
        }
        bad = read_row(csv, h, err);
        if (bad)
            return bad;
    }
    bad = check_end(h, &p, err);
    return bad ? bad : lw_hourly_finish(h, err);
}
