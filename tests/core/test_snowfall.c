#include "core/sky/snowfall.h"
#include "core/sky/air.h"
#include "tests/check.h"

/* Jennings et al. 2018, the regression on three variables: where the exponent is 0, half of it is snow; by hand. */
static void half_is_snow_where_the_published_threshold_is(void **state)
{
    static const struct {
        double humidity_frac, pressure_pa, half_c;
    } row[] = {{1.0, 100000.0, (12.80 - 9.0 - 3.0) / 1.41},
               {0.8, 75000.0, (12.80 - 7.2 - 2.25) / 1.41},
               {0.6, 101325.0, (12.80 - 5.4 - 3.03975) / 1.41}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(lw_snow_frac(&(lw_snowfall_in){row[i].half_c, row[i].humidity_frac, row[i].pressure_pa}), 0.5, 1e-4,
                   "row %zu", i);
}

/* The paper's map: the mean threshold of the Northern Hemisphere is 1.0 C; mountains inland lie above, coasts below. */
static void heights_snow_at_warmer_air_than_coasts(void **state)
{
    const double sea_pa = lw_air_standard(0.0).pressure_pa, high_pa = lw_air_standard(3000.0).pressure_pa;
    (void)state;
    assert_true(lw_snow_frac(&(lw_snowfall_in){1.0, 0.95, sea_pa}) < 0.5);
    assert_true(lw_snow_frac(&(lw_snowfall_in){1.0, 0.8, high_pa}) > 0.8);
    assert_true(lw_snow_frac(&(lw_snowfall_in){-10.0, 1.0, sea_pa}) > 0.999);
    assert_true(lw_snow_frac(&(lw_snowfall_in){15.0, 0.3, high_pa}) < 0.001);
}

static void what_is_no_air_is_refused(void **state)
{
    const lw_snowfall_in bad[] = {{(double)NAN, 0.5, 9e4}, {0.0, 1.1, 9e4}, {0.0, 0.5, 900.0}};
    static const char *const field[] = {"air_c", "humidity_frac", "pressure_pa"};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++) {
        lw_fault fault = {0};
        assert_int_equal(lw_snowfall_check(&bad[i], &fault), LW_E_RANGE);
        assert_string_equal(fault.field, field[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(half_is_snow_where_the_published_threshold_is),
        cmocka_unit_test(heights_snow_at_warmer_air_than_coasts),
        cmocka_unit_test(what_is_no_air_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
