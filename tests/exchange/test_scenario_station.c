/* A station's record in a scenario. The stations are invented: tests/reference/weather/normals_1991.csv has one at 38.5 N, 109.6 W,
 * 1220 m, one on a hill at 2400 m, and one without highs of two months. */
#include <stdlib.h>
#include <unistd.h>

#include "core/base/civil.h"
#include "tests/exchange/loaded.h"

#define AT_STATION "place: {latitude: 38.5 N, longitude: 109.6 W, elevation: 1220 m, zone: UTC}\n"
#define UP_THERE   "place: {latitude: 38.5 N, longitude: 109.6 W, elevation: 1720 m, zone: UTC}\n"
#define JULY       "stay: {arrive: 2026-07-10 00:00, leave: 2026-07-20 06:00}\n"
#define FLAT       "weather: {normals: tests/reference/weather/normals_1991.csv, station: USX00000001}\n"
#define NEAREST    "weather: {normals: tests/reference/weather/normals_1991.csv}\n"
#define HILL       "weather: {normals: tests/reference/weather/normals_1991.csv, station: USX00000002}\n"

static lw_climate_day july_of(const char *text)
{
    lw_loaded loaded;
    lw_climate_day day;
    load(&loaded, text);
    assert_true(loaded.has_climate);
    lw_climate_of_month(&loaded.climate, 7, &day);
    lw_loaded_clear(&loaded);
    return day;
}

static void at_the_station_five_sixths_of_the_difference_are_carried_over(void **state)
{
    (void)state;
    const lw_climate_day without = july_of(HEAD RIG CREW AT_STATION JULY),
                         with = july_of(HEAD RIG CREW AT_STATION JULY FLAT);
    const double station_c = (92.0 - 32.0) / 1.8; /* July's normal in the file */
    CHECK_NEAR(with.tmax_c - without.tmax_c, (station_c - without.tmax_c) / 1.2, 1e-9, "weight 1 of 1.2");
    assert_true(fabs(with.tmax_c - without.tmax_c) > 0.5);
}

static void the_lapse_between_station_and_place_is_the_models(void **state)
{
    (void)state;
    const lw_climate_day low = july_of(HEAD RIG CREW AT_STATION JULY), high = july_of(HEAD RIG CREW UP_THERE JULY);
    const lw_climate_day high_with = july_of(HEAD RIG CREW UP_THERE JULY FLAT);
    const double station_c = (92.0 - 32.0) / 1.8, weight = exp(-1.0); /* 500 m apart */
    CHECK_NEAR(high_with.tmax_c - high.tmax_c, weight / (0.2 + weight) * (station_c - low.tmax_c), 1e-9,
               "the difference at the station's own height is carried over");
    assert_true(high.tmax_c < low.tmax_c - 2.0);
}

static void the_hours_and_the_words_are_those_of_the_drawn_climate(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW AT_STATION JULY FLAT);
    double high_c = -90.0;
    for (int h = 24; h < 48; h++)
        high_c = fmax(high_c, loaded.scenario->weather.air_c[h]);
    lw_climate_day day;
    lw_climate_of_day(&loaded.climate, 192.0, &day);
    CHECK_NEAR(high_c, day.tmax_c, 0.3, "the hottest hour of 11 July");
    assert_non_null(strstr(loaded.weather_source, "climate of the place drawn to INVENTED FLAT, UT US"));
    assert_null(assumed(&loaded, "weather"));
    lw_loaded_clear(&loaded);
}

static void without_a_name_the_nearest_station_of_the_file_is_taken(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW AT_STATION JULY NEAREST);
    assert_non_null(strstr(loaded.weather_source, "INVENTED FLAT"));
    lw_loaded_clear(&loaded);
}

static void a_station_far_above_is_said_to_count_for_little(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW AT_STATION JULY HILL);
    assert_true(has_note(&loaded, "higher: it counts for 1 %, so the climate is hardly drawn to it"));
    assert_true(has_note(&loaded, "the station has highs of 10 months and lows of 12"));
    lw_loaded_clear(&loaded);
}

static void weather_of_another_kind_knows_the_climate_all_the_same(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW AT_STATION JULY "weather: {high: 30 C, low: 10 C}\n");
    assert_true(loaded.has_climate);
    CHECK_NEAR(loaded.climate.station_frac, 0.0, 0.0, "no station");
    lw_loaded_clear(&loaded);
    load(&loaded, HEAD RIG CREW "place: {latitude: 46 N, longitude: 8 E, elevation: 400 m, zone: UTC}\n" JULY
                                "weather: {high: 30 C, low: 10 C}\n");
    assert_false(loaded.has_climate);
    lw_loaded_clear(&loaded);
}

/* Twelve years of an invented station, in the fixed form, which carries no place: every day 20.0 and 8.0 C. */
static void write_record(const char *path)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    for (int year = 2005; year <= 2016; year++)
        for (int month = 1; month <= 12; month++)
            for (int e = 0; e < 2; e++) {
                fprintf(file, "USX00000009%d%02d%s", year, month, e ? "TMIN" : "TMAX");
                for (int d = 1; d <= 31; d++)
                    fprintf(file, "%5d   ", d > lw_days_in_month(year, month) ? -9999 : e ? 80 : 200);
                fprintf(file, "\n");
            }
    assert_int_equal(fclose(file), 0);
}

static void a_daily_record_without_a_place_needs_its_height(void **state)
{
    (void)state;
    char path[] = "/tmp/leeway-ghcn-XXXXXX", text[600];
    const int handle = mkstemp(path);
    assert_true(handle >= 0);
    close(handle);
    write_record(path);
    lw_loaded loaded;
    lw_err err = {0};
    (void)snprintf(text, sizeof text, HEAD RIG CREW AT_STATION JULY "weather: {ghcn: %s}\n", path);
    assert_int_equal(
        lw_scenario_load(&(lw_scenario_from){.path = "t.yaml", .bytes = text, .size = strlen(text)}, &loaded, &err),
        LW_E_MISSING);
    assert_string_equal(err.text, "the file does not say how high its station stands; write weather: {ghcn: ..., "
                                  "elevation: 4035 ft}");
    (void)snprintf(text, sizeof text, HEAD RIG CREW AT_STATION JULY "weather: {ghcn: %s, elevation: 1220 m}\n", path);
    const lw_climate_day without = july_of(HEAD RIG CREW AT_STATION JULY), with = july_of(text);
    CHECK_NEAR(with.tmax_c, without.tmax_c + (20.0 - without.tmax_c) / 1.2, 1e-9, "highs");
    CHECK_NEAR(with.tmin_c, without.tmin_c + (8.0 - without.tmin_c) / 1.2, 1e-9, "lows");
    load(&loaded, text);
    assert_true(has_note(&loaded, "it is taken to stand at the place"));
    lw_loaded_clear(&loaded);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(at_the_station_five_sixths_of_the_difference_are_carried_over),
        cmocka_unit_test(the_lapse_between_station_and_place_is_the_models),
        cmocka_unit_test(the_hours_and_the_words_are_those_of_the_drawn_climate),
        cmocka_unit_test(without_a_name_the_nearest_station_of_the_file_is_taken),
        cmocka_unit_test(a_station_far_above_is_said_to_count_for_little),
        cmocka_unit_test(weather_of_another_kind_knows_the_climate_all_the_same),
        cmocka_unit_test(a_daily_record_without_a_place_needs_its_height),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
