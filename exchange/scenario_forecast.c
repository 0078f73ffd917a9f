/* A forecast laid over the usual weather of a scenario: its hours first; what it said differently then fades: of the air as
 * warm and cold spells do, of the rest in a day. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/num.h"
#include "core/land/distance.h"
#include "core/sky/air.h"
#include "core/sky/cloud.h"
#include "exchange/gridpoint.h"
#include "exchange/scenario_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"

static const double LAPSE_KPM = 0.0065;            /* ICAO standard atmosphere */
static const double ELSEWHERE_R = 0.77;            /* data/climate: the day before, hardly better known by place */
static const double NEAR_M = 5000.0;               /* a cell measures some 2.5 km */
static const double LEVEL_M = 50.0;                /* less moves the air by a third of a degree */
static const int64_t FRESH_S = INT64_C(36) * 3600; /* older than that, a newer one has long been made */

enum { FADE_H = 24, HOUR_S = 3600 };

/* One column of the weather, and what the forecast says of it: NaN where it says nothing. */
typedef struct column {
    double *usual;
    double said[LW_FORECAST_HOURS];
    int end_h;
    double least, most;
    double kept_a_day_frac; /* of what differed, a day behind the end; 0: it fades evenly within that day */
} column;

typedef struct overlay {
    const lw_forecast *forecast;
    int hours;        /* of the calendar */
    int64_t offset_h; /* of the calendar's first hour in the forecast */
} overlay;

/* Index into the forecast; -1 outside. */
static int hour_of(const overlay *o, int i)
{
    const int64_t h = o->offset_h + i;
    return h >= 0 && h < o->forecast->hours ? (int)h : -1;
}

/* How the last day that the forecast knows differs from the usual hours; 0 where they do not meet. */
static double last_difference(const overlay *o, const column *c)
{
    double sum = 0.0;
    int count = 0;
    for (int h = c->end_h > FADE_H ? c->end_h - FADE_H : 0; h < c->end_h; h++) {
        const int64_t i = h - o->offset_h;
        if (i < 0 || i >= o->hours || isnan(c->said[h]))
            continue;
        sum += c->said[h] - c->usual[i];
        count++;
    }
    return count ? sum / count : 0.0;
}

/* What is left of a difference this many hours behind the end. */
static double left_frac(const column *c, double behind_h)
{
    if (c->kept_a_day_frac > 0.0)
        return pow(c->kept_a_day_frac, behind_h / FADE_H);
    return lw_most(1.0 - behind_h / FADE_H, 0.0);
}

static void lay_over(const overlay *o, const column *c)
{
    const double last = last_difference(o, c);
    for (int i = 0; i < o->hours; i++) {
        const int64_t h = o->offset_h + i;
        if (h < 0 || c->end_h == 0)
            continue;
        if (h < c->end_h)
            c->usual[i] = isnan(c->said[h]) ? c->usual[i] : c->said[h];
        else
            c->usual[i] =
                lw_most(c->least, lw_least(c->most, c->usual[i] + last * left_frac(c, (double)(h - c->end_h) + 0.5)));
    }
}

/* Air moves with the lapse from the cell's height to the place's; relative humidity is kept on the way. */
static void say_hours(const lw_forecast *f, lw_forecast_layer layer, double lift_k, column *c)
{
    const double *hours = lw_forecast_hours(f, layer);
    c->end_h = f->end_h[layer] < f->hours ? f->end_h[layer] : f->hours;
    for (int h = 0; h < LW_FORECAST_HOURS; h++)
        c->said[h] = h < c->end_h ? hours[h] + lift_k : NAN;
}

static void lay_air(const overlay *o, lw_weather *w, double lift_k, double kept_a_day_frac, column *c)
{
    say_hours(o->forecast, LW_FORECAST_AIR, lift_k, c);
    c->usual = w->air_c;
    c->least = -90.0, c->most = 60.0;
    c->kept_a_day_frac = kept_a_day_frac;
    lay_over(o, c);
    c->kept_a_day_frac = 0.0;
    say_hours(o->forecast, LW_FORECAST_WIND, 0.0, c);
    c->usual = w->wind_ms;
    c->least = 0.0, c->most = 60.0;
    lay_over(o, c);
}

/* Where there is no humidity it comes from air and dew point. */
static void lay_humidity(const overlay *o, lw_weather *w, column *c)
{
    const lw_forecast *f = o->forecast;
    say_hours(f, LW_FORECAST_HUMIDITY, 0.0, c);
    for (int h = 0; h < f->hours; h++) {
        const double air_c = f->air_c[h], dew_c = f->dew_c[h];
        if (isnan(c->said[h]) && air_c >= -45.0 && air_c <= 60.0 && dew_c >= -45.0 && dew_c <= 60.0) {
            c->said[h] = lw_air_humidity_frac(air_c, dew_c);
            c->end_h = h + 1 > c->end_h ? h + 1 : c->end_h;
        }
        c->said[h] = c->said[h] > 1.0 ? 1.0 : c->said[h];
    }
    c->usual = w->humidity_frac;
    c->least = 0.0, c->most = 1.0;
    lay_over(o, c);
}

/* Sun by the sky cover takes the place of a file's own; behind its end a file's sun stands as it is. */
static void lay_sun(const overlay *o, lw_weather *w, column *c)
{
    say_hours(o->forecast, LW_FORECAST_SKY_COVER, 0.0, c);
    for (int h = 0; h < c->end_h; h++)
        c->said[h] = isnan(c->said[h]) ? NAN : lw_cloud_clear_frac(c->said[h]);
    c->usual = w->clear_frac;
    c->least = 0.0, c->most = 1.2;
    for (int i = 0; i < o->hours; i++) {
        const int h = hour_of(o, i);
        if (h >= 0 && h < c->end_h && !isnan(c->said[h]))
            w->ghi_wm2[i] = w->dni_wm2[i] = w->dhi_wm2[i] = NAN;
    }
    lay_over(o, c);
}

/* Rain does not fade: yesterday's is over. */
static void lay_rain(const overlay *o, lw_weather *w)
{
    const lw_forecast *f = o->forecast;
    for (int i = 0; i < o->hours; i++) {
        const int h = hour_of(o, i);
        if (h >= 0 && h < f->end_h[LW_FORECAST_PRECIPITATION] && !isnan(f->precip_mm[h]))
            w->precip_mm[i] = f->precip_mm[h];
    }
}

/* ---- what is said of it ---- */

static void note_place(lw_reader *r, const lw_scope *in, const lw_forecast *f)
{
    const lw_place *place = &r->out->scenario->place;
    char shown[LW_QUANTITY_BYTES];
    const double away_m = isnan(f->latitude_deg) ? 0.0
                                                 : lw_distance_m((lw_spot){place->latitude_deg, place->longitude_deg},
                                                                 (lw_spot){f->latitude_deg, f->longitude_deg});
    if (away_m > NEAR_M)
        lw_read_note(r, in, "forecast", "the forecast is for a cell %s from the place",
                     lw_quantity_print(shown, sizeof shown, away_m, LW_DIM_LENGTH, r->out->units));
    const double above_m = f->elevation_m - place->elevation_m;
    if (fabs(above_m) >= LEVEL_M)
        lw_read_note(r, in, "forecast",
                     "the forecast's cell lies %s %s the place; air is corrected by 6.5 K/km, and how much colder a "
                     "valley gets in a clear night is not known",
                     lw_quantity_print(shown, sizeof shown, fabs(above_m), LW_DIM_LENGTH, r->out->units),
                     above_m > 0.0 ? "above" : "below");
}

static void note_age(lw_reader *r, const lw_scope *in, const lw_forecast *f)
{
    const int64_t now_s = r->now_s ? r->now_s : r->out->scenario->calendar.start_s;
    const double age_h = floor((double)(now_s - f->issued_s) / HOUR_S);
    if (now_s - f->issued_s > FRESH_S)
        lw_read_note(r, in, "forecast", "the forecast is %s %s old; fetch a newer one",
                     lw_num(age_h < 72.0 ? age_h : floor(age_h / 24.0)).text, age_h < 72.0 ? "hours" : "days");
}

static void say_source(lw_reader *r, int64_t until_s)
{
    const lw_clock end = lw_clock_at(&r->out->zone, until_s);
    char when[40], usual[sizeof r->out->weather_source];
    memcpy(usual, r->out->weather_source, sizeof usual);
    snprintf(r->out->weather_source, sizeof r->out->weather_source, "%.140s; before that a forecast to %s", usual,
             lw_clock_print(when, sizeof when, &end));
}

static void say_forecast(lw_reader *r, const lw_scope *in, const lw_forecast *f)
{
    const lw_calendar *calendar = &r->out->scenario->calendar;
    const int64_t until_s = f->start_s + (int64_t)f->hours * HOUR_S;
    const int64_t end_s = calendar->start_s + (int64_t)calendar->hours * HOUR_S;
    note_age(r, in, f);
    if (f->hours == 0 || until_s <= calendar->start_s || f->start_s >= end_s) {
        lw_read_note(r, in, "forecast", "the forecast %s the hours of this outlook; the usual weather stands in",
                     f->start_s >= end_s ? "begins behind" : "ends before");
        return;
    }
    note_place(r, in, f);
    say_source(r, until_s);
    r->out->weather_made_s = f->issued_s;
    r->out->weather_is_typical = 0;
    r->out->forecast_from_s = f->start_s > calendar->start_s ? f->start_s : calendar->start_s;
    r->out->forecast_until_s = until_s < end_s ? until_s : end_s;
}

/* The climate's correlation with the day before, at the forecast's end. */
static double kept_a_day_frac(const lw_reader *r, const lw_forecast *f)
{
    const int64_t day = (f->start_s + (int64_t)f->hours * HOUR_S) / 86400;
    lw_climate_day normal;
    if (!r->out->has_climate)
        return ELSEWHERE_R;
    lw_climate_of_day(&r->out->climate, (double)(day - lw_day_of((lw_date){lw_date_of(day).year, 1, 1})) + 1.0,
                      &normal);
    return normal.r1;
}

static void lay_all(lw_reader *r, const lw_forecast *f, column *c)
{
    lw_scenario *to = r->out->scenario;
    const int64_t ahead_s = to->calendar.start_s - f->start_s;
    const overlay o = {.forecast = f,
                       .hours = to->calendar.hours,
                       .offset_h = ahead_s >= 0 ? ahead_s / HOUR_S : -((HOUR_S - 1 - ahead_s) / HOUR_S)};
    const double lift_k = isnan(f->elevation_m) ? 0.0 : LAPSE_KPM * (f->elevation_m - to->place.elevation_m);
    lay_air(&o, &to->weather, lift_k, kept_a_day_frac(r, f), c);
    lay_humidity(&o, &to->weather, c);
    lay_sun(&o, &to->weather, c);
    lay_rain(&o, &to->weather);
}

/* The usual weather stays beside the forecast, and its chances of rain by the hour: draws need both. 0: no memory. */
static int keep_usual(lw_reader *r, const lw_forecast *f)
{
    const lw_scenario *scenario = r->out->scenario;
    lw_before_forecast *to = malloc(sizeof *to);
    r->out->before_forecast = to;
    if (!to)
        return 0;
    to->usual = scenario->weather;
    for (int i = 0; i < LW_HOURS; i++) {
        const int64_t h = (scenario->calendar.start_s - f->start_s) / HOUR_S + i;
        const int is_said = h >= 0 && h < f->hours && h < f->end_h[LW_FORECAST_CHANCE];
        to->wet_frac[i] = is_said ? f->precip_chance_frac[h] : (double)NAN;
    }
    return 1;
}

void lw_read_forecast(lw_reader *r, const lw_scope *in, const char *name)
{
    char path[1400];
    lw_err own = {0};
    lw_forecast *f = malloc(sizeof *f);
    column *c = malloc(sizeof *c);
    lw_scenario_beside(path, sizeof path, r->out->file, name);
    if (f && c && lw_gridpoint_read_path(path, r->out->scenario->calendar.start_s, f, &own)) {
        lw_read_refuse(r, in, "forecast", own.code, "%s: %s%s", own.where, own.text,
                       own.code == LW_E_IO ? " Fetch one, or leave it out." : "");
    } else if (!f || !c || !keep_usual(r, f)) {
        lw_read_refuse(r, in, "forecast", LW_E_FULL, "no memory for a forecast");
    } else {
        lay_all(r, f, c);
        say_forecast(r, in, f);
    }
    free(f);
    free(c);
}
