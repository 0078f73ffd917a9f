#include "exchange/nsrdb.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/sky/air.h"
#include "core/sky/spa.h"
#include "exchange/hourly_internal.h"
#include "text/decimal.h"
#include "text/say.h"

static const double MISSING_UP_TO = -999.0;
static const double RAD = 3.14159265358979323846 / 180.0;

enum { DAY_MIN = 1440, LONGEST_MIN = 60, JOINED_MIN = 15 };

static lw_code fail_here(const lw_csv *csv, lw_err *err)
{
    return lw_err_at(err, NULL, csv->line, NULL);
}

/* ---- the place ---- */

enum { SOURCE, ID, CITY, STATE, LATITUDE, LONGITUDE, ZONE, LOCAL_ZONE, ELEVATION, PRESSURE_UNIT, PLACE_NAMES };

static const char *const PLACE[PLACE_NAMES] = {"Source",    "Location ID",   "City",      "State",
                                               "Latitude",  "Longitude",     "Time Zone", "Local Time Zone",
                                               "Elevation", "Pressure Units"};

typedef struct layout {
    int place[PLACE_NAMES];
    double pressure_scale;
    int minute_at[5]; /* year, month, day, hour, minute */
    int zenith_at;
    int at[LW_HOURLY_COLUMN_COUNT];
    double scale[LW_HOURLY_COLUMN_COUNT];
    size_t least; /* fields that a row needs */
} layout;

static const char *place_text(const lw_csv *csv, const layout *l, int name)
{
    const int at = l->place[name];
    return at >= 0 && (size_t)at < csv->count ? csv->field[at] : "";
}

/* "-", empty and "None" stand for a name that nobody gave. */
static int is_name(const char *text)
{
    return text[0] && strcmp(text, "-") != 0 && strcmp(text, "None") != 0;
}

static lw_code read_place_number(const lw_csv *csv, const layout *l, int name, double *value, lw_err *err)
{
    if (l->place[name] < 0 || (size_t)l->place[name] >= csv->count) {
        lw_fail(err, LW_E_MISSING, "the first two lines give no %s", PLACE[name]);
        return fail_here(csv, err);
    }
    return lw_hourly_number(csv, (size_t)l->place[name], PLACE[name], 0, value, err);
}

static lw_code read_place(lw_csv *csv, layout *l, lw_hourly *h, lw_err *err)
{
    lw_code bad = lw_csv_next(csv, err);
    for (int i = 0; i < PLACE_NAMES; i++)
        l->place[i] = bad ? -1 : lw_csv_column(csv, PLACE[i]);
    bad = bad ? bad : lw_csv_next(csv, err);
    if (!bad && csv->count == 0)
        return lw_fail(err, LW_E_MISSING, "the file ends before it says where it is for");
    const int zone = l->place[ZONE] >= 0 ? ZONE : LOCAL_ZONE;
    bad = bad ? bad : read_place_number(csv, l, LATITUDE, &h->latitude_deg, err);
    bad = bad ? bad : read_place_number(csv, l, LONGITUDE, &h->longitude_deg, err);
    bad = bad ? bad : read_place_number(csv, l, zone, &h->utc_offset_h, err);
    bad = bad ? bad : read_place_number(csv, l, ELEVATION, &h->elevation_m, err);
    if (bad)
        return bad;
    const char *city = place_text(csv, l, CITY), *state = place_text(csv, l, STATE), *id = place_text(csv, l, ID);
    snprintf(h->station, sizeof h->station, "%s", id);
    if (is_name(city))
        snprintf(h->place, sizeof h->place, "%s%s%s", city, is_name(state) ? ", " : "", is_name(state) ? state : "");
    else
        snprintf(h->place, sizeof h->place, "the grid cell at %.20s, %.20s", lw_num(h->latitude_deg).text,
                 lw_num(h->longitude_deg).text);
    l->pressure_scale = strcmp(place_text(csv, l, PRESSURE_UNIT), "Pa") == 0 ? 1.0 : 100.0; /* else mbar */
    return lw_hourly_check_place(h, err) ? fail_here(csv, err) : LW_OK;
}

/* ---- the columns ---- */

static const struct {
    lw_hourly_column column;
    const char *name;
    double scale;
} FIELDS[] = {
    {LW_HOURLY_AIR, "Temperature", 1.0},
    {LW_HOURLY_DEW, "Dew Point", 1.0},
    {LW_HOURLY_HUMIDITY, "Relative Humidity", 0.01},
    {LW_HOURLY_PRESSURE, "Pressure", 0.0},
    {LW_HOURLY_GHI, "GHI", 1.0},
    {LW_HOURLY_DNI, "DNI", 1.0},
    {LW_HOURLY_DHI, "DHI", 1.0},
    {LW_HOURLY_WIND, "Wind Speed", 1.0},
    {LW_HOURLY_WIND_FROM, "Wind Direction", 1.0},
    {LW_HOURLY_ALBEDO, "Surface Albedo", 1.0},
};

static void need(layout *l, int at)
{
    if (at >= 0 && (size_t)at + 1 > l->least)
        l->least = (size_t)at + 1;
}

static lw_code read_names(lw_csv *csv, layout *l, lw_err *err)
{
    static const char *const MINUTE[] = {"Year", "Month", "Day", "Hour", "Minute"};
    const char *missing = NULL;
    for (int i = 4; i >= 0; i--) {
        l->minute_at[i] = lw_csv_column(csv, MINUTE[i]);
        missing = l->minute_at[i] < 0 ? MINUTE[i] : missing;
        need(l, l->minute_at[i]);
    }
    l->zenith_at = lw_csv_column(csv, "Solar Zenith Angle");
    need(l, l->zenith_at);
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++)
        l->at[c] = -1;
    for (size_t f = 0; f < sizeof FIELDS / sizeof FIELDS[0]; f++) {
        const int c = (int)FIELDS[f].column, at = lw_csv_column(csv, FIELDS[f].name);
        l->at[c] = at;
        l->scale[c] = c == LW_HOURLY_PRESSURE ? l->pressure_scale : FIELDS[f].scale;
        need(l, at);
        if (at < 0 && (c == LW_HOURLY_AIR || c == LW_HOURLY_DNI || c == LW_HOURLY_DHI))
            missing = missing ? missing : FIELDS[f].name;
    }
    if (!missing)
        return LW_OK;
    lw_fail(err, LW_E_MISSING, "there is no column %s; the third line of an NSRDB file names its columns", missing);
    return fail_here(csv, err);
}

/* ---- rows ---- */

typedef struct row {
    int year, month, day, minute; /* of the day */
    double zenith_deg;            /* NaN: not said */
    double value[LW_HOURLY_COLUMN_COUNT];
} row;

/* The rows of a step are joined until it is `out_min` long. */
typedef struct joiner {
    lw_hourly *h;
    int step_min, out_min, is_centred, rows;
    row first, before;
    double sum[LW_HOURLY_COLUMN_COUNT];
    int known[LW_HOURLY_COLUMN_COUNT];
} joiner;

static int is_flux(int column)
{
    return column == LW_HOURLY_GHI || column == LW_HOURLY_DNI || column == LW_HOURLY_DHI;
}

static double cos_zenith(const lw_hourly *h, const row *r, int offset_min)
{
    const int64_t day = lw_day_of((lw_date){r->year, r->month, r->day});
    const double t_s = (double)day * 86400.0 + (r->minute + offset_min) * 60.0 - h->utc_offset_h * 3600.0;
    lw_spa_sun sun;
    lw_spa_out out;
    lw_spa(&(lw_spa_in){.t_s = t_s,
                        .delta_t_s = LW_SPA_DELTA_T_S,
                        .place = {.latitude_deg = h->latitude_deg,
                                  .longitude_deg = h->longitude_deg,
                                  .elevation_m = h->elevation_m,
                                  .pressure_pa = 101325.0,
                                  .temperature_c = 12.0}},
           &sun, &out);
    return cos(out.zenith_deg * RAD);
}

static lw_code read_row(const lw_csv *csv, const layout *l, row *r, lw_err *err)
{
    static const char *const WHAT[] = {"year", "month", "day", "hour", "minute"};
    static const int LOW[] = {1, 1, 1, 0, 0}, HIGH[] = {9999, 12, 31, 23, 59};
    int hour = 0, minute = 0;
    int *const into[] = {&r->year, &r->month, &r->day, &hour, &minute};
    if (csv->count < l->least) {
        lw_fail(err, LW_E_SYNTAX, "this row has %zu fields, %zu are needed; is the file cut?", csv->count, l->least);
        return fail_here(csv, err);
    }
    lw_code bad = LW_OK;
    for (int i = 0; i < 5 && !bad; i++)
        bad = lw_hourly_whole(csv, (size_t)l->minute_at[i], WHAT[i], LOW[i], HIGH[i], into[i], err);
    r->minute = hour * 60 + minute;
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT && !bad; c++) {
        double *v = &r->value[c];
        *v = NAN;
        if (l->at[c] < 0)
            continue;
        bad = lw_hourly_number(csv, (size_t)l->at[c], lw_hourly_name((lw_hourly_column)c), 1, v, err);
        *v = *v <= MISSING_UP_TO ? NAN : *v * l->scale[c];
    }
    r->zenith_deg = NAN;
    if (!bad && l->zenith_at >= 0)
        bad = lw_hourly_number(csv, (size_t)l->zenith_at, "Solar Zenith Angle", 1, &r->zenith_deg, err);
    return bad;
}

/* The sun of an hour that is stamped at its start stands half an hour further on. */
static double cos_of_row(const joiner *j, const row *r)
{
    if (!isnan(r->zenith_deg))
        return fmax(cos(r->zenith_deg * RAD), 0.0);
    return fmax(cos_zenith(j->h, r, j->step_min == LONGEST_MIN ? 30 - r->minute % 60 : 0), 0.0);
}

static void fill_row(const joiner *j, row *r)
{
    double *v = r->value;
    const double air_c = v[LW_HOURLY_AIR], dew_c = v[LW_HOURLY_DEW];
    if (isnan(v[LW_HOURLY_GHI]) && !isnan(v[LW_HOURLY_DNI]) && !isnan(v[LW_HOURLY_DHI]))
        v[LW_HOURLY_GHI] = v[LW_HOURLY_DHI] + (v[LW_HOURLY_DNI] > 0.0 ? v[LW_HOURLY_DNI] * cos_of_row(j, r) : 0.0);
    if (isnan(v[LW_HOURLY_HUMIDITY]) && air_c >= -45.0 && air_c <= 60.0 && dew_c >= -45.0 && dew_c <= 60.0)
        v[LW_HOURLY_HUMIDITY] = fmin(lw_air_humidity_frac(air_c, dew_c), 1.0);
}

static double halfway(double a, double b)
{
    return isnan(a) ? b : isnan(b) ? a : 0.5 * (a + b);
}

/* The shorter way round. */
static double halfway_round(double a, double b)
{
    const double turn = remainder(b - a, 360.0);
    return isnan(turn) ? halfway(a, b) : fmod(a + 0.5 * turn + 720.0, 360.0);
}

/* The step that begins with this row: fluxes over it, readings at its end. */
static double value_of_step(const joiner *j, const row *r, const row *next, int c)
{
    const double a = r->value[c], b = next->value[c];
    if (is_flux(c))
        return j->is_centred ? a : halfway(a, b);
    if (!j->is_centred)
        return b;
    return c == LW_HOURLY_WIND_FROM ? halfway_round(a, b) : halfway(a, b);
}

static lw_code add_step(joiner *j, const row *r, const row *next, lw_err *err)
{
    const int end_min = r->minute - r->minute % j->step_min + j->step_min;
    lw_stamp stamp = {r->year, r->month, r->day, end_min * 60};
    double value[LW_HOURLY_COLUMN_COUNT];
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++) {
        value[c] = value_of_step(j, r, next, c);
        if (is_flux(c) && !isnan(value[c])) {
            j->sum[c] += value[c];
            j->known[c]++;
        }
    }
    if (end_min % j->out_min != 0)
        return LW_OK;
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++) {
        if (is_flux(c) && j->known[c] > 0)
            value[c] = j->sum[c] / j->known[c];
        j->sum[c] = 0.0;
        j->known[c] = 0;
    }
    return lw_hourly_add(j->h, &stamp, value, err);
}

/* The step is known from the first two rows. */
static lw_code find_step(joiner *j, const row *next, lw_err *err)
{
    const int step = next->minute - j->first.minute, offset = step > 0 ? j->first.minute % step : 0;
    const int is_middle = offset * 2 == step;
    if (!(step == 60 || step == 30 || step == 15 || step == 5) || !(is_middle || offset == 0))
        return lw_fail(
            err, LW_E_SYNTAX,
            "the first rows are stamped %02d:%02d and %02d:%02d; steps of 60, 30, 15 or 5 minutes, stamped at "
            "minute 0 or in their middle, are read",
            j->first.minute / 60, j->first.minute % 60, next->minute / 60, next->minute % 60);
    j->step_min = step;
    j->out_min = step < JOINED_MIN ? JOINED_MIN : step;
    j->is_centred = is_middle || step == LONGEST_MIN;
    j->h->step_s = j->out_min * 60;
    return LW_OK;
}

/* Steps that are joined are not looked at one by one by lw_hourly_add. */
static lw_code check_order(const joiner *j, const row *r, lw_err *err)
{
    const int next_min = (j->before.minute + j->step_min) % DAY_MIN;
    if (r->minute == next_min)
        return LW_OK;
    return lw_fail(err, LW_E_SYNTAX, "rows are out of order: %02d:%02d comes after %02d:%02d", r->minute / 60,
                   r->minute % 60, j->before.minute / 60, j->before.minute % 60);
}

static lw_code take_row(joiner *j, row *r, lw_err *err)
{
    if (j->rows++ == 0) { /* nothing can be said of it before the step is known */
        j->first = *r;
        return LW_OK;
    }
    if (j->rows == 2) {
        const lw_code bad = find_step(j, r, err);
        if (bad)
            return bad;
        fill_row(j, &j->first);
        j->before = j->first;
    }
    lw_code bad = check_order(j, r, err);
    if (bad)
        return bad;
    fill_row(j, r);
    bad = add_step(j, &j->before, r, err);
    j->before = *r;
    return bad;
}

static lw_code end_rows(joiner *j, lw_err *err)
{
    const row *last = &j->before, *first = &j->first;
    if (j->rows < 2)
        return lw_fail(err, LW_E_MISSING, "the file has a header and no two rows");
    const int is_year = first->month == 1 && first->day == 1 && last->month == 12 && last->day == 31;
    return add_step(j, last, is_year ? first : last, err);
}

lw_code lw_nsrdb_read(lw_csv *csv, lw_hourly *h, lw_err *err)
{
    layout l = {.least = 0};
    joiner j = {.h = h, .step_min = LONGEST_MIN, .out_min = LONGEST_MIN};
    lw_code bad = read_place(csv, &l, h, err);
    bad = bad ? bad : lw_csv_next(csv, err);
    bad = bad ? bad : read_names(csv, &l, err);
    while (!bad) {
        row r = {0};
        bad = lw_csv_next(csv, err);
        if (bad || csv->count == 0)
            break;
        bad = read_row(csv, &l, &r, err);
        if (!bad && !(r.month == 2 && r.day == 29) && take_row(&j, &r, err))
            return fail_here(csv, err);
    }
    bad = bad ? bad : end_rows(&j, err);
    return bad ? bad : lw_hourly_finish(h, err);
}
