#include "core/sky/sun_events.h"
#include "core/sky/spa.h"
#include "tests/table.h"

static const double DAY_S = 86400.0;

static double elevation_deg(const lw_sun_events_in *in, double t_s)
{
    const lw_spa_in at = {
        .t_s = t_s, .delta_t_s = in->delta_t_s, .place = {in->latitude_deg, in->longitude_deg, 0, 0, 0}};
    lw_spa_sun sun;
    lw_spa_out sky;
    lw_spa(&at, &sun, &sky);
    return 90.0 - sky.zenith_deg;
}

/* Also where the sun grazes: there a second says nothing, the height does. */
static void at_sunrise_and_sunset_the_sun_stands_at_the_threshold(void **state)
{
    (void)state;
    int found = 0;
    for (double latitude = -72.0; latitude <= 72.0; latitude += 3.0)
        for (int day = 20454; day < 20454 + 365; day += 13) {
            const lw_sun_events_in in = {day, latitude, latitude * 2.3, LW_SPA_DELTA_T_S};
            lw_sun_events_out out;
            lw_sun_events(&in, &out);
            if (!isnan(out.sunrise_s))
                CHECK_NEAR(elevation_deg(&in, out.sunrise_s), LW_SPA_SUNSET_DEG, 3e-5, "rise, %g, %d", latitude, day);
            if (!isnan(out.sunset_s))
                CHECK_NEAR(elevation_deg(&in, out.sunset_s), LW_SPA_SUNSET_DEG, 3e-5, "set, %g, %d", latitude, day);
            found += !isnan(out.sunrise_s) && !isnan(out.sunset_s);
        }
    assert_true(found > 1200);
}

static void a_day_runs_from_sunrise_over_transit_to_sunset_on_its_own_date(void **state)
{
    (void)state;
    for (double longitude = -180.0; longitude <= 180.0; longitude += 7.5)
        for (int day = 20454; day < 20454 + 365; day += 29) {
            const lw_sun_events_in in = {day, 41.0, longitude, LW_SPA_DELTA_T_S};
            lw_sun_events_out out;
            lw_sun_events(&in, &out);
            const double mean_time_d = out.transit_s / DAY_S + longitude / 360.0;
            CHECK_NEAR(mean_time_d, day + 0.5, 17.0 / 1440.0, "transit, %g, %d", longitude, day);
            assert_true(out.sun_up == LW_SUN_UP_PART);
            assert_true(out.sunrise_s < out.transit_s && out.transit_s < out.sunset_s);
            assert_true(out.sunset_s - out.sunrise_s > 9.0 * 3600.0);
            assert_true(out.sunset_s - out.sunrise_s < 15.5 * 3600.0);
        }
}

static void the_polar_day_and_night_have_a_transit_only(void **state)
{
    (void)state;
    const int june = (int)table_day_number(2026, 6, 21), december = (int)table_day_number(2026, 12, 21);
    const struct {
        double latitude;
        int day;
        lw_sun_up want;
    } cases[] = {{75.0, june, LW_SUN_UP_ALL_DAY},   {-75.0, june, LW_SUN_UP_NEVER},
                 {75.0, december, LW_SUN_UP_NEVER}, {-75.0, december, LW_SUN_UP_ALL_DAY},
                 {90.0, june, LW_SUN_UP_ALL_DAY},   {-90.0, june, LW_SUN_UP_NEVER}};
    for (size_t i = 0; i < COUNT_OF(cases); i++) {
        const lw_sun_events_in in = {cases[i].day, cases[i].latitude, 10.0, LW_SPA_DELTA_T_S};
        lw_sun_events_out out;
        lw_sun_events(&in, &out);
        assert_int_equal(out.sun_up, cases[i].want);
        assert_true(isnan(out.sunrise_s) && isnan(out.sunset_s));
        CHECK_NEAR(out.transit_s, (cases[i].day + 0.5 - 10.0 / 360.0) * DAY_S, 1020.0, "transit, case %zu", i);
    }
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault = {0};
    const lw_sun_events_in good = {20454, 40.0, -105.0, 69.2};
    assert_int_equal(lw_sun_events_check(&good, &fault), LW_OK);
    lw_sun_events_in bad = good;
    bad.latitude_deg = (double)NAN;
    assert_int_equal(lw_sun_events_check(&bad, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "latitude_deg");
    bad = good;
    bad.longitude_deg = 181.0;
    assert_int_equal(lw_sun_events_check(&bad, &fault), LW_E_RANGE);
    bad = good;
    bad.solar_day = INT64_MAX;
    assert_int_equal(lw_sun_events_check(&bad, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(at_sunrise_and_sunset_the_sun_stands_at_the_threshold),
        cmocka_unit_test(a_day_runs_from_sunrise_over_transit_to_sunset_on_its_own_date),
        cmocka_unit_test(the_polar_day_and_night_have_a_transit_only),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
