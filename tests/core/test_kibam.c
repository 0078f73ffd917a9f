#include "tests/check.h"

#include "core/power/kibam.h"

/* Runs a pattern of currents, each for dt_h, until the available well is empty; the moment inside the last step is found
 * by halving. NAN when that takes more than 100,000 steps. */
static double lifetime_h(const lw_kibam *spec, const double *current_a, size_t count, double dt_h)
{
    const lw_kibam_phase phase = lw_kibam_phase_of(spec, dt_h);
    lw_kibam_state s = lw_kibam_at_rest(spec, spec->qmax_ah);
    for (size_t n = 0; n < 100000; n++) {
        const double a = current_a[n % count];
        const lw_kibam_state next = lw_kibam_step(&phase, s, a);
        if (next.q1_ah > 0.0) {
            s = next;
            continue;
        }
        double low_h = 0.0, high_h = dt_h;
        for (int i = 0; i < 60; i++) {
            const double mid_h = 0.5 * (low_h + high_h);
            const lw_kibam_phase part = lw_kibam_phase_of(spec, mid_h);
            if (lw_kibam_step(&part, s, a).q1_ah > 0.0)
                low_h = mid_h;
            else
                high_h = mid_h;
        }
        return (double)n * dt_h + low_h;
    }
    return NAN;
}

static void lifetimes_match_the_two_well_model_of_jongerden_and_haverkort(void **state)
{
    /* M. Jongerden, B. Haverkort, "Which battery model to use?", IET Software 3(6), 2009: 91, 203, 203 minutes
     * printed. 7,200 As, c 0.625, k0 4.5e-5 1/s; the k of the formulas is k0 / (c (1 - c)). */
    const double c = 0.625, k_per_h = 4.5e-5 * 3600.0 / (c * (1.0 - c));
    const lw_kibam spec = {.qmax_ah = 2.0, .c = c, .k_per_h = k_per_h};
    const double steady_a[] = {0.96}, square_a[] = {0.96, 0.0};
    (void)state;
    CHECK_NEAR(60.0 * lifetime_h(&spec, steady_a, 1, 1.0 / 60.0), 91.14, 0.05, "0.96 A without pause, minutes");
    CHECK_NEAR(60.0 * lifetime_h(&spec, square_a, 2, 0.5 / 3600.0), 202.9, 0.5, "0.96 A at 1 Hz, minutes");
    CHECK_NEAR(60.0 * lifetime_h(&spec, square_a, 2, 2.5 / 3600.0), 202.9, 0.5, "0.96 A at 0.2 Hz, minutes");
}

static void lifetimes_match_the_load_patterns_of_jongerden_and_others(void **state)
{
    /* Jongerden, Haverkort, Bohnenkamp, Katoen, IEEE/IFIP DSN 2009, battery B1: 5.5 A min, c 0.166, k 0.122 1/min.
     * Tolerance: two decimals printed. */
    static const struct {
        const char *name;
        double a[3];
        size_t count;
        double want_min;
    } row[] = {
        {"250 mA", {0.25}, 1, 4.53},
        {"500 mA", {0.5}, 1, 2.02},
        {"500 and 250 in turn", {0.5, 0.25}, 2, 2.58},
        {"250 on, off", {0.25, 0.0}, 2, 10.80},
        {"500 on, off", {0.5, 0.0}, 2, 4.30},
        {"250 on, 2 off", {0.25, 0.0, 0.0}, 3, 21.86},
        {"500 on, 2 off", {0.5, 0.0, 0.0}, 3, 6.53},
    };
    const lw_kibam spec = {.qmax_ah = 5.5 / 60.0, .c = 0.166, .k_per_h = 0.122 * 60.0};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(60.0 * lifetime_h(&spec, row[i].a, row[i].count, 1.0 / 60.0), row[i].want_min, 0.006, "%s",
                   row[i].name);
}

static const lw_kibam MANWELL = {.qmax_ah = 100.0, .c = 0.3, .k_per_h = 0.5};

static void steps_match_the_chain_of_manwell_and_mcgowan(void **state)
{
    /* Equations of Manwell and McGowan, Solar Energy 50(5), 1993, equal to Runge-Kutta 4 to 1e-11. */
    static const struct {
        double a, q1_ah, q2_ah;
    } row[] = {{10.0, 21.4914, 68.5086}, {10.0, 15.1503, 64.8497}, {0.0, 18.6324, 61.3676}, {-8.0, 27.5512, 60.4488}};
    const lw_kibam_phase hour = lw_kibam_phase_of(&MANWELL, 1.0);
    lw_kibam_state s = lw_kibam_at_rest(&MANWELL, 100.0);
    (void)state;
    CHECK_NEAR(lw_kibam_max_discharge_a(&hour, s), 35.259, 1e-3, "largest discharge from full");
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        if (i == 2) {
            CHECK_NEAR(lw_kibam_max_discharge_a(&hour, s), 21.898, 1e-3, "largest discharge after two hours");
            CHECK_NEAR(lw_kibam_max_charge_a(&MANWELL, &hour, s), 13.360, 1e-3, "largest charge after two hours");
        }
        s = lw_kibam_step(&hour, s, row[i].a);
        CHECK_NEAR(s.q1_ah, row[i].q1_ah, 1e-4, "q1 after step %zu", i);
        CHECK_NEAR(s.q2_ah, row[i].q2_ah, 1e-4, "q2 after step %zu", i);
    }
}

static void capacity_grows_with_discharge_time_as_in_the_paper(void **state)
{
    /* Manwell and McGowan, Solar Energy 50(5), 1993, capacity relation. */
    static const struct {
        double h, ah;
    } row[] = {{1.0, 35.2586}, {2.0, 40.40}, {5.0, 53.8584}, {10.0, 68.33}, {20.0, 81.0818}, {100.0, 95.5414}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(lw_kibam_capacity_ah(&MANWELL, row[i].h), row[i].ah,
                   row[i].h == 2.0 || row[i].h == 10.0 ? 5e-3 : 1e-4, "capacity in %g h", row[i].h);
}

static void limits_leave_the_available_well_empty_or_full(void **state)
{
    const lw_kibam_state s = {.q1_ah = 12.0, .q2_ah = 55.0};
    (void)state;
    for (double dt_h = 1e-6; dt_h < 200.0; dt_h *= 7.0) {
        const lw_kibam_phase phase = lw_kibam_phase_of(&MANWELL, dt_h);
        const lw_kibam_state empty = lw_kibam_step(&phase, s, lw_kibam_max_discharge_a(&phase, s));
        const lw_kibam_state full = lw_kibam_step(&phase, s, -lw_kibam_max_charge_a(&MANWELL, &phase, s));
        CHECK_NEAR(empty.q1_ah, 0.0, 1e-11, "after the largest discharge for %g h", dt_h);
        CHECK_NEAR(full.q1_ah, 30.0, 1e-11, "after the largest charge for %g h", dt_h);
    }
}

static void two_half_steps_equal_one_at_constant_current(void **state)
{
    (void)state;
    for (double dt_h = 1e-4; dt_h < 50.0; dt_h *= 3.0) {
        const lw_kibam_phase whole = lw_kibam_phase_of(&MANWELL, dt_h), half = lw_kibam_phase_of(&MANWELL, 0.5 * dt_h);
        const lw_kibam_state s = {.q1_ah = 22.0, .q2_ah = 61.0};
        const lw_kibam_state once = lw_kibam_step(&whole, s, 3.0);
        const lw_kibam_state twice = lw_kibam_step(&half, lw_kibam_step(&half, s, 3.0), 3.0);
        CHECK_NEAR(twice.q1_ah, once.q1_ah, 1e-11, "q1 after %g h", dt_h);
        CHECK_NEAR(once.q1_ah + once.q2_ah, 83.0 - 3.0 * dt_h, 1e-12, "sum after %g h", dt_h);
    }
}

static void one_well_gives_all_of_its_charge_at_any_rate(void **state)
{
    const lw_kibam lfp = {.qmax_ah = 100.0, .c = 1.0, .k_per_h = 1.0};
    const lw_kibam_phase phase = lw_kibam_phase_of(&lfp, 0.25);
    const lw_kibam_state s = lw_kibam_at_rest(&lfp, 80.0);
    (void)state;
    CHECK_NEAR(lw_kibam_max_discharge_a(&phase, s), 320.0, 1e-12, "discharge");
    CHECK_NEAR(lw_kibam_max_charge_a(&lfp, &phase, s), 80.0, 1e-12, "charge");
    CHECK_NEAR(lw_kibam_step(&phase, s, 40.0).q1_ah, 70.0, 1e-12, "q1");
    CHECK_NEAR(lw_kibam_step(&phase, s, 40.0).q2_ah, 0.0, 0.0, "q2");
    CHECK_NEAR(lw_kibam_capacity_ah(&lfp, 0.1), 100.0, 1e-12, "capacity");
}

static void check_refuses_what_is_not_a_number(void **state)
{
    const lw_kibam_state s = {.q1_ah = 30.0, .q2_ah = 70.0}, lost = {.q1_ah = NAN, .q2_ah = 70.0};
    const lw_kibam no_c = {.qmax_ah = 100.0, .c = NAN, .k_per_h = 0.5};
    lw_fault fault;
    (void)state;
    assert_int_equal(lw_kibam_check(&MANWELL, &s, &fault), LW_OK);
    assert_int_equal(lw_kibam_check(&MANWELL, &lost, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "q1_ah");
    assert_int_equal(lw_kibam_check(&no_c, &s, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "c");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lifetimes_match_the_two_well_model_of_jongerden_and_haverkort),
        cmocka_unit_test(lifetimes_match_the_load_patterns_of_jongerden_and_others),
        cmocka_unit_test(steps_match_the_chain_of_manwell_and_mcgowan),
        cmocka_unit_test(capacity_grows_with_discharge_time_as_in_the_paper),
        cmocka_unit_test(limits_leave_the_available_well_empty_or_full),
        cmocka_unit_test(two_half_steps_equal_one_at_constant_current),
        cmocka_unit_test(one_well_gives_all_of_its_charge_at_any_rate),
        cmocka_unit_test(check_refuses_what_is_not_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
