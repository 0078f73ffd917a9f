#include "tests/check.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/hourly.h"

#define EPW  "tests/reference/two_days.epw"
#define TMY3 "tests/reference/two_days_tmy3.csv"

static char *load(const char *path, size_t *n)
{
    FILE *file = fopen(path, "rb");
    char *text = malloc(65536);
    if (!file)
        fail_msg("%s is not there", path);
    *n = fread(text, 1, 65535, file);
    text[*n] = '\0';
    fclose(file);
    return text;
}

static lw_code read_text(const char *text, size_t n, lw_hourly *h, lw_err *err)
{
    lw_bytes source = {text, n};
    return lw_hourly_read(lw_read_bytes, &source, "made.file", h, err);
}

static void both_forms_hold_the_same_two_days(void **state)
{
    lw_hourly epw, tmy3;
    lw_err err = {0};
    (void)state;
    lw_hourly_init(&epw);
    lw_hourly_init(&tmy3);
    if (lw_hourly_read_path(EPW, &epw, &err) || lw_hourly_read_path(TMY3, &tmy3, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(epw.form, LW_FORM_EPW);
    assert_int_equal(tmy3.form, LW_FORM_TMY3);
    assert_int_equal(epw.count, 48);
    assert_int_equal(tmy3.count, 48);
    for (int i = 0; i < 48; i++) {
        assert_int_equal(epw.end_s[i], tmy3.end_s[i]);
        assert_int_equal(epw.end_s[i], (i % 24 + 1) * 3600);
        assert_int_equal(epw.day[i], i < 24 ? 28 : 1);
        for (int c = 0; c < LW_HOURLY_COLUMN_COUNT; c++)
            if (!epw.is_absent[c] && !tmy3.is_absent[c])
                CHECK_NEAR(epw.column[c][i], tmy3.column[c][i], 1e-9, "%s row %d", lw_hourly_name((lw_hourly_column)c),
                           i);
    }
    CHECK_NEAR(epw.latitude_deg, 38.5, 0.0, "latitude");
    CHECK_NEAR(tmy3.longitude_deg, -109.5, 0.0, "longitude");
    CHECK_NEAR(epw.utc_offset_h, -7.0, 0.0, "zone");
    CHECK_NEAR(tmy3.elevation_m, 1350.0, 0.0, "elevation");
    CHECK_NEAR(epw.column[LW_HOURLY_PRESSURE][0], 86410.0, 1e-9, "pressure");
    CHECK_NEAR(epw.column[LW_HOURLY_HUMIDITY][0], 0.59, 1e-12, "humidity");
    CHECK_NEAR(epw.column[LW_HOURLY_SNOW][0], 0.05, 1e-12, "snow");
    CHECK_NEAR(epw.column[LW_HOURLY_PRECIPITATION][33], 1.2, 1e-12, "rain");
    assert_true(epw.is_absent[LW_HOURLY_ALBEDO]);
    assert_true(tmy3.is_absent[LW_HOURLY_SNOW]);
    /* Hours 5 and 6 are missing: drawn straight from hour 4 to hour 7. */
    const double *air = epw.column[LW_HOURLY_AIR];
    CHECK_NEAR(air[4], air[3] + (air[6] - air[3]) / 3.0, 1e-12, "first bridged hour");
    CHECK_NEAR(air[5], air[3] + (air[6] - air[3]) * 2.0 / 3.0, 1e-12, "second bridged hour");
    assert_int_equal(epw.filled[LW_HOURLY_AIR], 2);
    char notes[1024];
    lw_hourly_notes(&epw, notes, sizeof notes);
    assert_non_null(strstr(notes, "2 missing values of air_c were bridged"));
    assert_non_null(strstr(notes, "holds no albedo_frac"));
    assert_non_null(strstr(notes, "covers 2 days"));
    assert_int_equal(lw_hourly_want_year(&epw, &err), LW_E_MISSING);
    lw_hourly_clear(&epw);
    lw_hourly_clear(&epw);
    lw_hourly_clear(&tmy3);
}

static void the_weather_of_a_moment_lies_between_its_stamps(void **state)
{
    lw_hourly h;
    lw_err err = {0};
    lw_hourly_values at;
    (void)state;
    lw_hourly_init(&h);
    assert_int_equal(lw_hourly_read_path(EPW, &h, &err), LW_OK);
    assert_int_equal(lw_hourly_at(&h, 2, 28, 12.25, &at, &err), LW_OK);
    CHECK_NEAR(at.value[LW_HOURLY_AIR], h.column[LW_HOURLY_AIR][11] * 0.75 + h.column[LW_HOURLY_AIR][12] * 0.25, 1e-12,
               "12:15 air");
    CHECK_NEAR(at.value[LW_HOURLY_GHI], h.column[LW_HOURLY_GHI][12], 0.0,
               "12:15 irradiance of the hour that ends at 13");
    assert_int_equal(lw_hourly_at(&h, 2, 28, 12.0, &at, &err), LW_OK);
    CHECK_NEAR(at.value[LW_HOURLY_GHI], h.column[LW_HOURLY_GHI][11], 0.0, "12:00 ends its hour");
    assert_int_equal(lw_hourly_at(&h, 3, 1, 0.5, &at, &err), LW_OK); /* over midnight, no leap day in the file */
    CHECK_NEAR(at.value[LW_HOURLY_AIR], (h.column[LW_HOURLY_AIR][23] + h.column[LW_HOURLY_AIR][24]) / 2.0, 1e-12,
               "0:30");
    assert_int_equal(lw_hourly_at(&h, 2, 28, 3.5, &at, &err), LW_OK);
    CHECK_NEAR(at.value[LW_HOURLY_WIND_FROM], 357.5, 1e-9, "355 to 0 by north");
    assert_int_equal(lw_hourly_at(&h, 2, 29, 12.25, &at, &err), LW_OK);
    CHECK_NEAR(at.value[LW_HOURLY_GHI], h.column[LW_HOURLY_GHI][12], 0.0, "29 February is the 28th");
    assert_int_equal(lw_hourly_at(&h, 3, 1, 24.0, &at, &err), LW_OK);
    CHECK_NEAR(at.value[LW_HOURLY_AIR], h.column[LW_HOURLY_AIR][47], 0.0, "the last stamp");
    assert_int_equal(lw_hourly_at(&h, 3, 2, 0.5, &at, &err), LW_E_MISSING);
    lw_err other = {0};
    assert_int_equal(lw_hourly_at(&h, 2, 27, 12.0, &at, &other), LW_E_MISSING);
    lw_err third = {0};
    assert_int_equal(lw_hourly_at(&h, 2, 30, 12.0, &at, &third), LW_E_RANGE);
    lw_hourly_clear(&h);
}

/* A year of one form with a plain course: air = day of the year + hour/100. */
static char *make_year(size_t *n, int per_hour)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const size_t room = (size_t)8760 * (size_t)per_hour * 120 + 400;
    char *text = malloc(room);
    size_t used = (size_t)snprintf(
        text, room, "LOCATION,A,B,C,D,1,40,-110,-7,1000\nDATA PERIODS,1,%d,Data,Sunday,1/1,12/31\n", per_hour);
    int day_of_year = 0;
    for (int m = 0; m < 12; m++)
        for (int d = 1; d <= days[m]; d++, day_of_year++)
            for (int s = 0; s < 24 * per_hour; s++)
                used += (size_t)snprintf(text + used, room - used,
                                         "2001,%d,%d,%d,%d,x,%.4f,5,50,90000,0,0,0,%d,0,0,0,0,0,0,180,3,0,0\n", m + 1,
                                         d, s / per_hour + 1, (s % per_hour + 1) * 60 / per_hour,
                                         day_of_year * 0.1 + (s + 1) / (100.0 * per_hour), 100 / per_hour);
    *n = used;
    return text;
}

static void a_whole_year_turns_over_into_itself(void **state)
{
    (void)state;
    for (int per_hour = 1; per_hour <= 4; per_hour += 3) {
        size_t n;
        char *text = make_year(&n, per_hour);
        lw_hourly h;
        lw_err err = {0};
        lw_hourly_values at;
        lw_hourly_init(&h);
        if (read_text(text, n, &h, &err))
            fail_msg("%s: %s", err.where, err.text);
        assert_int_equal(h.count, 8760 * per_hour);
        assert_true(h.is_whole_year);
        assert_int_equal(lw_hourly_want_year(&h, &err), LW_OK);
        CHECK_NEAR(h.column[LW_HOURLY_GHI][0], 100.0, 1e-9, "Wh of a step become W");
        assert_int_equal(lw_hourly_at(&h, 3, 1, 12.5, &at, &err), LW_OK);
        CHECK_NEAR(at.value[LW_HOURLY_AIR], 59 * 0.1 + 0.125, 1e-9, "1 March 12:30");
        assert_int_equal(lw_hourly_at(&h, 1, 1, 0.0, &at, &err), LW_OK);
        CHECK_NEAR(at.value[LW_HOURLY_AIR], 364 * 0.1 + 0.24, 1e-9, "the year's first moment is its last stamp");
        assert_int_equal(lw_hourly_at(&h, 12, 31, 24.0, &at, &err), LW_OK);
        CHECK_NEAR(at.value[LW_HOURLY_AIR], 364 * 0.1 + 0.24, 1e-9, "the year's last moment");
        lw_hourly_clear(&h);
        free(text);
    }
}

/* The file with the n-th `old` turned into `new`. */
static char *turned(const char *text, int nth, const char *old, const char *new)
{
    const char *at = text;
    while ((at = strstr(at, old)) != NULL && nth-- > 1)
        at++;
    if (!at)
        fail_msg("'%s' is not in the file", old);
    char *out = malloc(strlen(text) + strlen(new) + 1);
    memcpy(out, text, (size_t)(at - text));
    strcpy(out + (at - text), new);
    strcat(out, at + strlen(old));
    return out;
}

static void malformed_files_are_refused_by_line(void **state)
{
    static const struct {
        const char *path;
        int nth;
        const char *old, *new, *where, *says;
    } row[] = {
        {EPW, 1, "LOCATION", "ELSEWHERE", "made.file", "no hourly weather file"},
        {EPW, 1, "38.50", "98.50", "made.file:1", "latitude is 98.5 deg; give -90 to 90 deg"},
        {EPW, 1, "38.50", "north", "made.file:1", "column 7 (latitude) is 'north'"},
        {EPW, 1, ",-7.0,1350.0", "", "made.file:1", "has 8 fields"},
        {EPW, 1, "DATA PERIODS", "DATA", "made.file:9", "DATA PERIODS is missing"},
        {EPW, 1, "PERIODS,1,1", "PERIODS,2,1", "made.file:8", "2 data periods"},
        {EPW, 1, "PERIODS,1,1", "PERIODS,1,0", "made.file:8", "whole number from 1 to 60"},
        {EPW, 1, "1999,2,28,3,", "1999,2,28,4,", "made.file:11", "out of order"},
        {EPW, 1, "1999,2,28,3,", "1999,2,28,25,", "made.file:11", "whole number from 1 to 24"},
        {EPW, 1, "1999,2,28,3,", "1999,2,28,2.5,", "made.file:11", "whole number"},
        {EPW, 1, "1999,2,28,3,", "1999,x,28,3,", "made.file:11", "(month) is 'x'"},
        {EPW, 1, ",86430,", ",86430;", "made.file:11", "columns"},
        {EPW, 1, ",86430,", ",8x430,", "made.file:11", "column 10 (pressure_pa) is '8x430'"},
        {EPW, 1, ",86430,", ",864300,", "made.file:11", "pressure is 864300 Pa; give 30000 to 120000 Pa"},
        {EPW, 1, " 3/ 1", "12/31", "made.file", "its header promises month 12 day 31"},
        {TMY3, 1, "Date (MM", "Datum (MM", "made.file", "no hourly weather file"},
        {TMY3, 1, "Dry-bulb (", "Wet-bulb (", "made.file:2", "Dry-bulb"},
        {TMY3, 1, "38.500", "", "made.file:1", "latitude"},
        {TMY3, 1, "02/28/1999,02:00", "02/28/1999,02:30", "made.file:4", "does not begin with a date"},
        {TMY3, 1, "02/28/1999,02:00", "02/30/1999,02:00", "made.file:4", "month 2 has no day 30"},
        {TMY3, 1, "02/28/1999,02:00", "28.02.1999,02:00", "made.file:4", "does not begin with a date"},
        {TMY3, 1, "02/28/1999,02:00,0", "02/28/1999,02:00,0,0", "made.file:4", "39 columns, the header has 38"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        size_t n;
        char *text = load(row[i].path, &n), *bad = turned(text, row[i].nth, row[i].old, row[i].new);
        lw_hourly h;
        lw_err err = {0};
        lw_hourly_init(&h);
        const lw_code code = read_text(bad, strlen(bad), &h, &err);
        if (!code || strcmp(err.where, row[i].where) != 0 || !strstr(err.text, row[i].says) || h.block)
            fail_msg("%s -> %s: %d '%s' '%s'", row[i].old, row[i].new, (int)code, err.where, err.text);
        free(text);
        free(bad);
    }
}

static void long_gaps_are_refused_and_six_hours_are_bridged(void **state)
{
    (void)state;
    for (int gap = 6; gap <= 7; gap++) {
        size_t n;
        char *text = load(TMY3, &n);
        for (int hour = 10; hour < 10 + gap; hour++) { /* the GHI of those hours */
            char key[32];
            snprintf(key, sizeof key, "03/01/2003,%02d:00,0,0,", hour);
            char *at = strstr(text, key) + strlen(key);
            memmove(at + 3, at + strcspn(at, ","), strlen(at + strcspn(at, ",")) + 1);
            memcpy(at, "-99", 3);
        }
        lw_hourly h;
        lw_err err = {0};
        lw_hourly_init(&h);
        const lw_code code = read_text(text, strlen(text), &h, &err);
        if (gap == 6) {
            assert_int_equal(code, LW_OK);
            assert_int_equal(h.filled[LW_HOURLY_GHI], 6);
        } else {
            assert_int_equal(code, LW_E_MISSING);
            assert_string_equal(
                err.text, "ghi_wm2 is missing for 7 h from month 3 day 1 10:00 on; gaps of up to 6 h are bridged");
        }
        lw_hourly_clear(&h);
        free(text);
    }
}

static void other_files_are_refused_by_a_sentence(void **state)
{
    static const struct {
        const char *bytes;
        size_t n;
        const char *says;
    } row[] = {
        {"", 0, "the file is empty"},
        {"\xFF\xD8\xFF\xE0\0\x10JFIF\0", 11, "no hourly weather file"},
        {"LOCATION,", 9, "LOCATION has 2 fields"},
        {"LOCATION,A,B,C,D,1,40,-110,-7,1000\n", 35, "ends before its header line DATA PERIODS"},
        {"LOCATION,A,B,C,D,1,40,-110,-7,1000\nDATA PERIODS,1,1\n", 52, "a header and no hours"},
        {"LOCATION,A,B,C,D,1,40,-110,-7,1000\n\0\0\0\n", 39, "NUL byte"},
        {"<html><body>Not found</body></html>\n", 36, "no hourly weather file"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_hourly h;
        lw_err err = {0};
        lw_hourly_init(&h);
        if (!read_text(row[i].bytes, row[i].n, &h, &err) || !strstr(err.text, row[i].says))
            fail_msg("row %zu: '%s' '%s'", i, err.where, err.text);
    }
    lw_hourly h;
    lw_err err = {0};
    lw_hourly_init(&h);
    assert_int_equal(lw_hourly_read_path("tests/reference/none.epw", &h, &err), LW_E_IO);
    assert_string_equal(err.where, "tests/reference/none.epw");
    lw_err folder = {0};
    assert_int_not_equal(lw_hourly_read_path("tests", &h, &folder), LW_OK);
}

static void a_file_cut_anywhere_is_refused_or_whole_days(void **state)
{
    static const char *const paths[] = {EPW, TMY3};
    (void)state;
    for (size_t p = 0; p < COUNT_OF(paths); p++) {
        size_t n;
        char *text = load(paths[p], &n);
        for (size_t cut = 0; cut + 2 < n; cut += 13) {
            lw_hourly h;
            lw_err err = {0};
            lw_hourly_init(&h);
            const lw_code code = read_text(text, cut, &h, &err);
            if (!code && h.count != 24 && h.count != 48)
                fail_msg("%s cut at %zu gives %d rows", paths[p], cut, h.count);
            if (code && (err.text[0] == '\0' || h.block))
                fail_msg("%s cut at %zu is refused without a word", paths[p], cut);
            lw_hourly_clear(&h);
        }
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_forms_hold_the_same_two_days),
        cmocka_unit_test(the_weather_of_a_moment_lies_between_its_stamps),
        cmocka_unit_test(a_whole_year_turns_over_into_itself),
        cmocka_unit_test(malformed_files_are_refused_by_line),
        cmocka_unit_test(long_gaps_are_refused_and_six_hours_are_bridged),
        cmocka_unit_test(other_files_are_refused_by_a_sentence),
        cmocka_unit_test(a_file_cut_anywhere_is_refused_or_whole_days),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
