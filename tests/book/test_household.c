/* Rigs, crews, places and stays: put, replaced by name or id, listed, and which stay is the present one. */
#include "tests/book/shelf.h"

static void rows_are_replaced_by_name_and_by_id(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_kept_docs rigs = {0};
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    lw_kept_doc rig = {.name = "van", .doc = "rig: van"}, same = {.name = "van", .doc = "rig: {solar: 400 W}"};
    CHECK_OK(lw_book_put_rig(book, &rig, &err));
    CHECK_OK(lw_book_put_rig(book, &same, &err));
    assert_true(rig.id > 0 && same.id == rig.id);
    lw_kept_doc renamed = {.id = rig.id, .name = "the van", .doc = "rig: van"};
    CHECK_OK(lw_book_put_rig(book, &renamed, &err));
    CHECK_OK(lw_book_list_rigs(book, NULL, &rigs, &err));
    assert_int_equal(rigs.count, 1);
    assert_string_equal(rigs.doc[0].name, "the van");
    lw_kept_docs_clear(&rigs);
    lw_kept_docs_clear(&rigs);
    CHECK_OK(lw_book_list_rigs(book, &(lw_kept_key){.name = "van"}, &rigs, &err));
    assert_int_equal(rigs.count, 0);
    lw_kept_doc second = {.name = "trailer", .doc = "rig: travel trailer"};
    CHECK_OK(lw_book_put_rig(book, &second, &err));
    second.name = "the van";
    CHECK_REFUSED(lw_book_put_rig(book, &second, &err), LW_E_CONFLICT, "UNIQUE");
    lw_kept_doc none = {.id = 99, .name = "x", .doc = "y"}, empty = {.name = "", .doc = "y"};
    CHECK_REFUSED(lw_book_put_rig(book, &none, &err), LW_E_MISSING, "no rig 99");
    CHECK_REFUSED(lw_book_put_rig(book, &empty, &err), LW_E_MISSING, "the name is missing");
    lw_book_close(book);
    shelf_close(&s);
}

static void places_off_the_earth_and_stays_turned_round_are_refused(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    (void)shelf_stay(book);
    lw_kept_place place = {.name = "nowhere", .latitude_deg = 95.0, .elevation_m = (double)NAN};
    CHECK_REFUSED(lw_book_put_place(book, &place, &err), LW_E_RANGE, "");
    place.latitude_deg = (double)NAN;
    CHECK_REFUSED(lw_book_put_place(book, &place, &err), LW_E_RANGE, "");
    lw_kept_stay stay = {.place = 1, .rig = 1, .crew = 1, .arrival_s = 1000, .departure_s = 500, .left_s = LW_NO_TIME};
    CHECK_REFUSED(lw_book_put_stay(book, &stay, &err), LW_E_CONFLICT, "departure");
    stay.departure_s = LW_NO_TIME;
    stay.rig = 7;
    CHECK_REFUSED(lw_book_put_stay(book, &stay, &err), LW_E_CONFLICT, "FOREIGN KEY");
    lw_book_close(book);
    shelf_close(&s);
}

static void the_present_stay_is_the_last_begun_that_is_not_left(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_kept_stays stays = {0};
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    const int64_t first = shelf_stay(book);
    lw_kept_stay next = {.place = 1,
                         .rig = 1,
                         .crew = 1,
                         .arrival_s = SHELF_NOW_S + 86400,
                         .departure_s = LW_NO_TIME,
                         .left_s = LW_NO_TIME,
                         .doc = "stay: {}"};
    CHECK_OK(lw_book_put_stay(book, &next, &err));
    CHECK_OK(lw_book_current_stay(book, SHELF_NOW_S, &stays, &err));
    assert_true(stays.count == 1 && stays.stay[0].id == first);
    lw_kept_stay left = stays.stay[0];
    left.left_s = SHELF_NOW_S;
    CHECK_OK(lw_book_put_stay(book, &left, &err));
    lw_kept_stays_clear(&stays);
    CHECK_OK(lw_book_current_stay(book, SHELF_NOW_S, &stays, &err));
    assert_int_equal(stays.count, 0);
    CHECK_OK(lw_book_current_stay(book, SHELF_NOW_S + 90000, &stays, &err));
    assert_true(stays.count == 1 && stays.stay[0].id == next.id);
    lw_kept_stays_clear(&stays);
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_are_replaced_by_name_and_by_id),
        cmocka_unit_test(places_off_the_earth_and_stays_turned_round_are_refused),
        cmocka_unit_test(the_present_stay_is_the_last_begun_that_is_not_left),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
