/* Values: tests/core/test_sky_models.c against tests/reference/plane.csv. Here: laws, edges, horizon and glass. */
#include "core/sky/plane.h"
#include "core/sky/glass.h"
#include "tests/check.h"

static const double RAD = 0.017453292519943295;
static const lw_plane_light LIGHT = {
    .ghi_wm2 = 600.0, .dni_wm2 = 700.0, .dhi_wm2 = 90.0, .extra_dni_wm2 = 1366.1, .albedo_frac = 0.2};

static lw_plane_geometry geometry_of(double tilt, double facing, const lw_horizon *horizon, double zenith,
                                     double azimuth)
{
    const lw_plane_array array = lw_plane_array_of(&(lw_plane_in){tilt, facing, horizon});
    const lw_sun sun = lw_plane_sun_of(zenith, azimuth);
    lw_plane_geometry geometry;
    lw_plane_prepare(&array, &sun, &geometry);
    return geometry;
}

static lw_plane_out light_on(const lw_plane_geometry *geometry, lw_sky_model model)
{
    lw_plane_out out;
    lw_plane_irradiance_by(model, geometry, &LIGHT, &out);
    return out;
}

/* NREL/TP-560-34302, the worked example: 25.187 deg on a surface of 30 deg tilt that faces 170 deg. */
static void the_angle_of_incidence_is_that_of_the_report(void **state)
{
    (void)state;
    const lw_plane_geometry geometry = geometry_of(30.0, 170.0, NULL, 50.11162, 194.34024);
    CHECK_NEAR(acos(geometry.cos_aoi) / RAD, 25.187, 5e-5, "incidence");
}

static void a_sun_from_angles_points_where_they_say(void **state)
{
    (void)state;
    const lw_sun sun = lw_plane_sun_of(60.0, 120.0);
    CHECK_NEAR(sun.up, 0.5, 1e-12, "up");
    CHECK_NEAR(sun.cos_zenith, 0.5, 1e-12, "cosine");
    CHECK_NEAR(sun.east, 0.75, 1e-12, "east");
    CHECK_NEAR(sun.north, -0.5 * sqrt(0.75), 1e-12, "north");
    CHECK_NEAR(sun.elevation_deg, 30.0, 1e-12, "true elevation");
    CHECK_NEAR(sun.apparent_elevation_deg, 30.0, 1e-12, "apparent elevation");
    CHECK_NEAR(lw_sun_azimuth_deg(&sun), 120.0, 1e-9, "azimuth");
}

static void parts_add_up_and_the_glass_dims_the_beam_only(void **state)
{
    (void)state;
    for (double tilt = 0.0; tilt <= 180.0; tilt += 15.0)
        for (double zenith = 0.0; zenith <= 100.0; zenith += 10.0)
            for (int model = LW_SKY_HAY_DAVIES; model <= LW_SKY_ISOTROPIC; model++) {
                const lw_plane_geometry geometry = geometry_of(tilt, 180.0, NULL, zenith, 150.0);
                const lw_plane_out out = light_on(&geometry, (lw_sky_model)model);
                CHECK_NEAR(out.total_wm2, out.beam_wm2 + out.sky_wm2 + out.ground_wm2, 1e-9, "tilt %g", tilt);
                CHECK_NEAR(out.total_wm2 - out.effective_wm2,
                           out.beam_wm2 * (1.0 - lw_glass_physical_frac(geometry.cos_aoi)), 1e-9, "tilt %g", tilt);
                assert_true(out.beam_wm2 >= 0.0 && out.sky_wm2 >= 0.0 && out.ground_wm2 >= 0.0);
            }
}

static void a_flat_panel_gets_what_falls_on_the_level(void **state)
{
    (void)state;
    for (double zenith = 0.0; zenith < 85.0; zenith += 5.0) {
        const lw_plane_geometry geometry = geometry_of(0.0, 77.0, NULL, zenith, 200.0);
        for (int model = LW_SKY_HAY_DAVIES; model <= LW_SKY_ISOTROPIC; model++) {
            const lw_plane_out out = light_on(&geometry, (lw_sky_model)model);
            CHECK_NEAR(out.beam_wm2, LIGHT.dni_wm2 * cos(zenith * RAD), 1e-9, "beam, zenith %g", zenith);
            CHECK_NEAR(out.sky_wm2, LIGHT.dhi_wm2, 1e-9, "sky, zenith %g, model %d", zenith, model);
            CHECK_NEAR(out.ground_wm2, 0.0, 1e-12, "ground, zenith %g", zenith);
        }
    }
}

static void a_panel_turned_over_sees_the_ground_only(void **state)
{
    (void)state;
    const lw_plane_geometry geometry = geometry_of(180.0, 180.0, NULL, 30.0, 180.0);
    const lw_plane_out out = light_on(&geometry, LW_SKY_ISOTROPIC);
    CHECK_NEAR(out.beam_wm2 + out.sky_wm2, 0.0, 1e-9, "sun and sky");
    CHECK_NEAR(out.ground_wm2, LIGHT.ghi_wm2 * LIGHT.albedo_frac, 1e-9, "ground");
}

static void there_is_no_beam_with_the_sun_on_or_under_the_horizon(void **state)
{
    (void)state;
    const lw_plane_geometry up = geometry_of(90.0, 180.0, NULL, 89.999, 180.0);
    const lw_plane_geometry down = geometry_of(90.0, 180.0, NULL, 90.0, 180.0);
    assert_true(light_on(&up, LW_SKY_HAY_DAVIES).beam_wm2 > 699.0);
    assert_true(light_on(&down, LW_SKY_HAY_DAVIES).beam_wm2 == 0.0);
    assert_true(light_on(&down, LW_SKY_PEREZ).beam_wm2 == 0.0);
}

/* Near the horizon the ratio of beam would grow without bound. */
static void the_beam_ratio_is_held_where_the_sun_is_low(void **state)
{
    (void)state;
    CHECK_NEAR(geometry_of(90.0, 180.0, NULL, 89.9, 180.0).rb, sin(89.9 * RAD) / 0.01745, 1e-9, "held");
    CHECK_NEAR(geometry_of(90.0, 180.0, NULL, 60.0, 180.0).rb, sin(60.0 * RAD) / cos(60.0 * RAD), 1e-9, "free");
    assert_true(geometry_of(90.0, 180.0, NULL, 60.0, 0.0).rb == 0.0);
}

static void a_hill_takes_the_beam_and_the_light_around_the_sun(void **state)
{
    (void)state;
    lw_horizon hill = {.shade_frac = 0.0};
    for (int i = 170; i <= 190; i++) /* south */
        hill.elevation_deg[i] = 30.0;
    const lw_plane_geometry behind = geometry_of(0.0, 180.0, &hill, 70.0, 180.0);
    const lw_plane_geometry above = geometry_of(0.0, 180.0, &hill, 50.0, 180.0);
    const lw_plane_geometry beside = geometry_of(0.0, 180.0, &hill, 70.0, 90.0);
    assert_true(behind.beam_visible == 0.0 && above.beam_visible == 1.0 && beside.beam_visible == 1.0);

    const lw_plane_out shaded = light_on(&behind, LW_SKY_HAY_DAVIES);
    const double even = LIGHT.dhi_wm2 * (1.0 - LIGHT.dni_wm2 / LIGHT.extra_dni_wm2) * lw_horizon_sky_frac(&hill);
    CHECK_NEAR(shaded.beam_wm2, 0.0, 0.0, "beam");
    CHECK_NEAR(shaded.sky_wm2, even, 1e-9, "only the even part of the sky is left");
    assert_true(light_on(&behind, LW_SKY_PEREZ).sky_wm2 < light_on(&beside, LW_SKY_PEREZ).sky_wm2);
    CHECK_NEAR(light_on(&behind, LW_SKY_ISOTROPIC).sky_wm2, LIGHT.dhi_wm2 * lw_horizon_sky_frac(&hill), 1e-9, "even");
}

static void trees_take_their_share_of_beam_and_circumsolar_light(void **state)
{
    (void)state;
    const lw_horizon trees = {.shade_frac = 0.4};
    const lw_plane_geometry open = geometry_of(20.0, 180.0, NULL, 40.0, 170.0);
    const lw_plane_geometry under = geometry_of(20.0, 180.0, &trees, 40.0, 170.0);
    const lw_plane_out full = light_on(&open, LW_SKY_HAY_DAVIES), less = light_on(&under, LW_SKY_HAY_DAVIES);
    CHECK_NEAR(less.beam_wm2, 0.6 * full.beam_wm2, 1e-9, "beam");
    const double circumsolar = LIGHT.dhi_wm2 * LIGHT.dni_wm2 / LIGHT.extra_dni_wm2 * open.rb;
    CHECK_NEAR(full.sky_wm2 - less.sky_wm2, 0.4 * circumsolar, 1e-9, "circumsolar");
}

static void a_turn_of_all_by_one_angle_changes_nothing(void **state)
{
    (void)state;
    const lw_plane_geometry here = geometry_of(35.0, 180.0, NULL, 55.0, 210.0);
    for (double turn = 10.0; turn <= 180.0; turn += 10.0) {
        const lw_plane_geometry there = geometry_of(35.0, 180.0 + turn, NULL, 55.0, 210.0 + turn);
        CHECK_NEAR(there.cos_aoi, here.cos_aoi, 1e-12, "turn %g", turn);
        CHECK_NEAR(light_on(&there, LW_SKY_PEREZ).total_wm2, light_on(&here, LW_SKY_PEREZ).total_wm2, 1e-9, "turn");
    }
}

/* Two instants of a morning, and a sun behind a hill in one of them. */
static void one_geometry_gives_the_mean_of_its_instants(void **state)
{
    (void)state;
    lw_horizon hill = {.shade_frac = 0.2};
    hill.elevation_deg[120] = 30.0; /* east-south-east */
    for (double tilt = 0.0; tilt <= 90.0; tilt += 15.0)
        for (double zenith = 45.0; zenith < 100.0; zenith += 5.0) {
            const lw_plane_geometry part[2] = {geometry_of(tilt, 150.0, &hill, zenith + 4.0, 120.0),
                                               geometry_of(tilt, 150.0, &hill, zenith - 4.0, 130.0)};
            const double low = lw_plane_sun_of(zenith + 4.0, 0.0).up;
            lw_plane_light light[2] = {LIGHT, LIGHT};
            light[0].dni_wm2 = low > 0.0 ? 500.0 : 0.0;
            light[0].dhi_wm2 = 60.0;
            light[0].ghi_wm2 = light[0].dni_wm2 * fmax(0.0, low) + 60.0;
            lw_plane_geometry whole;
            lw_plane_mean(part, light, 2, &whole);
            const lw_plane_light mean = lw_plane_light_mean(light, 2);
            lw_plane_out first, second, out;
            lw_plane_irradiance(&part[0], &light[0], &first);
            lw_plane_irradiance(&part[1], &light[1], &second);
            lw_plane_irradiance(&whole, &mean, &out);
            CHECK_NEAR(out.beam_wm2, 0.5 * (first.beam_wm2 + second.beam_wm2), 1e-9, "beam, tilt %g, %g", tilt, zenith);
            CHECK_NEAR(out.sky_wm2, 0.5 * (first.sky_wm2 + second.sky_wm2), 1e-9, "sky, tilt %g, %g", tilt, zenith);
            CHECK_NEAR(out.total_wm2, 0.5 * (first.total_wm2 + second.total_wm2), 1e-9, "total %g, %g", tilt, zenith);
            CHECK_NEAR(out.effective_wm2, 0.5 * (first.effective_wm2 + second.effective_wm2), 1e-9,
                       "behind the glass, tilt %g, zenith %g", tilt, zenith);
            const double product =
                0.5 * (first.total_wm2 * first.effective_wm2 + second.total_wm2 * second.effective_wm2);
            CHECK_NEAR(lw_plane_unevenness(part, light, 2) * out.total_wm2 * out.effective_wm2, product, 1e-9 * product,
                       "unevenness, tilt %g, zenith %g", tilt, zenith);
        }
}

static void one_geometry_of_the_dark_is_finite(void **state)
{
    (void)state;
    const lw_plane_geometry part[2] = {geometry_of(30.0, 180.0, NULL, 120.0, 0.0),
                                       geometry_of(30.0, 180.0, NULL, 118.0, 10.0)};
    const lw_plane_light dark = {.extra_dni_wm2 = 1366.1, .albedo_frac = 0.2};
    const lw_plane_light light[2] = {dark, dark};
    lw_plane_geometry whole;
    lw_plane_mean(part, light, 2, &whole);
    CHECK_NEAR(light_on(&whole, LW_SKY_HAY_DAVIES).total_wm2, light_on(&part[0], LW_SKY_HAY_DAVIES).total_wm2, 1e-9,
               "the first instant stands for the step");
    CHECK_NEAR(lw_plane_unevenness(part, light, 2), 1.0, 0.0, "even");
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault = {0};
    lw_horizon horizon = {.shade_frac = 0.0};
    assert_int_equal(lw_plane_check(&(lw_plane_in){30.0, 180.0, &horizon}, &fault), LW_OK);
    assert_int_equal(lw_plane_check(&(lw_plane_in){30.0, 180.0, NULL}, &fault), LW_OK);
    assert_int_equal(lw_plane_check(&(lw_plane_in){181.0, 180.0, NULL}, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "tilt_deg");
    assert_int_equal(lw_plane_check(&(lw_plane_in){30.0, (double)NAN, &horizon}, &fault), LW_E_RANGE);
    horizon.shade_frac = 1.5;
    assert_int_equal(lw_plane_check(&(lw_plane_in){30.0, 180.0, &horizon}, &fault), LW_E_RANGE);
    assert_int_equal(lw_plane_light_check(&LIGHT, &fault), LW_OK);
    lw_plane_light light = LIGHT;
    light.albedo_frac = (double)NAN;
    assert_int_equal(lw_plane_light_check(&light, &fault), LW_E_RANGE);
    light = LIGHT;
    light.extra_dni_wm2 = 0.0;
    assert_int_equal(lw_plane_light_check(&light, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "extra_dni_wm2");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_angle_of_incidence_is_that_of_the_report),
        cmocka_unit_test(a_sun_from_angles_points_where_they_say),
        cmocka_unit_test(parts_add_up_and_the_glass_dims_the_beam_only),
        cmocka_unit_test(a_flat_panel_gets_what_falls_on_the_level),
        cmocka_unit_test(a_panel_turned_over_sees_the_ground_only),
        cmocka_unit_test(there_is_no_beam_with_the_sun_on_or_under_the_horizon),
        cmocka_unit_test(the_beam_ratio_is_held_where_the_sun_is_low),
        cmocka_unit_test(a_hill_takes_the_beam_and_the_light_around_the_sun),
        cmocka_unit_test(trees_take_their_share_of_beam_and_circumsolar_light),
        cmocka_unit_test(a_turn_of_all_by_one_angle_changes_nothing),
        cmocka_unit_test(one_geometry_gives_the_mean_of_its_instants),
        cmocka_unit_test(one_geometry_of_the_dark_is_finite),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
