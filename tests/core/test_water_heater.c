#include "tests/check.h"

#include "core/heat/propane.h"
#include "core/heat/water_heater.h"

static const double BTU_J = 1055.05585262, GAL_L = 3.785411784;
static const lw_water_heater TANK = {.input_w = 3000.0, .efficiency_frac = 0.75, .standing_w = 55.0, .volume_l = 22.7};

static lw_water_heater_out run(const lw_water_heater *heater, lw_water_heater_in in)
{
    lw_water_heater_out out;
    lw_water_heater_run(heater, &in, &out);
    return out;
}

static void six_gallons_take_the_published_heat(void **state)
{
    (void)state;
    /* 6 gal by 70 F = 3,503 BTU (8.34 BTU/(gal F)); at 0.75: 4,670 BTU = 0.051 gal. 0.2 %: density and heat
     * rounded. */
    CHECK_NEAR(lw_water_heat_j(6.0 * GAL_L, 70.0 / 1.8) / BTU_J, 3503.0, 0.003 * 3503.0, "heat");
    const lw_water_heater tankless = {.input_w = 15000.0, .efficiency_frac = 0.75};
    const lw_water_heater_out out = run(&tankless, (lw_water_heater_in){.hot_l = 6.0 * GAL_L,
                                                                        .cold_c = 10.0,
                                                                        .hot_c = 10.0 + 70.0 / 1.8,
                                                                        .input_now_w = 15000.0,
                                                                        .step_s = 3600.0});
    CHECK_NEAR(out.gas_w * 3600.0 / BTU_J, 4670.0, 0.003 * 4670.0, "gas");
    CHECK_NEAR(out.gas_w * 3600.0 / LW_PROPANE_HHV_JPL / GAL_L, 0.051, 0.0005, "gal");
    CHECK_NEAR(out.standing_w, 0.0, 0.0, "no tank, no standing loss");
}

static void a_hot_tank_at_rest_burns_its_standing_loss(void **state)
{
    (void)state;
    const lw_water_heater_out out =
        run(&TANK, (lw_water_heater_in){.cold_c = 10.0, .hot_c = 55.0, .input_now_w = 3000.0, .step_s = 3600.0});
    CHECK_NEAR(out.gas_w, 55.0 / 0.75, 1e-9, "gas");
    CHECK_NEAR(out.standing_w, 55.0, 1e-9, "standing");
}

static void a_tank_serves_what_it_holds_and_heats_up_later(void **state)
{
    (void)state;
    lw_water_heater_in in = {.hot_l = 20.0, .cold_c = 10.0, .hot_c = 55.0, .input_now_w = 3000.0, .step_s = 600.0};
    const lw_water_heater_out drawn = run(&TANK, in);
    CHECK_NEAR(drawn.short_j, 0.0, 0.0, "served from the tank");
    CHECK_NEAR(drawn.gas_w, 3000.0, 1e-9, "burner at full");
    assert_true(drawn.deficit_j > 0.0);
    in.hot_l = 0.0;
    in.deficit_j = drawn.deficit_j;
    in.step_s = 7200.0;
    CHECK_NEAR(run(&TANK, in).deficit_j, 0.0, 0.0, "hot again");
    in.hot_l = 100.0;
    in.deficit_j = 0.0;
    in.step_s = 600.0;
    assert_true(run(&TANK, in).short_j > 0.0);
}

static void energy_closes_in_random_draws(void **state)
{
    (void)state;
    uint64_t s = 7;
    for (int i = 0; i < 10000; i++) {
        double u[8];
        for (size_t k = 0; k < COUNT_OF(u); k++) {
            s = s * 6364136223846793005u + 1442695040888963407u;
            u[k] = (double)(s >> 11) / 9007199254740992.0;
        }
        const lw_water_heater heater = {
            .input_w = 3000.0, .efficiency_frac = 0.7 + 0.2 * u[0], .standing_w = 80.0 * u[1], .volume_l = 40.0 * u[2]};
        const double most_j = lw_water_heat_j(heater.volume_l, 45.0);
        const lw_water_heater_in in = {.hot_l = 80.0 * u[3] * u[3],
                                       .cold_c = 10.0,
                                       .hot_c = 55.0,
                                       .deficit_j = most_j * u[4],
                                       .input_now_w = u[5] < 0.2 ? 0.0 : 3000.0,
                                       .step_s = 60.0 + 7200.0 * u[6]};
        const lw_water_heater_out out = run(&heater, in);
        const double burnt_j = heater.efficiency_frac * out.gas_w * in.step_s;
        const double used_j = lw_water_heat_j(in.hot_l, 45.0) + out.standing_w * in.step_s;
        const double scale_j = burnt_j + used_j + in.deficit_j + 1.0;
        CHECK_NEAR((burnt_j + out.short_j + out.deficit_j - in.deficit_j - used_j) / scale_j, 0.0, 1e-12, "case %d", i);
        CHECK_NEAR((out.gas_w * (1.0 - heater.efficiency_frac) - out.flue_w) / (out.gas_w + 1.0), 0.0, 1e-12, "flue %d",
                   i);
        assert_true(out.served_j >= 0.0 && out.short_j >= 0.0 && out.deficit_j >= 0.0);
        assert_true(out.deficit_j <= most_j * (1.0 + 1e-12) && out.gas_w <= in.input_now_w * (1.0 + 1e-12));
    }
}

static void a_heater_that_is_off_cools_but_invents_nothing(void **state)
{
    (void)state;
    lw_water_heater_in in = {.cold_c = 10.0, .hot_c = 55.0, .input_now_w = 0.0, .step_s = 3600.0};
    for (int i = 0; i < 1000; i++) {
        const lw_water_heater_out out = run(&TANK, in);
        CHECK_NEAR(out.gas_w + out.short_j, 0.0, 0.0, "hour %d", i);
        assert_true(out.deficit_j >= in.deficit_j);
        in.deficit_j = out.deficit_j;
    }
    assert_true(in.deficit_j <= lw_water_heat_j(22.7, 45.0));
}

static void bad_draws_are_refused(void **state)
{
    (void)state;
    lw_fault fault;
    lw_water_heater_in in = {.hot_l = 5.0, .cold_c = 10.0, .hot_c = 55.0, .input_now_w = 3000.0, .step_s = 3600.0};
    assert_int_equal(lw_water_heater_check(&TANK, &in, &fault), LW_OK);
    in.hot_c = 5.0;
    assert_int_equal(lw_water_heater_check(&TANK, &in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "hot_c");
    in.hot_c = 55.0;
    in.hot_l = (double)NAN;
    assert_int_equal(lw_water_heater_check(&TANK, &in, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(six_gallons_take_the_published_heat),
        cmocka_unit_test(a_hot_tank_at_rest_burns_its_standing_loss),
        cmocka_unit_test(a_tank_serves_what_it_holds_and_heats_up_later),
        cmocka_unit_test(energy_closes_in_random_draws),
        cmocka_unit_test(a_heater_that_is_off_cools_but_invents_nothing),
        cmocka_unit_test(bad_draws_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
