/* Many draws: that they are draws of what is stated, the same on any split, and that quantiles are quantiles. */
#include "tests/check.h"

#include "core/base/random.h"
#include "core/sim/ensemble.h"
#include "core/sky/weather_draw.h"
#include "tests/core/camp.h"

enum { FEW = 24, MANY = 1000 };

typedef struct run {
    camp camp;
    lw_arena arena;
    lw_ensemble *ensemble;
    lw_ensemble_in in;
    lw_weather_frame *frame;
    lw_draw_row *row;
    lw_draw_sums *sums;
    lw_outlook *out;
    void *scratch;
    uint64_t seed; /* 0: 7 */
} run;

/* The climate's weather in the camp: the normal of each hour, as the reader of scenarios puts it there. */
static void with_climate(run *r, lw_scenario *s)
{
    static lw_climate_site site;
    lw_fault fault = {0};
    const lw_climate_place place = {s->place.latitude_deg, s->place.longitude_deg, s->place.elevation_m};
    assert_int_equal(lw_climate_check(&place, &fault), LW_OK);
    lw_climate_site_make(&place, &site);
    r->frame = malloc(sizeof *r->frame);
    assert_non_null(r->frame);
    lw_weather_frame_make(&(lw_weather_frame_in){.site = &site,
                                                 .start_s = s->calendar.start_s,
                                                 .hours = s->calendar.hours,
                                                 .linke_turbidity = s->place.linke_turbidity},
                          r->frame);
    lw_weather_day day[LW_WEATHER_DAYS];
    lw_weather *w = &s->weather;
    lw_weather_normal_days(r->frame, day);
    lw_weather_hours(r->frame, day,
                     &(lw_weather_series){.air_c = w->air_c,
                                          .clear_frac = w->clear_frac,
                                          .wind_ms = w->wind_ms,
                                          .humidity_frac = w->humidity_frac,
                                          .precip_mm = w->precip_mm});
}

static lw_spread spread_of(double household, double day)
{
    lw_spread spread;
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        spread.household[g] = household, spread.day[g] = day;
    return spread;
}

static void begin_run(run *r, lw_scenario *s, lw_spread spread, uint32_t draws)
{
    lw_fault fault = {0};
    r->camp = camp_prepare(s, 1);
    r->in = (lw_ensemble_in){.context = r->camp.context,
                             .frame = r->frame,
                             .with_place_error = 1,
                             .spread = spread,
                             .seed = r->seed ? r->seed : 7};
    r->arena = (lw_arena){.cap = lw_ensemble_bytes(r->camp.context)};
    r->arena.base = malloc(r->arena.cap);
    r->scratch = malloc(lw_ensemble_scratch_bytes(r->camp.context));
    r->row = calloc(draws, sizeof *r->row);
    r->sums = calloc(1, sizeof *r->sums);
    r->out = malloc(sizeof *r->out);
    assert_true(r->arena.base && r->scratch && r->row && r->sums && r->out);
    assert_int_equal(lw_ensemble_prepare(&r->in, &r->arena, &r->ensemble, &fault), LW_OK);
    lw_outlook_make(r->camp.context, r->out, NULL, NULL);
}

static void finish_run(run *r, uint32_t draws)
{
    float *memory = calloc(draws, sizeof *memory);
    assert_non_null(memory);
    lw_ensemble_part(r->ensemble, 0, draws, r->scratch, r->row, r->sums);
    lw_ensemble_finish(r->ensemble, r->row, draws, r->sums, memory, r->out);
    free(memory);
}

static void end_run(run *r)
{
    free(r->arena.base), free(r->scratch), free(r->row), free(r->sums), free(r->out), free(r->frame);
    camp_free(&r->camp);
    *r = (run){.frame = NULL};
}

static void without_spread_every_draw_is_the_plain_course(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 8; seed++) {
        run r = {.frame = NULL};
        begin_run(&r, camp_random(12, seed), spread_of(0.0, 0.0), 3);
        lw_outlook *plain = malloc(sizeof *plain);
        assert_non_null(plain);
        *plain = *r.out;
        finish_run(&r, 3);
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            for (int q = 0; plain->leeway[k].is_present && q < LW_QUANTILES; q++) {
                assert_int_equal(r.out->leeway[k].q[q].beyond_horizon, plain->leeway[k].q[q].beyond_horizon);
                CHECK_NEAR(r.out->leeway[k].q[q].days, plain->leeway[k].q[q].days, 1e-5, "supply %d", k);
            }
        CHECK_NEAR(r.out->inside_low_c[1], plain->comfort.inside_low_c, 1e-4, "coldest");
        free(plain);
        end_run(&r);
    }
}

static void any_split_of_the_draws_gives_the_same_bytes(void **state)
{
    (void)state;
    run a = {.frame = NULL}, b = {.frame = NULL};
    lw_scenario *s = camp_new(10), *t = camp_new(10);
    with_climate(&a, s);
    with_climate(&b, t);
    begin_run(&a, s, spread_of(0.3, 0.3), FEW);
    begin_run(&b, t, spread_of(0.3, 0.3), FEW);
    lw_ensemble_part(a.ensemble, 0, FEW, a.scratch, a.row, a.sums);
    lw_ensemble_part(b.ensemble, 17, FEW - 17, b.scratch, b.row + 17, b.sums);
    memset(b.scratch, 0xa5, lw_ensemble_scratch_bytes(b.camp.context)); /* what it holds does not matter */
    lw_ensemble_part(b.ensemble, 5, 12, b.scratch, b.row + 5, b.sums);
    lw_ensemble_part(b.ensemble, 0, 5, b.scratch, b.row, b.sums);
    assert_memory_equal(a.row, b.row, FEW * sizeof *a.row);
    assert_memory_equal(a.sums, b.sums, sizeof *a.sums);
    end_run(&a), end_run(&b);
}

/* A tank drawn evenly and a household factor alone: it lasts T / f, so that P10 and P90 are T exp(-+1.2816 sd); normal deviate
 * of 0.9: 1.2816 (any table). Bar: three standard errors of a quantile of n draws, sqrt(p (1 - p) / n) / density. */
static void a_household_factor_spreads_a_leeway_as_arithmetic_says(void **state)
{
    (void)state;
    const double sd = 0.2;
    run r = {.frame = NULL};
    lw_scenario *s = camp_new(60);
    s->crew.use_count = 0;
    lw_use *u = camp_use(s, "drinking", LW_GROUP_DRINKING, LW_FIXTURE_KITCHEN, 1.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_DRINKING, -1.0);
    camp_effect(u, LW_EFFECT_GONE_L, 0, 1.0);
    for (int h = 0; h < 24; h++)
        u->weight[h] = 1.0 / 24.0;
    begin_run(&r, s, spread_of(sd, 0.0), MANY);
    const double median = r.out->leeway[LW_SUPPLY_DRINKING].q[1].days; /* 40 l at 2 l a day */
    CHECK_NEAR(median, 20.0, 1e-6, "plain course");
    finish_run(&r, MANY);
    const double se = sqrt(0.1 * 0.9 / MANY) / 0.1755; /* density of the normal at 1.2816 */
    const lw_leeway *l = &r.out->leeway[LW_SUPPLY_DRINKING];
    CHECK_NEAR(log(l->q[0].days / median), -1.2816 * sd, 3.0 * se * sd, "P10");
    CHECK_NEAR(log(l->q[2].days / median), 1.2816 * sd, 3.0 * se * sd, "P90");
    CHECK_NEAR(log(l->q[1].days / median), 0.0, 3.0 * sqrt(0.25 / MANY) / 0.3989 * sd, "P50");
    /* The chance of lasting 20 days is a half, and no later day's is greater. */
    CHECK_NEAR(r.out->lasts_frac[LW_SUPPLY_DRINKING][19], 0.5, 3.0 * sqrt(0.25 / MANY), "to day 20");
    for (int d = 1; d < r.out->day_count; d++)
        assert_true(r.out->lasts_frac[LW_SUPPLY_DRINKING][d] <= r.out->lasts_frac[LW_SUPPLY_DRINKING][d - 1]);
    end_run(&r);
}

static void in_each_draw_something_binds_and_bands_have_an_order(void **state)
{
    (void)state;
    run r = {.frame = NULL};
    lw_scenario *s = camp_new(30);
    s->rig.generator.is_present = 0;
    with_climate(&r, s);
    begin_run(&r, s, spread_of(0.25, 0.3), MANY);
    finish_run(&r, MANY);
    double binds = 0.0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const lw_leeway *l = &r.out->leeway[k];
        binds += l->binds_frac;
        if (l->is_present && !l->q[2].beyond_horizon && k != LW_SUPPLY_STAY)
            assert_true(l->q[0].days < l->q[1].days && l->q[1].days < l->q[2].days);
    }
    CHECK_NEAR(binds, 1.0, 1e-9, "something binds in each draw");
    for (int m = 1; m < 40; m++)
        assert_true(r.out->mark_low[LW_SUPPLY_FRESH][m] <= r.out->mark_high[LW_SUPPLY_FRESH][m]);
    end_run(&r);
}

static double share_of_use(run *r, int supply, uint32_t draws)
{
    lw_draw_ends *weather = calloc(draws, sizeof *weather), *use = calloc(draws, sizeof *use);
    float *memory = calloc(draws, sizeof *memory);
    assert_true(weather && use && memory);
    lw_ensemble_alone(r->ensemble, LW_DRAWN_WEATHER, 0, draws, r->scratch, weather);
    lw_ensemble_alone(r->ensemble, LW_DRAWN_USE, 0, draws, r->scratch, use);
    lw_ensemble_shares(r->ensemble, weather, use, draws, memory, r->out);
    free(weather), free(use), free(memory);
    return r->out->leeway[supply].spread_use_frac;
}

/* Water ends by use alone, whatever the weather; with nothing drawn in use, gas ends by the weather alone. */
static void the_share_of_use_is_what_use_alone_spreads(void **state)
{
    (void)state;
    run r = {.frame = NULL};
    lw_scenario *s = camp_new(30);
    with_climate(&r, s);
    begin_run(&r, s, spread_of(0.25, 0.3), 1);
    CHECK_NEAR(share_of_use(&r, LW_SUPPLY_DRINKING, 64), 1.0, 1e-12, "drinking");
    const double gas = r.out->leeway[LW_SUPPLY_PROPANE].spread_use_frac;
    assert_true(gas > 0.0 && gas < 1.0);
    assert_true(isnan(r.out->leeway[LW_SUPPLY_STAY].spread_use_frac));
    end_run(&r);
    s = camp_new(30);
    with_climate(&r, s);
    begin_run(&r, s, spread_of(0.0, 0.0), 1);
    CHECK_NEAR(share_of_use(&r, LW_SUPPLY_PROPANE, 64), 0.0, 1e-12, "gas without drawn use");
    assert_true(isnan(r.out->leeway[LW_SUPPLY_DRINKING].spread_use_frac));
    end_run(&r);
}

/* With both drawn, ends are those of the draws themselves when the other has no spread. */
static void a_draw_of_use_alone_is_the_draw_without_weather(void **state)
{
    (void)state;
    run r = {.frame = NULL};
    begin_run(&r, camp_random(12, 3), spread_of(0.3, 0.3), FEW);
    finish_run(&r, FEW);
    lw_draw_ends ends[FEW];
    lw_ensemble_alone(r.ensemble, LW_DRAWN_USE, 0, FEW, r.scratch, ends);
    for (int i = 0; i < FEW; i++)
        assert_memory_equal(ends[i].end_h, r.row[i].end_h, sizeof ends[i].end_h);
    end_run(&r);
}

/* Deciles of what is asked for rise, and without spread each is the plain course's sum. */
static void totals_are_those_of_the_own_course(void **state)
{
    (void)state;
    run r = {.frame = NULL};
    begin_run(&r, camp_random(12, 5), spread_of(0.0, 0.0), 3);
    const double *of = r.out->own_to_departure.of;
    const double kg = of[LW_FLOW_PROPANE_OUT] + of[LW_FLOW_PROPANE_SHORT], wh = of[LW_FLOW_SUN_PANELS];
    finish_run(&r, 3);
    assert_true(kg > 0.0 && wh > 0.0);
    for (int i = 0; i < LW_DECILES; i++) {
        CHECK_NEAR(r.out->propane_kg[i], kg, 1e-6 * kg, "gas");
        CHECK_NEAR(r.out->sun_wh[i], wh, 1e-6 * wh, "sun");
    }
    end_run(&r);
    begin_run(&r, camp_random(12, 5), spread_of(0.3, 0.3), FEW);
    finish_run(&r, FEW);
    assert_true(r.out->propane_kg[0] < kg && r.out->propane_kg[LW_DECILES - 1] > kg);
    end_run(&r);
}

/* ---- statistics: a few seconds here; with LEEWAY_SOAK set as tools/soak does, for minutes ---- */

static uint32_t many_or(uint32_t soak, uint32_t usual)
{
    return getenv("LEEWAY_SOAK") ? soak : usual;
}

/* Different households: the plain one, one in a cold month, one with a small bank, one that lives on little. */
static lw_scenario *camp_of(int which)
{
    lw_scenario *s = camp_new(30);
    s->rig.generator.is_present = which == 2;
    if (which == 1)
        s->calendar.start_s += (int64_t)180 * 86400;
    if (which == 1)
        for (int h = 0; h < s->calendar.hours; h++)
            s->calendar.civil_day[h] += 180;
    for (int v = 0; which == 3 && v < s->rig.vessel_count; v++)
        s->rig.vessel[v].level *= lw_supply_fills(s->rig.vessel[v].supply) ? 1.0 : 0.5;
    if (which == 2)
        s->rig.battery.capacity_ah *= 0.6;
    return s;
}

/* |F(q_p) - p| <= 3 sqrt(p (1 - p) / 1000), F by 100,000 draws. With fewer, their own sampling error comes on top. */
static void quantiles_of_a_thousand_hold(void **state)
{
    (void)state;
    static const double SHARES[] = {0.1, 0.5, 0.9};
    const uint32_t fresh = many_or(100000, 1000);
    int looked_at = 0;
    for (int which = 0; which < (int)many_or(4, 2); which++) {
        run r = {.frame = NULL};
        lw_scenario *s = camp_of(which);
        with_climate(&r, s);
        begin_run(&r, s, spread_of(0.25, 0.3), MANY + fresh);
        finish_run(&r, MANY);
        lw_ensemble_part(r.ensemble, MANY, fresh, r.scratch, r.row + MANY, r.sums);
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            for (int q = 0; r.out->leeway[k].is_present && k != LW_SUPPLY_STAY && q < LW_QUANTILES; q++) {
                const lw_quantile *at = &r.out->leeway[k].q[q];
                if (at->beyond_horizon)
                    continue;
                uint32_t below = 0;
                for (uint32_t i = MANY; i < MANY + fresh; i++)
                    below += r.row[i].end_h[k] <= (float)(at->days * 24.0);
                const double p = SHARES[q], own = fresh < 100000 ? 1.0 / fresh : 0.0;
                CHECK_NEAR((double)below / fresh, p, 3.0 * sqrt(p * (1.0 - p) * (1.0 / MANY + own)),
                           "camp %d, supply %d, P%g", which, k, 100.0 * p);
                looked_at++;
            }
        end_run(&r);
    }
    if (getenv("LEEWAY_SOAK"))
        print_message("%d quantiles of 1000 draws hold in %u others\n", looked_at, (unsigned)fresh);
    assert_true(looked_at > 45);
}

/* Where the truth is one more draw, its rank among the draws is evenly spread: chi-square of ten bins over
 * random camps, 27.9 is exceeded once in a thousand (9 degrees of freedom, any table). One truth a camp. */
static void a_truth_from_the_model_ranks_evenly(void **state)
{
    (void)state;
    enum { DRAWS = 99, BINS = 10 };
    const int camps = (int)many_or(1500, 40);
    int bin[LW_SUPPLY_COUNT][BINS] = {{0}}, count[LW_SUPPLY_COUNT] = {0}, supplies = 0;
    for (int c = 0; c < camps; c++) {
        run r = {.frame = NULL, .seed = 100 + (uint64_t)c}; /* the same deviates in all would miss alike in all */
        lw_scenario *s = camp_random(15, (uint64_t)c + 1);
        with_climate(&r, s);
        begin_run(&r, s, spread_of(0.3, 0.3), DRAWS + 1);
        lw_ensemble_part(r.ensemble, 0, DRAWS + 1, r.scratch, r.row, r.sums);
        for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
            const float truth = r.row[DRAWS].end_h[k];
            int below = 0, same = 0;
            for (int i = 0; i < DRAWS; i++)
                below += r.row[i].end_h[k] < truth,
                    same += !(r.row[i].end_h[k] < truth) && !(r.row[i].end_h[k] > truth);
            if (!r.out->leeway[k].is_present || same == DRAWS)
                continue;
            /* Past the horizon all are equal: among equals the truth's place is by chance, or late truths would be left out. */
            const lw_random_key key = {.seed = 99, .draw = (uint32_t)c};
            below += (int)(lw_random_unit(lw_random_block(&key, 1, k).word[0]) * (same + 1));
            bin[k][below * BINS / (DRAWS + 1)]++;
            count[k]++;
        }
        end_run(&r);
    }
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (count[k] < camps / 2)
            continue;
        double chi = 0.0;
        for (int b = 0; b < BINS; b++)
            chi += (bin[k][b] - 0.1 * count[k]) * (bin[k][b] - 0.1 * count[k]) / (0.1 * count[k]);
        if (getenv("LEEWAY_SOAK"))
            print_message("supply %d: %d truths, chi-square %.1f of 9 degrees\n", k, count[k], chi);
        assert_true(chi < 27.9);
        supplies++;
    }
    assert_true(supplies >= 4);
}

static void what_draws_cannot_be_made_of_is_refused(void **state)
{
    (void)state;
    lw_fault fault = {0};
    camp c = camp_prepare(camp_new(3), 2);
    lw_ensemble_in in = {.context = c.context, .spread = spread_of(0.1, 0.1)};
    assert_int_equal(lw_ensemble_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "steps_per_hour");
    camp_free(&c);
    c = camp_prepare(camp_new(3), 1);
    in.context = c.context;
    assert_int_equal(lw_ensemble_check(&in, &fault), LW_OK);
    in.spread.day[3] = NAN;
    assert_int_equal(lw_ensemble_check(&in, &fault), LW_E_RANGE);
    in.spread = spread_of(0.1, 0.1);
    unsigned char little[64];
    lw_arena arena = {.base = little, .cap = sizeof little};
    lw_ensemble *e;
    assert_int_equal(lw_ensemble_prepare(&in, &arena, &e, &fault), LW_E_FULL);
    camp_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_spread_every_draw_is_the_plain_course),
        cmocka_unit_test(any_split_of_the_draws_gives_the_same_bytes),
        cmocka_unit_test(a_household_factor_spreads_a_leeway_as_arithmetic_says),
        cmocka_unit_test(in_each_draw_something_binds_and_bands_have_an_order),
        cmocka_unit_test(the_share_of_use_is_what_use_alone_spreads),
        cmocka_unit_test(a_draw_of_use_alone_is_the_draw_without_weather),
        cmocka_unit_test(totals_are_those_of_the_own_course),
        cmocka_unit_test(quantiles_of_a_thousand_hold),
        cmocka_unit_test(a_truth_from_the_model_ranks_evenly),
        cmocka_unit_test(what_draws_cannot_be_made_of_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
