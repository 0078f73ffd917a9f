#include "tests/check.h"

#include <string.h>

#include "core/base/civil.h"

static void days_are_counted_from_1970(void **state)
{
    static const struct {
        lw_date date;
        int64_t want;
        int weekday;
    } row[] = {
        {{1970, 1, 1}, 0, 3},         /* a Thursday: POSIX epoch */
        {{2000, 1, 1}, 10957, 5},     /* Saturday; 946684800 s / 86400 */
        {{2038, 1, 19}, 24855, 1},    /* Tuesday; 2^31 s after the epoch */
        {{1858, 11, 17}, -40587, 2},  /* Wednesday; modified Julian day 0 */
        {{1582, 10, 15}, -141427, 4}, /* Friday; first day of the Gregorian calendar */
        {{1, 1, 1}, -719162, 0},      /* Monday; -62135596800 s */
        {{2024, 2, 29}, 19782, 3},    {{2026, 6, 14}, 20618, 6},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        assert_int_equal(lw_day_of(row[i].date), row[i].want);
        assert_int_equal(lw_weekday_of(row[i].want), row[i].weekday);
    }
}

static void every_day_of_twenty_thousand_years_goes_there_and_back(void **state)
{
    lw_date want = {-9999, 1, 1};
    int64_t day = lw_day_of(want);
    int weekday = lw_weekday_of(day);
    (void)state;
    while (want.year < 10000) { /* plain counting is the oracle */
        const lw_date got = lw_date_of(day);
        if (got.year != want.year || got.month != want.month || got.day != want.day || lw_day_of(want) != day ||
            lw_weekday_of(day) != weekday)
            fail_msg("day %lld: got %d-%d-%d, want %d-%d-%d", (long long)day, got.year, got.month, got.day, want.year,
                     want.month, want.day);
        day++;
        weekday = (weekday + 1) % 7;
        if (++want.day > lw_days_in_month(want.year, want.month)) {
            want.day = 1;
            if (++want.month > 12) {
                want.month = 1;
                want.year++;
            }
        }
    }
}

static void february_knows_its_years(void **state)
{
    (void)state;
    assert_int_equal(lw_days_in_month(2000, 2), 29);
    assert_int_equal(lw_days_in_month(1900, 2), 28);
    assert_int_equal(lw_days_in_month(2024, 2), 29);
    assert_int_equal(lw_days_in_month(2026, 2), 28);
    assert_int_equal(lw_days_in_month(2026, 0), 0);
    assert_int_equal(lw_days_in_month(2026, 13), 0);
}

/* Denver in 2026: forward on 8 March at 09:00 UTC, back on 1 November at 08:00 UTC (15 U.S.C. 260a). */
static lw_zone denver(void)
{
    lw_zone zone = {.name = "America/Denver", .count = 3};
    static const int64_t from_s[] = {0, 1772960400, 1793520000};
    static const int32_t offset_s[] = {-25200, -21600, -25200};
    for (int i = 0; i < 3; i++) {
        zone.from_s[i] = from_s[i];
        zone.offset_s[i] = offset_s[i];
        memcpy(zone.letters[i], i == 1 ? "MDT" : "MST", 4);
    }
    return zone;
}

static void a_clock_shows_the_civil_time_of_its_zone(void **state)
{
    const lw_zone zone = denver();
    (void)state;
    const lw_clock before = lw_clock_at(&zone, 1772960399), after = lw_clock_at(&zone, 1772960400);
    assert_int_equal(before.hour, 1);
    assert_int_equal(before.minute, 59);
    assert_int_equal(before.second, 59);
    assert_string_equal(before.letters, "MST");
    assert_int_equal(after.hour, 3);
    assert_int_equal(after.minute, 0);
    assert_string_equal(after.letters, "MDT");
    assert_int_equal(after.date.month, 3);
    assert_int_equal(after.date.day, 8);
    assert_int_equal(after.weekday, 6);
    assert_int_equal(after.year_day, 67);
    assert_int_equal(after.utc_offset_s, -21600);
    assert_int_equal(lw_zone_offset(&zone, -5000000000), -25200);
}

static void days_of_a_clock_change_have_23_and_25_hours(void **state)
{
    const lw_zone zone = denver();
    static const struct {
        lw_date date;
        int hours;
    } row[] = {{{2026, 3, 7}, 24}, {{2026, 3, 8}, 23}, {{2026, 7, 1}, 24}, {{2026, 11, 1}, 25}, {{2026, 11, 2}, 24}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const int64_t day = lw_day_of(row[i].date);
        assert_int_equal(lw_utc_of(&zone, day, 86400) - lw_utc_of(&zone, day, 0), row[i].hours * 3600);
        assert_int_equal(lw_utc_of(&zone, day, 86400), lw_utc_of(&zone, day + 1, 0));
    }
}

static void a_time_in_the_gap_falls_behind_it_and_a_double_one_is_the_first(void **state)
{
    const lw_zone zone = denver();
    const int64_t forward = lw_day_of((lw_date){2026, 3, 8}), back = lw_day_of((lw_date){2026, 11, 1});
    (void)state;
    const lw_clock shifted = lw_clock_at(&zone, lw_utc_of(&zone, forward, 2 * 3600 + 1800));
    assert_int_equal(shifted.hour, 3);
    assert_int_equal(shifted.minute, 30);
    assert_int_equal(lw_utc_of(&zone, forward, 2 * 3600), 1772960400);
    const int64_t first = lw_utc_of(&zone, back, 3600 + 1800);
    assert_int_equal(first, 1793520000 - 1800);
    assert_string_equal(lw_clock_at(&zone, first).letters, "MDT");
}

static void the_zero_zone_is_utc(void **state)
{
    lw_zone zone;
    (void)state;
    lw_zone_utc(&zone);
    assert_string_equal(zone.name, "UTC");
    assert_int_equal(lw_utc_of(&zone, -1, 86399), -1);
    const lw_clock clock = lw_clock_at(&zone, -1);
    assert_int_equal(clock.date.year, 1969);
    assert_int_equal(clock.year_day, 365);
    assert_int_equal(clock.hour, 23);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_are_counted_from_1970),
        cmocka_unit_test(every_day_of_twenty_thousand_years_goes_there_and_back),
        cmocka_unit_test(february_knows_its_years),
        cmocka_unit_test(a_clock_shows_the_civil_time_of_its_zone),
        cmocka_unit_test(days_of_a_clock_change_have_23_and_25_hours),
        cmocka_unit_test(a_time_in_the_gap_falls_behind_it_and_a_double_one_is_the_first),
        cmocka_unit_test(the_zero_zone_is_utc),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
