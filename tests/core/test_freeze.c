#include "tests/check.h"

#include "core/heat/freeze.h"

static lw_bay_out after_hours(lw_bay_kind kind, double outside_c, int is_furnace_on, int hours)
{
    const lw_bay_spec bay = lw_bay_of(kind);
    lw_bay_in in = {.bay_c = 10.0,
                    .inside_c = 18.0,
                    .outside_c = outside_c,
                    .step_s = 3600.0,
                    .is_furnace_on = is_furnace_on,
                    .is_pad_on = 1};
    lw_bay_out out = {.bay_c = 10.0};
    for (int i = 0; i < hours; i++) {
        lw_bay_step(&bay, &in, &out);
        in.bay_c = out.bay_c;
        in.hose_h = out.hose_h;
        in.pipe_h = out.pipe_h;
    }
    return out;
}

static void hoses_freeze_first_and_ducted_bays_last(void **state)
{
    (void)state;
    /* Common practice, no source: hose below -1 C for 3-4 h; unheated floor -4 C, heated belly -9 to -12 C, for 4-6 h: after two days the
     * bay has come to its balance. */
    assert_false(after_hours(LW_BAY_KIND_EXPOSED, -2.0, 0, 3).is_hose_freezing);
    assert_true(after_hours(LW_BAY_KIND_EXPOSED, -2.0, 0, 4).is_hose_freezing);
    assert_false(after_hours(LW_BAY_KIND_EXPOSED, -1.0, 0, 48).is_hose_freezing);
    assert_false(after_hours(LW_BAY_KIND_ENCLOSED, -3.5, 0, 48).is_pipe_freezing);
    assert_true(after_hours(LW_BAY_KIND_ENCLOSED, -4.5, 0, 48).is_pipe_freezing);
    assert_false(after_hours(LW_BAY_KIND_DUCTED, -9.0, 1, 48).is_pipe_freezing);
    assert_true(after_hours(LW_BAY_KIND_DUCTED, -12.0, 1, 48).is_pipe_freezing);
    assert_true(after_hours(LW_BAY_KIND_DUCTED, -9.0, 0, 48).is_pipe_freezing);
    assert_true(after_hours(LW_BAY_KIND_EXPOSED, -6.0, 0, 12).is_pipe_freezing);
    assert_false(after_hours(LW_BAY_KIND_EXPOSED, -3.0, 0, 48).is_pipe_freezing);
}

static void a_pad_holds_its_set_point_until_its_power_ends(void **state)
{
    (void)state;
    /* Common practice, no source: on below 7 C, 40-120 W: 80 W over 6 W/K lifts the bay by 13.3 K. */
    const lw_bay_out mild = after_hours(LW_BAY_KIND_PAD, 0.0, 0, 100);
    CHECK_NEAR(mild.bay_c, 7.0, 1e-6, "held");
    CHECK_NEAR(mild.pad_w, 6.0 * (7.0 - 0.18 * 18.0), 1e-9, "what it takes");
    const lw_bay_out cold = after_hours(LW_BAY_KIND_PAD, -30.0, 0, 100);
    CHECK_NEAR(cold.pad_w, 80.0, 0.0, "all it has");
    CHECK_NEAR(cold.bay_c, -30.0 + 0.18 * 48.0 + 80.0 / 6.0, 1e-6, "not enough");
}

static void two_half_steps_equal_one(void **state)
{
    (void)state;
    for (int kind = 0; kind < LW_BAY_KIND_COUNT; kind++) {
        const lw_bay_spec bay = lw_bay_of((lw_bay_kind)kind);
        lw_bay_in in = {.bay_c = 12.0, .inside_c = 18.0, .outside_c = -7.0, .step_s = 3600.0};
        lw_bay_out whole, first, second;
        lw_bay_step(&bay, &in, &whole);
        in.step_s = 1800.0;
        lw_bay_step(&bay, &in, &first);
        in.bay_c = first.bay_c;
        lw_bay_step(&bay, &in, &second);
        CHECK_NEAR(second.bay_c, whole.bay_c, 1e-12, "kind %d", kind);
        CHECK_NEAR(0.5 * (first.mean_c + second.mean_c), whole.mean_c, 1e-12, "kind %d mean", kind);
    }
}

static void a_prepared_decay_changes_nothing(void **state)
{
    (void)state;
    lw_bay_spec bay = lw_bay_of(LW_BAY_KIND_ENCLOSED);
    const lw_bay_in in = {.bay_c = 12.0, .inside_c = 18.0, .outside_c = -7.0, .step_s = 3600.0};
    lw_bay_out plain, prepared;
    lw_bay_step(&bay, &in, &plain);
    bay.decay_full = exp(-3600.0 / bay.lag_s);
    lw_bay_step(&bay, &in, &prepared);
    CHECK_NEAR(prepared.bay_c, plain.bay_c, 1e-13, "bay");
}

static void clocks_fall_back_when_it_thaws(void **state)
{
    (void)state;
    const lw_bay_spec bay = lw_bay_of(LW_BAY_KIND_EXPOSED);
    const lw_bay_in in = {
        .bay_c = 5.0, .hose_h = 2.5, .pipe_h = 0.5, .inside_c = 18.0, .outside_c = 5.0, .step_s = 3600.0};
    lw_bay_out out;
    lw_bay_step(&bay, &in, &out);
    CHECK_NEAR(out.hose_h, 1.5, 1e-12, "hose");
    CHECK_NEAR(out.pipe_h, 0.0, 0.0, "pipe, never below nothing");
}

static void a_full_tank_takes_the_published_hours_to_its_first_ice(void **state)
{
    (void)state;
    /* Arithmetic: 150 L at 5 C, -10 outside, UA 6 W/K: 11.6 h to 0 C with a mean difference of 12.5 K. */
    lw_tank_freeze_in in = {.water_kg = 150.0, .water_c = 5.0, .around_c = -10.0, .ua_wk = 6.0};
    CHECK_NEAR(lw_tank_freeze_h(&in), 11.6, 0.05, "first ice");
    in.frozen_frac = 0.2;
    CHECK_NEAR(lw_tank_freeze_h(&in), 11.64 + 150.0 * 334.0 * 0.2 / (3.6 * 6.0 * 10.0), 0.05, "a fifth");
    in.around_c = 1.0;
    assert_true(isinf(lw_tank_freeze_h(&in)));
}

static void bad_bays_are_refused(void **state)
{
    (void)state;
    lw_fault fault;
    const lw_bay_spec bay = lw_bay_of(LW_BAY_KIND_PAD);
    lw_bay_in in = {.bay_c = 5.0, .inside_c = 18.0, .outside_c = -5.0, .step_s = 3600.0};
    assert_int_equal(lw_bay_check(&bay, &in, &fault), LW_OK);
    in.outside_c = (double)NAN;
    assert_int_equal(lw_bay_check(&bay, &in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "outside_c");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hoses_freeze_first_and_ducted_bays_last),
        cmocka_unit_test(a_pad_holds_its_set_point_until_its_power_ends),
        cmocka_unit_test(two_half_steps_equal_one),
        cmocka_unit_test(a_prepared_decay_changes_nothing),
        cmocka_unit_test(clocks_fall_back_when_it_thaws),
        cmocka_unit_test(a_full_tank_takes_the_published_hours_to_its_first_ice),
        cmocka_unit_test(bad_bays_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
