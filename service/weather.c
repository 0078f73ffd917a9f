#include "service/weather.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/sky/air.h"
#include "core/sky/clear_sky.h"
#include "core/sky/horizon.h"
#include "core/sky/sun_table.h"
#include "service/json.h"
#include "text/moment.h"
#include "text/say.h"

static const double RAD = 0.017453292519943295, PI = 3.14159265358979323846;
static const int YEAR = 2026; /* any: the sun of a date hardly moves from year to year */

/* ---- the climate by month ---- */

/* What falls above the air on level ground in a day: the integral of the sun's height from sunrise to sunset. */
static double above_air_kwhm2(double latitude_deg, int64_t day)
{
    lw_spa_sun sun;
    lw_spa_sun_at((double)day * 86400.0 + 43200.0, LW_SPA_DELTA_T_S, &sun);
    const double latitude = latitude_deg * RAD, declination = sun.declination_deg * RAD;
    const double half = acos(fmin(fmax(-tan(latitude) * tan(declination), -1.0), 1.0));
    const double height = half * sin(latitude) * sin(declination) + sin(half) * cos(latitude) * cos(declination);
    return 24.0 / PI * lw_clear_extra_dni_at_wm2(sun.radius_au) * height / 1000.0;
}

static void add_note(lw_weather_answer *answer, const char *text)
{
    if (answer->note_count < LW_WEATHER_NOTES)
        snprintf(answer->note[answer->note_count++], sizeof answer->note[0], "%s", text);
}

static void fill_months(lw_weather_answer *answer, const lw_climate_site *site, lw_unit_system units)
{
    char said[LW_CLIMATE_DOUBTS][LW_CLIMATE_SENTENCE];
    unsigned doubts = 0;
    answer->is_climate = 1;
    for (int m = 0; m < 12; m++) {
        lw_weather_month *to = &answer->month[m];
        lw_climate_of_month(site, m + 1, &to->normal);
        lw_climate_error(site, m + 1, &to->error);
        doubts |= lw_climate_doubts(site, m + 1);
        to->sun_kwhm2 =
            to->normal.kt * above_air_kwhm2(site->place.latitude_deg, lw_day_of((lw_date){YEAR, m + 1, 15}));
        to->wet_days = to->normal.wet_frac * lw_days_in_month(YEAR, m + 1);
        to->rain_mm = to->wet_days * to->normal.wet_day_mm;
    }
    const int count = lw_climate_doubts_say(doubts, units, said);
    for (int i = 0; i < count; i++)
        add_note(answer, said[i]);
}

lw_code lw_weather_of_place(const lw_climate_place *asked, lw_unit_system units, lw_weather_answer *answer, lw_err *err)
{
    lw_fault fault;
    lw_climate_site site;
    const int has_height = !isnan(asked->elevation_m);
    const lw_climate_place place = {asked->latitude_deg, asked->longitude_deg, has_height ? asked->elevation_m : 0.0};
    if (lw_climate_check(&place, &fault))
        return lw_climate_refuse(&fault, units, err);
    *answer = (lw_weather_answer){.place = place};
    lw_climate_site_make(&place, &site);
    if (!has_height)
        add_note(answer, "no elevation is said, so sea level is taken; the height decides more than anything else");
    fill_months(answer, &site, units);
    return LW_OK;
}

/* ---- the loaded weather by day ---- */

typedef struct day_sky {
    lw_sun_table table;
    lw_sun_place place;
    double pressure_pa;
} day_sky;

static void sky_make(const lw_scenario *s, day_sky *to)
{
    to->pressure_pa = lw_air_standard(s->place.elevation_m).pressure_pa;
    to->place = lw_sun_place_at(s->place.latitude_deg, s->place.longitude_deg, s->place.elevation_m);
    const int64_t first = (int64_t)floor((double)s->calendar.start_s / 86400.0);
    lw_sun_table_fill(&to->table, first, s->calendar.hours / 24 + 3, LW_SPA_DELTA_T_S);
}

/* Mean of the hour under a cloudless sky, by its quarters. */
static double clear_wm2(const lw_scenario *s, const day_sky *sky, int hour)
{
    double sum_wm2 = 0.0;
    for (int quarter = 0; quarter < 4; quarter++) {
        lw_sun sun;
        lw_clear_out out;
        lw_sun_at(&sky->table, &sky->place, (double)s->calendar.start_s + 3600.0 * hour + 900.0 * quarter + 450.0,
                  &sun);
        lw_clear(&(lw_clear_in){.apparent_zenith_deg = 90.0 - sun.apparent_elevation_deg,
                                .pressure_pa = sky->pressure_pa,
                                .elevation_m = s->place.elevation_m,
                                .linke_turbidity = s->place.linke_turbidity,
                                .extra_dni_wm2 = lw_clear_extra_dni_at_wm2(sun.radius_au)},
                 &out);
        sum_wm2 += 0.25 * out.ghi_wm2;
    }
    return sum_wm2;
}

/* Every fourth minute of the hour. */
static void add_direct_sun(const lw_scenario *s, const day_sky *sky, int hour, lw_weather_date *to)
{
    static const int STEPS = 15;
    static const lw_horizon level;
    lw_horizon land = {.shade_frac = 0.0};
    memcpy(land.elevation_deg, s->place.horizon_deg, sizeof land.elevation_deg);
    for (int i = 0; i < STEPS; i++) {
        lw_sun sun;
        lw_sun_at(&sky->table, &sky->place, (double)s->calendar.start_s + 3600.0 * (hour + (i + 0.5) / STEPS), &sun);
        if (!(sun.apparent_elevation_deg > -1.0))
            continue;
        const double azimuth_deg = lw_sun_azimuth_deg(&sun);
        to->up_h += lw_horizon_sun_frac(&level, azimuth_deg, sun.apparent_elevation_deg) / STEPS;
        to->direct_h += lw_horizon_sun_frac(&land, azimuth_deg, sun.apparent_elevation_deg) / STEPS;
    }
}

static void add_hour(const lw_scenario *s, const day_sky *sky, int hour, lw_weather_date *to, double *clear_kwhm2)
{
    add_direct_sun(s, sky, hour, to);
    const lw_weather *w = &s->weather;
    const double clear = clear_wm2(s, sky, hour);
    const double ghi_wm2 = isnan(w->ghi_wm2[hour]) ? clear * w->clear_frac[hour] : w->ghi_wm2[hour];
    to->high_c = to->hours ? fmax(to->high_c, w->air_c[hour]) : w->air_c[hour];
    to->low_c = to->hours ? fmin(to->low_c, w->air_c[hour]) : w->air_c[hour];
    to->hours++;
    to->sun_kwhm2 += ghi_wm2 / 1000.0;
    to->rain_mm += w->precip_mm[hour];
    to->wind_ms += w->wind_ms[hour];
    to->humidity_frac += w->humidity_frac[hour];
    *clear_kwhm2 += clear / 1000.0;
}

static void fill_dates(lw_weather_answer *answer, const day_sky *sky)
{
    const lw_scenario *s = answer->loaded.scenario;
    double clear_kwhm2 = 0.0;
    lw_weather_date *to = NULL;
    for (int h = 0; h < s->calendar.hours; h++) {
        if (!to || to->day != s->calendar.civil_day[h]) {
            to = &answer->date[answer->date_count++];
            *to = (lw_weather_date){.day = s->calendar.civil_day[h]};
            clear_kwhm2 = 0.0;
            answer->stay_count += !s->stay.departure_s || s->calendar.start_s + 3600 * (int64_t)h < s->stay.departure_s;
        }
        add_hour(s, sky, h, to, &clear_kwhm2);
        to->clear_frac = clear_kwhm2 > 0.0 ? to->sun_kwhm2 / clear_kwhm2 : NAN;
    }
    for (int d = 0; d < answer->date_count; d++) {
        answer->date[d].wind_ms /= answer->date[d].hours;
        answer->date[d].humidity_frac /= answer->date[d].hours;
    }
}

/* Of a scenario's notes those about its weather: "camp.yaml:3 weather.file", "weather". */
static void keep_notes(lw_weather_answer *answer)
{
    static const char ABOUT[] = "weather";
    for (int i = 0; i < answer->loaded.note_count; i++) {
        const lw_note *note = &answer->loaded.note[i];
        const char *space = strrchr(note->where, ' ');
        if (strncmp(space ? space + 1 : note->where, ABOUT, sizeof ABOUT - 1) == 0)
            add_note(answer, note->text);
    }
}

static void take_over(lw_loaded *loaded, lw_weather_answer *made)
{
    made->loaded = *loaded;
    *loaded = (lw_loaded){.scenario = NULL};
    const lw_place *place = &made->loaded.scenario->place;
    made->place = (lw_climate_place){place->latitude_deg, place->longitude_deg, place->elevation_m};
    keep_notes(made);
}

static lw_code load(const lw_scenario_from *from, lw_weather_answer *made, lw_err *err)
{
    lw_loaded loaded = {.scenario = NULL};
    const lw_code code = lw_scenario_load(from, &loaded, err);
    if (!code)
        take_over(&loaded, made);
    return code;
}

lw_code lw_weather_of_loaded(lw_loaded *loaded, lw_weather_answer *answer, lw_err *err)
{
    lw_weather_answer made = {.is_climate = 0};
    take_over(loaded, &made);
    day_sky *above = malloc(sizeof *above);
    if (!above) {
        lw_loaded_clear(&made.loaded);
        return lw_fail(err, LW_E_FULL, "there is not enough memory for this weather");
    }
    sky_make(made.loaded.scenario, above);
    fill_dates(&made, above);
    free(above);
    *answer = made;
    return LW_OK;
}

lw_code lw_weather_of_scenario(const lw_scenario_from *from, lw_weather_answer *answer, lw_err *err)
{
    lw_loaded loaded = {.scenario = NULL};
    const lw_code code = lw_scenario_load(from, &loaded, err);
    return code ? code : lw_weather_of_loaded(&loaded, answer, err);
}

lw_code lw_weather_of_scenario_by_month(const lw_scenario_from *from, lw_weather_answer *answer, lw_err *err)
{
    lw_weather_answer made = {.is_climate = 1};
    const lw_code code = load(from, &made, err);
    if (code)
        return code;
    if (!made.loaded.has_climate) {
        lw_loaded_clear(&made.loaded);
        return lw_fail(err, LW_E_RANGE, "the climate of North America does not reach the place of %s", from->path);
    }
    made.note_count = 0; /* those of the scenario are of its days */
    fill_months(&made, &made.loaded.climate, made.loaded.units);
    *answer = made;
    return LW_OK;
}

void lw_weather_answer_clear(lw_weather_answer *answer)
{
    lw_loaded_clear(&answer->loaded);
    *answer = (lw_weather_answer){.is_climate = 0};
}

/* ---- JSON ---- */

static void put_place(lw_json *j, json_t *root, const lw_weather_answer *answer)
{
    json_t *o = lw_json_object(j);
    lw_json_number(j, o, "latitude_deg", answer->place.latitude_deg, 5);
    lw_json_number(j, o, "longitude_deg", answer->place.longitude_deg, 5);
    lw_json_number(j, o, "elevation_m", answer->place.elevation_m, 1);
    lw_json_put(j, root, "place", o);
}

static json_t *month_of(lw_json *j, const lw_weather_month *m, int month)
{
    json_t *o = lw_json_object(j), *error = lw_json_object(j);
    lw_json_count(j, o, "month", month);
    lw_json_number(j, o, "high_c", m->normal.tmax_c, 2);
    lw_json_number(j, o, "low_c", m->normal.tmin_c, 2);
    lw_json_number(j, o, "day_spread_k", m->normal.sd_k, 2);
    lw_json_number(j, o, "range_spread_k", m->normal.sddtr_k, 2);
    lw_json_number(j, o, "day_before_r", m->normal.r1, 3);
    lw_json_number(j, o, "clearness", m->normal.kt, 3);
    lw_json_number(j, o, "sun_kwhm2", m->sun_kwhm2, 2);
    lw_json_number(j, o, "wet_days", m->wet_days, 1);
    lw_json_number(j, o, "rain_mm", m->rain_mm, 1);
    lw_json_number(j, o, "wind_ms", m->normal.wind_ms, 2);
    lw_json_number(j, error, "high_k", m->error.tmax_k, 2);
    lw_json_number(j, error, "low_k", m->error.tmin_k, 2);
    lw_json_number(j, error, "clearness", m->error.kt, 3);
    lw_json_number(j, error, "wet_frac", m->error.wet_frac, 3);
    lw_json_number(j, error, "wind_ms", m->error.wind_ms, 2);
    lw_json_put(j, o, "error", error);
    return o;
}

static json_t *date_of(lw_json *j, const lw_weather_date *d)
{
    char date[40];
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "date", lw_date_print(date, sizeof date, lw_date_of(d->day)));
    lw_json_count(j, o, "hours", d->hours);
    lw_json_number(j, o, "high_c", d->high_c, 2);
    lw_json_number(j, o, "low_c", d->low_c, 2);
    lw_json_number(j, o, "sun_up_h", d->up_h, 2);
    lw_json_number(j, o, "direct_sun_h", d->direct_h, 2);
    lw_json_number(j, o, "sun_kwhm2", d->sun_kwhm2, 2);
    lw_json_number(j, o, "clear_frac", d->clear_frac, 3);
    lw_json_number(j, o, "rain_mm", d->rain_mm, 2);
    lw_json_number(j, o, "wind_ms", d->wind_ms, 2);
    lw_json_number(j, o, "humidity_frac", d->humidity_frac, 3);
    return o;
}

static void put_note(lw_json *j, json_t *notes, const char *text)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "text", text);
    lw_json_add(j, notes, o);
}

lw_code lw_weather_json(const lw_weather_answer *answer, const char *version, char **text, lw_err *err)
{
    lw_json j = {.zone = &answer->loaded.zone};
    json_t *root = lw_json_object(&j), *rows = lw_json_array(&j), *notes = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.weather/1");
    lw_json_text(&j, root, "version", version);
    lw_json_text(&j, root, "kind", answer->is_climate ? "climate" : "loaded");
    put_place(&j, root, answer);
    if (!answer->is_climate) {
        lw_json_text(&j, root, "source", answer->loaded.weather_source);
        lw_json_flag(&j, root, "is_typical", answer->loaded.weather_is_typical);
    }
    for (int i = 0; answer->is_climate && i < 12; i++)
        lw_json_add(&j, rows, month_of(&j, &answer->month[i], i + 1));
    for (int i = 0; i < answer->date_count; i++)
        lw_json_add(&j, rows, date_of(&j, &answer->date[i]));
    lw_json_put(&j, root, answer->is_climate ? "months" : "days", rows);
    for (int i = 0; i < answer->note_count; i++)
        put_note(&j, notes, answer->note[i]);
    lw_json_put(&j, root, "notes", notes);
    *text = lw_json_finish(&j, root, 0);
    return *text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for JSON");
}
