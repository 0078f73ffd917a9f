/* Areas of land managers: found by a point as asking every one of them finds them; an import is whole or not there. And maps that are
 * databases, which are a stranger's. */
#include <sqlite3.h>

#include "book/lands.h"
#include "book/map_database.h"
#include "core/base/random.h"
#include "tests/book/shelf.h"

enum { MANY = 300, CORNERS = 8 };

typedef struct area {
    lw_corner corner[CORNERS];
    uint32_t ring[1];
    char key[16];
} area;

static lw_shape shape_of(const area *a)
{
    return (lw_shape){a->corner, a->ring, 1};
}

static void make_area(area *a, uint32_t i, double turn_deg)
{
    const lw_random_words w = lw_random_block(&(lw_random_key){19, i}, 1, 1);
    const double x = -113.0 + 3.0 * lw_random_unit(w.word[0]), y = 37.0 + 2.0 * lw_random_unit(w.word[1]),
                 size = 0.02 + 0.5 * lw_random_unit(w.word[2]);
    a->ring[0] = CORNERS;
    snprintf(a->key, sizeof a->key, "k%u", i);
    for (int c = 0; c < CORNERS; c++) {
        const double far = size * (c % 2 ? 1.0 : 0.4), angle = c * 0.7853981633974483;
        a->corner[c] = lw_corner_of((lw_spot){y + far * sin(angle), x + turn_deg + far * cos(angle)});
    }
}

static lw_imported import(lw_book *book, const char *source, uint32_t from, uint32_t to, lw_code how)
{
    lw_import *in = NULL;
    lw_imported done = {0};
    lw_err ended = {.code = how};
    CHECK_OK(lw_book_lands_begin(book, &(lw_import_source){source, "made up", 1780000000}, &in, &err));
    for (uint32_t i = from; i < to; i++) {
        area a;
        make_area(&a, i, 0.0);
        const lw_kept_land land = {.key = a.key, .name = a.key, .manager = "blm", .shape = shape_of(&a)};
        CHECK_OK(lw_book_lands_put(in, &land, &err));
    }
    assert_int_equal(lw_book_import_end(in, how, NULL, 1770000000, &done, &ended), how);
    return done;
}

static void a_point_finds_the_areas_that_asking_all_finds(void **state)
{
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    assert_int_equal(import(book, "a", 0, MANY, LW_OK).added, MANY);
    for (int ask = 0; ask < 60; ask++) {
        const lw_spot spot = {36.9 + 0.037 * ask, -113.1 + 0.051 * ask};
        lw_kept_lands found = {0};
        size_t count = 0;
        for (uint32_t i = 0; i < MANY; i++) {
            area a;
            make_area(&a, i, 0.0);
            const lw_shape shape = shape_of(&a);
            count += lw_shape_place(&shape, spot) != LW_OUTSIDE;
        }
        CHECK_OK(lw_book_lands_at(book, spot, &found, &err));
        assert_int_equal(found.count, count);
        for (size_t i = 1; i < found.count; i++)
            assert_true(found.land[i - 1].box_km2 <= found.land[i].box_km2);
        if (count) {
            assert_string_equal(found.land[0].credit, "made up");
            assert_int_equal(found.land[0].data_s, 1770000000);
            assert_true(found.land[0].border_m >= 0.0);
        }
        lw_kept_lands_clear(&found);
    }
    lw_book_close(book);
    shelf_close(&s);
}

static void the_same_source_again_takes_the_place_of_the_first(void **state)
{
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    int64_t count = 0;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    (void)import(book, "a", 0, 10, LW_OK);
    const lw_imported again = import(book, "a", 5, 12, LW_OK);
    assert_int_equal(again.added, 2);
    assert_int_equal(again.updated, 5);
    assert_int_equal(again.removed, 5);
    (void)import(book, "a", 0, 3, LW_E_CONFLICT); /* a reading that failed leaves all as it was */
    CHECK_OK(lw_book_lands_count(book, &count, &err));
    assert_int_equal(count, 7);
    CHECK_OK(lw_book_check(book, &err));
    lw_book_close(book);
    shelf_close(&s);
}

static void an_area_over_the_seam_is_found_from_both_sides(void **state)
{
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    lw_import *in = NULL;
    lw_imported done = {0};
    static const double SIDES[] = {179.9, -179.9, 180.0, -180.0};
    const lw_corner corner[] = {
        {179000000, 50000000}, {181000000, 50000000}, {181000000, 51000000}, {179000000, 51000000}};
    const uint32_t ring[] = {4};
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_lands_begin(book, &(lw_import_source){"a", NULL, 1780000000}, &in, &err));
    CHECK_OK(lw_book_lands_put(in, &(lw_kept_land){.key = "k", .shape = {corner, ring, 1}}, &err));
    CHECK_OK(lw_book_import_end(in, LW_OK, NULL, LW_NO_TIME, &done, &err));
    for (size_t i = 0; i < COUNT_OF(SIDES); i++) {
        lw_kept_lands found = {0};
        CHECK_OK(lw_book_lands_at(book, (lw_spot){50.5, SIDES[i]}, &found, &err));
        assert_int_equal(found.count, 1);
        assert_null(found.land[0].manager);
        assert_int_equal(found.land[0].data_s, LW_NO_TIME);
        lw_kept_lands_clear(&found);
    }
    lw_book_close(book);
    shelf_close(&s);
}

/* ---- databases ---- */

typedef struct seen {
    int rows, fields;
    char text[256];
} seen;

static void take_field(void *context, const char *name, const char *text)
{
    seen *n = context;
    const size_t used = strlen(n->text);
    n->fields++;
    snprintf(n->text + used, sizeof n->text - used, "%s=%s;", name, text);
}

static lw_code take_geometry(void *context, const unsigned char *blob, size_t n, lw_err *err)
{
    seen *count = context;
    (void)err;
    count->rows++;
    assert_true((blob == NULL) == (n == 0));
    return LW_OK;
}

#define TABLES                                                                                                         \
    "CREATE TABLE gpkg_contents (table_name TEXT, data_type TEXT);"                                                    \
    "CREATE TABLE gpkg_geometry_columns (table_name TEXT, column_name TEXT, srs_id INTEGER);"
#define LISTED(srs)                                                                                                    \
    "INSERT INTO gpkg_contents VALUES ('la\"nd', 'features');"                                                         \
    "INSERT INTO gpkg_geometry_columns VALUES ('la\"nd', 'geom', " srs ");"

static void a_database_gives_its_rows_or_one_sentence(void **state)
{
    static const struct {
        const char *sql;
        lw_code want;
        const char *said;
        int rows;
    } row[] = {
        {TABLES LISTED("4326") "CREATE TABLE \"la\"\"nd\" (fid INTEGER, Mang_Name TEXT, GEOM BLOB, odd BLOB);"
                               "INSERT INTO \"la\"\"nd\" VALUES (7, 'BLM', x'4750', x'00'), (8, NULL, NULL, NULL)",
         LW_OK, "fid=7;Mang_Name=BLM;fid=8;Mang_Name=;odd=;", 2},
        {TABLES LISTED("3857") "CREATE TABLE \"la\"\"nd\" (geom BLOB)", LW_E_UNIT, "reference system 3857", 0},
        {TABLES, LW_E_MISSING, "no table of features", 0},
        {"CREATE TABLE a (b)", LW_E_SYNTAX, "is no GeoPackage", 0},
        {TABLES LISTED("4326"), LW_E_SYNTAX, "no such table", 0},
        {TABLES LISTED(
             "4326") "CREATE VIEW \"la\"\"nd\" AS WITH RECURSIVE n (a) AS (SELECT 1 UNION ALL SELECT a + 1 FROM n)"
                     " SELECT a, x'00' AS geom FROM n WHERE a < 0",
         LW_E_FULL, "more work than a map", 0},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        shelf s = shelf_open();
        sqlite3 *db = NULL;
        seen n = {0};
        lw_err err = {0};
        assert_int_equal(sqlite3_open(s.path, &db), SQLITE_OK);
        assert_int_equal(sqlite3_exec(db, row[i].sql, NULL, NULL, NULL), SQLITE_OK);
        sqlite3_close(db);
        const lw_map_rows rows = {take_field, take_geometry, NULL, &n};
        const lw_code got = lw_map_database_read(s.path, &rows, &err);
        if (got != row[i].want || !strstr(got ? err.text : n.text, row[i].said) || n.rows != row[i].rows)
            fail_msg("row %zu: %s: %s, %s", i, err.where, err.text, n.text);
        shelf_close(&s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_point_finds_the_areas_that_asking_all_finds),
        cmocka_unit_test(the_same_source_again_takes_the_place_of_the_first),
        cmocka_unit_test(an_area_over_the_seam_is_found_from_both_sides),
        cmocka_unit_test(a_database_gives_its_rows_or_one_sentence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
