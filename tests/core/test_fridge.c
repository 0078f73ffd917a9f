#include "tests/check.h"

#include "core/heat/fridge.h"
#include "core/heat/propane.h"

static double gas_kg_day(double ambient_c)
{
    const lw_fridge fridge = lw_fridge_absorption();
    lw_fridge_out out;
    lw_fridge_run(&fridge, ambient_c, &out);
    return out.gas_w * 86400.0 / LW_PROPANE_HHV_JPKG;
}

static double electric_wh_day(double volume_l, double ambient_c)
{
    const lw_fridge fridge = lw_fridge_compressor(volume_l);
    lw_fridge_out out;
    lw_fridge_run(&fridge, ambient_c, &out);
    return out.electric_w * 24.0;
}

static void an_absorption_fridge_stays_in_the_trade_s_range(void **state)
{
    (void)state;
    /* Common practice, no source: 0.3-0.7 kg/day, hot weather the upper end; the burner's ceiling 0.76 kg/day at 1,500 BTU/h. */
    CHECK_NEAR(gas_kg_day(10.0), 0.30, 1e-9, "10 C");
    CHECK_NEAR(gas_kg_day(38.0), 400.0 * 86400.0 / LW_PROPANE_HHV_JPKG, 1e-9, "38 C: the burner never rests");
    assert_true(gas_kg_day(25.0) > 0.45 && gas_kg_day(25.0) < 0.6);
    lw_fridge hot = lw_fridge_absorption();
    hot.burner_w = 1500.0 * 1055.05585262 / 3600.0;
    lw_fridge_out out;
    lw_fridge_run(&hot, 60.0, &out);
    CHECK_NEAR(out.gas_w * 86400.0 / LW_PROPANE_HHV_JPKG, 0.76, 0.005, "ceiling");
    CHECK_NEAR(lw_fridge_duty_frac(&hot, &out), 1.0, 1e-12, "never off");
    assert_true(out.is_weak);
    /* Common practice, no source: control 0.3-1.0 A, 7-24 Ah/day at 12.6 V. */
    assert_true(out.electric_w * 24.0 / 12.6 > 7.0 && out.electric_w * 24.0 / 12.6 < 24.0);
}

static void an_absorption_fridge_weakens_above_32_degrees(void **state)
{
    (void)state;
    /* Common practice, no source: output falls above 32 C. */
    const lw_fridge fridge = lw_fridge_absorption();
    lw_fridge_out out;
    lw_fridge_run(&fridge, 32.0, &out);
    assert_false(out.is_weak);
    lw_fridge_run(&fridge, 33.0, &out);
    assert_true(out.is_weak);
}

static void a_compressor_fridge_stays_in_the_trade_s_range(void **state)
{
    (void)state;
    /* Common practice at 25 C: 40-60 L 250-450 Wh/day; 100-200 L 500-900; +3-4 %/K. */
    assert_true(electric_wh_day(40.0, 25.0) >= 250.0 && electric_wh_day(60.0, 25.0) <= 450.0);
    assert_true(electric_wh_day(100.0, 25.0) >= 500.0 && electric_wh_day(200.0, 25.0) <= 900.0);
    CHECK_NEAR(electric_wh_day(100.0, 35.0) / electric_wh_day(100.0, 25.0), 1.35, 1e-12, "10 K warmer");
    const lw_fridge big = lw_fridge_compressor(200.0);
    lw_fridge_out out;
    lw_fridge_run(&big, 60.0, &out);
    CHECK_NEAR(out.electric_w, 65.0, 1e-12, "never over its running power");
    assert_true(out.is_weak);
}

static void warmer_air_never_needs_less(void **state)
{
    (void)state;
    for (double c = -40.0; c < 60.0; c += 0.5) {
        assert_true(gas_kg_day(c + 0.5) >= gas_kg_day(c));
        assert_true(electric_wh_day(80.0, c + 0.5) >= electric_wh_day(80.0, c));
    }
    assert_true(electric_wh_day(80.0, -40.0) > 0.0);
}

static void a_household_fridge_keeps_the_law_s_limit(void **state)
{
    (void)state;
    /* 10 CFR 430.32(a), class 3, AV 20 ft3: 395.1 kWh/a = 1.082 kWh/day. */
    const double kwh_a = lw_fridge_household_kwh_a(20.0 * 28.316846592);
    CHECK_NEAR(kwh_a, 395.1, 0.1, "a year");
    CHECK_NEAR(kwh_a / 365.0, 1.082, 0.001, "a day");
}

static void bad_fridges_are_refused(void **state)
{
    (void)state;
    lw_fault fault;
    const lw_fridge fridge = lw_fridge_absorption();
    assert_int_equal(lw_fridge_check(&fridge, 25.0, &fault), LW_OK);
    assert_int_equal(lw_fridge_check(&fridge, (double)NAN, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "ambient_c");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_absorption_fridge_stays_in_the_trade_s_range),
        cmocka_unit_test(an_absorption_fridge_weakens_above_32_degrees),
        cmocka_unit_test(a_compressor_fridge_stays_in_the_trade_s_range),
        cmocka_unit_test(warmer_air_never_needs_less),
        cmocka_unit_test(a_household_fridge_keeps_the_law_s_limit),
        cmocka_unit_test(bad_fridges_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
