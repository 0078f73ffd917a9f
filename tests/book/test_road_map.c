/* Roads of maps: found near a point as asking every one of them finds them; beside places all or none. */
#include "book/road_map.h"
#include "book/spots.h"
#include "core/base/random.h"
#include "tests/book/shelf.h"

enum { MANY = 400, CORNERS = 5 };

typedef struct road_lines {
    lw_corner corner[CORNERS];
    uint32_t ring[2];
    char key[16];
} road_lines;

static lw_shape shape_of(const road_lines *r)
{
    return (lw_shape){r->corner, r->ring, 2};
}

/* Two lines: the space between the last corner of one and the first of the other is no road. */
static void make_road(road_lines *r, uint32_t i)
{
    const lw_random_words w = lw_random_block(&(lw_random_key){23, i}, 1, 1);
    const double x = -113.0 + 0.6 * lw_random_unit(w.word[0]), y = 37.0 + 0.5 * lw_random_unit(w.word[1]);
    r->ring[0] = 3;
    r->ring[1] = 2;
    snprintf(r->key, sizeof r->key, "k%u", i);
    for (int c = 0; c < CORNERS; c++)
        r->corner[c] = lw_corner_of((lw_spot){y + 0.01 * c * lw_random_unit(w.word[2]), x + 0.02 * c});
}

static void put_roads(lw_import *in, uint32_t from, uint32_t to)
{
    for (uint32_t i = from; i < to; i++) {
        road_lines r;
        make_road(&r, i);
        const lw_kept_road kept = {.key = r.key,
                                   .name = i % 3 ? r.key : NULL,
                                   .surface = "gravel",
                                   .class = (lw_road_class)(i % LW_ROAD_CLASS_COUNT),
                                   .paved = LW_PAVED_NO,
                                   .needs = LW_NEEDS_CLEARANCE,
                                   .dry_only = LW_FIT_YES,
                                   .grade_frac = i % 2 ? 0.1 : (double)NAN,
                                   .shape = shape_of(&r)};
        CHECK_OK(lw_book_roads_put(in, &kept, &err));
    }
}

static lw_imported import(lw_book *book, uint32_t from, uint32_t to, lw_code how)
{
    lw_import *in = NULL;
    lw_imported done = {0};
    lw_err ended = {.code = how};
    CHECK_OK(lw_book_roads_begin(book, &(lw_import_source){"a", "made up", 1780000000}, &in, &err));
    put_roads(in, from, to);
    assert_int_equal(lw_book_import_end(in, how, NULL, 1770000000, &done, &ended), how);
    return done;
}

static void the_nearest_roads_are_those_that_asking_all_finds(void **state)
{
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    size_t met = 0;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    assert_int_equal(import(book, 0, MANY, LW_OK).added, MANY);
    for (int ask = 0; ask < 80; ask++) {
        const lw_spot spot = {37.0 + 0.0063 * ask, -113.0 + 0.0071 * ask};
        const double within_m = 300.0 * (1 + ask % 9);
        lw_kept_roads found = {0};
        size_t count = 0;
        double least_m = INFINITY;
        for (uint32_t i = 0; i < MANY; i++) {
            road_lines r;
            make_road(&r, i);
            const lw_shape shape = shape_of(&r);
            const double way_m = lw_shape_line_m(&shape, spot);
            count += way_m <= within_m;
            least_m = fmin(least_m, way_m);
        }
        CHECK_OK(lw_book_roads_near(book, spot, within_m, MANY, &found, &err));
        if (found.count != count)
            fail_msg("ask %d within %g m: %zu roads, want %zu", ask, within_m, found.count, count);
        for (size_t i = 1; i < found.count; i++)
            assert_true(found.road[i - 1].way_m <= found.road[i].way_m);
        if (count) {
            CHECK_NEAR(found.road[0].way_m, least_m, 1e-6, "the nearest");
            assert_string_equal(found.road[0].surface, "gravel");
            assert_string_equal(found.road[0].credit, "made up");
            assert_int_equal(found.road[0].data_s, 1770000000);
            assert_int_equal(found.road[0].needs, LW_NEEDS_CLEARANCE);
        }
        met += count > 0;
        lw_kept_roads_clear(&found);
    }
    assert_true(met > 20);
    lw_book_close(book);
    shelf_close(&s);
}

static int count_shown(void *with, const lw_kept_road *road)
{
    int *seen = with;
    assert_int_equal(road->shape.rings, 2);
    assert_true((int)road->class >= seen[1]); /* the greatest first */
    seen[1] = (int)road->class;
    return ++seen[0] < seen[2];
}

static void a_map_shows_the_classes_it_asks_for_and_stops_when_told(void **state)
{
    static const lw_map_window ALL = {-180.0, -90.0, 180.0, 90.0}, NONE = {10.0, 10.0, 20.0, 20.0};
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    (void)import(book, 0, 80, LW_OK);
    const struct {
        lw_map_window window;
        lw_road_class last;
        int stop, want;
    } rows[] = {{ALL, LW_ROAD_STREET, 1000, 80},
                {ALL, LW_ROAD_TRUNK, 1000, 20},
                {ALL, LW_ROAD_STREET, 7, 7},
                {NONE, LW_ROAD_STREET, 1000, 0}};
    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        int seen[3] = {0, 0, rows[i].stop};
        const lw_roads_shown shown = {rows[i].window, rows[i].last, 1000, count_shown, seen};
        CHECK_OK(lw_book_roads_within(book, &shown, &err));
        assert_int_equal(seen[0], rows[i].want);
    }
    lw_book_close(book);
    shelf_close(&s);
}

static void roads_beside_places_come_and_go_with_them(void **state)
{
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    const struct {
        uint32_t from, to;
        lw_code how;
        int64_t added, updated, removed, left;
    } rows[] = {{0, 10, LW_OK, 10, 0, 0, 10}, {5, 12, LW_OK, 2, 5, 5, 7}, {0, 3, LW_E_CONFLICT, 0, 0, 0, 7}};
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    for (size_t i = 0; i < COUNT_OF(rows); i++) {
        lw_import *spots = NULL, *roads = NULL;
        lw_imported spots_done = {0}, roads_done = {0};
        lw_err ended = {.code = rows[i].how};
        const lw_kept_spot tap = {
            .key = "tap", .kinds = 1u << LW_SPOT_WATER, .latitude_deg = 37.0, .longitude_deg = -113.0};
        CHECK_OK(lw_book_spots_begin(book, &(lw_import_source){"x", NULL, 1780000000}, &spots, &err));
        CHECK_OK(lw_book_roads_beside(spots, &roads_done, &roads, &err));
        CHECK_OK(lw_book_spots_put(spots, &tap, &err));
        put_roads(roads, rows[i].from, rows[i].to);
        assert_int_equal(lw_book_import_end(spots, rows[i].how, NULL, LW_NO_TIME, &spots_done, &ended), rows[i].how);
        if (!rows[i].how) {
            assert_int_equal(roads_done.added, rows[i].added);
            assert_int_equal(roads_done.updated, rows[i].updated);
            assert_int_equal(roads_done.removed, rows[i].removed);
        }
        int seen[3] = {0, 0, 1000};
        const lw_roads_shown shown = {{-180.0, -90.0, 180.0, 90.0}, LW_ROAD_STREET, 1000, count_shown, seen};
        CHECK_OK(lw_book_roads_within(book, &shown, &err));
        assert_int_equal(seen[0], rows[i].left);
    }
    CHECK_OK(lw_book_check(book, &err));
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_nearest_roads_are_those_that_asking_all_finds),
        cmocka_unit_test(a_map_shows_the_classes_it_asks_for_and_stops_when_told),
        cmocka_unit_test(roads_beside_places_come_and_go_with_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
