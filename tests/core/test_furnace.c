#include "tests/check.h"

#include "core/heat/furnace.h"

static const double BTUH_W = 1055.05585262 / 3600.0;

static const lw_furnace FURNACE = {
    .input_w = 30000.0 * 1055.05585262 / 3600.0,
    .efficiency_frac = 0.78,
    .blower_w = 95.0,
    .cycles_per_h = 5.0,
    .runon_h = LW_FURNACE_RUNON_H,
};

static void the_worked_example_burns_as_stated(void **state)
{
    (void)state;
    /* Worked out by the method of ASHRAE Fundamentals: 78.99 W/K, 18/-5 C, 184 W; 30,000 BTU/h at 0.78:
     * 1,632.8 W, 6,858 W out, duty 0.2381, 0.1504 kg/h, blower 41.6 W. */
    const lw_heat_need_in need = {.ua_wk = 78.99, .inside_c = 18.0, .outside_c = -5.0, .gain_w = 184.0};
    CHECK_NEAR(lw_heat_need_w(&need), 1632.8, 0.5, "need");
    lw_furnace_out out;
    lw_furnace_run(&FURNACE, FURNACE.input_w, lw_heat_need_w(&need), &out);
    CHECK_NEAR(FURNACE.input_w * FURNACE.efficiency_frac, 6858.0, 0.5, "output");
    CHECK_NEAR(out.duty_frac, 0.2381, 0.0005, "duty");
    CHECK_NEAR(out.gas_kgph, 0.1504, 0.0005, "gas");
    CHECK_NEAR(out.blower_w, 41.6, 0.1, "blower");
    CHECK_NEAR(out.heat_w, 1632.8, 0.5, "delivered");
}

static void a_burning_furnace_takes_the_stated_gas(void **state)
{
    (void)state;
    /* Arithmetic: 30 kBTU/h takes 0.632 kg/h while burning. */
    lw_furnace_out out;
    lw_furnace_run(&FURNACE, FURNACE.input_w, 1e6, &out);
    CHECK_NEAR(out.gas_kgph, 0.632, 0.0005, "gas");
    CHECK_NEAR(out.duty_frac, 1.0, 0.0, "duty");
    CHECK_NEAR(out.blower_w, 95.0, 0.0, "blower never over its own");
}

static void a_blower_takes_the_stated_energy_per_heat_delivered(void **state)
{
    (void)state;
    /* Arithmetic: 30k unit at 0.78 and 95 W: 4.1 Wh per 1,000 BTU delivered, burner time alone. */
    lw_furnace_out out;
    lw_furnace_run(&FURNACE, FURNACE.input_w, 1e6, &out);
    CHECK_NEAR(out.blower_w / (out.heat_w / BTUH_W / 1000.0), 4.1, 0.05, "Wh per 1,000 BTU");
}

static void altitude_is_read_as_the_rule_says(void **state)
{
    (void)state;
    /* NFPA 54 / ANSI Z223.1 high-altitude clause; second reading as taught by makers: 80,000 BTU/h at 5,000 ft gives
     * 64,000 or 70,400. */
    static const struct {
        lw_burner_derate derate;
        double elevation_ft, want_btuh;
    } row[] = {
        {{.rule = LW_BURNER_CODE_SEA_LEVEL}, 5000.0, 64000.0}, {{.rule = LW_BURNER_ABOVE_2000FT}, 5000.0, 70400.0},
        {{.rule = LW_BURNER_UNCHANGED}, 5000.0, 80000.0},      {{.rule = LW_BURNER_CODE_SEA_LEVEL}, 1999.0, 80000.0},
        {{LW_BURNER_LISTED, 2000.0}, 5000.0, 80000.0},         {{LW_BURNER_LISTED, 1000.0}, 5000.0, 64000.0},
        {{.rule = LW_BURNER_CODE_SEA_LEVEL}, 30000.0, 0.0},    {{.rule = LW_BURNER_CODE_SEA_LEVEL}, -200.0, 80000.0},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(80000.0 * lw_burner_derate_frac(&row[i].derate, row[i].elevation_ft * 0.3048), row[i].want_btuh,
                   1e-6, "row %zu", i);
}

static void gas_is_heat_plus_flue_at_every_duty(void **state)
{
    (void)state;
    double last_blower_w = -1.0;
    for (int i = 0; i <= 1200; i++) {
        lw_furnace_out out;
        lw_furnace_run(&FURNACE, FURNACE.input_w, 6.0 * i, &out);
        CHECK_NEAR(out.gas_w, out.heat_w + out.flue_w, 1e-9, "step %d", i);
        assert_true(out.blower_w >= last_blower_w); /* more heat never blows less */
        last_blower_w = out.blower_w;
    }
}

static void without_gas_or_need_nothing_runs(void **state)
{
    (void)state;
    lw_furnace_out out;
    lw_furnace_run(&FURNACE, 0.0, 1000.0, &out);
    CHECK_NEAR(out.heat_w + out.gas_w + out.blower_w + out.duty_frac, 0.0, 0.0, "no gas");
    lw_furnace_run(&FURNACE, FURNACE.input_w, 0.0, &out);
    CHECK_NEAR(out.heat_w + out.gas_w + out.blower_w, 0.0, 0.0, "no need");
    const lw_heat_need_in warm = {.ua_wk = 80.0, .inside_c = 18.0, .outside_c = 25.0, .gain_w = 100.0};
    CHECK_NEAR(lw_heat_need_w(&warm), 0.0, 0.0, "warm outside");
}

static void bad_furnaces_are_refused(void **state)
{
    (void)state;
    lw_fault fault;
    lw_furnace bad = FURNACE;
    assert_int_equal(lw_furnace_check(&bad, &fault), LW_OK);
    bad.efficiency_frac = (double)NAN;
    assert_int_equal(lw_furnace_check(&bad, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "efficiency_frac");
    bad.efficiency_frac = 0.0;
    assert_int_equal(lw_furnace_check(&bad, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_worked_example_burns_as_stated),
        cmocka_unit_test(a_burning_furnace_takes_the_stated_gas),
        cmocka_unit_test(a_blower_takes_the_stated_energy_per_heat_delivered),
        cmocka_unit_test(altitude_is_read_as_the_rule_says),
        cmocka_unit_test(gas_is_heat_plus_flue_at_every_duty),
        cmocka_unit_test(without_gas_or_need_nothing_runs),
        cmocka_unit_test(bad_furnaces_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
