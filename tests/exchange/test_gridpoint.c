#include "tests/check.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/gridpoint.h"

/* An invented cell; 2026-10-12 06:00 UTC is 1791784800. */
#define PATH "tests/reference/forecast.json"
enum { FROM_S = 1791784800 };

static lw_forecast *read_at(int64_t now_s)
{
    lw_forecast *f = malloc(sizeof *f);
    lw_err err = {0};
    assert_non_null(f);
    if (lw_gridpoint_read_path(PATH, now_s, f, &err))
        fail_msg("%s: %s", err.where, err.text);
    return f;
}

static lw_code read_text(const char *text, lw_forecast *f, lw_err *err)
{
    lw_bytes bytes = {text, strlen(text)};
    return lw_gridpoint_read(lw_read_bytes, &bytes, "made.json", 0, f, err);
}

static void intervals_become_hours_in_our_units(void **state)
{
    lw_forecast *f = read_at(0);
    (void)state;
    assert_int_equal(f->issued_s, FROM_S - 1123); /* 05:41:17 */
    assert_int_equal(f->start_s, FROM_S);
    assert_int_equal(f->hours, 48);
    CHECK_NEAR(f->latitude_deg, 38.57, 1e-9, "latitude");
    CHECK_NEAR(f->longitude_deg, -109.55, 1e-9, "longitude");
    CHECK_NEAR(f->elevation_m, 1250.0, 0.0, "elevation");
    static const double AIR[] = {12, 9, 6, 4, 3, 3, 5};
    for (int h = 0; h < 7; h++)
        CHECK_NEAR(f->air_c[h], AIR[h], 0.0, "hour %d", h);
    CHECK_NEAR(f->wind_ms[5], 5.0, 1e-9, "18 km/h");
    CHECK_NEAR(f->gust_ms[0], 10.0, 1e-9, "36 km/h");
    CHECK_NEAR(f->humidity_frac[29], 0.4, 1e-9, "P1DT6H has 30 hours");
    CHECK_NEAR(f->wind_from_deg[23], 350.0, 1e-9, "from");
    CHECK_NEAR(f->precip_chance_frac[24], 0.8, 1e-9, "chance");
    free(f);
}

static void totals_are_shared_in_time_and_keep_their_sum(void **state)
{
    lw_forecast *f = read_at(0), *late = read_at(FROM_S + 27 * 3600);
    double sum = 0.0;
    (void)state;
    for (int h = 0; h < f->end_h[LW_FORECAST_PRECIPITATION]; h++)
        sum += f->precip_mm[h];
    CHECK_NEAR(sum, 7.5, 1e-9, "6 mm in six hours and 1.5 in three");
    CHECK_NEAR(f->precip_mm[24], 1.0, 1e-9, "a sixth of six");
    /* From 9:00 on the second day half of the six hours is left. */
    assert_int_equal(late->start_s, FROM_S + 27 * 3600);
    assert_int_equal(late->hours, 21);
    sum = 0.0;
    for (int h = 0; h < late->end_h[LW_FORECAST_PRECIPITATION]; h++)
        sum += late->precip_mm[h];
    CHECK_NEAR(sum, 4.5, 1e-9, "3 of the 6 mm, and 1.5");
    CHECK_NEAR(late->air_c[0], f->air_c[27], 0.0, "the hour that holds now comes first");
    free(f);
    free(late);
}

static void each_layer_ends_for_itself_and_what_is_not_said_is_unknown(void **state)
{
    lw_forecast *f = read_at(FROM_S + 1800); /* inside an hour */
    (void)state;
    assert_int_equal(f->start_s, FROM_S);
    assert_int_equal(f->end_h[LW_FORECAST_GUST], 24);
    assert_int_equal(f->end_h[LW_FORECAST_PRECIPITATION], 33);
    assert_int_equal(f->end_h[LW_FORECAST_HUMIDITY], 30); /* six hours of null behind it */
    assert_int_equal(f->end_h[LW_FORECAST_SNOW], 0);
    assert_true(isnan(f->gust_ms[24]) && isnan(f->precip_mm[33]) && isnan(f->humidity_frac[30]));
    assert_true(isnan(f->snow_mm[0]));
    free(f);
}

static void a_forecast_that_is_over_has_no_hours(void **state)
{
    lw_forecast *f = read_at(FROM_S + 49 * 3600);
    (void)state;
    assert_int_equal(f->hours, 0);
    free(f);
}

#define FRAME(layers) "{\"properties\": {\"updateTime\": \"2026-10-12T05:41:17+00:00\"" layers "}}"
#define LAYER(name, uom, time, value)                                                                                  \
    ", \"" name "\": {\"uom\": \"" uom "\", \"values\": [{\"validTime\": \"" time "\", \"value\": " value "}]}"
#define T1 "2026-10-12T06:00:00+00:00/PT1H"

static void other_units_of_the_same_quantity_are_taken(void **state)
{
    static const struct {
        const char *text;
        lw_forecast_layer layer;
        double want;
    } row[] = {
        {FRAME(LAYER("temperature", "wmoUnit:K", T1, "283.15")), LW_FORECAST_AIR, 10.0},
        {FRAME(LAYER("temperature", "unit:degF", T1, "50")), LW_FORECAST_AIR, 10.0},
        {FRAME(LAYER("temperature", "unit:degC", T1, "1") LAYER("windSpeed", "wmoUnit:m_s-1", T1, "4")),
         LW_FORECAST_WIND, 4.0},
        {FRAME(LAYER("temperature", "unit:degC", T1, "1") LAYER("windSpeed", "wmoUnit:kt", T1, "10")), LW_FORECAST_WIND,
         5.144444},
        {FRAME(LAYER("temperature", "unit:degC", T1, "1") LAYER("snowfallAmount", "wmoUnit:cm", T1, "2.5")),
         LW_FORECAST_SNOW, 25.0},
        {FRAME(LAYER("temperature", "unit:degC", "2026-10-12T00:00:00-06:00/PT1H", "7")), LW_FORECAST_AIR, 7.0},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_forecast *f = malloc(sizeof *f);
        lw_err err = {0};
        assert_non_null(f);
        if (read_text(row[i].text, f, &err))
            fail_msg("row %zu: %s %s", i, err.where, err.text);
        CHECK_NEAR(lw_forecast_hours(f, row[i].layer)[0], row[i].want, 1e-6, "row %zu", i);
        assert_int_equal(f->start_s, FROM_S);
        free(f);
    }
}

static void a_mean_of_parts_of_an_hour_is_weighted_by_time(void **state)
{
    static const char TEXT[] = FRAME(", \"temperature\": {\"uom\": \"wmoUnit:degC\", \"values\": ["
                                     "{\"validTime\": \"2026-10-12T06:00:00+00:00/PT45M\", \"value\": 4}, "
                                     "{\"validTime\": \"2026-10-12T06:45:00+00:00/PT1H30M\", \"value\": 8}]}"
                                     ", \"windDirection\": {\"uom\": \"wmoUnit:degree_(angle)\", \"values\": ["
                                     "{\"validTime\": \"2026-10-12T06:00:00+00:00/PT30M\", \"value\": 350}, "
                                     "{\"validTime\": \"2026-10-12T06:30:00+00:00/PT30M\", \"value\": 30}]}");
    lw_forecast *f = malloc(sizeof *f);
    lw_err err = {0};
    (void)state;
    assert_non_null(f);
    if (read_text(TEXT, f, &err))
        fail_msg("%s %s", err.where, err.text);
    CHECK_NEAR(f->air_c[0], 5.0, 1e-9, "45 and 15 minutes");
    CHECK_NEAR(f->air_c[1], 8.0, 1e-9, "all of the next hour");
    assert_int_equal(f->hours, 2); /* a quarter of the third hour is not half of it */
    CHECK_NEAR(f->wind_from_deg[0], 10.0, 1e-9, "350 and 30 by the north");
    free(f);
}

static void what_does_not_fit_is_refused_by_its_place(void **state)
{
    static const struct {
        const char *text, *where, *says;
    } row[] = {
        {FRAME(LAYER("temperature", "wmoUnit:rankine", T1, "1")), "made.json temperature",
         "the unit wmoUnit:rankine is not one"},
        {FRAME(LAYER("temperature", "wmoUnit:degC", T1, "1") LAYER("windSpeed", "wmoUnit:degC", T1, "1")),
         "made.json windSpeed", "the unit wmoUnit:degC is not one"},
        {FRAME(LAYER("temperature", "wmoUnit:degC", T1, "900")), "made.json temperature[0]",
         "900 is no value that weather has"},
        {FRAME(LAYER("temperature", "wmoUnit:degC", T1, "\"warm\"")), "made.json temperature[0]",
         "neither a number nor null"},
        {FRAME(LAYER("temperature", "wmoUnit:degC", "2026-10-12T06:00:00+00:00/PT", "1")), "made.json temperature[0]",
         "PT is no duration"},
        {FRAME(LAYER("temperature", "wmoUnit:degC", "2026-10-12T06:00:00+00:00/PT1M1H", "1")),
         "made.json temperature[0]", "PT1M1H is no duration"},
        {FRAME(LAYER("temperature", "wmoUnit:degC", "2026-10-12T06:00:00+00:00/P16D", "1")), "made.json temperature[0]",
         "no duration from a minute to 15 days"},
        {FRAME(LAYER("temperature", "wmoUnit:degC", "2026-10-12T06:00:00/PT1H", "1")), "made.json temperature[0]", ""},
        {FRAME(", \"temperature\": {\"uom\": \"wmoUnit:degC\", \"values\": []}"), "made.json temperature",
         "the layer is empty"},
        {FRAME(", \"temperature\": {\"values\": [{\"validTime\": \"" T1 "\", \"value\": 1}]}"), "made.json temperature",
         "no unit"},
        {"[1, 2]", "made.json", "this is no gridpoint forecast"},
        {"", "made.json", "it is empty"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_forecast *f = malloc(sizeof *f);
        lw_err err = {0};
        assert_non_null(f);
        f->hours = -5;
        if (!read_text(row[i].text, f, &err) || strncmp(err.where, row[i].where, strlen(row[i].where)) != 0 ||
            !strstr(err.text, row[i].says) || !err.text[0])
            fail_msg("row %zu: '%s' '%s'", i, err.where, err.text);
        assert_int_equal(f->hours, -5);
        free(f);
    }
}

static void the_first_answer_names_the_address(void **state)
{
    static const char GOOD[] = "{\"properties\": {\"forecastGridData\": \"https://example.org/grid\"}}";
    char url[40] = "", small[10] = "kept";
    lw_err err = {0}, other = {0};
    (void)state;
    assert_int_equal(lw_gridpoint_find_url(GOOD, sizeof GOOD - 1, url, sizeof url, &err), LW_OK);
    assert_string_equal(url, "https://example.org/grid");
    assert_int_equal(lw_gridpoint_find_url(GOOD, sizeof GOOD - 1, small, sizeof small, &other), LW_E_MISSING);
    assert_string_equal(small, "kept");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(intervals_become_hours_in_our_units),
        cmocka_unit_test(totals_are_shared_in_time_and_keep_their_sum),
        cmocka_unit_test(each_layer_ends_for_itself_and_what_is_not_said_is_unknown),
        cmocka_unit_test(a_forecast_that_is_over_has_no_hours),
        cmocka_unit_test(other_units_of_the_same_quantity_are_taken),
        cmocka_unit_test(a_mean_of_parts_of_an_hour_is_weighted_by_time),
        cmocka_unit_test(what_does_not_fit_is_refused_by_its_place),
        cmocka_unit_test(the_first_answer_names_the_address),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
