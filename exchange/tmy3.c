#include "exchange/tmy3.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/hourly_internal.h"
#include "text/say.h"

static lw_code fail_here(const lw_csv *csv, lw_err *err)
{
    return lw_err_at(err, NULL, csv->line, NULL);
}

static lw_code read_place(const lw_csv *csv, lw_hourly *h, lw_err *err)
{
    if (csv->count < 7) {
        lw_fail(err, LW_E_SYNTAX,
                "the first line has %zu fields; a TMY3 file has seven: station, name, state, zone, latitude, "
                "longitude, elevation",
                csv->count);
        return fail_here(csv, err);
    }
    snprintf(h->station, sizeof h->station, "%s", csv->field[0]);
    snprintf(h->place, sizeof h->place, "%s, %s", csv->field[1], csv->field[2]);
    double *const into[] = {&h->utc_offset_h, &h->latitude_deg, &h->longitude_deg, &h->elevation_m};
    static const char *const what[] = {"time zone", "latitude", "longitude", "elevation"};
    for (size_t i = 0; i < 4; i++) {
        const lw_code bad = lw_hourly_number(csv, 3 + i, what[i], 0, into[i], err);
        if (bad)
            return bad;
    }
    return lw_hourly_check_place(h, err) ? fail_here(csv, err) : LW_OK;
}

/* Columns by the start of their name, up to the blank before the unit; and what brings a value to our unit. Missing is
 * -99 and -9900 in every column; in those that may be that cold it is -99 too, which no air has. */
static const struct {
    lw_hourly_column column;
    const char *begins;
    double scale;
} FIELDS[] = {
    {LW_HOURLY_AIR, "Dry-bulb (", 1.0},
    {LW_HOURLY_DEW, "Dew-point (", 1.0},
    {LW_HOURLY_HUMIDITY, "RHum (", 0.01},
    {LW_HOURLY_PRESSURE, "Pressure (", 100.0},
    {LW_HOURLY_GHI, "GHI (", 1.0},
    {LW_HOURLY_DNI, "DNI (", 1.0},
    {LW_HOURLY_DHI, "DHI (", 1.0},
    {LW_HOURLY_WIND_FROM, "Wdir (", 1.0},
    {LW_HOURLY_WIND, "Wspd (", 1.0},
    {LW_HOURLY_ALBEDO, "Alb (", 1.0},
    {LW_HOURLY_PRECIPITATION, "Lprecip depth (", 1.0},
};
#define FIELD_COUNT   (sizeof FIELDS / sizeof FIELDS[0])
#define MISSING_UP_TO (-99.0)

typedef struct layout {
    int at[FIELD_COUNT]; /* -1 where the file has no such column */
    size_t columns;
} layout;

static lw_code read_names(const lw_csv *csv, layout *l, lw_err *err)
{
    l->columns = csv->count;
    for (size_t f = 0; f < FIELD_COUNT; f++) {
        l->at[f] = -1;
        for (size_t i = 0; i < csv->count && l->at[f] < 0; i++)
            if (strncmp(csv->field[i], FIELDS[f].begins, strlen(FIELDS[f].begins)) == 0)
                l->at[f] = (int)i;
    }
    for (size_t f = 0; f < FIELD_COUNT; f++)
        if (l->at[f] < 0 && (FIELDS[f].column == LW_HOURLY_AIR || FIELDS[f].column == LW_HOURLY_GHI ||
                             FIELDS[f].column == LW_HOURLY_DNI || FIELDS[f].column == LW_HOURLY_DHI)) {
            lw_fail(err, LW_E_MISSING, "no column begins with %s); is this the header of a TMY3 file?",
                    FIELDS[f].begins);
            return fail_here(csv, err);
        }
    return LW_OK;
}

static int read_stamp(const lw_csv *csv, lw_stamp *stamp)
{
    int hour = 0, minute = 0, used = 0;
    if (sscanf(csv->field[0], "%2d/%2d/%4d%n", &stamp->month, &stamp->day, &stamp->year, &used) != 3 ||
        csv->field[0][used] != '\0')
        return 0;
    if (sscanf(csv->field[1], "%2d:%2d%n", &hour, &minute, &used) != 2 || csv->field[1][used] != '\0')
        return 0;
    stamp->end_s = hour * 3600;
    return stamp->month >= 1 && stamp->month <= 12 && stamp->day >= 1 && stamp->day <= 31 && stamp->year >= 0 &&
           hour >= 1 && hour <= 24 && minute == 0;
}

static lw_code read_row(const lw_csv *csv, const layout *l, lw_hourly *h, lw_err *err)
{
    lw_stamp stamp;
    if (csv->count != l->columns) {
        lw_fail(err, LW_E_SYNTAX, "this row has %zu columns, the header has %zu", csv->count, l->columns);
        return fail_here(csv, err);
    }
    if (csv->count < 2 || !read_stamp(csv, &stamp)) {
        lw_fail(err, LW_E_SYNTAX, "the row does not begin with a date MM/DD/YYYY and an hour 01:00 to 24:00");
        return fail_here(csv, err);
    }
    double value[LW_HOURLY_COLUMN_COUNT];
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++)
        value[c] = NAN;
    for (size_t f = 0; f < FIELD_COUNT; f++) {
        if (l->at[f] < 0)
            continue;
        double *v = &value[FIELDS[f].column];
        const lw_code bad = lw_hourly_number(csv, (size_t)l->at[f], lw_hourly_name(FIELDS[f].column), 1, v, err);
        if (bad)
            return bad;
        *v = *v <= MISSING_UP_TO ? NAN : *v * FIELDS[f].scale;
    }
    return lw_hourly_add(h, &stamp, value, err) ? fail_here(csv, err) : LW_OK;
}

lw_code lw_tmy3_read(lw_csv *csv, lw_hourly *h, lw_err *err)
{
    layout l;
    h->step_s = 3600;
    lw_code bad = lw_csv_next(csv, err);
    bad = bad ? bad : read_place(csv, h, err);
    bad = bad ? bad : lw_csv_next(csv, err);
    bad = bad ? bad : read_names(csv, &l, err);
    while (!bad) {
        bad = lw_csv_next(csv, err);
        if (bad || csv->count == 0)
            break;
        bad = read_row(csv, &l, h, err);
    }
    return bad ? bad : lw_hourly_finish(h, err);
}
