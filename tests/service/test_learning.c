/* What was learned is kept in the book: used only where it is of just this, and learned anew in every doubt. */
#include "book/learned.h"
#include "book/weather_kept.h"
#include "core/base/hash.h"
#include "service/learned_kept.h"
#include "tests/service/learn_home.h"

/* 2026-06-08 15:00 in the west of the mountains, invented. */
#define CAMP(fresh, crew)                                                                                              \
    "leeway: 1\n"                                                                                                      \
    "rig: {kind: class-c, tanks: {fresh: " fresh ", grey: 36 gal, black: 31 gal}}\n"                                   \
    "crew: " crew "\n"                                                                                                 \
    "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"                                            \
    "stay: {arrive: 2026-06-08 15:00, leave: 2026-06-25 10:00}\n"                                                      \
    "weather: {high: 84 F, low: 50 F}\n"

static const char OF_45[] = CAMP("45 gal", "2 adults"), OF_46[] = CAMP("46 gal", "2 adults"),
                  OF_WIPERS[] = CAMP("46 gal", "{people: 2 adults, habits: {dishes: wipe-first}}");
static const char OF_UNKNOWN[] = "leeway: 1\n"
                                 "rig: {kind: class-c, tanks: {fresh: unknown, grey: unknown, black: about 31 gal}}\n"
                                 "crew: 2 adults\n"
                                 "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"
                                 "stay: {arrive: 2026-06-08 15:00, leave: 2026-06-25 10:00}\n"
                                 "weather: {high: 84 F, low: 50 F}\n";
static const int64_t DAY_S = 86400, HOUR_S = 3600, ARRIVAL_S = 1780952400;
enum { DRAWS = 40 };

static home read_twice_in(const char *camp)
{
    home h = home_open(camp, ARRIVAL_S);
    assert_int_equal(h.arrival_s, ARRIVAL_S);
    home_log(&h, ARRIVAL_S + DAY_S, "fresh=2/3 grey=empty");
    home_log(&h, ARRIVAL_S + 2 * DAY_S, "fresh=1/3 grey=1/3 black=empty");
    return h;
}

static home read_twice(void)
{
    return read_twice_in(OF_45);
}

static lw_learning_request at(int64_t now_s)
{
    return (lw_learning_request){.now_s = now_s, .learn_draws = DRAWS, .draws = {.draws = 1, .seed = 1}};
}

/* Asks, and gives whether the answer came from what was kept. */
static int is_recalled(home *h, const lw_learning_request *request)
{
    lw_outlook_answer a = home_ask(h, request);
    const int is = a.learning->is_recalled;
    lw_outlook_answer_clear(&a);
    return is;
}

static void check_same(const lw_outlook_answer *a, const lw_outlook_answer *b)
{
    const lw_learned *x = &a->learning->learned, *y = &b->learning->learned;
    assert_int_equal(x->draws, y->draws);
    assert_memory_equal(x->draw, y->draw, x->draws * sizeof *x->draw);
    assert_memory_equal(x->day, y->day, x->draws * sizeof *x->day);
    assert_memory_equal(x->lie_frac, y->lie_frac, (size_t)a->learning->readings * sizeof *x->lie_frac);
    assert_memory_equal(x->factor, y->factor, sizeof x->factor);
    assert_memory_equal(x->level, y->level, sizeof x->level);
    assert_memory_equal(x->gauge, y->gauge, sizeof x->gauge);
    assert_int_equal((int)x->doubt, (int)y->doubt);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        assert_int_equal(x->help[k].vessel, y->help[k].vessel);
        CHECK_NEAR(x->help[k].narrows_frac, y->help[k].narrows_frac, 0.0, "help of %d", k);
        CHECK_NEAR(a->outlook->leeway[k].q[1].days, b->outlook->leeway[k].q[1].days, 0.0, "end of %d", k);
    }
}

static void what_is_kept_is_what_was_learned(void **state)
{
    (void)state;
    home h = read_twice();
    const lw_learning_request now = at(ARRIVAL_S + 2 * DAY_S);
    lw_outlook_answer anew = home_ask(&h, &now), kept = home_ask(&h, &now);
    assert_false(anew.learning->is_recalled);
    assert_true(kept.learning->is_recalled);
    assert_int_equal(anew.learning->readings, 5);
    check_same(&anew, &kept);
    lw_outlook_answer_clear(&anew);
    lw_outlook_answer_clear(&kept);
    home_close(&h);
}

/* Each of these makes another past, or another learning; asked again, it is kept. */
static void what_changed_is_learned_anew(void **state)
{
    (void)state;
    home h = read_twice();
    lw_err err = {0};
    const lw_learning_request now = at(ARRIVAL_S + 3 * DAY_S);
    assert_false(is_recalled(&h, &now));
    assert_true(is_recalled(&h, &now));

    home_log(&h, ARRIVAL_S + 3 * DAY_S - HOUR_S, "grey=1/3");
    assert_false(is_recalled(&h, &now));
    assert_true(is_recalled(&h, &now));

    /* As many readings, but another. */
    home_need(lw_book_undo(h.book, NULL, "test", ARRIVAL_S + 3 * DAY_S, NULL, &err), &err);
    home_log(&h, ARRIVAL_S + 3 * DAY_S - HOUR_S, "grey=2/3");
    assert_false(is_recalled(&h, &now));

    home_log(&h, ARRIVAL_S + 2 * DAY_S, "filled fresh");
    assert_false(is_recalled(&h, &now));

    home_begin(&h, OF_46, ARRIVAL_S + 3 * DAY_S);
    assert_int_equal(h.arrival_s, ARRIVAL_S);
    assert_false(is_recalled(&h, &now));
    assert_true(is_recalled(&h, &now));

    home_begin(&h, OF_WIPERS, ARRIVAL_S + 3 * DAY_S);
    assert_false(is_recalled(&h, &now));
    assert_true(is_recalled(&h, &now));

    lw_kept_hour hour = {.hour_s = ARRIVAL_S + 4 * HOUR_S,
                         .air_c = 31.0,
                         .wind_ms = (double)NAN,
                         .humidity_frac = (double)NAN,
                         .ghi_wm2 = (double)NAN,
                         .precip_mm = (double)NAN,
                         .snow_mm = (double)NAN};
    home_need(lw_book_put_weather(h.book, 1, "measured", &hour, 1, &err), &err);
    assert_false(is_recalled(&h, &now));
    assert_true(is_recalled(&h, &now));

    lw_learning_request other = now;
    other.draws.seed = 2;
    assert_false(is_recalled(&h, &other));
    assert_false(is_recalled(&h, &other)); /* a seed of one's own is not kept, */
    assert_true(is_recalled(&h, &now));    /* and what was kept stays */
    home_close(&h);
}

/* Nothing new was said: what was learned lives on, and is as good as learned then. With 400 draws a median level is off by its
 * spread times 1.25 / sqrt(400); four times that, of two of them. */
static void check_lives_on(const char *camp)
{
    home h = read_twice_in(camp);
    lw_learning_request then = at(ARRIVAL_S + 2 * DAY_S), now = at(ARRIVAL_S + 2 * DAY_S + 29 * HOUR_S);
    then.learn_draws = now.learn_draws = 400;
    assert_false(is_recalled(&h, &then));
    lw_outlook_answer on = home_ask(&h, &now);
    assert_true(on.learning->is_recalled);
    now.draws.seed = 5; /* not kept: learned anew */
    lw_outlook_answer anew = home_ask(&h, &now);
    assert_false(anew.learning->is_recalled);
    assert_int_equal(on.learning->now_s, anew.learning->now_s);
    const lw_rig *rig = &on.loaded.scenario->rig;
    for (int v = 0; v < rig->vessel_count; v++) {
        const double *a = on.learning->learned.level[v], *b = anew.learning->learned.level[v];
        const double sd = (b[2] - b[0]) / 2.56 + 0.002 * rig->vessel[v].capacity;
        for (int q = 0; q < LW_QUANTILES; q++)
            CHECK_NEAR(a[q], b[q], 4.0 * 1.7 * 1.42 * sd / sqrt(400.0), "%s, quantile %d", rig->vessel[v].name, q);
    }
    lw_outlook_answer_clear(&on);
    lw_outlook_answer_clear(&anew);
    /* An earlier moment is not behind what was kept. */
    now = at(ARRIVAL_S + DAY_S + HOUR_S);
    assert_false(is_recalled(&h, &now));
    home_close(&h);
}

/* Also where the room left is of a tank that nobody knows. */
static void what_was_learned_lives_on(void **state)
{
    (void)state;
    check_lives_on(OF_45);
    check_lives_on(OF_UNKNOWN);
}

/* Bytes that a failing disk changed or cut short are not taken, wherever it is. */
static void damage_is_never_taken(void **state)
{
    (void)state;
    home h = read_twice();
    const lw_learning_request now = at(ARRIVAL_S + 2 * DAY_S);
    lw_outlook_answer a = home_ask(&h, &now);
    const int vessels = a.loaded.scenario->rig.vessel_count, readings = a.learning->readings;
    const size_t size = lw_learned_pack_bytes(&a.learning->learned, vessels, readings);
    lw_arena arena = {.cap = lw_learned_unpack_bytes(DRAWS, readings)};
    unsigned char *bytes = malloc(size);
    arena.base = malloc(arena.cap);
    assert_true(bytes && arena.base);
    lw_learned_pack(&a.learning->learned, vessels, readings, bytes);
    for (size_t i = 0; i <= size; i += i < 40 || i + 40 > size ? 1 : 97) {
        lw_learned out;
        arena.used = 0;
        if (i < size)
            bytes[i] ^= 0x10;
        const int is_taken = lw_learned_unpack(bytes, size, DRAWS, vessels, readings, &arena, &out);
        assert_int_equal(is_taken, i == size);
        if (i < size)
            bytes[i] ^= 0x10;
        arena.used = 0;
        unsigned char *part = malloc(i ? i : 1); /* of its own, so that a read behind it is found */
        assert_non_null(part);
        memcpy(part, bytes, i);
        assert_int_equal(lw_learned_unpack(part, i, DRAWS, vessels, readings, &arena, &out), i == size);
        free(part);
    }
    arena.used = 0;
    assert_false(lw_learned_unpack(bytes, size, DRAWS + 1, vessels, readings, &arena, &(lw_learned){.draws = 0}));
    assert_false(lw_learned_unpack(bytes, size, DRAWS, vessels + 1, readings, &arena, &(lw_learned){.draws = 0}));
    free(bytes), free(arena.base);
    lw_outlook_answer_clear(&a);
    home_close(&h);
}

static void a_damaged_book_learns_anew(void **state)
{
    (void)state;
    home h = read_twice();
    const lw_learning_request now = at(ARRIVAL_S + 2 * DAY_S);
    lw_outlook_answer anew = home_ask(&h, &now);
    lw_kept_learned kept = {0};
    int is_there = 0;
    lw_err err = {0};
    home_need(lw_book_learned(h.book, 1, &kept, &is_there, &err), &err);
    assert_true(is_there);
    kept.bytes[kept.count / 2] ^= 1;
    home_need(lw_book_keep_learned(h.book, &kept, &err), &err);
    lw_outlook_answer again = home_ask(&h, &now);
    assert_false(again.learning->is_recalled);
    check_same(&anew, &again);
    lw_outlook_answer_clear(&again);
    kept.count = 0;
    home_need(lw_book_keep_learned(h.book, &kept, &err), &err);
    assert_false(is_recalled(&h, &now));
    assert_true(is_recalled(&h, &now)); /* mended */
    lw_kept_learned_clear(&kept);
    lw_outlook_answer_clear(&anew);
    home_close(&h);
}

/* RFC 9923, appendix of test vectors. */
static void names_are_those_of_fnv(void **state)
{
    (void)state;
    assert_true(lw_hash(LW_HASH_START, "", 0) == UINT64_C(0xcbf29ce484222325));
    assert_true(lw_hash(LW_HASH_START, "a", 1) == UINT64_C(0xaf63dc4c8601ec8c));
    assert_true(lw_hash(LW_HASH_START, "foobar", 6) == UINT64_C(0x85944171f73967e8));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_kept_is_what_was_learned), cmocka_unit_test(what_changed_is_learned_anew),
        cmocka_unit_test(what_was_learned_lives_on),        cmocka_unit_test(damage_is_never_taken),
        cmocka_unit_test(a_damaged_book_learns_anew),       cmocka_unit_test(names_are_those_of_fnv),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
