/* Services and runs as a household writes them: invented places; what is refused and in which words. */
#include "exchange/errands.h"

#include <string.h>

#include "tests/check.h"

static void the_example_is_read(void **state)
{
    lw_errands e;
    lw_err err = {0};
    (void)state;
    if (lw_errands_load("examples/errands.yaml", &e, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(e.service_count, 4);
    assert_int_equal(e.type_count, 2);
    assert_true(e.service[0].supplies ==
                (1u << LW_SUPPLY_FRESH | 1u << LW_SUPPLY_GREY | 1u << LW_SUPPLY_BLACK | 1u << LW_SUPPLY_RUBBISH));
    CHECK_NEAR(e.service[0].road_km, 14.0 * 1.609344, 1e-6, "14 miles");
    CHECK_NEAR(e.service[0].road_h, 0.5, 1e-9, "half an hour");
    assert_true(!(e.service[0].open[6] >> 8 & 1u) && e.service[0].open[0] >> 8 & 1u &&
                !(e.service[0].open[0] >> 18 & 1u));
    assert_int_equal(e.service[3].users, LW_ERRAND_UNKNOWN);
    CHECK_NEAR(e.type[0].cans_l, 28.0 * 3.785411784, 1e-6, "28 gal"); /* US gallon: NIST SP 811 */
    assert_true(e.type[1].is_break_camp && isnan(e.type[1].cans_l));
    CHECK_NEAR(e.type[1].ready_h, 100.0 / 60.0, 1e-9, "breaking camp");
}

/* By hand: three cans of 5 gal lifted to 30 lb each hold 13.6 kg instead of 18.9; a payload of 60 lb takes 27.2 l of waste. */
static void fees_passes_and_masses_are_reckoned(void **state)
{
    static const char TEXT[] =
        "passes: [county, state]\n"
        "services:\n"
        "  - {name: a, gives: [water, dump], distance: 3 mi, road: 5 min, fee: 9 USD, pass: county, pass_fee: 2 USD,\n"
        "     fees: {dump: 4 USD}, closed_from: 2026-06-12, confirmed: 2025-05-01, bag: 13 gal, for: customers, buy: 6 "
        "USD}\n"
        "  - {name: b, gives: water, distance: 3 mi, road: 5 min, fee: 9 USD, pass: club}\n"
        "runs:\n"
        "  - {kind: runabout, cans: 15 gal, lift: 30 lb, payload: 60 lb, waste_tank: 15 gal, can_time: 3 min}\n"
        "fallback: {name: over there, distance: 2 mi, road: 6 min, night: 12 USD}\n";
    lw_errands e;
    lw_err err = {0};
    (void)state;
    if (lw_errands_read("e.yaml", TEXT, sizeof TEXT - 1, &e, &err))
        fail_msg("%s: %s", err.where, err.text);
    CHECK_NEAR(e.service[0].fee_usd, 2.0, 1e-9, "with the pass");
    CHECK_NEAR(e.service[1].fee_usd, 9.0, 1e-9, "without");
    assert_true(e.service[0].is_cut && !e.service[1].is_cut && e.service[0].users == LW_ERRAND_CUSTOMERS);
    CHECK_NEAR(e.service[0].each_usd[LW_SUPPLY_GREY], 4.0, 1e-9, "the dump besides");
    CHECK_NEAR(e.service[0].each_usd[LW_SUPPLY_BLACK], 0.0, 1e-9, "paid once");
    assert_true(e.service[0].closed_until == e.service[0].closed_from && strcmp(e.service[0].source, "e.yaml:3") == 0);
    CHECK_NEAR(e.type[0].cans_l, 60.0 * 0.45359237, 1e-6, "no more than the payload"); /* pound: NIST SP 811 */
    CHECK_NEAR(e.type[0].waste_l, 60.0 * 0.45359237, 1e-6, "no more than the payload");
    CHECK_NEAR(e.fallback.night_usd, 12.0, 1e-9, "a night there");
}

static void what_is_wrong_is_said_with_its_line(void **state)
{
    static const struct {
        const char *text, *where, *sentence;
    } ROW[] = {
        {"services: []\n", "e.yaml:1", "there is no list runs"},
        {"- 3\n", "e.yaml:1", "there is no list services"},
        {"services:\n  - {name: a, gives: water, distance: 3 mi}\nruns: []\n", "e.yaml:2", "road is missing"},
        {"services:\n  - {name: a, gives: water, distance: 3, road: 5 min}\nruns: []\n", "e.yaml:2", "unit"},
        {"services:\n  - {name: a, gives: gold, distance: 3 mi, road: 5 min}\nruns: []\n", "e.yaml:2", "gold"},
        {"services:\n  - {name: a, givs: water}\nruns: []\n", "e.yaml:2", "did you mean gives?"},
        {"services:\n  - {name: a, gives: water, distance: 3 mi, road: 5 min, fees: {dump: 3 USD}}\nruns: []\n",
         "e.yaml:2", "not among what it gives"},
        {"services: []\nruns: []\npases: county\n", "e.yaml:3", "did you mean passes?"},
        {"services: []\nruns: []\nfallback: {name: a}\n", "e.yaml:3", "distance is missing"},
        {"services:\n  - town\nruns: []\n", "e.yaml:2", "a map of keys stands here"},
        {"services: []\nruns:\n  - {kind: helicopter}\n", "e.yaml:3", "helicopter"},
        {"services: []\nruns:\n  - {kind: runabout}\n  - {kind: runabout}\n  - {kind: runabout}\n  - {kind: "
         "runabout}\n",
         "e.yaml", "at most 3 fit"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        lw_errands e;
        lw_err err = {0};
        const lw_code code = lw_errands_read("e.yaml", ROW[i].text, strlen(ROW[i].text), &e, &err);
        if (!code || !strstr(err.where, ROW[i].where) || !strstr(err.text, ROW[i].sentence))
            fail_msg("row %zu: code %d, %s: %s", i, code, err.where, err.text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_example_is_read),
        cmocka_unit_test(fees_passes_and_masses_are_reckoned),
        cmocka_unit_test(what_is_wrong_is_said_with_its_line),
    };
    return cmocka_run_group_tests_name("exchange/errands", tests, NULL, NULL);
}
