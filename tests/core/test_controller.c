#include "tests/check.h"

#include "core/power/controller.h"

static double sum_w(const lw_controller_flow *f)
{
    return f->battery_w + f->soiling_w + f->wiring_w + f->mismatch_w + f->conversion_w + f->unused_w;
}

static void every_watt_of_the_array_is_accounted_for(void **state)
{
    (void)state;
    for (int kind = 0; kind < LW_CONTROLLER_COUNT; kind++)
        for (double panel_w = 0.0; panel_w < 900.0; panel_w += 17.0)
            for (double battery_v = 10.0; battery_v < 24.0; battery_v += 0.7) {
                lw_controller_spec spec = lw_controller_typical((lw_controller)kind, 18.0);
                spec.rated_a = 20.0;
                lw_controller_flow flow;
                lw_controller_offer(&spec, panel_w, 45.0, battery_v, &flow);
                CHECK_NEAR(sum_w(&flow), panel_w, 1e-12 * 900.0, "kind %d, %g W, %g V", kind, panel_w, battery_v);
                assert_true(flow.battery_w <= 20.0 * battery_v * (1.0 + 1e-12));
                assert_true(flow.mismatch_w >= 0.0 && flow.unused_w >= 0.0 && flow.battery_w >= 0.0);
                lw_controller_take(&flow, 0.37 * flow.battery_w);
                CHECK_NEAR(sum_w(&flow), panel_w, 1e-12 * 900.0, "after taking a part");
            }
}

static void a_pwm_controller_passes_the_current_at_battery_voltage(void **state)
{
    /* Circuit physics: P = I_mp x V_battery. 100 W, 18 V, 5.556 A: 72.2 W at 13 V, all other losses off. */
    lw_controller_spec spec = {.kind = LW_CONTROLLER_PWM,
                               .efficiency_frac = 1.0,
                               .rated_a = INFINITY,
                               .array_v = 18.0,
                               .array_v_frac_per_k = -0.004};
    lw_controller_flow cool, hot;
    (void)state;
    lw_controller_offer(&spec, 100.0, 25.0, 13.0, &cool);
    CHECK_NEAR(cool.battery_w, 100.0 / 18.0 * 13.0, 1e-9, "at 25 C");
    lw_controller_offer(&spec, 90.0, 50.0, 13.0, &hot); /* V_mp 16.2 V: the same current */
    CHECK_NEAR(hot.battery_w, 100.0 / 18.0 * 13.0, 1e-9, "at 50 C: power lost to heat was voltage not used anyway");
}

static void a_battery_above_the_array_voltage_gets_little_then_nothing(void **state)
{
    lw_controller_spec spec = lw_controller_typical(LW_CONTROLLER_PWM, 18.0);
    lw_controller_flow flow;
    double last_w = INFINITY;
    (void)state;
    for (double battery_v = 18.0; battery_v < 23.0; battery_v += 0.1) {
        lw_controller_offer(&spec, 100.0, 25.0, battery_v, &flow);
        assert_true(flow.battery_w <= last_w);
        last_w = flow.battery_w;
    }
    CHECK_NEAR(last_w, 0.0, 0.0, "above the open voltage");
}

static void an_mppt_controller_loses_the_named_shares(void **state)
{
    /* Arithmetic: 200 W x 0.97 x 0.98 x 0.96. */
    const lw_controller_spec spec = lw_controller_typical(LW_CONTROLLER_MPPT, 36.0);
    lw_controller_flow flow;
    (void)state;
    lw_controller_offer(&spec, 200.0, 25.0, 13.0, &flow);
    CHECK_NEAR(flow.battery_w, 182.5152, 1e-9, "battery");
    CHECK_NEAR(flow.soiling_w, 6.0, 1e-9, "soiling");
    CHECK_NEAR(flow.wiring_w, 3.88, 1e-9, "wiring");
    CHECK_NEAR(flow.conversion_w, 7.6048, 1e-9, "conversion");
    lw_controller_take(&flow, 0.0);
    CHECK_NEAR(flow.unused_w, 194.0, 1e-9, "a full battery leaves all the clean power unused");
    lw_controller_take(&flow, 50.0);
    CHECK_NEAR(flow.battery_w, 0.0, 0.0, "no more can be taken than is offered");
}

static void odd_power_is_no_power(void **state)
{
    const lw_controller_spec spec = lw_controller_typical(LW_CONTROLLER_MPPT, 36.0);
    lw_controller_flow flow;
    (void)state;
    lw_controller_offer(&spec, NAN, 25.0, 13.0, &flow);
    CHECK_NEAR(sum_w(&flow), 0.0, 0.0, "not a number");
    lw_controller_offer(&spec, -3.0, 25.0, 13.0, &flow);
    CHECK_NEAR(sum_w(&flow), 0.0, 0.0, "negative");
}

static void check_refuses_what_is_not_a_number(void **state)
{
    lw_controller_spec spec = lw_controller_typical(LW_CONTROLLER_PWM, 18.0);
    lw_fault fault;
    (void)state;
    assert_int_equal(lw_controller_check(&spec, &fault), LW_OK);
    spec.array_v = NAN;
    assert_int_equal(lw_controller_check(&spec, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "array_v");
    spec = lw_controller_typical(LW_CONTROLLER_MPPT, 18.0);
    spec.rated_a = NAN;
    assert_int_equal(lw_controller_check(&spec, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_watt_of_the_array_is_accounted_for),
        cmocka_unit_test(a_pwm_controller_passes_the_current_at_battery_voltage),
        cmocka_unit_test(a_battery_above_the_array_voltage_gets_little_then_nothing),
        cmocka_unit_test(an_mppt_controller_loses_the_named_shares),
        cmocka_unit_test(odd_power_is_no_power),
        cmocka_unit_test(check_refuses_what_is_not_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
