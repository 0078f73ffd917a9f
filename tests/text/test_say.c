#include "tests/check.h"

#include <string.h>

#include "text/decimal.h"
#include "text/say.h"

static void the_first_failure_wins(void **state)
{
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_fail(&err, LW_E_UNIT, "first %s", "one"), LW_E_UNIT);
    assert_int_equal(lw_fail(&err, LW_E_IO, "second"), LW_E_UNIT);
    assert_string_equal(err.text, "first one");
    assert_int_equal(err.code, LW_E_UNIT);
}

static void places_join_from_the_outside(void **state)
{
    lw_err err = {0};
    (void)state;
    lw_fail(&err, LW_E_RANGE, "x");
    lw_err_at(&err, NULL, 0, "battery.capacity");
    assert_string_equal(err.where, "battery.capacity");
    assert_int_equal(lw_err_at(&err, "rig.yaml", 14, NULL), LW_E_RANGE);
    assert_string_equal(err.where, "rig.yaml:14 battery.capacity");
    lw_err other = {0};
    lw_err_at(&other, NULL, 3, "air_c");
    assert_string_equal(other.where, "line 3 air_c");
    lw_err_at(&other, "day.csv", 0, NULL);
    assert_string_equal(other.where, "day.csv:3 air_c");
    char path[400];
    memset(path, 'p', sizeof path - 1);
    path[sizeof path - 1] = '\0';
    lw_err_at(&other, path, 1, NULL);
    assert_int_equal(strlen(other.where), sizeof other.where - 1);
}

static void faults_of_the_core_become_sentences(void **state)
{
    static const struct {
        lw_fault fault;
        const char *want;
    } row[] = {
        {{LW_E_RANGE, "elevation_m", 12000.0, -430.0, 11000.0}, "elevation is 12000 m; give -430 to 11000 m"},
        {{LW_E_RANGE, "air_c", NAN, -60.0, 60.0}, "air is not a number; give -60 to 60 C"},
        {{LW_E_RANGE, "price_usd_per_l", -1.0, 0.0, INFINITY}, "price is -1 USD/L; give 0 USD/L or more"},
        {{LW_E_RANGE, "wind_ms", 1e9, 0.0, 120.5}, "wind is 1000000000 m/s; give 0 to 120.5 m/s"},
        {{LW_E_RANGE, "start_soc_frac", 1.5, 0.0, 1.0}, "start soc is 1.5; give 0 to 1"},
        {{LW_E_MISSING, "wall_m2", NAN, 0.0, 100.0}, "wall is missing; give 0 to 100 m2"},
        {{LW_E_RANGE, NULL, 3.0, 0.0, 1.0}, "value is 3; give 0 to 1"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        assert_int_equal(lw_fault_say(&row[i].fault, &err), row[i].fault.code);
        assert_string_equal(err.text, row[i].want);
    }
}

static void the_nearest_word_is_found_and_far_ones_are_not(void **state)
{
    static const char *const list[] = {"battery", "propane", "fresh", "grey", "black"};
    (void)state;
    assert_string_equal(lw_nearest("batery", list, 5), "battery");
    assert_string_equal(lw_nearest("gray", list, 5), "grey");
    assert_string_equal(lw_nearest("rgey", list, 5), "grey");
    assert_string_equal(lw_nearest("PROPANE", list, 5), "propane");
    assert_null(lw_nearest("wombat", list, 5));
    assert_null(lw_nearest("x", list, 5));
    assert_null(lw_nearest("fresh", list, 0));
    /* Textbook pair for edit distance. */
    assert_int_equal(lw_edit_distance("kitten", "sitting"), 3);
    assert_int_equal(lw_edit_distance("", "abc"), 3);
    assert_int_equal(lw_edit_distance("ca", "ac"), 1);
}

static void foreign_bytes_are_fit_to_print(void **state)
{
    char much[200];
    (void)state;
    memset(much, 'a', sizeof much);
    assert_string_equal(lw_quoted("a\nb\x1b[", 5).text, "a?b?[");
    const lw_quoted_text cut = lw_quoted(much, sizeof much);
    assert_int_equal(strlen(cut.text), 63);
    assert_string_equal(cut.text + 60, "...");
    assert_int_equal(lw_quoted(much, 63).text[62], 'a');
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_failure_wins),
        cmocka_unit_test(places_join_from_the_outside),
        cmocka_unit_test(faults_of_the_core_become_sentences),
        cmocka_unit_test(the_nearest_word_is_found_and_far_ones_are_not),
        cmocka_unit_test(foreign_bytes_are_fit_to_print),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
