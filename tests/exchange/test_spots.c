#include "tests/check.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/spots.h"

#define BIT(id) (1u << LW_SPOT_##id)

typedef struct taken {
    lw_spot_row row[16];
    int count;
} taken;

static lw_code take(void *context, const lw_spot_row *row, lw_err *err)
{
    taken *t = context;
    (void)err;
    assert_true(t->count < 16);
    t->row[t->count++] = *row;
    return LW_OK;
}

static lw_code read_text(const char *text, taken *t, lw_spots_read *read, lw_err *err)
{
    lw_bytes source = {text, strlen(text)};
    *err = (lw_err){0};
    *t = (taken){.count = 0};
    return lw_spots_read_from(lw_read_bytes, &source, take, t, read, err);
}

static const lw_spot_row *row_named(const taken *t, const char *name)
{
    for (int i = 0; i < t->count; i++)
        if (strcmp(t->row[i].name, name) == 0)
            return &t->row[i];
    fail_msg("there is no row %s", name);
    return NULL;
}

/* Tags as the OpenStreetMap wiki has them. */
static void geojson_gives_kinds_by_their_tags(void **state)
{
    static taken t;
    lw_spots_read read;
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_spots_load("tests/reference/places/services.geojson", take, &t, &read, &err), LW_OK);
    assert_int_equal(read.taken, 6);
    assert_int_equal(read.passed_over, 2); /* the dump that is closed and has no name, the line */
    assert_true(read.is_openstreetmap);
    const lw_spot_row *dump = row_named(&t, "Larkspur Flat Dump");
    assert_int_equal(dump->kinds, BIT(DUMP));
    assert_int_equal(dump->fit, LW_FIT_NO);
    assert_string_equal(dump->detail, "fee=yes; charge=10 USD; opening_hours=24/7");
    assert_string_equal(dump->key, "node/1");
    assert_int_equal(row_named(&t, "Larkspur Flat Fill")->fit, LW_FIT_YES);
    assert_int_equal(row_named(&t, "Three Antler Fuel")->kinds, BIT(FUEL) | BIT(PROPANE));
    assert_int_equal(row_named(&t, "Bitter Spring & Son")->kinds, BIT(PLACE)); /* not fit to drink: no water */
    const lw_spot_row *camp = row_named(&t, "Dry Fork");
    CHECK_NEAR(camp->spot.latitude_deg, 38.415, 1e-9, "the middle of its polygon");
    CHECK_NEAR(camp->spot.longitude_deg, -112.805, 1e-9, "the middle of its polygon");
}

static void gpx_gives_its_waypoints(void **state)
{
    static taken t;
    lw_spots_read read;
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_spots_load("tests/reference/places/friends.gpx", take, &t, &read, &err), LW_OK);
    assert_int_equal(t.count, 2);
    const lw_spot_row *bench = row_named(&t, "Ada's bench");
    assert_int_equal(bench->kinds, BIT(CAMP));
    assert_string_equal(bench->detail, "description=level, <two> rigs");
    assert_string_equal(bench->key, "Ada's bench@38.15000,-112.50000");
    CHECK_NEAR(bench->spot.longitude_deg, -112.5, 1e-12, "longitude");
    assert_int_equal(row_named(&t, "Hand pump")->fit, LW_FIT_UNKNOWN);
}

static void csv_gives_its_lines(void **state)
{
    static taken t;
    lw_spots_read read;
    lw_err err;
    (void)state;
    assert_int_equal(read_text("\xef\xbb\xbfname,latitude,longitude,kind,fee\n\"A, b\",38.1,-112.4,\"dump, "
                               "water\",no\n,1,2,,\nC,3,4,,yes\n",
                               &t, &read, &err),
                     LW_OK);
    assert_int_equal(t.count, 2);
    assert_int_equal(read.passed_over, 1);
    assert_int_equal(row_named(&t, "A, b")->kinds, BIT(DUMP) | BIT(WATER));
    assert_string_equal(t.row[0].detail, "fee=no");
    assert_int_equal(row_named(&t, "C")->kinds, BIT(PLACE));
}

static void what_cannot_be_read_is_refused_with_its_line(void **state)
{
    static taken t;
    static const struct {
        const char *text, *where, *said;
    } row[] = {
        {"", "line 1", "column lat is missing"},
        {"name,lat\nx,1\n", "line 1", "column lon is missing"},
        {"name,lat,lon\nx,1,2\ny,high,2\n", "line 3 lat", "'high' is no number"},
        {"name,lat,lon\nx,91,2\n", "line 2", "latitude is 91"},
        {"name,lat,lon,kind\nx,1,2,dumb\n", "line 2 kind", "'dumb' is no kind"},
        {"{\"type\": \"Feature\"}", "", "a FeatureCollection is expected"},
        {"{\"type\": \"FeatureCollection\", \"features\": [{\"geometry\": {\"type\": \"Point\", \"coordinates\": [200, "
         "1]},"
         " \"properties\": {\"name\": \"x\"}}]}",
         "x", "longitude is 200"},
        {"<kml/>", "line 1", "no GPX"},
        {"<gpx><wpt lat=\"1\"></wpt></gpx>", "line 1", "needs lat and lon"},
        {"<gpx>\n<wpt lat=\"1\" lon=\"2\">", "line 2", "damaged"},
        {"<!DOCTYPE gpx [<!ENTITY a \"b\">]><gpx/>", "line 1", "entities"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_spots_read read;
        lw_err err;
        if (!read_text(row[i].text, &t, &read, &err) || !strstr(err.text, row[i].said) ||
            !strstr(err.where, row[i].where))
            fail_msg("%s: %s: %s", row[i].text, err.where, err.text);
    }
    assert_int_equal(lw_spot_kinds_of("dump; water"), BIT(DUMP) | BIT(WATER));
    assert_int_equal(lw_spot_kinds_of("dumps"), 0);
    assert_int_equal(lw_spot_kinds_of("dum"), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(geojson_gives_kinds_by_their_tags),
        cmocka_unit_test(gpx_gives_its_waypoints),
        cmocka_unit_test(csv_gives_its_lines),
        cmocka_unit_test(what_cannot_be_read_is_refused_with_its_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
