/* Places handed over as a file and taken in again. */
#include "service/hand.h"

#include "tests/service/camp_book.h"

static void add(lw_book *book, const char *name, lw_spot spot, const char *const *change, int count)
{
    lw_camp_put put = {0};
    lw_err err = {0};
    const lw_camp_order order = {.name = name,
                                 .spot = spot,
                                 .elevation_m = (double)NAN,
                                 .change = change,
                                 .change_count = count,
                                 .now_s = june(10, 12)};
    if (lw_camp_add(book, &order, &put, &err))
        fail_msg("%s: %s", err.where, err.text);
}

static lw_code take(lw_book *book, const char *text, lw_handed *handed, lw_err *err)
{
    *err = (lw_err){0};
    return lw_hand_take(book, "places.yaml", text, strlen(text), june(12, 12), handed, err);
}

static void what_is_handed_over_arrives_as_it_was(void **state)
{
    (void)state;
    static const char *const KNOWN[] = {"elevation=6200 ft",
                                        "fee=0 USD",
                                        "notes=level: \"really\"",
                                        "photos=a.jpg",
                                        "room+={chance: 40 %, days: Fri-Sun}",
                                        "stay_rule=blm-usual",
                                        "manager=BLM Juniper"},
                             *const NAMES[] = {"larkspur flat", "Wash"};
    camp_book ours = camp_book_open(), theirs = camp_book_open();
    lw_handed *h = calloc(1, sizeof *h);
    lw_err err = {0};
    char *text = NULL;
    add(ours.book, "Larkspur Flat", (lw_spot){38.1, -112.4}, KNOWN, (int)COUNT_OF(KNOWN));
    add(ours.book, "Wash", (lw_spot){38.9, -111.2}, NULL, 0);
    add(theirs.book, "Their Spot", (lw_spot){38.1001, -112.4}, NULL, 0);
    assert_int_equal(lw_hand_over(ours.book, NAMES, 2, "Otti \"O\"", june(11, 1), &text, &err), LW_OK);
    assert_null(strstr(text, "a.jpg"));
    if (take(theirs.book, text, h, &err))
        fail_msg("%s: %s\n%s", err.where, err.text, text);
    assert_true(h->count == 2 && h->taken == 2);
    assert_string_equal(h->from, "Otti \"O\"");
    assert_int_equal(h->place[0].put.same_count, 1); /* Their Spot, 11 m off */
    lw_camps a = {0}, b = {0};
    assert_int_equal(lw_camps_load(ours.book, &a, &err), LW_OK);
    assert_int_equal(lw_camps_load(theirs.book, &b, &err), LW_OK);
    const lw_place_facts *x = &lw_camps_named(&a, "Larkspur Flat")->facts,
                         *y = &lw_camps_named(&b, "Larkspur Flat")->facts;
    assert_string_equal(x->about.notes, y->about.notes);
    assert_string_equal(y->rule_words, x->rule_words);
    CHECK_NEAR(y->elevation_m, x->elevation_m, 1e-9, "height");
    CHECK_NEAR(y->about.room[0].chance_frac, 0.4, 1e-9, "chance of room");
    assert_string_equal(y->about.recommended_by, "Otti \"O\"");
    assert_int_equal(y->about.photo_count, 0);
    lw_camps_clear(&a);
    lw_camps_clear(&b);
    /* once more: both are there and stay as they are */
    assert_int_equal(take(theirs.book, text, h, &err), LW_OK);
    assert_true(h->taken == 0 && h->place[0].is_there && h->place[1].is_there);
    free(text);
    assert_int_equal(lw_hand_geojson(ours.book, NAMES, 2, &text, &err), LW_OK);
    assert_non_null(strstr(text, "FeatureCollection"));
    assert_non_null(strstr(text, "-112.4"));
    free(text);
    free(h);
    camp_book_close(&ours);
    camp_book_close(&theirs);
}

static void a_bad_file_changes_nothing(void **state)
{
    (void)state;
    static const struct {
        const char *text, *says;
    } ROW[] = {
        {"[]", "no file of places"},
        {"leeway_places: 2\nplaces: [{name: a}]", "version"},
        {"leeway_places: 1\nplaces: []", "no place"},
        {"leeway_places: 1\nplaces: [a]", "map of keys"},
        {"leeway_places: 1\nplaces: [{latitude: 1, longitude: 2}]", "needs a name"},
        {"leeway_places: 1\nother: 2\nplaces: [{name: a}]", "no such key"},
        {"leeway_places: 1\nplaces: [{name: Good, latitude: 1, longitude: 2}, {name: Bad, latitude: 99, longitude: 2}]",
         "Bad"},
        {"leeway_places: 1\nplaces: [{name: Good, latitude: 1, longitude: 2}, {name: Odd, latitude: 9, longitude: 2, "
         "abut: 3}]",
         "abut"},
        {"leeway_places: 1\nfrom: [a]\nplaces: [{name: a, latitude: 1, longitude: 2}]", "from is a name"},
    };
    camp_book k = camp_book_open();
    lw_handed *h = calloc(1, sizeof *h);
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        lw_err err;
        lw_camps camps = {0};
        if (take(k.book, ROW[i].text, h, &err) == LW_OK || !strstr(err.text, ROW[i].says))
            fail_msg("row %zu: %s: %s", i, err.where, err.text);
        lw_err own = {0};
        assert_int_equal(lw_camps_load(k.book, &camps, &own), LW_OK);
        assert_int_equal(camps.count, 0);
        lw_camps_clear(&camps);
    }
    /* a file must not make this machine open others by name */
    lw_err err;
    assert_int_equal(take(k.book,
                          "leeway_places: 1\nplaces: [{name: A, latitude: 1, longitude: 2, terrain: /etc, zone: UTC}]",
                          h, &err),
                     LW_OK);
    lw_kept_places places = {0};
    assert_int_equal(lw_book_list_places(k.book, NULL, &places, &err), LW_OK);
    assert_null(strstr(places.place[0].doc, "terrain"));
    lw_kept_places_clear(&places);
    free(h);
    camp_book_close(&k);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_handed_over_arrives_as_it_was),
        cmocka_unit_test(a_bad_file_changes_nothing),
    };
    return cmocka_run_group_tests_name("service/hand", tests, NULL, NULL);
}
