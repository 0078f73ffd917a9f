/* What a stay costs: an invented household. Lines are held against arithmetic on what the draws ask for, the drive against the
 * published range of such rigs, the runabout against the published rate. */
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/check.h"

#include "exchange/tables.h"
#include "service/cost.h"
#include "service/plan_source.h"

static const double MI_M = 1609.344, GAL_L = 3.785411784; /* NIST SP 811 */
enum { DRAWS = 48 };

static lw_cost_wish usual(void)
{
    return (lw_cost_wish){.fee_usd = NAN,
                          .drive_m = NAN,
                          .run_m = NAN,
                          .hookup_usd = NAN,
                          .fuel_usd_l = NAN,
                          .propane_usd_kg = NAN,
                          .run_usd = NAN,
                          .draws = DRAWS};
}

static lw_code cost_of(const char *const *change, int count, lw_cost_wish wish, lw_costed *to, lw_err *err)
{
    lw_plan_source source = {.path = "examples/winter-trailer.yaml",
                             .now_s = 1781000000,
                             .seed = 1,
                             .change = change,
                             .change_count = count};
    lw_trials trials = lw_plan_source_trials(&source);
    return lw_cost_make(&trials, &wish, to, err);
}

static lw_costed *made(const char *const *change, int count, lw_cost_wish wish)
{
    lw_costed *c = malloc(sizeof *c);
    lw_err err = {0};
    assert_non_null(c);
    if (cost_of(change, count, wish, c, &err))
        fail_msg("%s: %s", err.where, err.text);
    return c;
}

static void the_sum_is_that_of_its_lines(void **state)
{
    lw_cost_wish wish = usual();
    (void)state;
    wish.fee_usd = 10.0;
    wish.drive_m = 100.0 * MI_M;
    wish.run_m = 10.0 * MI_M;
    wish.hookup_usd = 50.0;
    lw_costed *c = made(NULL, 0, wish);
    double usd = 0.0;
    for (int i = 0; i < LW_COST_COUNT; i++) {
        usd += c->line[i].usd;
        assert_true(c->line[i].how[0] != '\0' && (!c->line[i].is_counted || c->line[i].source[0] != '\0'));
        assert_true(c->line[i].low_usd <= c->line[i].high_usd);
    }
    CHECK_NEAR(c->usd, usd, 1e-9, "sum");
    CHECK_NEAR(c->nights, 8.0, 1e-9, "12 January 14:00 to 20 January 11:00");
    CHECK_NEAR(c->line[LW_COST_SITE].usd, 80.0, 1e-9, "eight nights at 10 USD");
    CHECK_NEAR(c->night_usd, usd / 8.0, 1e-9, "a night");
    CHECK_NEAR(c->month_usd, usd / 8.0 * 30.44, 1e-9, "a month");
    assert_non_null(strstr(c->headline, ", 8 nights, "));
    CHECK_NEAR(c->hookup_nights, usd / 50.0, 1e-9, "nights with hookups");
    assert_true(c->low_usd <= c->usd && c->usd <= c->high_usd);
    free(c);
}

/* Three days from 12 January; a flat battery is not passed over because nobody starts the set. */
static void what_the_stay_lacks_is_told(void **state)
{
    static const char *const FLAT[] = {"place.stay_rule={days: 3 days, window: 30 days}", "rig.generator.run=never",
                                       "rig.battery.capacity=50 Ah"};
    (void)state;
    lw_costed *c = made(FLAT, 3, usual());
    if (!strstr(c->headline, " The place allows no stay past Thu 15 Jan 00:00."))
        fail_msg("%s", c->headline);
    if (!strstr(c->left_out, "the generator does not run, though the battery ends before you leave"))
        fail_msg("%s", c->left_out);
    free(c);
    c = made(NULL, 0, usual());
    assert_null(strstr(c->headline, "allows no stay past"));
    assert_null(strstr(c->left_out, "Errands"));
    free(c);
    static const char *const ERRAND[] = {"stay.events=[{at: 2026-01-15 14:00, do: fill, what: fresh}]"};
    c = made(ERRAND, 1, usual());
    assert_non_null(strstr(c->left_out, "; Errands that are announced or kept: their ways and fees"));
    free(c);
}

/* Generator: an hour a day by the file's own hours, 8 days. Half the price, half the cost; the wear does not see the price. */
static void fuel_and_wear_are_by_litres_and_hours(void **state)
{
    lw_cost_wish dear = usual(), cheap = usual();
    (void)state;
    dear.fuel_usd_l = 2.0;
    cheap.fuel_usd_l = 1.0;
    lw_costed *a = made(NULL, 0, dear), *b = made(NULL, 0, cheap);
    CHECK_NEAR(a->line[LW_COST_GENERATOR].usd, 2.0 * b->line[LW_COST_GENERATOR].usd, 1e-9, "by its price");
    CHECK_NEAR(b->line[LW_COST_GENERATOR_WEAR].usd, 8.0 * 0.75, 1e-9, "eight hours at 0.75 USD");
    free(a);
    free(b);
    const char *never[] = {"rig.generator.run=never"};
    a = made(never, 1, usual());
    assert_false(a->line[LW_COST_GENERATOR].is_counted);
    assert_non_null(strstr(a->line[LW_COST_GENERATOR].how, "does not run"));
    free(a);
}

/* Pickup with trailer 8-13 mpg (trade practice); the IRS rate of 2026 is 72.5 cents a mile (notice of 29 December 2025). */
static void drives_cost_what_such_rigs_burn(void **state)
{
    lw_cost_wish wish = usual();
    (void)state;
    wish.drive_m = 100.0 * MI_M;
    wish.run_m = 10.0 * MI_M;
    wish.fuel_usd_l = 1.0;
    lw_costed *c = made(NULL, 0, wish);
    const double mpg = 100.0 / (c->line[LW_COST_DRIVE].usd / GAL_L);
    if (!(mpg >= 8.0 && mpg <= 13.0))
        fail_msg("%g mpg", mpg);
    CHECK_NEAR(c->line[LW_COST_RUN_WAY].usd, (c->runs - 1.0) * 20.0 * 0.725, 0.002 * c->line[LW_COST_RUN_WAY].usd,
               "runs of 20 miles at 72.5 cents");
    free(c);
    const char *says[] = {"rig.travel.use=10 mpg"};
    c = made(says, 1, wish);
    CHECK_NEAR(c->line[LW_COST_DRIVE].usd, 10.0 * GAL_L, 0.05 * 10.0 * GAL_L, "100 miles at the 10 mpg that are said");
    free(c);
}

/* The middle of gas: 3.5 USD a gallon of 4.2 lb is 0.83 USD a pound; the table is within the trade's 3-5 USD a gallon. */
static void prices_are_within_the_trades_ranges(void **state)
{
    lw_table prices = {0};
    lw_err err = {0};
    double kg_usd = NAN, l_usd = NAN;
    (void)state;
    assert_int_equal(lw_table_open("prices", &prices, &err), LW_OK);
    assert_int_equal(lw_table_number(&prices, lw_table_row(&prices, "id", "propane"), "usd", &kg_usd, &err), LW_OK);
    assert_int_equal(lw_table_number(&prices, lw_table_row(&prices, "id", "fuel"), "usd", &l_usd, &err), LW_OK);
    const double gallon_usd = kg_usd * 4.24 * 0.45359237; /* 4.24 lb a gallon: 91,502 BTU at 21,548 BTU a pound */
    assert_true(gallon_usd >= 3.0 && gallon_usd <= 5.0);
    assert_true(l_usd * GAL_L >= 3.5 && l_usd * GAL_L <= 4.2);
    lw_table_clear(&prices);
}

static void runs_are_counted_by_what_ends(void **state)
{
    const char *large[] = {"rig.tanks={fresh: 400 gal, grey: 400 gal, black: 200 gal}", "rig.propane=8 x 100 lb",
                           "rig.rubbish=20 bags", "rig.food=100 person-days"};
    const char *part[] = {"rig.tanks={fresh: 400 gal, grey: 400 gal, black: 200 gal}", "rig.propane=8 x 100 lb",
                          "rig.rubbish=20 bags", "rig.food={capacity: 100 person-days, level: 1 person-days}"};
    (void)state;
    lw_costed *all = made(large, 4, usual()), *once = made(part, 4, usual());
    CHECK_NEAR(all->runs, 1.0, 0.0, "only the one at leaving");
    CHECK_NEAR(all->line[LW_COST_RUNS].usd, 12.0, 1e-9, "at 12 USD");
    CHECK_NEAR(once->runs, 2.0, 0.0, "one for food, after which all lasts");
    free(all);
    free(once);
}

static void what_is_asked_wrongly_is_refused(void **state)
{
    const char *open_end[] = {"stay={arrive: 2026-01-12 14:00}"};
    lw_costed *c = malloc(sizeof *c);
    lw_err err = {0}, other = {0};
    lw_cost_wish wish = usual();
    (void)state;
    assert_non_null(c);
    assert_int_equal(cost_of(open_end, 1, wish, c, &err), LW_E_MISSING);
    assert_non_null(strstr(err.typed, "--until"));
    wish.run_usd = -1.0;
    assert_int_equal(cost_of(NULL, 0, wish, c, &other), LW_E_RANGE);
    free(c);
}

static void the_json_keeps_to_its_schema(void **state)
{
    char path[] = "/tmp/leeway-cost-XXXXXX", command[256];
    lw_loaded loaded;
    lw_err err = {0};
    lw_money spent = {.all_cents = 2350};
    lw_cost_wish wish = usual();
    (void)state;
    spent.cents[LW_EXPENSE_PROPANE] = 2350;
    wish.spent = &spent;
    wish.spent_nights = 2;
    lw_costed *c = made(NULL, 0, wish);
    assert_non_null(strstr(c->spent, "propane 24"));
    assert_int_equal(lw_scenario_load(&(lw_scenario_from){.path = "examples/winter-trailer.yaml", .now_s = 1781000000},
                                      &loaded, &err),
                     LW_OK);
    char *text = lw_cost_json(c, &loaded, "0.0.0");
    const int file = mkstemp(path);
    assert_non_null(text);
    assert_true(file >= 0 && write(file, text, strlen(text)) == (ssize_t)strlen(text));
    close(file);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/cost.schema.json %s", path);
    const int status = system(command);
    (void)remove(path);
    free(text);
    free(c);
    lw_loaded_clear(&loaded);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_the_stay_lacks_is_told),           cmocka_unit_test(the_sum_is_that_of_its_lines),
        cmocka_unit_test(fuel_and_wear_are_by_litres_and_hours), cmocka_unit_test(drives_cost_what_such_rigs_burn),
        cmocka_unit_test(prices_are_within_the_trades_ranges),   cmocka_unit_test(runs_are_counted_by_what_ends),
        cmocka_unit_test(what_is_asked_wrongly_is_refused),      cmocka_unit_test(the_json_keeps_to_its_schema),
    };
    return cmocka_run_group_tests_name("service/cost", tests, NULL, NULL);
}
