#include "tests/check.h"

#include "core/heat/comfort.h"

static double degf_c(double f)
{
    return (f - 32.0) / 1.8;
}

static double c_degf(double c)
{
    return c * 1.8 + 32.0;
}

static void wind_chill_rounds_to_the_chart(void **state)
{
    (void)state;
    /* US NWS chart (2001). Exact after rounding. */
    static const struct {
        double air_f, wind_mph, want_f;
    } row[] = {{0, 15, -19}, {10, 20, -9}, {-10, 30, -39}, {20, 25, 3}};
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(round(c_degf(lw_wind_chill_c(degf_c(row[i].air_f), row[i].wind_mph * 0.44704))), row[i].want_f, 0.0,
                   "%g F %g mph", row[i].air_f, row[i].wind_mph);
    CHECK_NEAR(lw_wind_chill_c(15.0, 10.0), 15.0, 0.0, "above 50 F");
    CHECK_NEAR(lw_wind_chill_c(-5.0, 1.0), -5.0, 0.0, "below 3 mph");
}

static void heat_index_is_that_of_the_regression_and_the_chart(void **state)
{
    (void)state;
    /* US NWS, SR 90-23, and its chart (106, 121, 118). */
    static const struct {
        double air_f, rh_pct, want_f, chart_f;
    } row[] = {{90, 70, 105.9, 106}, {96, 65, 121.0, 121}, {100, 50, 118.3, 118}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const double got_f = c_degf(lw_heat_index_c(degf_c(row[i].air_f), row[i].rh_pct / 100.0));
        CHECK_NEAR(got_f, row[i].want_f, 0.1, "%g F %g %%", row[i].air_f, row[i].rh_pct);
        CHECK_NEAR(got_f, row[i].chart_f, 1.0, "chart %g F %g %%", row[i].air_f, row[i].rh_pct);
    }
    /* The NWS's simple form, averaged with the air: 75 F, 50 %: (74.55 + 75) / 2. */
    CHECK_NEAR(c_degf(lw_heat_index_c(degf_c(75.0), 0.5)), 74.775, 1e-9, "mild");
    CHECK_NEAR(lw_heat_index_c(0.0, 0.5), 0.0, 0.0, "in the cold it is the air");
    /* Dry and damp ends, from memory: 95 F, 10 %: regression 90.200 less (13 - 10) / 4; 82 F, 90 %: 91.492 and half. */
    CHECK_NEAR(c_degf(lw_heat_index_c(degf_c(95.0), 0.10)), 90.200 - 0.75, 0.001, "dry");
    CHECK_NEAR(c_degf(lw_heat_index_c(degf_c(82.0), 0.90)), 91.492 + 0.5, 0.001, "damp");
}

static void danger_begins_at_103(void **state)
{
    (void)state;
    /* NWS heat index classes: caution 80, extreme caution 90, danger 103, extreme danger 125 F. */
    static const struct {
        double index_f;
        lw_heat_class want;
    } row[] = {{79.9, LW_HEAT_NONE},    {80.0, LW_HEAT_CAUTION}, {90.0, LW_HEAT_STRONG},
               {102.9, LW_HEAT_STRONG}, {103.0, LW_HEAT_DANGER}, {125.0, LW_HEAT_EXTREME}};
    for (size_t i = 0; i < COUNT_OF(row); i++)
        assert_int_equal(lw_heat_class_of(degf_c(row[i].index_f)), row[i].want);
}

static void comfort_bounds_are_those_of_the_standard(void **state)
{
    (void)state;
    /* ASHRAE 55 zones for 1.0 and 0.5 clo; sleep: practice. */
    CHECK_NEAR(lw_comfort_of(LW_COMFORT_WINTER).low_c, 20.0, 0.0, "winter");
    CHECK_NEAR(lw_comfort_of(LW_COMFORT_WINTER).high_c, 23.5, 0.0, "winter");
    CHECK_NEAR(lw_comfort_of(LW_COMFORT_SUMMER).high_c, 26.0, 0.0, "summer");
    CHECK_NEAR(lw_comfort_of(LW_COMFORT_SLEEP).low_c, 15.0, 0.0, "sleep");
}

static void the_dew_point_follows_magnus(void **state)
{
    (void)state;
    /* WMO-No. 8 constants: 20 C, 50 %: 9.26 C. */
    CHECK_NEAR(lw_comfort_dew_c(20.0, 0.5), 9.26, 0.01, "20 C, half");
    CHECK_NEAR(lw_comfort_dew_c(13.0, 1.0), 13.0, 1e-9, "saturated");
    assert_true(isfinite(lw_comfort_dew_c(20.0, 0.0)));
}

static void breath_wets_single_glass_in_frost_but_not_with_air_let_through(void **state)
{
    (void)state;
    lw_damp_in in = {.inside_c = 18.0,
                     .outside_c = -5.0,
                     .outside_rh_frac = 0.8,
                     .vapour_gph = 80.0,
                     .volume_m3 = 35.0,
                     .air_changes_ph = 0.5,
                     .surface_u_wm2k = 5.8};
    lw_damp_out out;
    lw_damp(&in, &out);
    CHECK_NEAR(out.surface_c, 18.0 - 5.8 * 0.13 * 23.0, 1e-9, "glass");
    assert_true(out.is_wet);
    const double shut_dew_c = out.dew_c;
    in.air_changes_ph = 20.0;
    lw_damp(&in, &out);
    assert_true(out.dew_c < shut_dew_c);
    in.surface_u_wm2k = 1.0;
    lw_damp(&in, &out);
    assert_false(out.is_wet);
    in.vapour_gph = 1e5;
    lw_damp(&in, &out);
    CHECK_NEAR(out.inside_rh_frac, 1.0, 1e-12, "never over saturation");
}

static void bad_air_is_refused(void **state)
{
    (void)state;
    lw_fault fault;
    assert_int_equal(lw_comfort_check(20.0, 3.0, 0.5, &fault), LW_OK);
    assert_int_equal(lw_comfort_check((double)NAN, 3.0, 0.5, &fault), LW_E_RANGE);
    assert_int_equal(lw_comfort_check(20.0, -1.0, 0.5, &fault), LW_E_RANGE);
    assert_int_equal(lw_comfort_check(20.0, 3.0, 50.0, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "rh_frac");
    const lw_damp_in still = {.inside_c = 18.0, .volume_m3 = 35.0};
    assert_int_equal(lw_damp_check(&still, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "air_changes_ph");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wind_chill_rounds_to_the_chart),
        cmocka_unit_test(heat_index_is_that_of_the_regression_and_the_chart),
        cmocka_unit_test(danger_begins_at_103),
        cmocka_unit_test(comfort_bounds_are_those_of_the_standard),
        cmocka_unit_test(the_dew_point_follows_magnus),
        cmocka_unit_test(breath_wets_single_glass_in_frost_but_not_with_air_let_through),
        cmocka_unit_test(bad_air_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
