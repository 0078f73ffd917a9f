#include "exchange/tables.h"

#include <string.h>

#include "exchange/scenario.h"
#include "exchange/tables_typed.h"
#include "tests/check.h"

static void cells_are_found_by_row_and_column(void **state)
{
    (void)state;
    static const char TEXT[] =
        "# a comment, with a comma\r\nid,size_l,note\r\n\r\na,1.5,\"one, two\"\n# between\nb,,\"say \"\"hi\"\"\"\n";
    lw_table table;
    lw_err err = {0};
    double size_l;
    assert_int_equal(lw_table_parse("t", TEXT, sizeof TEXT - 1, &table, &err), LW_OK);
    assert_int_equal(table.rows, 2);
    assert_int_equal(table.columns, 3);
    assert_string_equal(lw_table_cell(&table, 0, "note"), "one, two");
    assert_string_equal(lw_table_cell(&table, 1, "note"), "say \"hi\"");
    assert_int_equal(lw_table_row(&table, "id", "b"), 1);
    assert_int_equal(lw_table_row(&table, "id", "c"), -1);
    assert_string_equal(lw_table_cell(&table, 0, "colour"), "");
    assert_string_equal(lw_table_cell(&table, 7, "id"), "");
    assert_int_equal(lw_table_number(&table, 0, "size_l", &size_l, &err), LW_OK);
    CHECK_NEAR(size_l, 1.5, 0.0, "size");
    assert_int_equal(lw_table_number(&table, 1, "size_l", &size_l, &err), LW_OK);
    assert_true(isnan(size_l));
    assert_int_equal(lw_table_number(&table, 0, "note", &size_l, &err), LW_E_SYNTAX);
    lw_table_clear(&table);
    lw_table_clear(&table);
}

static void a_row_of_another_length_is_refused(void **state)
{
    (void)state;
    lw_table table;
    lw_err err = {0};
    assert_int_equal(lw_table_parse("t", "a,b\n1,2,3\n", 10, &table, &err), LW_E_SYNTAX);
    assert_null(table.text);
    err = (lw_err){0};
    assert_int_equal(lw_table_open("no-such-table", &table, &err), LW_E_MISSING);
}

static void each_row_of_the_habits_and_stay_rules_is_taken_by_the_core(void **state)
{
    (void)state;
    lw_table table;
    lw_err err = {0};
    lw_habit habit;
    lw_stay_rule rule;
    assert_int_equal(lw_table_open("habits", &table, &err), LW_OK);
    assert_true(table.rows > 40);
    for (int row = 0; row < table.rows; row++)
        if (lw_habit_of_row(&table, row, &habit, &err))
            fail_msg("%s", err.text);
    lw_table_clear(&table);
    assert_int_equal(lw_table_open("stay_rules", &table, &err), LW_OK);
    for (int row = 0; row < table.rows; row++)
        if (lw_stay_rule_of_row(&table, row, &rule, &err))
            fail_msg("%s", err.text);
    assert_int_equal(lw_stay_rule_of_row(&table, lw_table_row(&table, "id", "blm-usual"), &rule, &err), LW_OK);
    assert_int_equal(rule.days, 14); /* 62 FR 66880: 14 days in any 28 within 25 mi */
    assert_int_equal(rule.window_days, 28);
    CHECK_NEAR(rule.radius_m, 40233.6, 1.0, "25 mi");
    lw_table_clear(&table);
}

static void each_default_is_of_a_key_and_says_where_it_comes_from(void **state)
{
    (void)state;
    lw_table table;
    lw_err err = {0};
    static const char *const KINDS[] = {"published", "common practice", "from memory", "yours"};
    assert_int_equal(lw_table_open("defaults", &table, &err), LW_OK);
    for (int row = 0; row < table.rows; row++) {
        const char *key = lw_table_cell(&table, row, "key");
        int is_key = 0, is_kind = 0;
        for (int i = 0; lw_scenario_key(i); i++)
            is_key |= strcmp(lw_scenario_key(i), key) == 0;
        for (size_t i = 0; i < COUNT_OF(KINDS); i++)
            is_kind |= strcmp(KINDS[i], lw_table_cell(&table, row, "kind")) == 0;
        if (!is_key || !is_kind || !*lw_table_cell(&table, row, "source"))
            fail_msg("%s: key %d, kind %d", key, is_key, is_kind);
        assert_int_equal(lw_table_row(&table, "key", key), row); /* once */
    }
    lw_table_clear(&table);
}

static void a_caution_is_found_by_its_trigger(void **state)
{
    (void)state;
    lw_table table;
    lw_err err = {0};
    assert_int_equal(lw_table_open("cautions", &table, &err), LW_OK);
    const int row = lw_table_row(&table, "id", "co");
    assert_true(lw_caution_is_for(&table, row, "propane"));
    assert_true(lw_caution_is_for(&table, row, "furnace"));
    assert_false(lw_caution_is_for(&table, row, "pro"));
    assert_false(lw_caution_is_for(&table, row, "rain"));
    lw_table_clear(&table);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cells_are_found_by_row_and_column),
        cmocka_unit_test(a_row_of_another_length_is_refused),
        cmocka_unit_test(each_row_of_the_habits_and_stay_rules_is_taken_by_the_core),
        cmocka_unit_test(each_default_is_of_a_key_and_says_where_it_comes_from),
        cmocka_unit_test(a_caution_is_found_by_its_trigger),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
