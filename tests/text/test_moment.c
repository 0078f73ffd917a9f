#include "tests/check.h"

#include <string.h>

#include "text/moment.h"

static void instants_are_read(void **state)
{
    static const struct {
        const char *text;
        double want_s;
    } row[] = {
        {"1970-01-01T00:00:00Z", 0.0},
        {"2026-06-14T15:00:00Z", 1781449200.0},
        {"2026-06-14T15:00:00.5Z", 1781449200.5},
        {"2026-06-14T15:00-06:00", 1781470800.0},
        {"2026-06-14 15:00 +05:45", 1781428500.0},
        {"2026-06-14T24:00Z", 1781481600.0},
        {"1969-12-31T23:59:59.75Z", -0.25},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        double got = NAN;
        if (lw_instant_parse(row[i].text, &got, &err))
            fail_msg("%s: %s", row[i].text, err.text);
        CHECK_NEAR(got, row[i].want_s, 0.0, "%s", row[i].text);
    }
}

/* A clock seven hours behind that is put forward by an hour at 10:00 UTC of day 20000 and back at 09:00 UTC of day 20100. */
static void a_clock_that_changes_skips_times_and_shows_others_twice(void **state)
{
    (void)state;
    lw_zone zone = {.name = "X",
                    .count = 3,
                    .from_s = {0, 20000 * INT64_C(86400) + 10 * 3600, 20100 * INT64_C(86400) + 9 * 3600},
                    .offset_s = {-7 * 3600, -6 * 3600, -7 * 3600}};
    static const struct {
        int64_t day;
        int32_t second;
        lw_shown want;
    } row[] = {
        {20000, 2 * 3600 + 3599, LW_SHOWN_ONCE},  {20000, 3 * 3600, LW_SHOWN_NEVER},
        {20000, 3 * 3600 + 1800, LW_SHOWN_NEVER}, {20000, 4 * 3600, LW_SHOWN_ONCE},
        {20100, 2 * 3600 - 1, LW_SHOWN_ONCE},     {20100, 2 * 3600, LW_SHOWN_TWICE},
        {20100, 3 * 3600 - 1, LW_SHOWN_TWICE},    {20100, 3 * 3600, LW_SHOWN_ONCE},
        {20050, 2 * 3600, LW_SHOWN_ONCE},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_moment moment = {.day = row[i].day, .second = row[i].second, .has_time = 1};
        if (lw_moment_shown(&moment, &zone) != row[i].want)
            fail_msg("row %zu: %d, want %d", i, (int)lw_moment_shown(&moment, &zone), (int)row[i].want);
        moment.has_offset = 1;
        assert_int_equal(lw_moment_shown(&moment, &zone), LW_SHOWN_ONCE);
    }
}

static void local_moments_take_the_zone_of_the_place(void **state)
{
    lw_err err = {0};
    lw_moment moment;
    lw_zone zone;
    (void)state;
    lw_zone_utc(&zone);
    zone.offset_s[0] = -25200;
    assert_int_equal(lw_moment_parse("2026-06-14", &moment, &err), LW_OK);
    assert_int_equal(moment.has_time, 0);
    assert_int_equal(lw_moment_utc(&moment, &zone), 1781395200 + 25200);
    assert_int_equal(lw_moment_parse("2026-06-14 3:15 pm", &moment, &err), LW_OK);
    assert_int_equal(moment.second, 15 * 3600 + 900);
    assert_int_equal(moment.has_offset, 0);
    assert_int_equal(lw_moment_utc(&moment, &zone), 1781395200 + 25200 + 54900);
}

static void times_of_day_are_read(void **state)
{
    static const struct {
        const char *text;
        int want;
    } row[] = {{"22:00", 79200}, {"10 pm", 79200}, {"10pm", 79200}, {"10:30 PM", 81000},
               {"12 am", 0},     {"12 pm", 43200}, {"noon", 43200}, {"midnight", 0},
               {"00:00:07", 7},  {"24:00", 86400}, {"7:05", 25500}, {" 6 a.m. ", 21600}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        int32_t got = -1;
        if (lw_time_parse(row[i].text, &got, &err))
            fail_msg("%s: %s", row[i].text, err.text);
        if (got != row[i].want)
            fail_msg("%s: got %d, want %d", row[i].text, (int)got, row[i].want);
    }
}

typedef enum form { DATE, TIME, MOMENT, INSTANT, WEEKDAYS, RANGE } form;

static lw_code parse(form kind, const char *text, lw_err *err)
{
    lw_date date;
    int32_t second;
    lw_moment moment;
    double utc_s;
    unsigned days;
    lw_clock_range range;
    switch (kind) {
    case DATE:
        return lw_date_parse(text, &date, err);
    case TIME:
        return lw_time_parse(text, &second, err);
    case MOMENT:
        return lw_moment_parse(text, &moment, err);
    case INSTANT:
        return lw_instant_parse(text, &utc_s, err);
    case WEEKDAYS:
        return lw_weekdays_parse(text, &days, err);
    case RANGE:
        return lw_clock_range_parse(text, &range, err);
    }
    return LW_OK;
}

static void what_does_not_exist_is_refused_with_a_reason(void **state)
{
    static const struct {
        form form;
        const char *text;
        lw_code code;
        const char *says;
    } row[] = {
        {DATE, "2026-02-29", LW_E_RANGE, "2026-02-29 does not exist: that month has 28 days"},
        {DATE, "2026-13-01", LW_E_RANGE, "months run from 01 to 12"},
        {DATE, "2026-06-00", LW_E_RANGE, "that month has 30 days"},
        {DATE, "0000-01-01", LW_E_RANGE, "years run"},
        {DATE, "June 14", LW_E_SYNTAX, "write year-month-day, such as 2026-06-14"},
        {DATE, "6/14/2026", LW_E_SYNTAX, "not a date"},
        {DATE, "2026-6-14", LW_E_SYNTAX, "not a date"},
        {DATE, "2026-06-14 15:00", LW_E_SYNTAX, "15:00 is left over"},
        {DATE, "", LW_E_SYNTAX, "nothing is not a date"},
        {TIME, "25:00", LW_E_RANGE, "a day runs from 00:00 to 24:00"},
        {TIME, "24:01", LW_E_RANGE, "does not exist"},
        {TIME, "12:60", LW_E_RANGE, "does not exist"},
        {TIME, "23:59:60", LW_E_RANGE, "does not exist"},
        {TIME, "13 pm", LW_E_RANGE, "1 to 12"},
        {TIME, "10", LW_E_SYNTAX, "22:00 or 10 pm"},
        {TIME, "ten", LW_E_SYNTAX, "not a time"},
        {MOMENT, "2026-06-14T", LW_E_SYNTAX, "not a time"},
        {MOMENT, "2026-06-14T10:00:00-6", LW_E_SYNTAX, "offset"},
        {INSTANT, "2026-06-14T10:00", LW_E_SYNTAX, "which clock"},
        {WEEKDAYS, "Mon-", LW_E_SYNTAX, "weekdays"},
        {WEEKDAYS, "Mo,Tu", LW_E_SYNTAX, "weekdays"},
        {WEEKDAYS, "", LW_E_SYNTAX, "weekdays"},
        {WEEKDAYS, "Mon Tue", LW_E_SYNTAX, "weekdays"},
        {WEEKDAYS, "Funday", LW_E_SYNTAX, "weekdays"},
        {RANGE, "08:00", LW_E_SYNTAX, "08:00-17:00"},
        {RANGE, "08:00-08:00", LW_E_RANGE, "empty"},
        {RANGE, "08:00-26:00", LW_E_RANGE, "does not exist"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        const lw_code code = parse(row[i].form, row[i].text, &err);
        if (code != row[i].code || !strstr(err.text, row[i].says))
            fail_msg("'%s': code %d '%s', want %d '%s'", row[i].text, (int)code, err.text, (int)row[i].code,
                     row[i].says);
    }
}

static void weekdays_are_read_and_printed(void **state)
{
    static const struct {
        const char *text;
        unsigned want;
        const char *printed;
    } row[] = {{"Mon-Fri", 0x1F, "Mon-Fri"},
               {"Mon,Wed,Sat", 0x25, "Mon,Wed,Sat"},
               {"sat - mon", 0x61, "Mon,Sat,Sun"},
               {"daily", 0x7F, "daily"},
               {"tuesday", 0x02, "Tue"},
               {"weekend", 0x60, "Sat,Sun"},
               {"Mon-Wed, Fri", 0x17, "Mon-Wed,Fri"},
               {"weekdays", 0x1F, "Mon-Fri"},
               {"Mon-Sun", 0x7F, "daily"}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        unsigned days = 0;
        char text[40];
        if (lw_weekdays_parse(row[i].text, &days, &err))
            fail_msg("%s: %s", row[i].text, err.text);
        assert_int_equal(days, row[i].want);
        assert_string_equal(lw_weekdays_print(text, sizeof text, days), row[i].printed);
    }
}

static void clock_ranges_know_midnight(void **state)
{
    lw_err err = {0};
    lw_clock_range day, night, evening;
    char text[40];
    (void)state;
    assert_int_equal(lw_clock_range_parse("08:00-17:00", &day, &err), LW_OK);
    assert_int_equal(lw_clock_range_parse("10 pm - 6 am", &night, &err), LW_OK);
    assert_int_equal(lw_clock_range_parse("20:00 to midnight", &evening, &err), LW_OK);
    assert_true(lw_is_in_clock_range(day, 8 * 3600));
    assert_false(lw_is_in_clock_range(day, 17 * 3600));
    assert_true(lw_is_in_clock_range(night, 23 * 3600));
    assert_true(lw_is_in_clock_range(night, 0));
    assert_false(lw_is_in_clock_range(night, 6 * 3600));
    assert_true(lw_is_in_clock_range(evening, 86399));
    assert_false(lw_is_in_clock_range(evening, 0));
    assert_string_equal(lw_clock_range_print(text, sizeof text, night), "22:00-06:00");
    assert_string_equal(lw_clock_range_print(text, sizeof text, evening), "20:00-24:00");
}

static void instants_print_what_is_read_back(void **state)
{
    char text[40];
    (void)state;
    assert_string_equal(lw_instant_print(text, sizeof text, 1781449200.04, 1), "2026-06-14T15:00:00.0Z");
    assert_string_equal(lw_instant_print(text, sizeof text, 1781449199.96, 1), "2026-06-14T15:00:00.0Z");
    assert_string_equal(lw_instant_print(text, sizeof text, -0.25, 2), "1969-12-31T23:59:59.75Z");
    assert_string_equal(lw_instant_print(text, sizeof text, -86400.0, 0), "1969-12-31T00:00:00Z");
    assert_string_equal(lw_instant_print(text, sizeof text, NAN, 1), "");
    for (double utc_s = -6e10; utc_s < 2.5e11; utc_s += 98765432.125) {
        lw_err err = {0};
        double back = NAN;
        lw_instant_print(text, sizeof text, utc_s, 3);
        assert_int_equal(lw_instant_parse(text, &back, &err), LW_OK);
        CHECK_NEAR(back, utc_s, 0.0006, "%s", text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(instants_are_read),
        cmocka_unit_test(a_clock_that_changes_skips_times_and_shows_others_twice),
        cmocka_unit_test(local_moments_take_the_zone_of_the_place),
        cmocka_unit_test(times_of_day_are_read),
        cmocka_unit_test(what_does_not_exist_is_refused_with_a_reason),
        cmocka_unit_test(weekdays_are_read_and_printed),
        cmocka_unit_test(clock_ranges_know_midnight),
        cmocka_unit_test(instants_print_what_is_read_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
