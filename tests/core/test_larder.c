#include "core/house/larder.h"
#include "tests/check.h"

static void a_fridge_of_200_litres_serves_as_the_trade_says(void **state)
{
    (void)state;
    /* Common practice: 200 L serves two for 8-10 days, four for 5. */
    CHECK_NEAR(lw_larder_fresh_days(200.0, 2.0), 9.0, 1.0, "two");
    CHECK_NEAR(lw_larder_fresh_days(200.0, 4.0), 5.0, 0.01, "four");
    CHECK_NEAR(lw_larder_fresh_days(200.0, 0.0), 0.0, 0.0, "nobody");
}

static void food_keeps_as_the_cold_storage_chart_says(void **state)
{
    (void)state;
    /* FoodSafety.gov, cold food storage chart, days at 4 C. */
    static const double WANT[LW_LARDER_KIND_COUNT][2] = {{1, 2}, {3, 5}, {3, 4}, {3, 5}, {21, 35}};
    for (int kind = 0; kind < LW_LARDER_KIND_COUNT; kind++) {
        const lw_larder_keeps keeps = lw_larder_keep((lw_larder_kind)kind);
        CHECK_NEAR(keeps.short_days, WANT[kind][0], 0.0, "kind %d, short", kind);
        CHECK_NEAR(keeps.long_days, WANT[kind][1], 0.0, "kind %d, long", kind);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fridge_of_200_litres_serves_as_the_trade_says),
        cmocka_unit_test(food_keeps_as_the_cold_storage_chart_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
