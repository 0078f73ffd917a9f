#include "tests/check.h"

#include "core/heat/food.h"

static lw_food_clock_out clock_after(lw_food_clock_in in)
{
    lw_food_clock_out out;
    lw_food_clock(&in, &out);
    return out;
}

static void warm_food_is_thrown_after_two_hours_or_one_in_heat(void **state)
{
    (void)state;
    /* USDA FSIS power-outage advice. */
    static const struct {
        lw_food_clock_in in;
        lw_food_advice want;
    } row[] = {
        {{.food_c = 6.0, .around_c = 25.0, .step_h = 2.0 + 5.0 / 60.0}, LW_FOOD_THROW},
        {{.food_c = 6.0, .around_c = 33.0, .step_h = 1.0 + 10.0 / 60.0}, LW_FOOD_THROW},
        {{.food_c = 4.4, .around_c = 25.0, .step_h = 3.0 + 50.0 / 60.0}, LW_FOOD_KEEP},
        {{.food_c = 6.0, .around_c = 25.0, .step_h = 1.0 + 10.0 / 60.0}, LW_FOOD_SOON},
        {{.food_c = 4.0, .around_c = 25.0, .spent_frac = 0.5, .step_h = 9.0}, LW_FOOD_SOON},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++)
        if (clock_after(row[i].in).advice != row[i].want)
            fail_msg("row %zu: advice %d, want %d", i, (int)clock_after(row[i].in).advice, (int)row[i].want);
    CHECK_NEAR(clock_after((lw_food_clock_in){.food_c = 6.0, .around_c = 25.0, .step_h = 0.5}).left_h, 1.5, 1e-12,
               "left");
}

static void the_clock_of_two_halves_is_the_clock_of_the_whole(void **state)
{
    (void)state;
    const lw_food_clock_in half = {.food_c = 10.0, .around_c = 20.0, .step_h = 0.4};
    lw_food_clock_in second = half;
    second.spent_frac = clock_after(half).spent_frac;
    lw_food_clock_in whole = half;
    whole.step_h = 0.8;
    CHECK_NEAR(clock_after(second).spent_frac, clock_after(whole).spent_frac, 1e-15, "spent");
}

static void shut_doors_hold_the_published_hours(void **state)
{
    (void)state;
    /* USDA FSIS: fridge 4 h; full freezer 48 h, half full 24 h. */
    CHECK_NEAR(lw_fridge_hold_h(), 4.0, 0.0, "fridge");
    CHECK_NEAR(lw_freezer_hold_h(1.0), 48.0, 0.0, "full");
    CHECK_NEAR(lw_freezer_hold_h(0.5), 24.0, 0.0, "half");
    CHECK_NEAR(lw_freezer_hold_h(7.0), 48.0, 0.0, "never more");
    assert_true(3.0 + 50.0 / 60.0 < lw_fridge_hold_h());
}

static void food_keeps_the_chart_s_days(void **state)
{
    (void)state;
    /* FoodSafety.gov cold storage chart, early end. */
    CHECK_NEAR(lw_cold_food_days(LW_COLD_FOOD_POULTRY), 1.0, 0.0, "poultry");
    CHECK_NEAR(lw_cold_food_days(LW_COLD_FOOD_LEFTOVER), 3.0, 0.0, "leftovers");
    CHECK_NEAR(lw_cold_food_days(LW_COLD_FOOD_EGG), 21.0, 0.0, "eggs");
    CHECK_NEAR(lw_cold_food_days(LW_COLD_FOOD_COUNT), 0.0, 0.0, "none of the list");
}

static void ice_holds_and_loses_the_published_cold(void **state)
{
    (void)state;
    /* 334 kJ/kg: 10 lb 420.8 Wh; cooler of 1.2 W/K, 25 K, a day: 7.76 kg. 0.2 %. */
    CHECK_NEAR(lw_ice_cold_wh(10.0 * 0.45359237), 420.8, 0.002 * 420.8, "10 lb");
    CHECK_NEAR(lw_cooler_ice_kg(&(lw_cooler_in){.ua_wk = 1.2, .warmer_k = 25.0, .hours = 24.0}), 7.76, 0.002 * 7.76,
               "a day");
    CHECK_NEAR(lw_cooler_ice_kg(&(lw_cooler_in){.ua_wk = 1.2, .warmer_k = -5.0, .hours = 24.0}), 0.0, 0.0, "frost");
}

static void bad_clocks_are_refused(void **state)
{
    (void)state;
    lw_fault fault;
    lw_food_clock_in in = {.food_c = 6.0, .around_c = 25.0, .step_h = 1.0};
    assert_int_equal(lw_food_clock_check(&in, &fault), LW_OK);
    in.step_h = (double)NAN;
    assert_int_equal(lw_food_clock_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "step_h");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(warm_food_is_thrown_after_two_hours_or_one_in_heat),
        cmocka_unit_test(the_clock_of_two_halves_is_the_clock_of_the_whole),
        cmocka_unit_test(shut_doors_hold_the_published_hours),
        cmocka_unit_test(food_keeps_the_chart_s_days),
        cmocka_unit_test(ice_holds_and_loses_the_published_cold),
        cmocka_unit_test(bad_clocks_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
