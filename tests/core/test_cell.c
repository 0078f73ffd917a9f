/* Values: tests/core/test_sky_models.c against tests/reference/cell.csv. Here: laws and edges. */
#include "core/power/cell.h"
#include "tests/check.h"

static void a_panel_in_the_dark_has_the_temperature_of_the_air(void **state)
{
    (void)state;
    const lw_cell_in in = {.plane_wm2 = 0.0, .air_c = -12.0, .wind_mps = 3.0};
    for (int mount = LW_MOUNT_FLAT_ON_ROOF; mount <= LW_MOUNT_OPEN_RACK; mount++)
        CHECK_NEAR(lw_cell_sapm_c((lw_mount)mount, &in), -12.0, 1e-12, "mount %d", mount);
    CHECK_NEAR(lw_cell_faiman_c(&in), -12.0, 1e-12, "Faiman");
    CHECK_NEAR(lw_cell_ross_c(&in), -12.0, 1e-12, "Ross");
    CHECK_NEAR(lw_cell_pvsyst_c(&in), -12.0, 1e-12, "PVsyst");
}

static void more_air_behind_and_more_wind_keep_the_cells_cooler(void **state)
{
    (void)state;
    for (double wind = 0.0; wind <= 20.0; wind += 1.0) {
        const lw_cell_in in = {1000.0, 20.0, wind}, windier = {1000.0, 20.0, wind + 1.0};
        const double flat = lw_cell_sapm_c(LW_MOUNT_FLAT_ON_ROOF, &in);
        const double close = lw_cell_sapm_c(LW_MOUNT_ON_SPACERS, &in);
        const double open = lw_cell_sapm_c(LW_MOUNT_OPEN_RACK, &in);
        assert_true(flat > close && close > open && open > 20.0);
        assert_true(lw_cell_sapm_c(LW_MOUNT_FLAT_ON_ROOF, &windier) < flat);
        assert_true(lw_cell_faiman_c(&windier) < lw_cell_faiman_c(&in));
        CHECK_NEAR(20.0 + 1000.0 * lw_cell_rise_kpwm2(LW_MOUNT_ON_SPACERS, wind), close, 1e-9, "rise, wind %g", wind);
    }
}

/* NOCT by its definition: 45 C at 800 W/m2 and 20 C of air. */
static void ross_gives_the_nominal_temperature_at_the_nominal_conditions(void **state)
{
    (void)state;
    CHECK_NEAR(lw_cell_ross_c(&(lw_cell_in){800.0, 20.0, 1.0}), 45.0, 1e-12, "NOCT");
}

static void a_panel_gives_its_rating_at_the_rating_conditions_and_less_when_warm(void **state)
{
    (void)state;
    lw_cell_power_in in = {.effective_wm2 = 1000.0, .cell_c = 25.0, .rated_w = 200.0, .gamma_pk = -0.0035};
    CHECK_NEAR(lw_cell_power_w(&in), 200.0, 1e-12, "rating");
    in.cell_c = 65.0;
    CHECK_NEAR(lw_cell_power_w(&in), 200.0 * (1.0 - 0.0035 * 40.0), 1e-12, "40 K warmer");
    in.cell_c = 250.0;
    in.gamma_pk = -0.02;
    assert_true(lw_cell_power_w(&in) == 0.0);
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault = {0};
    assert_int_equal(lw_cell_check(&(lw_cell_in){800.0, 20.0, 1.0}, &fault), LW_OK);
    assert_int_equal(lw_cell_check(&(lw_cell_in){-1.0, 20.0, 1.0}, &fault), LW_E_RANGE);
    assert_int_equal(lw_cell_check(&(lw_cell_in){800.0, (double)NAN, 1.0}, &fault), LW_E_RANGE);
    assert_int_equal(lw_cell_check(&(lw_cell_in){800.0, 20.0, -1.0}, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "wind_mps");
    assert_int_equal(lw_cell_power_check(&(lw_cell_power_in){800.0, 40.0, 200.0, -0.0035}, &fault), LW_OK);
    assert_int_equal(lw_cell_power_check(&(lw_cell_power_in){4000.0, 40.0, 200.0, -0.0035}, &fault), LW_E_RANGE);
    assert_int_equal(lw_cell_power_check(&(lw_cell_power_in){800.0, 400.0, 200.0, -0.0035}, &fault), LW_E_RANGE);
    assert_int_equal(lw_cell_power_check(&(lw_cell_power_in){800.0, 40.0, -1.0, -0.0035}, &fault), LW_E_RANGE);
    assert_int_equal(lw_cell_power_check(&(lw_cell_power_in){800.0, 40.0, 200.0, -0.35}, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "gamma_pk");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_panel_in_the_dark_has_the_temperature_of_the_air),
        cmocka_unit_test(more_air_behind_and_more_wind_keep_the_cells_cooler),
        cmocka_unit_test(ross_gives_the_nominal_temperature_at_the_nominal_conditions),
        cmocka_unit_test(a_panel_gives_its_rating_at_the_rating_conditions_and_less_when_warm),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
