/* Convoys of invented households: splits and parts are held against arithmetic by hand; the runs themselves are those of
 * core/plan/runs.h, whose optimum is held against a general solver in tests/core/test_runs.c. */
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/check.h"

#include "service/convoy.h"
#include "service/plan_source.h"

static const char YARD[] = "services:\n"
                           "  - {name: yard, gives: [water, dump, rubbish], distance: 10 mi, road: 20 min, time: 20 "
                           "min, fee: 10 USD, for: public}\n"
                           "  - {name: spigot, gives: water, distance: 1 mi, road: 5 min}\n"
                           "runs:\n"
                           "  - {kind: break-camp}\n";

#define HEAD(name)                                                                                                     \
    "convoy: 1\nhousehold: " name "\nzone: America/Denver\nfrom: 2026-06-08T14:00:00Z\n"                               \
    "until: 2026-06-14T16:00:00Z\nhour_value: 10 USD\n"

/* The same needs; one of them has a car that brings and takes enough for both. */
static const char DRIVER[] =
    HEAD("Juniper") "supplies: [{supply: fresh, now: 3 days, full: 4 days, use: 40 L}]\n"
                    "lends: [{thing: vehicle, name: little car, water: 100 L, ready: 20 min, pour: 0 min, "
                    "per_mile: 0.50 USD},\n  {thing: bladder, water: 220 L}]\n";
static const char GUEST[] =
    HEAD("Elkhorn") "supplies: [{supply: fresh, now: 3 days, full: 4 days, use: 40 L}, {supply: black, now: 2 "
                    "days, full: 5 days}]\n";

static lw_convoy_rig rig_of(const char *text)
{
    lw_convoy_rig rig = {.thing_count = 0};
    lw_err err = {0};
    if (lw_convoy_read("rig.yaml", text, strlen(text), &rig, &err))
        fail_msg("%s: %s", err.where, err.text);
    return rig;
}

static lw_code plan_of(const char *const *text, int count, lw_convoy *convoy, lw_err *err)
{
    lw_convoy_rig rig[LW_CONVOY_RIGS];
    lw_errands errands;
    const lw_words_choice choice = {.units = LW_UNITS_US};
    for (int i = 0; i < count; i++)
        rig[i] = rig_of(text[i]);
    const lw_code code = lw_errands_read("e.yaml", YARD, strlen(YARD), &errands, err);
    return code ? code : lw_convoy_plan(rig, count, &errands, &choice, convoy, err);
}

static lw_convoy *planned(const char *const *text, int count)
{
    lw_convoy *convoy = malloc(sizeof *convoy);
    lw_err err = {0};
    assert_non_null(convoy);
    if (plan_of(text, count, convoy, &err))
        fail_msg("%s: %s", err.where, err.text);
    return convoy;
}

/* By hand: one run on the third day at the latest covers the rest, as 320 L over 80 L a day last 4 days. It takes 20 minutes of packing, 2
 * x 20 of road, 20 there: 80 minutes at 10 USD; 20 miles at 0.50; the fee. */
static const double RUN_USD = 80.0 / 60.0 * 10.0 + 20.0 * 0.5 + 10.0;

/* Breaking camp by hand: 90 minutes + 40 + 20 at 10 USD, 20 miles at 0.385 a km (data/prices.csv), the fee. */
static const double BREAK_USD = 150.0 / 60.0 * 10.0 + 20.0 * 1.609344 * 0.385 + 10.0;

static void one_run_serves_both_and_is_split_by_joining(void **state)
{
    const char *const text[] = {DRIVER, GUEST};
    lw_convoy *c = planned(text, 2);
    (void)state;
    assert_true(c->is_found && c->is_by_joining);
    assert_int_equal(c->run_count, 1);
    CHECK_NEAR(c->usd, RUN_USD, 0.01, "USD of all");
    CHECK_NEAR(c->member[0].alone_usd, RUN_USD, 0.01, "the driver by itself");
    CHECK_NEAR(c->member[1].alone_usd, BREAK_USD, 0.01, "the guest by itself");
    /* Two orders: who comes first pays what it would by itself, who comes second adds the rest. */
    CHECK_NEAR(c->member[0].share_usd, 0.5 * (RUN_USD + (RUN_USD - BREAK_USD)), 0.01, "the driver's part");
    CHECK_NEAR(c->member[1].share_usd, 0.5 * (BREAK_USD + (RUN_USD - RUN_USD)), 0.01, "the guest's part");
    CHECK_NEAR(c->run[0].water_l[0], 160.0, 0.01, "water for the driver");
    CHECK_NEAR(c->run[0].water_l[1], 160.0, 0.01, "water for the guest");
    assert_int_equal(c->run[0].rigs, 3);
    assert_non_null(strstr(c->run[0].sentence, "Juniper by little car to yard: water in"));
    assert_non_null(strstr(c->member[1].sentence, "Its own matter: black water ends after 2 days"));
    assert_non_null(strstr(c->ask, "spigot"));
    free(c);
}

static void parts_add_up_and_nobody_pays_more_than_by_itself(void **state)
{
    static const char THIRD[] =
        HEAD("Basin") "supplies: [{supply: fresh, now: 2 days, full: 3 days, use: 30 L}, {supply: rubbish, "
                      "now: 3 days, full: 6 days}]\n"
                      "lends: [{thing: vehicle, water: 40 L}]\n";
    const char *const text[] = {DRIVER, GUEST, THIRD};
    lw_convoy *c = planned(text, 3);
    double sum = 0.0, owed = 0.0;
    (void)state;
    assert_true(c->is_found && c->is_by_joining);
    for (int i = 0; i < 3; i++) {
        sum += c->member[i].share_usd;
        owed += c->member[i].share_usd - c->member[i].drove_usd;
        if (!(c->member[i].share_usd <= c->member[i].alone_usd + 1e-6))
            fail_msg("%s pays %.2f, by itself %.2f", c->member[i].rig.household, c->member[i].share_usd,
                     c->member[i].alone_usd);
    }
    CHECK_NEAR(sum, c->usd, 1e-6, "parts");
    CHECK_NEAR(owed, 0.0, 1e-6, "what is owed and what is due");
    free(c);
}

/* Two households of ten courses each. By hand: the driver's water ends after 3 days in all of them but two that choose nothing (odd),
 * in which it ends after a day, before anybody drives; the guest's lasts. So 3 of the 5 courses that are told last, times all. */
static void the_chance_is_of_all_supplies_of_all_rigs(void **state)
{
    static const char FIRST[] = HEAD(
        "Juniper") "supplies: [{supply: fresh, now: 3 days, full: 4 days, use: 40 L, courses: \"3/4 1/4 3/4 3/4 3/4 "
                   "3/4 3/4 1/4 3/4 3/4\"}]\n"
                   "lends: [{thing: vehicle, water: 100 L, pour: 0 min}, {thing: bladder, water: 220 L}]\n";
    static const char SECOND[] = HEAD(
        "Elkhorn") "supplies: [{supply: fresh, now: 3 days, full: 4 days, use: 40 L, courses: \"3/4 3/4 3/4 3/4 3/4 "
                   "3/4 3/4 3/4 3/4 3/4\"}]\n";
    const char *const text[] = {FIRST, SECOND}, *const bare[] = {FIRST, GUEST};
    lw_convoy *c = planned(text, 2), *without = planned(bare, 2);
    (void)state;
    assert_true(c->is_found);
    CHECK_NEAR(c->chance_frac, 3.0 / 5.0, 1e-9, "chance of all");
    assert_non_null(strstr(c->rule, "60 of 100 courses"));
    assert_non_null(strstr(c->rule, "fewer than wished"));
    assert_true(isnan(without->chance_frac));
    assert_non_null(strstr(without->rule, "not every share file has courses"));
    free(c);
    free(without);
}

static void what_cannot_be_planned_is_refused(void **state)
{
    static const char LATE[] = "convoy: 1\nhousehold: Late\nzone: America/Denver\nfrom: 2026-07-08T14:00:00Z\nuntil: "
                               "2026-07-14T16:00:00Z\n";
    static const struct {
        const char *text[2], *want;
        int count;
    } row[] = {
        {{DRIVER, DRIVER}, "two households are called Juniper", 2},
        {{GUEST, GUEST}, "two households are called Elkhorn", 2},
        {{DRIVER, LATE}, "not there at the same time", 2},
        {{DRIVER, GUEST}, "2 to 6 households", 1},
    };
    lw_convoy *c = malloc(sizeof *c);
    (void)state;
    assert_non_null(c);
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        if (plan_of(row[i].text, row[i].count, c, &err) == LW_OK || !strstr(err.text, row[i].want))
            fail_msg("row %zu: \"%s\", want %s", i, err.text, row[i].want);
    }
    free(c);
}

static void a_share_file_that_is_none_is_refused_with_its_line(void **state)
{
    static const struct {
        const char *text, *want;
    } row[] = {
        {"", ""},
        {"[1, 2]", "a map of keys stands here"},
        {"convoy: 2\nhousehold: x\n", "this program reads convoy: 1"},
        {"convoy: 1\nhousehold: x\nzone: UTC\nfrom: 2026-06-08\nuntil: 2026-06-09T00:00:00Z\n", ""},
        {HEAD("x") "suplies: []\n", "did you mean supplies?"},
        {HEAD("x") "supplies: [{supply: fresh, now: 3}]\n", ""},
        {HEAD("x") "supplies: [{supply: fresh, now: 3 days}]\n", "full is missing"},
        {HEAD("x") "supplies: [{supply: fresh, now: 3 days, full: 3 days}, {supply: fresh, now: 1 d, full: 1 d}]\n",
         "twice"},
        {HEAD("x") "supplies: [{supply: fresh, now: 3 days, full: 3 days, courses: \"3/4 x\"}]\n", "pairs of days"},
        {HEAD("x") "supplies: [{supply: fresh, now: 3 days, full: 3 days, courses: \"3/4/5\"}]\n", "pairs of days"},
        {HEAD("x") "supplies: [{supply: fresh, now: 3 days, full: 3 days, courses: \"3/4\"}, {supply: grey, now: 3 "
                   "days, "
                   "full: 3 days}]\n",
         "all have as many"},
        {HEAD("x") "lends: [{thing: bladder}]\n", "water is missing"},
        {HEAD("x") "lends: [{thing: truk}]\n", "vehicle"},
        {"convoy: 1\nhousehold: x\nzone: UTC\nfrom: 2026-06-08T00:00:00Z\nuntil: 2026-06-07T00:00:00Z\n",
         "until must come after"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_convoy_rig rig;
        lw_err err = {0};
        if (lw_convoy_read("r.yaml", row[i].text, strlen(row[i].text), &rig, &err) == LW_OK || !err.text[0] ||
            !strstr(err.text, row[i].want))
            fail_msg("row %zu: \"%s\" at \"%s\", want %s", i, err.text, err.where, row[i].want);
    }
}

static int schema_holds(const char *schema, const char *text)
{
    char path[] = "/tmp/leeway-convoy-XXXXXX", command[256];
    const int file = mkstemp(path);
    assert_non_null(text);
    assert_true(file >= 0 && write(file, text, strlen(text)) == (ssize_t)strlen(text));
    close(file);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py %s %s", schema, path);
    const int status = system(command);
    (void)remove(path);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 1;
}

static void what_is_shared_can_be_read_and_tells_nothing_else(void **state)
{
    lw_plan_source source = {
        .path = "examples/ten-lines.yaml", .until = "2026-06-12 10:00", .now_s = 1781000000, .seed = 1};
    lw_convoy_thing thing;
    lw_err err = {0};
    char *text = NULL;
    (void)state;
    assert_int_equal(
        lw_convoy_thing_read("--lend", "{thing: vehicle, name: \"a \\\"truck\\\"\", water: 60 gal}", &thing, &err),
        LW_OK);
    const lw_convoy_share_wish wish = {.household = "Elk, \"horn\"",
                                       .confidence_frac = 0.8,
                                       .hour_usd = 12.0,
                                       .thing = &thing,
                                       .thing_count = 1,
                                       .draws = 16};
    lw_trials trials = lw_plan_source_trials(&source);
    if (lw_convoy_share(&trials, &wish, &text, &err))
        fail_msg("%s: %s", err.where, err.text);
    const lw_convoy_rig rig = rig_of(text);
    assert_string_equal(rig.household, "Elk, \"horn\"");
    assert_string_equal(rig.thing[0].name, "a \"truck\"");
    CHECK_NEAR(rig.thing[0].water_l, 60.0 * 3.785411784, 0.1, "water");
    CHECK_NEAR(rig.hour_usd, 12.0, 1e-9, "value of an hour");
    assert_true(rig.supply[LW_SUPPLY_FRESH].is_present && rig.supply[LW_SUPPLY_FRESH].use_per_day > 10.0);
    assert_true(rig.supply[LW_SUPPLY_FRESH].full_days >= rig.supply[LW_SUPPLY_FRESH].now_days - 1e-6);
    assert_null(strstr(text, "38.2")); /* where it stands is nobody's business */
    const int held = schema_holds("docs/convoy-share.schema.json", text);
    free(text);
    if (held == 77)
        skip();
    assert_int_equal(held, 0);
}

static void the_json_keeps_to_its_schema(void **state)
{
    const char *const text[] = {DRIVER, GUEST};
    lw_convoy *c = planned(text, 2);
    (void)state;
    char *json = lw_convoy_json(c, "0.0.0");
    const int held = schema_holds("docs/convoy.schema.json", json);
    free(json);
    free(c);
    if (held == 77)
        skip();
    assert_int_equal(held, 0);
}

int main(void)
{
    const struct CMUnitTest test[] = {
        cmocka_unit_test(one_run_serves_both_and_is_split_by_joining),
        cmocka_unit_test(parts_add_up_and_nobody_pays_more_than_by_itself),
        cmocka_unit_test(the_chance_is_of_all_supplies_of_all_rigs),
        cmocka_unit_test(what_cannot_be_planned_is_refused),
        cmocka_unit_test(a_share_file_that_is_none_is_refused_with_its_line),
        cmocka_unit_test(what_is_shared_can_be_read_and_tells_nothing_else),
        cmocka_unit_test(the_json_keeps_to_its_schema),
    };
    return cmocka_run_group_tests(test, NULL, NULL);
}
