/* A forecast over the usual weather of a scenario. The forecast is tests/reference/forecast.json: an invented cell at 1250 m,
 * 48 hours from 2026-10-12 06:00 UTC, made 05:41:17 UTC. */
#include <stdlib.h>
#include <unistd.h>

#include "core/sky/weather_draw.h"
#include "tests/exchange/loaded.h"

#define HERE "place: {latitude: 38.57 N, longitude: 109.55 W, elevation: 1250 m, zone: UTC}\n"
#define HIGH "place: {latitude: 38.57 N, longitude: 109.55 W, elevation: 1650 m, zone: UTC}\n"
#define FAR  "place: {latitude: 38.0 N, longitude: 109.55 W, elevation: 1250 m, zone: UTC}\n"
#define NOW  "stay: {arrive: 2026-10-12 06:00, leave: 2026-10-20 06:00}\n"
#define SAME "high: 10 C, low: 10 C, clear: 80 %, wind: 3 m/s, humidity: 50 %, rain: 31 mm"
#define WITH "weather: {forecast: tests/reference/forecast.json, " SAME "}\n"

static const lw_weather *weather_of(const lw_loaded *loaded)
{
    return &loaded->scenario->weather;
}

static void its_hours_come_first(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW HERE NOW WITH);
    const lw_weather *w = weather_of(&loaded);
    CHECK_NEAR(w->air_c[0], 12.0, 1e-9, "first hour");
    CHECK_NEAR(w->air_c[4], 3.0, 1e-9, "fifth hour");
    CHECK_NEAR(w->wind_ms[0], 5.0, 1e-9, "wind");
    CHECK_NEAR(w->humidity_frac[0], 0.4, 1e-9, "humidity");
    /* Hours 30 to 35 have null for humidity: from air and dew point then, Magnus (WMO-No. 8). The dew point is 1 C. */
    CHECK_NEAR(w->humidity_frac[30], exp(17.62 * 1.0 / 244.12) / exp(17.62 * w->air_c[30] / (243.12 + w->air_c[30])),
               1e-4, "by the dew point");
    CHECK_NEAR(w->clear_frac[0], 1.0, 1e-12, "no cloud");
    CHECK_NEAR(w->clear_frac[24], 0.25, 1e-12, "all cloud: Kasten and Czeplak 1980");
    CHECK_NEAR(w->precip_mm[24], 1.0, 1e-9, "rain");
    CHECK_NEAR(w->precip_mm[0], 0.0, 1e-12, "none said");
    CHECK_NEAR(w->precip_mm[33], 31.0 / (24 * 31), 1e-12, "behind the layer's end: the usual");
    assert_false(loaded.weather_is_typical);
    assert_int_equal(loaded.weather_made_s, 1791783677);
    assert_int_equal(loaded.forecast_from_s, 1791784800);
    assert_int_equal(loaded.forecast_until_s, 1791784800 + 48 * 3600);
    assert_non_null(strstr(loaded.weather_source,
                           "one set of values for the whole stay; before that a forecast to Wed 2026-10-14"));
    assert_false(has_note(&loaded, "forecast"));
    lw_loaded_clear(&loaded);
}

static void what_it_said_differently_fades(void **state)
{
    (void)state;
    lw_loaded loaded;
    lw_climate_day normal;
    load(&loaded, HEAD RIG CREW HERE NOW WITH);
    const lw_weather *w = weather_of(&loaded);
    double last = 0.0;
    for (int h = 24; h < 48; h++)
        last += (w->air_c[h] - 10.0) / 24.0;
    assert_true(fabs(last) > 0.2);
    lw_climate_of_day(&loaded.climate, 287.0, &normal); /* 14 October, where the forecast ends */
    for (int k = 0; k < 96; k++)
        CHECK_NEAR(w->air_c[48 + k], 10.0 + last * pow(normal.r1, (k + 0.5) / 24.0), 1e-9, "air, %d h behind", k);
    for (int k = 0; k < 24; k++) {
        CHECK_NEAR(w->clear_frac[48 + k], 0.8 - 0.55 * (1.0 - (k + 0.5) / 24.0), 1e-9, "clearness, %d h behind", k);
        CHECK_NEAR(w->precip_mm[48 + k], 31.0 / (24 * 31), 1e-12, "rain does not fade");
    }
    CHECK_NEAR(w->clear_frac[72], 0.8, 1e-12, "after a day the sky is as usual");
    lw_loaded_clear(&loaded);
}

static void outside_the_climate_a_spell_fades_by_the_usual_correlation(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW "place: {latitude: 46 N, longitude: 8 E, elevation: 1250 m, zone: UTC}\n" NOW WITH);
    const lw_weather *w = weather_of(&loaded);
    assert_false(loaded.has_climate);
    CHECK_NEAR((w->air_c[84] - 10.0) / (w->air_c[60] - 10.0), 0.77, 1e-9, "a day apart");
    lw_loaded_clear(&loaded);
}

static void its_air_is_brought_to_the_height_of_the_place(void **state)
{
    (void)state;
    lw_loaded here, high;
    load(&here, HEAD RIG CREW HERE NOW WITH);
    load(&high, HEAD RIG CREW HIGH NOW WITH);
    for (int h = 0; h < 48; h++) /* 6.5 K/km, ICAO Doc 7488: 400 m up */
        CHECK_NEAR(weather_of(&high)->air_c[h] - weather_of(&here)->air_c[h], -2.6, 1e-9, "hour %d", h);
    CHECK_NEAR(weather_of(&high)->air_c[47 + 30 * 24], 10.0, 0.01, "the usual weather is the place's own");
    CHECK_NEAR(weather_of(&high)->humidity_frac[0], 0.4, 1e-12, "relative humidity is kept");
    assert_true(has_note(&high, "below the place; air is corrected by 6.5 K/km, and how much colder a valley gets"));
    assert_false(has_note(&here, "corrected"));
    lw_loaded_clear(&here);
    lw_loaded_clear(&high);
}

static void a_cell_elsewhere_is_noted(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW FAR NOW WITH);
    assert_true(has_note(&loaded, "the forecast is for a cell 39")); /* 0.57 deg are 63.4 km, 39.4 miles */
    lw_loaded_clear(&loaded);
}

static void an_old_forecast_is_noted_with_its_age(void **state)
{
    (void)state;
    static const struct {
        int64_t now_s;
        int is_noted;
    } row[] = {{1791783677 + 36 * 3600, 0},
               {1791783677 + 36 * 3600 + 1, 1},
               {1791783677 + 50 * 3600, 1},
               {1791783677 + 100 * 3600, 1}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        static const char TEXT[] = HEAD RIG CREW HERE NOW WITH;
        lw_loaded loaded;
        lw_err err = {0};
        const lw_scenario_from from = {.path = "t.yaml", .bytes = TEXT, .size = sizeof TEXT - 1, .now_s = row[i].now_s};
        if (lw_scenario_load(&from, &loaded, &err))
            fail_msg("%s: %s", err.where, err.text);
        assert_int_equal(has_note(&loaded, " old; fetch a newer one"), row[i].is_noted);
        if (i >= 2)
            assert_true(has_note(&loaded, i == 2 ? "the forecast is 50 hours old" : "the forecast is 4 days old"));
        lw_loaded_clear(&loaded);
    }
}

static void a_forecast_for_other_days_leaves_the_usual_weather(void **state)
{
    (void)state;
    lw_loaded late, early;
    load(&late, HEAD RIG CREW HERE "stay: {arrive: 2026-10-20 06:00, leave: 2026-10-22 06:00}\n" WITH);
    assert_true(has_note(&late, "the forecast ends before the hours of this outlook; the usual weather stands in"));
    assert_true(late.weather_is_typical);
    assert_int_equal(late.forecast_until_s, 0);
    for (int h = 0; h < 60; h++)
        CHECK_NEAR(weather_of(&late)->air_c[h], 10.0, 1e-12, "hour %d", h);
    load(&early, HEAD RIG CREW HERE "stay: {arrive: 2026-10-10 06:00, leave: 2026-10-16 06:00}\n" WITH);
    CHECK_NEAR(weather_of(&early)->air_c[47], 10.0, 1e-12, "before it begins");
    CHECK_NEAR(weather_of(&early)->air_c[48], 12.0, 1e-12, "its first hour");
    assert_int_equal(early.forecast_from_s, 1791784800);
    lw_loaded_clear(&late);
    lw_loaded_clear(&early);
}

static void the_climate_follows_where_nothing_else_is_said(void **state)
{
    (void)state;
    lw_loaded with, without;
    load(&with, HEAD RIG CREW HERE NOW "weather: {forecast: tests/reference/forecast.json}\n");
    load(&without, HEAD RIG CREW HERE NOW);
    CHECK_NEAR(weather_of(&with)->air_c[0], 12.0, 1e-9, "forecast");
    CHECK_NEAR(weather_of(&with)->air_c[48 + 30 * 24], weather_of(&without)->air_c[48 + 30 * 24], 0.01, "climate");
    CHECK_NEAR(weather_of(&with)->clear_frac[80], weather_of(&without)->clear_frac[80], 1e-12, "its sun, after a day");
    assert_non_null(strstr(with.weather_source, "climate of the place"));
    assert_non_null(strstr(with.weather_source, "a forecast to"));
    lw_loaded_clear(&with);
    lw_loaded_clear(&without);
}

/* A year of EPW with 20 C and 100 W/m2 in every hour, at the place's own height. */
static void write_year(const char *path)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fprintf(
        file,
        "LOCATION,Nowhere,-,-,invented,000000,38.57,-109.55,0.0,1250.0\nDATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n");
    for (int month = 1; month <= 12; month++)
        for (int day = 1; day <= lw_days_in_month(2025, month); day++)
            for (int hour = 1; hour <= 24; hour++)
                fprintf(file, "2025,%d,%d,%d,0,x,20,1,50,87000,0,0,300,100,50,60,0,0,0,0,180,3.0\n", month, day, hour);
    fclose(file);
}

static void an_hourly_file_gives_way_and_comes_back(void **state)
{
    (void)state;
    char path[] = "/tmp/leeway-forecast-XXXXXX", text[700];
    lw_loaded loaded;
    const int file = mkstemp(path);
    assert_true(file >= 0);
    close(file);
    write_year(path);
    snprintf(text, sizeof text, HEAD RIG CREW HERE NOW "weather: {forecast: tests/reference/forecast.json, file: %s}\n",
             path);
    load(&loaded, text);
    const lw_weather *w = weather_of(&loaded);
    assert_true(isnan(w->ghi_wm2[0]) && isnan(w->dni_wm2[47]) && isnan(w->dhi_wm2[47]));
    CHECK_NEAR(w->clear_frac[47], 0.25, 1e-12, "sun by the sky cover");
    CHECK_NEAR(w->ghi_wm2[48], 100.0, 1e-9, "behind it the file's own");
    assert_true(w->air_c[48] < 15.0 && w->air_c[60] > w->air_c[48]);
    CHECK_NEAR(w->air_c[48 + 30 * 24], 20.0, 0.02, "after a month it is the file's");
    assert_non_null(strstr(loaded.weather_source, "EPW file of Nowhere"));
    lw_loaded_clear(&loaded);
    unlink(path);
}

/* The draws that belong to a loaded scenario: their middle course is the one that was loaded. */
static void draws_lie_about_forecast_and_usual_weather(void **state)
{
    (void)state;
    static const char *const TEXT[] = {HEAD RIG CREW HERE NOW WITH,
                                       HEAD RIG CREW HERE NOW "weather: {forecast: tests/reference/forecast.json}\n",
                                       HEAD RIG CREW HERE NOW};
    lw_weather_frame *frame = malloc(sizeof *frame);
    assert_non_null(frame);
    for (size_t i = 0; i < COUNT_OF(TEXT); i++) {
        lw_loaded loaded;
        lw_draw_known known;
        lw_fault fault;
        lw_weather_day day[LW_WEATHER_DAYS];
        static double air[LW_HOURS];
        load(&loaded, TEXT[i]);
        assert_true(lw_loaded_draws(&loaded, &known));
        assert_int_equal(lw_weather_frame_check(&known.in, &fault), LW_OK);
        lw_weather_frame_make(&known.in, frame);
        lw_weather_normal_days(frame, day);
        lw_weather_hours(frame, day, &(lw_weather_series){.air_c = air});
        for (int h = 0; h < (i < 2 ? 36 : 240); h++)
            CHECK_NEAR(air[h], weather_of(&loaded)->air_c[h], 1e-4, "text %zu, hour %d", i, h);
        CHECK_NEAR(frame->day[25].course.tmax_c, i == 0 ? 10.5 : frame->day[25].climate.tmax_c, 0.6, "far behind");
        assert_int_equal(frame->day[1].told.air_sd_k > 0.0, i < 2);
        assert_true(frame->day[25].told.air_sd_k == 0.0);
        lw_loaded_clear(&loaded);
    }
    free(frame);
}

static void none_takes_it_away(void **state)
{
    (void)state;
    lw_loaded loaded;
    static const char *const CHANGE[] = {"weather.forecast=none"};
    load_changed(&loaded, HEAD RIG CREW HERE NOW WITH, CHANGE, 1);
    CHECK_NEAR(weather_of(&loaded)->air_c[0], 10.0, 1e-12, "first hour");
    lw_loaded_clear(&loaded);
}

static void a_file_that_is_not_there_says_how_to_get_one(void **state)
{
    (void)state;
    lw_loaded loaded;
    static const char TEXT[] = HEAD RIG CREW HERE NOW "weather: {forecast: none-such.json}\n";
    lw_err err = {0};
    const lw_scenario_from from = {.path = "t.yaml", .bytes = TEXT, .size = sizeof TEXT - 1};
    assert_int_equal(lw_scenario_load(&from, &loaded, &err), LW_E_IO);
    assert_non_null(strstr(err.text, "Fetch one, or leave it out."));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(its_hours_come_first),
        cmocka_unit_test(what_it_said_differently_fades),
        cmocka_unit_test(outside_the_climate_a_spell_fades_by_the_usual_correlation),
        cmocka_unit_test(its_air_is_brought_to_the_height_of_the_place),
        cmocka_unit_test(a_cell_elsewhere_is_noted),
        cmocka_unit_test(an_old_forecast_is_noted_with_its_age),
        cmocka_unit_test(a_forecast_for_other_days_leaves_the_usual_weather),
        cmocka_unit_test(the_climate_follows_where_nothing_else_is_said),
        cmocka_unit_test(an_hourly_file_gives_way_and_comes_back),
        cmocka_unit_test(draws_lie_about_forecast_and_usual_weather),
        cmocka_unit_test(none_takes_it_away),
        cmocka_unit_test(a_file_that_is_not_there_says_how_to_get_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
