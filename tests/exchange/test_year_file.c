/* A household's year as it writes it down: invented places; what is refused and in which words. */
#include "exchange/year_file.h"

#include <string.h>

#include "tests/check.h"

static void the_example_is_read(void **state)
{
    lw_year_file y;
    lw_err err = {0};
    (void)state;
    if (lw_year_file_load("examples/year.yaml", &y, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(y.count, 4);
    assert_true(y.stay[1].is_here && !y.stay[1].has_spot);
    CHECK_NEAR(y.stay[0].elevation_m, 200.0 * 0.3048, 1e-9, "200 ft"); /* international foot, exact */
    CHECK_NEAR(y.stay[0].longitude_deg, -115.0, 1e-12, "west");
    assert_int_equal(y.stay[0].to_day - y.stay[0].from_day, 28);
    assert_true(y.stay[3].has_spot); /* it stood before */
    CHECK_NEAR(y.stay[3].latitude_deg, 33.1, 1e-12, "the place of that name");
}

static void what_is_no_year_is_refused_with_its_line(void **state)
{
    static const struct {
        const char *text, *want;
    } row[] = {
        {"", ""},
        {"year: []\n", "a list of stays is wanted"},
        {"stays: [{place: here}]\n", "a list of stays is wanted"},
        {"year: [{place: here, from: 2026-06-08, to: 2026-06-22}]\nzone: UTC\n", "a list of stays is wanted"},
        {"year:\n  - {place: here, from: 2026-06-08}\n", "to is missing"},
        {"year:\n  - {plase: here, from: 2026-06-08, to: 2026-06-10}\n", "did you mean place?"},
        {"year:\n  - {place: here, from: 2026-06-31, to: 2026-07-10}\n", ""},
        {"year:\n  - {place: here, from: 2026-06-10, to: 2026-06-10}\n", "before its first night is over"},
        {"year:\n  - {place: here, from: 2026-01-01, to: 2026-06-10}\n", "160 nights; at most 60"},
        {"year:\n  - {place: A, latitude: 33 N, from: 2026-01-01, to: 2026-01-10}\n", "longitude is missing"},
        {"year:\n  - {place: here, latitude: 33 N, longitude: 111 W, from: 2026-01-01, to: 2026-01-10}\n",
         "place of the scenario"},
        {"year:\n  - {place: here, from: 2026-01-01, to: 2026-01-10}\n  - {place: here, from: 2026-01-09, to: "
         "2026-01-12}\n",
         "the stay of line 2"},
        {"year:\n  - {place: A, latitude: 33 N, longitude: 111 W, elevation: 200, from: 2026-01-01, to: 2026-01-10}\n",
         ""},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_year_file y = {.count = 7};
        lw_err err = {0};
        if (lw_year_file_read("y.yaml", row[i].text, strlen(row[i].text), &y, &err) == LW_OK || !err.text[0] ||
            !strstr(err.text, row[i].want))
            fail_msg("row %zu: \"%s\" at \"%s\", want %s", i, err.text, err.where, row[i].want);
        assert_int_equal(y.count, 7); /* all or nothing */
    }
}

int main(void)
{
    const struct CMUnitTest test[] = {
        cmocka_unit_test(the_example_is_read),
        cmocka_unit_test(what_is_no_year_is_refused_with_its_line),
    };
    return cmocka_run_group_tests(test, NULL, NULL);
}
