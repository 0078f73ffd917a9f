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

typedef struct text_source {
    lw_bytes left, all;
} text_source;

static int begin_again(void *context)
{
    text_source *s = context;
    s->left = s->all;
    return 0;
}

static lw_code read_text(const char *text, taken *t, lw_spots_read *read, lw_err *err)
{
    *err = (lw_err){0};
    *t = (taken){.count = 0};
    text_source source = {{text, strlen(text)}, {text, strlen(text)}};
    return lw_spots_read_from(lw_read_bytes, begin_again, &source, take, t, read, err);
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
    assert_int_equal(lw_spots_load("tests/reference/places/services.geojson", NULL, take, &t, &read, &err), LW_OK);
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

/* RFC 7946, 3.1.8. */
static void a_collection_is_where_its_point_is(void **state)
{
    static taken t;
    lw_spots_read read;
    lw_err err = {0};
    (void)state;
    assert_int_equal(
        read_text(
            "{\"type\":\"FeatureCollection\",\"features\":["
            "{\"type\":\"Feature\",\"properties\":{\"name\":\"Gate\"},\"geometry\":{\"type\":\"GeometryCollection\","
            "\"geometries\":[{\"type\":\"LineString\",\"coordinates\":[[1,1],[2,2]]},"
            "{\"type\":\"Polygon\",\"coordinates\":[[[-112,38],[-111,38],[-111,39],[-112,38]]]},"
            "{\"type\":\"Point\",\"coordinates\":[-112.4,38.1]}]}},"
            "{\"type\":\"Feature\",\"properties\":{\"name\":\"Field\"},\"geometry\":{\"type\":\"GeometryCollection\","
            "\"geometries\":[{\"type\":\"Polygon\",\"coordinates\":[[[-112,38],[-111,38],[-111,39],[-112,38]]]},"
            "{\"type\":\"Polygon\",\"coordinates\":[[[-110,40],[-109,40],[-109,41],[-110,40]]]}]}},"
            "{\"type\":\"Feature\",\"properties\":{\"name\":\"None\"},\"geometry\":{\"type\":\"GeometryCollection\","
            "\"geometries\":[]}}]}",
            &t, &read, &err),
        LW_OK);
    assert_int_equal(t.count, 2);
    assert_int_equal(read.passed_over, 1);
    CHECK_NEAR(row_named(&t, "Gate")->spot.latitude_deg, 38.1, 1e-12, "its point");
    CHECK_NEAR(row_named(&t, "Field")->spot.latitude_deg, 39.5, 1e-9, "the middle of both");
    CHECK_NEAR(row_named(&t, "Field")->spot.longitude_deg, -110.5, 1e-9, "the middle of both");
}

static void gpx_gives_its_waypoints(void **state)
{
    static taken t;
    lw_spots_read read;
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_spots_load("tests/reference/places/friends.gpx", NULL, take, &t, &read, &err), LW_OK);
    assert_int_equal(t.count, 2);
    const lw_spot_row *bench = row_named(&t, "Ada's bench");
    assert_int_equal(bench->kinds, BIT(CAMP));
    assert_string_equal(bench->detail, "description=level, <two> rigs");
    assert_string_equal(bench->key, "Ada's bench@38.15000,-112.50000");
    CHECK_NEAR(bench->spot.longitude_deg, -112.5, 1e-12, "longitude");
    assert_int_equal(row_named(&t, "Hand pump")->fit, LW_FIT_UNKNOWN);
}

static void kml_gives_its_points_and_areas(void **state)
{
    static taken t;
    lw_spots_read read;
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_spots_load("tests/reference/places/friends.kml", NULL, take, &t, &read, &err), LW_OK);
    assert_int_equal(t.count, 2);
    assert_int_equal(read.passed_over, 1); /* the line */
    const lw_spot_row *bench = row_named(&t, "Ada's bench"), *meadow = row_named(&t, "Meadow");
    assert_int_equal(bench->kinds, BIT(CAMP));
    assert_string_equal(bench->detail, "description=level, <two> rigs; fee=no");
    assert_string_equal(bench->key, "bench");
    CHECK_NEAR(bench->spot.longitude_deg, -112.5, 1e-12, "longitude");
    assert_int_equal(meadow->kinds, BIT(WATER));
    CHECK_NEAR(meadow->spot.latitude_deg, 38.2, 1e-12, "the middle of its outer ring");
    CHECK_NEAR(meadow->spot.longitude_deg, -112.15, 1e-12, "the middle of its outer ring");
}

/* Tags as the OpenStreetMap wiki has them; where areas stand: by hand from their corners. The PBF was written by osmium-tool. */
static void check_region(const taken *t, const lw_spots_read *read)
{
    assert_int_equal(t->count, 14);
    assert_int_equal(read->passed_over, 4); /* two that are closed, a bookshop, a track */
    assert_int_equal(read->without_corners, 2);
    assert_true(read->is_openstreetmap);
    assert_int_equal(read->data_s, 1777863721); /* 2026-05-04T03:02:01Z, by GNU date */
    const lw_spot_row *dump = row_named(t, "Larkspur Flat Dump"), *bench = row_named(t, "Pinnacle Bench"),
                      *rings = row_named(t, "Two Rings"), *seam = row_named(t, "Seam");
    assert_int_equal(dump->kinds, BIT(DUMP));
    assert_int_equal(dump->fit, LW_FIT_NO);
    assert_string_equal(dump->key, "node/1");
    assert_string_equal(dump->detail, "fee=yes; charge=10 USD; opening_hours=Mo-Sa 06:00-21:00; Su off");
    CHECK_NEAR(dump->spot.latitude_deg, 38.1002, 1e-9, "latitude");
    CHECK_NEAR(dump->spot.longitude_deg, -112.4011, 1e-9, "longitude");
    static const lw_fit FIT[] = {LW_FIT_YES, LW_FIT_UNKNOWN, LW_FIT_NO, LW_FIT_YES};
    for (int i = 0; i < 4; i++) {
        assert_int_equal(t->row[1 + i].kinds, BIT(WATER));
        assert_int_equal(t->row[1 + i].fit, FIT[i]);
    }
    assert_int_equal(row_named(t, "Three Antler & Son")->kinds, BIT(FUEL) | BIT(PROPANE));
    static const unsigned KINDS[] = {BIT(PROPANE), BIT(RUBBISH), BIT(RECYCLING), BIT(LAUNDRY), BIT(TOWN)};
    for (int i = 0; i < 5; i++)
        assert_int_equal(t->row[6 + i].kinds, KINDS[i]);
    assert_string_equal(bench->key, "way/1");
    assert_string_equal(bench->detail, "backcountry=yes; maxstay=14 days");
    CHECK_NEAR(bench->spot.latitude_deg, 38.455, 1e-9, "bench");
    CHECK_NEAR(bench->spot.longitude_deg, -112.9, 1e-9, "bench");
    assert_string_equal(rings->key, "relation/1");
    CHECK_NEAR(rings->spot.latitude_deg, 38.625, 1e-9, "rings");
    CHECK_NEAR(rings->spot.longitude_deg, -112.65, 1e-9, "rings");
    CHECK_NEAR(seam->spot.longitude_deg, -179.99, 1e-9, "seam: 179.99 to -179.97");
}

static void openstreetmap_gives_services_and_areas_in_both_forms(void **state)
{
    static taken t;
    static const char *const PATH[] = {"tests/reference/places/region.osm", "tests/reference/places/region.osm.pbf"};
    (void)state;
    for (int i = 0; i < 2; i++) {
        lw_spots_read read;
        lw_err err = {0};
        t.count = 0;
        assert_int_equal(lw_spots_load(PATH[i], NULL, take, &t, &read, &err), LW_OK);
        check_region(&t, &read);
    }
}

static void openstreetmap_in_any_order_gives_the_same(void **state)
{
    static taken t;
    lw_spots_read read;
    lw_err err;
    (void)state;
    assert_int_equal(
        read_text("<osm><relation id='1'><member type='way' ref='2'/><member type='node' ref='6'/>"
                  "<tag k='tourism' v='camp_site'/></relation><way id='2'><nd ref='4'/><nd ref='5'/></way>"
                  "<node id='6' lat='3' lon='1'/><node id='5' lat='2' lon='-1'/><node id='4' lat='1' lon='1'/></osm>",
                  &t, &read, &err),
        LW_OK);
    assert_int_equal(t.count, 1);
    CHECK_NEAR(t.row[0].spot.latitude_deg, 2.0, 1e-9, "1 to 3");
    CHECK_NEAR(t.row[0].spot.longitude_deg, 0.0, 1e-9, "-1 to 1");
    lw_bytes once = {"<osm/>", 6};
    err = (lw_err){0};
    assert_int_equal(lw_spots_read_from(lw_read_bytes, NULL, &once, take, &t, &read, &err), LW_E_IO);
    assert_non_null(strstr(err.text, "not through a pipe"));
}

/* Blocks by hand: a length, the header (type, size), the block. */
static void a_pbf_that_is_absurd_is_refused(void **state)
{
    static const struct {
        const char *bytes;
        size_t n;
        const char *said;
    } row[] = {
#define HEAD             "\0\0\0\x0d\x0a\x09OSMHeader\x18"
#define DATA             "\0\0\0\x0b\x0a\x07OSMData\x18"
#define ROW(bytes, said) {bytes, sizeof(bytes) - 1, said}
        ROW(HEAD "\x05\x0a", "the file ends within it"),
        ROW(HEAD "\x80\x80\x80\x80\x01", "more than 33554432 bytes"), /* the length was for one byte of size */
        ROW(HEAD "\x02\x10\x05", "it is empty"),
        ROW(HEAD "\x04\x32\x02xx", "another way than zlib"),
        ROW(HEAD "\x0a\x10\xff\xff\xff\x7f\x1a\x03xyz", "unpacks to more than 33554432 bytes"),
        ROW(HEAD "\x07\x10\x09\x1a\x03xyz", "does not unpack to its size"),
        ROW(HEAD "\x0d\x0a\x0b\x22\x09Histories", "needs 'Histories'"),
        ROW(HEAD "\x02\x0a\0" DATA "\x04\x0a\x02\x12\x09", "is damaged: its fields"),
        ROW(HEAD "\x02\x0a\0" DATA "\x08\x0a\x06\x12\x04\x1a\x02\x12\x05", "is damaged: a way"),
        ROW(HEAD "\x02\x0a\0\0\xff\xff\xff", "its header is too long"),
#undef ROW
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        static taken t;
        char bytes[128];
        lw_spots_read read;
        lw_err err = {0};
        memcpy(bytes, row[i].bytes, row[i].n);
        if (strstr(row[i].said, "33554432 bytes") && i == 1)
            bytes[3] = 0x11; /* five bytes of size */
        text_source source = {{bytes, row[i].n}, {bytes, row[i].n}};
        if (!lw_spots_read_from(lw_read_bytes, begin_again, &source, take, &t, &read, &err) ||
            !strstr(err.text, row[i].said))
            fail_msg("row %zu: %s", i, err.text);
    }
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
        {"", "line 1", "there is nothing in it"},
        {"name,lat\nx,1\n", "line 1", "column lon is missing"},
        {"name,lat,lon\nx,1,2\ny,high,2\n", "line 3 lat", "'high' is no number"},
        {"name,lat,lon\nx,91,2\n", "line 2", "latitude is 91"},
        {"name,lat,lon,kind\nx,1,2,dumb\n", "line 2 kind", "'dumb' is no kind"},
        {"{\"type\": \"FeatureCollection\", \"features\": [\n{\"id\": 1,,}]}", "line 2", "this is no JSON"},
        {"{\"type\": \"FeatureCollection\", \"features\": [\n{\"id\": 1}", "", "is cut"},
        {"{\"type\": \"FeatureCollection\", \"features\": [{\"geometry\": {\"type\": \"Point\", \"coordinates\": [200, "
         "1]},"
         " \"properties\": {\"name\": \"x\"}}]}",
         "x", "longitude is 200"},
        {"<kmz/>", "line 1", "no map file"},
        {"<gpx><wpt lat=\"1\"></wpt></gpx>", "line 1", "needs lat and lon"},
        {"<gpx>\n<wpt lat=\"1\" lon=\"2\">", "line 2", "damaged"},
        {"<osm><node id='1' lat='95' lon='1'/></osm>", "line 1", "node 1 is not on earth: latitude 95"},
        {"<osm>\n<node id='x' lat='5' lon='1'/></osm>", "line 2", "needs an id"},
        {"<osm>\n<way id='1'><nd ref=''/></way></osm>", "line 2", "needs ref"},
        {"<kml><Placemark>\n<Point><coordinates>1;2</coordinates></Point></Placemark></kml>", "line 2",
         "no longitude,latitude"},
        {"PK\003\004", "", "a zip without a map that is read in it"},
        {"BZh91", "", "bzip2"},
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
        cmocka_unit_test(a_collection_is_where_its_point_is),
        cmocka_unit_test(gpx_gives_its_waypoints),
        cmocka_unit_test(kml_gives_its_points_and_areas),
        cmocka_unit_test(openstreetmap_gives_services_and_areas_in_both_forms),
        cmocka_unit_test(openstreetmap_in_any_order_gives_the_same),
        cmocka_unit_test(a_pbf_that_is_absurd_is_refused),
        cmocka_unit_test(csv_gives_its_lines),
        cmocka_unit_test(what_cannot_be_read_is_refused_with_its_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
