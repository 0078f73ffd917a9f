#include "tests/check.h"

#include "core/heat/cooker.h"
#include "core/heat/people.h"
#include "core/heat/propane.h"

static void two_adults_at_rest_give_the_published_heat(void **state)
{
    (void)state;
    /* ASHRAE Fundamentals, people table: 72 W sensible + 31 latent at rest, 72 + 45 at a desk. */
    const lw_heads two = {.adults = 2.0};
    CHECK_NEAR(lw_people_heat(&two, LW_BODY_AT_REST).sensible_w, 144.0, 1e-12, "sensible");
    CHECK_NEAR(lw_people_heat(&two, LW_BODY_AT_REST).latent_w, 62.0, 1e-12, "latent");
    CHECK_NEAR(lw_people_heat(&two, LW_BODY_AT_DESK).latent_w, 90.0, 1e-12, "desk");
}

static void sleepers_children_and_dogs_give_less(void **state)
{
    (void)state;
    const lw_heads adult = {.adults = 1.0}, child = {.children = 1.0}, dog = {.dogs = 1.0};
    for (int a = 0; a < LW_BODY_STATE_COUNT; a++) {
        const lw_body_heat man = lw_people_heat(&adult, (lw_body_state)a);
        const lw_body_heat kid = lw_people_heat(&child, (lw_body_state)a);
        /* Common practice, no source: child x 0.6-0.75. */
        assert_true(kid.sensible_w >= 0.6 * man.sensible_w && kid.sensible_w <= 0.75 * man.sensible_w);
        assert_true(lw_people_heat(&dog, (lw_body_state)a).sensible_w < kid.sensible_w);
        /* Common practice, no source: 30-60 g/h each, at a desk a little over. */
        assert_true(man.vapour_gph > 30.0 && man.vapour_gph < 70.0);
    }
    /* 45-60 W sensible, 20-30 latent. */
    assert_true(lw_people_heat(&adult, LW_BODY_ASLEEP).sensible_w >= 45.0);
    assert_true(lw_people_heat(&adult, LW_BODY_ASLEEP).sensible_w <= 60.0);
    assert_true(lw_people_heat(&adult, LW_BODY_ASLEEP).latent_w >= 20.0);
}

static void nobody_gives_nothing(void **state)
{
    (void)state;
    const lw_heads none = {.adults = -1.0, .children = (double)NAN};
    CHECK_NEAR(lw_people_heat(&none, LW_BODY_AT_REST).sensible_w, 0.0, 0.0, "heat");
    CHECK_NEAR(lw_cooker_gas_kg(LW_DISH_MEAL, 0.0), 0.0, 0.0, "meal");
    CHECK_NEAR(lw_cooker_gas_kg(LW_DISH_OVEN, (double)NAN), 0.0, 0.0, "oven");
}

static void a_family_cooks_with_the_trade_s_gas(void **state)
{
    (void)state;
    /* 0.10-0.25 kg/day for four. */
    const double day_kg = 2.0 * lw_cooker_gas_kg(LW_DISH_MEAL, 4.0);
    assert_true(day_kg > 0.10 && day_kg < 0.25);
    assert_true(lw_cooker_gas_kg(LW_DISH_MEAL, 6.0) < 1.5 * lw_cooker_gas_kg(LW_DISH_MEAL, 4.0));
    /* Oven 2.1 kW for three quarters of an hour. */
    CHECK_NEAR(lw_cooker_gas_kg(LW_DISH_OVEN, 2.0), 2100.0 * 2700.0 / 50.12e6, 1e-4, "oven");
}

static void boiling_a_litre_takes_physics_over_the_ring_s_efficiency(void **state)
{
    (void)state;
    /* 1 L from 15 C takes 356 kJ; ring 0.40-0.50. 0.2 %: 4.19 printed, 4.186 used. */
    CHECK_NEAR(lw_cooker_boil_kg(1.0, 85.0) * LW_PROPANE_HHV_JPKG * 0.45, 356e3, 0.002 * 356e3, "heat to the pot");
    CHECK_NEAR(lw_cooker_gas_kg(LW_DISH_DRINK, 4.0), lw_cooker_boil_kg(1.0, 80.0), 1e-12, "four mugs");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_adults_at_rest_give_the_published_heat),
        cmocka_unit_test(sleepers_children_and_dogs_give_less),
        cmocka_unit_test(nobody_gives_nothing),
        cmocka_unit_test(a_family_cooks_with_the_trade_s_gas),
        cmocka_unit_test(boiling_a_litre_takes_physics_over_the_ring_s_efficiency),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
