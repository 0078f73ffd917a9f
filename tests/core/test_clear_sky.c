/* Values: tests/core/test_sky_models.c against tests/reference/clear_sky.csv. Here: laws and edges. */
#include "core/sky/clear_sky.h"
#include "tests/check.h"

static const double RAD = 0.017453292519943295;

static lw_clear_out clear_at(double zenith_deg, double elevation_m, double turbidity)
{
    lw_clear_out out;
    lw_clear(&(lw_clear_in){.apparent_zenith_deg = zenith_deg,
                            .pressure_pa = 101325.0 * exp(-elevation_m / 8400.0),
                            .elevation_m = elevation_m,
                            .linke_turbidity = turbidity,
                            .extra_dni_wm2 = 1366.1},
             &out);
    return out;
}

/* Kasten and Young 1989 print 1.0 at the zenith and 37.92 at the horizon. */
static void air_mass_is_one_overhead_38_at_the_horizon_and_undefined_below(void **state)
{
    (void)state;
    CHECK_NEAR(lw_clear_air_mass(0.0), 1.0, 5e-4, "overhead");
    CHECK_NEAR(lw_clear_air_mass(90.0), 37.92, 0.01, "horizon");
    assert_true(isnan(lw_clear_air_mass(90.0001)));
    assert_true(isnan(lw_clear_air_mass((double)NAN)));
    CHECK_NEAR(lw_clear_air_mass_absolute(2.0, 101325.0 / 2.0), 1.0, 1e-12, "half the air");
}

/* The Earth is nearest early in January (perihelion, 0.9833 au) and farthest early in July (1.0167 au). */
static void the_two_ways_to_the_beam_above_the_air_agree_within_a_thousandth(void **state)
{
    (void)state;
    CHECK_NEAR(lw_clear_extra_dni_wm2(4.0), lw_clear_extra_dni_at_wm2(0.9833), 1.4, "perihelion");
    CHECK_NEAR(lw_clear_extra_dni_wm2(185.0), lw_clear_extra_dni_at_wm2(1.0167), 1.4, "aphelion");
    CHECK_NEAR(lw_clear_extra_dni_at_wm2(1.0), LW_SOLAR_CONSTANT_WM2, 1e-9, "one au");
}

static void beam_and_diffuse_add_up_and_stay_between_nothing_and_the_beam_above_the_air(void **state)
{
    (void)state;
    for (double zenith = 0.0; zenith <= 90.0; zenith += 0.5)
        for (double elevation = 0.0; elevation <= 4000.0; elevation += 1000.0)
            for (double turbidity = 1.5; turbidity <= 8.0; turbidity += 0.5) {
                const lw_clear_out sky = clear_at(zenith, elevation, turbidity);
                CHECK_NEAR(sky.dni_wm2 * cos(zenith * RAD) + sky.dhi_wm2, sky.ghi_wm2, 1e-9, "balance, %g", zenith);
                assert_true(sky.dni_wm2 >= 0.0 && sky.dni_wm2 < 1366.1);
                assert_true(sky.dhi_wm2 >= -1e-9);
                assert_true(sky.ghi_wm2 <= clear_at(zenith, elevation, turbidity - 0.5).ghi_wm2 + 1e-9);
            }
}

static void a_higher_place_gets_a_stronger_beam(void **state)
{
    (void)state;
    for (double elevation = 500.0; elevation <= 4000.0; elevation += 500.0)
        assert_true(clear_at(60.0, elevation, 3.0).dni_wm2 > clear_at(60.0, elevation - 500.0, 3.0).dni_wm2);
}

static void the_night_gives_nothing(void **state)
{
    (void)state;
    const double nights[] = {90.0001, 120.0, 180.0, (double)NAN};
    for (size_t i = 0; i < COUNT_OF(nights); i++) {
        const lw_clear_out sky = clear_at(nights[i], 0.0, 3.0);
        assert_true(sky.ghi_wm2 == 0.0 && sky.dni_wm2 == 0.0 && sky.dhi_wm2 == 0.0);
        assert_true(lw_clear_haurwitz_wm2(nights[i]) == 0.0);
    }
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    const lw_clear_in good = {30.0, 101325.0, 0.0, 3.0, 1366.1};
    lw_fault fault = {0};
    assert_int_equal(lw_clear_check(&good, &fault), LW_OK);
    const struct {
        const char *field;
        lw_clear_in in;
    } cases[] = {
        {"apparent_zenith_deg", {-1.0, 101325.0, 0.0, 3.0, 1366.1}},
        {"apparent_zenith_deg", {(double)NAN, 101325.0, 0.0, 3.0, 1366.1}},
        {"pressure_pa", {30.0, 1013.25, 0.0, 3.0, 1366.1}},
        {"elevation_m", {30.0, 101325.0, 9001.0, 3.0, 1366.1}},
        {"linke_turbidity", {30.0, 101325.0, 0.0, 0.0, 1366.1}},
        {"extra_dni_wm2", {30.0, 101325.0, 0.0, 3.0, 0.0}},
    };
    for (size_t i = 0; i < COUNT_OF(cases); i++) {
        assert_int_equal(lw_clear_check(&cases[i].in, &fault), LW_E_RANGE);
        assert_string_equal(fault.field, cases[i].field);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(air_mass_is_one_overhead_38_at_the_horizon_and_undefined_below),
        cmocka_unit_test(the_two_ways_to_the_beam_above_the_air_agree_within_a_thousandth),
        cmocka_unit_test(beam_and_diffuse_add_up_and_stay_between_nothing_and_the_beam_above_the_air),
        cmocka_unit_test(a_higher_place_gets_a_stronger_beam),
        cmocka_unit_test(the_night_gives_nothing),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
