#include "service/weather.h"

#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "tests/check.h"

static const char SCENARIO[] =
    "leeway: 1\nrig: class-c\ncrew: 2 adults\n"
    "place: {latitude: 38.57 N, longitude: 109.55 W, elevation: 1230 m, zone: America/Denver}\n"
    "stay: {arrive: 2026-07-06 00:00, leave: 2026-07-16 12:00}\n";

static lw_weather_answer *take(void)
{
    lw_weather_answer *answer = calloc(1, sizeof *answer);
    assert_non_null(answer);
    return answer;
}

static void drop(lw_weather_answer *answer)
{
    lw_weather_answer_clear(answer);
    lw_weather_answer_clear(answer);
    free(answer);
}

static lw_weather_answer *of_text(const char *text)
{
    lw_weather_answer *answer = take();
    lw_err err = {0};
    if (lw_weather_of_scenario(&(lw_scenario_from){.path = "t.yaml", .bytes = text, .size = strlen(text)}, answer,
                               &err))
        fail_msg("%s: %s", err.where, err.text);
    return answer;
}

static void a_place_has_its_climate_by_month(void **state)
{
    /* tests/reference/climate.csv, July and January of that place; wet days 31 x 0.1372, rain 31 x 0.1372 x 6.4489 mm */
    lw_weather_answer *answer = take();
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_weather_of_place(&(lw_climate_place){38.57, -109.55, 1230.0}, LW_UNITS_US, answer, &err),
                     LW_OK);
    assert_true(answer->is_climate);
    CHECK_NEAR(answer->month[6].normal.tmax_c, 35.8893, 1e-4, "high of July");
    CHECK_NEAR(answer->month[0].normal.tmin_c, -6.3929, 1e-4, "low of January");
    CHECK_NEAR(answer->month[6].wet_days, 31 * 0.1372, 31 * 0.5e-4, "wet days");
    CHECK_NEAR(answer->month[6].rain_mm, 31 * 0.1372 * 6.4489, 0.015, "rain");
    assert_int_equal(answer->note_count, 0);
    drop(answer);
}

static void the_sun_of_a_month_is_clearness_times_what_falls_above_the_air(void **state)
{
    /* Duffie and Beckman, Solar Engineering of Thermal Processes, example 1.10.1: 15 April at 43 N, 33.8 MJ/m2 (9.39 kWh) above
     * the air, with a constant of 1367 W/m2 and a declination of 9.4 degrees. 1 %: another constant, another declination. */
    lw_weather_answer *answer = take();
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_weather_of_place(&(lw_climate_place){43.0, -89.4, 270.0}, LW_UNITS_US, answer, &err), LW_OK);
    CHECK_NEAR(answer->month[3].sun_kwhm2 / answer->month[3].normal.kt, 33.8 / 3.6, 0.094, "above the air");
    drop(answer);
}

static void loaded_weather_is_summed_by_civil_day(void **state)
{
    lw_weather_answer *answer = of_text(SCENARIO), *climate = take();
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_weather_of_place(&(lw_climate_place){38.57, -109.55, 1230.0}, LW_UNITS_US, climate, &err),
                     LW_OK);
    assert_false(answer->is_climate);
    assert_int_equal(answer->stay_count, 11);
    assert_int_equal(answer->date_count, 60);    /* sixty days from a midnight */
    const lw_weather_date *d = &answer->date[9]; /* 15 July */
    assert_int_equal(d->day, lw_day_of((lw_date){2026, 7, 15}));
    assert_int_equal(d->hours, 24);
    CHECK_NEAR(d->high_c, climate->month[6].normal.tmax_c, 0.4, "high");
    CHECK_NEAR(d->low_c, climate->month[6].normal.tmin_c, 0.6, "low");
    CHECK_NEAR(d->sun_kwhm2, climate->month[6].sun_kwhm2, 0.08, "two ways to the same sun");
    CHECK_NEAR(d->rain_mm, climate->month[6].rain_mm / 31.0, 0.03, "rain");
    CHECK_NEAR(d->wind_ms, climate->month[6].normal.wind_ms, 0.05, "wind");
    double mean_kt = 0.0;
    for (int i = 0; i < 11; i++)
        mean_kt += answer->date[i].clear_frac / 11.0;
    CHECK_NEAR(mean_kt, answer->date[9].clear_frac, 0.02, "clearness hardly moves within the days");
    drop(answer);
    drop(climate);
}

static void days_at_both_ends_say_how_many_hours_they_have(void **state)
{
    char text[400];
    (void)state;
    snprintf(text, sizeof text, "%s", SCENARIO);
    memcpy(strstr(text, "00:00"), "15:00", 5);
    lw_weather_answer *answer = of_text(text);
    assert_int_equal(answer->date[0].hours, 9);
    assert_int_equal(answer->date[1].hours, 24);
    int hours = 0;
    for (int i = 0; i < answer->date_count; i++)
        hours += answer->date[i].hours;
    assert_int_equal(hours, answer->loaded.scenario->calendar.hours);
    drop(answer);
}

static void only_notes_about_the_weather_are_kept(void **state)
{
    static const char TEXT[] =
        "leeway: 1\ncrew: 2 adults\n"
        "rig: {kind: class-c, generator: none, appliances: [{name: oven, watts: 900 W, generator_only: yes}]}\n"
        "place: {latitude: 38.57 N, longitude: 109.55 W, elevation: 3230 m, zone: America/Denver}\n"
        "stay: {arrive: 2026-07-06 00:00, leave: 2026-07-16 12:00}\n";
    (void)state;
    lw_weather_answer *answer = of_text(TEXT);
    assert_int_equal(answer->note_count, 1);
    assert_non_null(strstr(answer->note[0], "above the highest station"));
    assert_int_equal(answer->loaded.note_count, 2); /* that no generator is there for the oven, too */
    drop(answer);
}

static void a_place_without_height_is_taken_at_the_sea_and_says_so(void **state)
{
    lw_weather_answer *answer = take();
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_weather_of_place(&(lw_climate_place){38.57, -109.55, (double)NAN}, LW_UNITS_US, answer, &err),
                     LW_OK);
    CHECK_NEAR(answer->place.elevation_m, 0.0, 0.0, "height");
    assert_non_null(strstr(answer->note[0], "sea level is taken"));
    drop(answer);
}

static void outside_the_domain_one_sentence_says_so(void **state)
{
    static const struct {
        lw_climate_place place;
        const char *part;
    } row[] = {{{23.0, -110.0, 0.0}, "latitudes from 24 to 66, not for 23"},
               {{45.0, 10.0, 0.0}, "longitudes from -165 to -60, not for 10"},
               {{45.0, -110.0, 5000.0}, "elevations from -100 m to 4000 m, not for 5000 m"}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_weather_answer answer = {.is_climate = 0};
        lw_err err = {0};
        assert_int_equal(lw_weather_of_place(&row[i].place, LW_UNITS_SI, &answer, &err), LW_E_RANGE);
        if (!strstr(err.text, row[i].part))
            fail_msg("'%s' is not in '%s'", row[i].part, err.text);
    }
}

static json_t *json_of(const lw_weather_answer *answer)
{
    char *text = NULL;
    lw_err err = {0};
    assert_int_equal(lw_weather_json(answer, "0", &text, &err), LW_OK);
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
    free(text);
    assert_non_null(root);
    assert_string_equal(json_string_value(json_object_get(root, "schema")), "leeway.weather/1");
    return root;
}

static void json_carries_the_same(void **state)
{
    lw_weather_answer *climate = take(), *loaded = of_text(SCENARIO);
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_weather_of_place(&(lw_climate_place){44.55, -110.4, 2360.0}, LW_UNITS_US, climate, &err),
                     LW_OK);
    json_t *root = json_of(climate);
    const json_t *january = json_array_get(json_object_get(root, "months"), 0);
    assert_int_equal(json_array_size(json_object_get(root, "months")), 12);
    CHECK_NEAR(json_number_value(json_object_get(january, "low_c")), -13.63, 1e-9, "low");
    CHECK_NEAR(json_number_value(json_object_get(json_object_get(january, "error"), "low_k")), 2.63, 1e-9, "its error");
    assert_int_equal(json_array_size(json_object_get(root, "notes")), 1);
    json_decref(root);
    root = json_of(loaded);
    assert_int_equal(json_array_size(json_object_get(root, "days")), 60);
    assert_string_equal(json_string_value(json_object_get(json_array_get(json_object_get(root, "days"), 9), "date")),
                        "2026-07-15");
    json_decref(root);
    drop(climate);
    drop(loaded);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_place_has_its_climate_by_month),
        cmocka_unit_test(the_sun_of_a_month_is_clearness_times_what_falls_above_the_air),
        cmocka_unit_test(loaded_weather_is_summed_by_civil_day),
        cmocka_unit_test(days_at_both_ends_say_how_many_hours_they_have),
        cmocka_unit_test(only_notes_about_the_weather_are_kept),
        cmocka_unit_test(a_place_without_height_is_taken_at_the_sea_and_says_so),
        cmocka_unit_test(outside_the_domain_one_sentence_says_so),
        cmocka_unit_test(json_carries_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
