#include "core/sky/sun_table.h"
#include "tests/table.h"

static const double RAD = 0.017453292519943295, DAY_S = 86400.0;
static lw_sun_table sun_days; /* 10 kB: refilled by each test */

/* A small generator of its own (Lehmer, modulus 2^31 - 1), so that the places are the same everywhere. */
static double draw(uint32_t *seed)
{
    *seed = (uint32_t)((uint64_t)*seed * 48271u % 2147483647u);
    return *seed / 2147483647.0;
}

static lw_spa_place place_of(uint32_t *seed)
{
    return (lw_spa_place){.latitude_deg = 180.0 * draw(seed) - 90.0,
                          .longitude_deg = 360.0 * draw(seed) - 180.0,
                          .elevation_m = 4000.0 * draw(seed),
                          .pressure_pa = 60000.0 + 42000.0 * draw(seed),
                          .temperature_c = 60.0 * draw(seed) - 20.0};
}

/* Degrees between the table's apparent sun and that of the algorithm. */
static double apart_deg(const lw_sun *sun, const lw_spa_out *sky)
{
    const double z = sky->apparent_zenith_deg * RAD, a = sky->azimuth_deg * RAD;
    const double e = sun->east - sin(z) * sin(a), n = sun->north - sin(z) * cos(a), u = sun->up - cos(z);
    return sqrt(e * e + n * n + u * u) / RAD;
}

/* The project's bar is 0.0005 deg; measured under 0.000001, and held near that: a wrong parallax costs 0.00005. */
static void the_table_stays_within_half_a_thousandth_of_a_degree_of_the_algorithm(void **state)
{
    (void)state;
    uint32_t seed = 20261;
    for (int year = 2020; year <= 2040; year += 4) {
        const int64_t first = (int64_t)table_day_number(year, 1, 1);
        lw_sun_table_fill(&sun_days, first, LW_SUN_TABLE_DAYS_MAX, LW_SPA_DELTA_T_S);
        for (int i = 0; i < 2000; i++) {
            const lw_spa_in in = {.t_s = ((double)first + LW_SUN_TABLE_DAYS_MAX * draw(&seed)) * DAY_S,
                                  .delta_t_s = LW_SPA_DELTA_T_S,
                                  .place = place_of(&seed)};
            const lw_sun_place place = lw_sun_place_of(&in.place);
            lw_spa_sun exact;
            lw_spa_out sky;
            lw_sun sun;
            lw_spa(&in, &exact, &sky);
            lw_sun_at(&sun_days, &place, in.t_s, &sun);
            CHECK_NEAR(90.0 - sun.elevation_deg, sky.zenith_deg, 5e-6, "true zenith, %d, %d", year, i);
            CHECK_NEAR(sun.cos_zenith, cos(sky.zenith_deg * RAD), 1e-7, "cosine, %d, %d", year, i);
            CHECK_NEAR(sun.radius_au, exact.radius_au, 1e-7, "distance, %d, %d", year, i);
            if (fabs(sky.zenith_deg - 90.83337) < 1e-4) /* refraction jumps there */
                continue;
            CHECK_NEAR(apart_deg(&sun, &sky), 0.0, 5e-6, "direction, %d, %d", year, i);
            CHECK_NEAR(90.0 - sun.apparent_elevation_deg, sky.apparent_zenith_deg, 5e-6, "apparent zenith");
            CHECK_NEAR(sun.up, cos(sky.apparent_zenith_deg * RAD), 1e-7, "apparent cosine");
        }
    }
}

/* tests/reference/sun.csv, made by pvlib-python 0.15.2: the same rows, by the table. */
static void the_table_agrees_with_published_positions(void **state)
{
    (void)state;
    table t;
    table_open(&t, "tests/reference/sun.csv");
    while (table_next(&t)) {
        const double t_s = table_time(&t, "utc"), zenith_deg = table_number(&t, "zenith_deg");
        lw_sun_table_fill(&sun_days, (int64_t)floor(t_s / DAY_S), 1, LW_SPA_DELTA_T_S);
        const lw_sun_place place = lw_sun_place_of(&(lw_spa_place){.latitude_deg = table_number(&t, "latitude_deg"),
                                                                   .longitude_deg = table_number(&t, "longitude_deg"),
                                                                   .elevation_m = table_number(&t, "elevation_m"),
                                                                   .pressure_pa = table_number(&t, "pressure_pa"),
                                                                   .temperature_c = table_number(&t, "temperature_c")});
        lw_sun sun;
        lw_sun_at(&sun_days, &place, t_s, &sun);
        CHECK_NEAR(90.0 - sun.elevation_deg, zenith_deg, 5e-6, "row %d zenith", t.row);
        const double turn = fabs(lw_sun_azimuth_deg(&sun) - table_number(&t, "azimuth_deg"));
        CHECK_NEAR(fmin(turn, 360.0 - turn) * sin(zenith_deg * RAD), 0.0, 5e-6, "row %d azimuth", t.row);
        if (fabs(zenith_deg - 90.83337) > 1e-3)
            CHECK_NEAR(90.0 - sun.apparent_elevation_deg, table_number(&t, "apparent_zenith_deg"), 5e-6,
                       "row %d apparent zenith", t.row);
    }
}

static void the_direction_is_a_unit_vector_and_the_batch_gives_the_same_bytes(void **state)
{
    (void)state;
    uint32_t seed = 7;
    double t_s[500];
    lw_sun each[500], one;
    lw_sun_table_fill(&sun_days, 20454, 30, LW_SPA_DELTA_T_S);
    const lw_spa_place at = place_of(&seed);
    const lw_sun_place place = lw_sun_place_of(&at);
    for (int i = 0; i < 500; i++)
        t_s[i] = (20454.0 + 30.0 * draw(&seed)) * DAY_S;
    lw_sun_at_each(&sun_days, &place, t_s, COUNT_OF(t_s), each);
    for (int i = 0; i < 500; i++) {
        lw_sun_at(&sun_days, &place, t_s[i], &one);
        assert_memory_equal(&one, &each[i], sizeof one);
        CHECK_NEAR(one.east * one.east + one.north * one.north + one.up * one.up, 1.0, 1e-10, "length, %d", i);
        CHECK_NEAR(one.up, sin(one.apparent_elevation_deg * RAD), 1e-10, "up and elevation, %d", i);
    }
}

/* Skipped refraction costs a flat panel 2 % and a tilted one 7 % on winter days at 61 N. */
static void a_low_sun_is_lifted_and_a_sun_under_the_horizon_is_not(void **state)
{
    (void)state;
    lw_sun_table_fill(&sun_days, 20454, 1, LW_SPA_DELTA_T_S);
    const lw_sun_place place = lw_sun_place_of(&(lw_spa_place){61.2, -149.1, 60.0, 101000.0, 10.0});
    int lifted = 0, dark = 0;
    for (int minute = 0; minute < 1440; minute++) {
        lw_sun sun;
        lw_sun_at(&sun_days, &place, 20454 * DAY_S + minute * 60.0, &sun);
        const double lift = sun.apparent_elevation_deg - sun.elevation_deg;
        CHECK_NEAR(lift, lw_spa_refraction_deg(sun.elevation_deg, 101000.0, 10.0), 1e-12, "minute %d", minute);
        lifted += lift > 0.1;
        dark += lift == 0.0;
    }
    assert_true(lifted > 200 && dark > 900);
}

static void days_join_without_a_step(void **state)
{
    (void)state;
    lw_sun_table_fill(&sun_days, 20454, 3, LW_SPA_DELTA_T_S);
    const lw_sun_place place = lw_sun_place_of(&(lw_spa_place){35.0, 100.0, 0.0, 101325.0, 10.0});
    lw_sun before, behind;
    for (int day = 1; day <= 2; day++) {
        lw_sun_at(&sun_days, &place, (20454 + day) * DAY_S - 1e-3, &before);
        lw_sun_at(&sun_days, &place, (20454 + day) * DAY_S + 1e-3, &behind);
        CHECK_NEAR(behind.up, before.up, 3e-7, "day %d: two milliseconds turn the sky by 1.5e-7", day);
    }
}

/* The last instant of the span belongs to it: read from the last row, not from behind it. */
static void the_end_of_the_longest_span_is_as_good_as_any(void **state)
{
    (void)state;
    lw_sun_table_fill(&sun_days, 20454, LW_SUN_TABLE_DAYS_MAX, LW_SPA_DELTA_T_S);
    const lw_spa_in in = {.t_s = (20454 + LW_SUN_TABLE_DAYS_MAX) * DAY_S,
                          .delta_t_s = LW_SPA_DELTA_T_S,
                          .place = {35.0, 150.0, 0.0, 101325.0, 10.0}};
    const lw_sun_place place = lw_sun_place_of(&in.place);
    lw_spa_sun exact;
    lw_spa_out sky;
    lw_sun sun;
    lw_spa(&in, &exact, &sky);
    lw_sun_at(&sun_days, &place, in.t_s, &sun);
    CHECK_NEAR(90.0 - sun.elevation_deg, sky.zenith_deg, 5e-6, "zenith");
    CHECK_NEAR(sun.radius_au, exact.radius_au, 1e-7, "distance");
}

static void the_span_is_known_and_outside_it_the_nearest_end_is_read(void **state)
{
    (void)state;
    lw_sun_table_fill(&sun_days, 20454, 2, LW_SPA_DELTA_T_S);
    assert_true(lw_sun_table_holds(&sun_days, 20454 * DAY_S) && lw_sun_table_holds(&sun_days, 20456 * DAY_S));
    assert_false(lw_sun_table_holds(&sun_days, 20454 * DAY_S - 1.0));
    assert_false(lw_sun_table_holds(&sun_days, 20456 * DAY_S + 1.0));
    assert_false(lw_sun_table_holds(&sun_days, (double)NAN));
    const lw_sun_place place = lw_sun_place_of(&(lw_spa_place){35.0, 100.0, 0.0, 101325.0, 10.0});
    const double outside[] = {-1e18, 1e18, (double)NAN, 20457 * DAY_S};
    for (size_t i = 0; i < COUNT_OF(outside); i++) {
        lw_sun sun;
        lw_sun_at(&sun_days, &place, outside[i], &sun);
        CHECK_NEAR(sun.up, 0.0, 1.0, "time %g", outside[i]);
    }
}

static void the_sun_stands_still_in_height_over_the_poles_for_a_day(void **state)
{
    (void)state;
    lw_sun_table_fill(&sun_days, 20624, 1, LW_SPA_DELTA_T_S); /* 2026-06-20 */
    for (int side = -1; side <= 1; side += 2) {
        const lw_sun_place place = lw_sun_place_of(&(lw_spa_place){90.0 * side, 0.0, 0.0, 101325.0, 0.0});
        for (int hour = 0; hour <= 24; hour++) {
            lw_sun sun;
            lw_sun_at(&sun_days, &place, 20624 * DAY_S + hour * 3600.0, &sun);
            CHECK_NEAR(sun.elevation_deg, 23.435 * side, 0.01, "pole %d hour %d", side, hour);
        }
    }
}

static void more_days_than_fit_and_nonsense_are_refused(void **state)
{
    (void)state;
    lw_fault fault = {0};
    assert_int_equal(lw_sun_table_check(20454, LW_SUN_TABLE_DAYS_MAX, 69.2, &fault), LW_OK);
    assert_int_equal(lw_sun_table_check(20454, LW_SUN_TABLE_DAYS_MAX + 1, 69.2, &fault), LW_E_FULL);
    assert_int_equal(lw_sun_table_check(20454, 0, 69.2, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "days");
    assert_int_equal(lw_sun_table_check(20454, 1, (double)NAN, &fault), LW_E_RANGE);
    assert_int_equal(lw_sun_table_check(INT64_MAX, 1, 69.2, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_stays_within_half_a_thousandth_of_a_degree_of_the_algorithm),
        cmocka_unit_test(the_table_agrees_with_published_positions),
        cmocka_unit_test(the_direction_is_a_unit_vector_and_the_batch_gives_the_same_bytes),
        cmocka_unit_test(a_low_sun_is_lifted_and_a_sun_under_the_horizon_is_not),
        cmocka_unit_test(days_join_without_a_step),
        cmocka_unit_test(the_end_of_the_longest_span_is_as_good_as_any),
        cmocka_unit_test(the_span_is_known_and_outside_it_the_nearest_end_is_read),
        cmocka_unit_test(the_sun_stands_still_in_height_over_the_poles_for_a_day),
        cmocka_unit_test(more_days_than_fit_and_nonsense_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
