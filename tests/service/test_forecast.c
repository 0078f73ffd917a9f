/* A week's forecast of the documented form (NWS gridpoint, GeoJSON) against the climate alone, through many draws: a cold,
 * grey week takes more gas and leaves the battery sooner, a warm, clear one the other way. The files are made here. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "service/outlook.h"
#include "tests/check.h"

enum { DAYS = 7, DRAWS = 120 };

#define CAMP                                                                                                           \
    "leeway: 1\n"                                                                                                      \
    "rig: class-c\n"                                                                                                   \
    "crew: 2 adults\n"                                                                                                 \
    "place: {latitude: 38.57 N, longitude: 109.55 W, elevation: 1250 m, zone: America/Denver}\n"                       \
    "stay: {arrive: 2026-10-12 00:00, leave: 2026-10-19 00:00}\n"

typedef struct week {
    double night_c, day_c, cloud_pct;
} week;

typedef struct found {
    double gas_kg, gas_days, battery_days, sun_wh;
} found;

static void put_layer(FILE *to, const char *name, const char *unit, double night, double day)
{
    fprintf(to, "\"%s\": {\"uom\": \"%s\", \"values\": [", name, unit);
    for (int i = 0; i < 2 * DAYS; i++) /* local midnight is 06:00 UTC */
        fprintf(to, "%s{\"validTime\": \"2026-10-%02dT%s:00:00+00:00/PT12H\", \"value\": %d}", i > 0 ? ", " : "",
                12 + i / 2, i % 2 ? "18" : "06", (int)(i % 2 ? day : night));
    fprintf(to, "]}");
}

static void write_forecast(const char *path, const week *w)
{
    FILE *to = fopen(path, "w");
    assert_non_null(to);
    fprintf(to, "{\"type\": \"Feature\", \"geometry\": {\"type\": \"Polygon\", \"coordinates\": [[[-109.56, 38.56], "
                "[-109.56, 38.58], [-109.54, 38.58], [-109.54, 38.56], [-109.56, 38.56]]]}, \"properties\": "
                "{\"updateTime\": \"2026-10-12T05:41:17+00:00\", \"validTimes\": \"2026-10-12T06:00:00+00:00/P7D\", "
                "\"elevation\": {\"unitCode\": \"wmoUnit:m\", \"value\": 1250}, ");
    put_layer(to, "temperature", "wmoUnit:degC", w->night_c, w->day_c);
    fprintf(to, ", ");
    put_layer(to, "skyCover", "wmoUnit:percent", w->cloud_pct, w->cloud_pct);
    fprintf(to, "}}\n");
    assert_int_equal(fclose(to), 0);
}

static found outlook_of(const char *text)
{
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    const lw_outlook_request request = {.from = {.path = "camp.yaml", .bytes = text, .size = strlen(text)},
                                        .draws = {.draws = DRAWS, .seed = 1}};
    if (lw_outlook_run(&request, &answer, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    const lw_outlook *o = answer.outlook;
    const found f = {.gas_kg = o->propane_kg[4],
                     .gas_days = o->leeway[LW_SUPPLY_PROPANE].q[1].days,
                     .battery_days = o->leeway[LW_SUPPLY_BATTERY].q[1].days,
                     .sun_wh = o->sun_wh[4]};
    lw_outlook_answer_clear(&answer);
    return f;
}

static found with_forecast(const week *w)
{
    char path[] = "/tmp/leeway_forecast_XXXXXX", text[sizeof CAMP + 128];
    const int file = mkstemp(path);
    assert_true(file >= 0);
    (void)close(file);
    write_forecast(path, w);
    snprintf(text, sizeof text, CAMP "weather: {forecast: %s}\n", path);
    const found f = outlook_of(text);
    (void)remove(path);
    return f;
}

/* The sky of a forecast counts the less the further ahead, so the sun differs by less than what is said. */
static void a_cold_grey_week_takes_more_gas_and_leaves_the_battery_sooner(void **state)
{
    (void)state;
    const found usual = outlook_of(CAMP), cold = with_forecast(&(week){-9.0, 0.0, 95.0});
    assert_true(cold.gas_kg > 1.3 * usual.gas_kg);
    assert_true(cold.gas_days < usual.gas_days);
    assert_true(cold.battery_days < usual.battery_days);
    assert_true(cold.sun_wh < 0.9 * usual.sun_wh);
}

static void a_warm_clear_week_spares_gas(void **state)
{
    (void)state;
    const found usual = outlook_of(CAMP), warm = with_forecast(&(week){13.0, 24.0, 0.0});
    assert_true(warm.gas_kg < 0.8 * usual.gas_kg);
    assert_true(warm.gas_days > usual.gas_days);
    assert_true(warm.battery_days > usual.battery_days);
    assert_true(warm.sun_wh > usual.sun_wh);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cold_grey_week_takes_more_gas_and_leaves_the_battery_sooner),
        cmocka_unit_test(a_warm_clear_week_spares_gas),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
