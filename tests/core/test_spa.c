#include "core/sky/spa.h"
#include "tests/table.h"

static const double RAD = 0.017453292519943295;

static double figure_of(const char *name, const lw_spa_sun *sun, const lw_spa_out *sky)
{
    const struct {
        const char *name;
        double value;
    } figures[] = {
        {"heliocentric_longitude", sun->helio_longitude_deg},
        {"heliocentric_latitude", sun->helio_latitude_deg},
        {"radius_vector", sun->radius_au},
        {"geocentric_longitude", fmod(sun->helio_longitude_deg + 180.0, 360.0)},
        {"geocentric_latitude", -sun->helio_latitude_deg},
        {"nutation_longitude", sun->nutation_longitude_deg},
        {"nutation_obliquity", sun->nutation_obliquity_deg},
        {"true_obliquity", sun->obliquity_deg},
        {"apparent_sun_longitude", sun->apparent_longitude_deg},
        {"right_ascension", sun->right_ascension_deg},
        {"declination", sun->declination_deg},
        {"observer_hour_angle", sky->hour_angle_deg},
        {"topocentric_right_ascension", sky->topo_right_ascension_deg},
        {"topocentric_declination", sky->topo_declination_deg},
        {"topocentric_hour_angle", sky->topo_hour_angle_deg},
        {"apparent_zenith", sky->apparent_zenith_deg},
        {"azimuth", sky->azimuth_deg},
        {"equation_of_time", sun->equation_of_time_min},
    };
    for (size_t i = 0; i < COUNT_OF(figures); i++)
        if (strcmp(figures[i].name, name) == 0)
            return figures[i].value;
    return (double)NAN;
}

/* NREL/TP-560-34302, the worked example: 2003-10-17 12:30:30 at UTC-7, Golden. The report prints 6 to 10 digits; where
 * it prints none the library's figure stands. 1e-9 against the library: the order of summation is all that differs. */
static void the_worked_example_of_the_report_comes_out_step_by_step(void **state)
{
    (void)state;
    const lw_spa_in in = {.t_s = table_day_number(2003, 10, 17) * 86400.0 + 19 * 3600.0 + 30 * 60.0 + 30.0,
                          .delta_t_s = 67.0,
                          .place = {.latitude_deg = 39.742476,
                                    .longitude_deg = -105.1786,
                                    .elevation_m = 1830.14,
                                    .pressure_pa = 82000.0,
                                    .temperature_c = 11.0}};
    lw_spa_sun sun;
    lw_spa_out sky;
    lw_spa(&in, &sun, &sky);
    int compared = 0;
    table t;
    table_open(&t, "tests/reference/spa_example.csv");
    while (table_next(&t)) {
        const char *name = table_text(&t, "name");
        const double got = figure_of(name, &sun, &sky);
        if (isnan(got))
            continue;
        const double published = table_number(&t, "published");
        if (!isnan(published))
            CHECK_NEAR(got, published, 3e-6, "%s as published", name);
        CHECK_NEAR(got, table_number(&t, "computed"), 2e-8, "%s as computed", name);
        compared++;
    }
    assert_int_equal(compared, 18);
}

/* The report's formula of refraction, section 3.14.2, by hand: 1010 mbar and 10 C leave its scale at 1. */
static void refraction_is_half_a_degree_at_the_horizon_and_cut_off_below_it(void **state)
{
    (void)state;
    const double at_horizon = 1.02 / (60.0 * tan((10.3 / 5.11) * RAD));
    CHECK_NEAR(lw_spa_refraction_deg(0.0, 101000.0, 10.0), at_horizon, 1e-12, "horizon");
    CHECK_NEAR(at_horizon, 0.483, 0.001, "about 29 arc minutes");
    CHECK_NEAR(lw_spa_refraction_deg(0.0, 50500.0, 10.0), at_horizon / 2.0, 1e-12, "half the air");
    CHECK_NEAR(lw_spa_refraction_deg(0.0, 101000.0, 293.0), at_horizon / 2.0, 1e-12, "twice as hot");
    assert_true(lw_spa_refraction_deg(-0.83336, 101000.0, 10.0) > 0.5);
    assert_true(lw_spa_refraction_deg(-0.83338, 101000.0, 10.0) == 0.0);
    assert_true(lw_spa_refraction_deg((double)NAN, 101000.0, 10.0) == 0.0);
}

static void every_corner_of_the_checked_input_gives_finite_angles_in_range(void **state)
{
    (void)state;
    static const double LATITUDES[] = {-90.0, -23.44, 0.0, 23.44, 90.0};
    static const double TIMES[] = {-1e11, -1.0, 0.0, 1.75e9, 1e11};
    lw_fault fault = {0};
    for (size_t i = 0; i < COUNT_OF(LATITUDES); i++)
        for (size_t k = 0; k < COUNT_OF(TIMES); k++)
            for (double hour = 0.0; hour < 24.0; hour += 0.25) {
                const lw_spa_in in = {.t_s = TIMES[k] + hour * 3600.0,
                                      .delta_t_s = LW_SPA_DELTA_T_S,
                                      .place = {LATITUDES[i], hour * 15.0 - 180.0, 0.0, 101325.0, 15.0}};
                lw_spa_sun sun;
                lw_spa_out sky;
                assert_int_equal(lw_spa_check(&in, &fault), LW_OK);
                lw_spa(&in, &sun, &sky);
                CHECK_NEAR(sky.zenith_deg, 90.0, 90.0, "zenith, latitude %g", LATITUDES[i]);
                CHECK_NEAR(sky.azimuth_deg, 180.0, 180.0, "azimuth, latitude %g", LATITUDES[i]);
                CHECK_NEAR(sun.declination_deg, 0.0, 24.2, "declination");
                CHECK_NEAR(sun.equation_of_time_min, 0.0, 20.0, "equation of time");
                CHECK_NEAR(sun.radius_au, 1.0, 0.021, "distance");
            }
}

/* Right ascension runs through 360 to 0 at the March equinox; the equation of time must not jump with it. */
static void the_equation_of_time_runs_smoothly_through_the_equinox(void **state)
{
    (void)state;
    const double start_s = table_day_number(2026, 3, 18) * 86400.0;
    lw_spa_sun before, after;
    lw_spa_sun_at(start_s, LW_SPA_DELTA_T_S, &before);
    for (int hour = 1; hour <= 120; hour++) {
        lw_spa_sun_at(start_s + hour * 3600.0, LW_SPA_DELTA_T_S, &after);
        CHECK_NEAR(after.equation_of_time_min, before.equation_of_time_min, 0.02, "hour %d", hour);
        before = after;
    }
}

static void input_that_is_not_a_place_or_an_instant_is_refused_by_name(void **state)
{
    (void)state;
    const lw_spa_in good = {.t_s = 1.7e9, .delta_t_s = 69.2, .place = {40.0, -105.0, 1500.0, 84556.0, 10.0}};
    lw_fault fault = {0};
    assert_int_equal(lw_spa_check(&good, &fault), LW_OK);
    const struct {
        const char *field;
        size_t offset;
        double bad;
    } cases[] = {
        {"t_s", offsetof(lw_spa_in, t_s), 1e15},
        {"delta_t_s", offsetof(lw_spa_in, delta_t_s), 9000.0},
        {"latitude_deg", offsetof(lw_spa_in, place.latitude_deg), 90.001},
        {"longitude_deg", offsetof(lw_spa_in, place.longitude_deg), -180.5},
        {"elevation_m", offsetof(lw_spa_in, place.elevation_m), 20000.0},
        {"pressure_pa", offsetof(lw_spa_in, place.pressure_pa), -1.0},
        {"temperature_c", offsetof(lw_spa_in, place.temperature_c), -273.0},
    };
    for (size_t i = 0; i < COUNT_OF(cases); i++) {
        const double values[] = {cases[i].bad, (double)NAN};
        for (size_t k = 0; k < COUNT_OF(values); k++) {
            lw_spa_in in = good;
            memcpy((char *)&in + cases[i].offset, &values[k], sizeof(double));
            assert_int_equal(lw_spa_check(&in, &fault), LW_E_RANGE);
            assert_string_equal(fault.field, cases[i].field);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_worked_example_of_the_report_comes_out_step_by_step),
        cmocka_unit_test(refraction_is_half_a_degree_at_the_horizon_and_cut_off_below_it),
        cmocka_unit_test(every_corner_of_the_checked_input_gives_finite_angles_in_range),
        cmocka_unit_test(the_equation_of_time_runs_smoothly_through_the_equinox),
        cmocka_unit_test(input_that_is_not_a_place_or_an_instant_is_refused_by_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
