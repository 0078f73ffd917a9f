/* Places of the book: what may be the same, what a stay goes by, and the roads between them. */
#include "service/camps.h"

#include "book/household.h"
#include "service/roads.h"
#include "tests/service/camp_book.h"

static lw_camp_put add(lw_book *book, const char *name, lw_spot spot, const char *const *change, int count)
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
    return put;
}

static lw_code edit(lw_book *book, const char *name, const char *change, lw_err *err)
{
    lw_camp_put put = {0};
    const lw_camp_order order = {.name = name, .change = &change, .change_count = 1, .now_s = june(10, 12)};
    *err = (lw_err){0};
    return lw_camp_edit(book, &order, &put, err);
}

static lw_camps load(lw_book *book)
{
    lw_camps camps = {0};
    lw_err err = {0};
    if (lw_camps_load(book, &camps, &err))
        fail_msg("%s: %s", err.where, err.text);
    return camps;
}

static void what_may_be_the_same_is_told_and_not_merged(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    assert_int_equal(add(k.book, "Larkspur Flat", (lw_spot){38.1, -112.4}, NULL, 0).same_count, 0);
    const lw_camp_put near = add(k.book, "Gate", (lw_spot){38.1010, -112.4}, NULL, 0); /* 111 m north */
    assert_int_equal(near.same_count, 1);
    assert_string_equal(near.same[0].name, "Larkspur Flat");
    CHECK_NEAR(near.same[0].way_m, 111.2, 0.1, "metres between them");
    assert_int_equal(add(k.book, "Larkspur Flats", (lw_spot){38.13, -112.4}, NULL, 0).same_count,
                     1);                                                                           /* 3 km, the name */
    assert_int_equal(add(k.book, "Larkspur Flt", (lw_spot){38.9, -112.4}, NULL, 0).same_count, 0); /* far off */
    assert_int_equal(add(k.book, "Tern Bar", (lw_spot){60.0, -150.0}, NULL, 0).same_count, 0);
    assert_int_equal(add(k.book, "Tern Bars", (lw_spot){60.0, -150.088}, NULL, 0).same_count, 1); /* 4.9 km west */
    assert_int_equal(add(k.book, "Surf", (lw_spot){52.0, 179.9995}, NULL, 0).same_count, 0);
    assert_int_equal(add(k.book, "Dune", (lw_spot){52.0, -179.9995}, NULL, 0).same_count, 1); /* over the date line */
    lw_camps camps = load(k.book);
    assert_int_equal(camps.count, 8);
    lw_camps_clear(&camps);

    lw_camp_put put;
    lw_err err = {0};
    int is_there;
    assert_int_equal(lw_camp_is_there(k.book, "LARKSPUR flat", &is_there, &err), LW_OK);
    assert_true(is_there);
    assert_int_equal(lw_camp_is_there(k.book, "Larkspur", &is_there, &err), LW_OK);
    assert_false(is_there);
    const lw_camp_order again = {
        .name = "larkspur flat", .spot = {40.0, -112.0}, .elevation_m = (double)NAN, .now_s = june(1, 1)};
    assert_int_equal(lw_camp_add(k.book, &again, &put, &err), LW_E_CONFLICT);
    assert_int_equal(edit(k.book, "Larkspr Flat", "fee=0 USD", &err), LW_E_MISSING);
    assert_non_null(strstr(err.text, "did you mean Larkspur Flat"));
    err = (lw_err){0};
    assert_int_equal(lw_camp_forget(k.book, "GATE", &err), LW_OK);
    camps = load(k.book);
    assert_int_equal(camps.count, 7);
    lw_camps_clear(&camps);
    lw_camp_put back;
    assert_int_equal(lw_camp_recall(k.book, "Bench", &back, &err), LW_E_MISSING);
    err = (lw_err){0};
    assert_int_equal(lw_camp_recall(k.book, "gate", &back, &err), LW_OK);
    assert_int_equal(lw_camp_recall(k.book, "gate", &back, &err), LW_E_MISSING);
    camp_book_close(&k);
}

static void the_stay_that_goes_on_goes_by_what_is_new(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    lw_err err;
    (void)camp_book_begin(&k, 9, "{kind: van}",
                          "name: Bench, latitude: 38.2, longitude: -111.1, stay_rule: {days: 14 days}");
    assert_int_equal(edit(k.book, "Bench", "stay_rule.days=5 days", &err), LW_OK);
    lw_household home = {0};
    if (lw_household_load(k.book, june(10, 12), 0, &home, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(home.loaded.left.left_days, 5); /* of the day of arrival */
    lw_household_clear(&home);
    assert_int_equal(lw_camp_forget(k.book, "Bench", &err), LW_E_CONFLICT);
    /* what is known of it outlives a scenario of the same name that says nothing of it */
    assert_int_equal(edit(k.book, "Bench", "notes=level", &err), LW_OK);
    (void)camp_book_begin(&k, 10, "{kind: van}", "name: Bench, latitude: 38.2, longitude: -111.1");
    lw_camps camps = load(k.book);
    assert_string_equal(camps.camp[0].facts.about.notes, "level");
    assert_false(camps.camp[0].facts.has_rule);
    lw_camps_clear(&camps);
    camp_book_close(&k);
}

static void own_figures_go_before_guesses_both_ways(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    static const char *const DRIVES[] = {"drives+={to: Wash, distance: 100 km, time: 2 h}",
                                         "drives+={to: \"38.57,-109.55\", time: 4 h}",
                                         "drives+={to: nowhere, time: 1 h}"};
    const lw_spot bench = {38.2, -111.1}, wash = {38.9, -111.2}, far = {38.57, -109.55}, other = {37.0, -110.0};
    (void)add(k.book, "Bench", bench, DRIVES, 3);
    (void)add(k.book, "Wash", wash, NULL, 0);
    lw_camps camps = load(k.book);
    lw_roads roads = {0};
    lw_err err = {0};
    if (lw_roads_open(k.book, &camps, june(1, 1), &roads, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(roads.leg_count, 2);
    const lw_spot spot[] = {bench, wash, far, other};
    lw_road road[16];
    lw_roads_table(&roads, spot, 4, spot, 4, road);
    assert_true(road[0 * 4 + 1].by == LW_ROAD_YOURS && road[1 * 4 + 0].by == LW_ROAD_YOURS);
    CHECK_NEAR(road[1 * 4 + 0].distance_m.middle, 100000.0, 1e-6, "the way back");
    CHECK_NEAR(road[1 * 4 + 0].time_s.middle, 7200.0, 1e-9, "its time");
    assert_true(road[0 * 4 + 2].by == LW_ROAD_YOURS);
    CHECK_NEAR(road[0 * 4 + 2].time_s.middle, 14400.0, 1e-9, "time alone");
    assert_true(road[0 * 4 + 2].distance_m.middle > road[0 * 4 + 2].air_m);
    assert_true(road[0 * 4 + 3].by == LW_ROAD_GUESS);
    /* law: a table is its single questions */
    for (int i = 0; i < 4; i++)
        for (int j = 0; j < 4; j++) {
            const lw_road one = lw_roads_between(&roads, spot[i], spot[j]);
            CHECK_NEAR(one.time_s.middle, road[i * 4 + j].time_s.middle, 0.0, "%d to %d", i, j);
        }
    /* higher up costs more, and thin air takes from the engine what SAE J1349 says: 0.832 at 1,500 m and 25 C; here the air is that of
     * the standard, 5.25 C, which gives some 4 %% back */
    const lw_road_fuel flat = lw_roads_fuel(&roads.rig, &road[3], 0.0, 0.0),
                       up = lw_roads_fuel(&roads.rig, &road[3], 0.0, 1500.0);
    assert_true(up.fuel_l > flat.fuel_l && up.low_l < up.fuel_l && up.fuel_l < up.high_l);
    CHECK_NEAR(up.power_frac, 0.832 * 1.042, 0.01, "what is left of the engine");
    assert_true(up.uphill_ms > 0.0 && up.uphill_ms <= roads.rig.speed_ms);
    lw_roads_clear(&roads);
    lw_camps_clear(&camps);
    camp_book_close(&k);
}

static void a_stated_use_comes_out_again(void **state)
{
    (void)state;
    lw_travel travel = {.length_m = (double)NAN,
                        .height_m = (double)NAN,
                        .width_m = (double)NAN,
                        .weight_kg = (double)NAN,
                        .use_l100km = 25.0,
                        .power_w = (double)NAN,
                        .speed_ms = (double)NAN};
    lw_road_rig rig;
    lw_err err = {0};
    assert_int_equal(lw_road_rig_of("class-c", &travel, &rig, &err), LW_OK);
    const lw_road road = {.distance_m = {100000.0, 90000.0, 120000.0}};
    CHECK_NEAR(lw_roads_fuel(&rig, &road, (double)NAN, (double)NAN).fuel_l, 25.0, 0.05, "litres for 100 km");
    assert_int_equal(lw_road_rig_of("no such kind", NULL, &rig, &err), LW_OK);
}

static void every_kind_of_rig_is_on_the_road(void **state)
{
    (void)state;
    static const char *const KIND[] = {"van",     "small-trailer", "trailer",     "fifth-wheel",
                                       "class-c", "class-a",       "truck-camper"};
    for (size_t i = 0; i < COUNT_OF(KIND); i++) {
        lw_road_rig rig;
        lw_err err = {0};
        lw_fault fault;
        assert_int_equal(lw_road_rig_of(KIND[i], NULL, &rig, &err), LW_OK);
        assert_int_equal(lw_drive_rig_check(&rig.drive, &fault), LW_OK);
        /* trade practice, from the thriftiest van to the thirstiest motorhome: 11 to 39 L/100 km */
        const lw_road road = {.distance_m = {100000.0, 100000.0, 100000.0}};
        CHECK_NEAR(lw_roads_fuel(&rig, &road, 0.0, 0.0).fuel_l, 25.0, 14.0, "%s", KIND[i]);
    }
}

/* Longer than one setting holds, with letters of two bytes where it is cut. */
static void a_place_that_is_brought_back_is_whole(void **state)
{
    static const char *const CHANGES[] = {"manager=BLM Juniper",
                                          "permits={name: season, from: 2026-09-15, to: 2027-04-15}", "terrain=/tiles"};
    (void)state;
    camp_book k = camp_book_open();
    lw_err err = {0};
    lw_camp_put put = {0};
    lw_kept_places before = {0}, after = {0};
    static const struct {
        const char *key;
        int letters;
    } LONG[] = {{"photos+={path: /x", 100}, {"nearby+={what: x", 25}, {"drives+={time: 1 h, to: x", 25}};
    (void)add(k.book, "Larkspur Flat", (lw_spot){38.1, -112.4}, CHANGES, COUNT_OF(CHANGES));
    for (size_t i = 0; i < COUNT_OF(LONG); i++) {
        char change[1100];
        size_t n = (size_t)snprintf(change, sizeof change, "%s", LONG[i].key);
        for (int l = 0; l < LONG[i].letters; l++, n += 2)
            memcpy(change + n, "\xc3\xb6", 3);
        change[n++] = '}';
        change[n] = '\0';
        for (int times = 0; times < 30 && edit(k.book, "Larkspur Flat", change, &err) == LW_OK; times++)
            continue; /* until there is no more room */
    }
    err = (lw_err){0};
    assert_int_equal(lw_book_list_places(k.book, NULL, &before, &err), LW_OK);
    assert_true(strlen(before.place[0].doc) > LW_BOOK_TEXT_BYTES);
    assert_int_equal(lw_camp_forget(k.book, "Larkspur Flat", &err), LW_OK);
    assert_int_equal(lw_camp_recall(k.book, "Larkspur Flat", &put, &err), LW_OK);
    assert_int_equal(lw_book_list_places(k.book, NULL, &after, &err), LW_OK);
    assert_int_equal(after.count, 1);
    assert_string_equal(after.place[0].doc, before.place[0].doc);
    assert_non_null(strstr(after.place[0].doc, "/tiles"));
    assert_non_null(strstr(after.place[0].doc, "season"));
    assert_string_equal(after.place[0].manager, "BLM Juniper");
    lw_kept_places_clear(&before);
    lw_kept_places_clear(&after);
    camp_book_close(&k);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_place_that_is_brought_back_is_whole),
        cmocka_unit_test(what_may_be_the_same_is_told_and_not_merged),
        cmocka_unit_test(the_stay_that_goes_on_goes_by_what_is_new),
        cmocka_unit_test(own_figures_go_before_guesses_both_ways),
        cmocka_unit_test(a_stated_use_comes_out_again),
        cmocka_unit_test(every_kind_of_rig_is_on_the_road),
    };
    return cmocka_run_group_tests_name("service/camps", tests, NULL, NULL);
}
