#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/heat/people.h"
#include "core/power/cell.h"
#include "core/sim/context_internal.h"
#include "core/sky/air.h"
#include "core/sky/clear_sky.h"
#include "core/sky/light_table.h"
#include "core/sky/plane.h"
#include "core/sky/split.h"
#include "core/sky/sun_table.h"

static const double CHARGE_V = 13.8; /* of a 12 V bank while an alternator's charger works; common practice */

static const double LEAST_HUMIDITY_FRAC = 0.01; /* below it a dew point says nothing */

/* The sky is read at the middle of each half of a step. Against steps of a minute a day's energy is then within 0.08 %
 * and a year's within 0.01 %; read once an hour, 0.53 % and 0.021 % (tests/core/test_sun_chain.c). */
enum { GLANCES = 2 };

/* The sky at one glance, needed for a whole day before arrays that are turned by hand can be aimed. */
typedef struct lw_glance {
    lw_sun sun;
    lw_clear_out clear;
    lw_plane_light light; /* under the weather of the step */
} lw_glance;

typedef struct lw_hours_scratch {
    lw_sun_table table;
    lw_glance sky[LW_HOURS * 12 * GLANCES];
} lw_hours_scratch;

size_t lw_prepare_hours_bytes(int steps)
{
    return offsetof(lw_hours_scratch, sky) + (size_t)steps * GLANCES * sizeof(lw_glance);
}

static int hour_of(const lw_context *c, int step)
{
    return step / c->steps_per_hour;
}

static int is_in_mask(const lw_context *c, const uint32_t mask[7], int hour)
{
    const lw_calendar *k = &c->scenario->calendar;
    return (int)(mask[k->weekday[hour]] >> k->civil_hour[hour] & 1u);
}

static int64_t step_start_s(const lw_context *c, int step)
{
    return c->start_s + (int64_t)step * (3600 / c->steps_per_hour);
}

/* Share of the step that lies inside a span. */
static double overlap_frac(const lw_context *c, int step, lw_span span)
{
    const double from = (double)step_start_s(c, step), length = c->step_h * 3600.0;
    const double a = lw_most(from, (double)span.from_s), b = lw_least(from + length, (double)span.to_s);
    return b > a ? (b - a) / length : 0.0;
}

/* ------------------------------------------------------------------ sky and weather */

static int64_t day_of(int64_t t_s)
{
    return (t_s - (t_s % 86400 + 86400) % 86400) / 86400;
}

/* sun: of all these days; NULL: to be made. */
static void fill_sky(const lw_context *c, const lw_sun_table *sun, lw_hours_scratch *scratch)
{
    const lw_place *place = &c->scenario->place;
    const lw_air_out air = lw_air_standard(place->elevation_m);
    const lw_sun_place seen_from = lw_sun_place_at(place->latitude_deg, place->longitude_deg, place->elevation_m);
    if (!sun)
        lw_sun_table_fill(&scratch->table, day_of(c->start_s), c->steps / (24 * c->steps_per_hour) + 2,
                          LW_SPA_DELTA_T_S);
    const lw_sun_table *table = sun ? sun : &scratch->table;
    for (int i = 0; i < c->steps * GLANCES; i++) {
        lw_glance *sky = &scratch->sky[i];
        const double t_s = (double)c->start_s + (i + 0.5) * c->step_h * 3600.0 / GLANCES;
        lw_sun_at(table, &seen_from, t_s, &sky->sun);
        sky->light.extra_dni_wm2 = lw_clear_extra_dni_at_wm2(sky->sun.radius_au);
        sky->light.albedo_frac = place->albedo_frac;
        lw_clear(&(lw_clear_in){.apparent_zenith_deg = 90.0 - sky->sun.apparent_elevation_deg,
                                .pressure_pa = air.pressure_pa,
                                .elevation_m = place->elevation_m,
                                .linke_turbidity = place->linke_turbidity,
                                .extra_dni_wm2 = sky->light.extra_dni_wm2},
                 &sky->clear);
    }
}

static double cos_zenith_of(const lw_glance *sky)
{
    double sum = 0.0;
    for (int g = 0; g < GLANCES; g++)
        sum += sky[g].sun.cos_zenith;
    return sum / GLANCES;
}

/* Mean of the beam on an upright window that may face any way: sin(zenith) / pi; and half the sky and ground. */
static const double UPRIGHT_BEAM = 0.318309886183790672, UPRIGHT_VIEW = 0.5;

static double solar_gain_w(const lw_context *c, const lw_plane_light *light, double cos_zenith)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    if (light->ghi_wm2 <= 0.0)
        return 0.0;
    const double sine = cos_zenith < 1.0 ? sqrt(1.0 - cos_zenith * cos_zenith) : 0.0;
    const double upright_wm2 =
        light->dni_wm2 * sine * UPRIGHT_BEAM + UPRIGHT_VIEW * (light->dhi_wm2 + light->ghi_wm2 * light->albedo_frac);
    return h->glass_m2 * upright_wm2 + h->skin_m2 * light->ghi_wm2;
}

/* A value known as the mean of each hour, read at the middle of a step: straight lines between the hours' middles. */
static double at_step(const lw_context *c, const double *hourly, int step)
{
    const int h = hour_of(c, step), last = c->scenario->calendar.hours - 1;
    const double inside = ((double)(step % c->steps_per_hour) + 0.5) / c->steps_per_hour - 0.5;
    const int other = inside < 0.0 ? (h > 0 ? h - 1 : h) : (h < last ? h + 1 : h);
    return hourly[h] + fabs(inside) * (hourly[other] - hourly[h]);
}

/* Splits an hour's mean irradiance among its glances as the clear sky would, so that the hour's sum stays. */
static double share_of_hour(double hourly, double clear, double clear_sum, int glances)
{
    return clear_sum > 0.0 ? hourly * clear * glances / clear_sum : hourly;
}

static void split(lw_glance *sky)
{
    lw_plane_light *light = &sky->light;
    const double clear_wm2 = sky->clear.ghi_wm2, cloud_frac = clear_wm2 > 0.0 ? light->ghi_wm2 / clear_wm2 : 0.0;
    if (clear_wm2 <= 0.0 || cloud_frac > 1.0) {
        /* Brighter than the clear sky of this turbidity, or light while the sun of the glance is down: Erbs alone. */
        lw_split_out out;
        lw_split(&(lw_split_in){.ghi_wm2 = light->ghi_wm2,
                                .zenith_deg = 90.0 - sky->sun.elevation_deg,
                                .extra_dni_wm2 = light->extra_dni_wm2},
                 &out);
        light->dni_wm2 = out.dni_wm2;
        light->dhi_wm2 = out.dhi_wm2;
        return;
    }
    lw_clear_out out;
    lw_split_cloud(&(lw_split_cloud_in){.clear = sky->clear,
                                        .cloud_frac = cloud_frac,
                                        .zenith_deg = 90.0 - sky->sun.elevation_deg,
                                        .extra_dni_wm2 = light->extra_dni_wm2,
                                        .blend_width_frac = LW_SPLIT_BLEND_WIDTH_FRAC},
                   &out);
    light->dni_wm2 = out.dni_wm2;
    light->dhi_wm2 = out.dhi_wm2;
}

/* The light of an hour's glances: as measured, where there are measurements, else what cloud leaves of the clear sky. */
static void fill_light(const lw_context *c, lw_glance *sky, int h)
{
    const lw_weather *w = &c->scenario->weather;
    const int n = c->steps_per_hour * GLANCES;
    double ghi_sum = 0.0, dni_sum = 0.0;
    for (int i = 0; i < n; i++)
        ghi_sum += sky[i].clear.ghi_wm2, dni_sum += sky[i].clear.dni_wm2;
    for (int i = 0; i < n; i++) {
        lw_plane_light *light = &sky[i].light;
        light->ghi_wm2 = isnan(w->ghi_wm2[h]) ? w->clear_frac[h] * sky[i].clear.ghi_wm2
                                              : share_of_hour(w->ghi_wm2[h], sky[i].clear.ghi_wm2, ghi_sum, n);
        if (isnan(w->dni_wm2[h]) || isnan(w->dhi_wm2[h])) {
            split(&sky[i]);
            continue;
        }
        light->dni_wm2 = sky[i].sun.up > 0.0 ? share_of_hour(w->dni_wm2[h], sky[i].clear.dni_wm2, dni_sum, n) : 0.0;
        light->dhi_wm2 = share_of_hour(w->dhi_wm2[h], sky[i].clear.ghi_wm2, ghi_sum, n);
    }
}

static void read_light(const lw_glance *sky, lw_plane_light light[GLANCES])
{
    for (int g = 0; g < GLANCES; g++)
        light[g] = sky[g].light;
}

static void fill_weather(const lw_context *c, lw_hours_scratch *scratch)
{
    const lw_weather *w = &c->scenario->weather;
    for (int h = 0; h < c->scenario->calendar.hours; h++)
        fill_light(c, &scratch->sky[(ptrdiff_t)h * c->steps_per_hour * GLANCES], h);
    for (int i = 0; i < c->steps; i++) {
        lw_hour *hour = &c->hour[i];
        lw_plane_light glance[GLANCES];
        read_light(&scratch->sky[(ptrdiff_t)i * GLANCES], glance);
        const lw_plane_light light = lw_plane_light_mean(glance, GLANCES);
        hour->air_c = at_step(c, w->air_c, i);
        hour->wind_ms = at_step(c, w->wind_ms, i);
        hour->dew_c = lw_air_dew_point_c(hour->air_c, lw_most(at_step(c, w->humidity_frac, i), LEAST_HUMIDITY_FRAC));
        hour->sun_gain_w = solar_gain_w(c, &light, cos_zenith_of(&scratch->sky[(ptrdiff_t)i * GLANCES]));
    }
}

/* ------------------------------------------------------------------ arrays */

/* A stretch of light in which an array is turned by hand: from sunrise to sunset, and under a sun that does not set from
 * one midnight of the sun's own clock to the next. */
typedef struct lw_daylight {
    int first, last; /* glances */
} lw_daylight;

static int64_t solar_day(const lw_context *c, int glance)
{
    const double since_start_d = (glance + 0.5) * c->step_h / (24.0 * GLANCES);
    return (int64_t)floor((double)c->start_s / 86400.0 + since_start_d + c->scenario->place.longitude_deg / 360.0);
}

static lw_daylight daylight_from(const lw_context *c, const lw_glance *sky, int first)
{
    const int64_t day = solar_day(c, first);
    lw_daylight light = {first, first};
    while (light.last < c->steps * GLANCES - 1 && sky[light.last + 1].sun.up > 0.0 &&
           solar_day(c, light.last + 1) == day)
        light.last++;
    return light;
}

/* It stands for equal parts of the light, in each aimed at the sun of its middle. */
static int part_of(lw_daylight light, int glance, int parts)
{
    return (glance - light.first) * parts / (light.last - light.first + 1);
}

static double aimed_deg(const lw_glance *sky, lw_daylight light, int part, int parts)
{
    const int length = light.last - light.first + 1;
    return lw_sun_azimuth_deg(&sky[light.first + (2 * part + 1) * length / (2 * parts)].sun);
}

/* An array and how it stands at the moment. */
typedef struct lw_stand {
    lw_plane_in in;
    lw_plane_array plane;
    lw_daylight daylight;
    int part, parts; /* parts: 0 for one that is never turned */
} lw_stand;

static void turn(lw_stand *stand, const lw_context *c, const lw_glance *sky, int glance)
{
    if (stand->parts == 0 || !(sky[glance].sun.up > 0.0))
        return;
    const int is_new = glance > stand->daylight.last;
    if (is_new)
        stand->daylight = daylight_from(c, sky, glance);
    const int part = part_of(stand->daylight, glance, stand->parts);
    if (!is_new && part == stand->part)
        return;
    stand->part = part;
    stand->in.azimuth_deg = aimed_deg(sky, stand->daylight, part, stand->parts);
    lw_plane_turn(&stand->in, &stand->plane);
}

/* An array's geometry in a step and its light: what both readers of it begin with. */
typedef struct lw_step_plane {
    lw_plane_geometry part[GLANCES];
} lw_step_plane;

/* What reaches an array in a step under this light; *total_wm2 such that its mean warms the cells as its parts do. */
static double reach(const lw_step_plane *plane, const lw_plane_light light[GLANCES], double *total_wm2)
{
    lw_plane_out out;
    lw_plane_geometry whole;
    const lw_plane_light mean = lw_plane_light_mean(light, GLANCES);
    *total_wm2 = 0.0;
    if (mean.ghi_wm2 <= 0.0 && mean.dni_wm2 <= 0.0)
        return 0.0;
    lw_plane_mean(plane->part, light, GLANCES, &whole);
    lw_plane_irradiance(&whole, &mean, &out);
    *total_wm2 = out.total_wm2 * lw_plane_unevenness(plane->part, light, GLANCES);
    return out.effective_wm2;
}

void lw_array_hour(const lw_context *c, int a, int of_calendar, const lw_array_light *light, double snow_mm,
                   lw_hour *hour, lw_snow_cover *cover)
{
    const lw_array *array = &c->scenario->rig.array[a];
    const double left_frac = lw_array_left_frac(c, a, of_calendar, snow_mm, light->total_wm2, hour, cover);
    hour->panel_w[a] = 0.0;
    if (!(light->effective_wm2 > 0.0))
        return;
    hour->cell_c[a] = hour->air_c + light->total_wm2 * lw_cell_rise_kpwm2((lw_mount)array->mount, hour->wind_ms);
    hour->panel_w[a] = left_frac * lw_cell_power_w(&(lw_cell_power_in){.effective_wm2 = light->effective_wm2,
                                                                       .cell_c = hour->cell_c[a],
                                                                       .rated_w = array->rated_w,
                                                                       .gamma_pk = array->gamma_perk});
    hour->is_sun_on |= hour->panel_w[a] > 0.0;
}

static void fill_panel(const lw_context *c, const lw_glance *sky, int a, int step, const lw_step_plane *plane,
                       lw_snow_cover *cover)
{
    const int of_calendar = hour_of(c, step);
    lw_plane_light light[GLANCES];
    lw_array_light here;
    read_light(&sky[(ptrdiff_t)step * GLANCES], light);
    here.effective_wm2 = reach(plane, light, &here.total_wm2);
    lw_array_hour(c, a, of_calendar, &here, c->scenario->weather.snow_mm[of_calendar], &c->hour[step], cover);
}

/* Light of a step's glances under this share of the clear sky. */
static void cloud_light(const lw_glance *sky, int step, double clear_frac, lw_plane_light light[GLANCES])
{
    for (int g = 0; g < GLANCES; g++) {
        lw_glance glance = sky[step * GLANCES + g];
        glance.light.ghi_wm2 = clear_frac * glance.clear.ghi_wm2;
        split(&glance);
        light[g] = glance.light;
    }
}

/* The same as fill_panel's light under each share of the clear sky; to: the array's own part of the table. */
static void fill_knots(const lw_context *c, const lw_glance *sky, int step, const lw_step_plane *plane, float *to)
{
    for (int k = 0; k < LW_LIGHT_KNOTS; k++) {
        lw_plane_light light[GLANCES];
        double total_wm2;
        cloud_light(sky, step, lw_light_knot_frac(k), light);
        const size_t at = (size_t)k * (size_t)c->steps + (size_t)step;
        to[at] = (float)reach(plane, light, &total_wm2);
        to[at + (size_t)LW_LIGHT_KNOTS * (size_t)c->steps] = (float)total_wm2;
    }
}

/* Each step of an array to the panel's power or, where a table is given, to its light by cloud. */
static void fill_plane(const lw_context *c, const lw_glance *sky, int a, const lw_horizon *horizon, float *table)
{
    const lw_array *array = &c->scenario->rig.array[a];
    lw_stand stand = {.in = {.tilt_deg = array->tilt_deg, .azimuth_deg = array->azimuth_deg, .horizon = horizon},
                      .daylight = {0, -1},
                      .parts = array->moves_a_day + 1};
    stand.plane = lw_plane_array_of(&stand.in);
    lw_snow_cover cover = {0.0, 0.0};
    for (int i = 0; i < c->steps; i++) {
        lw_step_plane plane;
        for (int g = 0; g < GLANCES; g++) {
            turn(&stand, c, sky, i * GLANCES + g);
            lw_plane_prepare(&stand.plane, &sky[i * GLANCES + g].sun, &plane.part[g]);
        }
        if (!is_in_mask(c, array->out, hour_of(c, i))) {
            cover = (lw_snow_cover){0.0, 0.0}; /* put away, and clean when it comes out again */
            continue;
        }
        if (table)
            fill_knots(c, sky, i, &plane, table);
        else
            fill_panel(c, sky, a, i, &plane, &cover);
    }
}

static void fill_planes(const lw_context *c, const lw_glance *sky, float *table)
{
    const lw_rig *rig = &c->scenario->rig;
    const lw_place *place = &c->scenario->place;
    lw_horizon horizon;
    memcpy(horizon.elevation_deg, place->horizon_deg, sizeof horizon.elevation_deg);
    for (int a = 0; a < rig->array_count; a++) {
        const lw_array *array = &rig->array[a];
        horizon.shade_frac = 1.0 - (1.0 - place->shade_frac) * (1.0 - array->shade_frac);
        const size_t part = (size_t)LW_LIGHT_KNOTS * (size_t)c->steps;
        fill_plane(c, sky, a, &horizon, table ? table + (size_t)(1 + 2 * a) * part : NULL);
    }
}

static void fill_gains(const lw_context *c, const lw_glance *sky, int step, float *to)
{
    const double cos_zenith = cos_zenith_of(&sky[(ptrdiff_t)step * GLANCES]);
    for (int k = 0; k < LW_LIGHT_KNOTS; k++) {
        lw_plane_light light[GLANCES];
        cloud_light(sky, step, lw_light_knot_frac(k), light);
        const lw_plane_light mean = lw_plane_light_mean(light, GLANCES);
        to[(size_t)k * (size_t)c->steps + (size_t)step] = (float)solar_gain_w(c, &mean, cos_zenith);
    }
}

void lw_prepare_light(const lw_context *c, void *memory, float *light)
{
    lw_hours_scratch *scratch = memory;
    memset(light, 0, (size_t)lw_light_count(c) * LW_LIGHT_KNOTS * (size_t)c->steps * sizeof *light);
    fill_sky(c, NULL, scratch);
    fill_planes(c, scratch->sky, light);
    for (int i = 0; i < c->steps; i++)
        fill_gains(c, scratch->sky, i, light);
}

/* ------------------------------------------------------------------ people, loads, habits */

typedef struct lw_presence {
    double in[LW_PEOPLE], work[LW_PEOPLE], school[LW_PEOPLE];
    double anybody; /* people; an animal by itself puts no lamp on */
    double any_being, grown, work_sum, school_sum;
} lw_presence;

static void find_presence(const lw_context *c, int step, lw_presence *out)
{
    const lw_crew *crew = &c->scenario->crew;
    const int h = hour_of(c, step);
    *out = (lw_presence){.anybody = 0.0};
    for (int p = 0; p < crew->person_count; p++) {
        const lw_person *person = &crew->person[p];
        double in = is_in_mask(c, person->away, h) ? 0.0 : 1.0;
        for (int k = 0; k < person->out_count; k++)
            in *= 1.0 - overlap_frac(c, step, person->out[k]);
        if (person->guest.to_s > person->guest.from_s)
            in *= overlap_frac(c, step, person->guest);
        out->in[p] = in;
        out->work[p] = is_in_mask(c, person->work, h) ? in : 0.0;
        out->school[p] = is_in_mask(c, person->school, h) ? in : 0.0;
        out->any_being = lw_most(out->any_being, in);
        if (person->being <= LW_BEING_CHILD)
            out->anybody = lw_most(out->anybody, in);
        if (person->being <= LW_BEING_TEEN)
            out->grown = lw_most(out->grown, in);
        out->work_sum += out->work[p];
        out->school_sum += out->school[p];
    }
}

/* Lamps come on one after the other through dusk: none with the sun at 1 degree, all with it at -5 (from memory). */
static double dark_frac(double elevation_deg)
{
    return lw_least(lw_most((1.0 - elevation_deg) / 6.0, 0.0), 1.0);
}

static double dark_of_step(const lw_glance *sky, int step)
{
    double sum = 0.0;
    for (int g = 0; g < GLANCES; g++)
        sum += dark_frac(sky[step * GLANCES + g].sun.elevation_deg);
    return sum / GLANCES;
}

static double load_share(const lw_context *c, const lw_load *load, const lw_presence *who, int step, double dark_frac)
{
    const int h = hour_of(c, step), p = load->person;
    switch (load->rhythm) {
    case LW_LOAD_ALWAYS:
        return 1.0;
    case LW_LOAD_WEEKLY:
        return is_in_mask(c, load->hours, h);
    case LW_LOAD_PRESENT:
        return is_in_mask(c, load->hours, h) * who->anybody;
    case LW_LOAD_WORK:
        return p < 0 ? who->work_sum : who->work[p];
    case LW_LOAD_SCHOOL:
        return p < 0 ? who->school_sum : who->school[p];
    case LW_LOAD_DARK:
        return is_in_mask(c, load->hours, h) ? dark_frac * who->anybody : 0.0;
    case LW_LOAD_BAY_COLD:
    case LW_LOAD_CABIN_HOT:
        break; /* decided in the hour loop */
    }
    return 0.0;
}

static void fill_loads(const lw_context *c, const lw_presence *who, int step, double dark_frac)
{
    const lw_rig *rig = &c->scenario->rig;
    lw_hour *hour = &c->hour[step];
    for (int l = 0; l < rig->load_count; l++) {
        const lw_load *load = &rig->load[l];
        const double watts = load->watts * load->duty_frac * load_share(c, load, who, step, dark_frac) *
                             c->scenario->factor[load->group];
        if (watts <= 0.0)
            continue;
        if (load->with_generator_only)
            hour->ac_generator_w += watts;
        else if (load->power == LW_POWER_AC)
            hour->ac_w += watts, hour->vital_ac_w += load->is_vital ? watts : 0.0;
        else
            hour->dc_w[lw_load_class(c, load)] += watts;
        for (int i = 0; i < c->vital_count; i++)
            if (c->vital_load[i] == l && c->vital_is_ac[i])
                hour->vital_ac_wanted |= (uint8_t)lw_bit(i);
        if (load->power == LW_POWER_AC && !load->with_generator_only)
            hour->ac_inside_w += watts * load->inside_frac;
        else if (!load->with_generator_only)
            hour->loads_inside_w += watts * load->inside_frac;
    }
}

/* A teenager warms like an adult, a cat like a fifth of a dog of 20 kg. */
static void add_head(lw_heads *heads, lw_being being, double share)
{
    switch (being) {
    case LW_BEING_ADULT:
    case LW_BEING_TEEN:
        heads->adults += share;
        break;
    case LW_BEING_CHILD:
        heads->children += share;
        break;
    case LW_BEING_DOG:
        heads->dogs += share;
        break;
    case LW_BEING_CAT:
        heads->dogs += 0.2 * share;
        break;
    }
}

static void fill_people(const lw_context *c, const lw_presence *who, int step)
{
    const lw_crew *crew = &c->scenario->crew;
    const lw_cabin_use *cabin = &c->scenario->rig.cabin;
    lw_hour *hour = &c->hour[step];
    const int is_day = is_in_mask(c, cabin->day, hour_of(c, step));
    lw_heads heads = {0};
    for (int p = 0; p < crew->person_count; p++) {
        add_head(&heads, crew->person[p].being, who->in[p]);
        if (who->in[p] > 0.5)
            hour->is_in |= (uint16_t)(1u << p);
    }
    hour->people_w = lw_people_heat(&heads, is_day ? LW_BODY_AT_REST : LW_BODY_ASLEEP).sensible_w;
    hour->is_somebody_in = who->any_being > 0.5;
    hour->is_grown_in = who->grown > 0.5;
    hour->is_somebody_working = who->work_sum + who->school_sum > 0.0;
    hour->heat_set_c = hour->is_somebody_in ? (is_day ? cabin->day_c : cabin->night_c) : cabin->away_c;
    /* Nobody sets the thermostat below what somebody there must have. */
    for (int p = 0; p < crew->person_count; p++)
        if (who->in[p] > 0.0 && crew->person[p].inside_low_c > hour->heat_set_c)
            hour->heat_set_c = crew->person[p].inside_low_c;
}

static double units_of(const lw_context *c, const lw_use *use, const lw_presence *who, int step)
{
    const int people = c->scenario->crew.person_count;
    const double share = use->weight[c->scenario->calendar.civil_hour[hour_of(c, step)]];
    double units = 0.0;
    for (int p = 0; p < people; p++)
        units += use->rhythm == LW_RHYTHM_PERSON   ? use->rate[p] * share * who->in[p]
                 : use->rhythm == LW_RHYTHM_WORK   ? use->rate[p] * who->work[p]
                 : use->rhythm == LW_RHYTHM_SCHOOL ? use->rate[p] * who->school[p]
                                                   : 0.0;
    if (use->rhythm == LW_RHYTHM_CAMP)
        units = use->rate[0] * share * who->anybody;
    return units * c->step_h * c->scenario->factor[use->group];
}

void lw_sum_uses(const lw_context *c, lw_hour *hour)
{
    const float *factor = lw_factors_of(c, hour);
    hour->hot_l = hour->gas_wh = hour->pumped_l = hour->uses_wh = 0.0;
    for (int i = 0; i < hour->need_count; i++) {
        const lw_need *need = &c->need[hour->need_first + i];
        const double units = lw_factor_of(factor, need->group);
        hour->hot_l += units * need->hot_l;
        hour->gas_wh += units * need->gas_wh;
        hour->pumped_l += units * need->pumped_l;
        hour->uses_wh += units * need->uses_wh;
    }
}

/* Sums what doses ask of heat and pump. `next`: of c->need. */
static int fill_needs(lw_context *c, int step, int next)
{
    lw_hour *hour = &c->hour[step];
    lw_need sum[LW_GROUP_COUNT] = {{.hot_l = 0.0}};
    for (int d = 0; d < hour->dose_count; d++) {
        const lw_dose *dose = &c->dose[hour->dose_first + d];
        const lw_chore *chore = &c->chore[dose->chore];
        lw_need *to = &sum[chore->group];
        to->hot_l += dose->units * chore->hot_l;
        to->gas_wh += dose->units * chore->gas_wh;
        to->pumped_l += dose->units * chore->pumped_l;
        to->uses_wh += dose->units * chore->dc_wh;
    }
    hour->need_first = next;
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        sum[g].group = g;
        if (sum[g].hot_l + sum[g].gas_wh + sum[g].pumped_l + sum[g].uses_wh > 0.0)
            c->need[next++] = sum[g];
    }
    hour->need_count = next - hour->need_first;
    lw_sum_uses(c, hour);
    return next;
}

static int fill_doses(lw_context *c, const lw_presence *who, int step, int at)
{
    const lw_crew *crew = &c->scenario->crew;
    lw_hour *hour = &c->hour[step];
    hour->dose_first = at;
    for (int u = 0; u < crew->use_count; u++) {
        const double units = units_of(c, &crew->use[u], who, step);
        if (units <= 0.0)
            continue;
        c->dose[at++] = (lw_dose){.units = units, .chore = u};
    }
    hour->dose_count = at - hour->dose_first;
    return at;
}

/* Sums what doses move. `next`: of c->pour. */
static int fill_pours(lw_context *c, int step, int next)
{
    lw_hour *hour = &c->hour[step];
    double amount[LW_STRANDS];
    memset(amount, 0, (size_t)c->strand_count * sizeof *amount);
    for (int d = 0; d < hour->dose_count; d++) {
        const lw_dose *dose = &c->dose[hour->dose_first + d];
        const lw_chore *chore = &c->chore[dose->chore];
        const int16_t *strand = c->strand_of[dose->chore];
        for (int l = 0; l < chore->link_count; l++)
            amount[strand[l]] += dose->units * chore->link[l].amount;
        if (strand[LW_EFFECTS] >= 0)
            amount[strand[LW_EFFECTS]] += dose->units * chore->body_l;
        hour->is_use_barred_by_rubbish |= chore->is_stopped_by_rubbish;
    }
    hour->pour_first = next;
    for (int k = 0; k < c->strand_count; k++)
        if (amount[k] > 0.0)
            c->pour[next++] = (lw_pour){.amount = amount[k], .strand = k};
    hour->pour_count = next - hour->pour_first;
    return next;
}

static void sum_loads(const lw_context *c, lw_hour *hour)
{
    for (int k = 0; k < c->cut_count; k++) {
        if (c->cut_is_vital[k])
            hour->dc_vital_w += hour->dc_w[k];
        else
            hour->dc_varied_w += hour->dc_w[k];
    }
}

/* A window on a named date is kept to the step: half of it at least. */
static int is_in_window(const lw_context *c, int step)
{
    const lw_generator_use *g = &c->scenario->rig.generator;
    double frac = 0.0;
    for (int i = 0; i < g->window_count; i++)
        frac += overlap_frac(c, step, g->window[i]);
    return frac >= 0.5;
}

static void fill_policy(const lw_context *c, int step)
{
    const lw_rig *rig = &c->scenario->rig;
    const int h = hour_of(c, step);
    lw_hour *hour = &c->hour[step];
    hour->is_generator_allowed = rig->generator.is_present && is_in_mask(c, rig->generator.allowed, h);
    hour->is_generator_wanted =
        hour->is_generator_allowed && (is_in_mask(c, rig->generator.run, h) || is_in_window(c, step));
    hour->is_inverter_on = rig->inverter.is_present && is_in_mask(c, rig->inverter.on, h);
    for (int d = 0; d < rig->drive.drive_count; d++)
        hour->drive_w += overlap_frac(c, step, rig->drive.drive[d]) * rig->drive.rated_a * CHARGE_V * c->nominal_frac;
}

static void fill_transfers(const lw_context *c)
{
    int t = 0;
    while (t < c->scenario->transfer_count && c->scenario->transfer[t].at_s < c->start_s)
        t++;
    for (int i = 0; i < c->steps; i++) {
        lw_hour *hour = &c->hour[i];
        hour->transfer_first = t;
        while (t < c->scenario->transfer_count && c->scenario->transfer[t].at_s < step_start_s(c, i + 1))
            t++;
        hour->transfer_count = t - hour->transfer_first;
    }
}

void lw_prepare_hours(lw_context *c, const lw_sun_table *sun, void *memory)
{
    lw_hours_scratch *scratch = memory;
    fill_sky(c, sun, scratch);
    fill_weather(c, scratch);
    fill_transfers(c);
    for (int i = 0, at = 0, poured = 0, needed = 0; i < c->steps; i++) {
        lw_presence who;
        find_presence(c, i, &who);
        fill_loads(c, &who, i, dark_of_step(scratch->sky, i));
        sum_loads(c, &c->hour[i]);
        fill_people(c, &who, i);
        at = fill_doses(c, &who, i, at);
        poured = fill_pours(c, i, poured);
        needed = fill_needs(c, i, needed);
        fill_policy(c, i);
        c->hour[i].day = (uint8_t)(c->scenario->calendar.civil_day[hour_of(c, i)] - c->scenario->calendar.civil_day[0]);
    } /* Behind the people: who is there clears snow and puts arrays away. */
    fill_planes(c, scratch->sky, NULL);
    for (int i = 0; i < c->steps; i++)
        lw_awning_wind(c, &c->hour[i]);
}
