/* Places that fit a wish, and places by how well a stay holds there. */
#include "service/rank.h"

#include "service/household.h"
#include "service/outlook.h"
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

static camp_book camp_with_places(void)
{
    camp_book k = camp_book_open();
    static const char *const HIGH[] = {"elevation=9000 ft", "manager=BLM Juniper", "signal+={line: A, chance: 90 %}"},
                             *const LOW[] = {"elevation=3000 ft", "services=dump", "closed=07-01 to 08-01",
                                             "length=15 ft"},
                             *const RULED[] = {"elevation=6000 ft", "stay_rule={days: 3 days}", "manager=Other land"};
    (void)camp_book_begin(&k, 9, "{kind: van, battery: 100 Ah}",
                          "name: Bench, manager: Own land, latitude: 38.2, longitude: -111.1");
    add(k.book, "High Meadow", (lw_spot){38.6, -111.6}, HIGH, 3);
    add(k.book, "Low Wash", (lw_spot){37.0, -113.5}, LOW, 4);
    add(k.book, "Ruled", (lw_spot){38.3, -111.2}, RULED, 3);
    add(k.book, "Unknown Height", (lw_spot){38.4, -111.3}, NULL, 0);
    return k;
}

static lw_picks pick(lw_book *book, const lw_camps *camps, const lw_pick_wish *wish)
{
    lw_roads roads = {0};
    lw_picks picks = {0};
    lw_err err = {0};
    if (lw_roads_open(book, camps, june(10, 12), &roads, &err) ||
        lw_picks_make(book, camps, &roads, wish, &picks, &err))
        fail_msg("%s: %s", err.where, err.text);
    lw_roads_clear(&roads);
    return picks;
}

static void each_wish_sends_away_what_does_not_fit(void **state)
{
    (void)state;
    camp_book k = camp_with_places();
    lw_camps camps = {0};
    lw_err err = {0};
    assert_int_equal(lw_camps_load(k.book, &camps, &err), LW_OK);
    assert_int_equal(camps.count, 5);
    const struct {
        lw_pick_wish wish;
        int fits;
        lw_pick_reason reason;
        int away;
    } ROW[] = {
        {{.name = "wAsH", .is_any_size = 1}, 1, LW_PICK_NAME, 4},
        {{.manager = "juniper", .is_any_size = 1}, 1, LW_PICK_MANAGER, 4},
        {{.is_any_size = 0}, 4, LW_PICK_BIG, 1},
        {{.has_from = 1, .from = {38.2, -111.1}, .within_m = 30000.0, .is_any_size = 1}, 3, LW_PICK_FAR, 2},
        {{.has_from = 1, .from = {38.2, -111.1}, .within_s = 3600.0, .is_any_size = 1}, 3, LW_PICK_DRIVE, 2},
        {{.signal_frac = 0.8, .is_any_size = 1}, 1, LW_PICK_SIGNAL, 4},
        {{.services = 1u << 1, .is_any_size = 1}, 1, LW_PICK_SERVICE, 4},                 /* dump */
        {{.first_day = 20635, .until_day = 20640, .is_any_size = 1}, 4, LW_PICK_SHUT, 1}, /* July 2026 */
        {{.first_day = 20614, .until_day = 20620, .night_low_c = 15.0, .is_any_size = 1}, 2, LW_PICK_NIGHT, 3},
    };
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        lw_pick_wish wish = ROW[i].wish;
        /* what a row leaves out is not asked for */
        wish.within_m = wish.within_m > 0.0 ? wish.within_m : (double)NAN;
        wish.within_s = wish.within_s > 0.0 ? wish.within_s : (double)NAN;
        wish.night_low_c = wish.night_low_c > 0.0 ? wish.night_low_c : (double)NAN;
        wish.night_high_c = wish.length_m = (double)NAN;
        wish.signal_frac = wish.signal_frac > 0.0 ? wish.signal_frac : (double)NAN;
        if (!wish.until_day)
            wish.first_day = wish.until_day = LW_NO_DAY;
        lw_picks picks = pick(k.book, &camps, &wish);
        char text[256];
        if (picks.count != ROW[i].fits || picks.sent_away[ROW[i].reason] != ROW[i].away)
            fail_msg("row %zu: %d fit; %s", i, picks.count, lw_picks_say_away(&picks, text, sizeof text));
        lw_picks_clear(&picks);
    }
    lw_camps_clear(&camps);
    camp_book_close(&k);
}

static lw_rank rank_of(lw_book *book, int threads, int draws, const char *a, const char *b)
{
    lw_rank rank = {0};
    lw_err err = {0};
    lw_rank_ask ask = {.wish = lw_pick_wish_none(),
                       .named = {a, b},
                       .named_count = !!a + !!b,
                       .from = "2026-06-20 15:00",
                       .until = "2026-06-27 11:00",
                       .now_s = june(10, 12),
                       .threads = threads,
                       .draws = draws,
                       .best = 3,
                       .seed = 5};
    ask.wish.is_any_size = 1;
    ask.wish.has_from = 1;
    ask.wish.from = (lw_spot){38.2, -111.1};
    if (lw_rank_make(book, &ask, &rank, &err))
        fail_msg("%s: %s", err.where, err.text);
    return rank;
}

static const lw_ranked *row_named(const lw_rank *rank, const char *name)
{
    for (int i = 0; i < rank->count; i++)
        if (strcmp(rank->camps.camp[rank->row[i].pick.camp].facts.name, name) == 0)
            return &rank->row[i];
    fail_msg("%s is not ranked", name);
    return NULL;
}

/* The same camp described at that place by its own scenario: the long way. */
static void a_place_is_worth_what_a_scenario_of_it_says(void **state)
{
    (void)state;
    camp_book k = camp_with_places();
    lw_rank rank = rank_of(k.book, 1, 1, NULL, NULL);
    static const struct {
        const char *name, *place;
    } ROW[] = {
        {"High Meadow", "place={name: x, latitude: 38.6, longitude: -111.6, elevation: 9000 ft, zone: UTC}"},
        {"Low Wash", "place={name: x, latitude: 37.0, longitude: -113.5, elevation: 3000 ft, zone: UTC}"},
        {"Ruled", "place={name: x, latitude: 38.3, longitude: -111.2, elevation: 6000 ft, zone: UTC, stay_rule: {days: "
                  "3 days}}"},
    };
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        const lw_ranked *r = row_named(&rank, ROW[i].name);
        const char *const change[] = {ROW[i].place, "stay={}", "stay.arrive=2026-06-20 15:00",
                                      "stay.leave=2026-06-27 11:00", "weather=climate"};
        lw_household home = {0};
        lw_outlook_answer answer = {0};
        lw_err err = {0};
        if (lw_household_load_changed(k.book, june(10, 12), 0, NULL, change, (int)COUNT_OF(change), &home, &err))
            fail_msg("%s: %s", err.where, err.text);
        lw_outlook_near(&home.loaded, june(20, 15), 0);
        if (lw_outlook_of_loaded(&home.loaded, 1, 0, NULL, &answer, &err))
            fail_msg("%s: %s", err.where, err.text);
        assert_true(r->is_reckoned);
        for (int s = 0; s < LW_SUPPLY_COUNT; s++) {
            const lw_leeway *l = &answer.outlook->leeway[s];
            assert_int_equal(!isnan(r->supply_days[s]), l->is_present);
            if (!l->is_present)
                continue;
            assert_int_equal(r->supply_is_beyond[s], l->q[1].beyond_horizon);
            if (!l->q[1].beyond_horizon)
                CHECK_NEAR(r->supply_days[s], l->q[1].days, 1e-6, "%s at %s", lw_supply_word((lw_supply)s),
                           ROW[i].name);
        }
        assert_int_equal(r->binding, answer.outlook->binding);
        lw_outlook_answer_clear(&answer);
        lw_household_clear(&home);
    }
    assert_false(row_named(&rank, "Unknown Height")->is_reckoned);
    assert_string_equal(rank.camps.camp[rank.row[rank.count - 1].pick.camp].facts.name, "Unknown Height");
    assert_int_equal(row_named(&rank, "Ruled")->left.left_days, 3);
    lw_rank_clear(&rank);
    camp_book_close(&k);
}

static void threads_change_nothing(void **state)
{
    (void)state;
    camp_book k = camp_with_places();
    lw_rank one = rank_of(k.book, 1, 40, NULL, NULL), two = rank_of(k.book, 2, 40, NULL, NULL);
    assert_int_equal(one.drawn, 3);
    char *a = lw_rank_json(&one, "x"), *b = lw_rank_json(&two, "x");
    assert_string_equal(a, b);
    for (int i = 0; i < one.drawn; i++) {
        const lw_ranked *r = &one.row[i];
        assert_true(r->is_drawn && r->stays_frac >= 0.0 && r->stays_frac <= 1.0 && r->p10_days <= r->p50_days &&
                    r->p50_days <= r->p90_days);
        if (i)
            assert_true(nearbyint(r->stays_frac * 50.0) <= nearbyint(one.row[i - 1].stays_frac * 50.0));
    }
    /* three days by rule do not last a week */
    CHECK_NEAR(row_named(&one, "Ruled")->stays_frac, 0.0, 0.0, "chance under the rule");
    free(a);
    free(b);
    lw_rank_clear(&one);
    lw_rank_clear(&two);
    camp_book_close(&k);
}

static void named_places_stand_in_their_order(void **state)
{
    (void)state;
    camp_book k = camp_with_places();
    lw_rank rank = rank_of(k.book, 1, 20, "low wash", "High Meadow");
    assert_int_equal(rank.count, 2);
    assert_string_equal(rank.camps.camp[rank.row[0].pick.camp].facts.name, "Low Wash");
    assert_true(rank.row[0].is_drawn && rank.row[1].is_drawn);
    /* 6,000 ft lower and 1.6 deg farther south: the mean of lows differs by some 6.5 K a km (ICAO), within the model's 3 K */
    CHECK_NEAR(rank.row[0].pick.night_c - rank.row[1].pick.night_c, 12.0, 5.0, "nights");
    lw_rank_clear(&rank);
    lw_err err = {0};
    const lw_rank_ask ask = {.wish = lw_pick_wish_none(),
                             .named = {"Lw Wash"},
                             .named_count = 1,
                             .from = "2026-06-20 15:00",
                             .until = "2026-06-27 11:00",
                             .now_s = june(10, 12)};
    assert_int_equal(lw_rank_make(k.book, &ask, &rank, &err), LW_E_MISSING);
    assert_non_null(strstr(err.text, "did you mean Low Wash"));
    camp_book_close(&k);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_wish_sends_away_what_does_not_fit),
        cmocka_unit_test(a_place_is_worth_what_a_scenario_of_it_says),
        cmocka_unit_test(threads_change_nothing),
        cmocka_unit_test(named_places_stand_in_their_order),
    };
    return cmocka_run_group_tests_name("service/rank", tests, NULL, NULL);
}
