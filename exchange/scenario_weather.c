#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/land/distance.h"
#include "core/sky/air.h"
#include "core/sky/snowfall.h"
#include "exchange/hourly.h"
#include "exchange/scenario_internal.h"
#include "text/quantity.h"
#include "text/say.h"

static const double LAPSE_KPM = 0.0065;         /* ICAO standard atmosphere */
static const double LOW_H = 6.0, HIGH_H = 15.0; /* mean solar time: the low about sunrise, the high in mid-afternoon */
static const double FAR_M = 150000.0;           /* a file from further away earns a note */
static const double PI = 3.14159265358979323846;

/* ---- values by month, or one set ---- */

typedef struct day_set {
    int is_given;
    double high_c, low_c, clear_frac, wind_ms, humidity_frac, rain_mm; /* rain: in a month */
} day_set;

static day_set read_set(lw_reader *r, const lw_scope *in, const lw_scope *defaults)
{
    day_set set = {.is_given = 1};
    static const char *const KEYS[] = {"high", "low", "clear", "wind", "humidity", "rain"};
    double *const to[] = {&set.high_c, &set.low_c, &set.clear_frac, &set.wind_ms, &set.humidity_frac, &set.rain_mm};
    for (int i = 0; i < 6; i++)
        *to[i] = lw_read_si(r, lw_read_is_given(r, in, KEYS[i]) ? in : defaults, KEYS[i]);
    set.rain_mm *= 1000.0; /* metres of water */
    if (isnan(set.high_c) || isnan(set.low_c))
        lw_read_refuse(r, in, NULL, LW_E_MISSING,
                       "%s is missing; write high: 86 F and low: 52 F, or name a file or months",
                       isnan(set.high_c) ? "high" : "low");
    if (set.low_c > set.high_c)
        lw_read_refuse(r, in, "low", LW_E_CONFLICT, "the low is above the high");
    return set;
}

static const char MONTHS[12][4] = {"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"};

static int read_months(lw_reader *r, const lw_scope *weather, day_set months[12])
{
    memset(months, 0, 12 * sizeof *months);
    if (!lw_read_is_given(r, weather, "months"))
        return 0;
    const lw_scope all = lw_read_map(r, weather, "months");
    for (int m = 0; m < 12 && !r->code; m++)
        if (lw_read_is_given(r, &all, MONTHS[m])) {
            const lw_scope one = lw_read_map(r, &all, MONTHS[m]);
            months[m] = read_set(r, &one, weather);
        }
    return 1;
}

static double blend(double a, double b, double t)
{
    return a + (b - a) * t;
}

/* Month's values hold at its middle; between two middles the days pass over, where both months are given. */
static day_set set_of_day(const day_set months[12], int64_t day)
{
    const lw_date date = lw_date_of(day);
    const double length = lw_days_in_month(date.year, date.month), at = (date.day - 0.5) / length;
    const int own = date.month - 1, other = at < 0.5 ? (own + 11) % 12 : (own + 1) % 12;
    day_set set = months[own];
    if (set.is_given && months[other].is_given) {
        const double t = fabs(at - 0.5);
        const day_set *b = &months[other];
        set = (day_set){1,
                        blend(set.high_c, b->high_c, t),
                        blend(set.low_c, b->low_c, t),
                        blend(set.clear_frac, b->clear_frac, t),
                        blend(set.wind_ms, b->wind_ms, t),
                        blend(set.humidity_frac, b->humidity_frac, t),
                        blend(set.rain_mm, b->rain_mm, t)};
    }
    return set;
}

/* From 0 at the day's low to 1 at its high: half a cosine up, a longer half down. */
static double warmth(double solar_h)
{
    if (solar_h >= LOW_H && solar_h <= HIGH_H)
        return 0.5 - 0.5 * cos(PI * (solar_h - LOW_H) / (HIGH_H - LOW_H));
    const double since = solar_h > HIGH_H ? solar_h - HIGH_H : solar_h + 24.0 - HIGH_H;
    return 0.5 + 0.5 * cos(PI * since / (24.0 - HIGH_H + LOW_H));
}

static void hour_of_set(const lw_scenario *to, int i, const day_set *set, double lift_k, lw_weather *w)
{
    const int64_t middle_s = to->calendar.start_s + 3600 * (int64_t)i + 1800;
    const double solar_h = fmod((double)(middle_s % 86400) / 3600.0 + to->place.longitude_deg / 15.0 + 24.0, 24.0);
    const lw_date date = lw_date_of(to->calendar.civil_day[i]);
    w->air_c[i] = blend(set->low_c, set->high_c, warmth(solar_h)) + lift_k;
    w->wind_ms[i] = set->wind_ms;
    w->humidity_frac[i] = set->humidity_frac;
    w->clear_frac[i] = set->clear_frac;
    w->ghi_wm2[i] = w->dni_wm2[i] = w->dhi_wm2[i] = NAN;
    w->precip_mm[i] = set->rain_mm / (24.0 * lw_days_in_month(date.year, date.month));
}

/* The given month that is nearest in the year. */
static const day_set *nearest_set(const day_set months[12], int month)
{
    for (int away = 0; away <= 6; away++) {
        const day_set *before = &months[(month + 12 - away) % 12], *after = &months[(month + away) % 12];
        if (before->is_given || after->is_given)
            return before->is_given ? before : after;
    }
    return NULL;
}

/* A month that the stay itself touches must be there; for the days looked at beyond it the nearest one stands in. */
static void fill_from_sets(lw_reader *r, const lw_scope *in, const day_set months[12], double lift_k)
{
    lw_scenario *to = r->out->scenario;
    int is_said = 0;
    for (int i = 0; i < to->calendar.hours && !r->code; i++) {
        const int month = lw_date_of(to->calendar.civil_day[i]).month - 1;
        const int is_stay = i == 0 || to->calendar.start_s + 3600 * (int64_t)i < to->stay.departure_s;
        day_set set = set_of_day(months, to->calendar.civil_day[i]);
        const day_set *near = nearest_set(months, month);
        if (!near || (!set.is_given && is_stay)) {
            lw_read_refuse(r, in, "months", LW_E_MISSING, "there is no %s, but the stay reaches into it",
                           MONTHS[month]);
            return;
        }
        if (!set.is_given) {
            if (!is_said++)
                lw_read_note(r, in, "months", "there is no %s; for the days after the stay the nearest month stands in",
                             MONTHS[month]);
            set = *near;
        }
        hour_of_set(to, i, &set, lift_k, &to->weather);
    }
}

/* ---- an hourly file ---- */

void lw_scenario_beside(char *buf, size_t size, const char *scenario, const char *name)
{
    const char *slash = strrchr(scenario, '/');
    if (name[0] == '/' || !slash)
        snprintf(buf, size, "%s", name);
    else
        snprintf(buf, size, "%.*s/%s", (int)(slash - scenario), scenario, name);
}

static int value_at(lw_reader *r, const lw_scope *in, const lw_hourly *file, int64_t utc_s, lw_hourly_values *out)
{
    const int64_t local_s = utc_s + (int64_t)llround(file->utc_offset_h * 3600.0);
    const int64_t day = local_s >= 0 ? local_s / 86400 : -((86399 - local_s) / 86400);
    const lw_date date = lw_date_of(day);
    lw_err own = {0};
    if (lw_hourly_at(file, date.month, date.day, (double)(local_s - day * 86400) / 3600.0, out, &own)) {
        lw_read_refuse(r, in, "file", own.code, "%s", own.text);
        return 0;
    }
    return 1;
}

/* Two samples an hour: an hour of ours may begin anywhere in an hour of the file's. */
static int mean_of_hour(lw_reader *r, const lw_scope *in, const lw_hourly *file, int64_t start_s,
                        lw_hourly_values *mean)
{
    lw_hourly_values early, late;
    if (!value_at(r, in, file, start_s + 900, &early) || !value_at(r, in, file, start_s + 2700, &late))
        return 0;
    for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++)
        mean->value[c] = 0.5 * (early.value[c] + late.value[c]);
    return 1;
}

static double or_else(double value, double other)
{
    return isnan(value) ? other : value;
}

static void fill_from_file(lw_reader *r, const lw_scope *in, const lw_hourly *file, double lift_k)
{
    lw_scenario *to = r->out->scenario;
    lw_weather *w = &to->weather;
    const double wind_ms = file->is_absent[LW_HOURLY_WIND] ? lw_read_si(r, in, "wind") : 0.0;
    const double humidity_frac = file->is_absent[LW_HOURLY_HUMIDITY] ? lw_read_si(r, in, "humidity") : 0.5;
    const double steps_an_hour = 3600.0 / file->step_s;
    for (int i = 0; i < to->calendar.hours && !r->code; i++) {
        lw_hourly_values v;
        if (!mean_of_hour(r, in, file, to->calendar.start_s + 3600 * (int64_t)i, &v))
            return;
        w->air_c[i] = v.value[LW_HOURLY_AIR] + lift_k;
        w->wind_ms[i] = or_else(v.value[LW_HOURLY_WIND], wind_ms);
        w->humidity_frac[i] = fmin(or_else(v.value[LW_HOURLY_HUMIDITY], humidity_frac), 1.0);
        w->ghi_wm2[i] = v.value[LW_HOURLY_GHI];
        w->dni_wm2[i] = v.value[LW_HOURLY_DNI];
        w->dhi_wm2[i] = v.value[LW_HOURLY_DHI];
        w->clear_frac[i] = 1.0;
        w->precip_mm[i] = or_else(v.value[LW_HOURLY_PRECIPITATION], 0.0) * steps_an_hour;
    }
}

static void say_file(lw_reader *r, const lw_scope *in, const lw_hourly *file)
{
    const lw_place *place = &r->out->scenario->place;
    const double away_m = lw_distance_m((lw_spot){place->latitude_deg, place->longitude_deg},
                                        (lw_spot){file->latitude_deg, file->longitude_deg});
    char shown[LW_QUANTITY_BYTES], notes[600];
    if (away_m > FAR_M)
        lw_read_note(r, in, "file", "the weather was measured %s from the place",
                     lw_quantity_print(shown, sizeof shown, away_m, LW_DIM_LENGTH, r->out->units));
    lw_hourly_notes(file, notes, sizeof notes);
    for (char *line = notes; *line;) {
        const size_t n = strcspn(line, "\n");
        lw_read_note(r, in, "file", "%.*s", (int)n, line);
        line += n + (line[n] == '\n');
    }
    if (!r->out->weather_source[0])
        snprintf(r->out->weather_source, sizeof r->out->weather_source, "%s file of %.90s",
                 lw_hourly_form_word(file->form), file->place);
}

static double lift_of(lw_reader *r, const lw_scope *in, double from_m)
{
    const double given_m = lw_read_si(r, in, "elevation");
    if (!isnan(given_m))
        from_m = given_m;
    r->out->weather_elevation_m = from_m;
    return isnan(from_m) ? 0.0 : LAPSE_KPM * (from_m - r->out->scenario->place.elevation_m);
}

static void read_file(lw_reader *r, const lw_scope *in, const char *name)
{
    char path[1400];
    lw_hourly file;
    lw_err own = {0};
    lw_scenario_beside(path, sizeof path, r->out->file, name);
    lw_hourly_init(&file);
    if (lw_hourly_read_path(path, &file, &own)) {
        lw_read_refuse(r, in, "file", own.code, "%s: %s", own.where, own.text);
    } else {
        say_file(r, in, &file);
        fill_from_file(r, in, &file, lift_of(r, in, file.elevation_m));
    }
    lw_hourly_clear(&file);
}

/* ---- which of them ---- */

static int is_given(lw_reader *r, const lw_scope *in, const char *key)
{
    return in->node && in->node->kind == LW_YAML_MAP && lw_read_is_given(r, in, key);
}

/* The kinds of weather, each by the keys that say it. */
static const char *const KINDS[][2] = {
    {"months", "months"}, {"high", "low"}, {"normals", "normals"}, {"ghcn", "ghcn"}, {"file", "file"}};

enum { KIND_COUNT = sizeof KINDS / sizeof KINDS[0] };

static void want_one_kind(lw_reader *r, const lw_scope *in)
{
    int count = 0;
    for (int k = 0; k < KIND_COUNT; k++) {
        const char *key = is_given(r, in, KINDS[k][0]) ? KINDS[k][0] : KINDS[k][1];
        const int here = is_given(r, in, key);
        count += here;
        if (here && count == 2) {
            lw_read_refuse(r, in, key, LW_E_CONFLICT,
                           "a file, a station's record, months and one high and low exclude one another; keep one");
            return;
        }
    }
}

/* Asked for, or none of the others is given. A station's record is the climate, drawn to it. */
static int is_climate(lw_reader *r, const lw_scope *in, const char *file)
{
    if (file)
        return strcmp(file, "climate") == 0;
    return !is_given(r, in, "months") && !is_given(r, in, "high") && !is_given(r, in, "low");
}

static void read_sets(lw_reader *r, const lw_scope *in, const char *source)
{
    day_set months[12];
    const int is_by_month = read_months(r, in, months);
    if (!is_by_month) {
        const day_set same = read_set(r, in, in);
        for (int m = 0; m < 12; m++)
            months[m] = same;
    }
    if (!source)
        snprintf(r->out->weather_source, sizeof r->out->weather_source, "%s",
                 is_by_month ? "values by month as the scenario says" : "one set of values for the whole stay");
    fill_from_sets(r, in, months, lift_of(r, in, NAN));
}

/* Means know no snowy day: a month's snow trickles through all its hours and would keep a panel white from the first on. It
 * is gathered into falls of 5 mm of water, some 5 cm (a snowy day's, from memory), the first after half of that. */
static const double FALL_MM = 5.0;

static int is_of_a_mean(const lw_loaded *out, int64_t at_s)
{
    const int is_forecast = at_s >= out->forecast_from_s && at_s < out->forecast_until_s;
    return !out->weather_is_one_year && !is_forecast;
}

/* Whatever the source of the weather: what of it falls as snow by warmth, humidity and height of its hour. */
void lw_fill_snow(const lw_loaded *out, lw_scenario *to)
{
    lw_weather *w = &to->weather;
    const double pressure_pa = lw_air_standard(to->place.elevation_m).pressure_pa;
    double gathered_mm = 0.5 * FALL_MM;
    for (int i = 0; i < to->calendar.hours; i++) {
        w->snow_mm[i] = 0.0;
        if (!(w->precip_mm[i] > 0.0))
            continue;
        const double snow_mm =
            w->precip_mm[i] * lw_snow_frac(&(lw_snowfall_in){w->air_c[i], w->humidity_frac[i], pressure_pa});
        if (!is_of_a_mean(out, to->calendar.start_s + INT64_C(3600) * i)) {
            w->snow_mm[i] = snow_mm;
        } else if ((gathered_mm += snow_mm) >= FALL_MM) {
            w->snow_mm[i] = FALL_MM;
            gathered_mm -= FALL_MM;
        }
    }
}

void lw_read_weather(lw_reader *r, const lw_scope *root)
{
    const lw_scope in = lw_read_map(r, root, "weather");
    const char *source = lw_read_text(r, &in, "source"), *file = lw_read_text(r, &in, "file");
    lw_value made;
    if (in.node && in.node->kind != LW_YAML_MAP)
        source = NULL;
    snprintf(r->out->weather_source, sizeof r->out->weather_source, "%.190s", source ? source : "");
    if (lw_read_value(r, &in, "made", &made))
        r->out->weather_made_s = lw_utc_of(&r->out->zone, made.at.day, 0);
    r->out->weather_is_typical = 1;
    want_one_kind(r, &in);
    if (r->code)
        return;
    r->out->weather_is_climate = is_climate(r, &in, file);
    r->out->weather_is_one_year = file && !r->out->weather_is_climate;
    char unused[LW_STATION_SAID];
    if (!is_climate(r, &in, file))
        lw_find_climate(r, &in, unused, sizeof unused);
    if (is_climate(r, &in, file))
        lw_read_climate(r, root, file || is_given(r, &in, "normals") || is_given(r, &in, "ghcn"));
    else if (file)
        read_file(r, &in, file);
    else
        read_sets(r, &in, source);
    if (!r->code && is_given(r, &in, "forecast"))
        lw_read_forecast(r, &in, lw_read_text(r, &in, "forecast"));
    if (!r->code)
        lw_fill_snow(r->out, r->out->scenario);
}
