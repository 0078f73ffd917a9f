/* Spots of map files: found by where they are as a plain count finds them; an import is whole or not there. */
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
    CHECK_OK(lw_book_import_end(in, LW_OK, NULL, LW_NO_TIME, &done, &err));
    return done;
}

static void the_nearest_are_those_that_a_count_of_all_finds(void **state)
{
    (void)state;
    shelf s = shelf_open();
    lw_book *book = NULL;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    assert_int_equal(import(book, "a", 0, MANY, 0.0).added, MANY);
    for (int ask = 0; ask < 20; ask++) {
        const lw_spots_near near = {37.0 + 0.1 * ask, -113.0 + 0.15 * ask, 60000.0, ask % 2 ? 1u << 1 : 0u, 25};
        double way_m[MANY];
        int count = 0;
        lw_kept_spots found = {0};
        for (int i = 0; i < MANY; i++) {
            char key[16];
            const lw_kept_spot spot = made_spot(i, key, 0.0);
            const double m = lw_distance_m((lw_spot){near.latitude_deg, near.longitude_deg},
                                           (lw_spot){spot.latitude_deg, spot.longitude_deg});
            if (m > near.within_m || (near.kinds && !(spot.kinds & near.kinds)))
                continue;
            int at = count++; /* kept in order */
            for (; at > 0 && way_m[at - 1] > m; at--)
                way_m[at] = way_m[at - 1];
            way_m[at] = m;
        }
        CHECK_OK(lw_book_spots_near(book, &near, &found, &err));
        assert_int_equal(found.count, count < 25 ? count : 25);
        for (size_t i = 0; i < found.count; i++)
            CHECK_NEAR(found.spot[i].way_m, way_m[i], 1e-6, "ask %d, row %zu", ask, i);
        lw_kept_spots_clear(&found);
    }
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
