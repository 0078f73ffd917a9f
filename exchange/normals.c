#include "exchange/normals.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/units.h"
#include "core/land/distance.h"
#include "exchange/hourly_internal.h"
#include "text/decimal.h"
#include "text/say.h"

static const double MONTH_DAYS[LW_MONTHS] = {31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

/* Name, what an integer of the 1981-2010 form counts, its unit (days where there is none), bounds in our unit. */
static const struct {
    const char *name;
    double part;
    lw_dim dim;
    const char *unit;
    double least, most;
} VALUES[LW_STATION_VALUES] = {
    [LW_STATION_TMAX] = {"MLY-TMAX-NORMAL", 0.1, LW_DIM_TEMPERATURE, "F", -60.0, 60.0},
    [LW_STATION_TMIN] = {"MLY-TMIN-NORMAL", 0.1, LW_DIM_TEMPERATURE, "F", -70.0, 50.0},
    [LW_STATION_WET] = {"MLY-PRCP-AVGNDS-GE001HI", 0.1, LW_DIM_NUMBER, NULL, 0.0, 31.0},
    [LW_STATION_PRECIP] = {"MLY-PRCP-NORMAL", 0.01, LW_DIM_LENGTH, "in", 0.0, 5.0},
};

typedef struct layout {
    int station, date, name, latitude, longitude, elevation;
    int value[LW_STATION_VALUES], measured[LW_STATION_VALUES], complete[LW_STATION_VALUES]; /* -1: no such column */
    int is_1991;
} layout;

typedef struct search {
    const lw_normals_choice *choice;
    lw_station_climate now, best;
    unsigned months, best_months;
    double best_m;
    int stations, has_best;
} search;

static lw_code fail_here(const lw_csv *csv, lw_err *err)
{
    return lw_err_at(err, NULL, csv->line, NULL);
}

/* ---- the header ---- */

static int column_of(const lw_csv *csv, const char *before, const char *name, const char *behind)
{
    char whole[80];
    snprintf(whole, sizeof whole, "%s%s%s", before, name, behind);
    return lw_csv_column(csv, whole);
}

static lw_code read_names(const lw_csv *csv, layout *l, lw_err *err)
{
    int found = 0;
    *l = (layout){.station = lw_csv_column(csv, "STATION"),
                  .date = lw_csv_column(csv, "DATE"),
                  .name = lw_csv_column(csv, "NAME"),
                  .latitude = lw_csv_column(csv, "LATITUDE"),
                  .longitude = lw_csv_column(csv, "LONGITUDE"),
                  .elevation = lw_csv_column(csv, "ELEVATION")};
    for (int v = 0; v < LW_STATION_VALUES; v++) {
        const int flag_1991 = column_of(csv, "comp_flag_", VALUES[v].name, "");
        l->value[v] = lw_csv_column(csv, VALUES[v].name);
        l->measured[v] = column_of(csv, "meas_flag_", VALUES[v].name, "");
        l->complete[v] = flag_1991 >= 0 ? flag_1991 : column_of(csv, "", VALUES[v].name, "_ATTRIBUTES");
        l->is_1991 |= flag_1991 >= 0 || l->measured[v] >= 0;
        found += l->value[v] >= 0;
    }
    if (l->station >= 0 && l->date >= 0 && found > 0)
        return LW_OK;
    lw_fail(err, LW_E_SYNTAX,
            "this is no table of monthly normals: its first line names columns STATION, DATE and MLY-TMAX-NORMAL or "
            "others of that kind");
    return fail_here(csv, err);
}

/* ---- one row ---- */

static const char *text_at(const lw_csv *csv, int at)
{
    const char *text = at >= 0 && (size_t)at < csv->count ? csv->field[at] : "";
    return text + strspn(text, " ");
}

static int is_missing(double value)
{
    static const double MARKS[] = {-9999.0, -8888.0, -6666.0, -5555.0};
    for (int i = 0; i < 4; i++)
        if (fabs(value - MARKS[i]) < 0.5)
            return 1;
    return isnan(value);
}

static double in_our_unit(int v, double value, int is_1991)
{
    if (fabs(value + 7777.0) < 0.5)
        return VALUES[v].dim == LW_DIM_TEMPERATURE ? NAN : 0.0;
    value *= is_1991 ? 1.0 : VALUES[v].part;
    const lw_unit *unit = VALUES[v].unit ? lw_unit_find(VALUES[v].dim, VALUES[v].unit, strlen(VALUES[v].unit)) : NULL;
    return unit ? lw_unit_to_si(unit, value) : value;
}

static void put_value(lw_station_climate *to, int v, int month, double value)
{
    switch (v) {
    case LW_STATION_TMAX:
        to->tmax_c[month] = value;
        break;
    case LW_STATION_TMIN:
        to->tmin_c[month] = value;
        break;
    case LW_STATION_WET:
        to->wet_frac[month] = fmin(value / MONTH_DAYS[month], 1.0);
        break;
    default:
        to->precip_mm[month] = 1000.0 * value;
    }
    to->has[v] |= 1u << month;
}

static lw_code read_value(const lw_csv *csv, const layout *l, int v, int month, lw_station_climate *to, lw_err *err)
{
    double value;
    if (l->value[v] < 0)
        return LW_OK;
    const lw_code bad = lw_hourly_number(csv, (size_t)l->value[v], VALUES[v].name, 1, &value, err);
    if (bad)
        return bad;
    const char flag = text_at(csv, l->measured[v])[0];
    const char complete = text_at(csv, l->complete[v])[0];
    if (is_missing(value) || flag == 'M')
        return LW_OK;
    const double ours = in_our_unit(v, value, l->is_1991);
    if (!(ours >= VALUES[v].least && ours <= VALUES[v].most)) {
        if (flag || isnan(ours))
            return LW_OK;
        lw_fail(err, LW_E_RANGE, "%s is %s, which no weather has", VALUES[v].name, lw_num(value).text);
        return fail_here(csv, err);
    }
    put_value(to, v, month, ours);
    if (complete && strchr("PQE", complete))
        to->is_weak[v] |= 1u << month;
    return LW_OK;
}

/* "01", "201001", "2010-01": the month is what ends it. */
static lw_code read_month(const lw_csv *csv, const layout *l, int *month, lw_err *err)
{
    const char *text = text_at(csv, l->date);
    const size_t n = strspn(text, "0123456789-");
    int value = 0;
    if (n == 1 || n == 2 || n == 6 || n == 7)
        value = atoi(n > 2 ? text + n - 2 : text);
    if (value >= 1 && value <= 12 && text[n + strspn(text + n, " ")] == '\0') {
        *month = value - 1;
        return LW_OK;
    }
    lw_fail(err, LW_E_SYNTAX, "the month %s in column DATE is none of 01 to 12", lw_quoted(text, strlen(text)).text);
    return fail_here(csv, err);
}

static lw_code read_place(const lw_csv *csv, const layout *l, lw_station_climate *to, lw_err *err)
{
    const int at[] = {l->latitude, l->longitude, l->elevation};
    static const char *const what[] = {"LATITUDE", "LONGITUDE", "ELEVATION"};
    static const double limit[] = {90.0, 180.0, 9000.0};
    double *const into[] = {&to->latitude_deg, &to->longitude_deg, &to->elevation_m};
    for (int i = 0; i < 3; i++) {
        *into[i] = NAN;
        if (at[i] < 0)
            continue;
        const lw_code bad = lw_hourly_number(csv, (size_t)at[i], what[i], 1, into[i], err);
        if (bad)
            return bad;
        if (is_missing(*into[i]) || *into[i] < -limit[i] || *into[i] > limit[i])
            *into[i] = NAN;
    }
    return LW_OK;
}

/* ---- which station ---- */

static void begin_station(const lw_csv *csv, const layout *l, search *s)
{
    lw_station_climate *to = &s->now;
    *to = (lw_station_climate){.latitude_deg = NAN};
    for (int m = 0; m < LW_MONTHS; m++)
        to->tmax_c[m] = to->tmin_c[m] = to->wet_frac[m] = to->precip_mm[m] = NAN;
    snprintf(to->id, sizeof to->id, "%.31s", text_at(csv, l->station));
    const char *name = text_at(csv, l->name);
    snprintf(to->name, sizeof to->name, "%s", lw_quoted(name, strlen(name)).text);
    snprintf(to->period, sizeof to->period, "%s", l->is_1991 ? "1991-2020" : "1981-2010");
    s->months = 0;
    s->stations++;
}

static int has_temperatures(const lw_station_climate *c)
{
    return (c->has[LW_STATION_TMAX] & c->has[LW_STATION_TMIN]) == LW_ALL_MONTHS;
}

static int has_spot(const lw_normals_choice *choice)
{
    return !isnan(choice->latitude_deg) && !isnan(choice->longitude_deg);
}

static void end_station(search *s)
{
    const lw_normals_choice *choice = s->choice;
    if (s->stations == 0)
        return;
    double away_m = 0.0;
    if (choice->station) {
        if (strcmp(choice->station, s->now.id) != 0)
            return;
    } else if (has_spot(choice)) {
        if (!has_temperatures(&s->now) || isnan(s->now.latitude_deg) || isnan(s->now.longitude_deg))
            return;
        away_m = lw_distance_m((lw_spot){choice->latitude_deg, choice->longitude_deg},
                               (lw_spot){s->now.latitude_deg, s->now.longitude_deg});
    }
    if (s->has_best && !(away_m < s->best_m))
        return;
    s->best = s->now;
    s->best_months = s->months;
    s->best_m = away_m;
    s->has_best = 1;
}

static lw_code read_row(const lw_csv *csv, const layout *l, search *s, lw_err *err)
{
    int month = 0;
    int last = l->station > l->date ? l->station : l->date;
    for (int v = 0; v < LW_STATION_VALUES; v++)
        last = l->value[v] > last ? l->value[v] : last;
    last = l->elevation > last ? l->elevation : last;
    last = l->longitude > last ? l->longitude : last;
    last = l->latitude > last ? l->latitude : last;
    if (csv->count <= (size_t)last) {
        lw_fail(err, LW_E_SYNTAX, "this row has %zu fields, %d are needed; is the file cut?", csv->count, last + 1);
        return fail_here(csv, err);
    }
    lw_code bad = read_month(csv, l, &month, err);
    if (!bad && (s->stations == 0 || strncmp(s->now.id, text_at(csv, l->station), sizeof s->now.id - 1) != 0)) {
        end_station(s);
        begin_station(csv, l, s);
        if (s->stations > 1 && !s->choice->station && !has_spot(s->choice)) {
            lw_fail(err, LW_E_CONFLICT, "the file holds several stations, first %s, here %s; name one",
                    lw_quoted(s->best.id, strlen(s->best.id)).text, lw_quoted(s->now.id, strlen(s->now.id)).text);
            return fail_here(csv, err);
        }
    }
    if (!bad && (s->months >> month & 1)) {
        lw_fail(err, LW_E_CONFLICT, "month %d of station %s comes twice", month + 1,
                lw_quoted(s->now.id, strlen(s->now.id)).text);
        return fail_here(csv, err);
    }
    s->months |= 1u << month;
    bad = bad ? bad : read_place(csv, l, &s->now, err);
    for (int v = 0; v < LW_STATION_VALUES && !bad; v++)
        bad = read_value(csv, l, v, month, &s->now, err);
    return bad;
}

static lw_code choose(const search *s, lw_err *err)
{
    int months = 0;
    if (s->stations == 0)
        return lw_fail(err, LW_E_MISSING, "the table has a header and no rows");
    if (!s->has_best && s->choice->station)
        return lw_fail(err, LW_E_MISSING, "there is no station %s in this file",
                       lw_quoted(s->choice->station, strlen(s->choice->station)).text);
    if (!s->has_best)
        return lw_fail(err, LW_E_MISSING, "no station of this file has a place and the temperatures of all months");
    for (int m = 0; m < LW_MONTHS; m++)
        months += (int)(s->best_months >> m & 1);
    if (months < LW_MONTHS)
        return lw_fail(err, LW_E_MISSING, "station %s has rows for %d of 12 months; is the file cut?",
                       lw_quoted(s->best.id, strlen(s->best.id)).text, months);
    for (int m = 0; m < LW_MONTHS; m++)
        if (s->best.tmin_c[m] > s->best.tmax_c[m])
            return lw_fail(err, LW_E_CONFLICT, "the mean minimum of month %d is above its mean maximum", m + 1);
    return LW_OK;
}

static lw_code read_table(lw_csv *csv, search *s, lw_err *err)
{
    layout l;
    lw_code bad = lw_csv_next(csv, err);
    if (!bad && csv->count == 0)
        return lw_fail(err, LW_E_MISSING, "the file is empty");
    bad = bad ? bad : read_names(csv, &l, err);
    while (!bad) {
        bad = lw_csv_next(csv, err);
        if (bad || csv->count == 0)
            break;
        bad = read_row(csv, &l, s, err);
    }
    if (bad)
        return bad;
    end_station(s);
    return choose(s, err);
}

lw_code lw_normals_read(lw_read_fn *read, void *context, const char *name, const lw_normals_choice *choice,
                        lw_station_climate *out, lw_err *err)
{
    lw_csv *csv = malloc(sizeof *csv);
    search s = {.choice = choice};
    if (!csv)
        return lw_fail(err, LW_E_FULL, "no memory to read a table");
    lw_csv_init(csv, read, context, 0);
    const lw_code code = read_table(csv, &s, err);
    free(csv);
    if (code)
        return lw_err_at(err, name, 0, NULL);
    *out = s.best;
    return LW_OK;
}

lw_code lw_normals_read_path(const char *path, const lw_normals_choice *choice, lw_station_climate *out, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, LW_E_IO, "the system does not let this file be read; is its name right?");
        return lw_err_at(err, path, 0, NULL);
    }
    const lw_code code = lw_normals_read(lw_read_file, file, path, choice, out, err);
    fclose(file);
    return code;
}
