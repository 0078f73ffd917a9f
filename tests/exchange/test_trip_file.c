#include "exchange/trip_file.h"

#include <stdlib.h>
#include <string.h>

#include "tests/check.h"

static void the_example_is_read_whole(void **state)
{
    (void)state;
    lw_trip_file *f = calloc(1, sizeof *f);
    lw_err err = {0};
    assert_non_null(f);
    if (lw_trip_file_load("examples/round-trip.yaml", f, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(f->until_day - f->from_day, 28);
    assert_int_equal(f->place_count, 7);
    assert_string_equal(f->place[f->start].name, "Quarry Flat");
    assert_string_equal(f->place[f->end].name, "Millrace");
    assert_string_equal(f->camp, "examples/couple-on-the-road.yaml");
    assert_int_equal(f->drive_days, 16 + 32 + 64);
    CHECK_NEAR(f->coldest_c, (25.0 - 32.0) / 1.8, 1e-9, "coldest");
    CHECK_NEAR(f->km_usd, 0.40 / 1.609344, 1e-9, "per mile");
    CHECK_NEAR(f->place[1].elevation_m, 6500 * 0.3048, 1e-6, "elevation");
    assert_int_equal(f->service_count, 2);
    assert_true(f->service[0].supplies >> LW_SUPPLY_BLACK & 1u && f->service[0].days == 63);
    assert_true(f->wish[0].is_must && f->wish[0].nights == 3 && f->wish[0].of[0] == 1u << 4);
    free(f);
}

#define TRIP  "trip: {camp: a, from: 2027-05-10, until: 2027-05-12, start: b}\n"
#define PLACE "{name: b, latitude: 37, longitude: -112, elevation: 1 km}"

static void what_is_wrong_is_named(void **state)
{
    static const struct {
        const char *text, *want;
    } ROW[] = {
        {"leeway: 2\n" TRIP "places: [" PLACE "]\n", "a trip begins with leeway: 1"},
        {"leeway: 1\n" TRIP, "there is no list places"},
        {"leeway: 1\n" TRIP "places: [" PLACE ", " PLACE "]\n", "two places are named"},
        {"leeway: 1\n" TRIP "places: [{name: b, latitude: 37, longitude: -112}]\n", "elevation is missing"},
        {"leeway: 1\n" TRIP "places: [" PLACE "]\nwishes: [{what: x, at: c}]\n", "no place is named"},
        {"leeway: 1\n" TRIP "places: [" PLACE "]\nwishes: [{what: x, at: b, night: 2}]\n", "did you mean nights?"},
        {"leeway: 1\n" TRIP "places: [" PLACE "]\nwishs: []\n", "did you mean wishes?"},
        {"leeway: 1\n" TRIP "places: [" PLACE "]\nservices: [{name: y, latitude: 37, longitude: -112, gives: beer}]\n",
         "beer is none of water"},
        {"leeway: 1\ntrip: {camp: a, from: 2027-05-10, until: 2027-05-10, start: b}\nplaces: [" PLACE "]\n",
         "from 2027-05-10 is not before until 2027-05-10"},
        {"leeway: 1\ntrip: {camp: a, from: 2027-05-10, until: 2028-05-10, start: b}\nplaces: [" PLACE "]\n",
         "from 1 to 126 nights"},
        {"leeway: 1\n" TRIP "places: [" PLACE "]\nwishes: [{what: x, at: b, nights: 3}]\n",
         "x wants 3 nights between its dates, and the trip has 2 there"},
        {"leeway: 1\n" TRIP "places: [" PLACE "]\nwishes: [{what: x, at: b, from: 2027-05-12, until: 2027-05-11}]\n",
         "from 2027-05-12 is not before until 2027-05-11"},
        {"leeway: 1\n" TRIP
         "places: [{name: b, latitude: 37, longitude: -112, elevation: 1 km, from: 2027-06-12, until: "
         "2027-05-11}]\n",
         "from 2027-06-12 is not before until 2027-05-11"},
    };
    (void)state;
    lw_trip_file *f = calloc(1, sizeof *f);
    assert_non_null(f);
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        lw_err err = {0};
        const lw_code code = lw_trip_file_read("t.yaml", ROW[i].text, strlen(ROW[i].text), NULL, f, &err);
        if (!code || !strstr(err.text, ROW[i].want) || f->place_count)
            fail_msg("row %zu: %d %s: %s; want %s", i, (int)code, err.where, err.text, ROW[i].want);
    }
    free(f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_example_is_read_whole),
        cmocka_unit_test(what_is_wrong_is_named),
    };
    return cmocka_run_group_tests_name("exchange/trip_file", tests, NULL, NULL);
}
