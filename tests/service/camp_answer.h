/* tests/service/camp_answer.h: the invented camps of tests/core/camp.h as finished answers. */
#ifndef LW_TESTS_SERVICE_CAMP_ANSWER_H
#define LW_TESTS_SERVICE_CAMP_ANSWER_H

#include <stdio.h>

#include "service/outlook.h"
#include "tests/core/camp.h"

/* Seven hours behind Greenwich all year, as the camp's calendar has it. */
static inline lw_loaded camp_loaded(lw_scenario *scenario)
{
    lw_loaded loaded = {.scenario = scenario,
                        .units = LW_UNITS_US,
                        .weather_elevation_m = NAN,
                        .bag_l = 13.0,
                        .arrived_s = scenario->stay.arrival_s};
    loaded.zone = (lw_zone){.name = "America/Phoenix", .count = 1, .offset_s = {-7 * 3600}, .letters = {"MST"}};
    snprintf(loaded.weather_source, sizeof loaded.weather_source, "one invented curve a day");
    loaded.weather_is_typical = 1;
    snprintf(scenario->place.name, sizeof scenario->place.name, "Saltgrass Bench");
    return loaded;
}

static inline lw_outlook_answer camp_answer(lw_scenario *scenario, int wants_series)
{
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    lw_loaded loaded = camp_loaded(scenario);
    if (lw_outlook_of_loaded(&loaded, 1, wants_series, NULL, &answer, &err) != LW_OK) {
        fprintf(stderr, "%s: %s\n", err.where, err.text);
        abort();
    }
    return answer;
}

/* A small sunless winter camp: its lead-acid bank is flat in the second night and the cold comes in. */
static inline lw_scenario *camp_cold_night(void)
{
    lw_scenario *s = camp_new(8);
    s->rig.battery.chemistry = LW_CHEMISTRY_AGM;
    s->rig.battery.capacity_ah = 120.0;
    s->rig.battery.is_inside = 0;
    s->rig.battery.level_frac = 0.8;
    s->rig.battery.floor_frac = 0.5;
    s->rig.battery.charge_limit_a = 30.0;
    s->rig.array_count = 1;
    s->rig.array[0].rated_w = 60.0;
    s->rig.generator.is_present = 0;
    s->rig.cabin.cool_w = 0.0;
    camp_weather(s, -6.0, 6.0, 0.3);
    s->stay.departure_s = s->stay.arrival_s + 4 * INT64_C(86400);
    return s;
}

#endif
