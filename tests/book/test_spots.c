/* Spots of map files: found by where they are as a plain count finds them; an import is whole or not there. */
#include "book/devices.h"
#include "book/spots.h"
#include "core/base/random.h"
#include "core/land/distance.h"
#include "tests/book/shelf.h"

enum { MANY = 2000 };

static lw_kept_spot made_spot(int i, char key[16], double turn)
{
    const lw_random_words w = lw_random_block(&(lw_random_key){11, (uint32_t)i}, 1, 1);
    snprintf(key, 16, "k%d", i);
    return (lw_kept_spot){.key = key,
                          .name = key,
                          .kinds = 1u << (i % 3),
                          .latitude_deg = 37.0 + 2.0 * lw_random_unit(w.word[0]) + turn,
                          .longitude_deg = -113.0 + 3.0 * lw_random_unit(w.word[1])};
}

static lw_imported import(lw_book *book, const char *source, int from, int to, double turn)
{
    lw_import *in = NULL;
    lw_imported done = {0};
    CHECK_OK(lw_book_spots_begin(book, &(lw_import_source){source, "made up", 1780000000}, &in, &err));
    for (int i = from; i < to; i++) {
        char key[16];
        const lw_kept_spot spot = made_spot(i, key, turn);
        CHECK_OK(lw_book_spots_put(in, &spot, &err));
    }
    int64_t before, after;
    CHECK_OK(lw_book_changes(book, &before, &err));
    CHECK_OK(lw_book_import_end(in, LW_OK, NULL, LW_NO_TIME, &done, &err));
    CHECK_OK(lw_book_changes(book, &after, &err));
    assert_true(after > before); /* answers of before are old now */
    return done;
}

/* Places of all sorts, with a cluster on one spot, the seam of the map and both poles; some good for several things. */
static lw_kept_spot spread_spot(int i, char key[16])
{
    const lw_random_words w = lw_random_block(&(lw_random_key){12, (uint32_t)i}, 1, 1);
    const double u = lw_random_unit(w.word[0]), v = lw_random_unit(w.word[1]);
    const double spot[][2] = {{37.0 + 2.0 * u, -113.0 + 3.0 * v},
                              {38.5 + 0.001 * u, -112.5 + 0.001 * v},
                              {-1.0 + 2.0 * u, v < 0.5 ? 179.0 + 2.0 * v : -181.0 + 2.0 * v},
                              {u < 0.5 ? 90.0 - 2.0 * u : -91.0 + 2.0 * u, -180.0 + 360.0 * v},
                              {38.0, -112.0}};
    snprintf(key, 16, "k%d", i);
    const size_t sort = (size_t)i % 5;
    return (lw_kept_spot){.key = key,
                          .kinds = i == 777 ? 1u << 15 : 1u << i % 7 | (i % 11 ? 0u : 1u << 9),
                          .latitude_deg = spot[sort][0],
                          .longitude_deg = spot[sort][1]};
}

static int by_way_then_id(const void *a, const void *b)
{
    const lw_kept_spot *x = a, *y = b;
    if (x->way_m < y->way_m || x->way_m > y->way_m)
        return x->way_m < y->way_m ? -1 : 1;
    return (x->id > y->id) - (x->id < y->id);
}

static size_t count_of_all(const lw_kept_spot *all, const lw_spots_near *near, lw_kept_spot *found)
{
    size_t count = 0;
    for (size_t i = 0; i < MANY; i++) {
        found[count] = all[i];
        found[count].way_m = lw_distance_m((lw_spot){near->latitude_deg, near->longitude_deg},
                                           (lw_spot){all[i].latitude_deg, all[i].longitude_deg});
        count += found[count].way_m <= near->within_m && (!near->kinds || all[i].kinds & near->kinds);
    }
    qsort(found, count, sizeof *found, by_way_then_id);
    return near->limit && near->limit < count ? near->limit : count;
}

static void the_nearest_are_those_that_a_count_of_all_finds(void **state)
{
    (void)state;
    static lw_kept_spot all[MANY + 1], want[MANY + 1];
    static const double AROUND[][3] = {/* latitude, longitude, degrees to either side */
                                       {38.0, -111.5, 2.5}, {38.5, -112.5, 0.002}, {0.0, 180.0, 3.0}, {90.0, 0.0, 2.0},
                                       {-90.0, 0.0, 2.0},   {38.0, -112.0, 0.0},   {0.0, 0.0, 90.0}};
    static const unsigned KINDS[] = {0, 1u << 1, 1u << 9, 1u << 15, 1u << 2 | 1u << 6, 1u << 12};
    static const double WITHIN_M[] = {500.0, 60000.0, 80467.2, 25e6};
    static const size_t LIMIT[] = {1, 10, 25, 0};
    shelf s = shelf_open();
    lw_book *book = NULL;
    lw_import *in = NULL;
    lw_imported done = {0};
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_spots_begin(book, &(lw_import_source){"a", "made up", 1780000000}, &in, &err));
    for (int i = 0; i < MANY; i++) {
        char key[16];
        all[i] = spread_spot(i, key);
        CHECK_OK(lw_book_spots_put(in, &all[i], &err));
        all[i].id = i + 1;
    }
    CHECK_OK(lw_book_import_end(in, LW_OK, NULL, LW_NO_TIME, &done, &err));
    size_t met = 0;
    for (uint32_t ask = 0; ask < 600; ask++) {
        const lw_random_words w = lw_random_block(&(lw_random_key){13, ask}, 1, 1);
        const double *around = AROUND[ask % 7];
        const double up = 2.0 * lw_random_unit(w.word[0]) - 1.0, across = 2.0 * lw_random_unit(w.word[1]) - 1.0;
        const int is_pole = fabs(around[0]) > 89.0;
        const lw_spots_near near = {fmin(90.0, fmax(-90.0, around[0] + up * around[2])),
                                    around[1] + across * (is_pole ? 180.0 : around[2]), WITHIN_M[ask % 4],
                                    KINDS[ask % 6], LIMIT[ask / 7 % 4]};
        const size_t count = count_of_all(all, &near, want);
        lw_kept_spots found = {0};
        CHECK_OK(lw_book_spots_near(book, &near, &found, &err));
        assert_int_equal(found.count, count);
        for (size_t i = 0; i < count; i++) {
            assert_int_equal(found.spot[i].id, want[i].id);
            assert_memory_equal(&found.spot[i].way_m, &want[i].way_m, sizeof want[i].way_m);
        }
        met += count > 0;
        lw_kept_spots_clear(&found);
    }
    assert_true(met > 250); /* not a comparison of nothing with nothing */
    lw_book_close(book);
    shelf_close(&s);
}

static void the_same_source_again_updates_and_takes_out(void **state)
{
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    lw_kept_spots found = {0};
    lw_book_info info = {0};
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    (void)import(book, "a", 0, 10, 0.0);
    (void)import(book, "b", 0, 5, 0.0);
    const lw_imported again = import(book, "a", 5, 12, 10.0); /* moved ten degrees north */
    assert_int_equal(again.added, 2);
    assert_int_equal(again.updated, 5);
    assert_int_equal(again.removed, 5);
    CHECK_OK(lw_book_info_of(book, &info, &err));
    assert_int_equal(info.spots, 7 + 5);
    CHECK_OK(lw_book_spots_near(book, &(lw_spots_near){48.0, -111.5, 400000.0, 0, 0}, &found, &err));
    assert_int_equal(found.count, 7);
    assert_string_equal(found.spot[0].source, "a");
    assert_string_equal(found.spot[0].credit, "made up");
    lw_kept_spots_clear(&found);
    CHECK_OK(lw_book_spots_named(book, "K1", 0, 0, &found, &err));
    assert_int_equal(found.count, 3); /* k1 of b; k10 and k11 of a */
    lw_kept_spots_clear(&found);
    CHECK_OK(lw_book_check(book, &err));
    lw_book_close(book);
    shelf_close(&s);
}

static void an_import_that_fails_leaves_all_as_it_was(void **state)
{
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    lw_import *in = NULL;
    lw_imported done = {0};
    lw_kept_spots found = {0};
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    (void)import(book, "a", 0, 3, 0.0);
    CHECK_OK(lw_book_spots_begin(book, &(lw_import_source){"a", NULL, 1780000001}, &in, &err));
    char key[16];
    lw_kept_spot spot = made_spot(50, key, 0.0);
    CHECK_OK(lw_book_spots_put(in, &spot, &err));
    spot.latitude_deg = 99.0;
    CHECK_REFUSED(lw_book_spots_put(in, &spot, &err), LW_E_CONFLICT, "latitude");
    lw_err ended = {.code = LW_E_CONFLICT};
    assert_int_equal(lw_book_import_end(in, LW_E_CONFLICT, NULL, LW_NO_TIME, &done, &ended), LW_E_CONFLICT);
    CHECK_OK(lw_book_spots_named(book, "k", 0, 0, &found, &err));
    assert_int_equal(found.count, 3);
    assert_string_equal(found.spot[0].credit, "made up");
    lw_kept_spots_clear(&found);
    lw_book_close(book);
    shelf_close(&s);
}

static void what_a_row_does_not_say_is_not_taken_from_the_row_before(void **state)
{
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    lw_import *in = NULL;
    lw_imported done = {0};
    lw_kept_spots found = {0};
    const lw_kept_spot full = {.key = "1", .name = "a name", .detail = "fee=yes", .kinds = 1, .latitude_deg = 1.0};
    const lw_kept_spot bare = {.key = "2", .kinds = 1, .latitude_deg = 1.01};
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_spots_begin(book, &(lw_import_source){"a", NULL, 1780000000}, &in, &err));
    CHECK_OK(lw_book_spots_put(in, &full, &err));
    CHECK_OK(lw_book_spots_put(in, &bare, &err));
    CHECK_OK(lw_book_import_end(in, LW_OK, NULL, LW_NO_TIME, &done, &err));
    CHECK_OK(lw_book_spots_near(book, &(lw_spots_near){1.0, 0.0, 4000.0, 0, 0}, &found, &err));
    assert_int_equal(found.count, 2);
    assert_string_equal(found.spot[0].name, "a name");
    assert_null(found.spot[1].name);
    assert_null(found.spot[1].detail);
    assert_null(found.spot[1].credit);
    lw_kept_spots_clear(&found);
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_nearest_are_those_that_a_count_of_all_finds),
        cmocka_unit_test(the_same_source_again_updates_and_takes_out),
        cmocka_unit_test(an_import_that_fails_leaves_all_as_it_was),
        cmocka_unit_test(what_a_row_does_not_say_is_not_taken_from_the_row_before),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
