/* From time and place to the energy of a panel, against the same chain of pvlib-python
 * (tests/reference/sun_chain_*.csv, whose first lines say every step and parameter). */
#include "core/power/cell.h"
#include "core/sky/air.h"
#include "core/sky/clear_sky.h"
#include "core/sky/plane.h"
#include "core/sky/split.h"
#include "core/sky/sun_table.h"
#include "tests/table.h"

static const double TURN = 6.283185307179586, HOUR_S = 3600.0, DAY_S = 86400.0;
static const double NEW_YEAR_2026_D = 20454.0;

typedef struct site {
    char name;
    double latitude_deg, longitude_deg, elevation_m;
} site;

static const site SITES[] = {{'A', 27.5, -99.2, 130.0},   {'B', 33.1, -113.7, 240.0}, {'C', 38.9, -107.4, 2650.0},
                             {'D', 44.3, -121.6, 1180.0}, {'E', 61.2, -149.1, 60.0},  {'F', -33.6, 149.4, 820.0}};

static lw_sun_table table_2026; /* filled once by main, read by all tests */

typedef struct rig {
    const site *at;
    lw_sun_place place;
    double pressure_pa, rise_kpwm2;
    lw_plane_array flat, tilted;
} rig;

typedef struct power {
    double ghi_wm2, plane_tilted_wm2, cell_flat_c, flat_w, tilted_w;
} power;

static rig rig_of(char name)
{
    const site *at = &SITES[name - 'A'];
    const double pressure_pa = lw_air_standard(at->elevation_m).pressure_pa;
    return (rig){
        .at = at,
        .place = lw_sun_place_of(&(lw_spa_place){.latitude_deg = at->latitude_deg,
                                                 .longitude_deg = at->longitude_deg,
                                                 .elevation_m = at->elevation_m,
                                                 .pressure_pa = pressure_pa,
                                                 .temperature_c = 12.0}),
        .pressure_pa = pressure_pa,
        .rise_kpwm2 = lw_cell_rise_kpwm2(LW_MOUNT_FLAT_ON_ROOF, 2.0),
        .flat = lw_plane_array_of(&(lw_plane_in){.tilt_deg = 0.0, .azimuth_deg = 180.0}),
        .tilted =
            lw_plane_array_of(&(lw_plane_in){.tilt_deg = 35.0, .azimuth_deg = at->latitude_deg > 0.0 ? 180.0 : 0.0}),
    };
}

static double air_c(const site *at, double day, double hour)
{
    const double latitude = fabs(at->latitude_deg);
    const double mean = 27.0 - 0.45 * (latitude - 25.0) - 0.0055 * at->elevation_m;
    const double swing = 4.0 + 0.22 * (latitude - 20.0), warmest = at->latitude_deg > 0.0 ? 200.0 : 17.0;
    return mean + swing * cos(TURN * (day - warmest) / 365.0) + 6.0 * cos(TURN * (hour - 15.0) / 24.0);
}

static double array_w(const lw_plane_array *array, const lw_sun *sun, const lw_plane_light *light, double rise_kpwm2,
                      double air, lw_plane_out *out, double *cell_c)
{
    lw_plane_geometry geometry;
    lw_plane_prepare(array, sun, &geometry);
    lw_plane_irradiance(&geometry, light, out);
    *cell_c = air + out->total_wm2 * rise_kpwm2;
    return lw_cell_power_w(&(lw_cell_power_in){
        .effective_wm2 = out->effective_wm2, .cell_c = *cell_c, .rated_w = 200.0, .gamma_pk = -0.0035});
}

static power power_at(const rig *r, double t_s, double day, double hour, double turbidity, double cloud_frac)
{
    lw_sun sun;
    lw_sun_at(&table_2026, &r->place, t_s, &sun);
    /* The day of the year is that of the UTC date. */
    const double utc_day = floor(t_s / DAY_S) - NEW_YEAR_2026_D;
    const double extra_dni_wm2 = lw_clear_extra_dni_wm2(1.0 + (utc_day < 365.0 ? utc_day : utc_day - 365.0));

    lw_clear_out clear, sky;
    lw_clear(&(lw_clear_in){.apparent_zenith_deg = 90.0 - sun.apparent_elevation_deg,
                            .pressure_pa = r->pressure_pa,
                            .elevation_m = r->at->elevation_m,
                            .linke_turbidity = turbidity,
                            .extra_dni_wm2 = extra_dni_wm2},
             &clear);
    lw_split_cloud(&(lw_split_cloud_in){.clear = clear,
                                        .cloud_frac = cloud_frac,
                                        .zenith_deg = 90.0 - sun.elevation_deg,
                                        .extra_dni_wm2 = extra_dni_wm2,
                                        .blend_width_frac = 0.0},
                   &sky);
    const lw_plane_light light = {.ghi_wm2 = sky.ghi_wm2,
                                  .dni_wm2 = sky.dni_wm2,
                                  .dhi_wm2 = sky.dhi_wm2,
                                  .extra_dni_wm2 = extra_dni_wm2,
                                  .albedo_frac = 0.2};
    const double air = air_c(r->at, day, hour);
    lw_plane_out flat, tilted;
    double cell_flat_c, cell_tilted_c;
    power p = {.ghi_wm2 = sky.ghi_wm2};
    p.flat_w = array_w(&r->flat, &sun, &light, r->rise_kpwm2, air, &flat, &cell_flat_c);
    p.tilted_w = array_w(&r->tilted, &sun, &light, r->rise_kpwm2, air, &tilted, &cell_tilted_c);
    p.plane_tilted_wm2 = tilted.total_wm2;
    p.cell_flat_c = cell_flat_c;
    return p;
}

/* Mean over a span of hours, each value at the middle of its step. */
static power mean_over(const rig *r, double start_s, double hours, double day, double first_hour, int steps_an_hour,
                       double turbidity, double cloud_frac)
{
    power sum = {0};
    const int steps = (int)(hours * steps_an_hour + 0.5);
    for (int i = 0; i < steps; i++) {
        const double hour = (i + 0.5) / steps_an_hour;
        const power p = power_at(r, start_s + hour * HOUR_S, day, first_hour + hour, turbidity, cloud_frac);
        sum.ghi_wm2 += p.ghi_wm2 / steps;
        sum.plane_tilted_wm2 += p.plane_tilted_wm2 / steps;
        sum.cell_flat_c += p.cell_flat_c / steps;
        sum.flat_w += p.flat_w / steps;
        sum.tilted_w += p.tilted_w / steps;
    }
    return sum;
}

/* 0.05 % and 0.2 Wh: same steps as the reference, only the sun differs. An hour's share of the day's 0.2 Wh. */
static void minute_steps_give_the_hours_of_the_reference(void **state)
{
    (void)state;
    table t;
    table_open(&t, "tests/reference/sun_chain_day.csv");
    while (table_next(&t)) {
        const rig r = rig_of(table_text(&t, "place")[0]);
        const double start_s = table_time(&t, "hour_start_utc"), day = table_number(&t, "day");
        const double hour = table_number(&t, "solar_hour"), turbidity = table_number(&t, "linke_turbidity");
        const double cloud_frac = table_number(&t, "cloud_factor");
        const power clear = mean_over(&r, start_s, 1.0, day, hour, 60, turbidity, 1.0);
        const power cloudy = mean_over(&r, start_s, 1.0, day, hour, 60, turbidity, cloud_frac);
        const struct {
            const char *column;
            double got, at_least;
        } checks[] = {
            {"ghi_w_m2", clear.ghi_wm2, 0.05},         {"poa_tilted_w_m2", clear.plane_tilted_wm2, 0.05},
            {"cell_flat_c", clear.cell_flat_c, 0.002}, {"dc_flat_wh", clear.flat_w, 0.01},
            {"dc_tilted_wh", clear.tilted_w, 0.01},    {"dc_flat_cloudy_wh", cloudy.flat_w, 0.01},
        };
        for (size_t i = 0; i < COUNT_OF(checks); i++) {
            const double want = table_number(&t, checks[i].column);
            CHECK_NEAR(checks[i].got, want, fmax(5e-4 * fabs(want), checks[i].at_least), "%s row %d %s", t.path, t.row,
                       checks[i].column);
        }
        const power middle = power_at(&r, start_s + 1800.0, day, hour + 0.5, turbidity, 1.0);
        const double want_w = table_number(&t, "dc_flat_midhour_w");
        CHECK_NEAR(middle.flat_w, want_w, fmax(5e-4 * want_w, 0.02), "%s row %d mid-hour", t.path, t.row);
    }
    assert_int_equal(t.row, 6 * 3 * 24);
}

/* README of the reference: flat 0.3 %, tilted 0.8 % on days over 100 Wh, 0.5 Wh on poorer ones. */
static void check_day(const table *t, const char *column, double got_wh, double share)
{
    const double want_wh = table_number(t, column);
    const double tolerance_wh = want_wh > 100.0 ? share * want_wh : 0.5;
    CHECK_NEAR(got_wh, want_wh, tolerance_wh, "%s row %d %s", t->path, t->row, column);
}

static void one_value_an_hour_gives_the_days_of_a_year(void **state)
{
    (void)state;
    table t;
    table_open(&t, "tests/reference/sun_chain_year.csv");
    while (table_next(&t)) {
        const rig r = rig_of(table_text(&t, "place")[0]);
        const double start_s = table_time(&t, "day_start_utc"), day = table_number(&t, "day");
        const double turbidity = table_number(&t, "linke_turbidity");
        const power clear = mean_over(&r, start_s, 24.0, day, 0.0, 1, turbidity, 1.0);
        const power cloudy = mean_over(&r, start_s, 24.0, day, 0.0, 1, turbidity, table_number(&t, "cloud_factor"));
        check_day(&t, "dc_flat_wh", 24.0 * clear.flat_w, 0.003);
        check_day(&t, "dc_tilted_wh", 24.0 * clear.tilted_w, 0.008);
        check_day(&t, "dc_flat_cloudy_wh", 24.0 * cloudy.flat_w, 0.003);
        check_day(&t, "dc_tilted_cloudy_wh", 24.0 * cloudy.tilted_w, 0.008);
        check_day(&t, "ghi_wh_m2", 24.0 * clear.ghi_wm2, 0.003);
        check_day(&t, "ghi_cloudy_wh_m2", 24.0 * cloudy.ghi_wm2, 0.003);
        check_day(&t, "poa_tilted_wh_m2", 24.0 * clear.plane_tilted_wm2, 0.008);
        const double midhour_wh = table_number(&t, "dc_flat_midhour_wh");
        CHECK_NEAR(24.0 * clear.flat_w, midhour_wh, 5e-4 * midhour_wh + 0.02, "%s row %d mid-hour", t.path, t.row);
    }
    assert_int_equal(t.row, 6 * 73);
}

static void minute_steps_give_the_days_of_a_year(void **state)
{
    (void)state;
    table t;
    table_open(&t, "tests/reference/sun_chain_year.csv");
    while (table_next(&t)) {
        if (t.row % 6 != 0) /* 1,440 steps a day: a spread over places and seasons is enough */
            continue;
        const rig r = rig_of(table_text(&t, "place")[0]);
        const double start_s = table_time(&t, "day_start_utc"), day = table_number(&t, "day");
        const double turbidity = table_number(&t, "linke_turbidity");
        const power clear = mean_over(&r, start_s, 24.0, day, 0.0, 60, turbidity, 1.0);
        const power cloudy = mean_over(&r, start_s, 24.0, day, 0.0, 60, turbidity, table_number(&t, "cloud_factor"));
        const struct {
            const char *column;
            double got_wh;
        } checks[] = {{"dc_flat_wh", clear.flat_w},
                      {"dc_tilted_wh", clear.tilted_w},
                      {"dc_flat_cloudy_wh", cloudy.flat_w},
                      {"dc_tilted_cloudy_wh", cloudy.tilted_w}};
        for (size_t i = 0; i < COUNT_OF(checks); i++) {
            const double want_wh = table_number(&t, checks[i].column);
            CHECK_NEAR(24.0 * checks[i].got_wh, want_wh, fmax(5e-4 * want_wh, 0.2), "%s row %d %s", t.path, t.row,
                       checks[i].column);
        }
    }
}

/* A year's energy by one value an hour, from the sums of all 365 days: 0.05 %. */
static void one_value_an_hour_gives_the_year(void **state)
{
    (void)state;
    table t;
    double got[4] = {0}, want[4] = {0};
    table_open(&t, "tests/reference/sun_chain_month.csv");
    while (table_next(&t)) {
        const rig r = rig_of(table_text(&t, "place")[0]);
        const double turbidity = table_number(&t, "linke_turbidity"), first = table_number(&t, "first_day");
        for (int i = 0; i < (int)table_number(&t, "days"); i++) {
            const double day = first + i;
            const double start_s = (NEW_YEAR_2026_D + day - 1.0 - r.at->longitude_deg / 360.0) * DAY_S;
            const power p = mean_over(&r, start_s, 24.0, day, 0.0, 1, turbidity, 1.0);
            got[0] += 24.0 * p.ghi_wm2;
            got[1] += 24.0 * p.plane_tilted_wm2;
            got[2] += 24.0 * p.flat_w;
            got[3] += 24.0 * p.tilted_w;
        }
        static const char *const COLUMNS[4] = {"ghi_wh_m2", "poa_tilted_wh_m2", "dc_flat_wh", "dc_tilted_wh"};
        for (int i = 0; i < 4; i++)
            want[i] += table_number(&t, COLUMNS[i]);
        if (table_number(&t, "month") < 12.0)
            continue;
        for (int i = 0; i < 4; i++) {
            CHECK_NEAR(got[i], want[i], 5e-4 * want[i], "year at %c: %s", r.at->name, COLUMNS[i]);
            got[i] = want[i] = 0.0;
        }
    }
    assert_int_equal(t.row, 6 * 12);
}

int main(void)
{
    /* The day before the first local midnight in the east, the day after the last one in the west. */
    lw_sun_table_fill(&table_2026, (int64_t)NEW_YEAR_2026_D - 1, 368, LW_SPA_DELTA_T_S);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(minute_steps_give_the_hours_of_the_reference),
        cmocka_unit_test(one_value_an_hour_gives_the_days_of_a_year),
        cmocka_unit_test(minute_steps_give_the_days_of_a_year),
        cmocka_unit_test(one_value_an_hour_gives_the_year),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
