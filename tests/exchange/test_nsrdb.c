#include "tests/check.h"

#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "exchange/hourly.h"

#define HEAD                                                                                                           \
    "Source,Location ID,City,State,Country,Latitude,Longitude,Time Zone,Elevation,Local Time Zone,Pressure "           \
    "Units,Version\nNSRDB,1,-,-,-,0.0,0.0,0,100,0,mbar,v3.0.0\n"
#define NAMES "Year,Month,Day,Hour,Minute,DNI,DHI,GHI,Dew Point,Temperature,Pressure,Wind Direction,Wind Speed,,\n"

enum { ROOM = 1 << 20 };

typedef struct made {
    char *text;
    size_t n;
} made;

static made begin(const char *head)
{
    made m = {malloc(ROOM), strlen(head)};
    assert_non_null(m.text);
    memcpy(m.text, head, m.n + 1);
    return m;
}

/* Days from the given one on: every value follows the minute of the day, so that means are easily told. */
static void add_days(made *m, int year, int month, int day, int days, int step_min, int first_min)
{
    const int64_t from = lw_day_of((lw_date){year, month, day});
    for (int d = 0; d < days; d++)
        for (int at = first_min; at < 1440; at += step_min) {
            const lw_date date = lw_date_of(from + d);
            m->n += (size_t)snprintf(m->text + m->n, ROOM - m->n, "%d,%d,%d,%d,%d,%d,%d,%d,2,%d.5,900,%d,3,,\n",
                                     date.year, date.month, date.day, at / 60, at % 60, at / 2, at / 4, at, at / 60,
                                     at < 720 ? 350 : 10);
        }
}

static void read_made(made *m, lw_hourly *h)
{
    lw_bytes source = {m->text, m->n};
    lw_err err = {0};
    lw_hourly_init(h);
    if (lw_hourly_read(lw_read_bytes, &source, "made.csv", h, &err))
        fail_msg("%s: %s", err.where, err.text);
    free(m->text);
}

static void an_hour_stamped_in_its_middle_keeps_its_sun_and_draws_its_air(void **state)
{
    lw_hourly h;
    made m = begin(HEAD NAMES);
    (void)state;
    add_days(&m, 2001, 3, 1, 2, 60, 30);
    read_made(&m, &h);
    assert_int_equal(h.form, LW_FORM_NSRDB);
    assert_int_equal(h.count, 48);
    assert_int_equal(h.step_s, 3600);
    assert_int_equal(h.end_s[0], 3600);
    CHECK_NEAR(h.elevation_m, 100.0, 0.0, "elevation");
    double sum = 0.0;
    for (int i = 0; i < 24; i++)
        sum += h.column[LW_HOURLY_GHI][i];
    CHECK_NEAR(sum, 24 * 720.0, 1e-9, "the day's sun: mean stamp 12:00 times 24");
    CHECK_NEAR(h.column[LW_HOURLY_AIR][3], 4.0, 1e-12, "3:30 is 3.5, 4:30 is 4.5; at 4:00");
    CHECK_NEAR(h.column[LW_HOURLY_PRESSURE][0], 90000.0, 1e-9, "mbar");
    CHECK_NEAR(h.column[LW_HOURLY_WIND_FROM][11], 0.0, 1e-9, "350 and 10 meet in the north");
    CHECK_NEAR(h.column[LW_HOURLY_AIR][47], 23.5, 1e-12, "the last row of no whole year stands alone");
    assert_true(h.is_absent[LW_HOURLY_PRECIPITATION]);
    lw_hourly_clear(&h);
}

static void humidity_comes_from_the_dew_point(void **state)
{
    lw_hourly h;
    made m = begin(HEAD NAMES);
    (void)state;
    add_days(&m, 2001, 3, 1, 1, 60, 30);
    read_made(&m, &h);
    /* Magnus over water, WMO-No. 8 (17.62, 243.12): e(2 C) / e(12.5 C) = 7.057 / 14.467 hPa; row 12 draws half way
     * from the same at 11.5 C (13.546 hPa). */
    CHECK_NEAR(h.column[LW_HOURLY_HUMIDITY][11], 0.5 * (7.057 / 13.546 + 7.057 / 14.467), 0.0001, "at 12:00");
    lw_hourly_clear(&h);
}

static void finer_rows_about_minute_zero_are_means_of_neighbours(void **state)
{
    static const struct {
        int step_min, out_min;
        double second_ghi; /* of the second step: the mean of `at` over it, by the trapezoid */
    } row[] = {{30, 30, 45.0}, {15, 15, 22.5}, {5, 15, 22.5}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_hourly h;
        made m = begin(HEAD NAMES);
        add_days(&m, 2001, 3, 1, 2, row[i].step_min, 0);
        read_made(&m, &h);
        assert_int_equal(h.step_s, row[i].out_min * 60);
        assert_int_equal(h.count, 2 * 1440 / row[i].out_min);
        CHECK_NEAR(h.column[LW_HOURLY_GHI][1], row[i].second_ghi, 1e-9, "%d min", row[i].step_min);
        CHECK_NEAR(h.column[LW_HOURLY_AIR][60 / row[i].out_min - 1], 1.5, 1e-12, "the air of the row stamped 1:00");
        lw_hourly_clear(&h);
    }
    lw_hourly h;
    made m = begin(HEAD NAMES);
    add_days(&m, 2001, 3, 1, 1, 30, 15); /* half hours stamped in their middle */
    read_made(&m, &h);
    CHECK_NEAR(h.column[LW_HOURLY_GHI][1], 45.0, 1e-9, "0:45 stands for 0:30 to 1:00");
    lw_hourly_clear(&h);
}

static void an_hourly_row_stamped_zero_is_the_hour_that_begins_there(void **state)
{
    lw_hourly h;
    made m = begin(HEAD NAMES);
    (void)state;
    add_days(&m, 2001, 3, 1, 1, 60, 0);
    read_made(&m, &h);
    assert_int_equal(h.count, 24);
    CHECK_NEAR(h.column[LW_HOURLY_GHI][10], 600.0, 1e-9, "10:00 stands for 10:00 to 11:00");
    lw_hourly_clear(&h);
}

/* At the equinox on the equator the sun stands overhead at noon: 20 March 2003, equation of time -7.6 min, so at 12:30 the
 * hour angle is (30 - 7.6) / 4 = 5.6 deg and cos z = 0.9952. */
static void a_missing_global_is_made_from_beam_and_diffuse(void **state)
{
    static const char *const NAME[] = {"Year,Month,Day,Hour,Minute,DNI,DHI,Temperature\n",
                                       "Year,Month,Day,Hour,Minute,DNI,DHI,Temperature,Solar Zenith Angle\n"};
    (void)state;
    for (int has_zenith = 0; has_zenith < 2; has_zenith++) {
        lw_hourly h;
        made m = begin(HEAD);
        m.n += (size_t)snprintf(m.text + m.n, ROOM - m.n, "%s", NAME[has_zenith]);
        for (int hour = 0; hour < 24; hour++)
            m.n += (size_t)snprintf(m.text + m.n, ROOM - m.n, "2003,3,20,%d,30,%d,50,20%s\n", hour,
                                    hour > 6 && hour < 18 ? 800 : 0, has_zenith ? ",60" : "");
        read_made(&m, &h);
        CHECK_NEAR(h.column[LW_HOURLY_GHI][12], 50.0 + 800.0 * (has_zenith ? 0.5 : 0.9952), has_zenith ? 1e-9 : 0.5,
                   "zenith given %d", has_zenith);
        CHECK_NEAR(h.column[LW_HOURLY_GHI][2], 50.0, 1e-9, "night");
        lw_hourly_clear(&h);
    }
}

static void rows_are_in_the_zone_of_the_rows(void **state)
{
    static const char UTC[] =
        "Source,Latitude,Longitude,Time Zone,Elevation,Local Time Zone\nNSRDB,34.8,-116.8,0,561,-8\n" NAMES;
    static const char LOCAL_ONLY[] =
        "Source,Latitude,Longitude,Elevation,Local Time Zone,x,Time Zone,y\nNSRDB,34.8,-116.8,561,-8,,-7,\n" NAMES;
    (void)state;
    lw_hourly h;
    made m = begin(UTC);
    add_days(&m, 2001, 3, 1, 1, 60, 30);
    read_made(&m, &h);
    CHECK_NEAR(h.utc_offset_h, 0.0, 0.0, "UTC asked for");
    assert_non_null(strstr(h.place, "grid cell at 34.8, -116.8"));
    lw_hourly_clear(&h);
    m = begin(LOCAL_ONLY);
    add_days(&m, 2001, 3, 1, 1, 60, 30);
    read_made(&m, &h);
    CHECK_NEAR(h.utc_offset_h, -7.0, 0.0, "by name, wherever it stands");
    lw_hourly_clear(&h);
}

static void the_leap_day_is_dropped_and_a_year_turns_into_itself(void **state)
{
    lw_hourly h;
    made m = begin(HEAD NAMES);
    (void)state;
    add_days(&m, 2004, 1, 1, 366, 60, 30);
    assert_true(m.n < ROOM - 100);
    read_made(&m, &h);
    assert_int_equal(h.count, 8760);
    assert_true(h.is_whole_year);
    assert_false(h.has_leap_day);
    CHECK_NEAR(h.column[LW_HOURLY_AIR][8759], 0.5 * (23.5 + 0.5), 1e-12, "the last is drawn towards the first");
    lw_hourly_clear(&h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_hour_stamped_in_its_middle_keeps_its_sun_and_draws_its_air),
        cmocka_unit_test(humidity_comes_from_the_dew_point),
        cmocka_unit_test(finer_rows_about_minute_zero_are_means_of_neighbours),
        cmocka_unit_test(an_hourly_row_stamped_zero_is_the_hour_that_begins_there),
        cmocka_unit_test(a_missing_global_is_made_from_beam_and_diffuse),
        cmocka_unit_test(rows_are_in_the_zone_of_the_rows),
        cmocka_unit_test(the_leap_day_is_dropped_and_a_year_turns_into_itself),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
