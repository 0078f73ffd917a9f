/* The rhythm of a long stay: the shortest scenario of the examples; paces and costs are held against arithmetic by hand and against trying
 * every pace. */
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/check.h"

#include "core/base/random.h"
#include "service/rhythm.h"
#include "tests/service/calibration.h"

static const char ONE_YARD[] =
    "services:\n"
    "  - {name: yard, gives: [water, drinking, dump, rubbish, propane, fuel, groceries], distance: 10 mi, road: 30 "
    "min, time: 30 min,\n"
    "     fee: 8 USD, for: public}\n"
    "runs:\n"
    "  - {kind: break-camp, ready: 60 min, pour: 0 min, trouble: 5 USD, per_mile: 0.50 USD}\n";

static const char NO_DUMP[] =
    "services:\n"
    "  - {name: spigot, gives: [water, rubbish, propane, groceries], distance: 1 mi, road: 5 min, for: public}\n"
    "runs:\n"
    "  - {kind: break-camp}\n";

static lw_rhythm_wish wish_of(int days)
{
    return (lw_rhythm_wish){.path = "examples/ten-lines.yaml",
                            .now_s = 1781000000,
                            .days = days,
                            .confidence_frac = 0.8,
                            .hour_usd = 10.0,
                            .draws = 16,
                            .fresh = 60,
                            .seed = 1};
}

static lw_long_stay *made(int days, const char *errands_text, lw_errands *errands)
{
    lw_long_stay *stay = malloc(sizeof *stay);
    lw_err err = {0};
    const lw_rhythm_wish wish = wish_of(days);
    assert_non_null(stay);
    if (errands_text && lw_errands_read("e.yaml", errands_text, strlen(errands_text), errands, &err))
        fail_msg("%s: %s", err.where, err.text);
    if (lw_rhythm_make(&wish, errands_text ? errands : NULL, stay, &err))
        fail_msg("%s: %s", err.where, err.text);
    return stay;
}

static void the_pace_is_what_the_shortest_supply_bears(void **state)
{
    lw_long_stay *stay = made(40, NULL, NULL);
    (void)state;
    assert_int_equal(stay->month_count, 2); /* from 8 June: 23 days, and 17 of July */
    assert_int_equal(stay->month[0].days, 23);
    assert_int_equal(stay->month[1].days, 17);
    for (int i = 0; i < stay->month_count; i++) {
        const lw_rhythm_month *m = &stay->month[i];
        double least = INFINITY;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if (m->is_served[k])
                least = fmin(least, m->lasts_days[k]);
        assert_int_equal(m->every_days, (int)floor(least));
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if (m->is_served[k] && m->each[k] != (int)fmin(floor(m->lasts_days[k] / m->every_days), 24))
                fail_msg("%s: lasts %.2f days, a run every %d, served with each %d", lw_supply_word((lw_supply)k),
                         m->lasts_days[k], m->every_days, m->each[k]);
        CHECK_NEAR(m->runs, (double)m->days / m->every_days, 1e-9, "runs of month %d", i);
    }
    free(stay);
}

/* With the rhythm's fills and dumps in it a month lasts as a whole in the wished share of draws; a surer wish never has a longer pace. */
static void all_supplies_together_last_as_surely_as_wished(void **state)
{
    static const char ROOMY[] =
        "leeway: 1\nrig: {kind: class-c, tanks: {fresh: 100 gal, grey: 100 gal, black: 60 gal}}\n"
        "crew: 2 adults\nplace: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"
        "stay: {arrive: 2026-06-08 15:00}\nweather: {high: 84 F, low: 50 F}\n";
    static const double WISH[] = {0.6, 0.9};
    int every[COUNT_OF(WISH)];
    (void)state;
    for (size_t i = 0; i < COUNT_OF(WISH); i++) {
        lw_long_stay *stay = malloc(sizeof *stay);
        lw_err err = {0};
        lw_rhythm_wish wish = wish_of(12);
        assert_non_null(stay);
        wish.bytes = ROOMY;
        wish.size = sizeof ROOMY - 1;
        wish.confidence_frac = WISH[i];
        wish.fresh = 200;
        if (lw_rhythm_make(&wish, NULL, stay, &err))
            fail_msg("%s: %s", err.where, err.text);
        const lw_rhythm_month *m = &stay->month[0];
        every[i] = m->every_days;
        if (!(m->is_reached && m->fresh_frac >= WISH[i]))
            fail_msg("wished %.2f, measured %.3f at the aim of %.3f", WISH[i], m->fresh_frac, m->aimed_frac);
        free(stay);
    }
    assert_true(every[0] > 0 && every[1] > 0 && every[1] <= every[0]);
}

static double unit(uint32_t seed, uint32_t at)
{
    const lw_random_key key = {.seed = seed, .draw = at};
    return lw_random_unit(lw_random_block(&key, 29, 0).word[0]);
}

/* A rig by itself a case: its tanks, the yard, the wish and draws of its own, so that errors are independent. */
static void the_chance_of_a_month_is_that_of_further_draws(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL;
    const int cases = is_soak ? 100 : 3, fresh = is_soak ? LW_RHYTHM_FRESH : 200, further = is_soak ? 100000 : 1000;
    calibration c = {.cases = 0};
    int reached = 0;
    lw_long_stay *stay = malloc(sizeof *stay);
    (void)state;
    assert_non_null(stay);
    for (uint32_t seed = 1; seed <= (uint32_t)cases; seed++) {
        char text[512];
        lw_errands errands;
        lw_err err = {0};
        snprintf(
            text, sizeof text,
            "leeway: 1\nrig: {kind: class-c, tanks: {fresh: %d gal, grey: %d gal, black: %d gal}}\ncrew: 2 adults\n"
            "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"
            "stay: {arrive: 2026-06-08 15:00}\nweather: {high: 84 F, low: 50 F}\n",
            50 + (int)(unit(seed, 0) * 80), 50 + (int)(unit(seed, 1) * 80), 30 + (int)(unit(seed, 2) * 50));
        lw_rhythm_wish wish = wish_of(10 + (int)(unit(seed, 3) * 10));
        wish.bytes = text;
        wish.size = strlen(text);
        wish.confidence_frac = 0.6 + 0.05 * floor(unit(seed, 4) * 7.0);
        wish.draws = is_soak ? 128 : 16;
        wish.fresh = fresh;
        wish.further = further;
        wish.seed = seed;
        if (lw_errands_read("e.yaml", ONE_YARD, sizeof ONE_YARD - 1, &errands, &err) ||
            lw_rhythm_make(&wish, &errands, stay, &err))
            fail_msg("%s: %s", err.where, err.text);
        const lw_rhythm_month *m = &stay->month[0];
        reached += m->is_reached;
        calibration_add(&c, m->fresh_frac, fresh, m->further_frac, further);
    }
    assert_true(reached > cases / 3);
    calibration_want(&c, is_soak, "rhythms");
    free(stay);
}

/* One yard serves all: each run costs the same, by hand 2.5 h (an hour of packing, twice half an hour of road, half an hour there) at 10
 * USD, 20 miles at 0.50, a fee of 8 and trouble of 5; so the longest pace is the cheapest. */
static void one_yard_is_visited_as_seldom_as_all_lasts(void **state)
{
    lw_errands errands;
    lw_long_stay *stay = made(23, ONE_YARD, &errands), *bare = made(23, NULL, NULL);
    const lw_rhythm_month *m = &stay->month[0];
    (void)state;
    assert_int_equal(m->every_days, bare->month[0].every_days);
    CHECK_NEAR(m->usd - m->propane_usd - m->fuel_usd, m->runs * (25.0 + 10.0 + 8.0 + 5.0), 1e-6, "USD of runs");
    CHECK_NEAR(m->hours, m->runs * 2.5, 1e-9, "hours");
    CHECK_NEAR(m->km, m->runs * 20.0 * 1.609344, 1e-6, "km");
    CHECK_NEAR(stay->usd_per_month, stay->usd / 23.0 * 30.4375, 1e-9, "USD a month");
    free(stay);
    free(bare);
}

/* The yard is for customers, who must buy for 6 USD, and takes 3 more of who dumps: nothing is bought where groceries are fetched there
 * anyway. By hand: with each run grey is dumped; groceries come with each so-manieth. */
static void fees_of_single_things_and_purchases_are_in_the_cost(void **state)
{
    static const char SHOP[] =
        "services:\n"
        "  - {name: yard, gives: [water, drinking, dump, rubbish, propane, fuel, groceries], distance: 10 mi, road: 30 "
        "min, time: 30 min,\n"
        "     fee: 8 USD, fees: {dump: 3 USD}, for: customers, buy: 6 USD}\n"
        "runs:\n"
        "  - {kind: break-camp, ready: 60 min, pour: 0 min, trouble: 5 USD, per_mile: 0.50 USD}\n";
    lw_errands errands;
    lw_long_stay *stay = made(23, SHOP, &errands);
    const lw_rhythm_month *m = &stay->month[0];
    double fees_usd = 0.0;
    (void)state;
    assert_true(m->every_days > 0);
    for (int beat = 1; beat <= 24; beat++) {
        static const int BOUGHT[] = {LW_SUPPLY_FOOD, LW_SUPPLY_FUEL, LW_SUPPLY_PROPANE, LW_SUPPLY_DRINKING};
        int buys = 0, dumps = m->each[LW_SUPPLY_GREY] > 0 && beat % m->each[LW_SUPPLY_GREY] == 0;
        for (size_t i = 0; i < COUNT_OF(BOUGHT); i++)
            buys |= m->each[BOUGHT[i]] > 0 && beat % m->each[BOUGHT[i]] == 0;
        fees_usd += (8.0 + (buys ? 0.0 : 6.0) + (dumps ? 3.0 : 0.0)) / 24.0;
    }
    CHECK_NEAR(m->fees_usd, m->runs * fees_usd, 1e-6, "fees of the month");
    free(stay);
}

/* A runabout that brings five gallons at a time does not set the pace where breaking camp costs less. */
static void a_small_way_does_not_set_the_pace(void **state)
{
    char both[sizeof ONE_YARD + 128];
    lw_errands errands;
    (void)state;
    snprintf(both, sizeof both,
             "%s  - {kind: runabout, name: small car, cans: 5 gal, waste_tank: 5 gal, ready: 90 min}\n", ONE_YARD);
    lw_long_stay *two = made(23, both, &errands), *one = made(23, ONE_YARD, &errands);
    assert_true(one->month[0].every_days > 0);
    assert_int_equal(two->month[0].every_days, one->month[0].every_days);
    CHECK_NEAR(two->month[0].usd, one->month[0].usd, 1e-9, "USD of the month");
    free(two);
    free(one);
}

/* By hand: one time in ten six miles at 0.50 USD, twelve minutes at 10 USD an hour and 20 USD more. */
static void a_spot_that_may_be_lost_is_in_the_cost(void **state)
{
    char text[sizeof ONE_YARD + 128];
    lw_errands errands;
    (void)state;
    snprintf(text, sizeof text,
             "%.*s, lose: 10 %%}\nfallback: {name: wash, distance: 6 mi, road: 12 min, trouble: 20 USD}\n",
             (int)(strlen(ONE_YARD) - 2), ONE_YARD);
    lw_long_stay *stay = made(23, text, &errands);
    const lw_rhythm_month *m = &stay->month[0];
    CHECK_NEAR(m->trouble_usd, m->runs * (5.0 + 0.1 * (3.0 + 2.0 + 20.0)), 1e-6, "trouble of the month");
    free(stay);
}

/* Whoever waits is told after each month, at last that all is done. */
static void count_month(void *with, int done, int of)
{
    int *told = with;
    assert_true(done > 0 && done <= of && (told[0] == 7) == (done == of));
    told[0]++;
}

/* 20 September to 8 April: 200 days, far past what an outlook simulates. */
static void the_stay_of_a_season_is_as_long_as_its_file_says(void **state)
{
    static const char SEASON[] =
        "leeway: 1\nrig: class-c\ncrew: 2 adults\nplace: {latitude: 33 N, longitude: 114.8 W, zone: "
        "America/Los_Angeles}\nstay: {arrive: 2026-09-20 10:00, leave: 2027-04-08 10:00}\n";
    lw_long_stay *stay = malloc(sizeof *stay);
    lw_err err = {0};
    lw_rhythm_wish wish = wish_of(0);
    (void)state;
    wish.path = "season.yaml";
    wish.bytes = SEASON;
    int told[1] = {0};
    wish.size = strlen(SEASON);
    wish.progress = count_month;
    wish.with = told;
    assert_non_null(stay);
    if (lw_rhythm_make(&wish, NULL, stay, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(stay->days, 200);
    assert_int_equal(stay->month_count, 8);
    assert_int_equal(told[0], 8);
    free(stay);
}

static void a_supply_that_nothing_serves_is_named(void **state)
{
    lw_errands errands;
    lw_long_stay *stay = made(10, NO_DUMP, &errands);
    (void)state;
    assert_int_equal(stay->month[0].every_days, 0);
    if (!strstr(stay->month[0].sentence, "no rhythm keeps it, as nothing here that is open serves"))
        fail_msg("%s", stay->month[0].sentence);
    free(stay);
}

static void the_stay_limit_is_told(void **state)
{
    lw_long_stay *stay = malloc(sizeof *stay);
    lw_err err = {0};
    lw_rhythm_wish wish = wish_of(30);
    (void)state;
    wish.path = "examples/family-at-work.yaml";
    assert_non_null(stay);
    assert_int_equal(lw_rhythm_make(&wish, NULL, stay, &err), LW_OK);
    assert_non_null(strstr(stay->limit, "14 days"));
    free(stay);
}

static void lengths_out_of_bounds_are_refused(void **state)
{
    static const int DAYS[] = {-1, 241, 100000};
    lw_long_stay *stay = malloc(sizeof *stay);
    (void)state;
    assert_non_null(stay);
    for (size_t i = 0; i < COUNT_OF(DAYS); i++) {
        lw_err err = {0};
        const lw_rhythm_wish wish = wish_of(DAYS[i]);
        assert_int_equal(lw_rhythm_make(&wish, NULL, stay, &err), LW_E_RANGE);
        assert_non_null(strstr(err.text, "1 to 240"));
    }
    free(stay);
}

static void the_json_keeps_to_its_schema(void **state)
{
    char path[] = "/tmp/leeway-rhythm-XXXXXX", command[256];
    lw_errands errands;
    lw_long_stay *stay = made(30, ONE_YARD, &errands);
    (void)state;
    char *text = lw_rhythm_json(stay, &errands, "0.0.0");
    const int file = mkstemp(path);
    assert_non_null(text);
    assert_true(file >= 0 && write(file, text, strlen(text)) == (ssize_t)strlen(text));
    close(file);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/rhythm.schema.json %s", path);
    const int status = system(command);
    (void)remove(path);
    free(text);
    free(stay);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

int main(void)
{
    const struct CMUnitTest test[] = {
        cmocka_unit_test(the_pace_is_what_the_shortest_supply_bears),
        cmocka_unit_test(all_supplies_together_last_as_surely_as_wished),
        cmocka_unit_test(the_chance_of_a_month_is_that_of_further_draws),
        cmocka_unit_test(one_yard_is_visited_as_seldom_as_all_lasts),
        cmocka_unit_test(fees_of_single_things_and_purchases_are_in_the_cost),
        cmocka_unit_test(a_small_way_does_not_set_the_pace),
        cmocka_unit_test(a_spot_that_may_be_lost_is_in_the_cost),
        cmocka_unit_test(the_stay_of_a_season_is_as_long_as_its_file_says),
        cmocka_unit_test(a_supply_that_nothing_serves_is_named),
        cmocka_unit_test(the_stay_limit_is_told),
        cmocka_unit_test(lengths_out_of_bounds_are_refused),
        cmocka_unit_test(the_json_keeps_to_its_schema),
    };
    return cmocka_run_group_tests(test, NULL, NULL);
}
