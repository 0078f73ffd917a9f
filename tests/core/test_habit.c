#include "core/house/habit.h"
#include "tests/house_table.h"

static house_table table;

static int open_table(void **state)
{
    (void)state;
    house_table_open(&table);
    return 0;
}

static void every_row_of_the_table_passes_its_check(void **state)
{
    (void)state;
    words_check_sources(&table.text);
    for (int i = 0; i < table.count; i++) {
        lw_fault fault = {0};
        if (lw_habit_check(&table.habit[i], &fault))
            fail_msg("%s: %s is %g, want %g..%g", table.habit[i].id, fault.field, fault.value, fault.low, fault.high);
    }
}

static void the_ways_of_water_sum_to_one_in_every_row(void **state)
{
    (void)state;
    for (int i = 0; i < table.count; i++) {
        const lw_habit *h = &table.habit[i];
        CHECK_NEAR(h->to_grey_frac + h->to_black_frac + h->to_outdoors_frac + h->gone_frac, 1.0, 1e-12, "%s", h->id);
    }
}

static void every_activity_is_offered_and_wipes_go_to_the_rubbish(void **state)
{
    int seen[LW_ACTIVITY_COUNT] = {0};
    (void)state;
    for (int i = 0; i < table.count; i++) {
        const lw_habit *h = &table.habit[i];
        seen[h->activity]++;
        if (h->activity == LW_ACTIVITY_WIPES && !(h->rubbish_l > 0.0 && h->black_l == 0.0 && h->water_l == 0.0))
            fail_msg("%s does not go to the rubbish alone", h->id);
    }
    for (int a = 0; a < LW_ACTIVITY_COUNT; a++)
        if (!seen[a])
            fail_msg("no row for %s", ACTIVITY_WORDS[a]);
}

/* Litres a day of one adult over the rows of a style, without the camp's own. */
static double adult_water_l(const char *style)
{
    double sum = 0.0;
    for (int i = 0; i < table.count; i++) {
        const lw_habit *h = &table.habit[i];
        const char *row = words_at(&table.text, i + 1, "style");
        if (h->rhythm == LW_RHYTHM_PERSON && (!strcmp(row, style) || !strcmp(row, "both")))
            sum += h->rate[LW_BEING_ADULT] * h->water_l;
    }
    return sum;
}

static void normal_and_careful_households_draw_what_campers_report(void **state)
{
    (void)state;
    /* Common practice of campers: normal with a daily short shower 15-26, careful 7.5-11 L a person and day. */
    const double normal_l = adult_water_l("normal"), careful_l = adult_water_l("careful");
    CHECK_NEAR(normal_l, 20.5, 5.5, "normal");
    CHECK_NEAR(careful_l, 9.25, 1.75, "careful");
    /* Sphere Handbook (2011), basic survival needs: food and drink 2.5-3, hygiene 2-6, cooking 3-6; together 7.5-15. */
    CHECK_NEAR(careful_l, (7.5 + 15.0) / 2.0, (15.0 - 7.5) / 2.0, "careful, by Sphere");
    assert_true(normal_l > careful_l);
}

static void drinking_is_what_the_dietary_reference_leaves_to_drink(void **state)
{
    (void)state;
    /* Institute of Medicine, Dietary Reference Intakes for Water, 2004: 3.7 L men, 2.7 women, food gives about 20 %. */
    const double mean_l = 0.8 * (3.7 + 2.7) / 2.0;
    const lw_habit *h = habit_named(&table, "drink-tap");
    CHECK_NEAR(h->rate[LW_BEING_ADULT] * h->water_l, mean_l, 0.1, "mean of men and women");
}

static void excreta_are_the_published_medians(void **state)
{
    (void)state;
    /* Rose and others 2015: 1.42 L urine (recalled), 128 g faeces; children about 0.6 (common practice). */
    const lw_habit *h = habit_named(&table, "excreta");
    CHECK_NEAR(h->black_l, 1.42 + 0.128, 1e-12, "litres");
    CHECK_NEAR(h->rate[LW_BEING_CHILD], 0.6, 0.0, "child");
}

static void careful_rows_use_no_more_than_normal_rows(void **state)
{
    (void)state;
    for (int a = 0; a < LW_ACTIVITY_COUNT; a++) {
        double use[2] = {NAN, NAN};
        for (int i = 0; i < table.count; i++) {
            const lw_habit *h = &table.habit[i];
            const char *style = words_at(&table.text, i + 1, "style");
            const double moved = h->rate[LW_BEING_ADULT] * (h->water_l + h->data_gb);
            if ((int)h->activity == a && !strcmp(style, "normal"))
                use[0] = moved;
            if ((int)h->activity == a && !strcmp(style, "careful"))
                use[1] = moved;
        }
        if (use[1] > use[0])
            fail_msg("%s: careful %g, normal %g", ACTIVITY_WORDS[a], use[1], use[0]);
    }
}

static void a_family_month_of_data_is_near_420_gigabytes(void **state)
{
    (void)state;
    /* Two workers 20 days at 8 h, two pupils 20 days at 4 h, an evening film: 420 GB, arithmetic on common rates. */
    const double month_gb = 2 * 20 * 8 * habit_named(&table, "work-calls")->data_gb +
                            2 * 20 * 4 * habit_named(&table, "school-stream")->data_gb +
                            30 * 2 * habit_named(&table, "leisure-sd")->data_gb;
    CHECK_NEAR(month_gb, 420.0, 21.0, "month");
}

static void profiles_sum_to_one(void **state)
{
    (void)state;
    for (int p = 0; p < LW_PROFILE_COUNT; p++) {
        double weight[24], sum = 0.0;
        lw_profile_weights((lw_profile)p, weight);
        for (int hour = 0; hour < 24; hour++) {
            assert_true(weight[hour] >= 0.0);
            sum += weight[hour];
        }
        CHECK_NEAR(sum, 1.0, 1e-12, "%s", PROFILE_WORDS[p]);
    }
}

static void wrong_rows_are_refused(void **state)
{
    (void)state;
    lw_fault fault;
    lw_habit h = *habit_named(&table, "shower-short");
    h.water_l = NAN;
    assert_int_equal(lw_habit_check(&h, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "habit.water_l");
    h = *habit_named(&table, "shower-short");
    h.hot_l = h.water_l + 0.1;
    assert_int_equal(lw_habit_check(&h, &fault), LW_E_RANGE);
    h = *habit_named(&table, "shower-short");
    h.gone_frac += 1e-6;
    assert_int_equal(lw_habit_check(&h, &fault), LW_E_RANGE);
    h = *habit_named(&table, "shower-short");
    h.rate[LW_BEING_TEEN] = -1.0;
    assert_int_equal(lw_habit_check(&h, &fault), LW_E_RANGE);
    h = *habit_named(&table, "flush-medium");
    h.to_black_frac = 0.5;
    h.to_outdoors_frac = 0.5;
    assert_int_equal(lw_habit_check(&h, &fault), LW_E_CONFLICT);
    h = *habit_named(&table, "flush-medium");
    h.black_l = 0.1;
    assert_int_equal(lw_habit_check(&h, &fault), LW_E_CONFLICT);
    h = *habit_named(&table, "cook-gas");
    h.rubbish_l = h.data_gb = 1.0; /* with drawn, grey, gone and gas: six */
    assert_int_equal(lw_habit_check(&h, &fault), LW_OK);
    h.dc_wh = 1.0;
    assert_int_equal(lw_habit_check(&h, &fault), LW_E_FULL);
    h = *habit_named(&table, "cook-gas");
    h.profile = LW_PROFILE_COUNT;
    assert_int_equal(lw_habit_check(&h, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_of_the_table_passes_its_check),
        cmocka_unit_test(the_ways_of_water_sum_to_one_in_every_row),
        cmocka_unit_test(every_activity_is_offered_and_wipes_go_to_the_rubbish),
        cmocka_unit_test(normal_and_careful_households_draw_what_campers_report),
        cmocka_unit_test(drinking_is_what_the_dietary_reference_leaves_to_drink),
        cmocka_unit_test(excreta_are_the_published_medians),
        cmocka_unit_test(careful_rows_use_no_more_than_normal_rows),
        cmocka_unit_test(a_family_month_of_data_is_near_420_gigabytes),
        cmocka_unit_test(profiles_sum_to_one),
        cmocka_unit_test(wrong_rows_are_refused),
    };
    return cmocka_run_group_tests(tests, open_table, NULL);
}
