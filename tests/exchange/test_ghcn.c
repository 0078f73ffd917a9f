#include "tests/check.h"

#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "exchange/ghcn.h"

enum { ROOM = 4 << 20 };

typedef enum form { LONG, WIDE, FIXED } form;

typedef struct made {
    char *text;
    size_t n;
    uint64_t state;
} made;

static double uniform(made *m)
{
    m->state = m->state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return ((double)(m->state >> 11) + 0.5) / 9007199254740992.0;
}

/* Normal, mean 0, spread 1: sum of twelve. */
static double bell(made *m)
{
    double sum = -6.0;
    for (int i = 0; i < 12; i++)
        sum += uniform(m);
    return sum;
}

static void put(made *m, const char *fmt, ...) LW_PRINTF(2, 3);
static void put(made *m, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    m->n += (size_t)vsnprintf(m->text + m->n, ROOM - m->n, fmt, args);
    va_end(args);
    assert_true(m->n < ROOM - 1);
}

typedef struct day {
    int year, month, day, high, low, rain; /* tenths */
} day;

/* An invented station: mean 10 - 12 cos(year), day to day AR(1) of spread 4 K and 0.7, range 14 +- 3 K, one day in four
 * wet with 3 mm. */
static int make_days(made *m, int first_year, int years, day *days)
{
    int count = 0;
    double anomaly = 0.0;
    for (int year = first_year; year < first_year + years; year++)
        for (int month = 1; month <= 12; month++)
            for (int d = 1; d <= lw_days_in_month(year, month); d++) {
                const double at =
                    (double)(lw_day_of((lw_date){year, month, d}) - lw_day_of((lw_date){year, 1, 1})) + 0.5;
                anomaly = 0.7 * anomaly + 4.0 * sqrt(1.0 - 0.49) * bell(m);
                const double mean = 10.0 - 12.0 * cos(6.283185307 * at / 365.25) + anomaly;
                const double range = fmax(14.0 + 3.0 * bell(m), 0.2);
                days[count++] = (day){year,
                                      month,
                                      d,
                                      (int)lround(10.0 * (mean + 0.5 * range)),
                                      (int)lround(10.0 * (mean - 0.5 * range)),
                                      uniform(m) < 0.25 ? 30 : 0};
            }
    return count;
}

static void put_fixed_month(made *m, const day *days, int count, const char *element, int which)
{
    put(m, "USX00000001%04d%02d%s", days[0].year, days[0].month, element);
    for (int i = 0; i < 31; i++) {
        const int value = i >= count ? -9999 : which == 0 ? days[i].high : which == 1 ? days[i].low : days[i].rain;
        put(m, "%5d   ", value);
    }
    put(m, "\n");
}

static void put_days(made *m, form f, const day *days, int count)
{
    if (f == WIDE)
        put(m, "\"STATION\",\"DATE\",\"LATITUDE\",\"LONGITUDE\",\"ELEVATION\",\"NAME\",\"PRCP\",\"PRCP_ATTRIBUTES\","
               "\"TMAX\","
               "\"TMAX_ATTRIBUTES\",\"TMIN\",\"TMIN_ATTRIBUTES\"\n");
    for (int i = 0; i < count; i++) {
        const day *d = &days[i];
        if (f == LONG) {
            put(m, "USX00000001,%04d%02d%02d,TMAX,%d,,,7,0700\n", d->year, d->month, d->day, d->high);
            put(m, "USX00000001,%04d%02d%02d,TMIN,%d,,,7,0700\n", d->year, d->month, d->day, d->low);
            put(m, "USX00000001,%04d%02d%02d,PRCP,%d,,,7,\n", d->year, d->month, d->day, d->rain);
        } else if (f == WIDE)
            put(m,
                "\"USX00000001\",\"%04d-%02d-%02d\",\"38.5\",\"-109.6\",\"1220.0\",\"INVENTED FLAT, UT "
                "US\",\"%5d\",\",,7\",\"%5d\","
                "\",,7,0700\",\"%5d\",\",,7\"\n",
                d->year, d->month, d->day, d->rain, d->high, d->low);
        else if (d->day == 1) {
            const int n = lw_days_in_month(d->year, d->month);
            put_fixed_month(m, d, n, "TMAX", 0);
            put_fixed_month(m, d, n, "TMIN", 1);
            put_fixed_month(m, d, n, "PRCP", 2);
        }
    }
}

static lw_code read_made(const made *m, const char *station, lw_ghcn_climate *c, lw_err *err)
{
    lw_bytes source = {m->text, m->n};
    return lw_ghcn_read(lw_read_bytes, &source, "made.csv", station, c, err);
}

static made begin(void)
{
    made m = {.text = malloc(ROOM), .state = 7};
    assert_non_null(m.text);
    m.text[0] = '\0';
    return m;
}

static lw_ghcn_climate climate_of(form f, int years)
{
    made m = begin();
    day *days = calloc((size_t)years * 366, sizeof *days);
    lw_ghcn_climate c;
    lw_err err = {0};
    assert_non_null(days);
    put_days(&m, f, days, make_days(&m, 1996, years, days));
    if (read_made(&m, NULL, &c, &err))
        fail_msg("%s: %s", err.where, err.text);
    free(days);
    free(m.text);
    return c;
}

static void a_made_station_is_found_again(void **state)
{
    (void)state;
    const lw_ghcn_climate c = climate_of(LONG, 20);
    assert_string_equal(c.base.id, "USX00000001");
    assert_string_equal(c.base.period, "1996-2015");
    CHECK_NEAR(c.years, 20.0, 0.01, "years");
    /* 620 days a month that hang together by 0.7 count as some 110 free ones: 4 K / sqrt(110) = 0.4 K, three of those. */
    CHECK_NEAR(c.base.tmax_c[0], 17.0 - 12.0 * 0.966, 1.2, "January maximum");
    CHECK_NEAR(c.base.tmin_c[6], 3.0 + 12.0 * 0.966, 1.2, "July minimum");
    double sd = 0.0, r1 = 0.0, range = 0.0;
    for (int m = 0; m < LW_MONTHS; m++) {
        sd += c.sd_k[m] / 12.0, r1 += c.r1[m] / 12.0, range += c.sd_range_k[m] / 12.0;
        CHECK_NEAR(c.base.wet_frac[m], 0.25, 0.055, "wet days of month %d", m + 1); /* 3 sqrt(p q / 600) */
        CHECK_NEAR(c.wet_mm[m], 3.0, 1e-9, "a wet day of month %d", m + 1);
    }
    CHECK_NEAR(sd, 4.0, 0.2, "day to day");
    CHECK_NEAR(r1, 0.7, 0.03, "correlation with the day before");
    CHECK_NEAR(range, 3.0, 0.1, "range");
    CHECK_NEAR(c.base.precip_mm[0], c.base.wet_frac[0] * 3.0 * 31.0, 1e-9, "January rain");
    assert_int_equal(c.dropped_by_flag + c.dropped_as_wrong, 0);
}

static void the_three_forms_agree(void **state)
{
    (void)state;
    const lw_ghcn_climate a = climate_of(LONG, 11), b = climate_of(WIDE, 11), d = climate_of(FIXED, 11);
    for (int m = 0; m < LW_MONTHS; m++) {
        CHECK_NEAR(b.base.tmax_c[m], a.base.tmax_c[m], 0.0, "wide, month %d", m + 1);
        CHECK_NEAR(d.base.tmin_c[m], a.base.tmin_c[m], 0.0, "fixed, month %d", m + 1);
        CHECK_NEAR(b.r1[m], a.r1[m], 0.0, "wide r1, month %d", m + 1);
        CHECK_NEAR(d.base.precip_mm[m], a.base.precip_mm[m], 0.0, "fixed rain, month %d", m + 1);
    }
    CHECK_NEAR(b.base.latitude_deg, 38.5, 0.0, "the wide form has a place");
    assert_string_equal(b.base.name, "INVENTED FLAT, UT US");
    assert_true(isnan(a.base.latitude_deg) && isnan(d.base.elevation_m));
}

static void flagged_and_wrong_values_are_dropped_and_counted(void **state)
{
    made m = begin();
    day *days = calloc(366 * 12, sizeof *days);
    lw_ghcn_climate c;
    lw_err err = {0};
    (void)state;
    assert_non_null(days);
    put_days(&m, LONG, days, make_days(&m, 1996, 12, days));
    put(&m, "USX00000001,20080101,TMAX,9990,,X,7,\n"); /* flagged */
    put(&m, "USX00000001,20080101,TMIN,-9999,,,7,\n"); /* missing: not counted */
    put(&m, "USX00000001,20080102,TMAX,700,,,7,\n");   /* 70 C */
    put(&m, "USX00000001,20080103,TMAX,10,,,7,\nUSX00000001,20080103,TMIN,50,,,7,\n");
    put(&m, "USX00000001,20080103,SNWD,50,,,7,\nUSX00000001,20080104,TOBS,abc,,,7,\n"); /* other elements pass by */
    if (read_made(&m, NULL, &c, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(c.dropped_by_flag, 1);
    assert_int_equal(c.dropped_as_wrong, 3);
    free(days);
    free(m.text);
}

static void too_few_years_are_told(void **state)
{
    made m = begin();
    day *days = calloc(366 * 4, sizeof *days);
    lw_ghcn_climate c = {.years = -1.0};
    lw_err err = {0};
    (void)state;
    assert_non_null(days);
    put_days(&m, LONG, days, make_days(&m, 2001, 4, days));
    assert_int_equal(read_made(&m, NULL, &c, &err), LW_E_MISSING);
    assert_string_equal(err.text,
                        "station USX00000001 has 4 years of days with maximum and minimum; a climate needs 10 at "
                        "the least");
    CHECK_NEAR(c.years, -1.0, 0.0, "untouched");
    free(days);
    free(m.text);
}

static void one_station_of_many_is_picked_by_name(void **state)
{
    made m = begin();
    lw_ghcn_climate c;
    lw_err err = {0}, other = {0};
    (void)state;
    put(&m, "USX00000001,20080101,TMAX,10,,,7,\nUSX00000002,20080101,TMAX,10,,,7,\n");
    assert_int_equal(read_made(&m, NULL, &c, &err), LW_E_CONFLICT);
    assert_string_equal(err.text, "the file holds several stations, first USX00000001, here USX00000002; name one");
    assert_int_equal(read_made(&m, "USX00000009", &c, &other), LW_E_MISSING);
    assert_string_equal(other.text, "there is no station USX00000009 in this file");
    lw_err third = {0};
    assert_int_equal(read_made(&m, "USX00000002", &c, &third), LW_E_MISSING);
    assert_non_null(strstr(third.text, "station USX00000002 has 0 years"));
    free(m.text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_made_station_is_found_again),
        cmocka_unit_test(the_three_forms_agree),
        cmocka_unit_test(flagged_and_wrong_values_are_dropped_and_counted),
        cmocka_unit_test(too_few_years_are_told),
        cmocka_unit_test(one_station_of_many_is_picked_by_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
