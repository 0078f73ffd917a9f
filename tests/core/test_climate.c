#include "core/sky/climate.h"

#include "tests/check.h"
#include "tests/table.h"

/* tests/reference/climate.csv: the fit's own program, printed to four decimals. */
static void every_check_value_is_met_to_its_last_digit(void **state)
{
    (void)state;
    table t;
    int rows = 0;
    table_open(&t, "tests/reference/climate.csv");
    while (table_next(&t)) {
        lw_climate_site site;
        lw_climate_day day;
        const double lat = table_number(&t, "lat"), lon = table_number(&t, "lon"), z = table_number(&t, "elev_m");
        lw_climate_prepare(lat, lon, z, &site);
        lw_climate_in_month(&site, (int)table_number(&t, "month"), &day);
        const struct {
            const char *name;
            double got;
        } row[] = {{"tmax", day.tmax_c},   {"tmin", day.tmin_c}, {"sd", day.sd_k},
                   {"sddtr", day.sddtr_k}, {"r1", day.r1},       {"kt", day.kt},
                   {"wet", day.wet_frac},  {"pmm", day.wet_mm},  {"wind", day.wind_ms}};
        for (size_t i = 0; i < COUNT_OF(row); i++)
            CHECK_NEAR(row[i].got, table_number(&t, row[i].name), 5.1e-5, "%.2f %.2f %s", lat, lon, row[i].name);
        rows++;
    }
    assert_int_equal(rows, 36);
}

/* Intermediate values printed beside the fit for 38.57, -109.55, 1230 m. */
static void terms_of_a_place_are_those_of_the_fit(void **state)
{
    (void)state;
    lw_climate_site site;
    lw_climate_prepare(38.57, -109.55, 1230.0, &site);
    static const struct {
        int term;
        double want;
    } row[] = {{1, -0.143},    {2, -0.30333},  {5, 0.04373},      {6, 0.00027},      {13, 0.23},
               {11, -0.17589}, {12, -0.37310}, {18 + 3, 0.46241}, {18 + 8, 0.73224}, {18 + 9, 0.89788}};
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(site.term[row[i].term], row[i].want, 5.1e-6, "term %d", row[i].term);
}

static void outside_its_domain_it_does_not_answer(void **state)
{
    (void)state;
    static const double at[][3] = {{23.9, -100, 0},  {66.1, -150, 0},  {40, -59, 0},   {40, -166, 0},
                                   {40, -105, 4001}, {40, -105, -101}, {NAN, -105, 0}, {40, NAN, 0}};
    for (size_t i = 0; i < COUNT_OF(at); i++) {
        lw_fault fault = {0};
        assert_int_equal(lw_climate_check(at[i][0], at[i][1], at[i][2], &fault), LW_E_RANGE);
        assert_non_null(fault.field);
    }
}

static void the_year_is_smooth_and_the_month_is_its_middle(void **state)
{
    (void)state;
    lw_climate_site site;
    lw_climate_day a, b, month;
    lw_climate_prepare(44.3, -114.0, 1800.0, &site);
    lw_climate_on_day(&site, 366.25, &a);
    lw_climate_on_day(&site, 1.0, &b);
    CHECK_NEAR(a.tmax_c, b.tmax_c, 0.1, "the turn of the year");
    for (int day = 1; day < 366; day++) {
        lw_climate_on_day(&site, day, &a);
        lw_climate_on_day(&site, day + 1, &b);
        assert_true(fabs(a.tmax_c - b.tmax_c) < 0.6 && a.tmax_c > a.tmin_c);
    }
    lw_climate_in_month(&site, 7, &month);
    lw_climate_on_day(&site, 365.25 * 6.5 / 12.0 + 0.5, &a);
    CHECK_NEAR(a.tmin_c, month.tmin_c, 1e-9, "July");
}

static void its_error_is_told_by_region_and_elevation(void **state)
{
    (void)state;
    static const struct {
        double lat, lon, z, tmax_k;
    } row[] = {{61, -150, 50, 2.953},
               {40, -80, 300, 0.763},
               {40, -112, 1300, 1.13},
               {38, -106, 2700, 1.188},
               {34, -118, 100, 2.008}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_climate_site site;
        lw_climate_error error;
        lw_climate_prepare(row[i].lat, row[i].lon, row[i].z, &site);
        lw_climate_error_of(&site, row[i].lon, &error);
        CHECK_NEAR(error.tmax_k, row[i].tmax_k, 1e-12, "row %zu", i);
        assert_int_equal(isnan(error.kt), row[i].z > 2500.0);
        assert_int_equal(lw_climate_may_pool_cold(&site, row[i].lon, 1), row[i].lon < -100.0 && row[i].z > 500.0);
        assert_false(lw_climate_may_pool_cold(&site, row[i].lon, 7));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_check_value_is_met_to_its_last_digit),
        cmocka_unit_test(terms_of_a_place_are_those_of_the_fit),
        cmocka_unit_test(outside_its_domain_it_does_not_answer),
        cmocka_unit_test(the_year_is_smooth_and_the_month_is_its_middle),
        cmocka_unit_test(its_error_is_told_by_region_and_elevation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
