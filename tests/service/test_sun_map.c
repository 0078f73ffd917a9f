/* Hours of direct sun: against published lengths of the day, and against a ridge of a made-up tile. */
#include "service/sun_map.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/tzif.h"
#include "tests/check.h"

static lw_sun_ask ask_at(lw_spot spot, const char *terrain, lw_date date)
{
    lw_sun_ask ask = {.spot = spot,
                      .terrain = terrain,
                      .first_day = lw_day_of(date),
                      .days = 1,
                      .step_days = 1,
                      .half_m = 1000.0,
                      .side = 3};
    lw_err err = {0};
    const int64_t noon_s = ask.first_day * 86400;
    if (lw_zone_load("America/Denver", noon_s - 86400 * INT64_C(800), noon_s + 86400 * INT64_C(800), &ask.zone, &err))
        fail_msg("%s", err.text);
    return ask;
}

static void level_days_have_their_published_length(void **state)
{
    (void)state;
    /* Duration of daylight at 40 N, tables of the US Naval Observatory (from memory): 15 h 1 min on 21 June, 9 h 20 min on 21 December,
     * 12 h 9 min on 20 March; these count the sun's upper limb, some 3 min more than its centre. Ours steps by 5 min. */
    static const struct {
        lw_date date;
        double hours;
    } ROW[] = {{{2026, 6, 21}, 15.02}, {{2026, 12, 21}, 9.33}, {{2026, 3, 20}, 12.15}};
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        const lw_sun_ask ask = ask_at((lw_spot){40.0, -105.0}, "", ROW[i].date);
        lw_sun_day day;
        lw_err err = {0};
        assert_int_equal(lw_sun_days_make(&ask, &day, &err), LW_OK);
        CHECK_NEAR(day.level_h, ROW[i].hours, 0.15, "hours of day %zu", i);
        CHECK_NEAR(day.direct_h, day.level_h, 0.0, "nothing stands in the way");
    }
}

static void a_ridge_in_the_east_takes_the_morning(void **state)
{
    (void)state;
    const lw_sun_ask ask = ask_at((lw_spot){38.2, -111.1}, "tests/reference/terrain", (lw_date){2026, 6, 21});
    lw_sun_day day;
    lw_sun_map map;
    lw_err err = {0};
    if (lw_sun_days_make(&ask, &day, &err) || lw_sun_map_make(&ask, &map, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_true(day.direct_h < day.level_h - 0.5 && day.direct_h > 3.0);
    /* the middle cell is the spot itself: the map looks along each ray, the day at a skyline a degree apart */
    CHECK_NEAR(map.hours[4], day.direct_h, 0.25, "hours at the spot");
    CHECK_NEAR(map.level_h, day.level_h, 0.1, "hours of a level day");
    for (int i = 0; i < 9; i++)
        assert_true(map.hours[i] <= map.level_h && map.hours[i] <= map.most_h && map.hours[i] >= map.least_h);
    CHECK_NEAR(map.hours[map.best], map.most_h, 1e-9, "the best cell has most");
    char *svg = lw_sun_svg(&ask, &map);
    assert_non_null(strstr(svg, "</svg>"));
    free(svg);
}

static void what_cannot_be_drawn_is_refused(void **state)
{
    (void)state;
    lw_sun_map map;
    static const struct {
        double half_m;
        int side;
        const char *terrain, *says;
        double latitude_deg;
    } ROW[] = {
        {10.0, 3, "tests/reference/terrain", "50 m to 5 km", 38.2},
        {1000.0, 4, "tests/reference/terrain", "odd number", 38.2},
        {1000.0, 3, "", "terrain tiles", 38.2},
        {1000.0, 3, "nowhere", "nowhere", 38.2},
        {1000.0, 3, "tests/reference/terrain", "no tile", 48.2},
        {1000.0, 3, "", "latitude", 98.2},
    };
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        lw_sun_ask ask = ask_at((lw_spot){ROW[i].latitude_deg, -111.1}, ROW[i].terrain, (lw_date){2026, 6, 21});
        lw_err err = {0};
        ask.half_m = ROW[i].half_m;
        ask.side = ROW[i].side;
        if (lw_sun_map_make(&ask, &map, &err) == LW_OK ||
            (!strstr(err.text, ROW[i].says) && !strstr(err.where, ROW[i].says)))
            fail_msg("row %zu: %s: %s", i, err.where, err.text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(level_days_have_their_published_length),
        cmocka_unit_test(a_ridge_in_the_east_takes_the_morning),
        cmocka_unit_test(what_cannot_be_drawn_is_refused),
    };
    return cmocka_run_group_tests_name("service/sun_map", tests, NULL, NULL);
}
