#include "tests/check.h"

#include "core/heat/propane.h"

static const double LB_KG = 0.45359237, BTU_J = 1055.05585262, GAL_L = 3.785411784;

static double degf_c(double f)
{
    return (f - 32.0) / 1.8;
}

static double limit_btuh(double pounds, double air_f)
{
    return lw_propane_vapour_limit_w(pounds * LB_KG, degf_c(air_f)) * 3600.0 / BTU_J;
}

static void vapour_pressure_follows_the_published_equation(void **state)
{
    (void)state;
    /* Lemmon, McLinden, Wagner, J. Chem. Eng. Data 54 (2009) 3141; R-290 saturation values at 0, 10, 20, 30 C. */
    static const struct {
        double temp_k, want_kpa;
    } row[] = {{231.036, 101.325}, {273.15, 474.5}, {283.15, 636.6}, {293.15, 836.5}, {303.15, 1079.0}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_propane_out out;
        lw_propane(row[i].temp_k - 273.15, 101325.0, &out);
        CHECK_NEAR(out.vapour_pa / 1e3, row[i].want_kpa, 0.002 * row[i].want_kpa, "%g K", row[i].temp_k);
        CHECK_NEAR(out.vapour_gauge_pa, out.vapour_pa - 101325.0, 1e-9, "gauge at %g K", row[i].temp_k);
    }
}

static void gauge_pressure_is_that_of_the_table(void **state)
{
    (void)state;
    /* Same source, pure propane at sea level, to 0.5 % or 1 kPa. */
    static const struct {
        double liquid_f, want_psi;
    } row[] = {{-40, 1.4}, {0, 23.7}, {20, 41.1}, {40, 63.9}, {60, 93.0}, {70, 110.2}, {80, 129.3}, {100, 173.9}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_propane_out out;
        lw_propane(degf_c(row[i].liquid_f), 101325.0, &out);
        CHECK_NEAR(out.vapour_gauge_pa / 6894.757, row[i].want_psi, fmax(0.005 * row[i].want_psi, 0.1), "%g F",
                   row[i].liquid_f);
    }
}

static void it_boils_at_its_published_point(void **state)
{
    (void)state;
    /* -42.1 C at 101.325 kPa (231.036 K). */
    CHECK_NEAR(lw_propane_boiling_c(101325.0), 231.036 - 273.15, 0.01, "sea level");
    assert_true(lw_propane_boiling_c(79495.0) < lw_propane_boiling_c(101325.0));
    lw_propane_out out;
    lw_propane(lw_propane_boiling_c(300000.0), 101325.0, &out);
    CHECK_NEAR(out.vapour_pa, 300000.0, 0.01, "there and back");
}

static void pure_liquid_has_the_published_density(void **state)
{
    (void)state;
    /* 0.5286 kg/L at 0 C, 0.4924 at 25, 0.4675 at 40 (Lemmon and others 2009). */
    static const struct {
        double liquid_c, want_kgpl;
    } row[] = {{0.0, 0.5286}, {25.0, 0.4924}, {40.0, 0.4675}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_propane_out out;
        lw_propane(row[i].liquid_c, 101325.0, &out);
        CHECK_NEAR(out.liquid_kgpl, row[i].want_kgpl, 0.00005, "%g C", row[i].liquid_c);
    }
}

static void constants_agree_with_the_table_they_come_from(void **state)
{
    (void)state;
    /* 21,548 BTU/lb, 91,502 BTU/gal, 50.1 MJ/kg, 25.5 MJ/L; 0.508 kg/L, 4.24 lb/gal. */
    CHECK_NEAR(LW_PROPANE_HHV_JPKG * LB_KG / BTU_J, 21548.0, 0.1, "BTU/lb");
    CHECK_NEAR(LW_PROPANE_HHV_JPL * GAL_L / BTU_J, 91502.0, 0.1, "BTU/gal");
    CHECK_NEAR(LW_PROPANE_KGPL * GAL_L / LB_KG, 4.24, 0.001, "lb/gal");
    /* The trap: mass and volume figures agree to 0.2 % with 4.24 lb/gal, not with 4.2. */
    CHECK_NEAR(LW_PROPANE_HHV_JPL / LW_PROPANE_KGPL / LW_PROPANE_HHV_JPKG, 1.0, 0.002, "mass and volume");
}

static void a_tank_takes_the_liquid_of_the_regulation_s_example(void **state)
{
    (void)state;
    /* 29 CFR 1910.110(b)(19)(v)(d): 100 gal, 42 %, SG 0.510, correction 1.031: 79.88 gal (79.8 printed). */
    CHECK_NEAR(100.0 * lw_propane_liquid_limit_frac(0.42, 0.510, 1.031), 79.88, 0.005, "gal");
}

static void cylinders_fill_to_their_names(void **state)
{
    (void)state;
    /* 49 CFR 173.304a(d), NFPA 58: 42 % of 47.6, 71.4, 95.3 lb of water: 20, 30, 40 lb. */
    static const struct {
        double water_lb, want_lb;
    } row[] = {{47.6, 20.0}, {71.4, 30.0}, {95.3, 40.0}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_cylinder_out out;
        lw_cylinder(row[i].water_lb * LB_KG, &out);
        CHECK_NEAR(out.fill_kg / LB_KG, row[i].want_lb, 0.05, "%g lb", row[i].water_lb);
        CHECK_NEAR(out.heat_j, out.fill_kg * LW_PROPANE_HHV_JPKG, 1.0, "heat by mass");
        /* NFPA 58: a stop-fill valve shuts at 80 % of the volume; water of the capacity at 60 F is 0.99904 kg/L. */
        CHECK_NEAR(out.gauge_l * 0.99904, 0.80 * row[i].water_lb * LB_KG, 1e-9, "80 %% of %g lb", row[i].water_lb);
    }
}

static void a_full_20_lb_cylinder_holds_the_printed_gallons(void **state)
{
    (void)state;
    /* NFPA 58 (1998) table as reprinted: 20 lb: 4.72 gal, 431,613 BTU (20 / 4.24 gal x 91,502). */
    lw_cylinder_out out;
    lw_cylinder(20.0 / 0.42 * LB_KG, &out);
    CHECK_NEAR(out.volume_l / GAL_L, 4.72, 0.005, "gal");
    CHECK_NEAR(out.volume_l * LW_PROPANE_HHV_JPL / BTU_J, 431613.0, 1.0, "BTU by volume");
}

static void vaporisation_is_read_bilinearly_from_the_trade_table(void **state)
{
    (void)state;
    /* LP-gas trade table for upright cylinders: its own corners and the worked examples. */
    static const struct {
        double pounds, air_f, want_btuh;
    } row[] = {{20, 20, 51000},  {20, 10, 43500},  {15, 20, 44500},  {100, 70, 300000}, {10, 0, 28000},
               {30, 60, 107000}, {50, 40, 125000}, {100, 0, 113000}, {10, 70, 66000}};
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(limit_btuh(row[i].pounds, row[i].air_f), row[i].want_btuh, 1.0, "%g lb %g F", row[i].pounds,
                   row[i].air_f);
}

static void outside_the_table_the_limit_never_promises_more(void **state)
{
    (void)state;
    CHECK_NEAR(limit_btuh(0.0, 60.0), 0.0, 0.0, "empty");
    CHECK_NEAR(limit_btuh(-1.0, 60.0), 0.0, 0.0, "less than empty");
    CHECK_NEAR(limit_btuh(20.0, -40.0), 0.0, 1e-9, "-40 F");
    CHECK_NEAR(limit_btuh(20.0, -60.0), 0.0, 0.0, "colder");
    CHECK_NEAR(limit_btuh(200.0, 70.0), 300000.0, 1.0, "above 100 lb");
    CHECK_NEAR(limit_btuh(20.0, 100.0), 92000.0, 1.0, "above 70 F");
    CHECK_NEAR(limit_btuh((double)NAN, 20.0), 0.0, 0.0, "not a number");
    /* A third left (7 lb) at 20 F near 30,000: below it, on the safe side, but not by more than a fifth. */
    assert_true(limit_btuh(7.0, 20.0) < 30000.0 && limit_btuh(7.0, 20.0) > 24000.0);
    /* Below 0 F it lies under the straight continuation of each row. */
    static const double pounds[] = {10.0, 20.0, 30.0, 50.0, 100.0};
    for (size_t i = 0; i < COUNT_OF(pounds); i++)
        assert_true(limit_btuh(pounds[i], -20.0) <= 2.0 * limit_btuh(pounds[i], 0.0) - limit_btuh(pounds[i], 20.0));
}

static void more_liquid_and_warmer_air_never_give_less(void **state)
{
    (void)state;
    for (double lb = 0.0; lb < 110.0; lb += 0.7)
        for (double f = -50.0; f < 90.0; f += 1.3) {
            assert_true(limit_btuh(lb + 0.7, f) >= limit_btuh(lb, f));
            assert_true(limit_btuh(lb, f + 1.3) >= limit_btuh(lb, f));
        }
}

static void open_cylinders_add(void **state)
{
    (void)state;
    const double kg[] = {9.0, 4.0, 0.0};
    CHECK_NEAR(lw_propane_vapour_limits_w(kg, 3, -3.0),
               lw_propane_vapour_limit_w(9.0, -3.0) + lw_propane_vapour_limit_w(4.0, -3.0), 1e-9,
               "two and an empty one");
    CHECK_NEAR(lw_propane_vapour_limits_w(kg, 0, -3.0), 0.0, 0.0, "none");
}

static void burning_makes_the_stoichiometric_water(void **state)
{
    (void)state;
    /* C3H8 + 5 O2 -> 3 CO2 + 4 H2O, IUPAC masses, air 23.14 % oxygen: 1.634 kg water, 15.68 kg air. */
    CHECK_NEAR(LW_PROPANE_WATER_KGPKG, 4.0 * 18.01528 / 44.0956, 1e-5, "water");
    CHECK_NEAR(LW_PROPANE_WATER_KGPKG, 1.634, 0.002 * 1.634, "water as printed");
    CHECK_NEAR(LW_PROPANE_AIR_KGPKG, 15.68, 0.002 * 15.68, "air as printed");
    CHECK_NEAR(LW_PROPANE_AIR_KGPKG * 0.2314, 5.0 * 31.9988 / 44.0956, 1e-4, "oxygen");
}

static void bad_input_is_refused(void **state)
{
    (void)state;
    lw_fault fault;
    assert_int_equal(lw_propane_check(20.0, 101325.0, &fault), LW_OK);
    assert_int_equal(lw_propane_check((double)NAN, 101325.0, &fault), LW_E_RANGE);
    assert_int_equal(lw_propane_check(20.0, 0.0, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "ambient_pa");
    assert_int_equal(lw_cylinder_check(0.0, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(vapour_pressure_follows_the_published_equation),
        cmocka_unit_test(gauge_pressure_is_that_of_the_table),
        cmocka_unit_test(it_boils_at_its_published_point),
        cmocka_unit_test(pure_liquid_has_the_published_density),
        cmocka_unit_test(constants_agree_with_the_table_they_come_from),
        cmocka_unit_test(a_tank_takes_the_liquid_of_the_regulation_s_example),
        cmocka_unit_test(cylinders_fill_to_their_names),
        cmocka_unit_test(a_full_20_lb_cylinder_holds_the_printed_gallons),
        cmocka_unit_test(vaporisation_is_read_bilinearly_from_the_trade_table),
        cmocka_unit_test(outside_the_table_the_limit_never_promises_more),
        cmocka_unit_test(more_liquid_and_warmer_air_never_give_less),
        cmocka_unit_test(open_cylinders_add),
        cmocka_unit_test(burning_makes_the_stoichiometric_water),
        cmocka_unit_test(bad_input_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
