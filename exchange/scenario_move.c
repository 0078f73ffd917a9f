/* A loaded camp put down at another place. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/sky/weather_plain.h"
#include "exchange/scenario_internal.h"

static void move_place(const lw_place_facts *facts, const double *horizon_deg, lw_scenario *to)
{
    lw_place *place = &to->place;
    snprintf(place->name, sizeof place->name, "%s", facts->name);
    place->latitude_deg = facts->spot.latitude_deg;
    place->longitude_deg = facts->spot.longitude_deg;
    if (!isnan(facts->elevation_m))
        place->elevation_m = facts->elevation_m;
    for (int i = 0; i < LW_HORIZON_POINTS; i++)
        place->horizon_deg[i] = horizon_deg ? horizon_deg[i] : 0.0;
    for (int day = 0; facts->has_quiet && day < 7; day++)
        to->rig.generator.allowed[day] &= ~facts->quiet[day] & UINT32_C(0xFFFFFF);
    to->stay.stay_end_s = 0;
}

int lw_loaded_put_down(const lw_loaded *base, const lw_place_facts *facts, const double *horizon_deg,
                       lw_scenario *scenario, lw_weather_frame *frame, lw_loaded *out)
{
    lw_fault fault;
    memcpy(scenario, base->scenario, sizeof *scenario);
    move_place(facts, horizon_deg, scenario);
    *out = *base;
    out->scenario = scenario;
    out->assumption = NULL;
    out->assumption_count = 0;
    out->note = NULL;
    out->note_count = 0;
    out->before_forecast = NULL;
    out->ground = NULL;
    out->forecast_from_s = out->forecast_until_s = 0;
    out->weather_is_climate = 1;
    out->weather_is_one_year = 0;
    const lw_climate_place place = {scenario->place.latitude_deg, scenario->place.longitude_deg,
                                    scenario->place.elevation_m};
    out->has_climate = lw_climate_check(&place, &fault) == LW_OK;
    if (!out->has_climate)
        return 0;
    lw_climate_site_make(&place, &out->climate);
    const lw_weather_frame_in in = {.site = &out->climate,
                                    .start_s = scenario->calendar.start_s,
                                    .hours = scenario->calendar.hours,
                                    .linke_turbidity = scenario->place.linke_turbidity};
    if (lw_weather_frame_check(&in, &fault))
        return 0;
    lw_weather_frame_plain(&in, frame);
    lw_fill_climate(scenario, frame);
    lw_fill_snow(out, scenario);
    return 1;
}
