#include "tests/check.h"

#include "core/power/sizing.h"

static void peukert_matches_the_worked_example(void **state)
{
    /* "Peukert's law", Wikipedia: 100 Ah at 20 h, exponent 1.2, load 10 A: 8.7 h printed. */
    const lw_peukert in = {.capacity_ah = 100.0, .rated_h = 20.0, .exponent = 1.2, .current_a = 10.0};
    const lw_peukert at_rate = {.capacity_ah = 100.0, .rated_h = 20.0, .exponent = 1.2, .current_a = 5.0};
    (void)state;
    CHECK_NEAR(lw_peukert_hours(&in), 8.7055, 5e-4, "hours");
    CHECK_NEAR(lw_peukert_ah(&in), 87.06, 5e-3, "charge");
    CHECK_NEAR(lw_peukert_ah(&at_rate), 100.0, 1e-9, "charge at the rated current");
}

static void wells_fall_with_the_rate_as_peukert_says(void **state)
{
    /* Peukert's default exponents, common practice, against the default wells between 1 h and 20 h. 12 %: two different laws. */
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery_spec spec = lw_battery_typical((lw_chemistry)c, 100.0, 12.0);
        const double k = lw_battery_defaults_of((lw_chemistry)c)->peukert_k;
        lw_battery b;
        lw_battery_prepare(&spec, &b);
        for (double h = 1.0; h <= 20.0; h *= 2.0) {
            const double by_wells_ah = lw_kibam_capacity_ah(&b.wells, h);
            const lw_peukert in = {.capacity_ah = 100.0, .rated_h = 20.0, .exponent = k, .current_a = by_wells_ah / h};
            CHECK_NEAR(by_wells_ah / lw_peukert_ah(&in), 1.0, 0.12, "chemistry %d at %g h", c, h);
        }
    }
}

static void battery_size_matches_the_procedure(void **state)
{
    /* IEEE 1013-2007, clauses 4-6; temperature factor IEEE 485 Table 1; inputs ours. The table's row is 40 degF, printed as
     * 4.4 C. */
    const lw_battery_need need = {
        .daily_ah = 120.0,
        .largest_a = 25.0,
        .days = 3.0,
        .depth_frac = 0.80,
        .daily_depth_frac = 0.25,
        .end_of_life_frac = 0.80,
        .temp_c = 40.0 / 9.0,
        .margin = 1.10,
    };
    lw_battery_size size;
    (void)state;
    lw_battery_size_for(&need, &size);
    CHECK_NEAR(size.unadjusted_ah, 360.0, 1e-9, "unadjusted");
    CHECK_NEAR(size.adjusted_ah, 480.0, 1e-9, "adjusted");
    CHECK_NEAR(size.capacity_ah, 686.4, 0.1, "capacity");
    CHECK_NEAR(size.rate_h, 27.5, 0.05, "functional-hour rate");
}

static void array_matches_the_ratio(void **state)
{
    /* IEEE 1013-2000, definition 3.1; sizing form of IEEE 1562; inputs ours. */
    (void)state;
    CHECK_NEAR(lw_array_current_a(1.3, 120.0, 3.5, 0.10), 49.52, 0.01, "array current");
    CHECK_NEAR(lw_array_to_load(49.5, 120.0, 3.5), 1.444, 0.001, "ratio before losses");
}

static void acid_density_gives_the_rest_voltage(void **state)
{
    /* Textbook rule (Linden's Handbook of Batteries); 0.12 V to the BCI table's 11.89 V at 1.120. */
    (void)state;
    CHECK_NEAR(lw_acid_rest_v(1.277), 12.73, 0.01, "full");
    CHECK_NEAR(lw_acid_rest_v(1.120), 11.79, 0.01, "empty");
    CHECK_NEAR(lw_acid_rest_v(1.120), 11.89, 0.12, "empty, BCI");
    /* BCI Battery Service Manual, 0.004 for 5.6 K. */
    CHECK_NEAR(lw_acid_density_at_standard(1.250, 26.7 + 5.6), 1.254, 1e-9, "warm");
    CHECK_NEAR(lw_acid_density_at_standard(1.250, 26.7 - 11.2), 1.242, 1e-9, "cool");
}

static void rest_voltage_tells_a_band(void **state)
{
    /* Middle: common practice. Band: BCI Battery Service Manual, 50 % at 12.24 V, where the other table says 60 %. */
    (void)state;
    const lw_rest_soc flooded = lw_rest_soc_of(LW_CHEMISTRY_FLOODED, 12.0, 12.24);
    CHECK_NEAR(flooded.soc_frac, 0.60, 1e-9, "flooded");
    CHECK_NEAR(flooded.low_frac, 0.50, 1e-9, "flooded low");
    CHECK_NEAR(flooded.high_frac, 0.60, 1e-9, "flooded high");
    const lw_rest_soc pair = lw_rest_soc_of(LW_CHEMISTRY_FLOODED, 24.0, 24.48);
    CHECK_NEAR(pair.soc_frac, 0.60, 1e-9, "24 V bank");
    const lw_rest_soc lfp = lw_rest_soc_of(LW_CHEMISTRY_LFP, 12.0, 13.16);
    CHECK_NEAR(lfp.soc_frac, 0.50, 1e-9, "lfp");
    assert_true(lfp.high_frac - lfp.low_frac > 0.25); /* it cannot tell 40 from 70 % */
    const lw_rest_soc agm = lw_rest_soc_of(LW_CHEMISTRY_AGM, 12.0, 12.80);
    CHECK_NEAR(agm.high_frac, 1.0, 1e-9, "agm: 12.80 V is full ..");
    CHECK_NEAR(agm.low_frac, 0.75 + 0.25 * 0.2 / 0.3, 1e-9, ".. or two thirds of the way from 12.60 to 12.90");
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++)
        for (double v = 9.0; v < 15.0; v += 0.01) {
            const lw_rest_soc s = lw_rest_soc_of((lw_chemistry)c, 12.0, v);
            assert_true(s.low_frac >= 0.0 && s.low_frac <= s.soc_frac && s.soc_frac <= s.high_frac &&
                        s.high_frac <= 1.0);
        }
}

static void checks_refuse_what_is_not_a_number(void **state)
{
    lw_peukert p = {.capacity_ah = 100.0, .rated_h = 20.0, .exponent = 1.2, .current_a = NAN};
    lw_battery_need need = {120.0, 25.0, 3.0, 0.8, 0.25, 0.8, NAN, 1.1};
    lw_fault fault;
    (void)state;
    assert_int_equal(lw_peukert_check(&p, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "current_a");
    p.current_a = 10.0;
    assert_int_equal(lw_peukert_check(&p, &fault), LW_OK);
    assert_int_equal(lw_battery_need_check(&need, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "temp_c");
    need.temp_c = 5.0;
    assert_int_equal(lw_battery_need_check(&need, &fault), LW_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(peukert_matches_the_worked_example),
        cmocka_unit_test(wells_fall_with_the_rate_as_peukert_says),
        cmocka_unit_test(battery_size_matches_the_procedure),
        cmocka_unit_test(array_matches_the_ratio),
        cmocka_unit_test(acid_density_gives_the_rest_voltage),
        cmocka_unit_test(rest_voltage_tells_a_band),
        cmocka_unit_test(checks_refuse_what_is_not_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
