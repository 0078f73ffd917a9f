/* What runs along the stay: calendar, stay rule, events, skyline, weather. */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/base/civil.h"
#include "tests/exchange/loaded.h"
#include "tests/table.h"

static int64_t utc(int year, int month, int day, int hour)
{
    return lw_day_of((lw_date){year, month, day}) * 86400 + hour * 3600;
}

/* ---- the calendar ---- */

static void the_calendar_runs_sixty_days_from_the_arrival(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW PLACE STAY AIR);
    const lw_scenario *s = loaded.scenario;
    assert_int_equal(s->stay.arrival_s, utc(2026, 6, 8, 21)); /* 15:00 MDT */
    assert_int_equal(s->stay.departure_s, utc(2026, 6, 18, 16));
    assert_int_equal(s->calendar.start_s, s->stay.arrival_s);
    assert_int_equal(s->calendar.hours, 60 * 24);
    assert_int_equal(s->calendar.civil_hour[0], 15);
    assert_int_equal(s->calendar.weekday[0], 0); /* 2026-06-08 is a Monday */
    assert_int_equal(s->calendar.civil_hour[9], 0);
    assert_int_equal(s->calendar.civil_day[9], s->calendar.civil_day[8] + 1);
    lw_loaded_clear(&loaded);
}

static void days_of_23_and_25_hours_keep_their_civil_clock(void **state)
{
    (void)state;
    /* America/Denver 2026: clocks go forward on 8 March at 2:00 and back on 1 November at 2:00 */
    static const struct {
        const char *arrive;
        int hours, after_one;
    } row[] = {{"2026-03-08", 23, 3}, {"2026-11-01", 25, 1}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        char text[400];
        lw_loaded loaded;
        snprintf(text, sizeof text, HEAD RIG CREW PLACE "stay: {arrive: %s 00:00}\n" AIR, row[i].arrive);
        load(&loaded, text);
        const lw_calendar *c = &loaded.scenario->calendar;
        int hours = 0;
        while (c->civil_day[hours] == c->civil_day[0])
            hours++;
        assert_int_equal(hours, row[i].hours);
        assert_int_equal(c->civil_hour[1], 1);
        assert_int_equal(c->civil_hour[2], row[i].after_one);
        lw_loaded_clear(&loaded);
    }
}

static void an_arrival_is_now_where_the_file_has_none(void **state)
{
    (void)state;
    lw_loaded loaded;
    lw_err err = {0};
    static const char TEXT[] = HEAD RIG CREW PLACE AIR;
    const lw_scenario_from from = {
        .path = "t.yaml", .bytes = TEXT, .size = sizeof TEXT - 1, .now_s = utc(2026, 6, 8, 21) - 1234};
    assert_int_equal(lw_scenario_load(&from, &loaded, &err), LW_OK);
    assert_int_equal(loaded.scenario->stay.arrival_s, utc(2026, 6, 8, 21));
    assert_non_null(assumed(&loaded, "stay.arrive"));
    assert_int_equal(loaded.scenario->stay.departure_s, 0);
    lw_loaded_clear(&loaded);
}

/* ---- how long one may stay ---- */

static int64_t end_of_stay(const char *place, const char *stay)
{
    char text[900];
    lw_loaded loaded;
    snprintf(text, sizeof text,
             HEAD RIG CREW "place: {latitude: 38.2 N, longitude: 111.1 W, zone: UTC, %s}\nstay: {%s}\n" AIR, place,
             stay);
    load(&loaded, text);
    const int64_t end_s = loaded.scenario->stay.stay_end_s;
    lw_loaded_clear(&loaded);
    return end_s;
}

static void the_stay_ends_by_rule_history_and_deadline(void **state)
{
    (void)state;
    /* 14 days in any 28 (62 FR 66880): 1-14 June used, so 15-28 June are not allowed and 29 June is */
    static const char USED[] = "earlier: [{from: 2026-06-01, to: 2026-06-14}]";
    char stay[200];
    assert_int_equal(end_of_stay("animals: yes", "arrive: 2026-06-08 15:00"), 0);
    assert_int_equal(end_of_stay("stay_rule: blm-usual", "arrive: 2026-06-08 15:00"), utc(2026, 6, 22, 0));
    snprintf(stay, sizeof stay, "arrive: 2026-06-20 15:00, %s", USED);
    assert_int_equal(end_of_stay("stay_rule: blm-usual", stay), utc(2026, 6, 20, 15)); /* no day is left */
    snprintf(stay, sizeof stay, "arrive: 2026-06-29 15:00, %s", USED);
    assert_int_equal(end_of_stay("stay_rule: blm-usual", stay), utc(2026, 7, 13, 0));
    assert_int_equal(end_of_stay("stay_rule: {days: 5 days, window: 10 days}", "arrive: 2026-06-08 15:00"),
                     utc(2026, 6, 13, 0));
    assert_int_equal(end_of_stay("stay_rule: blm-usual, deadline: 2026-06-15 11:00", "arrive: 2026-06-08 15:00"),
                     utc(2026, 6, 15, 11));
}

static void a_rule_ends_the_stay_before_a_later_departure(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded,
         HEAD RIG CREW "place: {latitude: 1 N, longitude: 2 E, zone: UTC, stay_rule: {days: 3 days}}\n" STAY AIR);
    assert_true(loaded.scenario->stay.stay_end_s < loaded.scenario->stay.departure_s);
    assert_string_equal(loaded.rule_words, "3 days at one place");
    lw_loaded_clear(&loaded);
}

/* ---- events ---- */

static void events_and_renewals_stand_in_the_order_of_time(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD
         "rig: {data: {name: plan, allowance: 10 GB, renews: 31}, tanks: {grey: [{name: a, capacity: 50 L}, {name: b, "
         "capacity: 50 L}]}}\n" CREW PLACE "stay:\n  arrive: 2026-06-08 15:00\n  events:\n"
         "    - {at: 2026-06-20 12:00, do: dump, what: grey}\n"
         "    - {at: 2026-06-12 12:00, do: add, what: fresh, amount: 10 L, why: gift}\n"
         "    - {at: 2026-06-13 12:00, do: take, what: propane, amount: 1 gal}\n"
         "    - {at: 2027-01-01 12:00, do: fill, what: fresh}\n" AIR);
    const lw_scenario *s = loaded.scenario;
    assert_int_equal(s->transfer_count, 6);
    for (int i = 1; i < s->transfer_count; i++)
        assert_true(s->transfer[i - 1].at_s <= s->transfer[i].at_s);
    assert_int_equal(s->transfer[0].kind, LW_TRANSFER_ADD);
    CHECK_NEAR(s->transfer[0].amount, 10.0, 1e-12, "litres");
    assert_string_equal(s->transfer[0].why, "gift");
    CHECK_NEAR(s->transfer[1].amount, -3.785411784 * 0.508, 1e-9, "a gallon of propane taken out");
    assert_int_equal(s->transfer[2].vessel, vessel_at(&loaded, "a"));
    assert_int_equal(s->transfer[3].vessel, vessel_at(&loaded, "b"));
    assert_int_equal(s->transfer[4].at_s, utc(2026, 6, 30, 6)); /* the 31st of June is the 30th, at midnight */
    assert_int_equal(s->transfer[5].at_s, utc(2026, 7, 31, 6));
    assert_true(has_note(&loaded, "left out"));
    lw_loaded_clear(&loaded);
}

/* ---- the skyline ---- */

static void the_skyline_joins_its_points_around_the_north(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded,
         HEAD RIG CREW "place: {latitude: 1 N, longitude: 2 E, zone: UTC, horizon: [{toward: 350 deg, rises: 10 deg}, "
                       "{toward: 30 deg, rises: 2 deg}, {toward: S, rises: 6 deg}]}\n" STAY AIR);
    const double *h = loaded.scenario->place.horizon_deg;
    CHECK_NEAR(h[350], 10.0, 1e-12, "350 deg");
    CHECK_NEAR(h[0], 8.0, 1e-12, "0 deg, a quarter of the way down");
    CHECK_NEAR(h[30], 2.0, 1e-12, "30 deg");
    CHECK_NEAR(h[105], 4.0, 1e-12, "105 deg, half-way up");
    lw_loaded_clear(&loaded);
    load(&loaded, HEAD RIG CREW "place: {latitude: 1 N, longitude: 2 E, zone: UTC, horizon: 5 deg}\n" STAY AIR);
    for (int i = 0; i < LW_HORIZON_POINTS; i++)
        CHECK_NEAR(loaded.scenario->place.horizon_deg[i], 5.0, 0.0, "point %d", i);
    lw_loaded_clear(&loaded);
}

static double reference_july(const char *name)
{
    table t;
    double found = NAN;
    table_open(&t, "tests/reference/climate.csv");
    while (table_next(&t))
        if (fabs(table_number(&t, "lat") - 38.57) < 1e-9 && fabs(table_number(&t, "month") - 7.0) < 1e-9)
            found = table_number(&t, name);
    return found;
}

/* ---- weather ---- */

/* Mid-July at 38.57 N, 109.55 W, 1,230 m: the month's row of tests/reference/climate.csv. */
static void without_weather_the_climate_of_the_place_holds(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded,
         HEAD RIG CREW "place: {latitude: 38.57, longitude: -109.55, elevation: 1230 m, zone: America/Denver}\n"
                       "stay: {arrive: 2026-07-16 00:00, leave: 2026-07-20 00:00}\n");
    const lw_weather *w = &loaded.scenario->weather;
    double low = 1e3, high = -1e3;
    for (int h = 0; h < 24; h++) {
        low = fmin(low, w->air_c[h]);
        high = fmax(high, w->air_c[h]);
        assert_true(isnan(w->ghi_wm2[h]) && w->clear_frac[h] > 0.7 && w->clear_frac[h] < 1.05);
    }
    /* The reference's July at this place: an hour's mean misses the day's extreme by some tenths. */
    CHECK_NEAR(high, reference_july("tmax"), 0.6, "high");
    CHECK_NEAR(low, reference_july("tmin"), 0.6, "low");
    assert_non_null(strstr(loaded.weather_source, "1991-2020"));
    assert_true(loaded.weather_is_typical);
    lw_loaded_clear(&loaded);
}

static void a_day_runs_between_its_low_and_its_high(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded,
         HEAD RIG CREW "place: {latitude: 1 N, longitude: 0.0, zone: UTC}\nstay: {arrive: 2026-06-08 00:00}\n" AIR);
    const double *air = loaded.scenario->weather.air_c;
    double least = 99.0, most = -99.0, mean = 0.0;
    for (int h = 0; h < 24; h++) {
        least = fmin(least, air[h]);
        most = fmax(most, air[h]);
        mean += air[h] / 24.0;
    }
    /* hours are sampled at their middle: half an hour from the low at 6:00 and the high at 15:00 */
    CHECK_NEAR(least, 10.0, 0.4, "low");
    CHECK_NEAR(most, 30.0, 0.4, "high");
    CHECK_NEAR(mean, 20.0, 0.1, "half-cosines have the mean of low and high");
    CHECK_NEAR(air[5], air[6], 0.4, "either side of 6:00");
    assert_true(air[14] > air[13] && air[15] > air[16]);
    assert_true(isnan(loaded.scenario->weather.ghi_wm2[12]));
    CHECK_NEAR(loaded.scenario->weather.clear_frac[12], 0.75, 1e-12, "the default, which is listed");
    assert_non_null(assumed(&loaded, "weather.clear"));
    lw_loaded_clear(&loaded);
}

static void air_is_corrected_for_the_height_between(void **state)
{
    (void)state;
    lw_loaded low, high;
    load(&low, HEAD RIG CREW PLACE STAY AIR);
    load(&high, HEAD RIG CREW PLACE STAY "weather: {high: 30 C, low: 10 C, elevation: 400 m}\n");
    for (int i = 0; i < 48; i++) /* 6.5 K/km, ICAO Doc 7488: 600 m up */
        CHECK_NEAR(high.scenario->weather.air_c[i] - low.scenario->weather.air_c[i], -3.9, 1e-9, "hour %d", i);
    lw_loaded_clear(&low);
    lw_loaded_clear(&high);
}

static void months_pass_over_into_each_other(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW
         "place: {latitude: 1 N, longitude: 0.0, zone: UTC}\nstay: {arrive: 2026-06-15 00:00, leave: 2026-07-20}\n"
         "weather: {months: {jun: {high: 20 C, low: 20 C, wind: 2 m/s}, jul: {high: 30 C, low: 30 C, wind: 4 m/s}}}\n");
    const lw_weather *w = &loaded.scenario->weather;
    CHECK_NEAR(w->air_c[0], 20.0, 0.2, "the middle of June");
    CHECK_NEAR(w->air_c[24 * 15], 25.0, 0.3, "where June meets July");
    CHECK_NEAR(w->wind_ms[24 * 15], 3.0, 0.1, "wind likewise");
    CHECK_NEAR(w->air_c[24 * 31], 30.0, 0.3, "the middle of July");
    assert_true(has_note(&loaded, "the nearest month stands in"));
    CHECK_NEAR(w->air_c[24 * 55], 30.0, 1e-9, "August is not given: July stands in");
    lw_loaded_clear(&loaded);
}

static void without_weather_the_place_has_its_climate(void **state)
{
    (void)state;
    lw_loaded left_out, asked, spelled;
    static const char WINTER[] =
        HEAD RIG CREW "place: {latitude: 44.55 N, longitude: 110.40 W, elevation: 2360 m, zone: America/Denver}\n"
                      "units: si\nstay: {arrive: 2026-01-10 00:00, leave: 2026-01-20 10:00}\n";
    char text[600];
    load(&left_out, WINTER);
    snprintf(text, sizeof text, "%sweather: climate\n", WINTER);
    load(&asked, text);
    snprintf(text, sizeof text, "%sweather: {file: climate}\n", WINTER);
    load(&spelled, text);
    const lw_weather *w = &left_out.scenario->weather;
    double least = 99.0, most = -99.0, mean_wind = 0.0, rain = 0.0;
    for (int h = 0; h < 24 * 10; h++) {
        least = fmin(least, w->air_c[h]);
        most = fmax(most, w->air_c[h]);
        mean_wind += w->wind_ms[h] / 240.0;
        rain += w->precip_mm[h];
    }
    /* check values of January there (tests/reference/climate.csv): -2.78 and -13.63 C, wind 2.55 m/s, 0.2318 x 2.28 mm a day */
    CHECK_NEAR(most, -2.78, 0.5, "high");
    CHECK_NEAR(least, -13.63, 0.5, "low");
    CHECK_NEAR(mean_wind, 2.55, 0.05, "wind");
    CHECK_NEAR(rain, 10.0 * 0.2318 * 2.2764, 0.4, "snow as water");
    assert_true(isnan(w->ghi_wm2[12]));
    for (int h = 0; h < left_out.scenario->calendar.hours; h++) {
        CHECK_NEAR(asked.scenario->weather.air_c[h], w->air_c[h], 0.0, "asked for, hour %d", h);
        CHECK_NEAR(spelled.scenario->weather.clear_frac[h], w->clear_frac[h], 0.0, "spelled out, hour %d", h);
        assert_true(w->humidity_frac[h] > 0.2 && w->humidity_frac[h] <= 1.0);
    }
    /* the error of that band in January: 1.307 x 1.33 and 2.311 x 1.14 K */
    const lw_assumption *said = assumed(&left_out, "weather");
    assert_non_null(said);
    assert_non_null(strstr(said->value, "highs +- 1.7 K, lows +- 2.6 K"));
    assert_string_equal(said->kind, "fitted");
    assert_null(assumed(&asked, "weather"));
    assert_non_null(strstr(asked.weather_source, "plus or minus 1.7 K, the low 2.6 K"));
    assert_true(asked.weather_is_typical);
    assert_true(has_note(&left_out, "cold pools"));
    assert_true(has_note(&asked, "more than 3.6 K"));
    assert_false(has_note(&asked, "elevation is not said"));
    lw_loaded_clear(&left_out);
    lw_loaded_clear(&asked);
    lw_loaded_clear(&spelled);
}

static void the_sun_of_the_climate_keeps_the_months_clearness(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded,
         HEAD RIG CREW "place: {latitude: 38.57 N, longitude: 109.55 W, elevation: 1230 m, zone: America/Denver}\n"
                       "stay: {arrive: 2026-07-01 00:00, leave: 2026-07-31 00:00}\n");
    /* check value of July: clearness 0.6705; a clear sky there of turbidity 3 lets 0.75 through */
    CHECK_NEAR(loaded.scenario->weather.clear_frac[12 + 24 * 15], 0.6705 / 0.75, 0.03, "share of the clear sky");
    assert_false(has_note(&loaded, "cold pools"));
    lw_loaded_clear(&loaded);
}

static void what_the_file_says_beside_holds_instead_of_the_climates(void **state)
{
    (void)state;
    lw_loaded plain, with;
    static const char HERE[] =
        HEAD RIG CREW "place: {latitude: 38.57 N, longitude: 109.55 W, elevation: 1230 m, zone: America/Denver}\n" STAY;
    char text[600];
    load(&plain, HERE);
    snprintf(text, sizeof text, "%sweather: {wind: 2 m/s, humidity: 30 %%, source: mine, rain: 30 mm}\n", HERE);
    load(&with, text);
    for (int h = 0; h < 48; h++) {
        CHECK_NEAR(with.scenario->weather.wind_ms[h], 2.0, 1e-9, "wind, hour %d", h);
        CHECK_NEAR(with.scenario->weather.humidity_frac[h], 0.30, 1e-9, "humidity, hour %d", h);
        CHECK_NEAR(with.scenario->weather.precip_mm[h], 30.0 / (24.0 * 30.0), 1e-9, "rain of June, hour %d", h);
        CHECK_NEAR(with.scenario->weather.air_c[h], plain.scenario->weather.air_c[h], 0.0, "air, hour %d", h);
        CHECK_NEAR(with.scenario->weather.clear_frac[h], plain.scenario->weather.clear_frac[h], 0.0, "sun, hour %d", h);
    }
    assert_string_equal(with.weather_source, "mine");
    assert_non_null(assumed(&with, "weather"));
    lw_loaded_clear(&plain);
    lw_loaded_clear(&with);
}

static void a_climate_without_a_height_asks_for_it(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG CREW "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n" STAY);
    assert_true(has_note(&loaded, "place.elevation is not said"));
    lw_loaded_clear(&loaded);
    load(&loaded, HEAD RIG CREW "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n" STAY AIR);
    assert_false(has_note(&loaded, "place.elevation is not said"));
    lw_loaded_clear(&loaded);
}

/* A year of EPW: air = hour of the stamp, sun = 100 times it, in a zone of -7 h, at 500 m. */
static void write_year(const char *path)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fprintf(file,
            "LOCATION,Nowhere,-,-,invented,000000,38.2,-111.1,-7.0,500.0\nDESIGN CONDITIONS,0\n"
            "TYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,none\n"
            "COMMENTS 2,none\nDATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n");
    for (int month = 1; month <= 12; month++)
        for (int day = 1; day <= lw_days_in_month(2025, month); day++)
            for (int hour = 1; hour <= 24; hour++)
                fprintf(file,
                        "2025,%d,%d,%d,0,?9,%d.0,1.0,50,95000,0,0,300,%d,%d,%d,0,0,0,0,180,3.0,0,0,16.0,77777,9,"
                        "999999999,0,0.1,0,88,0.2,0.0,0.0\n",
                        month, day, hour, hour, 10 * hour, 5 * hour, 5 * hour);
    fclose(file);
}

static void an_hourly_file_is_read_by_its_own_standard_time(void **state)
{
    (void)state;
    char path[] = "/tmp/leeway-weather-XXXXXX", text[700];
    lw_loaded loaded;
    const int file = mkstemp(path);
    assert_true(file >= 0);
    close(file);
    write_year(path);
    snprintf(text, sizeof text, HEAD RIG CREW PLACE STAY "weather: %s\n", path);
    load(&loaded, text);
    const lw_weather *w = &loaded.scenario->weather;
    /* 15:00-16:00 MDT is 14:00-15:00 MST: irradiance of the hour that ends at 15; air drawn between the stamps 14 and 15; 500 m
     * up from the file to the place takes 3.25 K */
    CHECK_NEAR(w->ghi_wm2[0], 150.0, 1e-9, "global");
    CHECK_NEAR(w->dni_wm2[0], 75.0, 1e-9, "direct");
    CHECK_NEAR(w->air_c[0], 14.5 - 3.25, 1e-9, "air");
    CHECK_NEAR(w->wind_ms[0], 3.0, 1e-9, "wind");
    CHECK_NEAR(loaded.weather_elevation_m, 500.0, 1e-9, "elevation");
    CHECK_NEAR(w->ghi_wm2[loaded.scenario->calendar.hours - 1], 140.0, 1e-9,
               "60 days later, an hour earlier in the day");
    assert_non_null(strstr(loaded.weather_source, "Nowhere"));
    lw_loaded_clear(&loaded);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_weather_the_climate_of_the_place_holds),
        cmocka_unit_test(the_calendar_runs_sixty_days_from_the_arrival),
        cmocka_unit_test(days_of_23_and_25_hours_keep_their_civil_clock),
        cmocka_unit_test(an_arrival_is_now_where_the_file_has_none),
        cmocka_unit_test(the_stay_ends_by_rule_history_and_deadline),
        cmocka_unit_test(a_rule_ends_the_stay_before_a_later_departure),
        cmocka_unit_test(events_and_renewals_stand_in_the_order_of_time),
        cmocka_unit_test(the_skyline_joins_its_points_around_the_north),
        cmocka_unit_test(a_day_runs_between_its_low_and_its_high),
        cmocka_unit_test(air_is_corrected_for_the_height_between),
        cmocka_unit_test(months_pass_over_into_each_other),
        cmocka_unit_test(an_hourly_file_is_read_by_its_own_standard_time),
        cmocka_unit_test(without_weather_the_place_has_its_climate),
        cmocka_unit_test(the_sun_of_the_climate_keeps_the_months_clearness),
        cmocka_unit_test(what_the_file_says_beside_holds_instead_of_the_climates),
        cmocka_unit_test(a_climate_without_a_height_asks_for_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
