/* Values: tests/core/test_sky_models.c against tests/reference/split.csv. Here: laws, edges and the blend. */
#include "core/sky/split.h"
#include "tests/check.h"

static const double RAD = 0.017453292519943295;
static const double EXTRA_WM2 = 1366.1, ZENITH_DEG = 40.0;

static lw_clear_out clear_sky(void)
{
    lw_clear_out out;
    lw_clear(&(lw_clear_in){ZENITH_DEG, 101325.0, 0.0, 3.0, EXTRA_WM2}, &out);
    return out;
}

static lw_clear_out cloudy(double cloud_frac, double width_frac)
{
    lw_clear_out out;
    lw_split_cloud(&(lw_split_cloud_in){clear_sky(), cloud_frac, ZENITH_DEG, EXTRA_WM2, width_frac}, &out);
    return out;
}

static void beam_and_diffuse_add_up_to_the_global(void **state)
{
    (void)state;
    for (double zenith = 0.0; zenith <= 120.0; zenith += 1.5)
        for (double ghi = 0.0; ghi <= 1300.0; ghi += 50.0) {
            lw_split_out out;
            lw_split(&(lw_split_in){ghi, zenith, EXTRA_WM2}, &out);
            const double beam = zenith > 87.0 ? 0.0 : out.dni_wm2 * cos(zenith * RAD);
            CHECK_NEAR(beam + out.dhi_wm2, ghi, 1e-9, "zenith %g ghi %g", zenith, ghi);
            assert_true(out.kt >= 0.0 && out.kt <= 1.0 && out.dni_wm2 >= 0.0);
        }
}

/* Above 87 deg the hourly correlation says nothing: all light is diffuse. */
static void a_sun_near_the_horizon_has_no_beam(void **state)
{
    (void)state;
    lw_split_out low, higher;
    lw_split(&(lw_split_in){30.0, 87.0001, EXTRA_WM2}, &low);
    lw_split(&(lw_split_in){30.0, 87.0, EXTRA_WM2}, &higher);
    assert_true(low.dni_wm2 == 0.0 && low.dhi_wm2 == 30.0);
    assert_true(higher.dni_wm2 > 0.0);
    CHECK_NEAR(low.kt, 30.0 / (EXTRA_WM2 * 0.065), 1e-12, "the cosine's floor");
}

static void a_factor_of_one_is_the_clear_sky_whatever_the_width(void **state)
{
    (void)state;
    const lw_clear_out want = clear_sky();
    const double widths[] = {0.0, 0.01, LW_SPLIT_BLEND_WIDTH_FRAC, 1.0};
    for (size_t i = 0; i < COUNT_OF(widths); i++) {
        const lw_clear_out got = cloudy(1.0, widths[i]);
        assert_memory_equal(&got, &want, sizeof want);
    }
}

static void without_a_width_or_below_it_the_split_is_that_of_erbs(void **state)
{
    (void)state;
    for (double factor = 0.0; factor < 1.0; factor += 0.0625)
        for (double width = 0.0; width <= 1.0 - factor; width += 0.0625) {
            const lw_clear_out got = cloudy(factor, width);
            lw_split_out want;
            lw_split(&(lw_split_in){clear_sky().ghi_wm2 * factor, ZENITH_DEG, EXTRA_WM2}, &want);
            CHECK_NEAR(got.ghi_wm2, clear_sky().ghi_wm2 * factor, 1e-12, "global, factor %g", factor);
            CHECK_NEAR(got.dni_wm2, want.dni_wm2, 1e-12, "beam, factor %g", factor);
            CHECK_NEAR(got.dhi_wm2, want.dhi_wm2, 1e-12, "diffuse, factor %g", factor);
        }
}

/* Strict Erbs jumps at a factor of 1, here by some 6 % of the beam; the blend does not jump and keeps the balance. */
static void the_blend_leads_over_to_the_clear_sky_without_a_step(void **state)
{
    (void)state;
    assert_true(clear_sky().dni_wm2 - cloudy(0.9999, 0.0).dni_wm2 > 40.0);
    lw_clear_out before = cloudy(0.7, LW_SPLIT_BLEND_WIDTH_FRAC);
    for (int i = 1; i <= 3000; i++) {
        const double factor = i == 3000 ? 1.0 : 0.7 + i * 1e-4;
        const lw_clear_out now = cloudy(factor, LW_SPLIT_BLEND_WIDTH_FRAC);
        CHECK_NEAR(now.dni_wm2, before.dni_wm2, 0.5, "beam, factor %g", factor);
        CHECK_NEAR(now.dhi_wm2, before.dhi_wm2, 0.5, "diffuse, factor %g", factor);
        CHECK_NEAR(now.dni_wm2 * cos(ZENITH_DEG * RAD) + now.dhi_wm2, now.ghi_wm2, 1e-9, "balance, factor %g", factor);
        assert_true(now.dni_wm2 >= before.dni_wm2 - 1e-9);
        before = now;
    }
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault = {0};
    assert_int_equal(lw_split_check(&(lw_split_in){500.0, 40.0, EXTRA_WM2}, &fault), LW_OK);
    assert_int_equal(lw_split_check(&(lw_split_in){(double)NAN, 40.0, EXTRA_WM2}, &fault), LW_E_RANGE);
    assert_int_equal(lw_split_check(&(lw_split_in){500.0, -1.0, EXTRA_WM2}, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "zenith_deg");
    lw_split_cloud_in in = {clear_sky(), 0.5, 40.0, EXTRA_WM2, 0.1};
    assert_int_equal(lw_split_cloud_check(&in, &fault), LW_OK);
    in.cloud_frac = 1.01;
    assert_int_equal(lw_split_cloud_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "cloud_frac");
    in.cloud_frac = 0.5;
    in.blend_width_frac = (double)NAN;
    assert_int_equal(lw_split_cloud_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "blend_width_frac");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(beam_and_diffuse_add_up_to_the_global),
        cmocka_unit_test(a_sun_near_the_horizon_has_no_beam),
        cmocka_unit_test(a_factor_of_one_is_the_clear_sky_whatever_the_width),
        cmocka_unit_test(without_a_width_or_below_it_the_split_is_that_of_erbs),
        cmocka_unit_test(the_blend_leads_over_to_the_clear_sky_without_a_step),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
