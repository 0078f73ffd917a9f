/* Roads of maps: what their fields say, in each form. Tags and what they mean: OpenStreetMap wiki, pages Key:highway, Key:surface, Key:smoothness,
 * Key:tracktype, Key:incline, Key:4wd_only, Conditional restrictions. */
#include "exchange/road_lines.h"

#include <math.h>
#include <string.h>

#include "exchange/spots.h"
#include "exchange/tables.h"
#include "tests/check.h"
#include "tests/exchange/drip.h"

enum { MOST = 8 };

typedef struct taken {
    lw_road_row row[MOST];
    size_t corners[MOST];
    int count;
} taken;

static lw_code take(void *context, const lw_road_row *row, lw_err *err)
{
    taken *t = context;
    (void)err;
    assert_true(t->count < MOST);
    t->row[t->count] = *row;
    t->corners[t->count] = 0;
    for (size_t r = 0; r < row->shape.rings; r++)
        t->corners[t->count] += row->shape.ring[r];
    t->row[t->count++].shape = (lw_shape){.rings = row->shape.rings};
    return LW_OK;
}

static void check_flat_road(const lw_road_row *row)
{
    assert_string_equal(row->key, "way/1");
    assert_string_equal(row->name, "Flat Road");
    assert_string_equal(row->surface, "gravel");
    assert_string_equal(row->season, "no @ wet");
    assert_int_equal(row->class, LW_ROAD_TRACK);
    assert_int_equal(row->paved, LW_PAVED_NO);
    assert_int_equal(row->needs, LW_NEEDS_CLEARANCE);
    assert_int_equal(row->dry_only, LW_FIT_YES);
    CHECK_NEAR(row->grade_frac, 0.11, 1e-9, "grade");
    assert_non_null(strstr(row->detail, "maxheight=3.5"));
}

static void features_tell_what_a_rig_must_know_in_any_pieces(void **state)
{
    static taken t;
    static char text[8192];
    (void)state;
    FILE *file = fopen("tests/reference/roads/roads.geojson", "r");
    assert_non_null(file);
    const size_t n = fread(text, 1, sizeof text, file);
    fclose(file);
    for (size_t piece = 1; piece < 3000; piece = piece * 3 + 1) {
        lw_road_lines *roads = NULL;
        lw_road_lines_read read;
        lw_err err = {0};
        drip source = {{text, n}, piece};
        t.count = 0;
        assert_int_equal(lw_road_lines_open(take, &t, &read, &roads, &err), LW_OK);
        assert_int_equal(lw_road_lines_geojson(roads, read_drip, &source, &err), LW_OK);
        lw_road_lines_close(roads);
        assert_int_equal(t.count, 3);
        assert_int_equal(read.passed_over, 2); /* a street of which nothing is told, and a gate */
        assert_true(read.is_openstreetmap);
        check_flat_road(&t.row[0]);
        assert_int_equal(t.row[1].shape.rings, 2);
        assert_int_equal(t.row[1].paved, LW_PAVED_YES);
        assert_int_equal(t.row[1].needs, LW_NEEDS_UNKNOWN);
        assert_true(isnan(t.row[1].grade_frac));
        assert_int_equal(t.row[2].class, LW_ROAD_STREET);
        assert_int_equal(t.row[2].needs, LW_NEEDS_FOUR_WHEEL);
        assert_string_equal(t.row[2].season, ""); /* seasonal=no: all the year */
    }
}

typedef struct rewound {
    drip drip; /* first: read_drip takes it */
    lw_bytes all;
} rewound;

static int again(void *source)
{
    rewound *r = source;
    r->drip.bytes = r->all;
    return 0;
}

static lw_code no_spot(void *context, const lw_spot_row *row, lw_err *err)
{
    (void)row;
    (void)err;
    ++*(int *)context;
    return LW_OK;
}

/* A corner that is not in the extract parts a line. */
static void an_extract_brings_places_and_roads(void **state)
{
    static taken t;
    static const char TEXT[] =
        "<osm><node id='1' lat='38' lon='-112'/><node id='2' lat='38.1' lon='-112'/><node id='3' lat='38.2' "
        "lon='-112'/>"
        "<node id='4' lat='38.3' lon='-112'/><node id='9' lat='38' lon='-112'><tag k='amenity' v='fuel'/></node>"
        "<way id='1'><nd ref='1'/><nd ref='2'/><tag k='highway' v='track'/><tag k='surface' v='gravel'/>"
        "<tag k='name' v='Flat Road'/><tag k='smoothness' v='very_bad'/><tag k='incline' v='-11%'/>"
        "<tag k='motor_vehicle:conditional' v='no @ wet'/><tag k='maxheight' v='3.5'/></way>"
        "<way id='2'><nd ref='1'/><nd ref='2'/><nd ref='77'/><nd ref='3'/><nd ref='4'/><tag k='highway' "
        "v='primary_link'/></way>"
        "<way id='3'><nd ref='1'/><nd ref='2'/><tag k='highway' v='footway'/></way>"
        "<way id='4'><nd ref='1'/><nd ref='2'/><tag k='name' v='no road'/><tag k='surface' v='dirt'/></way>"
        "<way id='5'><nd ref='77'/><nd ref='2'/><tag k='highway' v='trunk'/></way></osm>";
    (void)state;
    for (int is_alone = 0; is_alone < 2; is_alone++) {
        lw_road_lines *roads = NULL;
        lw_road_lines_read read;
        lw_spots_read spots;
        lw_err err = {0};
        int places = 0;
        const lw_bytes all = {TEXT, sizeof TEXT - 1};
        rewound source = {{all, 13}, all};
        t.count = 0;
        assert_int_equal(lw_road_lines_open(take, &t, &read, &roads, &err), LW_OK);
        const lw_spots_takers to = {is_alone ? NULL : no_spot, &places, roads};
        if (lw_spots_read_both(read_drip, again, &source, &to, &spots, &err))
            fail_msg("%s", err.text);
        lw_road_lines_close(roads);
        assert_int_equal(places, is_alone ? 0 : 1);
        assert_int_equal(t.count, 2);
        check_flat_road(&t.row[0]);
        assert_int_equal(t.row[1].class, LW_ROAD_PRIMARY);
        assert_int_equal(t.row[1].shape.rings, 2);
        assert_int_equal(read.passed_over, 1);
        assert_int_equal(read.left_out, 0);
    }
}

static void a_grade_is_a_share_however_it_is_written(void **state)
{
    static const struct {
        const char *text;
        double want_frac; /* NaN: not a number */
    } ROWS[] = {{"12%", 0.12},       {"-8 %", 0.08},        {"7.5", 0.075},        {"45\xc2\xb0", 1.0},
                {"up", (double)NAN}, {"down", (double)NAN}, {"400%", (double)NAN}, {"5 steps", (double)NAN}};
    (void)state;
    for (size_t i = 0; i < sizeof ROWS / sizeof ROWS[0]; i++) {
        lw_road_lines *roads = NULL;
        lw_road_lines_read read;
        lw_err err = {0};
        assert_int_equal(lw_road_lines_open(take, NULL, &read, &roads, &err), LW_OK);
        lw_road_lines_field(roads, "incline", ROWS[i].text);
        const double got = lw_road_lines_draft(roads)->grade_frac;
        if (isnan(ROWS[i].want_frac) ? !isnan(got) : !(fabs(got - ROWS[i].want_frac) <= 1e-9))
            fail_msg("incline %s is %g, want %g", ROWS[i].text, got, ROWS[i].want_frac);
        lw_road_lines_close(roads);
    }
}

/* The worst counts, whichever comes first; a surface goes before the grade of a track. */
static void of_two_fields_the_more_telling_counts(void **state)
{
    lw_road_lines *roads = NULL;
    lw_road_lines_read read;
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_road_lines_open(take, NULL, &read, &roads, &err), LW_OK);
    lw_road_lines_field(roads, "4wd_only", "yes");
    lw_road_lines_field(roads, "smoothness", "good");
    lw_road_lines_field(roads, "surface", "asphalt");
    lw_road_lines_field(roads, "tracktype", "grade4");
    assert_int_equal(lw_road_lines_draft(roads)->needs, LW_NEEDS_FOUR_WHEEL);
    assert_int_equal(lw_road_lines_draft(roads)->paved, LW_PAVED_YES);
    assert_true(lw_road_lines_knows(roads, "highway"));
    assert_false(lw_road_lines_knows(roads, "name"));
    lw_road_lines_close(roads);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(features_tell_what_a_rig_must_know_in_any_pieces),
        cmocka_unit_test(an_extract_brings_places_and_roads),
        cmocka_unit_test(a_grade_is_a_share_however_it_is_written),
        cmocka_unit_test(of_two_fields_the_more_telling_counts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
