#include "core/land/drive.h"
#include "tests/check.h"

static const double LHV_GASOLINE_WHPL = 32.36e6 / 3600.0; /* no ethanol; US DOE, fuel properties (GREET) */
static const double LHV_DIESEL_WHPL = 35.81e6 / 3600.0;   /* low-sulfur; the same table */

/* The worked example of the project's trade values: 9,000 kg, CdA 4.5 m2, 0.008, 60 mph. */
static lw_drive_rig motorhome(void)
{
    return (lw_drive_rig){9000.0, 4.5, 0.008, 0.87, 0.30, LHV_GASOLINE_WHPL, 0.0, 0.0, INFINITY};
}

static lw_drive_way level(double distance_m, double speed_ms)
{
    return (lw_drive_way){
        .distance_m = distance_m, .grade_frac = 0.06, .speed_ms = speed_ms, .air_kgm3 = 1.225, .roll_factor = 1.0};
}

static void the_worked_example_comes_out(void **state)
{
    (void)state;
    /* Arithmetic on Gillespie's road load: air 1,983 N and rolling 706 N; 31.8 L/100 km (7.4 mpg). Printed digits. */
    const lw_drive_rig rig = motorhome();
    const lw_drive_way way = level(100000.0, 26.82);
    const lw_drive d = lw_drive_of(&rig, &way);
    CHECK_NEAR(d.air_j / way.distance_m, 1983.0, 0.5, "drag in newtons");
    CHECK_NEAR(d.roll_j / way.distance_m, 706.0, 0.5, "rolling in newtons");
    CHECK_NEAR(d.fuel_l, 31.8, 0.05, "litres for 100 km");
}

static void a_climb_costs_its_weight(void **state)
{
    (void)state;
    /* m g dh / (eta LHV): 9,000 kg by 1,000 ft at 0.261: 3.19 L. On the slope the rolling force falls by its cosine, 0.2 % of it. */
    const lw_drive_rig rig = motorhome();
    lw_drive_way way = level(100000.0, 26.82);
    const double flat_l = lw_drive_of(&rig, &way).fuel_l;
    way.climb_m = 304.8;
    CHECK_NEAR(lw_drive_of(&rig, &way).fuel_l - flat_l, 3.19, 0.02, "litres for 1,000 ft");
    /* 6 % for 6,000 kg adds 3,524 N (the sine of the slope's angle). */
    lw_drive_rig truck = rig;
    truck.mass_kg = 6000.0;
    way = level(10000.0, 26.82);
    way.climb_m = 10000.0 * 0.06;
    const lw_drive d = lw_drive_of(&truck, &way);
    CHECK_NEAR(d.climb_j / way.distance_m, 3524.0, 1.0, "newtons of 6 %%");
}

static void a_loaded_highway_truck_burns_what_its_energy_audit_says(void **state)
{
    (void)state;
    /* 21st Century Truck Program roadmap, December 2000: 80,000 lb at 65 mph for an hour, level: aerodynamic 85 kWh, rolling 51,
     * driveline 9, auxiliaries 15, engine losses 240, together 400 kWh of fuel (from memory). Drag 5.7 m2 and rolling 0.0049
     * are what those two figures mean; the rest must add up to the fuel within their rounding. */
    const lw_drive_rig truck = {36287.0, 5.66, 0.0049, 136.0 / 145.0, 0.40, LHV_DIESEL_WHPL, 0.0, 15000.0, INFINITY};
    const lw_drive_way way = level(104607.0, 104607.0 / 3600.0);
    const lw_drive d = lw_drive_of(&truck, &way);
    CHECK_NEAR(d.air_j / 3.6e6, 85.0, 1.0, "kWh of air");
    CHECK_NEAR(d.roll_j / 3.6e6, 51.0, 1.0, "kWh of rolling");
    CHECK_NEAR(d.fuel_l * LHV_DIESEL_WHPL / 1000.0, 400.0, 4.0, "kWh of fuel");
}

static void usual_rigs_burn_what_such_rigs_burn(void **state)
{
    (void)state;
    /* Trade practice, wide: class C 16-29 L/100 km, van 11-17, pickup with trailer 18-29, class A diesel 18-29 (8-15, 14-22, 8-13,
     * 8-13 mpg). Averages of all single-unit trucks of two axles and six tyres: 7.5 mpg = 31 L/100 km (FHWA Highway Statistics,
     * table VM-1, from memory), which the worked example's 9 t stands beside. */
    static const struct {
        const char *what;
        lw_drive_rig rig;
        double low_l, high_l;
    } ROW[] = {
        {"class C", {5500.0, 4.0, 0.010, 0.87, 0.29, 8989.0, 1.5, 1000.0, INFINITY}, 16.0, 29.0},
        {"van", {3500.0, 1.9, 0.010, 0.87, 0.29, 8989.0, 1.2, 800.0, INFINITY}, 11.0, 17.0},
        {"pickup with trailer", {5500.0, 3.8, 0.010, 0.87, 0.29, 8989.0, 1.5, 1000.0, INFINITY}, 18.0, 29.0},
        {"class A diesel", {11000.0, 4.7, 0.008, 0.87, 0.38, 9947.0, 2.0, 3000.0, INFINITY}, 18.0, 29.0},
    };
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        const lw_drive_way way = level(100000.0, 26.82);
        const double fuel_l = lw_drive_of(&ROW[i].rig, &way).fuel_l;
        CHECK_NEAR(fuel_l, 0.5 * (ROW[i].low_l + ROW[i].high_l), 0.5 * (ROW[i].high_l - ROW[i].low_l), "%s",
                   ROW[i].what);
    }
}

static void work_of_wheels_is_what_the_forces_add_up_to(void **state)
{
    (void)state;
    /* Law: what goes up and comes down again leaves no work of climbing, and fuel is never less than on the level. */
    lw_drive_rig rig = motorhome();
    rig.idle_lph = 2.0;
    lw_drive_way way = level(60000.0, 22.0);
    const double flat_l = lw_drive_of(&rig, &way).fuel_l;
    way.climb_m = way.fall_m = 900.0;
    const lw_drive d = lw_drive_of(&rig, &way);
    CHECK_NEAR(d.climb_j, 0.0, 1.0, "up and down");
    assert_true(d.fuel_l > flat_l);
    assert_true(d.brake_j > 0.0);
    /* shorter than its slopes find room: they are made steeper, and no metre is driven twice */
    way = level(10000.0, 22.0);
    way.climb_m = way.fall_m = 600.0;
    const lw_drive steep = lw_drive_of(&rig, &way);
    CHECK_NEAR(steep.grade_frac, 0.12, 1e-12, "grade made steeper");
    CHECK_NEAR(steep.time_s, 10000.0 / 22.0, 1e-6, "seconds of the whole way");
}

static void thin_air_slows_the_climb_and_eases_the_level(void **state)
{
    (void)state;
    lw_drive_rig rig = motorhome();
    lw_drive_way way = level(20000.0, 26.82);
    way.climb_m = 600.0;
    rig.power_w = 220000.0;
    const lw_drive low = lw_drive_of(&rig, &way);
    rig.power_w *= 0.74; /* some 2,400 m by SAE J1349 */
    const lw_drive high = lw_drive_of(&rig, &way);
    assert_true(low.is_held && high.is_held && high.uphill_ms < low.uphill_ms);
    /* at the speed held, all that the engine has is used */
    const double at = high.uphill_ms, cosine = 1.0 / sqrt(1.0 + 0.06 * 0.06),
                 n = 0.5 * 1.225 * 4.5 * at * at + 9000.0 * 9.80665 * cosine * (0.008 + 0.06);
    CHECK_NEAR(n * at / 0.87, rig.power_w, 1.0, "watts at the speed held");
    way = level(100000.0, 26.82);
    way.air_kgm3 = 0.9569;
    rig.power_w = INFINITY;
    assert_true(lw_drive_of(&rig, &way).fuel_l < 31.0);
    rig.power_w = 5000.0;
    way.climb_m = 300.0;
    assert_false(lw_drive_of(&rig, &way).is_held);
}

static void a_guess_is_no_shorter_than_the_air_and_its_band_is_wide(void **state)
{
    (void)state;
    for (double air_m = 0.0; air_m <= 2e6; air_m += 12345.0) {
        const lw_drive_guessed g = lw_drive_guess(air_m);
        if (!(g.distance_m.low >= air_m && g.distance_m.middle >= g.distance_m.low &&
              g.distance_m.high >= g.distance_m.middle && g.time_s.low <= g.time_s.middle &&
              g.time_s.middle <= g.time_s.high))
            fail_msg("%.0f m by air: %.0f (%.0f to %.0f) m", air_m, g.distance_m.middle, g.distance_m.low,
                     g.distance_m.high);
    }
    /* Ballou and others 2002: 1.20 between towns (from memory). Trade practice: 70-90 km/h on pavement all in all. */
    const lw_drive_guessed far = lw_drive_guess(300000.0);
    CHECK_NEAR(far.distance_m.middle / 300000.0, 1.20, 0.001, "factor between towns");
    CHECK_NEAR(far.distance_m.middle / far.time_s.middle * 3.6, 80.0, 10.0, "km/h on a long way");
    CHECK_NEAR(lw_drive_guess(1000.0).distance_m.middle / 1000.0, 1.42, 0.01, "factor of a short way");
    assert_true(lw_drive_guess(20000.0).distance_m.high > 1.3 * lw_drive_guess(20000.0).distance_m.middle);
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault;
    lw_drive_rig rig = motorhome();
    lw_drive_way way = level(1000.0, 20.0);
    assert_int_equal(lw_drive_rig_check(&rig, &fault), LW_OK);
    assert_int_equal(lw_drive_way_check(&way, &fault), LW_OK);
    rig.engine_frac = 0.0;
    assert_int_equal(lw_drive_rig_check(&rig, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "engine_frac");
    way.grade_frac = (double)NAN;
    assert_int_equal(lw_drive_way_check(&way, &fault), LW_E_RANGE);
    assert_int_equal(lw_drive_guess_check(-1.0, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_worked_example_comes_out),
        cmocka_unit_test(a_climb_costs_its_weight),
        cmocka_unit_test(a_loaded_highway_truck_burns_what_its_energy_audit_says),
        cmocka_unit_test(usual_rigs_burn_what_such_rigs_burn),
        cmocka_unit_test(work_of_wheels_is_what_the_forces_add_up_to),
        cmocka_unit_test(thin_air_slows_the_climb_and_eases_the_level),
        cmocka_unit_test(a_guess_is_no_shorter_than_the_air_and_its_band_is_wide),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests_name("core/land/drive", tests, NULL, NULL);
}
