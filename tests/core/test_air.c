#include "core/sky/air.h"
#include "tests/check.h"

/* ICAO Doc 7488/3 (1993), tables by geopotential altitude; the same in ISO 2533 and the U.S. Standard Atmosphere 1976.
 * Tolerances: the tables' last digit. */
static void the_standard_atmosphere_is_that_of_the_tables(void **state)
{
    (void)state;
    static const struct {
        double elevation_m, temperature_k, pressure_pa, density_kgm3, density_frac;
    } row[] = {{0.0, 288.15, 101325.0, 1.2250, 1.0},        {500.0, 284.9, 95460.8, 1.1673, 0.9529},
               {1000.0, 281.65, 89874.6, 1.11164, 0.9075},  {1500.0, 278.4, 84556.0, 1.0581, 0.8637},
               {2000.0, 275.15, 79495.2, 1.00649, 0.8216},  {2500.0, 271.9, 74682.5, 0.9569, 0.7811},
               {3000.0, 268.65, 70108.5, 0.909122, 0.7421}, {4000.0, 262.15, 61640.2, 0.8191, 0.6687}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_air_out air = lw_air_standard(row[i].elevation_m);
        CHECK_NEAR(air.temperature_c + 273.15, row[i].temperature_k, 1e-9, "temperature, %g m", row[i].elevation_m);
        CHECK_NEAR(air.pressure_pa, row[i].pressure_pa, 0.1, "pressure, %g m", row[i].elevation_m);
        CHECK_NEAR(air.density_kgm3, row[i].density_kgm3, 6e-5, "density, %g m", row[i].elevation_m);
        CHECK_NEAR(air.density_frac, row[i].density_frac, 6e-5, "density ratio, %g m", row[i].elevation_m);
    }
    CHECK_NEAR(lw_air_standard(1000.0).density_kgm3, 1.11164, 1e-5, "density in full, 1,000 m");
    CHECK_NEAR(lw_air_standard(3000.0).density_kgm3, 0.909122, 1e-5, "density in full, 3,000 m");
}

/* IAPWS-IF97 (2007 release), table 35: MPa at 300, 500, 600 K; table 36: K at 0.1, 1, 10 MPa (from memory, and the
 * inverse of the equation behind table 35). */
static void the_saturation_line_is_that_of_if97_both_ways(void **state)
{
    (void)state;
    static const double pressure[][2] = {{300.0, 0.353658941e-2}, {500.0, 0.263889776e1}, {600.0, 0.123443146e2}};
    static const double boiling[][2] = {{0.1, 372.755919}, {1.0, 453.035632}, {10.0, 584.149488}};
    for (size_t i = 0; i < COUNT_OF(pressure); i++)
        CHECK_NEAR(lw_air_saturation_pa(pressure[i][0] - 273.15) / 1e6 / pressure[i][1], 1.0, 2e-9, "%g K",
                   pressure[i][0]);
    for (size_t i = 0; i < COUNT_OF(boiling); i++)
        CHECK_NEAR(lw_air_boiling_c(boiling[i][0] * 1e6) + 273.15, boiling[i][1], 1e-6, "%g MPa", boiling[i][0]);
    for (double c = 1.0; c < 370.0; c += 7.0)
        CHECK_NEAR(lw_air_boiling_c(lw_air_saturation_pa(c)), c, 1e-6, "there and back, %g C", c);
}

/* IF97 region 4 on the ICAO pressure. */
static void water_boils_at_the_heights_of_the_tables(void **state)
{
    (void)state;
    static const double row[][2] = {{0.0, 99.97},    {500.0, 98.31},  {1000.0, 96.65}, {1500.0, 94.98},
                                    {2000.0, 93.32}, {2500.0, 91.64}, {3000.0, 89.97}, {4000.0, 86.62}};
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(lw_air_boiling_c(lw_air_standard(row[i][0]).pressure_pa), row[i][1], 0.01, "%g m", row[i][0]);
}

/* WMO-No. 8, Magnus constants 17.62 and 243.12 C. */
static void the_dew_point_is_that_of_magnus_and_turns_back_into_humidity(void **state)
{
    (void)state;
    CHECK_NEAR(lw_air_dew_point_c(20.0, 0.5), 9.26, 0.01, "20 C, 50 %%");
    for (double air_c = -40.0; air_c <= 60.0; air_c += 10.0) {
        CHECK_NEAR(lw_air_dew_point_c(air_c, 1.0), air_c, 1e-12, "saturated, %g C", air_c);
        for (double humidity = 0.05; humidity <= 1.0; humidity += 0.19)
            CHECK_NEAR(lw_air_humidity_frac(air_c, lw_air_dew_point_c(air_c, humidity)), humidity, 1e-12, "%g C",
                       air_c);
    }
}

static void air_outside_the_formulas_is_refused(void **state)
{
    (void)state;
    lw_fault fault = {0};
    assert_int_equal(lw_air_check(1500.0, &fault), LW_OK);
    assert_int_equal(lw_air_check(11001.0, &fault), LW_E_RANGE);
    assert_int_equal(lw_air_check((double)NAN, &fault), LW_E_RANGE);
    assert_int_equal(lw_air_boiling_check(101325.0, &fault), LW_OK);
    assert_int_equal(lw_air_boiling_check(500.0, &fault), LW_E_RANGE);
    assert_int_equal(lw_air_saturation_check(100.0, &fault), LW_OK);
    assert_int_equal(lw_air_saturation_check(-1.0, &fault), LW_E_RANGE);
    assert_int_equal(lw_air_dew_point_check(20.0, 0.5, &fault), LW_OK);
    assert_int_equal(lw_air_dew_point_check(20.0, 0.0, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "humidity_frac");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_standard_atmosphere_is_that_of_the_tables),
        cmocka_unit_test(the_saturation_line_is_that_of_if97_both_ways),
        cmocka_unit_test(water_boils_at_the_heights_of_the_tables),
        cmocka_unit_test(the_dew_point_is_that_of_magnus_and_turns_back_into_humidity),
        cmocka_unit_test(air_outside_the_formulas_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
