/* What a household does not know of its own rig, learned with the rest: against grids that are worked out plainly, and what one
 * metered fill settles. */
#include "tests/core/learn_camp.h"

#include "core/base/random.h"

enum { DAYS = 6, SIDE = 240 };

static const double TANK_L = 120.0, A_DAY_L = 10.0, USE_SD = 0.35, CAPACITY_SD = 0.25;
static const double SHARES[LW_QUANTILES] = {0.1, 0.5, 0.9};

/* One tank that is full to begin with, one group, no days of its own. */
static lw_scenario *one_tank(void)
{
    lw_scenario *s = learn_camp_bare(DAYS);
    camp_vessel(s, "fresh", LW_SUPPLY_FRESH, TANK_L, TANK_L);
    lw_use *u = learn_camp_use(s, "dishes", LW_GROUP_DISHES, A_DAY_L);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -1.0);
    camp_effect(u, LW_EFFECT_GONE_L, 0, 1.0);
    return s;
}

static lw_learn_in in_of(const camp *c, const lw_reading *reading, int count)
{
    lw_learn_in in = {.past = c->context,
                      .now_s = c->scenario->calendar.start_s + (int64_t)DAYS * 86400,
                      .reading = reading,
                      .reading_count = count,
                      .draws = 2000,
                      .seed = 5};
    in.spread.household[LW_GROUP_DISHES] = USE_SD;
    in.capacity_sd[0] = CAPACITY_SD;
    in.is_start_share[0] = 1;
    return in;
}

/* Lamps at thirds of what the tank really holds, written in shares of what was stated. */
static int thirds(const lw_scenario *s, double holds, double factor, double bias, lw_reading *r)
{
    for (int i = 0; i < DAYS; i++) {
        const double share = (holds - factor * A_DAY_L * (i + 1)) / holds + bias;
        r[i] = learn_camp_thirds(s->calendar.start_s + (int64_t)(i + 1) * 86400, 0, TANK_L, share * TANK_L, 0);
        r[i].what = LW_READ_GAUGE;
    }
    return DAYS;
}

/* As core/learn/learn.h states it, of shares, written anew. */
static double likelihood(const lw_reading *r, int count, double frac, double factor, double bias)
{
    double works = 1.0, stuck = 1.0;
    for (int i = 0; i < count; i++) {
        const double level = fmax(TANK_L - factor * A_DAY_L * (i + 1) / frac, 0.0) + bias * TANK_L;
        const double beside = fmax(fmax(r[i].low - level, level - r[i].high), 0.0) / (0.01 * TANK_L);
        const double width = fmax((fmin(r[i].high, TANK_L) - fmax(r[i].low, 0.0)) / TANK_L, 0.02);
        const int is_same = i > 0 && !(r[i].low < r[i - 1].low) && !(r[i].low > r[i - 1].low);
        works *= (1.0 - r[i].lie_frac) * fmax(1.0 - beside, 0.0) + r[i].lie_frac * width;
        stuck *= i == 0 ? width : 0.8 * is_same + 0.2 * width;
    }
    return 0.97 * works + 0.03 * stuck;
}

static double quantile(const double *density, const double *at, double share)
{
    double all = 0.0, sum = 0.0;
    for (int i = 0; i < SIDE; i++)
        all += density[i];
    for (int i = 0; i < SIDE; i++)
        if ((sum += density[i]) >= share * all)
            return at[i];
    return at[SIDE - 1];
}

/* Of lamps alone only use over capacity is seen: a grid of both, and what is said of it. */
static void capacity_and_use_are_those_of_a_grid(void **state)
{
    (void)state;
    static double of_use[SIDE], of_capacity[SIDE], use[SIDE], capacity[SIDE];
    camp c = camp_prepare(one_tank(), 1);
    lw_reading r[DAYS];
    const int count = thirds(c.scenario, 0.8 * TANK_L, 1.1, 0.0, r);
    const lw_learn_in in = in_of(&c, r, count);
    learned l = learn_run(&in);
    memset(of_use, 0, sizeof of_use), memset(of_capacity, 0, sizeof of_capacity);
    for (int i = 0; i < SIDE; i++)
        for (int k = 0; k < SIDE; k++) {
            const double x = -4.0 + 8.0 * (i + 0.5) / SIDE, y = -4.0 + 8.0 * (k + 0.5) / SIDE;
            use[i] = exp(USE_SD * x), capacity[k] = exp(CAPACITY_SD * y);
            const double p = exp(-0.5 * x * x - 0.5 * y * y) * likelihood(r, count, capacity[k], use[i], 0.0);
            of_use[i] += p, of_capacity[k] += p;
        }
    /* 0.05: four standard errors of a quantile of 2000 draws of this width. */
    for (int q = 0; q < LW_QUANTILES; q++) {
        CHECK_NEAR(l.out.factor[LW_GROUP_DISHES].now[q], quantile(of_use, use, SHARES[q]), 0.05, "use, quantile %d", q);
        CHECK_NEAR(l.out.capacity_frac[0][q], quantile(of_capacity, capacity, SHARES[q]), 0.05, "capacity, quantile %d",
                   q);
    }
    assert_true(l.out.tie[0].is_tied && l.out.tie[0].correlation > 0.8);
    assert_int_equal((int)l.out.tie[0].a, LW_LEARNED_USE);
    assert_int_equal((int)l.out.tie[0].b, LW_LEARNED_CAPACITY);
    learn_end(&l);
    camp_free(&c);
}

/* The same tank, filled to the brim at the end with a meter: what went in is what was used, so both are known. */
static void one_metered_fill_settles_it(void **state)
{
    (void)state;
    const double factor = 1.1, used_l = factor * A_DAY_L * DAYS;
    lw_scenario *s = one_tank();
    const int64_t fill_s = s->calendar.start_s + (int64_t)DAYS * 86400;
    s->transfer[s->transfer_count++] = (lw_transfer){.at_s = fill_s, .vessel = 0, .kind = LW_TRANSFER_FILL};
    camp c = camp_prepare(s, 1);
    lw_reading r[DAYS + 1];
    /* The lamps of the last day are looked at before the fill. */
    int count = thirds(s, 0.8 * TANK_L, factor, 0.0, r);
    r[count - 1].at_s = fill_s - 1;
    r[count++] = (lw_reading){.at_s = fill_s - 1,
                              .vessel = 0,
                              .low = 0.98 * used_l,
                              .high = 1.02 * used_l,
                              .lie_frac = 0.02,
                              .what = LW_READ_ROOM};
    const lw_learn_in in = in_of(&c, r, count);
    learned l = learn_run(&in);
    CHECK_NEAR(l.out.factor[LW_GROUP_DISHES].now[1], factor, 0.03, "use");
    assert_true(l.out.factor[LW_GROUP_DISHES].now[2] - l.out.factor[LW_GROUP_DISHES].now[0] < 0.1);
    assert_true(l.out.capacity_frac[0][0] < 0.8 && l.out.capacity_frac[0][2] > 0.8);
    assert_true(l.out.capacity_frac[0][2] - l.out.capacity_frac[0][0] < 0.3);
    assert_false(l.out.tie[0].is_tied);
    /* Full, whatever it holds. */
    for (uint32_t i = 0; i < l.out.draws; i++)
        CHECK_NEAR(l.out.draw[i].state.level[0], TANK_L * (double)l.out.capacity[i][0], 1e-4, "draw %u", i);
    learn_end(&l);
    camp_free(&c);
}

/* Use and capacity are sure, the gauge shows a tenth of the tank too much. */
static void a_gauge_that_shows_too_much_is_learned(void **state)
{
    (void)state;
    static double density[SIDE], at[SIDE];
    camp c = camp_prepare(one_tank(), 1);
    lw_reading r[DAYS];
    const int count = thirds(c.scenario, TANK_L, 1.0, 0.1, r);
    lw_learn_in in = in_of(&c, r, count);
    in.spread.household[LW_GROUP_DISHES] = in.capacity_sd[0] = 0.0;
    in.bias_sd[0] = 0.08;
    learned l = learn_run(&in);
    for (int i = 0; i < SIDE; i++) {
        const double z = -4.0 + 8.0 * (i + 0.5) / SIDE;
        at[i] = in.bias_sd[0] * z;
        density[i] = exp(-0.5 * z * z) * likelihood(r, count, 1.0, 1.0, at[i]);
    }
    for (int q = 0; q < LW_QUANTILES; q++)
        CHECK_NEAR(l.out.bias[0][q], quantile(density, at, SHARES[q]), 0.008, "bias, quantile %d", q);
    assert_true(l.out.bias[0][0] > 0.0);
    CHECK_NEAR(l.out.level[0][1], 60.0, 0.01, "the level is known all the same");
    learn_end(&l);
    camp_free(&c);
}

/* A tank that keeps three times as much as was thought, after each of two dumps. */
static void what_always_stays_in_is_learned(void **state)
{
    (void)state;
    lw_scenario *s = learn_camp_bare(DAYS);
    lw_vessel *grey = camp_vessel(s, "grey", LW_SUPPLY_GREY, 90.0, 50.0);
    grey->residue = 5.0;
    lw_use *u = learn_camp_use(s, "dishes", LW_GROUP_DISHES, A_DAY_L);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_GREY, 1.0);
    lw_reading r[2];
    for (int i = 0; i < 2; i++) {
        const int64_t dump_s = s->calendar.start_s + (int64_t)(1 + 2 * i) * 86400;
        s->transfer[s->transfer_count++] = (lw_transfer){.at_s = dump_s, .vessel = 0, .kind = LW_TRANSFER_EMPTY};
        r[i] = (lw_reading){.at_s = dump_s + 86400, .low = 23.0, .high = 27.0, .lie_frac = 0.02};
    }
    camp c = camp_prepare(s, 1);
    lw_learn_in in = in_of(&c, r, 2);
    in.spread.household[LW_GROUP_DISHES] = in.capacity_sd[0] = 0.0;
    in.residue_sd[0] = 0.6;
    learned l = learn_run(&in);
    CHECK_NEAR(l.out.residue_frac[0][1], 3.0, 0.2, "15 l of 5");
    CHECK_NEAR(l.out.level[0][1], 15.0 + 3.0 * A_DAY_L, 1.5, "three days after the second dump");
    learn_end(&l);
    camp_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(capacity_and_use_are_those_of_a_grid),
        cmocka_unit_test(one_metered_fill_settles_it),
        cmocka_unit_test(a_gauge_that_shows_too_much_is_learned),
        cmocka_unit_test(what_always_stays_in_is_learned),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
