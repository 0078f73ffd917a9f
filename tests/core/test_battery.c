#include "tests/check.h"

#include "core/power/battery.h"

static const char *const WORD[] = {
#define WORD_OF(id, word) word,
    LW_CHEMISTRIES(WORD_OF)
#undef WORD_OF
};

static lw_battery bank(lw_chemistry chemistry, double capacity_ah)
{
    const lw_battery_spec spec = lw_battery_typical(chemistry, capacity_ah, 12.0);
    lw_battery b;
    lw_battery_prepare(&spec, &b);
    return b;
}

/* A fixed sequence of numbers in 0..1; tests share no state. */
static double next_random(uint32_t *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return (*seed >> 8) / 16777216.0;
}

static double now_wh(const lw_battery *b, const lw_kibam_state *s)
{
    return lw_battery_energy_wh(b, lw_battery_charge_ah(s));
}

static void rest_voltages_are_the_listed_ones(void **state)
{
    /* Flooded (a table long in circulation), AGM (middles), LFP: common practice. */
    static const struct {
        lw_chemistry chemistry;
        double soc_frac, rest_v;
    } row[] = {
        {LW_CHEMISTRY_FLOODED, 1.0, 12.73},   {LW_CHEMISTRY_FLOODED, 0.5, 12.10}, {LW_CHEMISTRY_FLOODED, 0.1, 11.51},
        {LW_CHEMISTRY_FLOODED, 0.75, 12.435}, {LW_CHEMISTRY_AGM, 1.0, 12.85},     {LW_CHEMISTRY_AGM, 0.5, 12.275},
        {LW_CHEMISTRY_AGM, 0.0, 11.70},       {LW_CHEMISTRY_LFP, 0.9, 13.33},     {LW_CHEMISTRY_LFP, 0.5, 13.16},
        {LW_CHEMISTRY_LFP, 0.1, 12.80},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_battery b = bank(row[i].chemistry, 200.0);
        const double q_ah = lw_battery_soc_ah(&b, row[i].soc_frac);
        CHECK_NEAR(lw_battery_ocv_v(&b, q_ah), row[i].rest_v, 1e-9, "%s at %g", WORD[row[i].chemistry],
                   row[i].soc_frac);
        CHECK_NEAR(lw_battery_q_at_ocv(&b, row[i].rest_v), q_ah, 1e-9, "%s back", WORD[row[i].chemistry]);
    }
}

static void rated_capacity_is_had_in_twenty_hours(void **state)
{
    /* The definition of the rated charge; the wells hold more, which a slower draw gets. */
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        CHECK_NEAR(lw_kibam_capacity_ah(&b.wells, 20.0), 100.0, 1e-9, "%s", WORD[c]);
        assert_true(lw_kibam_capacity_ah(&b.wells, 100.0) >= 100.0 - 1e-9);
    }
}

static void stored_energy_is_the_integral_of_the_voltage(void **state)
{
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        const int parts = 200000;
        const double step_ah = b.wells.qmax_ah / parts;
        double sum_wh = 0.0;
        for (int i = 0; i < parts; i++)
            sum_wh += step_ah * lw_battery_ocv_v(&b, (i + 0.5) * step_ah);
        CHECK_NEAR(lw_battery_energy_wh(&b, b.wells.qmax_ah), sum_wh, 1e-6, "%s",
                   WORD[c]); /* 1e-6: kinks inside parts */
        CHECK_NEAR(lw_battery_energy_wh(&b, 0.0), 0.0, 1e-9, "%s empty", WORD[c]);
    }
}

/* Over a knot of the grid the energy is a difference of sums of some 1,300 Wh: a few of their last figures. */
static const double KNOT_W = 1e-12;

static void a_draw_gives_the_power_asked_for(void **state)
{
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        int met = 0;
        for (double soc = 0.05; soc <= 1.0; soc += 0.013)
            for (double power_w = 0.01; power_w < 300.0; power_w *= 2.3) {
                const lw_kibam_state s = lw_battery_at_soc(&b, soc);
                lw_battery_flow flow;
                lw_battery_draw(&b, &s, power_w, 1.0, &flow);
                if (flow.is_limited)
                    continue;
                met++;
                const double out_w = -(flow.stored_w + flow.ohmic_w);
                CHECK_NEAR(out_w, power_w, 1e-12 * power_w + KNOT_W, "%s %g W at %g", WORD[c], power_w, soc);
                CHECK_NEAR(-flow.terminal_w, power_w, 0.0, "reported");
            }
        assert_true(met > 500);
    }
}

static void a_cap_just_above_the_current_does_not_bind(void **state)
{
    /* Steps over a knot behind which the voltage turns steeper, where the line before the knot alone would ask for more. */
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        lw_battery_spec spec = lw_battery_typical((lw_chemistry)c, 100.0, 12.0);
        spec.kibam_c = 1.0;
        lw_battery b;
        lw_battery_prepare(&spec, &b);
        uint32_t seed = 5u;
        for (int n = 0; n < 5000; n++) {
            const lw_kibam_state s = lw_battery_at_soc(&b, 0.15 + 0.6 * next_random(&seed));
            const double power_w = 200.0 * next_random(&seed), q_ah = lw_battery_charge_ah(&s);
            lw_battery_flow free, capped;
            lw_battery_fill(&b, &s, power_w, INFINITY, 1.0, &free);
            if (!free.is_limited) {
                lw_battery_fill(&b, &s, power_w, free.current_a * (1.0 + 1e-7), 1.0, &capped);
                CHECK_NEAR(capped.current_a, free.current_a, 1e-12 * free.current_a, "%s fill", WORD[c]);
                assert_false(capped.is_limited);
                lw_battery_fill(&b, &s, power_w, free.current_a * (1.0 - 1e-7), 1.0, &capped);
                assert_true(capped.is_limited && capped.terminal_w < power_w);
            }
            lw_battery_draw(&b, &s, power_w, 1.0, &free);
            if (!free.is_limited) {
                lw_battery_draw_above(&b, &s, power_w, q_ah + free.change_ah * (1.0 + 1e-7), 1.0, &capped);
                CHECK_NEAR(capped.current_a, free.current_a, 1e-12 * fabs(free.current_a), "%s draw", WORD[c]);
                assert_false(capped.is_limited);
                lw_battery_draw_above(&b, &s, power_w, q_ah + free.change_ah * (1.0 - 1e-7), 1.0, &capped);
                assert_true(capped.is_limited && -capped.terminal_w < power_w);
            }
        }
    }
}

static void end_voltage_is_that_of_the_last_current(void **state)
{
    const lw_battery b = bank(LW_CHEMISTRY_LFP, 100.0);
    const lw_kibam_state half = lw_battery_at_soc(&b, 0.5), high = lw_battery_at_soc(&b, 0.97);
    lw_battery_flow flow;
    (void)state;
    lw_battery_draw(&b, &half, 200.0, 1.0, &flow);
    CHECK_NEAR(flow.end_v, lw_battery_ocv_v(&b, 50.0 + flow.change_ah) + flow.current_a * b.resistance_ohm, 1e-12,
               "draw");
    lw_battery_fill(&b, &half, 200.0, 50.0, 1.0, &flow);
    CHECK_NEAR(flow.end_v, lw_battery_ocv_v(&b, 50.0 + flow.change_ah) + flow.current_a * b.charge_resistance_ohm,
               1e-12, "charge");
    lw_battery_fill(&b, &high, 1e4, 50.0, 0.25, &flow);
    const double end_a = b.accept_per_h * (3.0 - flow.change_ah) / b.coulombic_frac;
    CHECK_NEAR(flow.end_v, lw_battery_ocv_v(&b, 97.0 + flow.change_ah) + end_a * b.charge_resistance_ohm, 1e-12,
               "taper");
}

static void charging_a_full_available_well_waits_for_the_bound_one(void **state)
{
    /* The largest charge leaves the available well just full. */
    const lw_battery b = bank(LW_CHEMISTRY_FLOODED, 100.0);
    lw_kibam_state s = {.q1_ah = b.step.share * b.wells.qmax_ah, .q2_ah = 20.0};
    const double wells_a = lw_kibam_max_charge_a(&b.wells, &b.step, s);
    lw_battery_flow flow;
    (void)state;
    lw_battery_fill(&b, &s, 1e5, 1e5, 1.0, &flow);
    CHECK_NEAR(flow.change_ah, wells_a, 1e-9, "charge");
    lw_battery_apply(&b, &s, &flow);
    CHECK_NEAR(s.q1_ah, b.step.share * b.wells.qmax_ah, 1e-9, "available well");
}

/* Plain slow version: the step in small parts of constant power, explicit in time. */
static double slow_draw_ah(const lw_battery *b, double q_ah, double power_w, double dt_h)
{
    const int parts = 100000;
    for (int i = 0; i < parts; i++) {
        const double v = lw_battery_ocv_v(b, q_ah), r = b->resistance_ohm;
        q_ah -= 2.0 * power_w / (v + sqrt(v * v - 4.0 * power_w * r)) * dt_h / parts;
    }
    return q_ah;
}

static void a_charge_takes_the_power_offered(void **state)
{
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        int met = 0;
        for (double soc = 0.0; soc <= 0.9; soc += 0.013)
            for (double power_w = 0.01; power_w < 300.0; power_w *= 2.3) {
                const lw_kibam_state s = lw_battery_at_soc(&b, soc);
                lw_battery_flow flow;
                lw_battery_fill(&b, &s, power_w, 1000.0, 1.0, &flow);
                if (flow.is_limited)
                    continue;
                met++;
                const double in_w = flow.stored_w + flow.ohmic_w + flow.coulombic_w;
                CHECK_NEAR(in_w, power_w, 1e-12 * power_w + KNOT_W, "%s %g W at %g", WORD[c], power_w, soc);
                CHECK_NEAR(flow.terminal_w, power_w, 0.0, "reported");
            }
        assert_true(met > 500);
    }
}

static void a_draw_is_near_constant_power_in_small_parts(void **state)
{
    /* Constant current against constant power within an hour: second order in the voltage's change (1 % here). */
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        const lw_kibam_state s = lw_battery_at_soc(&b, 0.8);
        const double q_ah = lw_battery_charge_ah(&s);
        lw_battery_flow flow;
        lw_battery_draw(&b, &s, 150.0, 1.0, &flow);
        CHECK_NEAR(flow.change_ah, slow_draw_ah(&b, q_ah, 150.0, 1.0) - q_ah, 2e-3, "%s", WORD[c]);
    }
}

/* Plain slow version of charging: current the least of power, cap and acceptance at each instant. */
static lw_battery_flow slow_fill(const lw_battery *b, double q_ah, double power_w, double cap_a, double dt_h)
{
    const int parts = 200000;
    const double eta = b->coulombic_frac, r = b->charge_resistance_ohm, part_h = dt_h / parts, start_ah = q_ah;
    lw_battery_flow sum = {.dt_h = dt_h};
    for (int i = 0; i < parts; i++) {
        const double v = lw_battery_ocv_v(b, q_ah);
        double a = 2.0 * power_w / (v + sqrt(v * v + 4.0 * power_w * r));
        a = fmin(a, fmin(cap_a, b->accept_per_h * (b->wells.qmax_ah - q_ah) / eta));
        sum.terminal_w += (v + a * r) * a / parts;
        sum.ohmic_w += a * a * r / parts;
        sum.coulombic_w += (1.0 - eta) * a * v / parts;
        q_ah += eta * a * part_h;
    }
    sum.change_ah = q_ah - start_ah;
    return sum;
}

static void both_phases_of_charging_match_small_parts(void **state)
{
    /* One well, so that the wells' own limit stays out. Tolerance: the parts' first-order error, and constant current for
     * constant power where the power binds. */
    static const struct {
        double soc_frac, power_w, cap_a;
    } row[] = {{0.30, 300.0, 1e9}, {0.80, 2000.0, 30.0}, {0.93, 900.0, 50.0}, {0.97, 900.0, 50.0}, {0.99, 500.0, 50.0}};
    lw_battery_spec spec = lw_battery_typical(LW_CHEMISTRY_AGM, 100.0, 12.0);
    lw_battery b;
    (void)state;
    spec.kibam_c = 1.0;
    spec.accept_per_h = 3.0;
    lw_battery_prepare(&spec, &b);
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_kibam_state s = lw_battery_at_soc(&b, row[i].soc_frac);
        const lw_battery_flow want = slow_fill(&b, lw_battery_charge_ah(&s), row[i].power_w, row[i].cap_a, 1.0);
        lw_battery_flow flow;
        lw_battery_fill(&b, &s, row[i].power_w, row[i].cap_a, 1.0, &flow);
        CHECK_NEAR(flow.change_ah, want.change_ah, 5e-3, "charge, row %zu", i);
        CHECK_NEAR(flow.terminal_w, want.terminal_w, 0.1, "terminal, row %zu", i);
        CHECK_NEAR(flow.ohmic_w, want.ohmic_w, 0.02, "ohmic, row %zu", i);
        CHECK_NEAR(flow.coulombic_w, want.coulombic_w, 0.02, "coulombic, row %zu", i);
        CHECK_NEAR(flow.change_ah, flow.current_a * b.coulombic_frac, 1e-12, "mean current, row %zu", i);
    }
}

static void energy_closes_over_thousands_of_random_steps(void **state)
{
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 150.0);
        lw_kibam_state s = lw_battery_at_soc(&b, 0.6);
        const double start_wh = now_wh(&b, &s), capacity_wh = lw_battery_energy_wh(&b, b.wells.qmax_ah);
        double in_wh = 0.0, lost_wh = 0.0, through_wh = capacity_wh;
        uint32_t seed = 7u + (uint32_t)c;
        int draws_met = 0, draws_short = 0, tapers = 0;
        for (int n = 0; n < 20000; n++) {
            const double odd_h = next_random(&seed) < 0.3 ? 0.01 + next_random(&seed) : 1.0;
            const double power_w = 400.0 * next_random(&seed) * next_random(&seed);
            const double before_wh = now_wh(&b, &s), before_ah = lw_battery_charge_ah(&s);
            const int is_draw = next_random(&seed) < 0.5 + 0.2 * sin(n / 300.0);
            lw_battery_flow flow;
            if (is_draw)
                lw_battery_draw(&b, &s, power_w, odd_h, &flow);
            else
                lw_battery_fill(&b, &s, 3.0 * power_w, b.charge_limit_a, odd_h, &flow);
            draws_met += is_draw && !flow.is_limited;
            draws_short += is_draw && flow.is_limited;
            tapers += flow.taper_ah > 0.0;
            const double sum_w = flow.stored_w + flow.ohmic_w + flow.coulombic_w;
            CHECK_NEAR(flow.terminal_w, sum_w, 1e-12 * (fabs(flow.terminal_w) + capacity_wh), "%s step %d", WORD[c], n);
            assert_true(flow.ohmic_w >= 0.0 && flow.coulombic_w >= 0.0);
            assert_true(is_draw ? -flow.terminal_w <= power_w : flow.terminal_w <= 3.0 * power_w);
            lw_battery_apply(&b, &s, &flow);
            CHECK_NEAR(lw_battery_charge_ah(&s), before_ah + flow.change_ah, 1e-12 * b.wells.qmax_ah, "charge");
            CHECK_NEAR(now_wh(&b, &s) - before_wh, flow.stored_w * odd_h, 1e-12 * capacity_wh, "stored");
            assert_true(s.q1_ah >= 0.0 && s.q2_ah >= 0.0);
            assert_true(lw_battery_charge_ah(&s) <= b.wells.qmax_ah * (1.0 + 1e-15));
            assert_true(s.q1_ah <= b.step.share * b.wells.qmax_ah * (1.0 + 1e-12));
            in_wh += flow.terminal_w * odd_h;
            lost_wh += (flow.ohmic_w + flow.coulombic_w) * odd_h + lw_battery_rest(&b, &s, 25.0, odd_h);
            through_wh += fabs(flow.terminal_w) * odd_h;
        }
        CHECK_NEAR(start_wh + in_wh - lost_wh, now_wh(&b, &s), 1e-12 * through_wh, "%s, all steps", WORD[c]);
        assert_true(draws_met > 100 && draws_short > 10 && tapers > 100); /* the walk went everywhere */
    }
}

static void more_demand_never_leaves_more_charge(void **state)
{
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        for (double soc = 0.02; soc <= 1.0; soc += 0.07) {
            const lw_kibam_state s = lw_battery_at_soc(&b, soc);
            double last_ah = 0.0, last_out_w = 0.0, last_in_ah = 0.0;
            for (double power_w = 0.0; power_w < 6000.0; power_w = power_w * 1.1 + 0.5) {
                lw_battery_flow draw, fill;
                lw_battery_draw(&b, &s, power_w, 1.0, &draw);
                lw_battery_fill(&b, &s, power_w, b.charge_limit_a, 1.0, &fill);
                assert_true(draw.change_ah <= last_ah + 1e-10);
                assert_true(-draw.terminal_w >= last_out_w - 1e-9);
                assert_true(fill.change_ah >= last_in_ah - 2e-3); /* the knee meets the power's mean, see the header */
                last_ah = draw.change_ah;
                last_out_w = -draw.terminal_w;
                last_in_ah = fill.change_ah;
            }
        }
    }
}

static void charging_and_drawing_again_never_gains_energy(void **state)
{
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        uint32_t seed = 99u;
        for (int n = 0; n < 2000; n++) {
            lw_kibam_state s = lw_battery_at_soc(&b, next_random(&seed));
            const double start_ah = lw_battery_charge_ah(&s);
            lw_battery_flow in, out;
            lw_battery_fill(&b, &s, 600.0 * next_random(&seed), b.charge_limit_a, 1.0, &in);
            lw_battery_apply(&b, &s, &in);
            lw_battery_draw_above(&b, &s, 1e5, start_ah, 1.0, &out); /* all that came in, and no more */
            lw_battery_apply(&b, &s, &out);
            assert_true(-out.terminal_w <= in.terminal_w + 1e-9);
            assert_true(lw_battery_charge_ah(&s) >= start_ah - 1e-12 * b.wells.qmax_ah);
        }
    }
}

static void a_cycle_returns_the_share_that_the_trade_expects(void **state)
{
    /* Common practice, at 0.1-0.2 C: flooded 0.70-0.85, AGM 0.80-0.90, LFP 0.92-0.96. Cycle 50-80 % at 0.15 C. */
    static const double low[] = {0.70, 0.80, 0.92}, high[] = {0.85, 0.90, 0.96};
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        lw_kibam_state s = lw_battery_at_soc(&b, 0.5);
        const double start_ah = lw_battery_charge_ah(&s);
        double in_wh = 0.0, out_wh = 0.0;
        lw_battery_flow flow;
        for (int n = 0; n < 2; n++) {
            lw_battery_fill(&b, &s, 1e4, 15.0, 1.0, &flow);
            lw_battery_apply(&b, &s, &flow);
            in_wh += flow.terminal_w;
        }
        while (lw_battery_charge_ah(&s) > start_ah + 1e-9) {
            lw_battery_draw_above(&b, &s, 15.0 * 12.4, start_ah, 0.25, &flow);
            lw_battery_apply(&b, &s, &flow);
            out_wh -= flow.terminal_w * 0.25;
        }
        const double back_frac = out_wh / in_wh;
        if (!(back_frac >= low[c] && back_frac <= high[c]))
            fail_msg("%s gives back %.3f, want %.2f-%.2f", WORD[c], back_frac, low[c], high[c]);
    }
}

static void half_steps_converge(void **state)
{
    /* 0.3 Ah of 100 at whole hours: the wells' limit asks that the current be borne for all of the step. */
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        double end_ah[4];
        for (int level = 0; level < 4; level++) {
            lw_battery b = bank((lw_chemistry)c, 100.0);
            lw_kibam_state s = lw_battery_at_soc(&b, 0.9);
            const int steps = 1 << level;
            lw_battery_set_step(&b, 1.0 / steps);
            for (int n = 0; n < 6 * steps; n++) {
                lw_battery_flow flow;
                if (n < 3 * steps)
                    lw_battery_draw(&b, &s, 120.0, b.step.dt_h, &flow);
                else
                    lw_battery_fill(&b, &s, 150.0, b.charge_limit_a, b.step.dt_h, &flow);
                lw_battery_apply(&b, &s, &flow);
            }
            end_ah[level] = lw_battery_charge_ah(&s);
        }
        const double coarse = fabs(end_ah[1] - end_ah[0]), fine = fabs(end_ah[3] - end_ah[2]);
        if (!(coarse < 0.3 && fine < 0.5 * coarse + 1e-9))
            fail_msg("%s: halving moves the end by %g, later by %g Ah", WORD[c], coarse, fine);
    }
}

/* At a fiftieth of the capacity an hour more comes out than the 20-hour rate promises. */
static void the_state_of_charge_is_a_share_however_slow_the_draw(void **state)
{
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        lw_kibam_state s = lw_battery_at_soc(&b, 1.0);
        double drawn_ah = 0.0, soc = 1.0;
        for (int hour = 0; hour < 80; hour++) {
            lw_battery_flow flow;
            lw_battery_draw(&b, &s, 25.0, 1.0, &flow);
            lw_battery_apply(&b, &s, &flow);
            drawn_ah -= flow.change_ah;
            const double now = lw_battery_soc_frac(&b, lw_battery_charge_ah(&s));
            if (!(now >= 0.0 && now <= soc))
                fail_msg("%s after %.2f Ah: state of charge %g, before %g", WORD[c], drawn_ah, now, soc);
            soc = now;
        }
        CHECK_NEAR(soc, 0.0, 1e-6, "%s at the end", WORD[c]);
        if (c != LW_CHEMISTRY_LFP && !(drawn_ah > 102.0 && drawn_ah <= b.wells.qmax_ah))
            fail_msg("%s: %.2f Ah at the slow rate", WORD[c], drawn_ah);
    }
}

static void a_taper_is_the_same_in_two_halves(void **state)
{
    const lw_battery b = bank(LW_CHEMISTRY_LFP, 100.0);
    lw_kibam_state once = lw_battery_at_soc(&b, 0.95), twice = once;
    lw_battery_flow flow, half;
    (void)state;
    lw_battery_fill(&b, &once, 1e4, 1e4, 1.0, &flow);
    lw_battery_apply(&b, &once, &flow);
    double ohmic_wh = 0.0;
    for (int n = 0; n < 2; n++) {
        lw_battery_fill(&b, &twice, 1e4, 1e4, 0.5, &half);
        lw_battery_apply(&b, &twice, &half);
        ohmic_wh += 0.5 * half.ohmic_w;
    }
    CHECK_NEAR(twice.q1_ah, once.q1_ah, 1e-11, "charge");
    CHECK_NEAR(ohmic_wh, flow.ohmic_w, 1e-11, "ohmic");
}

static void crossings_lie_where_shorter_steps_end(void **state)
{
    static const struct {
        double soc_frac, power_w, to_soc_frac;
    } row[] = {{0.80, -300.0, 0.70}, {0.50, 400.0, 0.55}, {0.90, 2000.0, 0.985}, {0.97, 2000.0, 0.99}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_battery b = bank(LW_CHEMISTRY_LFP, 100.0);
        const lw_kibam_state s = lw_battery_at_soc(&b, row[i].soc_frac);
        const double q_ah = lw_battery_charge_ah(&s), target_ah = lw_battery_soc_ah(&b, row[i].to_soc_frac);
        lw_battery_flow flow, part;
        if (row[i].power_w < 0.0)
            lw_battery_draw(&b, &s, -row[i].power_w, 1.0, &flow);
        else
            lw_battery_fill(&b, &s, row[i].power_w, 20.0, 1.0, &flow);
        const double hours = lw_battery_hours_to(&b, &flow, q_ah, target_ah);
        assert_true(hours > 0.0 && hours < 1.0);
        part = flow;
        if (row[i].power_w > 0.0) {
            lw_battery_fill(&b, &s, row[i].power_w, flow.steady_h > 0.0 ? flow.steady_a / b.coulombic_frac : 20.0,
                            hours, &part);
            CHECK_NEAR(q_ah + part.change_ah, target_ah, 1e-9, "row %zu", i);
        } else {
            CHECK_NEAR(q_ah + flow.steady_a * hours, target_ah, 1e-9, "row %zu", i);
        }
        CHECK_NEAR(lw_battery_hours_to(&b, &flow, q_ah, q_ah), 0.0, 0.0, "at once");
        const double beyond_ah = row[i].power_w < 0.0 ? q_ah + 1.0 : q_ah - 1.0;
        assert_true(isinf(lw_battery_hours_to(&b, &flow, q_ah, beyond_ah)));
        const double past_ah = q_ah + flow.change_ah * (1.0 + 1e-6);
        assert_true(isinf(lw_battery_hours_to(&b, &flow, q_ah, past_ah)));
    }
}

static void self_discharge_doubles_in_ten_kelvin(void **state)
{
    /* Common practice: LFP 1-3 % a month at 25 C, doubles per 10 K. 730.5 hours are a month. */
    const lw_battery b = bank(LW_CHEMISTRY_LFP, 100.0);
    lw_kibam_state at_25 = lw_battery_at_soc(&b, 1.0), at_35 = at_25, hourly = at_25;
    (void)state;
    const double lost_wh = lw_battery_rest(&b, &at_25, 25.0, 730.5);
    CHECK_NEAR(at_25.q1_ah, 98.0, 1e-9, "a month at 25 C");
    CHECK_NEAR(lost_wh, lw_battery_energy_wh(&b, 100.0) - lw_battery_energy_wh(&b, 98.0), 1e-9, "its energy");
    lw_battery_rest(&b, &at_35, 35.0, 365.25);
    CHECK_NEAR(at_35.q1_ah, 98.0, 1e-9, "half a month at 35 C");
    for (int n = 0; n < 1461; n++)
        lw_battery_rest(&b, &hourly, 25.0, 0.5);
    CHECK_NEAR(hourly.q1_ah, 98.0, 1e-9, "in half hours");
}

static void cold_shrinks_capacity_by_ieee_485(void **state)
{
    /* IEEE 485, Table 1. */
    static const struct {
        double temp_c, factor;
    } row[] = {{4.4, 1.30},  {10.0, 1.19}, {-1.1, 1.43}, {2.5, 1.335},
               {-3.9, 1.52}, {21.1, 1.04}, {25.0, 1.0},  {40.0, 1.0}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        CHECK_NEAR(lw_ieee485_factor(row[i].temp_c), row[i].factor, 1e-3, "factor at %g C", row[i].temp_c);
        CHECK_NEAR(lw_battery_capacity_frac(LW_CHEMISTRY_AGM, row[i].temp_c) * row[i].factor, 1.0, 1e-3, "its inverse");
    }
    for (double t = -45.0; t < 45.0; t += 0.1)
        for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
            const double here = lw_battery_capacity_frac((lw_chemistry)c, t);
            assert_true(here >= 0.0 && here <= lw_battery_capacity_frac((lw_chemistry)c, t + 0.1) && here <= 1.0);
        }
}

static void cold_lfp_has_the_listed_capacity_and_takes_no_charge(void **state)
{
    /* Common practice and common cell data sheets. */
    static const struct {
        double temp_c, frac, cap_a;
    } row[] = {{25.0, 1.00, 50.0}, {10.0, 0.95, 50.0},  {9.9, 0.9492, 20.0}, {5.0, 0.91, 20.0}, {4.9, 0.9092, 10.0},
               {0.0, 0.87, 10.0},  {-0.1, 0.8688, 0.0}, {-10.0, 0.75, 0.0},  {-20.0, 0.60, 0.0}};
    const lw_battery lfp = bank(LW_CHEMISTRY_LFP, 100.0), agm = bank(LW_CHEMISTRY_AGM, 100.0);
    lw_battery heated = lfp;
    (void)state;
    heated.is_heated = 1;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        CHECK_NEAR(lw_battery_capacity_frac(LW_CHEMISTRY_LFP, row[i].temp_c), row[i].frac, 1e-9, "%g C", row[i].temp_c);
        CHECK_NEAR(lw_battery_charge_cap_a(&lfp, row[i].temp_c), row[i].cap_a, 1e-9, "cap at %g C", row[i].temp_c);
        CHECK_NEAR(lw_battery_charge_cap_a(&heated, row[i].temp_c), 50.0, 1e-9, "heated at %g C", row[i].temp_c);
        CHECK_NEAR(lw_battery_charge_cap_a(&agm, row[i].temp_c), 30.0, 1e-9, "agm at %g C", row[i].temp_c);
    }
}

static void floor_holds_of_what_the_cold_leaves(void **state)
{
    const lw_battery b = bank(LW_CHEMISTRY_AGM, 100.0);
    (void)state;
    CHECK_NEAR(lw_battery_soc_frac(&b, lw_battery_floor_ah(&b, 25.0)), 0.5, 1e-12, "warm");
    CHECK_NEAR(lw_battery_soc_frac(&b, lw_battery_floor_ah(&b, -1.1)), 1.0 - 0.5 / 1.43, 1e-3, "at freezing");
    assert_true(lw_battery_floor_ah(&b, -20.0) > lw_battery_floor_ah(&b, 0.0));
    assert_true(lw_battery_floor_ah(&b, -40.0) <= b.wells.qmax_ah);
}

static void ageing_shrinks_the_charge_that_fits(void **state)
{
    lw_battery_spec spec = lw_battery_typical(LW_CHEMISTRY_FLOODED, 200.0, 24.0);
    lw_battery b;
    (void)state;
    spec.health_frac = 0.8;
    lw_battery_prepare(&spec, &b);
    CHECK_NEAR(lw_kibam_capacity_ah(&b.wells, 20.0), 160.0, 1e-9, "20-hour charge");
    CHECK_NEAR(lw_battery_ocv_v(&b, b.wells.qmax_ah), 2.0 * 12.73, 1e-9, "24 V bank, full");
    CHECK_NEAR(b.cut_v, 23.0, 1e-9, "cut");
}

static void the_cut_opens_earlier_under_load(void **state)
{
    const lw_battery b = bank(LW_CHEMISTRY_FLOODED, 100.0);
    (void)state;
    CHECK_NEAR(lw_battery_ocv_v(&b, lw_battery_cut_ah(&b, 20.0)) - 20.0 * b.resistance_ohm, 11.5, 1e-9, "at the cut");
    assert_true(lw_battery_cut_ah(&b, 20.0) > lw_battery_cut_ah(&b, 0.0));
}

static void edges_give_still_flows(void **state)
{
    (void)state;
    for (int c = 0; c < LW_CHEMISTRY_COUNT; c++) {
        const lw_battery b = bank((lw_chemistry)c, 100.0);
        const lw_kibam_state empty = {0.0, 0.0}, full = lw_battery_at_soc(&b, 1.0);
        lw_battery_flow flow;
        lw_battery_draw(&b, &empty, 50.0, 1.0, &flow);
        CHECK_NEAR(flow.terminal_w, 0.0, 0.0, "%s empty", WORD[c]);
        assert_true(flow.is_limited);
        lw_battery_fill(&b, &full, 50.0, 100.0, 1.0, &flow);
        CHECK_NEAR(flow.change_ah, 0.0, 1e-9, "%s full", WORD[c]);
        assert_true(flow.is_limited);
        lw_battery_draw(&b, &full, 0.0, 1.0, &flow);
        CHECK_NEAR(flow.current_a, 0.0, 0.0, "%s nothing asked", WORD[c]);
        assert_false(flow.is_limited);
        lw_battery_fill(&b, &full, NAN, 100.0, 1.0, &flow);
        CHECK_NEAR(flow.terminal_w, 0.0, 0.0, "%s not a number", WORD[c]);
        lw_battery_draw(&b, &full, 50.0, 0.0, &flow);
        CHECK_NEAR(flow.terminal_w, 0.0, 0.0, "%s no time", WORD[c]);
        lw_battery_fill(&b, &empty, 50.0, 0.0, 1.0, &flow);
        CHECK_NEAR(flow.terminal_w, 0.0, 0.0, "%s no current allowed", WORD[c]);
        lw_battery_draw(&b, &full, 1e12, 1.0, &flow);
        assert_true(flow.is_limited && -flow.terminal_w > 0.0 && isfinite(flow.terminal_w));
        lw_battery_fill(&b, &empty, 1e12, INFINITY, 1.0, &flow);
        assert_true(flow.is_limited && flow.change_ah <= b.wells.qmax_ah && isfinite(flow.terminal_w));
    }
}

static void a_draw_beyond_the_peak_of_power_gets_the_peak(void **state)
{
    /* Thevenin: the most that a source of 13.16 V behind 1 ohm gives is V^2 / 4R = 43 W; the wells alone allow more. */
    lw_battery_spec spec = lw_battery_typical(LW_CHEMISTRY_LFP, 1000.0, 12.0);
    lw_battery b;
    (void)state;
    spec.resistance_ohm = 1.0;
    lw_battery_prepare(&spec, &b);
    const lw_kibam_state s = lw_battery_at_soc(&b, 0.5);
    lw_battery_flow flow;
    lw_battery_draw(&b, &s, 500.0, 1.0, &flow);
    assert_true(flow.is_limited);
    CHECK_NEAR(-flow.terminal_w, 13.16 * 13.16 / 4.0, 0.02,
               "peak power"); /* 0.02: the voltage falls by 1 mV meanwhile */
    CHECK_NEAR(flow.end_v, 13.16 / 2.0, 0.01, "half the voltage");
}

static void check_refuses_numbers_out_of_bounds(void **state)
{
    const lw_battery_spec good = lw_battery_typical(LW_CHEMISTRY_AGM, 100.0, 12.0);
    lw_battery_spec bad;
    lw_fault fault;
    (void)state;
    assert_int_equal(lw_battery_check(&good, &fault), LW_OK);
#define REFUSED(name, number)                                                                                          \
    bad = good;                                                                                                        \
    bad.name = number;                                                                                                 \
    assert_int_equal(lw_battery_check(&bad, &fault), LW_E_RANGE);                                                      \
    assert_string_equal(fault.field, #name)
    REFUSED(capacity_ah, NAN);
    REFUSED(capacity_ah, 0.0);
    REFUSED(nominal_v, NAN);
    REFUSED(health_frac, 0.0);
    REFUSED(floor_frac, NAN);
    REFUSED(coulombic_frac, 1.01);
    REFUSED(resistance_ohm, -0.001);
    REFUSED(kibam_c, 0.0);
    REFUSED(cut_v, -1.0);
#undef REFUSED
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rest_voltages_are_the_listed_ones),
        cmocka_unit_test(rated_capacity_is_had_in_twenty_hours),
        cmocka_unit_test(stored_energy_is_the_integral_of_the_voltage),
        cmocka_unit_test(a_draw_gives_the_power_asked_for),
        cmocka_unit_test(a_charge_takes_the_power_offered),
        cmocka_unit_test(a_cap_just_above_the_current_does_not_bind),
        cmocka_unit_test(end_voltage_is_that_of_the_last_current),
        cmocka_unit_test(charging_a_full_available_well_waits_for_the_bound_one),
        cmocka_unit_test(a_draw_is_near_constant_power_in_small_parts),
        cmocka_unit_test(both_phases_of_charging_match_small_parts),
        cmocka_unit_test(energy_closes_over_thousands_of_random_steps),
        cmocka_unit_test(more_demand_never_leaves_more_charge),
        cmocka_unit_test(charging_and_drawing_again_never_gains_energy),
        cmocka_unit_test(a_cycle_returns_the_share_that_the_trade_expects),
        cmocka_unit_test(half_steps_converge),
        cmocka_unit_test(the_state_of_charge_is_a_share_however_slow_the_draw),
        cmocka_unit_test(a_taper_is_the_same_in_two_halves),
        cmocka_unit_test(crossings_lie_where_shorter_steps_end),
        cmocka_unit_test(self_discharge_doubles_in_ten_kelvin),
        cmocka_unit_test(cold_shrinks_capacity_by_ieee_485),
        cmocka_unit_test(cold_lfp_has_the_listed_capacity_and_takes_no_charge),
        cmocka_unit_test(floor_holds_of_what_the_cold_leaves),
        cmocka_unit_test(ageing_shrinks_the_charge_that_fits),
        cmocka_unit_test(the_cut_opens_earlier_under_load),
        cmocka_unit_test(edges_give_still_flows),
        cmocka_unit_test(a_draw_beyond_the_peak_of_power_gets_the_peak),
        cmocka_unit_test(check_refuses_numbers_out_of_bounds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
