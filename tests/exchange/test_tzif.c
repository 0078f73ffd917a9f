#include "tests/check.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "exchange/limits.h"
#include "exchange/tzif.h"

#define FROM_S INT64_C(946684800)  /* 2000-01-01 */
#define TO_S   INT64_C(2840140800) /* 2060-01-01 */

static int has_database(void)
{
    FILE *table = fopen("/usr/share/zoneinfo/zone1970.tab", "r");
    if (table)
        fclose(table);
    return table != NULL;
}

static void use_zone(const char *name)
{
    setenv("TZ", name, 1);
    tzset();
}

/* libc is the oracle: broken-down time and letters of one moment. */
static void compare_at(const lw_zone *zone, int64_t utc_s)
{
    struct tm tm;
    char letters[16];
    const time_t moment = (time_t)utc_s;
    localtime_r(&moment, &tm);
    strftime(letters, sizeof letters, "%Z", &tm);
    const lw_clock got = lw_clock_at(zone, utc_s);
    if (got.date.year != tm.tm_year + 1900 || got.date.month != tm.tm_mon + 1 || got.date.day != tm.tm_mday ||
        got.hour != tm.tm_hour || got.minute != tm.tm_min || got.second != tm.tm_sec ||
        got.weekday != (tm.tm_wday + 6) % 7 || got.year_day != tm.tm_yday + 1 || strncmp(got.letters, letters, 7) != 0)
        fail_msg("%s at %lld: got %d-%02d-%02d %02d:%02d:%02d %s, libc says %d-%02d-%02d %02d:%02d:%02d %s", zone->name,
                 (long long)utc_s, got.date.year, got.date.month, got.date.day, got.hour, got.minute, got.second,
                 got.letters, tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday, tm.tm_hour, tm.tm_min, tm.tm_sec, letters);
}

/* There and back: the same moment, or the earlier one with the same face of the clock. */
static void go_back(const lw_zone *zone, int64_t utc_s)
{
    const lw_clock clock = lw_clock_at(zone, utc_s);
    const int32_t second = clock.hour * 3600 + clock.minute * 60 + clock.second;
    const int64_t back = lw_utc_of(zone, clock.day, second);
    const lw_clock again = lw_clock_at(zone, back);
    if (back > utc_s || again.day != clock.day || again.hour != clock.hour || again.minute != clock.minute)
        fail_msg("%s at %lld comes back as %lld", zone->name, (long long)utc_s, (long long)back);
}

static void compare_zone(const char *name, int64_t step_s)
{
    lw_err err = {0};
    lw_zone zone;
    if (lw_zone_load(name, FROM_S, TO_S, &zone, &err))
        fail_msg("%s: %s", name, err.text);
    assert_string_equal(zone.name, name);
    use_zone(name);
    for (int64_t utc_s = FROM_S; utc_s < TO_S; utc_s += step_s) {
        compare_at(&zone, utc_s);
        go_back(&zone, utc_s);
    }
    for (int row = 1; row < zone.count; row++)
        for (int64_t near_s = -7200; near_s <= 7200; near_s += 900) {
            compare_at(&zone, zone.from_s[row] + near_s);
            compare_at(&zone, zone.from_s[row] + near_s - 1);
            go_back(&zone, zone.from_s[row] + near_s);
        }
}

static void clocks_agree_with_libc_every_three_hours(void **state)
{
    static const char *const names[] = {
        "America/New_York", "America/Denver",      "America/St_Johns", "America/Phoenix",
        "Pacific/Apia",     "Europe/London",       "Europe/Dublin",    "America/Regina",
        "America/Nuuk",     "Australia/Lord_Howe", "Asia/Kathmandu",   "Africa/Casablanca",
        "Asia/Gaza",        "US/Mountain",         "Etc/GMT+7",        "UTC"};
    (void)state;
    if (!has_database())
        skip();
    for (size_t i = 0; i < COUNT_OF(names); i++)
        compare_zone(names[i], 3 * 3600);
}

static void clocks_of_every_zone_agree_with_libc(void **state)
{
    char line[512];
    int count = 0;
    (void)state;
    if (!has_database())
        skip();
    FILE *table = fopen("/usr/share/zoneinfo/zone1970.tab", "r");
    while (fgets(line, sizeof line, table)) {
        if (line[0] == '#')
            continue;
        char *name = strchr(strchr(line, '\t') + 1, '\t') + 1;
        name[strcspn(name, "\t\n")] = '\0';
        compare_zone(name, 101 * 3600);
        count++;
    }
    fclose(table);
    assert_true(count > 200);
}

static void days_of_23_and_25_hours_and_one_that_never_was(void **state)
{
    static const struct {
        const char *zone;
        lw_date date;
        int minutes;
    } row[] = {
        {"America/New_York", {2026, 3, 8}, 23 * 60}, {"America/New_York", {2026, 11, 1}, 25 * 60},
        {"America/Phoenix", {2026, 3, 8}, 24 * 60},  {"America/Regina", {2026, 11, 1}, 24 * 60},
        {"Europe/London", {2026, 3, 29}, 23 * 60},   {"Australia/Lord_Howe", {2026, 4, 5}, 24 * 60 + 30},
        {"Pacific/Apia", {2011, 12, 30}, 0},         {"America/New_York", {2055, 3, 14}, 23 * 60},
    };
    (void)state;
    if (!has_database())
        skip();
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        lw_zone zone;
        if (lw_zone_load(row[i].zone, FROM_S, TO_S, &zone, &err))
            fail_msg("%s", err.text);
        const int64_t day = lw_day_of(row[i].date);
        const int64_t length_s = lw_utc_of(&zone, day, 86400) - lw_utc_of(&zone, day, 0);
        /* Of the day that Samoa left out (30 December 2011) begin and end are the same moment only as seen from both
         * sides: its begin falls behind the gap. */
        if (row[i].minutes > 0 && length_s != row[i].minutes * 60)
            fail_msg("%s: %lld s, want %d min", row[i].zone, (long long)length_s, row[i].minutes);
        if (row[i].minutes == 0) {
            const lw_clock eve = lw_clock_at(&zone, lw_utc_of(&zone, day, 0) - 1);
            assert_int_equal(eve.date.day, 29);
            assert_int_equal(lw_clock_at(&zone, lw_utc_of(&zone, day, 0)).date.day, 31);
        }
    }
}

static void a_short_span_needs_a_handful_of_rows(void **state)
{
    lw_err err = {0};
    lw_zone zone;
    (void)state;
    if (!has_database())
        skip();
    assert_int_equal(lw_zone_load("America/Denver", 1781395200, 1781395200 + 60 * 86400, &zone, &err), LW_OK);
    assert_int_equal(zone.count, 1);
    assert_int_equal(zone.offset_s[0], -21600);
    assert_int_equal(lw_zone_load("America/Denver", 4102444800, 4102444800 + 366 * 86400, &zone, &err), LW_OK);
    assert_int_equal(zone.count, 3); /* the year 2100, by the rule alone */
    assert_string_equal(zone.letters[0], "MST");
    assert_string_equal(zone.letters[1], "MDT");
}

static void unknown_zones_are_refused_with_the_nearest_name(void **state)
{
    static const struct {
        const char *name, *says;
    } row[] = {
        {"America/Dever", "did you mean America/Denver?"},
        {"america/denver", "did you mean America/Denver?"},
        {"Denver", "did you mean America/Denver?"},
        {"Mars/Olympus", "there is no time zone Mars/Olympus"},
        {"../../etc/passwd", "there is no time zone"},
        {"/etc/passwd", "there is no time zone"},
        {"America", "there is no time zone America"},
        {"", "there is no time zone"},
        {"zone.tab", "there is no time zone"},
        {"a_name_far_longer_than_any_name_of_the_database_has_ever_been", "there is no time zone"},
    };
    (void)state;
    if (!has_database())
        skip();
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        lw_zone zone = {.count = 77};
        const lw_code code = lw_zone_load(row[i].name, FROM_S, TO_S, &zone, &err);
        if (code != LW_E_MISSING || !strstr(err.text, row[i].says) || zone.count != 77)
            fail_msg("%s: %d '%s'", row[i].name, (int)code, err.text);
    }
}

/* A zone file of our own making: two clocks, one change at the epoch, a rule with both forms of Julian day. */
static size_t make_file(unsigned char *out, const char *footer)
{
    static const unsigned char first[44] = {'T', 'Z', 'i', 'f', '2', [39] = 1, [43] = 1};
    static const unsigned char first_data[] = {0, 0, 0, 0, 0, 0, 0};
    static const unsigned char second[44] = {'T', 'Z', 'i', 'f', '2', [35] = 1, [39] = 2, [43] = 8};
    static const unsigned char data[] = {0,    0,    0,    0,    0,   0,   0,   0, /* the change */
                                         1,                                        /* to clock 1 */
                                         0xFF, 0xFF, 0xF1, 0xF0, 0,   0,           /* -3600 "AAA" */
                                         0,    0,    0x0E, 0x10, 0,   4,           /* +3600 "BBB" */
                                         'A',  'A',  'A',  0,    'B', 'B', 'B', 0};
    size_t n = 0;
    memcpy(out + n, first, sizeof first), n += sizeof first;
    memcpy(out + n, first_data, sizeof first_data), n += sizeof first_data;
    memcpy(out + n, second, sizeof second), n += sizeof second;
    memcpy(out + n, data, sizeof data), n += sizeof data;
    memcpy(out + n, footer, strlen(footer)), n += strlen(footer);
    return n;
}

static void a_file_of_our_own_is_read(void **state)
{
    unsigned char bytes[512];
    lw_err err = {0};
    lw_zone zone;
    (void)state;
    size_t n = make_file(bytes, "\nBBB-1CCC,J60/3:30,300/-1\n");
    assert_int_equal(lw_zone_read(bytes, n, "Own/Make", -10, 3 * 366 * 86400, &zone, &err), LW_OK);
    assert_int_equal(zone.offset_s[0], -3600);
    assert_int_equal(zone.from_s[1], 0);
    assert_string_equal(zone.letters[1], "BBB");
    /* J60 is 1 March in every year; 3:30 on the clock BBB, an hour before UTC's. */
    assert_int_equal(zone.from_s[2], lw_day_of((lw_date){1970, 3, 1}) * 86400 + 2 * 3600 + 1800);
    assert_int_equal(zone.offset_s[2], 7200);
    /* Day 300 from zero, an hour before its midnight on the clock CCC; in 1972 the leap day is counted. */
    assert_int_equal(zone.from_s[3], (lw_day_of((lw_date){1970, 1, 1}) + 300) * 86400 - 3 * 3600);
    assert_int_equal(zone.from_s[6], lw_day_of((lw_date){1972, 3, 1}) * 86400 + 2 * 3600 + 1800);
    assert_int_equal(zone.from_s[7], lw_day_of((lw_date){1972, 10, 27}) * 86400 - 3 * 3600);
    n = make_file(bytes, "\n\n");
    assert_int_equal(lw_zone_read(bytes, n, "Own/Make", -10, 3 * 366 * 86400, &zone, &err), LW_OK);
    assert_int_equal(zone.count, 2);
    /* Summer time all the year round, as RFC 8536 writes it: one clock. */
    n = make_file(bytes, "\nXXX3EDT4,0/0,J365/23\n");
    assert_int_equal(lw_zone_read(bytes, n, "Own/Make", 86400 * 400, 86400 * 2000, &zone, &err), LW_OK);
    assert_int_equal(zone.count, 1);
    assert_int_equal(zone.offset_s[0], -4 * 3600);
}

static void summers_that_overlap_keep_their_rows_in_order(void **state)
{
    unsigned char bytes[512];
    lw_err err = {0};
    lw_zone zone;
    (void)state;
    /* Each summer begins an hour before the last one ends; found by the fuzzer. */
    const size_t m = make_file(bytes, "\nXXX3EDT2,0/0,J365/26\n");
    assert_int_equal(lw_zone_read(bytes, m, "Own/Make", 0, INT64_C(86400) * 4000, &zone, &err), LW_OK);
    for (int row = 1; row < zone.count; row++)
        assert_true(zone.from_s[row] > zone.from_s[row - 1]);
    assert_int_equal(zone.offset_s[zone.count - 1], -2 * 3600);
}

static void damaged_files_are_refused_by_a_sentence(void **state)
{
    static const struct {
        size_t at;
        unsigned char byte;
        const char *says;
    } row[] = {
        {0, 'X', "is not a compiled time zone"},
        {4, 0, "is of version 1"},
        {39, 0, "has a damaged header"},
        {36, 0x7F, "has a damaged header"},
        {51, 'X', "has a damaged second header"},
        {51 + 24, 0xFF, "has a damaged second header"},
        {51 + 31, 1, "is cut short"},
        {51 + 44 + 8, 2, "names a clock that it does not hold"},
        {51 + 44 + 9, 0x10, "more than 25 h"},
        {51 + 44 + 14, 9, "letters beyond their table"},
        {51 + 44 + 28, 'x', "letters beyond their table"},
    };
    unsigned char bytes[512];
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        lw_zone zone = {.count = 77};
        const size_t n = make_file(bytes, "\nBBB-1\n");
        bytes[row[i].at] = row[i].byte;
        const lw_code code = lw_zone_read(bytes, n, "Own/Make", 0, 100, &zone, &err);
        if (code != LW_E_SYNTAX || !strstr(err.text, row[i].says) || zone.count != 77)
            fail_msg("byte %zu: %d '%s', want '%s'", row[i].at, (int)code, err.text, row[i].says);
    }
    static const char *const footers[] = {"",
                                          "\n",
                                          "\nBBB\n",
                                          "\nBBB-1CCC\n",
                                          "\nB-1\n",
                                          "\nBBB-1CCC,M13.1.0,M1.1.0\n",
                                          "\nBBB-1CCC,J0,J1\n",
                                          "\nBBB-1CCC,M3.6.0,M11.1.0\n",
                                          "\n<BBB-1\n",
                                          "\nBBB-1 \n",
                                          "\nBBB-26\n"};
    for (size_t i = 0; i < COUNT_OF(footers); i++) {
        lw_err err = {0};
        lw_zone zone;
        const size_t n = make_file(bytes, footers[i]);
        if (lw_zone_read(bytes, n, "Own/Make", 0, 100, &zone, &err) != LW_E_SYNTAX)
            fail_msg("footer '%s' is taken", footers[i]);
    }
    const size_t whole = make_file(bytes, "\nBBB-1\n");
    for (size_t n = 0; n < whole; n++) {              /* cut at every byte */
        unsigned char *const cut = malloc(n ? n : 1); /* its own block, so that reading past the end is seen */
        lw_err err = {0};
        lw_zone zone;
        memcpy(cut, bytes, n);
        const lw_code code = lw_zone_read(cut, n, "Own/Make", 0, 100, &zone, &err);
        free(cut);
        if (code != LW_E_SYNTAX)
            fail_msg("cut to %zu of %zu bytes it is taken", n, whole);
    }
    lw_err err = {0};
    lw_zone zone;
    assert_int_equal(lw_zone_read(bytes, whole, "Own/Make", 100, 0, &zone, &err), LW_E_RANGE);
}

static void too_many_changes_are_a_stated_limit(void **state)
{
    lw_err err = {0};
    lw_zone zone;
    (void)state;
    if (!has_database())
        skip();
    assert_int_equal(lw_zone_load("America/Denver", FROM_S, FROM_S + INT64_C(200) * 366 * 86400, &zone, &err),
                     LW_E_FULL);
}

static void the_machine_names_its_zone_by_variable_first(void **state)
{
    char name[48];
    (void)state;
    if (!has_database())
        skip();
    setenv("TZ", ":America/Denver", 1);
    assert_string_equal(lw_zone_machine(name, sizeof name), "America/Denver");
    setenv("TZ", "MST7MDT,M3.2.0,M11.1.0", 1); /* a rule is no name: the next source answers */
    lw_zone_machine(name, sizeof name);
    assert_null(strchr(name, ','));
    unsetenv("TZ");
    lw_err err = {0};
    lw_zone zone;
    assert_int_equal(lw_zone_load(lw_zone_machine(name, sizeof name), FROM_S, TO_S, &zone, &err), LW_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(clocks_agree_with_libc_every_three_hours),
        cmocka_unit_test(clocks_of_every_zone_agree_with_libc),
        cmocka_unit_test(days_of_23_and_25_hours_and_one_that_never_was),
        cmocka_unit_test(a_short_span_needs_a_handful_of_rows),
        cmocka_unit_test(unknown_zones_are_refused_with_the_nearest_name),
        cmocka_unit_test(a_file_of_our_own_is_read),
        cmocka_unit_test(summers_that_overlap_keep_their_rows_in_order),
        cmocka_unit_test(damaged_files_are_refused_by_a_sentence),
        cmocka_unit_test(too_many_changes_are_a_stated_limit),
        cmocka_unit_test(the_machine_names_its_zone_by_variable_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
