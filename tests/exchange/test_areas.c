#include "exchange/areas.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/features.h"
#include "exchange/tables.h"
#include "exchange/wkb.h"
#include "tests/check.h"
#include "tests/exchange/drip.h"

typedef struct taken {
    lw_area_row row[8];
    int count;
} taken;

static lw_code take(void *context, const lw_area_row *row, lw_err *err)
{
    taken *t = context;
    (void)err;
    assert_true(t->count < 8);
    t->row[t->count] = *row;
    t->row[t->count++].shape = (lw_shape){.rings = row->shape.rings};
    return LW_OK;
}

static lw_code read_pieces(const char *text, size_t n, size_t piece, taken *t, lw_areas_read *read, lw_err *err)
{
    lw_areas *areas = NULL;
    drip source = {{text, n}, piece};
    *err = (lw_err){0};
    t->count = 0;
    lw_code code = lw_areas_open(take, t, read, &areas, err);
    code = code ? code : lw_areas_geojson(areas, read_drip, &source, err);
    lw_areas_close(areas);
    return code;
}

static void a_map_of_land_gives_its_managers_in_any_pieces(void **state)
{
    static taken t;
    static char text[8192];
    lw_areas_read read;
    lw_err err;
    (void)state;
    FILE *file = fopen("tests/reference/land/land.geojson", "r");
    assert_non_null(file);
    const size_t n = fread(text, 1, sizeof text, file);
    fclose(file);
    for (size_t piece = 1; piece < 5000; piece = piece * 3 + 1) {
        assert_int_equal(read_pieces(text, n, piece, &t, &read, &err), LW_OK);
        assert_int_equal(t.count, 3);
        assert_int_equal(read.passed_over, 1);
        assert_int_equal(read.unknown, 1);
        assert_string_equal(t.row[0].manager, "blm");
        assert_string_equal(t.row[0].name, "Larkspur Field Office");
        assert_string_equal(t.row[0].access, "OA");
        assert_string_equal(t.row[0].designation, "PUB");
        assert_string_equal(t.row[0].key, "1");
        assert_int_equal(t.row[0].shape.rings, 2);
        assert_string_equal(t.row[1].manager, "usfs"); /* the manager goes before the owner */
        assert_int_equal(t.row[1].shape.rings, 2);
        assert_string_equal(t.row[2].manager, "");
        assert_string_equal(t.row[2].said, "Guild");
    }
}

static void features_come_by_lines_too(void **state)
{
    static taken t;
    static const char TEXT[] = "\x1e{\"type\":\"Feature\",\"properties\":{\"ADMIN_AGENCY_CODE\":\"bor\",\"features\":["
                               "\"}\"]},\"geometry\":{\"type\":"
                               "\"Polygon\",\"coordinates\":[[[1,1],[2,1],[2,2],[1,1]]]}}\n\n"
                               "{\"type\":\"Feature\",\"properties\":{\"a\":\"\\\"{[\"},\"geometry\":null}\n";
    lw_areas_read read;
    lw_err err;
    (void)state;
    assert_int_equal(read_pieces(TEXT, sizeof TEXT - 1, 7, &t, &read, &err), LW_OK);
    assert_int_equal(t.count, 1);
    assert_string_equal(t.row[0].manager, "reclamation");
    assert_int_equal(read.passed_over, 1);
}

/* RFC 7946, 3.1.8: a collection's geometries; one inside another is asked to be avoided. */
static void a_collection_gives_its_areas(void **state)
{
    static taken t;
    static const char TEXT[] =
        "{\"type\":\"Feature\",\"properties\":{\"ADMIN_AGENCY_CODE\":\"bor\"},\"geometry\":{\"type\":"
        "\"GeometryCollection\","
        "\"geometries\":[{\"type\":\"Point\",\"coordinates\":[1,1]},"
        "{\"type\":\"Polygon\",\"coordinates\":[[[1,1],[2,1],[2,2],[1,1]]]},"
        "{\"type\":\"MultiPolygon\",\"coordinates\":[[[[3,1],[4,1],[4,2],[3,1]]],[[[5,1],[6,1],[6,2],[5,1]]]]}]}}\n"
        "{\"type\":\"Feature\",\"properties\":{},\"geometry\":{\"type\":\"GeometryCollection\",\"geometries\":["
        "{\"type\":\"GeometryCollection\",\"geometries\":[{\"type\":\"Polygon\",\"coordinates\":[[[1,1],[2,1],[2,2],[1,"
        "1]]]}"
        "]}]}}\n";
    lw_areas_read read;
    lw_err err;
    (void)state;
    assert_int_equal(read_pieces(TEXT, sizeof TEXT - 1, 11, &t, &read, &err), LW_OK);
    assert_int_equal(t.count, 1);
    assert_int_equal(t.row[0].shape.rings, 3);
    assert_int_equal(read.passed_over, 1);
}

static void what_cannot_be_read_is_refused(void **state)
{
    static const struct {
        const char *text, *said;
    } row[] = {
        {"", "it is empty"},
        {"<html>", "this is no GeoJSON"},
        {"{\"features\":[{\"a\":1}", "is cut"},
        {"{\"features\":[{\"a\":1,\"a\":2}]}", "comes twice"},
        {"}", "this is no GeoJSON"},
        {"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[", "too deep"},
        {"{\"type\":\"Feature\",\"geometry\":{\"type\":\"Polygon\",\"coordinates\":[[[512345,4212345],[1,1],[2,2]]]}}",
         "not on earth; longitude and latitude in degrees"},
        {"{\"type\":\"Feature\",\"geometry\":{\"type\":\"Polygon\",\"coordinates\":[[[\"a\",1]]]}}", "not on earth"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        static taken t;
        lw_areas_read read;
        lw_err err;
        if (!read_pieces(row[i].text, strlen(row[i].text), 5, &t, &read, &err) || !strstr(err.text, row[i].said))
            fail_msg("row %zu: %s", i, err.text);
    }
}

static size_t of_hex(const char *hex, unsigned char *bytes)
{
    const size_t n = strlen(hex) / 2;
    for (size_t i = 0; i < n; i++) {
        char two[3] = {hex[2 * i], hex[2 * i + 1], '\0'};
        bytes[i] = (unsigned char)strtoul(two, NULL, 16);
    }
    return n;
}

#define LOW                                                                                                            \
    "0000000000405cc000000000000043400000000000005cc000000000000043400000000000005cc000000000008043400000000000405cc0" \
    "0000000000004340"
#define RAISED                                                                                                         \
    "0000000000405cc0000000000000434000000000000014400000000000005cc0000000000000434000000000000014400000000000005cc0" \
    "000000000080434000000000000014400000000000405cc000000000000043400000000000001440"

/* Written by GDAL 3.6.2 from POLYGON((-113 38,-112 38,-112 39,-113 38),(-112.4 38.2,-112.2 38.2,-112.2 38.3,-112.4 38.2)) in both byte
 * orders, the first ring with heights as a MULTIPOLYGON Z in the older and the ISO kind, in a collection, and POINT(1 2). */
static void binary_geometry_is_read_in_each_of_its_dialects(void **state)
{
    static const struct {
        const char *hex;
        size_t rings;
    } row[] = {
        {"01030000000200000004000000" LOW "040000009a99999999195cc09a99999999194340cdcccccccc0c5cc09a99999999"
         "194340cdcccccccc0c5cc066666666662643409a99999999195cc09a99999999194340",
         2},
        {"00000000030000000200000004c05c4000000000004043000000000000c05c0000000000004043000000000000c05c000000000000404"
         "3800000"
         "000000c05c400000000000404300000000000000000004c05c19999999999a404319999999999ac05c0ccccccccccd404319999999999"
         "ac05c"
         "0ccccccccccd4043266666666666c05c19999999999a404319999999999a",
         2},
        {"01060000800100000001030000800100000004000000" RAISED, 1},
        {"01ee0300000100000001eb0300000100000004000000" RAISED, 1},
        {"01070000000100000001030000000100000004000000" LOW, 1},
        {"0101000000000000000000f03f0000000000000040", 0},
        {"", 0},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        unsigned char bytes[512];
        lw_rings rings = {.corner = NULL};
        lw_err err = {0};
        int is_area = 7;
        const size_t n = of_hex(row[i].hex, bytes);
        if (lw_wkb_read(bytes, n, &rings, &is_area, &err))
            fail_msg("row %zu: %s", i, err.text);
        assert_int_equal(is_area, row[i].rings > 0);
        const lw_shape shape = lw_rings_shape(&rings);
        assert_int_equal(shape.rings, row[i].rings);
        if (is_area) {
            assert_int_equal(lw_shape_place(&shape, (lw_spot){38.1, -112.2}), LW_INSIDE);
            assert_int_equal(lw_shape_place(&shape, (lw_spot){38.22, -112.23}),
                             shape.rings == 2 ? LW_OUTSIDE : LW_INSIDE);
        }
        for (size_t cut = 1; cut < n && is_area; cut++) { /* from a copy of that size, so that a step beyond shows */
            unsigned char *piece = malloc(cut);
            memcpy(piece, bytes, cut);
            err = (lw_err){0};
            if (!lw_wkb_read(piece, cut, &rings, &is_area, &err))
                fail_msg("row %zu cut to %zu is read", i, cut);
            free(piece);
        }
        lw_rings_clear(&rings);
    }
}

/* The header: OGC 12-128r15, 2.1.3. */
static void the_header_of_a_geopackage_is_stepped_over(void **state)
{
    static const unsigned char PLAIN[] = "GP\0\1\xe6\x10\0\0w", BOXED[48] = "GP\0\3\xe6\x10\0\0",
                               EMPTY[] = "GP\0\x11\0\0\0\0w";
    size_t n = 0;
    (void)state;
    assert_ptr_equal(lw_wkb_of_geopackage(PLAIN, 9, &n), PLAIN + 8);
    assert_int_equal(n, 1);
    assert_ptr_equal(lw_wkb_of_geopackage(BOXED, 48, &n), BOXED + 40);
    assert_int_equal(n, 8);
    assert_non_null(lw_wkb_of_geopackage(EMPTY, 9, &n));
    assert_int_equal(n, 0);
    assert_null(lw_wkb_of_geopackage(BOXED, 39, &n));
    assert_null(lw_wkb_of_geopackage((const unsigned char *)"GQ\0\1\0\0\0\0", 8, &n));
    assert_null(lw_wkb_of_geopackage((const unsigned char *)"GP\0\x0b\0\0\0\0", 8, &n)); /* no such envelope */
}

/* data/land_managers.csv: each rule is there, no word means two managers. */
static void each_manager_has_a_rule_that_is_there(void **state)
{
    lw_table managers, rules;
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_table_open("land_managers", &managers, &err), LW_OK);
    assert_int_equal(lw_table_open("stay_rules", &rules, &err), LW_OK);
    for (int row = 0; row < managers.rows; row++) {
        const char *rule = lw_table_cell(&managers, row, "stay_rule"), *id = lw_table_cell(&managers, row, "id");
        if (*rule && lw_table_row(&rules, "id", rule) < 0)
            fail_msg("%s: there is no stay rule %s", id, rule);
        assert_true(strlen(id) < LW_MANAGER_ID);
        assert_true(*lw_table_cell(&managers, row, "source") && *lw_table_cell(&managers, row, "kind"));
        char values[512], *rest = NULL;
        snprintf(values, sizeof values, "%s", lw_table_cell(&managers, row, "values"));
        for (char *word = strtok_r(values, ";", &rest); word; word = strtok_r(NULL, ";", &rest))
            for (int other = row + 1; other < managers.rows; other++) {
                char among[520], wanted[160];
                snprintf(among, sizeof among, ";%s;", lw_table_cell(&managers, other, "values"));
                snprintf(wanted, sizeof wanted, ";%.150s;", word);
                if (strstr(among, wanted))
                    fail_msg("%s is among %s and %s", word, id, lw_table_cell(&managers, other, "id"));
            }
    }
    lw_table_clear(&managers);
    lw_table_clear(&rules);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_map_of_land_gives_its_managers_in_any_pieces),
        cmocka_unit_test(features_come_by_lines_too),
        cmocka_unit_test(a_collection_gives_its_areas),
        cmocka_unit_test(what_cannot_be_read_is_refused),
        cmocka_unit_test(binary_geometry_is_read_in_each_of_its_dialects),
        cmocka_unit_test(the_header_of_a_geopackage_is_stepped_over),
        cmocka_unit_test(each_manager_has_a_rule_that_is_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
