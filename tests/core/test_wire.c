#include "tests/check.h"

#include "core/power/wire.h"

static void drop_matches_the_code_table(void **state)
{
    /* NEC Chapter 9 Table 8, 10 AWG stranded 1.24 ohm/kft, 15 ft one way, 20 A: 0.744 V. */
    const lw_wire_run run = {.gauge = LW_WIRE_AWG_10, .run_m = 4.572};
    (void)state;
    CHECK_NEAR(lw_wire_drop_v(&run, 20.0), 0.744, 1e-3, "drop");
    CHECK_NEAR(lw_wire_loss_frac(&run, 20.0, 12.8), 0.058, 5e-4, "share of 12.8 V");
}

static void resistances_are_the_printed_ones(void **state)
{
    /* The same table, 1,000 ft there and 1,000 ft back. */
    static const double ohm[LW_WIRE_COUNT] = {3.14, 1.98, 1.24, 0.778, 0.491, 0.308, 0.194, 0.122, 0.0967, 0.0608};
    (void)state;
    for (int i = 0; i < LW_WIRE_COUNT; i++)
        CHECK_NEAR(lw_wire_ohm(&(lw_wire_run){(lw_wire)i, 304.8}), 2.0 * ohm[i], 1e-12, "row %d", i);
}

static void the_chosen_gauge_is_the_thinnest_that_holds(void **state)
{
    (void)state;
    /* That run needs thicker than 10 AWG for 3 %: 8 AWG drops 0.467 V (3.6 %), 6 AWG 0.295 V (2.3 %). */
    assert_int_equal(lw_wire_for(4.572, 20.0, 12.8, 0.03), LW_WIRE_AWG_6);
    assert_int_equal(lw_wire_for(4.572, 20.0, 12.8, 0.10), LW_WIRE_AWG_12);
    assert_int_equal(lw_wire_for(4.572, 5000.0, 12.8, 0.03), LW_WIRE_COUNT);
    assert_int_equal(lw_wire_for(0.0, 20.0, 12.8, 0.03), LW_WIRE_AWG_14);
}

static void loss_never_exceeds_the_power(void **state)
{
    const lw_wire_run run = {.gauge = LW_WIRE_AWG_14, .run_m = 100.0};
    (void)state;
    CHECK_NEAR(lw_wire_loss_frac(&run, 1000.0, 12.8), 1.0, 0.0, "short circuit");
    CHECK_NEAR(lw_wire_loss_frac(&run, 0.0, 12.8), 0.0, 0.0, "no current");
}

static void check_refuses_what_is_not_a_number(void **state)
{
    const lw_wire_run good = {.gauge = LW_WIRE_AWG_4_0, .run_m = 1.0}, bad = {.gauge = LW_WIRE_AWG_8, .run_m = NAN};
    lw_fault fault;
    (void)state;
    assert_int_equal(lw_wire_check(&good, 1.0, 12.0, &fault), LW_OK);
    assert_int_equal(lw_wire_check(&bad, 1.0, 12.0, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "run_m");
    assert_int_equal(lw_wire_check(&good, 1.0, 0.0, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drop_matches_the_code_table),
        cmocka_unit_test(resistances_are_the_printed_ones),
        cmocka_unit_test(the_chosen_gauge_is_the_thinnest_that_holds),
        cmocka_unit_test(loss_never_exceeds_the_power),
        cmocka_unit_test(check_refuses_what_is_not_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
