/* The whole way, for households whose true habits we know: they live by the engine, read their gauges as people do, log the
 * words into a book, and ask it. Does what the book says of the days left hold, and is it nearer than the table? A few of them
 * here; with LEEWAY_SOAK set, as tools/soak does, a hundred and twenty. */
#include "core/base/random.h"
#include "core/sim/past.h"
#include "exchange/spread.h"
#include "tests/service/learn_home.h"

enum { READINGS = 6, DAYS = 5, AHEAD_DAYS = 30, EVERY_H = 3, MARKS = AHEAD_DAYS * 24 / EVERY_H, TANKS = 3 };
enum { FEW = 3, FEW_UNSURE = 3, MANY = 120, DRAWS_FEW = 120, DRAWS_MANY = 500 };

static const int64_t HOUR_S = 3600, DAY_S = 86400, ARRIVAL_S = 1780952400; /* 2026-06-08 21:00 UTC */
static const char *const NAME[TANKS] = {"fresh", "grey", "black"};
static const lw_supply SUPPLY[TANKS] = {LW_SUPPLY_FRESH, LW_SUPPLY_GREY, LW_SUPPLY_BLACK};

typedef struct dice {
    lw_random_key key;
    int64_t at;
} dice;

static double roll(dice *d)
{
    return lw_random_unit(lw_random_block(&d->key, 0x434841, d->at++).word[0]);
}

static double between(dice *d, double low, double high)
{
    return low + (high - low) * roll(d);
}

/* What was true, and what the book and the table said. Days from the moment of asking; the horizon where it lasts longer. */
typedef struct found {
    double truth, low, middle, high, table;
} found;

/* Sizes a head as in tests/reference/learn_households.csv: common practice. Or nobody knows them. */
static void write_camp(dice *d, int is_unsure, char *text, size_t size)
{
    const int heads = 1 + (int)(4.0 * roll(d));
    if (is_unsure) {
        snprintf(text, size,
                 "leeway: 1\n"
                 "rig: {kind: class-c, tanks: {fresh: unknown, grey: unknown, black: unknown}}\n"
                 "crew: %d %s\n"
                 "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"
                 "stay: {arrive: 2026-06-08 15:00}\n"
                 "weather: {high: 84 F, low: 50 F}\n",
                 heads > 2 ? 2 : heads, heads == 1 ? "adult" : "adults");
        return;
    }
    snprintf(text, size,
             "leeway: 1\n"
             "rig: {kind: class-c, tanks: {fresh: %.0f L, grey: %.0f L, black: %.0f L}}\n"
             "crew: %d %s\n"
             "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"
             "stay: {arrive: 2026-06-08 15:00}\n"
             "weather: {high: 84 F, low: 50 F}\n",
             heads * between(d, 100.0, 250.0), heads * between(d, 70.0, 170.0), heads * between(d, 50.0, 120.0), heads,
             heads == 1 ? "adult" : "adults");
}

static int vessel_of(const lw_rig *rig, lw_supply supply)
{
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].supply == supply)
            return v;
    fail_msg("no vessel of supply %d", (int)supply);
    return -1;
}

/* What the tanks really hold, by the spread of data/unsure.csv. Full and empty are shares of that. */
static void build_truly(lw_loaded *camp, dice *d)
{
    for (int k = 0; k < TANKS; k++) {
        const int v = vessel_of(&camp->scenario->rig, SUPPLY[k]);
        lw_vessel *t = &camp->scenario->rig.vessel[v];
        const double frac = exp(camp->unsure[v].capacity_sd * lw_random_normal(roll(d)));
        assert_true(camp->unsure[v].capacity_sd > 0.2 && camp->unsure[v].is_level_share);
        t->capacity *= frac;
        t->level *= lw_supply_fills(t->supply) ? 1.0 : frac;
    }
}

static int has_ended(const lw_vessel *t, double level)
{
    const double slack = 1e-6 * t->capacity;
    return lw_supply_fills(t->supply) ? level >= t->capacity - t->unusable - slack : level <= t->unusable + slack;
}

/* The life that nobody knows: factors of the household and of each day by data/spread.csv, a start that is off as the service
 * takes it to be. States at the readings and, every three hours, from the last of them on. */
static void live(const lw_scenario *s, const int64_t *at_s, dice *d, lw_state *state)
{
    lw_fault fault = {0};
    lw_err err = {0};
    lw_spread spread;
    lw_context *context;
    lw_past *past;
    lw_past_draw draw;
    home_need(lw_spread_load(&spread, &err), &err);
    lw_arena arena = {.cap = lw_prepare_bytes(s, 1)};
    arena.base = malloc(arena.cap);
    assert_non_null(arena.base);
    assert_int_equal(lw_prepare(s, 1, &arena, &context, &fault), LW_OK);
    const lw_past_in in = {.context = context, .at_s = at_s, .at_count = READINGS + MARKS};
    lw_arena of_past = {.cap = lw_past_bytes(&in)};
    of_past.base = malloc(of_past.cap);
    void *scratch = malloc(lw_past_scratch_bytes(context));
    assert_true(of_past.base && scratch);
    assert_int_equal(lw_past_prepare(&in, &of_past, &past, &fault), LW_OK);
    lw_past_plain(past, &draw);
    for (int v = 0; v < s->rig.vessel_count; v++) {
        const double capacity = s->rig.vessel[v].capacity;
        draw.level[v] += 0.02 * capacity * lw_random_normal(roll(d));
        draw.level[v] = fmin(fmax(draw.level[v], 0.0), capacity);
    }
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        const double household = exp(spread.household[g] * lw_random_normal(roll(d)));
        for (int day = 0; day < LW_DAYS + 2; day++) {
            const double z = spread.day[g] * lw_random_normal(roll(d)) - 0.5 * spread.day[g] * spread.day[g];
            draw.factor[day][g] = (float)(household * (g == LW_GROUP_HEAT ? 1.0 : exp(z)));
        }
    }
    lw_past_begin(past, scratch);
    lw_past_run(past, &draw, READINGS + MARKS, scratch, state);
    free(scratch), free(of_past.base), free(arena.base);
}

/* What the lamps show, one in twenty-five of them anything. */
static void read_gauges(home *h, const lw_loaded *camp, int64_t at_s, const lw_state *state, dice *d)
{
    static const char *const SHOWN[] = {"empty", "1/3", "2/3", "full"};
    char line[128] = "";
    for (int k = 0; k < TANKS; k++) {
        const int v = vessel_of(&camp->scenario->rig, SUPPLY[k]);
        const double capacity = camp->scenario->rig.vessel[v].capacity;
        const int is_lie = roll(d) < 0.04;
        const double level = is_lie ? capacity * roll(d) : state->level[v];
        const double shown = lw_gauge_shows(&camp->vessel_gauges[v].gauge[0], level, capacity);
        const size_t used = strlen(line);
        snprintf(line + used, sizeof line - used, "%s%s=%s", k ? " " : "", NAME[k], SHOWN[(int)(3.0 * shown + 0.01)]);
    }
    home_log(h, at_s, line);
}

static void table_days(const home *h, found *to)
{
    lw_household camp = {0};
    lw_outlook_answer table = {0};
    lw_err err = {0};
    home_need(lw_household_load(h->book, ARRIVAL_S, 0, &camp, &err), &err);
    home_need(lw_outlook_of_loaded(&camp.loaded, 1, 0, NULL, &table, &err), &err);
    for (int k = 0; k < TANKS; k++)
        to[k].table = fmin(fmax(table.outlook->leeway[SUPPLY[k]].q[1].days - DAYS, 0.0), AHEAD_DAYS);
    lw_outlook_answer_clear(&table);
    lw_household_clear(&camp);
}

static void ask(home *h, int draws, uint64_t seed, found *to)
{
    const lw_learning_request request = {.now_s = ARRIVAL_S + DAYS * DAY_S,
                                         .learn_draws = draws,
                                         .ahead_days = AHEAD_DAYS,
                                         .draws = {.draws = draws, .seed = seed, .ends_only = 1}};
    lw_outlook_answer answer = home_ask(h, &request);
    assert_int_equal(answer.outlook->start_s, request.now_s);
    for (int k = 0; k < TANKS; k++) {
        const lw_quantile *q = answer.outlook->leeway[SUPPLY[k]].q;
        to[k].low = q[0].days, to[k].middle = q[1].days, to[k].high = q[2].days;
    }
    lw_outlook_answer_clear(&answer);
}

static void run_household(uint64_t number, int draws, int is_unsure, found to[TANKS])
{
    static lw_state state[READINGS + MARKS];
    static int64_t at_s[READINGS + MARKS];
    char text[512];
    lw_household camp = {0};
    lw_err err = {0};
    dice d = {.key = {.seed = number}};
    write_camp(&d, is_unsure, text, sizeof text);
    home h = home_open(text, ARRIVAL_S);
    home_need(lw_household_load(h.book, ARRIVAL_S, 0, &camp, &err), &err);
    if (is_unsure)
        build_truly(&camp.loaded, &d);
    for (int i = 0; i < READINGS; i++)
        at_s[i] = ARRIVAL_S + DAYS * DAY_S * (i + 1) / READINGS;
    for (int i = 0; i < MARKS; i++)
        at_s[READINGS + i] = ARRIVAL_S + DAYS * DAY_S + (i + 1) * EVERY_H * HOUR_S;
    live(camp.loaded.scenario, at_s, &d, state);
    for (int i = 0; i < READINGS; i++)
        read_gauges(&h, &camp.loaded, at_s[i], &state[i], &d);
    for (int k = 0; k < TANKS; k++) {
        const int v = vessel_of(&camp.loaded.scenario->rig, SUPPLY[k]);
        int mark = 0;
        while (mark < MARKS && !has_ended(&camp.loaded.scenario->rig.vessel[v], state[READINGS + mark].level[v]))
            mark++;
        const int is_over = has_ended(&camp.loaded.scenario->rig.vessel[v], state[READINGS - 1].level[v]);
        to[k].truth =
            is_over ? 0.0 : (mark + 0.5) * EVERY_H / 24.0; /* it ends within the three hours before the mark */
        to[k].truth = mark == MARKS ? AHEAD_DAYS : to[k].truth;
    }
    ask(&h, draws, number + 1, to);
    table_days(&h, to);
    lw_household_clear(&camp);
    home_close(&h);
}

static int by_number(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

static double middle_of(double *v, int count)
{
    qsort(v, (size_t)count, sizeof *v, by_number);
    return v[count / 2];
}

/* 80 % of the tanks that have not ended; in the short run at least 80 % less three standard errors, in the long one 75-85 % and
 * one standard error, sqrt(0.16 / 300) = 2.3 %. */
static void check_households(int is_unsure, int few, double nearer)
{
    static double error[MANY * TANKS], table_error[MANY * TANKS];
    const int is_whole = getenv("LEEWAY_SOAK") != NULL, households = is_whole ? MANY : few;
    int in_band = 0, tanks = 0;
    for (int i = 0; i < households; i++) {
        found f[TANKS];
        run_household(9000 + (uint64_t)i, is_whole ? DRAWS_MANY : DRAWS_FEW, is_unsure, f);
        for (int k = 0; k < TANKS; k++) {
            if (!(f[k].truth > 0.1) || !(f[k].truth < AHEAD_DAYS))
                continue;
            in_band += f[k].truth >= f[k].low && f[k].truth <= f[k].high;
            error[tanks] = fabs(f[k].middle - f[k].truth);
            table_error[tanks++] = fabs(f[k].table - f[k].truth);
        }
    }
    const double share = (double)in_band / tanks, se = sqrt(0.16 / tanks);
    const double own = middle_of(error, tanks), table = middle_of(table_error, tanks);
    print_message("%d tanks of %d households: %.1f %% in their 80 %% band; median error %.2f d, the table's %.2f d\n",
                  tanks, households, 100.0 * share, own, table);
    CHECK_NEAR(share, 0.8, is_whole ? 0.05 + se : 3.0 * se, "share in the 80 %% band of %d tanks", tanks);
    assert_true(own < (is_whole ? nearer : 1.0) * table);
}

static void what_the_book_says_holds_and_is_nearer_than_the_table(void **state)
{
    (void)state;
    check_households(0, FEW, 0.6);
}

/* The same where nobody knows what the tanks hold. */
static void so_it_does_where_capacities_are_unknown(void **state)
{
    (void)state;
    check_households(1, FEW_UNSURE, 0.75);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(what_the_book_says_holds_and_is_nearer_than_the_table),
                                       cmocka_unit_test(so_it_does_where_capacities_are_unknown)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
