#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/sky/weather_draw.h"
#include "exchange/climate.h"
#include "exchange/scenario_internal.h"
#include "text/quantity.h"

static int month_at(const lw_scenario *to, int hour)
{
    return lw_date_of(to->calendar.civil_day[hour]).month;
}

/* Hours of the stay itself, without the days looked at beyond it. */
static int stay_hours(const lw_scenario *to)
{
    const int64_t until_s = to->stay.departure_s ? to->stay.departure_s : INT64_MAX;
    int hours = 1;
    while (hours < to->calendar.hours && to->calendar.start_s + 3600 * (int64_t)hours < until_s)
        hours++;
    return hours;
}

static void say_doubts(lw_reader *r, const lw_scope *root, const lw_climate_site *site)
{
    char sentence[LW_CLIMATE_DOUBTS][LW_CLIMATE_SENTENCE];
    unsigned doubts = 0;
    const int hours = stay_hours(r->out->scenario);
    for (int i = 0; i < hours; i++)
        if (i == 0 || month_at(r->out->scenario, i) != month_at(r->out->scenario, i - 1))
            doubts |= lw_climate_doubts(site, month_at(r->out->scenario, i));
    const int count = lw_climate_doubts_say(doubts, r->out->units, sentence);
    for (int i = 0; i < count; i++)
        lw_read_note(r, root, "weather", "%s", sentence[i]);
}

static char *step(char *buf, size_t n, double kelvin, lw_unit_system units)
{
    return lw_quantity_print_in(buf, n, kelvin, lw_quantity_unit(kelvin, LW_DIM_TEMPERATURE_STEP, units), 2);
}

/* The height decides more than all else, and no map is at hand to look it up. */
static void say_height(lw_reader *r, const lw_scope *root)
{
    static const double RISE_M = 304.8, LAPSE_KPM = 0.0065; /* 1000 ft; ICAO standard atmosphere */
    const lw_scope place = lw_read_map(r, root, "place");
    char taken[LW_QUANTITY_BYTES], rise[LW_QUANTITY_BYTES], colder[LW_QUANTITY_BYTES];
    if (lw_read_is_given(r, &place, "elevation") || r->out->ground)
        return;
    const double rise_m = r->out->units == LW_UNITS_US ? RISE_M : 300.0;
    lw_read_note(
        r, root, "weather",
        "place.elevation is not said, and the climate is taken at %s: each %s higher is some %s colder; say it",
        lw_quantity_print(taken, sizeof taken, r->out->scenario->place.elevation_m, LW_DIM_LENGTH, r->out->units),
        lw_quantity_print(rise, sizeof rise, rise_m, LW_DIM_LENGTH, r->out->units),
        step(colder, sizeof colder, rise_m * LAPSE_KPM, r->out->units));
}

static void say_climate(lw_reader *r, const lw_scope *root, const lw_climate_site *site, const char *station,
                        int is_asked)
{
    lw_loaded *out = r->out;
    char high[LW_QUANTITY_BYTES], low[LW_QUANTITY_BYTES];
    const int month = month_at(out->scenario, 0);
    lw_climate_rms error;
    lw_climate_day normal;
    lw_climate_error(site, month, &error);
    lw_climate_of_month(site, month, &normal);
    step(high, sizeof high, error.tmax_k, out->units);
    step(low, sizeof low, error.tmin_k, out->units);
    if (!out->weather_source[0] && station[0])
        snprintf(out->weather_source, sizeof out->weather_source,
                 "climate of the place drawn to %.104s (mean high +- %.14s, low +- %.14s)", station, high, low);
    else if (!out->weather_source[0])
        snprintf(
            out->weather_source, sizeof out->weather_source,
            "climate of the place, 1991-2020, by a fit to stations (the mean high plus or minus %.30s, the low %.30s)",
            high, low);
    if (!is_asked) {
        char value[64], source[160];
        snprintf(value, sizeof value, "climate, highs +- %.16s, lows +- %.16s", high, low);
        snprintf(source, sizeof source,
                 "fit to stations of 1991-2020, data/climate; clearness +- %ld %%, wind of the open +- %ld %%",
                 lround(100.0 * error.kt / normal.kt), lround(100.0 * error.wind_ms / normal.wind_ms));
        lw_read_assume(r, root, "weather", value, source, "fitted");
    }
    say_height(r, root);
    say_doubts(r, root, site);
}

static lw_climate_place place_of(const lw_scenario *scenario)
{
    const lw_place *at = &scenario->place;
    return (lw_climate_place){at->latitude_deg, at->longitude_deg, at->elevation_m};
}

static void refuse_place(lw_reader *r, const lw_scope *root, int is_asked)
{
    const lw_climate_place place = place_of(r->out->scenario);
    lw_fault fault;
    lw_err own = {0};
    if (lw_climate_check(&place, &fault) && lw_climate_refuse(&fault, r->out->units, &own))
        lw_read_refuse(r, root, "weather", is_asked ? LW_E_RANGE : LW_E_MISSING,
                       "%s%s; write weather: {high: 86 F, low: 52 F} or name a file",
                       is_asked ? "" : "weather is missing, and ", own.text);
}

void lw_fill_climate(lw_scenario *to, const lw_weather_frame *frame)
{
    lw_weather *w = &to->weather;
    lw_weather_day day[LW_WEATHER_DAYS];
    lw_weather_normal_days(frame, day);
    lw_weather_hours(frame, day,
                     &(lw_weather_series){.air_c = w->air_c,
                                          .clear_frac = w->clear_frac,
                                          .wind_ms = w->wind_ms,
                                          .humidity_frac = w->humidity_frac,
                                          .precip_mm = w->precip_mm});
    for (int i = 0; i < to->calendar.hours; i++)
        w->ghi_wm2[i] = w->dni_wm2[i] = w->dhi_wm2[i] = NAN;
}

/* What the file says of clear sky, wind, humidity or rain holds instead, each for the whole stay. */
static void take_given(lw_reader *r, const lw_scope *in)
{
    lw_scenario *to = r->out->scenario;
    lw_weather *w = &to->weather;
    static const char *const KEYS[] = {"clear", "wind", "humidity", "rain"};
    double *const series[] = {w->clear_frac, w->wind_ms, w->humidity_frac, w->precip_mm};
    for (int k = 0; k < 4; k++) {
        if (!in->node || in->node->kind != LW_YAML_MAP || !lw_read_is_given(r, in, KEYS[k]))
            continue;
        const double value = lw_read_si(r, in, KEYS[k]);
        for (int i = 0; i < to->calendar.hours; i++) {
            const lw_date date = lw_date_of(to->calendar.civil_day[i]);
            const double of_hour = 1000.0 / (24.0 * lw_days_in_month(date.year, date.month)); /* metres a month */
            series[k][i] = series[k] == w->precip_mm ? value * of_hour : value;
        }
    }
}

/* Whatever the weather is: draws around it need the climate's spread. */
void lw_find_climate(lw_reader *r, const lw_scope *in, char *station, size_t size)
{
    const lw_climate_place place = place_of(r->out->scenario);
    lw_fault fault;
    station[0] = '\0';
    r->out->has_climate = lw_climate_check(&place, &fault) == LW_OK;
    if (!r->out->has_climate)
        return;
    lw_climate_site_make(&place, &r->out->climate);
    lw_read_station(r, in, &r->out->climate, station, size);
}

static void fill_from_climate(lw_reader *r, const lw_scope *root, const lw_scope *in)
{
    lw_scenario *to = r->out->scenario;
    lw_fault fault;
    const lw_weather_frame_in frame_in = {.site = &r->out->climate,
                                          .start_s = to->calendar.start_s,
                                          .hours = to->calendar.hours,
                                          .linke_turbidity = to->place.linke_turbidity};
    lw_weather_frame *frame = malloc(sizeof *frame);
    if (!frame || lw_weather_frame_check(&frame_in, &fault)) {
        lw_read_refuse(r, root, NULL, frame ? LW_E_RANGE : LW_E_FULL,
                       frame ? "there is no climate for a stay of that time" : "not enough memory for the climate");
    } else {
        lw_weather_frame_make(&frame_in, frame);
        lw_fill_climate(to, frame);
        take_given(r, in);
    }
    free(frame);
}

void lw_read_climate(lw_reader *r, const lw_scope *root, int is_asked)
{
    const lw_scope in = lw_read_map(r, root, "weather");
    char station[LW_STATION_SAID];
    lw_find_climate(r, &in, station, sizeof station);
    if (r->code)
        return;
    if (!r->out->has_climate) {
        refuse_place(r, root, is_asked);
        return;
    }
    fill_from_climate(r, root, &in);
    if (!r->code)
        say_climate(r, root, &r->out->climate, station, is_asked);
}
