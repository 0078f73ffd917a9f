#include "core/sky/climate.h"

#include "core/models.h"
#include "tests/table.h"

static lw_climate_site site_at(double latitude_deg, double longitude_deg, double elevation_m)
{
    lw_climate_site site;
    lw_climate_site_make(&(lw_climate_place){latitude_deg, longitude_deg, elevation_m}, &site);
    return site;
}

static void every_check_value_is_met_to_its_printed_digits(void **state)
{
    /* tests/reference/climate.csv: half a unit of the fourth decimal, and what rounding on the other side may add. */
    static const char *const COLUMN[] = {"tmax", "tmin", "sd", "sddtr", "r1", "kt", "wet", "pmm", "wind"};
    const lw_model *model = lw_model_named("climate");
    (void)state;
    assert_non_null(model);
    table t;
    table_open(&t, "tests/reference/climate.csv");
    while (table_next(&t)) {
        double in[4], out[16];
        lw_fault fault = {0};
        for (size_t i = 0; i < model->in_count; i++)
            in[i] = table_number(&t, model->in[i].name);
        assert_int_equal(model->apply(in, out, &fault), LW_OK);
        for (size_t i = 0; i < COUNT_OF(COLUMN); i++)
            CHECK_NEAR(out[i], table_number(&t, COLUMN[i]), 0.5001e-4, "row %d: %s", t.row, COLUMN[i]);
        assert_int_equal((int)out[11], in[0] <= 66.0);
    }
    assert_int_equal(t.row, 36);
}

static void outside_the_domain_the_bound_is_named(void **state)
{
    static const struct {
        lw_climate_place place;
        const char *field;
        double low, high;
    } row[] = {
        {{23.9, -110.0, 0.0}, "latitude_deg", 24.0, 66.0},
        {{66.1, -150.0, 0.0}, "latitude_deg", 24.0, 66.0},
        {{45.0, 10.0, 0.0}, "longitude_deg", -165.0, -60.0},
        {{45.0, -166.0, 0.0}, "longitude_deg", -165.0, -60.0},
        {{45.0, -110.0, 4001.0}, "elevation_m", -100.0, 4000.0},
        {{45.0, -110.0, -101.0}, "elevation_m", -100.0, 4000.0},
        {{(double)NAN, -110.0, 0.0}, "latitude_deg", 24.0, 66.0},
        {{45.0, (double)NAN, 0.0}, "longitude_deg", -165.0, -60.0},
        {{45.0, -110.0, (double)NAN}, "elevation_m", -100.0, 4000.0},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_fault fault = {0};
        assert_int_equal(lw_climate_check(&row[i].place, &fault), LW_E_RANGE);
        assert_string_equal(fault.field, row[i].field);
        CHECK_NEAR(fault.low, row[i].low, 0.0, "row %zu", i);
        CHECK_NEAR(fault.high, row[i].high, 0.0, "row %zu", i);
    }
    lw_fault fault;
    assert_int_equal(lw_climate_check(&(lw_climate_place){24.0, -60.0, 4000.0}, &fault), LW_OK);
    const double far[] = {0.0, 0.0, 0.0, 1.0};
    double out[16];
    assert_int_equal(lw_model_named("climate")->apply(far, out, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "lat");
}

static void the_answer_is_finite_whatever_comes_in(void **state)
{
    static const double ODD[] = {-1e300, -200.0, 0.0, 45.0, 1e300, (double)NAN, (double)INFINITY};
    (void)state;
    for (size_t a = 0; a < COUNT_OF(ODD); a++)
        for (size_t b = 0; b < COUNT_OF(ODD); b++)
            for (size_t c = 0; c < COUNT_OF(ODD); c++) {
                const lw_climate_site site = site_at(ODD[a], ODD[b], ODD[c]);
                lw_climate_day day;
                lw_climate_of_day(&site, 200.0, &day);
                assert_true(isfinite(day.tmax_c) && isfinite(day.tmin_c) && isfinite(day.sd_k) && isfinite(day.kt));
                assert_true(day.tmax_c - day.tmin_c >= 4.0 - 1e-9);
            }
}

static void a_day_in_the_middle_of_a_month_is_the_month(void **state)
{
    const lw_climate_site site = site_at(38.57, -109.55, 1230.0);
    (void)state;
    for (int month = 1; month <= 12; month++) {
        lw_climate_day a, b;
        lw_climate_of_month(&site, month, &a);
        lw_climate_of_day(&site, 0.5 + 365.25 * (month - 0.5) / 12.0, &b);
        CHECK_NEAR(a.tmax_c, b.tmax_c, 1e-9, "month %d", month);
        CHECK_NEAR(a.kt, b.kt, 1e-12, "month %d", month);
    }
    lw_climate_day last, first;
    lw_climate_of_day(&site, 365.75, &last);
    lw_climate_of_day(&site, 0.5, &first);
    CHECK_NEAR(last.tmin_c, first.tmin_c, 1e-9, "the year closes");
}

static lw_climate_station station_at(const lw_climate_place *place, double tmax_k, double tmin_k)
{
    lw_climate_station station = {.place = *place};
    lw_climate_site site;
    lw_climate_site_make(place, &site);
    for (int m = 0; m < 12; m++) {
        lw_climate_day day;
        lw_climate_of_month(&site, m + 1, &day);
        station.tmax_c[m] = day.tmax_c + tmax_k;
        station.tmin_c[m] = day.tmin_c + tmin_k;
        station.kt[m] = station.wet_frac[m] = (double)NAN;
    }
    return station;
}

static void a_station_at_the_place_counts_by_five_sixths(void **state)
{
    /* w = 1 at no distance: 1 / (0.2 + 1) of its difference. */
    lw_climate_site site = site_at(40.0, -112.0, 1500.0);
    const lw_climate_station station = station_at(&site.place, 2.0, -3.0);
    (void)state;
    lw_climate_day before, after;
    lw_climate_of_month(&site, 3, &before);
    lw_climate_correct(&site, &station, 1);
    lw_climate_of_month(&site, 3, &after);
    CHECK_NEAR(after.tmax_c - before.tmax_c, 2.0 / 1.2, 1e-9, "tmax");
    CHECK_NEAR(after.tmin_c - before.tmin_c, -3.0 / 1.2, 1e-9, "tmin");
    CHECK_NEAR(after.kt - before.kt, 0.0, 1e-12, "clearness that the station does not know");
    CHECK_NEAR(site.station_frac, 1.0 / 1.2, 1e-12, "weight");
}

static void a_stations_height_is_in_its_difference_not_in_the_place(void **state)
{
    /* A station that is exactly as the model has it changes nothing, however much higher it lies. */
    lw_climate_site site = site_at(40.0, -112.0, 1500.0);
    const lw_climate_station station = station_at(&(lw_climate_place){40.1, -112.1, 2100.0}, 0.0, 0.0);
    (void)state;
    lw_climate_day before, after;
    lw_climate_of_month(&site, 7, &before);
    lw_climate_correct(&site, &station, 1);
    lw_climate_of_month(&site, 7, &after);
    CHECK_NEAR(after.tmax_c, before.tmax_c, 1e-9, "tmax");
}

static void a_station_counts_by_distance_and_height_as_the_formula_says(void **state)
{
    lw_climate_site site = site_at(40.0, -112.0, 1500.0);
    const double north_deg = 50.0 / 111.2; /* 50 km: e^-1; 250 m: e^-0.25 */
    const lw_climate_station stations[] = {
        station_at(&(lw_climate_place){40.0 + north_deg, -112.0, 1250.0}, 3.0, 0.0),
        station_at(&(lw_climate_place){44.0, -112.0, 1500.0}, 100.0, 0.0), /* 445 km: too far */
    };
    (void)state;
    lw_climate_day before, after;
    lw_climate_of_month(&site, 1, &before);
    lw_climate_correct(&site, stations, 2);
    lw_climate_of_month(&site, 1, &after);
    const double w = exp(-1.25);
    CHECK_NEAR(after.tmax_c - before.tmax_c, 3.0 * w / (0.2 + w), 1e-9, "tmax");
}

static void the_error_is_that_of_region_band_and_month(void **state)
{
    /* data/climate/errors.csv and errors_by_month.csv; figures of the fit's own cross-validation. */
    static const struct {
        double latitude_deg, longitude_deg, elevation_m;
        int month;
        double tmax_k, tmin_k, kt, wind_ms;
    } row[] = {
        {37.77, -122.42, 20.0, 7, 1.998 * 1.42, 1.721 * 1.20, 0.052, 0.933}, /* Pacific slope */
        {38.57, -109.55, 1230.0, 1, 1.236 * 1.33, 1.877 * 1.14, 0.048,
         1.198}, /* interior; its band is better in temperature */
        {44.55, -110.40, 2360.0, 1, 1.307 * 1.33, 2.311 * 1.14, 0.054, 1.231}, /* band 2000-2500 m */
        {35.60, -83.40, 1500.0, 10, 0.763 * 0.93, 0.991 * 1.14, 0.052, 1.049}, /* east of 100 W */
        {64.80, -147.70, 130.0, 1, 2.953 * 1.18, 3.218 * 1.78, 0.071, 1.653},  /* Alaska */
        {51.19, -115.55, 1397.0, 1, 1.9 * 1.33, 2.3 * 1.14, 0.071, 1.653},     /* western Canada */
        {49.91, -97.24, 239.0, 7, 2.8 * 0.96, 3.0 * 0.90, 0.071, 1.653},       /* eastern Canada */
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_climate_site site = site_at(row[i].latitude_deg, row[i].longitude_deg, row[i].elevation_m);
        lw_climate_rms error;
        lw_climate_error(&site, row[i].month, &error);
        CHECK_NEAR(error.tmax_k, row[i].tmax_k, 1e-9, "row %zu tmax", i);
        CHECK_NEAR(error.tmin_k, row[i].tmin_k, 1e-9, "row %zu tmin", i);
        CHECK_NEAR(error.kt, row[i].kt, 1e-9, "row %zu kt", i);
        CHECK_NEAR(error.wind_ms, row[i].wind_ms, 1e-9, "row %zu wind", i);
    }
}

static void every_place_and_month_of_the_domain_has_an_error(void **state)
{
    (void)state;
    for (double lat = 24.0; lat <= 66.0; lat += 3.0)
        for (double lon = -165.0; lon <= -60.0; lon += 5.0)
            for (double z = -100.0; z <= 4000.0; z += 410.0)
                for (int month = 1; month <= 12; month++) {
                    const lw_climate_site site = site_at(lat, lon, z);
                    lw_climate_rms e;
                    lw_climate_error(&site, month, &e);
                    if (!(e.tmax_k > 0.3 && e.tmin_k > 0.3 && e.sd_k > 0.3 && e.kt > 0.03 && e.wet_frac > 0.03 &&
                          e.wind_ms > 0.5))
                        fail_msg("%g %g %g month %d", lat, lon, z, month);
                }
}

static void stations_make_the_error_smaller_but_not_in_alaska(void **state)
{
    lw_climate_site site = site_at(40.0, -112.0, 1500.0), north = site_at(64.8, -147.7, 130.0);
    lw_climate_rms before, after;
    (void)state;
    lw_climate_error(&site, 1, &before);
    const lw_climate_station a = station_at(&site.place, 1.0, 1.0), b = station_at(&north.place, 1.0, 1.0);
    lw_climate_correct(&site, &a, 1);
    lw_climate_error(&site, 1, &after);
    CHECK_NEAR(after.tmax_k / before.tmax_k, 1.0 - 0.19 / 1.2, 1e-9, "0.81 in full");
    CHECK_NEAR(after.tmin_k / before.tmin_k, 1.0 - 0.095 / 1.2, 1e-9, "0.905 in full");
    lw_climate_error(&north, 1, &before);
    lw_climate_correct(&north, &b, 1);
    lw_climate_error(&north, 1, &after);
    CHECK_NEAR(after.tmax_k, before.tmax_k, 0.0, "Alaska");
}

static void doubts_name_what_the_stations_do_not_show(void **state)
{
    static const struct {
        const char *place;
        double latitude_deg, longitude_deg, elevation_m;
        int month;
        unsigned want;
    } row[] = {
        {"a basin of the Rockies in January", 38.54, -106.93, 2340.0, 1, LW_CLIMATE_COLD_POOL},
        {"the same in July", 38.54, -106.93, 2340.0, 7, 0},
        {"above the highest station", 39.22, -106.32, 3026.0, 1, LW_CLIMATE_HIGH},
        {"the western desert in January", 33.66, -114.23, 268.0, 1, 0},
        {"western Canada in July", 51.19, -115.55, 1397.0, 7, LW_CLIMATE_FEW_NORTH},
        {"Alaska in July", 64.80, -147.70, 130.0, 7, LW_CLIMATE_ROUGH_NORTH},
        {"Yukon in July", 60.72, -135.05, 690.0, 7, LW_CLIMATE_FEW_NORTH},
        {"the panhandle in July", 58.30, -134.40, 5.0, 7, LW_CLIMATE_ROUGH_NORTH},
        {"Baja California", 28.00, -113.50, 100.0, 7, LW_CLIMATE_SOUTH},
        {"the Big Bend", 29.27, -103.30, 1640.0, 7, 0},
        {"the Florida Keys", 24.70, -81.20, 2.0, 7, 0},
        {"the Great Smokies", 35.60, -83.40, 1500.0, 1, 0},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_climate_site site = site_at(row[i].latitude_deg, row[i].longitude_deg, row[i].elevation_m);
        const unsigned got = lw_climate_doubts(&site, row[i].month);
        if (got != row[i].want)
            fail_msg("%s: %u, want %u", row[i].place, got, row[i].want);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_check_value_is_met_to_its_printed_digits),
        cmocka_unit_test(outside_the_domain_the_bound_is_named),
        cmocka_unit_test(the_answer_is_finite_whatever_comes_in),
        cmocka_unit_test(a_day_in_the_middle_of_a_month_is_the_month),
        cmocka_unit_test(a_station_at_the_place_counts_by_five_sixths),
        cmocka_unit_test(a_stations_height_is_in_its_difference_not_in_the_place),
        cmocka_unit_test(a_station_counts_by_distance_and_height_as_the_formula_says),
        cmocka_unit_test(the_error_is_that_of_region_band_and_month),
        cmocka_unit_test(every_place_and_month_of_the_domain_has_an_error),
        cmocka_unit_test(stations_make_the_error_smaller_but_not_in_alaska),
        cmocka_unit_test(doubts_name_what_the_stations_do_not_show),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
