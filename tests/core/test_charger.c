#include "tests/check.h"

#include "core/power/charger.h"

static void charging_from_a_generator_takes_the_listed_power(void **state)
{
    /* Arithmetic: 55 A x 14.2 V / 0.85 = 919 W; at power factor 0.7 1,310 VA (rounded to ten). */
    const lw_charger_spec spec = lw_charger_from_ac(55.0);
    const double dc_w = lw_charger_dc_w(&spec, 14.2, INFINITY, INFINITY);
    lw_charger_flow flow;
    (void)state;
    lw_charger_run(&spec, dc_w, &flow);
    CHECK_NEAR(flow.dc_w, 781.0, 1e-9, "direct current");
    CHECK_NEAR(flow.in_w, 919.0, 0.5, "watts");
    CHECK_NEAR(flow.in_va, 1310.0, 5.0, "volt-amperes");
}

static void a_weak_source_limits_in_watts_or_volt_amperes(void **state)
{
    const lw_charger_spec spec = lw_charger_from_ac(55.0);
    lw_charger_flow flow;
    (void)state;
    lw_charger_run(&spec, lw_charger_dc_w(&spec, 14.2, 600.0, INFINITY), &flow);
    CHECK_NEAR(flow.in_w, 600.0, 1e-9, "600 W source");
    lw_charger_run(&spec, lw_charger_dc_w(&spec, 14.2, 900.0, 900.0), &flow);
    CHECK_NEAR(flow.in_va, 900.0, 1e-9, "900 VA source");
    CHECK_NEAR(lw_charger_dc_w(&spec, 14.2, 0.0, INFINITY), 0.0, 0.0, "no source");
    CHECK_NEAR(lw_charger_dc_w(&spec, 14.2, -10.0, INFINITY), 0.0, 0.0, "source already overdrawn");
}

static void what_goes_in_comes_out_or_is_lost(void **state)
{
    const lw_charger_spec spec = lw_charger_from_dc(40.0);
    (void)state;
    for (double dc_w = 0.0; dc_w < 600.0; dc_w += 3.7) {
        lw_charger_flow flow;
        lw_charger_run(&spec, dc_w, &flow);
        CHECK_NEAR(flow.dc_w + flow.loss_w, flow.in_w, 1e-12 * flow.in_w, "%g W", dc_w);
    }
}

static void an_idling_alternator_spares_half_of_its_rating(void **state)
{
    /* Common practice: half its rating hot at idle. */
    (void)state;
    CHECK_NEAR(lw_alternator_w(150.0, 40.0, 14.0, 1), 490.0, 1e-9, "idling");
    CHECK_NEAR(lw_alternator_w(150.0, 40.0, 14.0, 0), 1540.0, 1e-9, "driving");
    CHECK_NEAR(lw_alternator_w(60.0, 40.0, 14.0, 1), 0.0, 0.0, "nothing to spare");
}

static void check_refuses_what_is_not_a_number(void **state)
{
    lw_charger_spec spec = lw_charger_from_ac(45.0);
    lw_fault fault;
    (void)state;
    assert_int_equal(lw_charger_check(&spec, &fault), LW_OK);
    spec.power_factor = NAN;
    assert_int_equal(lw_charger_check(&spec, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "power_factor");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(charging_from_a_generator_takes_the_listed_power),
        cmocka_unit_test(a_weak_source_limits_in_watts_or_volt_amperes),
        cmocka_unit_test(what_goes_in_comes_out_or_is_lost),
        cmocka_unit_test(an_idling_alternator_spares_half_of_its_rating),
        cmocka_unit_test(check_refuses_what_is_not_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
