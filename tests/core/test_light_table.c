#include "core/sky/light_table.h"

#include "core/base/civil.h"
#include "core/sky/air.h"
#include "core/sky/plane.h"
#include "core/sky/split.h"
#include "core/sky/sun_table.h"
#include "tests/check.h"

enum { HOURS = 24 };

typedef struct lit_hour {
    lw_sun sun;
    lw_clear_out clear;
    double extra_wm2;
    lw_plane_geometry plane;
} lit_hour;

/* A day at 38.57 N, 1230 m, on a plane of 35 degrees to the south. */
static void make_day(lw_date date, lit_hour hour[HOURS])
{
    static lw_sun_table table;
    const int64_t day = lw_day_of(date);
    const lw_plane_in in = {.tilt_deg = 35.0, .azimuth_deg = 180.0};
    const lw_plane_array array = lw_plane_array_of(&in);
    const lw_sun_place place = lw_sun_place_at(38.57, -109.55, 1230.0);
    lw_sun_table_fill(&table, day, 3, 69.0);
    for (int h = 0; h < HOURS; h++) {
        lit_hour *to = &hour[h];
        lw_sun_at(&table, &place, (double)day * 86400.0 + (h + 7.5) * 3600.0, &to->sun);
        to->extra_wm2 = lw_clear_extra_dni_at_wm2(to->sun.radius_au);
        lw_clear(&(lw_clear_in){.apparent_zenith_deg = 90.0 - to->sun.apparent_elevation_deg,
                                .pressure_pa = lw_air_standard(1230.0).pressure_pa,
                                .elevation_m = 1230.0,
                                .linke_turbidity = 3.0,
                                .extra_dni_wm2 = to->extra_wm2},
                 &to->clear);
        lw_plane_prepare(&array, &to->sun, &to->plane);
    }
}

static double plane_wm2(const lit_hour *hour, double clear_frac)
{
    const double zenith_deg = 90.0 - hour->sun.elevation_deg, ghi_wm2 = clear_frac * hour->clear.ghi_wm2;
    lw_plane_light light = {.ghi_wm2 = ghi_wm2, .extra_dni_wm2 = hour->extra_wm2, .albedo_frac = 0.2};
    lw_plane_out out;
    if (clear_frac > 1.0) {
        lw_split_out split;
        lw_split(&(lw_split_in){.ghi_wm2 = ghi_wm2, .zenith_deg = zenith_deg, .extra_dni_wm2 = hour->extra_wm2},
                 &split);
        light.dni_wm2 = split.dni_wm2, light.dhi_wm2 = split.dhi_wm2;
    } else {
        lw_clear_out split;
        lw_split_cloud(&(lw_split_cloud_in){.clear = hour->clear,
                                            .cloud_frac = clear_frac,
                                            .zenith_deg = zenith_deg,
                                            .extra_dni_wm2 = hour->extra_wm2,
                                            .blend_width_frac = LW_SPLIT_BLEND_WIDTH_FRAC},
                       &split);
        light.dni_wm2 = split.dni_wm2, light.dhi_wm2 = split.dhi_wm2;
    }
    lw_plane_irradiance(&hour->plane, &light, &out);
    return out.total_wm2;
}

static void straight_lines_between_the_knots_follow_the_split(void **state)
{
    static const lw_date DATES[] = {{2026, 1, 10}, {2026, 4, 10}, {2026, 6, 21}};
    static float at[LW_LIGHT_KNOTS][HOURS];
    (void)state;
    for (size_t i = 0; i < COUNT_OF(DATES); i++) {
        lit_hour hour[HOURS];
        double noon_wm2 = 0.0;
        make_day(DATES[i], hour);
        for (int k = 0; k < LW_LIGHT_KNOTS; k++)
            for (int h = 0; h < HOURS; h++)
                at[k][h] = hour[h].clear.ghi_wm2 > 0.0 ? (float)plane_wm2(&hour[h], lw_light_knot_frac(k)) : 0.0f;
        for (int h = 0; h < HOURS; h++)
            noon_wm2 = fmax(noon_wm2, (double)at[20][h]);
        for (double clear_frac = 0.013; clear_frac < 1.0; clear_frac += 0.011) {
            double clear[HOURS], got[HOURS], sum = 0.0, want_sum = 0.0;
            for (int h = 0; h < HOURS; h++)
                clear[h] = clear_frac;
            lw_light_hours(&at[0][0], HOURS, clear, got);
            for (int h = 0; h < HOURS; h++) {
                const double want = hour[h].clear.ghi_wm2 > 0.0 ? plane_wm2(&hour[h], clear_frac) : 0.0;
                CHECK_NEAR(got[h], want, 0.008 * noon_wm2, "day %zu, hour %d, clearness %g", i, h, clear_frac);
                sum += got[h], want_sum += want;
            }
            CHECK_NEAR(sum, want_sum, 0.01 * want_sum, "day %zu, clearness %g", i, clear_frac);
        }
    }
}

static void knots_give_their_own_values_and_the_ends_hold(void **state)
{
    static float at[LW_LIGHT_KNOTS][3];
    (void)state;
    for (int k = 0; k < LW_LIGHT_KNOTS; k++)
        for (int h = 0; h < 3; h++)
            at[k][h] = (float)(k * k + h);
    double got[3];
    lw_light_hours(&at[0][0], 3, (const double[]){lw_light_knot_frac(7), -0.5, 99.0}, got);
    CHECK_NEAR(got[0], 49.0, 1e-9, "a knot");
    CHECK_NEAR(got[1], 1.0, 1e-9, "below the first");
    CHECK_NEAR(got[2], (LW_LIGHT_KNOTS - 1) * (LW_LIGHT_KNOTS - 1) + 2.0, 1e-9, "above the last");
    CHECK_NEAR(lw_light_knot_frac(LW_LIGHT_KNOTS - 1), 1.3, 1e-12, "as far as a draw may go");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(straight_lines_between_the_knots_follow_the_split),
        cmocka_unit_test(knots_give_their_own_values_and_the_ends_hold),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
