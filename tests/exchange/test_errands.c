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
    assert_true(e.service[0].open[6] == 0 && e.service[0].open[0] >> 8 & 1u && !(e.service[0].open[0] >> 17 & 1u));
    assert_int_equal(e.service[3].users, LW_ERRAND_UNKNOWN);
    CHECK_NEAR(e.type[0].cans_l, 28.0 * 3.785411784, 1e-6, "28 gal"); /* US gallon: NIST SP 811 */
    assert_true(e.type[1].is_break_camp && isnan(e.type[1].cans_l));
    CHECK_NEAR(e.type[1].ready_h, 100.0 / 60.0, 1e-9, "breaking camp");
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
        cmocka_unit_test(what_is_wrong_is_said_with_its_line),
    };
    return cmocka_run_group_tests_name("exchange/errands", tests, NULL, NULL);
}
