/* The tables of defaults that no module of the core reads itself: rigs, appliances, cautions, people. */
#include "core/sim/scenario.h"
#include "tests/words.h"

static words w;

static void want_between(int row, const char *column, double low, double high)
{
    const double value = words_number(&w, row, column);
    if (!(value >= low && value <= high))
        fail_msg("%s: %s is %g, want %g..%g", w.cell[row][0], column, value, low, high);
}

static void rigs_lie_in_the_ranges_of_the_trade(void **state)
{
    static const char *const KINDS[] = {"van",     "small-trailer", "trailer",     "fifth-wheel",
                                        "class-c", "class-a",       "truck-camper"};
    (void)state;
    words_open(&w, "data/rig_columns.csv");
    words_check_sources(&w);
    words_open(&w, "data/rigs.csv");
    assert_int_equal(w.rows - 1, COUNT_OF(KINDS));
    for (int row = 1; row < w.rows; row++) {
        assert_string_equal(w.cell[row][0], KINDS[row - 1]);
        /* Common practice: fresh 75-380 L, grey 75-300, black 75-190 (cassette 15-20); conductance 70-330 W/K; mass
         * 1-3 MJ/K for 6-10 m rigs; furnace 4.7-11.7 kW at 0.75-0.80; storage heater 2.6-3.5 kW. */
        want_between(row, "fresh_l", 75.0, 380.0);
        want_between(row, "grey_l", 75.0, 300.0);
        want_between(row, "black_l", strcmp(words_at(&w, row, "toilet"), "cassette") ? 60.0 : 15.0, 190.0);
        want_between(row, "ua_wk", 70.0, 330.0);
        want_between(row, "mass_jk", 0.8e6, 3.0e6);
        want_between(row, "furnace_input_w", 4700.0, 11700.0);
        want_between(row, "furnace_frac", 0.75, 0.80);
        if (words_number(&w, row, "water_heater_l") > 0.0) {
            want_between(row, "water_heater_input_w", 2600.0, 3500.0);
            want_between(row, "water_heater_standing_w", 40.0, 70.0);
        }
        /* wind over 8 m/s adds 10-25 % */
        want_between(row, "wind_wkpms", 0.10 / 8.0 * words_number(&w, row, "ua_wk"),
                     0.25 / 8.0 * words_number(&w, row, "ua_wk"));
        want_between(row, "pump_wh_per_l", 0.4 / 3.785412, 0.6 / 3.785412); /* 0.4-0.6 Wh a gallon */
        want_between(row, "open_cylinders", 1.0, words_number(&w, row, "cylinders"));
        want_between(row, "furnace_cut_v", 10.0, 11.5);
        want_between(row, "rubbish_l", 15.0, 150.0);
    }
}

static void appliances_name_their_kind_and_rhythm(void **state)
{
    static const char *const POWERS[] = {"dc", "ac"};
    static const char *const RHYTHMS[] = {"always", "weekly", "present",  "work",
                                          "school", "dark",   "bay-cold", "cabin-hot"};
    static const char *const HOURS[] = {"always",    "never", "night",  "evening", "morning",
                                        "breakfast", "meals", "waking", "work",    "school"};
    static const char *const GROUPS[] = {
#define WORD(id, word) word,
        LW_GROUPS(WORD)
#undef WORD
    };
    (void)state;
    words_open(&w, "data/appliances.csv");
    words_check_sources(&w);
    assert_true(w.rows - 1 <= LW_LOADS + 20);
    int vital = 0, network = 0, alarm = 0;
    for (int row = 1; row < w.rows; row++) {
        words_index(POWERS, 2, words_at(&w, row, "power"), w.cell[row][0]);
        words_index(RHYTHMS, COUNT_OF(RHYTHMS), words_at(&w, row, "rhythm"), w.cell[row][0]);
        words_index(HOURS, COUNT_OF(HOURS), words_at(&w, row, "hours"), w.cell[row][0]);
        words_index(GROUPS, COUNT_OF(GROUPS), words_at(&w, row, "group"), w.cell[row][0]);
        want_between(row, "watts", 0.5, 2000.0);
        want_between(row, "duty_frac", 0.01, 1.0);
        want_between(row, "inside_frac", 0.0, 1.0);
        /* energy of a day = watts x duty_frac x hours_perday, spread over the named hours */
        want_between(row, "hours_perday", 0.0, 24.0);
        if (!strcmp(words_at(&w, row, "rhythm"), "always"))
            want_between(row, "hours_perday", 24.0, 24.0);
        if (words_number(&w, row, "cut_v") != 0.0)
            want_between(row, "cut_v", 8.0, 11.5);
        vital += words_number(&w, row, "is_vital") > 0.0;
        network += words_number(&w, row, "is_network") > 0.0;
        alarm += words_number(&w, row, "is_alarm") > 0.0;
        if (words_number(&w, row, "is_vital") > 0.0)
            want_between(row, "with_generator_only", 0.0, 0.0);
        assert_true(strlen(w.cell[row][0]) < LW_NAME);
    }
    /* Common practice: 100-200 L compressor fridge 500-900 Wh a day at 25 C. */
    const int fridge = words_row(&w, "fridge-compressor");
    CHECK_NEAR(words_number(&w, fridge, "watts") * words_number(&w, fridge, "duty_frac") *
                   words_number(&w, fridge, "hours_perday"),
               700.0, 200.0, "compressor fridge, Wh a day");
    assert_true(vital >= 3 && network >= 3 && alarm >= 1);
}

static void each_caution_defers_to_those_who_know_more(void **state)
{
    (void)state;
    words_open(&w, "data/cautions.csv");
    words_check_sources(&w);
    for (int row = 1; row < w.rows; row++) {
        const char *text = words_at(&w, row, "text");
        assert_true(*words_at(&w, row, "triggers") != '\0');
        if (strlen(text) < 80 || strlen(text) > 420)
            fail_msg("%s has %zu characters", w.cell[row][0], strlen(text));
        const int names_one = strstr(text, "manual") || strstr(text, "code") || strstr(text, "office") ||
                              strstr(text, "Local") || strstr(text, "local");
        if (!names_one)
            fail_msg("%s defers to nobody", w.cell[row][0]);
        const char *triggers = words_at(&w, row, "triggers");
        if ((strstr(triggers, "propane") || strstr(triggers, "battery")) && !strstr(text, "licensed technician"))
            fail_msg("%s is about gas or wiring and names no licensed technician", w.cell[row][0]);
    }
}

static void people_give_the_heat_of_the_handbook(void **state)
{
    (void)state;
    words_open(&w, "data/people.csv");
    words_check_sources(&w);
    /* ASHRAE Handbook Fundamentals: 72 W sensible seated; asleep 45-60 W and children 0.6-0.75 by practice. */
    const int adult = words_row(&w, "adult"), child = words_row(&w, "child");
    want_between(adult, "sensible_awake_w", 72.0, 72.0);
    want_between(adult, "sensible_asleep_w", 45.0, 60.0);
    want_between(child, "sensible_awake_w", 0.6 * 72.0, 0.75 * 72.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rigs_lie_in_the_ranges_of_the_trade),
        cmocka_unit_test(appliances_name_their_kind_and_rhythm),
        cmocka_unit_test(each_caution_defers_to_those_who_know_more),
        cmocka_unit_test(people_give_the_heat_of_the_handbook),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
