/* The learning: against grids that are worked out plainly, and by what must always hold. */
#include "tests/core/learn_camp.h"

#include "core/base/random.h"
#include "core/learn/rest.h"

enum { GRID = 400, DAYS = 6 };

static const double TANK_L = 120.0, A_DAY_L = 10.0, SD = 0.35;

/* One tank, one group, no days of its own: what is left is start - f x 10 l a day. */
static lw_scenario *one_tank(double level)
{
    lw_scenario *s = learn_camp_bare(DAYS);
    camp_vessel(s, "fresh", LW_SUPPLY_FRESH, TANK_L, level);
    lw_use *u = learn_camp_use(s, "dishes", LW_GROUP_DISHES, A_DAY_L);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -1.0);
    camp_effect(u, LW_EFFECT_GONE_L, 0, 1.0);
    return s;
}

static lw_learn_in one_group(const camp *c, const lw_reading *reading, int count)
{
    lw_learn_in in = {.past = c->context,
                      .now_s = c->scenario->calendar.start_s + (int64_t)DAYS * 86400,
                      .reading = reading,
                      .reading_count = count,
                      .draws = 2000,
                      .seed = 5};
    in.spread.household[LW_GROUP_DISHES] = SD;
    return in;
}

/* The likelihood as core/learn/learn.h states it, of one gauge, written anew. */
static double likelihood(const lw_reading *r, int count, double start, double f, const lw_scenario *s)
{
    double works = 1.0, stuck = 1.0;
    for (int i = 0; i < count; i++) {
        const double days = (double)(r[i].at_s - s->calendar.start_s) / 86400.0;
        const double level = fmax(start - f * A_DAY_L * days, 0.0);
        const double beside = fmax(fmax(r[i].low - level, level - r[i].high), 0.0) / (0.01 * TANK_L);
        const double width = fmax((fmin(r[i].high, TANK_L) - fmax(r[i].low, 0.0)) / TANK_L, 0.02);
        const int is_same = i > 0 && !(r[i].low < r[i - 1].low) && !(r[i].low > r[i - 1].low);
        works *= (1.0 - r[i].lie_frac) * fmax(1.0 - beside, 0.0) + r[i].lie_frac * width;
        stuck *= i == 0 ? width : 0.8 * is_same + 0.2 * width;
    }
    return 0.97 * works + 0.03 * stuck;
}

/* Where a share of a density on evenly spaced points is reached. */
static double grid_quantile(const double *density, const double *at, int count, double share)
{
    double all = 0.0, sum = 0.0;
    for (int i = 0; i < count; i++)
        all += density[i];
    for (int i = 0; i < count; i++) {
        sum += density[i];
        if (sum >= share * all)
            return at[i];
    }
    return at[count - 1];
}

static int thirds(const lw_scenario *s, double start, double f, lw_reading *r)
{
    for (int i = 0; i < DAYS; i++) {
        const double level = start - f * A_DAY_L * (i + 1);
        r[i] = learn_camp_thirds(s->calendar.start_s + (int64_t)(i + 1) * 86400, 0, TANK_L, level, 0);
    }
    return DAYS;
}

/* Known start, one unknown factor: P10, P50 and P90 of 2000 draws against a grid of 400. Bar: four standard errors of a quantile of
 * so many draws by the normal's density, sqrt(p (1 - p) / n) / 0.1755 or 0.3989, of the posterior's width; times two,
 * for draws that moves leave akin. */
static void factors_are_those_of_a_grid(void **state)
{
    (void)state;
    static const double TRUTH[] = {0.6, 1.0, 1.7};
    for (size_t t = 0; t < COUNT_OF(TRUTH); t++) {
        lw_scenario *s = one_tank(TANK_L);
        camp c = camp_prepare(s, 1);
        lw_reading r[DAYS];
        const int count = thirds(s, TANK_L, TRUTH[t], r);
        const lw_learn_in in = one_group(&c, r, count);
        learned l = learn_run(&in);
        double density[GRID], at[GRID];
        for (int i = 0; i < GRID; i++) {
            const double z = -4.0 + 8.0 * (i + 0.5) / GRID;
            at[i] = exp(SD * z);
            density[i] = exp(-0.5 * z * z) * likelihood(r, count, TANK_L, at[i], s);
        }
        const double width = grid_quantile(density, at, GRID, 0.9) - grid_quantile(density, at, GRID, 0.1);
        static const double SHARES[] = {0.1, 0.5, 0.9};
        for (int q = 0; q < LW_QUANTILES; q++)
            CHECK_NEAR(l.out.factor[LW_GROUP_DISHES].now[q], grid_quantile(density, at, GRID, SHARES[q]),
                       0.06 * width + 0.02, "factor %g, quantile %d", TRUTH[t], q);
        assert_true(width < 0.7 * (exp(1.2816 * SD) - exp(-1.2816 * SD)));
        learn_end(&l);
        camp_free(&c);
    }
}

/* A gauge that shows two tanks together says of them what one of a single tank of that size says: the same grid, the same bar. */
static void a_sum_of_two_tanks_tells_what_one_tank_would(void **state)
{
    (void)state;
    static const double TRUTH = 1.4, FRONT_L = 50.0;
    lw_scenario *whole = one_tank(TANK_L), *halves = one_tank(FRONT_L);
    halves->rig.vessel[0].capacity = FRONT_L;
    camp_vessel(halves, "rear", LW_SUPPLY_FRESH, TANK_L - FRONT_L, TANK_L - FRONT_L);
    camp c = camp_prepare(halves, 1);
    lw_reading r[DAYS];
    const int count = thirds(whole, TANK_L, TRUTH, r);
    double density[GRID], at[GRID];
    for (int i = 0; i < GRID; i++) {
        const double z = -4.0 + 8.0 * (i + 0.5) / GRID;
        at[i] = exp(SD * z);
        density[i] = exp(-0.5 * z * z) * likelihood(r, count, TANK_L, at[i], whole);
    }
    for (int i = 0; i < count; i++)
        r[i].also = 1u << 1;
    const lw_learn_in in = one_group(&c, r, count);
    learned l = learn_run(&in);
    const double width = grid_quantile(density, at, GRID, 0.9) - grid_quantile(density, at, GRID, 0.1);
    static const double SHARES[] = {0.1, 0.5, 0.9};
    for (int q = 0; q < LW_QUANTILES; q++)
        CHECK_NEAR(l.out.factor[LW_GROUP_DISHES].now[q], grid_quantile(density, at, GRID, SHARES[q]),
                   0.06 * width + 0.02, "quantile %d", q);
    learn_end(&l);
    camp_free(&c);
    free(whole);
}

/* Start and factor both unknown: marginals of a grid of 200 x 200. */
static void start_and_factor_are_those_of_a_grid(void **state)
{
    (void)state;
    enum { SIDE = 200 };
    const double start_sd = 30.0, stated = 80.0;
    static double factor[SIDE], start[SIDE], of_factor[SIDE], of_now[2 * SIDE], now[2 * SIDE];
    lw_scenario *s = one_tank(stated);
    camp c = camp_prepare(s, 1);
    lw_reading r[DAYS];
    const int count = thirds(s, 95.0, 1.2, r);
    lw_learn_in in = one_group(&c, r, count);
    in.start_sd[0] = start_sd;
    learned l = learn_run(&in);
    for (int i = 0; i < 2 * SIDE; i++)
        now[i] = TANK_L * (i + 0.5) / (2 * SIDE), of_now[i] = 0.0;
    for (int i = 0; i < SIDE; i++) {
        const double z = -4.0 + 8.0 * (i + 0.5) / SIDE;
        factor[i] = exp(SD * z);
        of_factor[i] = 0.0;
        for (int k = 0; k < SIDE; k++) {
            start[k] = TANK_L * (k + 0.5) / SIDE;
            const double y = (start[k] - stated) / start_sd;
            const double p = exp(-0.5 * z * z - 0.5 * y * y) * likelihood(r, count, start[k], factor[i], s);
            const double left = fmax(start[k] - factor[i] * A_DAY_L * DAYS, 0.0);
            of_factor[i] += p;
            of_now[(int)(left / TANK_L * (2 * SIDE))] += p;
        }
    }
    static const double SHARES[] = {0.1, 0.5, 0.9};
    for (int q = 0; q < LW_QUANTILES; q++) {
        CHECK_NEAR(l.out.factor[LW_GROUP_DISHES].now[q], grid_quantile(of_factor, factor, SIDE, SHARES[q]), 0.06,
                   "factor, quantile %d", q);
        CHECK_NEAR(l.out.level[0][q], grid_quantile(of_now, now, 2 * SIDE, SHARES[q]), 2.0, "level, quantile %d", q);
    }
    assert_true(l.out.tie[0].correlation > 0.3); /* more at the start, more used */
    learn_end(&l);
    camp_free(&c);
}

/* ------------------------------------------------------------------ laws */

/* The whole camp, its own spreads; readings of its tanks, gas and battery at this truth. */
static lw_learn_in whole_camp(const camp *c, const lw_reading *reading, int count)
{
    lw_learn_in in = one_group(c, reading, count);
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        in.spread.household[g] = 0.3, in.spread.day[g] = g == LW_GROUP_HEAT ? 0.0 : 0.3;
    in.draws = 400;
    return in;
}

/* Normal deviates of 400 draws: a median within four standard errors, 4 x 0.3 x 1.2533 / 20. */
static void without_readings_the_prior_stays(void **state)
{
    (void)state;
    camp c = camp_prepare(camp_new(DAYS), 1);
    const lw_learn_in in = whole_camp(&c, NULL, 0);
    learned l = learn_run(&in);
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        const lw_learned_factor *f = &l.out.factor[g];
        CHECK_NEAR(f->prior[2], exp(1.2816 * 0.3), 1e-3, "prior");
        for (int q = 0; q < LW_QUANTILES; q++)
            CHECK_NEAR(log(f->now[q]), log(f->prior[q]), 0.11, "group %d, quantile %d", g, q);
        assert_int_equal(f->is_read, 0);
    }
    CHECK_NEAR(l.out.effective, in.draws, 1e-9, "every draw counts");
    CHECK_NEAR(l.out.log_evidence, 0.0, 1e-12, "nothing read");
    assert_int_equal(l.out.powers, 0);
    learn_end(&l);
    camp_free(&c);
}

static void a_reading_at_the_start_leaves_factors_as_they_were(void **state)
{
    (void)state;
    camp c = camp_prepare(one_tank(80.0), 1), d = camp_prepare(one_tank(80.0), 1);
    const lw_reading r = {.at_s = c.scenario->calendar.start_s, .low = 40.0, .high = 80.0, .lie_frac = 0.03};
    lw_learn_in in = one_group(&c, &r, 1);
    learned known = learn_run(&in);
    CHECK_NEAR(known.out.effective, in.draws, 1e-9, "a known start: nothing to learn");
    learn_end(&known);
    in.start_sd[0] = 30.0;
    learned l = learn_run(&in);
    for (int q = 0; q < LW_QUANTILES; q++)
        CHECK_NEAR(log(l.out.factor[LW_GROUP_DISHES].now[q]), log(l.out.factor[LW_GROUP_DISHES].prior[q]), 0.05,
                   "quantile %d", q);
    learn_end(&l);
    camp_free(&c), camp_free(&d);
}

static double width_of(const double q[LW_QUANTILES])
{
    return q[2] - q[0];
}

/* A dipstick narrows what is left, and the factor, to its own width. */
static void an_exact_reading_narrows(void **state)
{
    (void)state;
    camp c = camp_prepare(one_tank(TANK_L), 1);
    const lw_reading r = {
        .at_s = c.scenario->calendar.start_s + (int64_t)DAYS * 86400, .low = 41.0, .high = 43.0, .lie_frac = 0.02};
    lw_learn_in in = one_group(&c, &r, 1);
    learned l = learn_run(&in);
    CHECK_NEAR(l.out.level[0][1], 42.0, 1.5, "level now");
    assert_true(width_of(l.out.level[0]) < 6.0);
    CHECK_NEAR(l.out.factor[LW_GROUP_DISHES].now[1], 78.0 / 60.0, 0.04, "factor");
    const double *lie_frac = l.out.lie_frac;
    assert_true(lie_frac && lie_frac[0] < 0.1);
    assert_int_equal(l.out.factor[LW_GROUP_DISHES].is_read, 1);
    learn_end(&l);
    camp_free(&c);
}

/* Fresh is stuck at full while grey fills: the gauge is named, and the factor is what grey alone says. */
static void a_stuck_gauge_is_named_and_moves_nothing(void **state)
{
    (void)state;
    lw_reading r[2 * DAYS], grey[DAYS];
    lw_scenario *s = one_tank(TANK_L);
    camp_vessel(s, "grey", LW_SUPPLY_GREY, 90.0, 0.0);
    s->crew.use[0].effect[1] = (lw_effect){.kind = LW_EFFECT_SUPPLY, .at = LW_SUPPLY_GREY, .amount = 1.0};
    camp c = camp_prepare(s, 1);
    for (int i = 0, at = 0; i < DAYS; i++) {
        const int64_t at_s = s->calendar.start_s + (int64_t)(i + 1) * 86400;
        grey[i] = learn_camp_thirds(at_s, 1, 90.0, 1.2 * A_DAY_L * (i + 1), 0);
        r[at++] = learn_camp_thirds(at_s, 0, TANK_L, TANK_L, 0);
        r[at++] = grey[i];
    }
    const lw_learn_in with = one_group(&c, r, 2 * DAYS), without = one_group(&c, grey, DAYS);
    learned a = learn_run(&with), b = learn_run(&without);
    assert_int_equal(a.out.gauge[0].is_stuck, 1);
    assert_int_equal(a.out.gauge[1].is_stuck, 0);
    assert_int_equal(a.out.gauge[0].readings, DAYS);
    const double *lie_frac = a.out.lie_frac;
    for (int i = 0; i < 2 * DAYS; i++)
        assert_true(lie_frac && (i % 2 == 0 ? lie_frac[i] > 0.5 : lie_frac[i] < 0.3));
    for (int q = 0; q < LW_QUANTILES; q++)
        CHECK_NEAR(a.out.factor[LW_GROUP_DISHES].now[q], b.out.factor[LW_GROUP_DISHES].now[q], 0.05, "quantile %d", q);
    learn_end(&a), learn_end(&b);
    camp_free(&c);
}

static void the_same_seed_gives_the_same_bytes(void **state)
{
    (void)state;
    camp c = camp_prepare(one_tank(TANK_L), 1);
    lw_reading r[DAYS];
    const int count = thirds(c.scenario, TANK_L, 1.4, r);
    lw_learn_in in = one_group(&c, r, count);
    in.draws = 200;
    in.start_sd[0] = 10.0;
    learned a = learn_run(&in), b = learn_run(&in);
    assert_memory_equal(a.out.draw, b.out.draw, in.draws * sizeof *a.out.draw);
    in.seed++;
    learned other = learn_run(&in);
    assert_memory_not_equal(a.out.draw, other.out.draw, in.draws * sizeof *a.out.draw);
    assert_true(a.out.effective > 150.0 && a.out.effective <= 200.0 + 1e-9);
    learn_end(&a), learn_end(&b), learn_end(&other);
    camp_free(&c);
}

/* A dump that was only said to be one: what stayed in is found out by the next reading. */
static void what_a_dump_left_in_is_learned(void **state)
{
    (void)state;
    lw_scenario *s = learn_camp_bare(DAYS);
    camp_vessel(s, "grey", LW_SUPPLY_GREY, 90.0, 80.0);
    lw_use *u = learn_camp_use(s, "dishes", LW_GROUP_DISHES, 1.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_GREY, 1.0);
    s->transfer[s->transfer_count++] =
        (lw_transfer){.at_s = s->calendar.start_s + 86400, .vessel = 0, .kind = LW_TRANSFER_EMPTY};
    camp c = camp_prepare(s, 1);
    const lw_reading r = {
        .at_s = s->calendar.start_s + (int64_t)2 * 86400, .low = 28.0, .high = 32.0, .lie_frac = 0.02};
    lw_learn_in in = one_group(&c, &r, 1);
    in.transfer_sd[0] = 20.0;
    learned l = learn_run(&in);
    CHECK_NEAR(l.out.level[0][1], 34.0, 2.0, "30 then, a litre a day since");
    learn_end(&l);
    camp_free(&c);
}

/* Gas on a scale and a battery at rest go through the engine. The truth is a rig that leaks half as much heat again. */
static void gas_and_battery_are_learned_by_the_engine(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(DAYS);
    camp_weather(s, 9.0, 5.0, 0.7);
    camp c = camp_prepare(s, 1);
    lw_fault fault = {0};
    const int64_t at_s[] = {s->calendar.start_s + (int64_t)4 * 86400};
    const lw_past_in past_in = {.context = c.context, .at_s = at_s, .at_count = 1};
    lw_arena arena = {.cap = lw_past_bytes(&past_in)};
    arena.base = malloc(arena.cap);
    void *scratch = malloc(lw_past_scratch_bytes(c.context));
    lw_past *past;
    lw_past_draw draw;
    lw_state truth;
    assert_true(arena.base && scratch);
    assert_int_equal(lw_past_prepare(&past_in, &arena, &past, &fault), LW_OK);
    lw_past_begin(past, scratch);
    lw_past_plain(past, &draw);
    for (int d = 0; d < LW_DAYS + 2; d++)
        draw.factor[d][LW_GROUP_HEAT] = 1.4f;
    lw_past_run(past, &draw, 1, scratch, &truth);
    const double frac = lw_state_battery_frac(c.context, &truth);
    lw_reading r[3];
    for (int v = 5; v <= 6; v++)
        r[v - 5] = (lw_reading){
            .at_s = at_s[0], .vessel = v, .low = truth.level[v] - 0.1, .high = truth.level[v] + 0.1, .lie_frac = 0.02};
    r[2] = (lw_reading){
        .at_s = at_s[0], .vessel = LW_READ_BATTERY, .low = frac - 0.1, .high = frac + 0.1, .lie_frac = 0.02};
    lw_learn_in in = whole_camp(&c, r, 3);
    in.now_s = at_s[0];
    in.draws = 60;
    in.battery_sd_frac = 0.1;
    learned l = learn_run(&in);
    const double *factor = l.out.factor[LW_GROUP_HEAT].now;
    if (!(factor[0] < 1.4 && factor[2] > 1.4 && factor[1] > 1.2))
        fail_msg("factor of heat %.2f %.2f %.2f, want about 1.4", factor[0], factor[1], factor[2]);
    CHECK_NEAR(l.out.battery_frac[1], frac, 0.1, "battery");
    assert_int_equal(l.out.gauge[LW_VESSELS].readings, 1);
    learn_end(&l);
    free(arena.base), free(scratch);
    camp_free(&c);
}

/* ------------------------------------------------------------------ what is said of it */

/* From a day on the household uses three times as much: said, and about when. Forgotten from then on, the factor is the new
 * one. */
static void changed_habits_are_noticed_and_can_be_forgotten(void **state)
{
    (void)state;
    enum { LONG = 12, CHANGE = 6 };
    lw_scenario *s = learn_camp_bare(LONG);
    camp_vessel(s, "fresh", LW_SUPPLY_FRESH, TANK_L, TANK_L);
    lw_use *u = learn_camp_use(s, "dishes", LW_GROUP_DISHES, 5.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -1.0);
    camp_effect(u, LW_EFFECT_GONE_L, 0, 1.0);
    camp c = camp_prepare(s, 1);
    lw_reading r[LONG];
    for (int i = 0; i < LONG; i++) {
        const double day = i + 1.0, level = TANK_L - 5.0 * fmin(day, CHANGE) - 14.0 * fmax(day - CHANGE, 0.0);
        r[i] = (lw_reading){.at_s = s->calendar.start_s + (int64_t)(i + 1) * 86400,
                            .low = fmax(level, 0.0) - 3.0,
                            .high = fmax(level, 0.0) + 3.0,
                            .lie_frac = 0.03};
    }
    lw_learn_in in = one_group(&c, r, LONG);
    in.now_s = s->calendar.start_s + (int64_t)LONG * 86400;
    in.draws = 300;
    in.spread.day[LW_GROUP_DISHES] = 0.3;
    in.asks = 1;
    learned l = learn_run(&in);
    assert_int_equal(l.out.doubt, LW_DOUBT_HABITS);
    CHECK_NEAR((double)(l.out.since_s - s->calendar.start_s) / 86400.0, CHANGE, 3.0, "since");
    learn_end(&l);
    in.forget_before_s = s->calendar.start_s + (int64_t)CHANGE * 86400;
    l = learn_run(&in);
    CHECK_NEAR(log(l.out.factor[LW_GROUP_DISHES].now[1]), log(14.0 / 5.0), 0.25, "factor now");
    assert_int_equal(l.out.doubt, LW_DOUBT_NONE);
    learn_end(&l);
    camp_free(&c);
}

/* Level and use unknown, one reading of thirds: a metered fill would settle it, and reading the tank helps it most. */
static void what_cannot_be_told_apart_is_said(void **state)
{
    (void)state;
    lw_scenario *s = one_tank(80.0);
    camp_vessel(s, "bottles", LW_SUPPLY_DRINKING, 20.0, 20.0);
    lw_use *u = learn_camp_use(s, "drinking", LW_GROUP_DRINKING, 2.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_DRINKING, -1.0);
    camp_effect(u, LW_EFFECT_GONE_L, 0, 1.0);
    camp c = camp_prepare(s, 1);
    const lw_reading r = {
        .at_s = s->calendar.start_s + (int64_t)DAYS * 86400, .low = 28.0, .high = 32.0, .lie_frac = 0.02};
    lw_learn_in in = one_group(&c, &r, 1);
    in.spread.household[LW_GROUP_DRINKING] = 0.2;
    in.start_sd[0] = 30.0;
    learned l = learn_run(&in);
    assert_int_equal(l.out.tie[0].is_tied, 1);
    assert_true(l.out.tie[0].correlation > 0.7);
    assert_int_equal(l.out.help[LW_SUPPLY_DRINKING].vessel, 1);
    assert_true(l.out.help[LW_SUPPLY_DRINKING].narrows_frac > 0.5);
    assert_int_equal(l.out.help[LW_SUPPLY_BATTERY].vessel, -1);
    in.start_sd[0] = 0.0;
    learned known = learn_run(&in);
    assert_int_equal(known.out.tie[0].is_tied, 0);
    learn_end(&l), learn_end(&known);
    camp_free(&c);
}

/* An outlook that goes on from the draws: without days of its own each ends at its level over its use. */
static void an_outlook_goes_on_from_the_draws(void **state)
{
    (void)state;
    enum { STARTS = 3, ENDS = 6 };
    static const double FACTOR[STARTS] = {0.5, 1.0, 2.0}, LEVEL[STARTS] = {40.0, 60.0, 50.0};
    camp c = camp_prepare(one_tank(TANK_L), 1);
    lw_fault fault = {0};
    lw_draw_start start[STARTS];
    for (int i = 0; i < STARTS; i++) {
        lw_state_start(c.context, &start[i].state);
        start[i].state.level[0] = LEVEL[i];
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            start[i].household[g] = g == LW_GROUP_DISHES ? FACTOR[i] : 1.0;
    }
    const lw_ensemble_in in = {.context = c.context, .seed = 3, .start = start, .start_count = STARTS};
    lw_arena arena = {.cap = lw_ensemble_bytes(c.context)};
    lw_ensemble *e;
    arena.base = malloc(arena.cap);
    void *scratch = malloc(lw_ensemble_scratch_bytes(c.context));
    lw_draw_row row[ENDS];
    lw_draw_sums *sums = calloc(1, sizeof *sums);
    lw_outlook *out = malloc(sizeof *out);
    float memory[ENDS];
    assert_true(arena.base && scratch && sums && out);
    assert_int_equal(lw_ensemble_prepare(&in, &arena, &e, &fault), LW_OK);
    lw_outlook_make(c.context, out, NULL, NULL);
    lw_ensemble_part(e, 0, ENDS, scratch, row, sums);
    lw_ensemble_finish(e, row, ENDS, sums, memory, out);
    for (int i = 0; i < ENDS; i++) {
        const double days = LEVEL[i % STARTS] / (FACTOR[i % STARTS] * A_DAY_L);
        if (days < DAYS)
            CHECK_NEAR((double)row[i].end_h[LW_SUPPLY_FRESH], 24.0 * days, 1e-3, "draw %d", i);
        else
            assert_true(isinf(row[i].end_h[LW_SUPPLY_FRESH]));
    }
    static const double WANT[LW_QUANTILES] = {40.0, 50.0, 60.0};
    for (int q = 0; q < LW_QUANTILES; q++)
        CHECK_NEAR(out->leeway[LW_SUPPLY_FRESH].start[q], WANT[q], 1e-4, "level at the start, quantile %d", q);
    free(arena.base), free(scratch), free(sums), free(out);
    camp_free(&c);
}

/* ------------------------------------------------------------------ volts at rest, refusals */

/* The curves are core/power/battery_spec.c's (a maker's rest voltages); that a flat curve says little is the point. */
static void volts_at_rest_are_an_interval(void **state)
{
    (void)state;
    lw_fault fault = {0};
    double low, high, wide_low, wide_high;
    const lw_battery_spec agm = lw_battery_typical(LW_CHEMISTRY_AGM, 200.0, 12.0);
    const lw_battery_spec lfp = lw_battery_typical(LW_CHEMISTRY_LFP, 200.0, 12.0);
    lw_battery b;
    lw_battery_prepare(&agm, &b);
    const double half_v = lw_battery_ocv_v(&b, lw_battery_soc_ah(&b, 0.5));
    assert_int_equal(lw_rest_says(&agm, half_v - 0.05, half_v + 0.05, 1, &low, &high, &fault), LW_OK);
    assert_true(low < 0.5 && high > 0.5 && high - low < 0.35);
    lw_battery_prepare(&lfp, &b);
    const double flat_v = lw_battery_ocv_v(&b, lw_battery_soc_ah(&b, 0.5));
    assert_int_equal(lw_rest_says(&lfp, flat_v - 0.05, flat_v + 0.05, 1, &wide_low, &wide_high, &fault), LW_OK);
    assert_true(wide_low < 0.5 && wide_high > 0.5 && wide_high - wide_low > high - low);
    assert_int_equal(lw_rest_says(&agm, 15.0, 15.1, 1, &low, &high, &fault), LW_OK);
    assert_true(isinf(high));
    const lw_battery_spec twice = lw_battery_typical(LW_CHEMISTRY_AGM, 100.0, 24.0);
    double low_24, high_24;
    assert_int_equal(lw_rest_says(&agm, half_v, half_v + 0.1, 1, &low, &high, &fault), LW_OK);
    assert_int_equal(lw_rest_says(&twice, 2.0 * half_v, 2.0 * half_v + 0.2, 1, &low_24, &high_24, &fault), LW_OK);
    CHECK_NEAR(low_24, low, 1e-9, "24 V");
    CHECK_NEAR(high_24, high, 1e-9, "24 V");
    assert_int_equal(lw_rest_says(&agm, 12.4, 12.5, 0, &low, &high, &fault), LW_E_CONFLICT);
    assert_int_equal(lw_rest_says(&agm, NAN, 12.5, 1, &low, &high, &fault), LW_E_RANGE);
    assert_int_equal(lw_rest_says(&agm, 124.0, 125.0, 1, &low, &high, &fault), LW_E_RANGE);
}

static void refuse(const lw_learn_in *in, const char *field)
{
    lw_fault fault = {0};
    assert_int_equal(lw_learn_check(in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, field);
}

static void what_cannot_be_learned_from_is_refused(void **state)
{
    (void)state;
    camp c = camp_prepare(one_tank(TANK_L), 1);
    lw_reading r[2] = {{.at_s = c.scenario->calendar.start_s + 7200, .low = 1.0, .high = 2.0, .lie_frac = 0.03},
                       {.at_s = c.scenario->calendar.start_s + 3600, .low = 1.0, .high = 2.0, .lie_frac = 0.03}};
    lw_learn_in in = one_group(&c, r, 2);
    refuse(&in, "reading at_s");
    r[1] = r[0];
    r[1].vessel = 1;
    refuse(&in, "reading vessel");
    r[1] = r[0];
    r[1].also = 1u << 3; /* there is no such vessel */
    refuse(&in, "reading also");
    r[1] = r[0];
    r[1].high = 0.5;
    refuse(&in, "reading high");
    r[1] = r[0];
    r[1].lie_frac = 0.0;
    refuse(&in, "reading lie_frac");
    r[1] = r[0];
    in.start_sd[0] = NAN;
    refuse(&in, "start_sd");
    in.start_sd[0] = 0.0;
    in.draws = 1;
    refuse(&in, "draws");
    in.draws = 100;
    lw_fault fault = {0};
    lw_learned out;
    lw_arena arena = {.cap = 1000};
    arena.base = malloc(arena.cap);
    assert_non_null(arena.base);
    assert_int_equal(lw_learn(&in, &arena, &out, &fault), LW_E_FULL);
    free(arena.base);
    camp_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(factors_are_those_of_a_grid),
        cmocka_unit_test(a_sum_of_two_tanks_tells_what_one_tank_would),
        cmocka_unit_test(start_and_factor_are_those_of_a_grid),
        cmocka_unit_test(without_readings_the_prior_stays),
        cmocka_unit_test(a_reading_at_the_start_leaves_factors_as_they_were),
        cmocka_unit_test(an_exact_reading_narrows),
        cmocka_unit_test(a_stuck_gauge_is_named_and_moves_nothing),
        cmocka_unit_test(the_same_seed_gives_the_same_bytes),
        cmocka_unit_test(what_a_dump_left_in_is_learned),
        cmocka_unit_test(gas_and_battery_are_learned_by_the_engine),
        cmocka_unit_test(changed_habits_are_noticed_and_can_be_forgotten),
        cmocka_unit_test(what_cannot_be_told_apart_is_said),
        cmocka_unit_test(an_outlook_goes_on_from_the_draws),
        cmocka_unit_test(volts_at_rest_are_an_interval),
        cmocka_unit_test(what_cannot_be_learned_from_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
