/* Values: tests/core/test_sky_models.c against tests/reference/glass.csv. Here: laws and edges. */
#include "core/sky/glass.h"
#include "tests/check.h"

static const double RAD = 0.017453292519943295;

static void square_on_all_of_the_beam_counts_and_from_behind_none(void **state)
{
    (void)state;
    const double none[] = {0.0, -0.5, -1.0, (double)NAN};
    CHECK_NEAR(lw_glass_ashrae_frac(1.0), 1.0, 1e-12, "ASHRAE");
    CHECK_NEAR(lw_glass_physical_frac(1.0), 1.0, 1e-12, "physical");
    CHECK_NEAR(lw_glass_physical_frac(1.0 + 1e-12), 1.0, 1e-12, "rounded past 1");
    for (size_t i = 0; i < COUNT_OF(none); i++)
        assert_true(lw_glass_ashrae_frac(none[i]) == 0.0 && lw_glass_physical_frac(none[i]) == 0.0);
}

static void a_flatter_beam_never_gets_through_better(void **state)
{
    (void)state;
    for (double aoi = 0.5; aoi <= 90.0; aoi += 0.5) {
        const double now = cos(aoi * RAD), before = cos((aoi - 0.5) * RAD);
        assert_true(lw_glass_ashrae_frac(now) <= lw_glass_ashrae_frac(before));
        assert_true(lw_glass_physical_frac(now) < lw_glass_physical_frac(before));
    }
}

/* Fresnel by hand at Brewster's angle, tan = 1.526: the light along the plane of incidence is not reflected at all. */
static void at_the_brewster_angle_half_of_the_light_is_not_reflected(void **state)
{
    (void)state;
    const double n = 1.526, theta1 = atan(n), theta2 = 0.5 * 3.141592653589793 - theta1;
    const double across = sin(theta1 - theta2) / sin(theta1 + theta2), square_on = (n - 1.0) / (n + 1.0);
    const double want =
        (1.0 - 0.5 * across * across) * exp(-0.008 / cos(theta2)) / ((1.0 - square_on * square_on) * exp(-0.008));
    CHECK_NEAR(lw_glass_physical_frac(cos(theta1)), want, 1e-12, "Brewster");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(square_on_all_of_the_beam_counts_and_from_behind_none),
        cmocka_unit_test(a_flatter_beam_never_gets_through_better),
        cmocka_unit_test(at_the_brewster_angle_half_of_the_light_is_not_reflected),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
