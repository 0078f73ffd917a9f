#include "tests/check.h"

#include "core/power/inverter.h"

static void a_working_day_of_a_laptop_takes_the_listed_charge(void **state)
{
    /* Common practice: 8 h at 30 W, 240 Wh, from the socket x 1/(0.85..0.90): 280 Wh from the battery. */
    lw_inverter_flow good, poor;
    (void)state;
    lw_inverter_run(&(lw_inverter_spec){.rated_w = 300.0, .efficiency_frac = 0.90}, 30.0, 1, &good);
    lw_inverter_run(&(lw_inverter_spec){.rated_w = 300.0, .efficiency_frac = 0.85}, 30.0, 1, &poor);
    CHECK_NEAR(8.0 * good.in_w, 266.7, 0.1, "at 0.90");
    CHECK_NEAR(8.0 * poor.in_w, 282.4, 0.1, "at 0.85");
    assert_true(8.0 * good.in_w < 280.0 && 280.0 < 8.0 * poor.in_w);
}

static void a_day_of_idling_takes_the_listed_energy(void **state)
{
    /* Common practice: 24 h of 20 W = 480 Wh. */
    lw_inverter_flow flow;
    (void)state;
    lw_inverter_run(&(lw_inverter_spec){.rated_w = 2000.0, .idle_w = 20.0, .efficiency_frac = 0.9}, 0.0, 1, &flow);
    CHECK_NEAR(24.0 * flow.in_w, 480.0, 1e-9, "a day");
    CHECK_NEAR(flow.idle_w, flow.in_w, 0.0, "all idle");
    lw_inverter_run(&(lw_inverter_spec){.rated_w = 2000.0, .idle_w = 20.0, .efficiency_frac = 0.9}, 100.0, 0, &flow);
    CHECK_NEAR(flow.in_w, 0.0, 0.0, "switched off");
    CHECK_NEAR(flow.short_w, 100.0, 0.0, "not met");
    assert_false(flow.is_overloaded);
}

static void idle_draw_by_size_lies_in_the_listed_ranges(void **state)
{
    /* Common practice, no source: 300 W 3-6 W; 1 kW 8-15 W; 2-3 kW 15-35 W. */
    static const struct {
        double rated_w, low_w, high_w;
    } row[] = {{300.0, 3.0, 6.0}, {1000.0, 8.0, 15.0}, {2000.0, 15.0, 35.0}, {3000.0, 15.0, 35.0}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const double idle_w = lw_inverter_typical(row[i].rated_w).idle_w;
        if (!(idle_w >= row[i].low_w && idle_w <= row[i].high_w))
            fail_msg("%g W idles at %g W", row[i].rated_w, idle_w);
    }
}

static void losses_add_up_and_the_inverse_undoes(void **state)
{
    const lw_inverter_spec spec = {.rated_w = 1500.0, .idle_w = 12.0, .efficiency_frac = 0.93, .b_per_w = 3e-5};
    double last_w = 0.0;
    (void)state;
    for (double load_w = 0.0; load_w < 2500.0; load_w += 7.3) {
        lw_inverter_flow flow;
        lw_inverter_run(&spec, load_w, 1, &flow);
        CHECK_NEAR(flow.out_w + flow.idle_w + flow.conversion_w, flow.in_w, 1e-12 * flow.in_w, "%g W", load_w);
        CHECK_NEAR(flow.out_w + flow.short_w, load_w, 1e-12 * load_w, "%g W met or said", load_w);
        CHECK_NEAR(lw_inverter_out_w(&spec, flow.in_w), flow.out_w, 1e-9, "%g W back", load_w);
        assert_int_equal(flow.is_overloaded, load_w > 1500.0);
        assert_true(flow.in_w >= last_w);
        last_w = flow.in_w;
    }
    CHECK_NEAR(lw_inverter_out_w(&spec, 5.0), 0.0, 0.0, "less than the idle draw");
    CHECK_NEAR(lw_inverter_out_w(&spec, 1e6), 1500.0, 0.0, "rating");
}

static void odd_loads_are_no_load(void **state)
{
    const lw_inverter_spec spec = lw_inverter_typical(1000.0);
    lw_inverter_flow flow;
    (void)state;
    lw_inverter_run(&spec, NAN, 1, &flow);
    CHECK_NEAR(flow.in_w, spec.idle_w, 0.0, "not a number");
    lw_inverter_run(&spec, -5.0, 1, &flow);
    CHECK_NEAR(flow.in_w, spec.idle_w, 0.0, "negative");
}

static void check_refuses_what_is_not_a_number(void **state)
{
    lw_inverter_spec spec = lw_inverter_typical(1000.0);
    lw_fault fault;
    (void)state;
    assert_int_equal(lw_inverter_check(&spec, &fault), LW_OK);
    spec.efficiency_frac = NAN;
    assert_int_equal(lw_inverter_check(&spec, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "efficiency_frac");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_working_day_of_a_laptop_takes_the_listed_charge),
        cmocka_unit_test(a_day_of_idling_takes_the_listed_energy),
        cmocka_unit_test(idle_draw_by_size_lies_in_the_listed_ranges),
        cmocka_unit_test(losses_add_up_and_the_inverse_undoes),
        cmocka_unit_test(odd_loads_are_no_load),
        cmocka_unit_test(check_refuses_what_is_not_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
