#include "core/land/distance.h"
#include "tests/check.h"

static const double PI = 3.14159265358979323846, EARTH_M = 6371008.8;

static void known_arcs_have_their_length(void **state)
{
    (void)state;
    CHECK_NEAR(lw_distance_m((lw_spot){0, 0}, (lw_spot){0, 90}), PI / 2.0 * EARTH_M, 1e-3, "a quarter of the equator");
    CHECK_NEAR(lw_distance_m((lw_spot){0, 0}, (lw_spot){0, 180}), PI * EARTH_M, 1e-3, "the antipode");
    CHECK_NEAR(lw_distance_m((lw_spot){40, -105}, (lw_spot){41, -105}), PI / 180.0 * EARTH_M, 1e-3, "a degree north");
    CHECK_NEAR(lw_distance_m((lw_spot){0, 179}, (lw_spot){0, -179}), PI / 90.0 * EARTH_M, 1e-3, "over the date line");
    CHECK_NEAR(lw_distance_m((lw_spot){44, -117}, (lw_spot){44, -117}), 0.0, 0.0, "the same spot");
}

static void two_airports_are_as_far_as_printed(void **state)
{
    (void)state;
    /* Haversine example long in circulation: 36.12 N 86.67 W to 33.94 N 118.40 W is 2,887.26 km on a ball of 6,372.8 km
     * (from memory). */
    const double got_m = lw_distance_m((lw_spot){36.12, -86.67}, (lw_spot){33.94, -118.40});
    CHECK_NEAR(got_m * 6372800.0 / EARTH_M, 2887260.0, 10.0, "metres on that ball");
}

static void near_points_keep_their_digits_and_both_ways_are_equal(void **state)
{
    (void)state;
    const lw_spot a = {44.0, -117.0}, b = {44.0 + 1e-5, -117.0};
    CHECK_NEAR(lw_distance_m(a, b), 1e-5 * PI / 180.0 * EARTH_M, 1e-6, "a metre");
    CHECK_NEAR(lw_distance_m(a, b), lw_distance_m(b, a), 0.0, "there and back");
}

static void spots_off_the_ball_are_refused(void **state)
{
    (void)state;
    lw_fault fault;
    assert_int_equal(lw_spot_check(&(lw_spot){90.0, -180.0}, &fault), LW_OK);
    assert_int_equal(lw_spot_check(&(lw_spot){90.1, 0.0}, &fault), LW_E_RANGE);
    assert_int_equal(lw_spot_check(&(lw_spot){0.0, NAN}, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(known_arcs_have_their_length),
        cmocka_unit_test(two_airports_are_as_far_as_printed),
        cmocka_unit_test(near_points_keep_their_digits_and_both_ways_are_equal),
        cmocka_unit_test(spots_off_the_ball_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
