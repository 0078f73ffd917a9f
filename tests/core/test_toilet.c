#include "core/house/toilet.h"
#include "tests/words.h"

static const lw_black_tank_in FAMILY = {.adults = 2.0,
                                        .children = 4.0,
                                        .here_frac = 0.9,
                                        .flush_l = 0.15,
                                        .flushes_perday = 5.0,
                                        .paper_l = 0.0,
                                        .tank_l = 113.56};

static double days_of(lw_black_tank_in in)
{
    lw_fault fault;
    lw_black_tank_out out;
    assert_int_equal(lw_black_tank_check(&in, &fault), LW_OK);
    lw_black_tank(&in, &out);
    return out.days;
}

/* Six adults: Rose and others 2015; the family: common practice. The table tells more. */
static void a_black_tank_lasts_what_the_table_says(void **state)
{
    static words w;
    (void)state;
    words_open(&w, "tests/reference/black_tank_family.csv");
    for (int row = 1; row < w.rows; row++) {
        const double days = days_of((lw_black_tank_in){.adults = words_number(&w, row, "adults"),
                                                       .children = words_number(&w, row, "children"),
                                                       .here_frac = words_number(&w, row, "here_frac"),
                                                       .flush_l = words_number(&w, row, "flush_l"),
                                                       .flushes_perday = words_number(&w, row, "flushes_perday"),
                                                       .paper_l = words_number(&w, row, "paper_l"),
                                                       .tank_l = words_number(&w, row, "tank_l")});
        const double low = words_number(&w, row, "days_low"), high = words_number(&w, row, "days_high");
        if (!(days >= low && days <= high))
            fail_msg("%s: %.3f days, want %g..%g", w.cell[row][0], days, low, high);
    }
}

static void paper_in_the_bowl_costs_a_clear_part_of_the_days(void **state)
{
    (void)state;
    lw_black_tank_in with_paper = FAMILY;
    with_paper.paper_l = 0.45; /* paper and the water that carries it, as in the table */
    const double ratio = days_of(with_paper) / days_of(FAMILY);
    if (!(ratio < 0.85))
        fail_msg("with paper %.3f of the days without", ratio);
}

static void each_change_has_its_sign(void **state)
{
    (void)state;
    const double days = days_of(FAMILY);
    lw_black_tank_in in = FAMILY;
    in.flush_l *= 2.0;
    assert_true(days_of(in) < days);
    in = FAMILY;
    in.flushes_perday += 1.0;
    assert_true(days_of(in) < days);
    in = FAMILY;
    in.here_frac = 0.5;
    CHECK_NEAR(days_of(in), days * 0.9 / 0.5, 1e-9, "in proportion to the share at the rig");
    in = FAMILY;
    in.children = 3.0;
    assert_true(days_of(in) > days);
    in = FAMILY;
    in.adults += 1.0;
    in.children -= 1.0;
    assert_true(days_of(in) < days);
    in = FAMILY;
    in.tank_l *= 2.0;
    CHECK_NEAR(days_of(in), 2.0 * days, 1e-9, "in proportion to the tank");
}

static void a_tank_into_which_nothing_goes_has_no_days(void **state)
{
    (void)state;
    lw_black_tank_in in = FAMILY;
    in.here_frac = 0.0;
    assert_true(isnan(days_of(in)));
    in = FAMILY;
    in.tank_l = 0.0;
    CHECK_NEAR(days_of(in), 0.0, 0.0, "no tank");
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault;
    lw_black_tank_in in = FAMILY;
    in.here_frac = 1.01;
    assert_int_equal(lw_black_tank_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "here_frac");
    in = FAMILY;
    in.flush_l = NAN;
    assert_int_equal(lw_black_tank_check(&in, &fault), LW_E_RANGE);
    in = FAMILY;
    in.tank_l = -1.0;
    assert_int_equal(lw_black_tank_check(&in, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_black_tank_lasts_what_the_table_says),
        cmocka_unit_test(paper_in_the_bowl_costs_a_clear_part_of_the_days),
        cmocka_unit_test(each_change_has_its_sign),
        cmocka_unit_test(a_tank_into_which_nothing_goes_has_no_days),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
