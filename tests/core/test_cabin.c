#include "tests/check.h"

#include "core/heat/cabin.h"

static const lw_cabin BOX = {.ua_wk = 80.0, .mass_jk = 1.0e6};

static lw_cabin_in winter(void)
{
    return (lw_cabin_in){
        .start_c = 18.0,
        .outside_c = -5.0,
        .gain_w = 184.0,
        .heat_set_c = 18.0,
        .heat_max_w = 6858.0,
        .vent_set_c = 25.0,
        .vent_max_wk = 300.0,
        .cool_set_c = 27.0,
        .cool_max_w = 0.0,
        .step_s = 3600.0,
    };
}

static lw_cabin_out step(const lw_cabin *cabin, lw_cabin_in in)
{
    lw_cabin_out out;
    lw_cabin_step(cabin, &in, &out);
    return out;
}

/* A small generator of the test's own: the same cases on every machine. */
static double uniform(uint64_t *state, double low, double high)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(*state >> 11) / 9007199254740992.0;
}

static lw_cabin_in random_in(uint64_t *s)
{
    lw_cabin_in in = {
        .start_c = uniform(s, -15.0, 45.0),
        .outside_c = uniform(s, -25.0, 45.0),
        .gain_w = uniform(s, 0.0, 3000.0),
        .heat_set_c = uniform(s, 5.0, 20.0),
        .heat_max_w = uniform(s, -2000.0, 9000.0),
        .vent_set_c = uniform(s, 20.0, 30.0),
        .vent_max_wk = uniform(s, -100.0, 400.0),
        .cool_set_c = uniform(s, 20.0, 30.0),
        .cool_max_w = uniform(s, -3000.0, 4000.0),
        .step_s = uniform(s, 600.0, 7200.0),
    };
    /* Some start exactly at a set-point, as nights in the engine do; some devices do not exist. */
    const double pick = uniform(s, 0.0, 1.0);
    if (pick < 0.2)
        in.start_c = in.heat_set_c;
    else if (pick < 0.3)
        in.start_c = in.vent_set_c;
    else if (pick < 0.4)
        in.start_c = in.cool_set_c;
    else if (pick < 0.45)
        in.start_c = in.outside_c;
    in.heat_max_w = fmax(in.heat_max_w, 0.0);
    in.vent_max_wk = fmax(in.vent_max_wk, 0.0);
    in.cool_max_w = fmax(in.cool_max_w, 0.0);
    return in;
}

static lw_cabin random_cabin(uint64_t *s)
{
    const double pick = uniform(s, 0.0, 1.0);
    /* One in ten barely leaks: the series instead of the exponential. */
    return (lw_cabin){.ua_wk = pick < 0.1 ? uniform(s, 0.0, 2.0) : uniform(s, 40.0, 400.0),
                      .mass_jk = uniform(s, 2e5, 3e6)};
}

static void a_rig_held_at_its_set_point_needs_what_it_loses_less_its_gains(void **state)
{
    (void)state;
    /* Worked out by the method of ASHRAE Fundamentals: UA 78.99, 18 in, -5 out, 184 W: 1,632.8 W. */
    const lw_cabin cabin = {.ua_wk = 78.99, .mass_jk = 1.5e6};
    const lw_cabin_out out = step(&cabin, winter());
    CHECK_NEAR(out.heat_w, 1632.8, 0.5, "furnace");
    CHECK_NEAR(out.conduction_w, 78.99 * 23.0, 1e-9, "conduction");
    CHECK_NEAR(out.end_c, 18.0, 0.0, "end");
    CHECK_NEAR(out.mean_c, 18.0, 1e-14, "mean");
    CHECK_NEAR(out.stored_w, 0.0, 0.0, "stored");
}

static void the_cold_test_of_the_standard_takes_6650_watts(void **state)
{
    (void)state;
    /* EN 1646-1 section 9, grade 3: 20 inside at -15 outside; UA 190 W/K, no gains: 6.65 kW. */
    lw_cabin_in in = winter();
    in.start_c = in.heat_set_c = 20.0;
    in.outside_c = -15.0;
    in.gain_w = 0.0;
    const lw_cabin cabin = {.ua_wk = 190.0, .mass_jk = 2e6};
    CHECK_NEAR(step(&cabin, in).heat_w, 6650.0, 1.0, "furnace");
}

static void without_devices_the_rig_decays_to_the_free_float_equilibrium(void **state)
{
    (void)state;
    lw_cabin_in in = winter();
    in.heat_max_w = in.vent_max_wk = 0.0;
    in.step_s = 5000.0;
    const lw_cabin_out out = step(&BOX, in);
    const double level_c = -5.0 + 184.0 / 80.0, e = exp(-80.0 * 5000.0 / 1e6);
    CHECK_NEAR(out.end_c, level_c + (18.0 - level_c) * e, 1e-12, "one exponential");
    CHECK_NEAR(out.mean_c, level_c + (18.0 - level_c) * (1.0 - e) / 0.4, 1e-12, "its mean");
    in.step_s = 864000.0;
    CHECK_NEAR(step(&BOX, in).end_c, level_c, 1e-9, "after ten days");
    CHECK_NEAR(step(&BOX, in).heat_w, 0.0, 0.0, "no furnace");
}

static void the_time_to_reach_the_set_point_follows_the_logarithm(void **state)
{
    (void)state;
    /* From 10 C at full 6,858 W: equilibrium 83.025 C; the set-point is reached after tau ln((83.025-10)/(83.025-18)),
     * then held. */
    lw_cabin_in in = winter();
    in.start_c = 10.0;
    in.step_s = 7200.0;
    const double level_c = -5.0 + (184.0 + 6858.0) / 80.0;
    const double reach_s = 1e6 / 80.0 * log((level_c - 10.0) / (level_c - 18.0));
    const lw_cabin_out out = step(&BOX, in);
    const double held_w = 80.0 * 23.0 - 184.0;
    CHECK_NEAR(out.end_c, 18.0, 0.0, "held");
    CHECK_NEAR(out.heat_w, (6858.0 * reach_s + held_w * (7200.0 - reach_s)) / 7200.0, 1e-9, "furnace");
    CHECK_NEAR(out.min_c, 10.0, 0.0, "min");
    CHECK_NEAR(out.max_c, 18.0, 0.0, "max");
}

static void a_furnace_too_small_runs_all_the_time_and_the_rig_cools(void **state)
{
    (void)state;
    lw_cabin_in in = winter();
    in.heat_max_w = 1000.0;
    const lw_cabin_out out = step(&BOX, in);
    CHECK_NEAR(out.heat_w, 1000.0, 1e-12, "full output");
    assert_true(out.end_c < 18.0);
    in.step_s = 864000.0;
    CHECK_NEAR(step(&BOX, in).end_c, -5.0 + 1184.0 / 80.0, 1e-9, "its own equilibrium");
}

static void open_windows_hold_the_vent_set_point_and_never_cool_below_outside(void **state)
{
    (void)state;
    lw_cabin_in in = winter();
    in.outside_c = 20.0;
    in.gain_w = 1500.0;
    in.start_c = in.vent_set_c = 25.0;
    const lw_cabin_out held = step(&BOX, in);
    CHECK_NEAR(held.end_c, 25.0, 0.0, "held");
    CHECK_NEAR(held.vent_w, 1500.0 - 80.0 * 5.0, 1e-9, "vented");
    /* Physics: 0.25 m3/s adds 301 W/K; inside = outside + gains / (UA + 301). */
    in.outside_c = 35.0;
    in.vent_max_wk = 301.0;
    in.step_s = 864000.0;
    CHECK_NEAR(step(&BOX, in).end_c, 35.0 + 1500.0 / 381.0, 1e-9, "windows wide open in heat");
    in.gain_w = 0.0;
    in.start_c = 30.0;
    in.step_s = 3600.0;
    const lw_cabin_out cooler_inside = step(&BOX, in);
    CHECK_NEAR(cooler_inside.vent_w, 0.0, 0.0, "shut while outside is warmer");
}

static void an_air_conditioner_holds_its_set_point_within_its_power(void **state)
{
    (void)state;
    lw_cabin_in in = winter();
    in.outside_c = 35.0;
    in.gain_w = 900.0;
    in.start_c = in.cool_set_c = 26.0;
    in.vent_max_wk = 0.0;
    in.cool_max_w = 3500.0;
    CHECK_NEAR(step(&BOX, in).cool_w, 80.0 * 9.0 + 900.0, 1e-9, "held");
    in.cool_max_w = 800.0;
    const lw_cabin_out weak = step(&BOX, in);
    CHECK_NEAR(weak.cool_w, 800.0, 1e-12, "full");
    assert_true(weak.end_c > 26.0);
}

static double imbalance(const lw_cabin_in *in, const lw_cabin_out *out)
{
    const double in_w = in->gain_w + out->heat_w;
    const double out_w = out->conduction_w + out->vent_w + out->cool_w + out->stored_w;
    const double scale_w = fabs(in->gain_w) + fabs(out->heat_w) + fabs(out->conduction_w) + fabs(out->vent_w) +
                           fabs(out->cool_w) + fabs(out->stored_w);
    return fabs(in_w - out_w) / (scale_w > 0.0 ? scale_w : 1.0);
}

static void energy_closes_in_random_steps(void **state)
{
    (void)state;
    uint64_t s = 1;
    double worst = 0.0;
    for (int i = 0; i < 20000; i++) {
        const lw_cabin cabin = random_cabin(&s);
        const lw_cabin_in in = random_in(&s);
        lw_cabin_out out;
        lw_cabin_step(&cabin, &in, &out);
        /* 1e-12: some thousand roundings of the largest flow; the temperatures' own last bit is part of it. */
        CHECK_NEAR(imbalance(&in, &out), 0.0, 1e-12, "case %d: start %g outside %g ua %g", i, in.start_c, in.outside_c,
                   cabin.ua_wk);
        CHECK_NEAR(out.conduction_w, cabin.ua_wk * (out.mean_c - in.outside_c), 1e-9, "case %d conduction", i);
        assert_true(out.heat_w >= 0.0 && out.heat_w <= in.heat_max_w * (1.0 + 1e-12));
        assert_true(out.cool_w >= 0.0 && out.cool_w <= in.cool_max_w * (1.0 + 1e-12));
        assert_true(out.vent_w >= 0.0);
        assert_true(out.min_c <= out.mean_c + 1e-9 && out.mean_c <= out.max_c + 1e-9);
        worst = fmax(worst, imbalance(&in, &out));
    }
    print_message("worst relative imbalance %.2e\n", worst);
}

static void two_half_steps_equal_one(void **state)
{
    (void)state;
    uint64_t s = 2;
    for (int i = 0; i < 10000; i++) {
        const lw_cabin cabin = random_cabin(&s);
        lw_cabin_in in = random_in(&s);
        const lw_cabin_out whole = step(&cabin, in);
        in.step_s *= 0.5;
        const lw_cabin_out first = step(&cabin, in);
        in.start_c = first.end_c;
        const lw_cabin_out second = step(&cabin, in);
        CHECK_NEAR(second.end_c, whole.end_c, 1e-9, "case %d end", i);
        CHECK_NEAR(0.5 * (first.mean_c + second.mean_c), whole.mean_c, 1e-9, "case %d mean", i);
        CHECK_NEAR(0.5 * (first.heat_w + second.heat_w), whole.heat_w, 1e-6, "case %d heat", i);
        CHECK_NEAR(0.5 * (first.vent_w + second.vent_w), whole.vent_w, 1e-6, "case %d vent", i);
        CHECK_NEAR(0.5 * (first.cool_w + second.cool_w), whole.cool_w, 1e-6, "case %d cool", i);
    }
}

/* Oracle: many implicit steps of the same thermostat rules, each with the power cut so as not to overshoot. */
static double slow_end_c(const lw_cabin *cabin, const lw_cabin_in *in, int steps)
{
    double t = in->start_c;
    const double dt = in->step_s / steps;
    const double vent_c = fmax(in->vent_set_c, in->outside_c);
    for (int i = 0; i < steps; i++) {
        double next = t + dt / cabin->mass_jk * (in->gain_w - cabin->ua_wk * (t - in->outside_c));
        if (next < in->heat_set_c)
            next = fmin(in->heat_set_c, next + dt / cabin->mass_jk * in->heat_max_w);
        if (next > vent_c)
            next = fmax(vent_c, next - dt / cabin->mass_jk * in->vent_max_wk *
                                           (t - in->outside_c > 0.0 ? t - in->outside_c : 0.0));
        if (in->cool_max_w > 0.0 && next > in->cool_set_c)
            next = fmax(in->cool_set_c, next - dt / cabin->mass_jk * in->cool_max_w);
        t = next;
    }
    return t;
}

static void many_small_plain_steps_come_to_the_same_end(void **state)
{
    (void)state;
    uint64_t s = 3;
    for (int i = 0; i < 300; i++) {
        const lw_cabin cabin = random_cabin(&s);
        const lw_cabin_in in = random_in(&s);
        /* 0.01 K: first-order error of 20,000 steps at up to 1e-2 K/s. */
        CHECK_NEAR(step(&cabin, in).end_c, slow_end_c(&cabin, &in, 20000), 0.01, "case %d", i);
    }
}

static void colder_outside_never_needs_less_heat(void **state)
{
    (void)state;
    uint64_t s = 4;
    for (int i = 0; i < 5000; i++) {
        const lw_cabin cabin = random_cabin(&s);
        lw_cabin_in in = random_in(&s);
        in.cool_max_w = 0.0;
        const lw_cabin_out mild = step(&cabin, in);
        in.outside_c -= uniform(&s, 0.0, 15.0);
        const lw_cabin_out cold = step(&cabin, in);
        if (!(cold.heat_w >= mild.heat_w - 1e-9 && cold.end_c <= mild.end_c + 1e-9))
            fail_msg("case %d: colder gives %.12g W after %.12g W, ends %.12g after %.12g", i, cold.heat_w, mild.heat_w,
                     cold.end_c, mild.end_c);
    }
}

static void a_prepared_decay_changes_nothing(void **state)
{
    (void)state;
    uint64_t s = 5;
    for (int i = 0; i < 5000; i++) {
        lw_cabin cabin = random_cabin(&s);
        const lw_cabin_in in = random_in(&s);
        const lw_cabin_out plain = step(&cabin, in);
        cabin.decay_full = exp(-cabin.ua_wk * in.step_s / cabin.mass_jk);
        const lw_cabin_out prepared = step(&cabin, in);
        CHECK_NEAR(prepared.end_c, plain.end_c, 1e-11, "case %d end", i);
        CHECK_NEAR(prepared.heat_w, plain.heat_w, 1e-8, "case %d heat", i);
    }
}

static void edges_stay_finite_and_balanced(void **state)
{
    (void)state;
    lw_cabin_in in = winter();
    const lw_cabin sealed = {.ua_wk = 0.0, .mass_jk = 1e6};
    in.start_c = 10.0;
    in.heat_max_w = 0.0;
    in.vent_max_wk = 0.0;
    const lw_cabin_out warmed = step(&sealed, in);
    CHECK_NEAR(warmed.end_c, 10.0 + 184.0 * 3600.0 / 1e6, 1e-12, "no conductance: a straight line");
    CHECK_NEAR(warmed.mean_c, 10.0 + 0.5 * 184.0 * 3600.0 / 1e6, 1e-12, "its middle");
    in.gain_w = 0.0;
    CHECK_NEAR(step(&sealed, in).end_c, 10.0, 0.0, "nothing happens");
    in = winter();
    in.outside_c = in.start_c = in.heat_set_c;
    in.gain_w = 0.0;
    CHECK_NEAR(step(&BOX, in).heat_w, 0.0, 0.0, "outside at the set-point");
    in = winter();
    in.step_s = 0.0;
    in.start_c = 10.0;
    const lw_cabin_out none = step(&BOX, in);
    CHECK_NEAR(none.end_c, 10.0, 0.0, "no time");
    CHECK_NEAR(none.mean_c, 10.0, 0.0, "no time, mean");
    CHECK_NEAR(none.heat_w + none.conduction_w + none.stored_w, 0.0, 0.0, "no time, no flow");
}

static void bad_input_is_refused_by_name(void **state)
{
    (void)state;
    lw_fault fault;
    lw_cabin_in in = winter();
    assert_int_equal(lw_cabin_check(&BOX, &in, &fault), LW_OK);
    double *const field[] = {&in.start_c,    &in.outside_c,   &in.gain_w,     &in.heat_set_c, &in.heat_max_w,
                             &in.vent_set_c, &in.vent_max_wk, &in.cool_set_c, &in.cool_max_w, &in.step_s};
    for (size_t i = 0; i < COUNT_OF(field); i++) {
        const double kept = *field[i];
        *field[i] = (double)NAN;
        if (lw_cabin_check(&BOX, &in, &fault) != LW_E_RANGE)
            fail_msg("field %zu accepted NaN", i);
        *field[i] = kept;
    }
    in.step_s = 0.0;
    assert_int_equal(lw_cabin_check(&BOX, &in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "step_s");
    in = winter();
    in.vent_set_c = 17.0;
    assert_int_equal(lw_cabin_check(&BOX, &in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "vent_set_c");
    const lw_cabin no_mass = {.ua_wk = 80.0};
    assert_int_equal(lw_cabin_check(&no_mass, &in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "mass_jk");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_rig_held_at_its_set_point_needs_what_it_loses_less_its_gains),
        cmocka_unit_test(the_cold_test_of_the_standard_takes_6650_watts),
        cmocka_unit_test(without_devices_the_rig_decays_to_the_free_float_equilibrium),
        cmocka_unit_test(the_time_to_reach_the_set_point_follows_the_logarithm),
        cmocka_unit_test(a_furnace_too_small_runs_all_the_time_and_the_rig_cools),
        cmocka_unit_test(open_windows_hold_the_vent_set_point_and_never_cool_below_outside),
        cmocka_unit_test(an_air_conditioner_holds_its_set_point_within_its_power),
        cmocka_unit_test(energy_closes_in_random_steps),
        cmocka_unit_test(two_half_steps_equal_one),
        cmocka_unit_test(many_small_plain_steps_come_to_the_same_end),
        cmocka_unit_test(colder_outside_never_needs_less_heat),
        cmocka_unit_test(a_prepared_decay_changes_nothing),
        cmocka_unit_test(edges_stay_finite_and_balanced),
        cmocka_unit_test(bad_input_is_refused_by_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
