/* The sun on a camp's arrays, as the engine prepares it: what a step of an hour costs, and arrays turned by hand. */
#include "tests/check.h"
#include "tests/core/camp.h"

enum { DAYS = 4 };

static double panels_wh(lw_scenario *s, int steps_per_hour, int from_h, int until_h)
{
    camp c = camp_prepare(s, steps_per_hour);
    lw_state state;
    lw_state_start(c.context, &state);
    double sum_wh = 0.0;
    for (int i = from_h * steps_per_hour; i < until_h * steps_per_hour; i++) {
        lw_flows flows = {0};
        lw_step_once(c.context, LW_MODE_OWN, i, &state, &flows);
        sum_wh += flows.of[LW_FLOW_SUN_PANELS];
    }
    free(c.arena.base);
    return sum_wh;
}

/* One array of 200 W in still, even air: its temperature then depends on the sun only. */
static lw_scenario *camp_with(double latitude_deg, double tilt_deg, double clear_frac)
{
    lw_scenario *s = camp_new(DAYS);
    s->place.latitude_deg = latitude_deg;
    s->rig.array_count = 1;
    s->rig.array[0].rated_w = 200.0;
    s->rig.array[0].tilt_deg = tilt_deg;
    s->rig.array[0].azimuth_deg = latitude_deg > 0.0 ? 180.0 : 0.0;
    camp_weather(s, 12.0, 0.0, clear_frac);
    return s;
}

/* The bar of the reference days (tests/reference/sun_chain_year.csv): flat 0.3 %, tilted 0.8 % on days over 100 Wh.
 * Half of it is asked for, as steps of five minutes stand in for minutes. The calendar is June's: winter is south. */
static void a_step_of_an_hour_gives_the_energy_of_five_minutes(void **state)
{
    (void)state;
    static const double LATITUDES[] = {61.2, 44.3, 27.5, -30.0, -36.0, -38.9, -42.0, -45.0};
    static const double CLEAR[] = {1.0, 0.95, 0.9, 0.85, 0.8, 0.75, 0.6, 0.35};
    for (size_t l = 0; l < COUNT_OF(LATITUDES); l++)
        for (size_t f = 0; f < COUNT_OF(CLEAR); f++)
            for (int is_tilted = 0; is_tilted < 2; is_tilted++) {
                lw_scenario *s = camp_with(LATITUDES[l], is_tilted ? 35.0 : 0.0, CLEAR[f]);
                for (int day = 0; day < DAYS - 1; day++) {
                    const int from_h = 9 + 24 * day, until_h = from_h + 24; /* from midnight on */
                    const double fine_wh = panels_wh(s, 12, from_h, until_h);
                    const double tolerance_wh = fine_wh > 100.0 ? (is_tilted ? 0.004 : 0.0015) * fine_wh : 0.25;
                    CHECK_NEAR(panels_wh(s, 1, from_h, until_h), fine_wh, tolerance_wh,
                               "latitude %g, clear %g, tilted %d, day %d", LATITUDES[l], CLEAR[f], is_tilted, day);
                }
                free(s);
            }
}

/* At 70 N in June the light never ends. Turned eleven times in each round of the sun, an upright array stays within
 * 15 deg of it and loses 1 % of the beam at most; turned by parts of the whole stay it would stand still for days. */
static void under_a_midnight_sun_an_array_is_turned_day_by_day(void **state)
{
    (void)state;
    double wh[3];
    for (int i = 0; i < 3; i++) {
        lw_scenario *s = camp_with(70.0, 80.0, 1.0);
        s->rig.array[0].moves_a_day = i == 0 ? -1 : i == 1 ? 11 : 23;
        wh[i] = panels_wh(s, 1, 9, 9 + 72);
        free(s);
    }
    assert_true(wh[1] > 1.8 * wh[0]);
    CHECK_NEAR(wh[1] / wh[2], 1.0, 0.015, "eleven moves against twenty-three");
}

/* A place's light does not depend on the clock that is kept there. */
static void an_array_turned_by_hand_does_not_mind_the_clock(void **state)
{
    (void)state;
    double wh[2];
    for (int i = 0; i < 2; i++) {
        lw_scenario *s = camp_with(40.0, 40.0, 1.0);
        s->rig.array[0].moves_a_day = 3;
        for (int h = 0; i == 1 && h < s->calendar.hours; h++)
            s->calendar.civil_hour[h] = (uint8_t)((s->calendar.civil_hour[h] + 7) % 24);
        wh[i] = panels_wh(s, 1, 9, 9 + 72);
        free(s);
    }
    CHECK_NEAR(wh[0], wh[1], 1e-9 * wh[0], "clock of the zone against UTC");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_step_of_an_hour_gives_the_energy_of_five_minutes),
        cmocka_unit_test(under_a_midnight_sun_an_array_is_turned_day_by_day),
        cmocka_unit_test(an_array_turned_by_hand_does_not_mind_the_clock),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
