#include "core/sky/horizon.h"
#include "tests/check.h"

static const double RAD = 0.017453292519943295;

static lw_horizon level(double elevation_deg)
{
    lw_horizon horizon = {.shade_frac = 0.0};
    for (int i = 0; i < LW_HORIZON_POINTS; i++)
        horizon.elevation_deg[i] = elevation_deg;
    return horizon;
}

static void the_profile_is_straight_between_its_points_and_closes_at_north(void **state)
{
    (void)state;
    lw_horizon horizon = level(0.0);
    horizon.elevation_deg[0] = 10.0;
    horizon.elevation_deg[1] = 20.0;
    horizon.elevation_deg[359] = 4.0;
    const double row[][2] = {{0.0, 10.0},  {0.5, 15.0},   {1.0, 20.0},   {1.5, 10.0}, {2.0, 0.0},     {359.0, 4.0},
                             {359.5, 7.0}, {360.0, 10.0}, {360.5, 15.0}, {-0.5, 7.0}, {-360.0, 10.0}, {180.0, 0.0}};
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(lw_horizon_at_deg(&horizon, row[i][0]), row[i][1], 1e-9, "azimuth %g", row[i][0]);
    CHECK_NEAR(lw_horizon_at_deg(&horizon, -1e-18), 10.0, 1e-9, "a hair west of north");
}

static void the_disc_rises_over_the_horizon_over_its_own_height(void **state)
{
    (void)state;
    lw_horizon horizon = level(12.0);
    CHECK_NEAR(lw_horizon_sun_frac(&horizon, 100.0, 11.7), 0.0, 0.0, "hidden");
    CHECK_NEAR(lw_horizon_sun_frac(&horizon, 100.0, 12.0), 0.5, 1e-12, "half");
    CHECK_NEAR(lw_horizon_sun_frac(&horizon, 100.0, 12.0 + 0.5 * 0.26667), 0.75, 1e-12, "three quarters");
    CHECK_NEAR(lw_horizon_sun_frac(&horizon, 100.0, 12.3), 1.0, 0.0, "free");
    horizon.shade_frac = 0.25;
    CHECK_NEAR(lw_horizon_sun_frac(&horizon, 100.0, 50.0), 0.75, 1e-12, "trees");
}

/* View factor of a level plane to a sky above a level horizon: cos^2 of its elevation (any text on radiant exchange).
 */
static void the_share_of_the_sky_is_that_of_the_view_factor(void **state)
{
    (void)state;
    const double levels[] = {0.0, 5.0, 30.0, 60.0, 90.0};
    for (size_t i = 0; i < COUNT_OF(levels); i++) {
        const lw_horizon horizon = level(levels[i]);
        const double cosine = cos(levels[i] * RAD);
        CHECK_NEAR(lw_horizon_sky_frac(&horizon), cosine * cosine, 1e-12, "%g deg all around", levels[i]);
    }
    /* One straight slope from 0 to 60 deg over a degree of azimuth and back, against a fine sum. */
    lw_horizon peak = level(0.0);
    peak.elevation_deg[10] = 60.0;
    double fine = 0.0;
    for (int i = 0; i < 36000; i++) {
        const double cosine = cos(lw_horizon_at_deg(&peak, (i + 0.5) * 0.01) * RAD);
        fine += cosine * cosine / 36000.0;
    }
    CHECK_NEAR(lw_horizon_sky_frac(&peak), fine, 1e-4, "a peak");
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault = {0};
    lw_horizon horizon = level(10.0);
    assert_int_equal(lw_horizon_check(&horizon, &fault), LW_OK);
    horizon.elevation_deg[359] = (double)NAN;
    assert_int_equal(lw_horizon_check(&horizon, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "elevation_deg");
    horizon = level(-1.0);
    assert_int_equal(lw_horizon_check(&horizon, &fault), LW_E_RANGE);
    horizon = level(10.0);
    horizon.shade_frac = -0.1;
    assert_int_equal(lw_horizon_check(&horizon, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "shade_frac");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_profile_is_straight_between_its_points_and_closes_at_north),
        cmocka_unit_test(the_disc_rises_over_the_horizon_over_its_own_height),
        cmocka_unit_test(the_share_of_the_sky_is_that_of_the_view_factor),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
