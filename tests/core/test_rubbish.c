#include "core/house/rubbish.h"
#include "tests/house_table.h"

static const double L_PER_GAL = 3.785411784, KG_PER_LB = 0.45359237; /* NIST SP 811, exact */

static void a_kitchen_bag_weighs_what_the_epa_density_gives(void **state)
{
    (void)state;
    /* EPA Volume-to-Weight Conversion Factors 2016: 138 lb/yd3; 13 gal: 8.88 lb. */
    CHECK_NEAR(lw_rubbish_kg(13.0 * L_PER_GAL) / KG_PER_LB, 8.88, 0.01, "13 gal in lb");
    CHECK_NEAR(lw_rubbish_loose_l(lw_rubbish_kg(49.0)), 49.0, 1e-12, "there and back");
    CHECK_NEAR(LW_FOOD_WASTE_KGPL, 396.0 * KG_PER_LB / 764.554858, 1e-4, "food scraps, 396 lb/yd3");
}

static void campers_make_a_quarter_to_a_third_of_the_national_figure(void **state)
{
    static house_table table;
    (void)state;
    house_table_open(&table);
    /* EPA 2018 facts and figures: 292.4 million short tons, 327.17 million residents: 4.9 lb a day, shops included. */
    const double each_lb = 292.4e6 * 2000.0 / (327.17e6 * 365.0);
    CHECK_NEAR(each_lb, 4.90, 0.01, "lb a resident and day");
    const double six_l = lw_rubbish_loose_l(6.0 * each_lb * KG_PER_LB);
    CHECK_NEAR(six_l / L_PER_GAL, 43.0, 0.5, "gal of loose bag for six");
    const lw_habit *h = habit_named(&table, "rubbish-loose");
    const double ratio = six_l / (6.0 * h->rate[LW_BEING_ADULT] * h->rubbish_l);
    CHECK_NEAR(ratio, 3.5, 0.5, "three to four times what campers report");
    CHECK_NEAR(lw_rubbish_kg(h->rubbish_l), h->rubbish_kg, 0.01, "the row's mass and litres");
    const lw_habit *pressed = habit_named(&table, "rubbish-pressed");
    CHECK_NEAR(lw_rubbish_pressed_l(h->rubbish_l), pressed->rubbish_l, 0.05, "the pressed row");
}

static void food_waste_keeps_two_to_three_days_hot_and_four_to_six_cool(void **state)
{
    (void)state;
    for (double air_c = 25.0; air_c <= 40.0; air_c += 1.0)
        CHECK_NEAR(1.0 / (24.0 * lw_rubbish_age_rate_perh(air_c)), 2.5, 0.5, "hot, %g C", air_c);
    for (double air_c = 7.0; air_c <= 15.0; air_c += 1.0)
        CHECK_NEAR(1.0 / (24.0 * lw_rubbish_age_rate_perh(air_c)), 5.0, 1.0, "cool, %g C", air_c);
}

static void warmer_rubbish_never_ages_slower_nor_in_jumps(void **state)
{
    (void)state;
    for (double air_c = -60.0; air_c < 70.0; air_c += 0.1) {
        const double step = lw_rubbish_age_rate_perh(air_c + 0.1) - lw_rubbish_age_rate_perh(air_c);
        if (!(step >= 0.0 && step <= 0.0011 / 24.0))
            fail_msg("at %g C the rate changes by %g", air_c, step);
        assert_true(lw_rubbish_age_rate_perh(air_c) > 0.0);
    }
    assert_true(isnan(lw_rubbish_age_rate_perh(NAN)));
    assert_true(lw_rubbish_kind_factor(LW_RUBBISH_KIND_DRY) < lw_rubbish_kind_factor(LW_RUBBISH_KIND_MIXED));
    assert_true(lw_rubbish_kind_factor(LW_RUBBISH_KIND_MIXED) < lw_rubbish_kind_factor(LW_RUBBISH_KIND_FOOD));
}

static void the_rack_is_not_for_places_with_animals(void **state)
{
    static words w;
    static const char *const PLACES[] = {
#define WORD(id, word) word,
        LW_RUBBISH_PLACES(WORD)
#undef WORD
    };
    (void)state;
    words_open(&w, "data/rubbish_places.csv");
    words_check_sources(&w);
    assert_int_equal(w.rows - 1, LW_RUBBISH_PLACE_COUNT);
    for (int row = 1; row < w.rows; row++) {
        const lw_rubbish_place place = (lw_rubbish_place)(row - 1);
        assert_string_equal(w.cell[row][0], PLACES[place]);
        assert_true(lw_rubbish_is_allowed(place, 0));
        assert_int_equal(lw_rubbish_is_allowed(place, 1), (int)words_number(&w, row, "where_animals"));
        assert_int_equal(place == LW_RUBBISH_SHOWER, (int)words_number(&w, row, "stops_showers"));
        assert_true(words_number(&w, row, "capacity_l") > 0.0);
    }
    assert_false(lw_rubbish_is_allowed(LW_RUBBISH_RACK, 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_kitchen_bag_weighs_what_the_epa_density_gives),
        cmocka_unit_test(campers_make_a_quarter_to_a_third_of_the_national_figure),
        cmocka_unit_test(food_waste_keeps_two_to_three_days_hot_and_four_to_six_cool),
        cmocka_unit_test(warmer_rubbish_never_ages_slower_nor_in_jumps),
        cmocka_unit_test(the_rack_is_not_for_places_with_animals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
