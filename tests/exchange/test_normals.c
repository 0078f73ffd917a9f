#include "tests/check.h"

#include <string.h>

#include "exchange/normals.h"

/* Invented stations, in the form of NOAA NCEI's monthly by-station files. */
#define NEW "tests/reference/weather/normals_1991.csv"
#define OLD "tests/reference/weather/normals_1981.csv"

static const lw_normals_choice ANY = {NULL, (double)NAN, (double)NAN};

static lw_station_climate read_station(const char *path, const lw_normals_choice *choice)
{
    lw_station_climate c;
    lw_err err = {0};
    if (lw_normals_read_path(path, choice, &c, &err))
        fail_msg("%s: %s", err.where, err.text);
    return c;
}

static void a_station_by_its_name_is_in_our_units(void **state)
{
    const lw_normals_choice choice = {.station = "USX00000001"};
    (void)state;
    const lw_station_climate c = read_station(NEW, &choice);
    assert_string_equal(c.name, "INVENTED FLAT, UT US");
    assert_string_equal(c.period, "1991-2020");
    CHECK_NEAR(c.elevation_m, 1220.0, 0.0, "elevation");
    CHECK_NEAR(c.tmax_c[6], (92.0 - 32.0) / 1.8, 1e-9, "July maximum");
    CHECK_NEAR(c.tmin_c[0], (18.0 - 32.0) / 1.8, 1e-9, "January minimum");
    CHECK_NEAR(c.precip_mm[7], 1.05 * 25.4, 1e-9, "August rain");
    CHECK_NEAR(c.wet_frac[1], 5.0 / 28.25, 1e-9, "wet days of February");
    for (int v = 0; v < LW_STATION_VALUES; v++)
        assert_int_equal(c.has[v], LW_ALL_MONTHS);
    assert_int_equal(c.is_weak[LW_STATION_PRECIP], LW_ALL_MONTHS);
    assert_int_equal(c.is_weak[LW_STATION_TMAX], 0);
}

static void both_forms_give_the_same_climate(void **state)
{
    const lw_normals_choice choice = {.station = "USX00000001"};
    (void)state;
    const lw_station_climate new = read_station(NEW, &choice), old = read_station(OLD, &ANY);
    assert_string_equal(old.period, "1981-2010");
    for (int m = 0; m < LW_MONTHS; m++) {
        CHECK_NEAR(old.tmax_c[m], new.tmax_c[m], 1e-9, "maximum of month %d", m + 1);
        CHECK_NEAR(old.tmin_c[m], new.tmin_c[m], 1e-9, "minimum of month %d", m + 1);
        if (m != 5)
            CHECK_NEAR(old.precip_mm[m], new.precip_mm[m], 1e-9, "rain of month %d", m + 1);
    }
}

static void special_values_are_no_weather(void **state)
{
    const lw_normals_choice hill = {.station = "USX00000002"};
    (void)state;
    const lw_station_climate old = read_station(OLD, &ANY), high = read_station(NEW, &hill);
    CHECK_NEAR(old.precip_mm[5], 0.0, 0.0, "-7777 is a little that rounds to nothing");
    assert_true(isnan(old.wet_frac[6]));
    assert_int_equal(old.has[LW_STATION_WET], LW_ALL_MONTHS & ~(1u << 6));
    assert_int_equal(old.is_weak[LW_STATION_WET], LW_ALL_MONTHS & ~(1u << 6)); /* Q */
    assert_int_equal(high.has[LW_STATION_TMAX], LW_ALL_MONTHS & ~3u);          /* M, and a flagged 999.9 */
    assert_true(isnan(high.tmax_c[0]) && isnan(high.tmax_c[1]));
}

static void the_nearest_station_with_all_temperatures_is_taken(void **state)
{
    const lw_normals_choice flat = {NULL, 38.55, -109.5}, hill = {NULL, 38.9, -109.5}, north = {NULL, 39.3, -110.0};
    (void)state;
    assert_string_equal(read_station(NEW, &flat).id, "USX00000001");
    assert_string_equal(read_station(NEW, &hill).id, "USX00000001"); /* 2 is nearer, but lacks two months */
    assert_string_equal(read_station(NEW, &north).id, "USX00000003");
}

static void several_stations_want_a_name(void **state)
{
    lw_station_climate c = {.period = "as it was"};
    lw_err err = {0}, other = {0};
    (void)state;
    assert_int_equal(lw_normals_read_path(NEW, &ANY, &c, &err), LW_E_CONFLICT);
    assert_string_equal(err.text, "the file holds several stations, first USX00000001, here USX00000002; name one");
    assert_string_equal(err.where, NEW ":14");
    const lw_normals_choice none = {.station = "USX00000009"};
    assert_int_equal(lw_normals_read_path(NEW, &none, &c, &other), LW_E_MISSING);
    assert_string_equal(other.text, "there is no station USX00000009 in this file");
    assert_string_equal(c.period, "as it was");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_station_by_its_name_is_in_our_units),
        cmocka_unit_test(both_forms_give_the_same_climate),
        cmocka_unit_test(special_values_are_no_weather),
        cmocka_unit_test(the_nearest_station_with_all_temperatures_is_taken),
        cmocka_unit_test(several_stations_want_a_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
