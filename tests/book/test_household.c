/* Rigs, crews, places and stays: put, replaced by name or id, listed, and which stay is the present one. */
#include "book/forecasts.h"
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

static void keep(lw_book *book, int64_t stay, int64_t made_s)
{
    lw_kept_forecast f = {.made_s = made_s,
                          .stay = stay,
                          .program_version = "1",
                          .table_hash = "x",
                          .draws = 2,
                          .input = "leeway: 1",
                          .result = "{}"};
    CHECK_OK(lw_book_keep_forecast(book, &f, &err));
}

/* One a day for 40 days: the first and the last stay, and what is left is never further apart than two days. */
static void forecasts_are_thinned_out_and_the_ends_stay(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_kept_forecasts kept = {0};
    lw_kept_forecast last;
    int is_there = 0;
    const int64_t day_s = 86400;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    const int64_t stay = shelf_stay(book);
    CHECK_OK(lw_book_newest_forecast(book, stay, INT64_MAX, &last, &is_there, &err));
    assert_false(is_there);
    keep(book, 0, 5); /* of no stay: not counted with it */
    for (int i = 0; i < 40; i++)
        keep(book, stay, SHELF_NOW_S + i * day_s);
    CHECK_OK(lw_book_list_forecasts(book, stay, &kept, &err));
    assert_int_equal(kept.count, LW_FORECASTS_OF_STAY);
    assert_true(kept.forecast[0].made_s == SHELF_NOW_S);
    assert_true(kept.forecast[kept.count - 1].made_s == SHELF_NOW_S + 39 * day_s);
    for (size_t i = 1; i < kept.count; i++)
        assert_true(kept.forecast[i].made_s - kept.forecast[i - 1].made_s <= 2 * day_s);
    lw_kept_forecasts_clear(&kept);
    CHECK_OK(lw_book_newest_forecast(book, stay, INT64_MAX, &last, &is_there, &err));
    assert_true(is_there && last.made_s == SHELF_NOW_S + 39 * day_s && last.draws == 2);
    lw_kept_forecast before;
    CHECK_OK(lw_book_newest_forecast(book, stay, last.made_s - 1, &before, &is_there, &err));
    assert_true(is_there && before.made_s < last.made_s);
    CHECK_OK(lw_book_drop_forecast(book, &last.id, &err));
    CHECK_OK(lw_book_drop_forecast(book, &last.id, &err));
    CHECK_OK(lw_book_list_forecasts(book, 0, &kept, &err));
    assert_int_equal(kept.count, LW_FORECASTS_OF_STAY); /* one less of the stay, and the one of none */
    lw_kept_forecasts_clear(&kept);
    CHECK_OK(lw_book_drop_stay(book, stay, &err));
    CHECK_OK(lw_book_list_forecasts(book, 0, &kept, &err));
    assert_int_equal(kept.count, 1);
    lw_kept_forecasts_clear(&kept);
    lw_book_close(book);
    shelf_close(&s);
}

static void a_stay_with_entries_is_not_taken_out(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    const int64_t stay = shelf_stay(book);
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 1.0);
    e.stay = stay;
    CHECK_OK(lw_book_append(book, &e, 1, &err));
    keep(book, stay, SHELF_NOW_S);
    CHECK_REFUSED(lw_book_drop_stay(book, stay, &err), LW_E_CONFLICT, "FOREIGN KEY");
    lw_kept_forecasts kept = {0};
    CHECK_OK(lw_book_list_forecasts(book, stay, &kept, &err));
    assert_int_equal(kept.count, 1); /* all or nothing */
    lw_kept_forecasts_clear(&kept);
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_are_replaced_by_name_and_by_id),
        cmocka_unit_test(places_off_the_earth_and_stays_turned_round_are_refused),
        cmocka_unit_test(the_present_stay_is_the_last_begun_that_is_not_left),
        cmocka_unit_test(forecasts_are_thinned_out_and_the_ends_stay),
        cmocka_unit_test(a_stay_with_entries_is_not_taken_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
