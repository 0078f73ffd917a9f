#include "tests/check.h"

#include "core/power/generator.h"

static lw_generator made(lw_generator_spec spec, double elevation_m)
{
    lw_generator gen;
    lw_generator_prepare(&spec, elevation_m, &gen);
    return gen;
}

static void noise_falls_to_the_parks_distance_as_published(void **state)
{
    /* Free field, 36 CFR 2.12(a)(1): 60 dBA at 50 ft. 58 and 75 dBA at 7 m. */
    (void)state;
    const double quiet_dba = lw_noise_dba(58.0, 7.0, LW_NPS_NOISE_M),
                 loud_dba = lw_noise_dba(75.0, 7.0, LW_NPS_NOISE_M);
    CHECK_NEAR(quiet_dba, 51.2, 0.1, "58 dBA set");
    CHECK_NEAR(loud_dba, 68.2, 0.1, "75 dBA set");
    assert_true(quiet_dba <= LW_NPS_NOISE_DBA && loud_dba > LW_NPS_NOISE_DBA);
    CHECK_NEAR(lw_noise_dba(60.0, 7.0, 14.0), 53.979, 1e-3, "a doubling takes 6 dB");
    CHECK_NEAR(lw_noise_dba(75.0, 7.0, lw_noise_distance_m(75.0, 7.0, 60.0)), 60.0, 1e-9, "distance and back");
}

static void engine_correction_matches_sae_j1349(void **state)
{
    /* SAE J1349: unity at 99.0 kPa dry and 25 C; 845.56 hPa is 1,500 m. */
    lw_generator_spec spec = lw_generator_typical(LW_ENGINE_FUEL_GASOLINE, 4000.0);
    (void)state;
    CHECK_NEAR(lw_j1349_frac(99000.0, 25.0), 1.0, 5e-4, "standard");
    CHECK_NEAR(lw_j1349_frac(84556.0, 25.0), 0.8322, 5e-4, "1,500 m");
    spec.derate = LW_DERATE_J1349;
    const lw_generator high = made(spec, 1500.0), low = made(spec, 0.0);
    CHECK_NEAR(lw_generator_capacity_w(&high, 25.0), 4000.0 * 0.8322, 2.0, "capacity at 1,500 m");
    CHECK_NEAR(lw_generator_capacity_w(&low, -20.0), 4000.0, 0.0, "never above the rating");
}

static void sheets_take_three_and_a_half_percent_each_thousand_feet(void **state)
{
    /* Common generator sheets: 3.5 % for 305 m, 1 % for 5.6 K above 25 C. */
    const lw_generator_spec spec = lw_generator_typical(LW_ENGINE_FUEL_GASOLINE, 4000.0);
    const lw_generator sea = made(spec, 0.0), high = made(spec, 1525.0), moon = made(spec, 20000.0);
    (void)state;
    CHECK_NEAR(lw_generator_capacity_w(&sea, 20.0), 4000.0, 1e-9, "sea level");
    CHECK_NEAR(lw_generator_capacity_w(&high, 25.0), 4000.0 * 0.825, 1e-9, "1,525 m");
    CHECK_NEAR(lw_generator_capacity_w(&high, 36.2), 4000.0 * 0.825 * 0.98, 1e-9, "and 36.2 C");
    CHECK_NEAR(lw_generator_capacity_w(&moon, 25.0), 0.0, 0.0, "never below nothing");
}

static void diesel_line_matches_skarstein_and_uhlen(void **state)
{
    /* Wind Engineering 13, 1989, coefficients recalled: 8 kW set at 5 kW, 1.882 L/h. */
    const lw_fuel_line *line = &lw_fuel_lines[lw_fuel_lines_count - 1];
    const lw_generator gen = made(lw_generator_on_line(line, 8000.0), 0.0);
    (void)state;
    CHECK_NEAR(lw_generator_fuel_lph(&gen, 5000.0), 1.882, 1e-3, "8 kW at 5 kW");
}

static void fuel_lies_in_the_listed_ranges(void **state)
{
    /* The small set is a fit to data sheets, the others common practice. Half-load ranges are loose: the line runs through the ends. */
    static const struct {
        lw_engine_fuel fuel;
        double rated_w, load_w, low_lph, high_lph;
    } row[] = {
        {LW_ENGINE_FUEL_GASOLINE, 1600.0, 400.0, 0.405, 0.415}, {LW_ENGINE_FUEL_GASOLINE, 1600.0, 800.0, 0.595, 0.605},
        {LW_ENGINE_FUEL_GASOLINE, 1600.0, 1600.0, 0.97, 0.985}, {LW_ENGINE_FUEL_GASOLINE, 4000.0, 0.0, 0.9, 1.1},
        {LW_ENGINE_FUEL_GASOLINE, 4000.0, 2000.0, 1.5, 1.9},    {LW_ENGINE_FUEL_GASOLINE, 4000.0, 4000.0, 2.3, 2.8},
        {LW_ENGINE_FUEL_GASOLINE, 6250.0, 0.0, 1.2, 1.9},       {LW_ENGINE_FUEL_GASOLINE, 6250.0, 3125.0, 2.3, 3.0},
        {LW_ENGINE_FUEL_GASOLINE, 6250.0, 6250.0, 3.4, 4.5},    {LW_ENGINE_FUEL_LPG, 5500.0, 2750.0, 2.3, 3.0},
        {LW_ENGINE_FUEL_LPG, 5500.0, 5500.0, 3.6, 4.5},         {LW_ENGINE_FUEL_DIESEL, 7000.0, 0.0, 0.6, 0.9},
        {LW_ENGINE_FUEL_DIESEL, 7000.0, 3500.0, 1.5, 1.91},     {LW_ENGINE_FUEL_DIESEL, 7000.0, 7000.0, 2.6, 3.5},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_generator gen = made(lw_generator_typical(row[i].fuel, row[i].rated_w), 0.0);
        const double lph = lw_generator_fuel_lph(&gen, row[i].load_w);
        if (!(lph >= row[i].low_lph && lph <= row[i].high_lph))
            fail_msg("row %zu: %g W of %g W takes %.3f L/h, want %g-%g", i, row[i].load_w, row[i].rated_w, lph,
                     row[i].low_lph, row[i].high_lph);
    }
}

static void each_fuel_and_size_has_a_line_of_its_fuel(void **state)
{
    (void)state;
    for (int fuel = 0; fuel < LW_ENGINE_FUEL_COUNT; fuel++)
        for (double rated_w = 500.0; rated_w < 40000.0; rated_w *= 1.3) {
            const lw_generator_spec spec = lw_generator_typical((lw_engine_fuel)fuel, rated_w);
            lw_fault fault;
            assert_int_equal(spec.fuel, fuel);
            assert_int_equal(lw_generator_check(&spec, &fault), LW_OK);
        }
}

static void lpg_is_weighed_and_measured(void **state)
{
    /* Table from NFPA 58 (1998): 20 lb is 9.07 kg and 17.9 L; 30 lb 13.6 kg and 26.8 L. */
    (void)state;
    CHECK_NEAR(lw_lpg_l(9.07), 17.9, 0.05, "20 lb");
    CHECK_NEAR(lw_lpg_l(13.6), 26.8, 0.05, "30 lb");
    CHECK_NEAR(lw_lpg_kg(lw_lpg_l(7.0)), 7.0, 1e-12, "there and back");
}

static void check_refuses_what_is_not_a_number(void **state)
{
    lw_generator_spec spec = lw_generator_typical(LW_ENGINE_FUEL_LPG, 5500.0);
    lw_fault fault;
    (void)state;
    spec.none_lph = NAN;
    assert_int_equal(lw_generator_check(&spec, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "none_lph");
    spec = lw_generator_typical(LW_ENGINE_FUEL_LPG, NAN);
    assert_int_equal(lw_generator_check(&spec, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "rated_w");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(noise_falls_to_the_parks_distance_as_published),
        cmocka_unit_test(engine_correction_matches_sae_j1349),
        cmocka_unit_test(sheets_take_three_and_a_half_percent_each_thousand_feet),
        cmocka_unit_test(diesel_line_matches_skarstein_and_uhlen),
        cmocka_unit_test(fuel_lies_in_the_listed_ranges),
        cmocka_unit_test(each_fuel_and_size_has_a_line_of_its_fuel),
        cmocka_unit_test(lpg_is_weighed_and_measured),
        cmocka_unit_test(check_refuses_what_is_not_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
