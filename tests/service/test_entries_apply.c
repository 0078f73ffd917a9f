/* Records of a stay into the book's entries and out again, and what the learning and the outlook take of them. */
#include "service/entries_apply.h"

#include "service/people.h"
#include "tests/book/shelf.h"

enum { WORDS = 12, MOST = 64 };
static lw_loaded rig;

static int load_rig(void **state)
{
    lw_err err = {0};
    (void)state;
    return (int)lw_scenario_load(&(lw_scenario_from){.path = "examples/every-key.yaml"}, &rig, &err);
}

static int clear_rig(void **state)
{
    (void)state;
    lw_loaded_clear(&rig);
    return 0;
}

/* Entries of some lines, a quarter of an hour apart; words are parted by '|'. */
typedef struct lines {
    lw_logged logged[MOST];
    lw_entry_room room[MOST];
    lw_entry entry[MOST];
    size_t count;
} lines;

static lines *new_lines(const char *const *line, size_t count)
{
    lines *l = calloc(1, sizeof *l);
    assert_non_null(l);
    for (size_t i = 0; i < count; i++) {
        char copy[400];
        const char *words[WORDS];
        int n = 0;
        snprintf(copy, sizeof copy, "%s", line[i]);
        for (char *at = copy; at && n < WORDS;) {
            words[n++] = at;
            at = strchr(at, '|');
            if (at)
                *at++ = '\0';
        }
        CHECK_OK(lw_log_read(&rig, SHELF_NOW_S + 900 * (int64_t)i, words, n, &l->logged[i], &err));
        for (int k = 0; k < l->logged[i].count; k++, l->count++) {
            assert_true(l->count < MOST);
            lw_entry_of_record(&rig, &l->logged[i].record[k], 4, "00", &l->room[l->count], &l->entry[l->count]);
        }
    }
    return l;
}

static const char *const EVERYTHING[] = {
    "main=1/3|black=40%|left=14 lb|battery=12.4V at rest|generator=412.3h",
    "main=full",
    "main=empty",
    "main=2/3 to 1/3",
    "main=about 1/2",
    "battery=80%",
    "filled|main",
    "filled|main|20 gal",
    "dumped|grey",
    "dumped|black|4 gal",
    "refuelled|12 gal",
    "rubbish|dropped",
    "gave|cans|5 gal|to|the Marlows' tank",
    "received|fuel|2 gal|from|Marlow",
    "people|-1",
    "people|+2|children|until|2026-07-01 10:00",
    "people|+Marlow|-2",
    "habits|changed",
    "moved|Far Wash",
    "sanitised|main",
    "all grey=1/2",
    "spent|23.50 USD propane the co-op's",
    "spent=-5 CAD camp",
    "filled|main|15 gal|to|the|brim",
};

static void near_or_same(double got, double want, const char *what, const char *text)
{
    if (got == want || (isnan(got) && isnan(want)))
        return;
    CHECK_NEAR(got, want, 1e-9, "%s: %s", text, what);
}

/* Through the book itself, whose rules of what an entry may be are the book's. */
static void a_record_survives_the_book(void **state)
{
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_entries kept = {0};
    lines *l = new_lines(EVERYTHING, COUNT_OF(EVERYTHING));
    size_t at = 0;
    (void)state;
    for (size_t i = 0; i < l->count; i++)
        l->entry[i].device = "cli";
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_append(book, l->entry, l->count, &err));
    CHECK_OK(lw_book_history(book, &(lw_history){.is_oldest_first = 1}, &kept, &err));
    assert_int_equal(kept.count, l->count);
    for (size_t i = 0; i < COUNT_OF(EVERYTHING); i++)
        for (int k = 0; k < l->logged[i].count; k++, at++) {
            const lw_log_record *want = &l->logged[i].record[k];
            lw_log_record got;
            char line[LW_ID_TEXT];
            if (!lw_record_of_entry(&rig, &kept.entry[at], &got))
                fail_msg("%s is no record any more", want->text);
            assert_int_equal(got.kind, want->kind);
            assert_int_equal(got.vessel, want->vessel);
            assert_true(got.at_s == want->at_s);
            assert_int_equal(got.is_at_rest, want->is_at_rest);
            assert_int_equal(got.people, want->people);
            assert_int_equal(got.is_brim, want->is_brim);
            assert_int_equal((int)got.being, (int)want->being);
            assert_int_equal(got.is_kind_said, want->is_kind_said);
            assert_true(got.until_s == want->until_s);
            assert_int_equal(got.also, want->also);
            assert_string_equal(got.target, want->target);
            assert_int_equal(got.gauge, want->gauge);
            assert_string_equal(got.party, want->party);
            assert_string_equal(got.text, want->text);
            near_or_same(got.low, want->low, "low", want->text);
            near_or_same(got.high, want->high, "high", want->text);
            near_or_same(got.shown, want->shown, "shown", want->text);
            near_or_same(got.lie_frac, want->kind == LW_LOG_READING ? want->lie_frac : got.lie_frac, "lie", want->text);
            near_or_same(got.amount, want->amount, "amount", want->text);
            assert_string_equal(lw_entry_line(&kept.entry[at], line, sizeof line), "00");
        }
    lw_entries_clear(&kept);
    lw_book_close(book);
    shelf_close(&s);
    free(l);
}

static int vessel_at(const char *name);

/* A metered fill is two things: it is full now, and a second before so much was missing; by time, whatever was logged before. */
static void a_metered_fill_says_what_was_missing(void **state)
{
    static const char *const LINES[] = {"main=1/3", "filled|main|15 gal|to|the|brim", "main=full", "cans=about 1/2"};
    static lw_applied a;
    lines *l = new_lines(LINES, COUNT_OF(LINES));
    (void)state;
    l->entry[0].stated_s = l->entry[1].stated_s; /* the lamp was looked at in the very second of the fill */
    CHECK_OK(lw_entries_apply(&rig, &(lw_entries){.entry = l->entry, .count = l->count}, &a, &err));
    assert_int_equal(a.transfer_count, 1);
    assert_int_equal(a.transfer[0].kind, LW_TRANSFER_FILL);
    assert_int_equal(a.reading_count, 4);
    const lw_reading *r = a.reading;
    assert_int_equal(r[0].what, LW_READ_ROOM);
    assert_true(r[0].at_s == a.transfer[0].at_s - 1);
    const double missing_l = 15.0 * 3.785411784; /* NIST SP 811 */
    CHECK_NEAR(r[0].low, 0.95 * missing_l, 1e-9, "low");
    CHECK_NEAR(r[0].high, 1.05 * missing_l, 1e-9, "high");
    assert_int_equal(r[1].what, LW_READ_GAUGE);
    assert_int_equal(r[3].what, LW_READ_SHARE); /* an eye has no bias */
    assert_int_equal(r[3].vessel, vessel_at("cans"));
    lw_applied_clear(&a);
    free(l);
}

/* A gauge that is known to show a tenth too much: the level is a tenth of the tank lower than its lamps say. */
static void a_known_bias_is_taken_off(void **state)
{
    static const char *const LINES[] = {"main=2/3", "main=about 1/2"};
    static lw_applied a;
    lines *l = new_lines(LINES, COUNT_OF(LINES));
    const int v = vessel_at("main");
    const double capacity = rig.scenario->rig.vessel[v].capacity;
    (void)state;
    rig.vessel_gauges[v].bias_frac[0] = 0.1;
    CHECK_OK(lw_entries_apply(&rig, &(lw_entries){.entry = l->entry, .count = l->count}, &a, &err));
    rig.vessel_gauges[v].bias_frac[0] = 0.0;
    assert_int_equal(a.reading_count, 2);
    CHECK_NEAR(a.reading[0].low, (2.0 / 3.0 - 0.1) * capacity, 1e-6, "lamps");
    CHECK_NEAR(a.reading[1].low, 0.375 * capacity, 1e-6, "the eye: an eighth to either side of a half");
    lw_applied_clear(&a);
    free(l);
}

static int vessel_at(const char *name)
{
    for (int v = 0; v < rig.scenario->rig.vessel_count; v++)
        if (strcmp(rig.scenario->rig.vessel[v].name, name) == 0)
            return v;
    fail_msg("no vessel %s", name);
    return -1;
}

static void levels_meters_and_transfers_go_their_own_ways(void **state)
{
    static lw_applied a;
    lines *l = new_lines(EVERYTHING, COUNT_OF(EVERYTHING));
    const lw_entries entries = {.entry = l->entry, .count = l->count};
    const double gal = 3.785411784; /* NIST SP 811 */
    (void)state;
    CHECK_OK(lw_entries_apply(&rig, &entries, &a, &err));
    assert_int_equal(a.reading_count, 10); /* volts and hours are none of them; the last is what a metered fill says */
    assert_int_equal(a.reading[0].vessel, vessel_at("main"));
    CHECK_NEAR(a.reading[0].low, 40 * gal / 3, 1e-9, "main at 1/3");
    CHECK_NEAR(a.reading[0].lie_frac, 0.05, 1e-12, "lie");
    assert_true(isinf(a.reading[3].high) && a.reading[3].high > 0); /* full */
    assert_true(isinf(a.reading[4].low) && a.reading[4].low < 0);   /* empty */
    CHECK_NEAR(a.reading[5].low, a.reading[5].high, 0.0, "the light changed");
    assert_int_equal(a.reading[7].vessel, LW_READ_BATTERY);
    assert_int_equal(a.reading[8].vessel, vessel_at("kitchen grey"));
    assert_int_equal(a.reading[8].also, 1u << vessel_at("bath grey"));
    CHECK_NEAR(a.reading[8].low, 18 * gal, 1e-9, "half of both greys");
    assert_int_equal(a.volts_count, 1);
    CHECK_NEAR(a.volts[0].low, 12.35, 1e-9, "volts stay volts");
    assert_true(a.volts[0].is_at_rest);
    assert_int_equal(a.hours_count, 1);
    CHECK_NEAR(a.hours[0].low, 412.3, 1e-9, "hours");
    /* main, main 20 gal, two greys, black 4 gal, tank 12 gal, two places of rubbish, cans, tank, main metered */
    assert_int_equal(a.transfer_count, 11);
    assert_int_equal(a.transfer[0].kind, LW_TRANSFER_FILL);
    CHECK_NEAR(a.transfer_sd[0], 0.02 * 40 * gal, 1e-9, "a brim");
    assert_int_equal(a.transfer[1].kind, LW_TRANSFER_ADD);
    CHECK_NEAR(a.transfer[1].amount, 20 * gal, 1e-9, "put in");
    CHECK_NEAR(a.transfer_sd[1], gal, 1e-9, "a stated amount");
    assert_int_equal(a.transfer[2].kind, LW_TRANSFER_EMPTY);
    CHECK_NEAR(a.transfer[4].amount, -4 * gal, 1e-9, "let out");
    CHECK_NEAR(a.transfer[8].amount, -5 * gal, 1e-9, "given");
    assert_string_equal(a.transfer[9].why, "Marlow");
    assert_true(a.habits_changed_s == SHELF_NOW_S + 900 * 17);
    assert_int_equal(a.passed_over, 0);
    for (int i = 1; i < a.reading_count; i++)
        assert_true(a.reading[i].at_s >= a.reading[i - 1].at_s);
    lw_applied_clear(&a);
    lw_applied_clear(&a);
    free(l);
}

/* The rig changes, the entries stay. */
static void what_the_rig_has_no_more_is_passed_over_and_counted(void **state)
{
    static lw_applied a;
    lw_entry entry[] = {
        {.kind = LW_ENTRY_READING, .target = "fresh/bladder", .low = 1, .high = 2, .amount = NAN, .unit = "l"},
        {.kind = LW_ENTRY_READING, .target = "fresh/main", .low = 1, .high = 2, .amount = NAN, .detail = "{gauge: ["},
        {.kind = LW_ENTRY_READING, .target = "fresh/main", .low = 1, .high = 2, .amount = NAN, .is_undone = 1},
        {.kind = LW_ENTRY_EXPENSE, .target = "fuel", .amount = 40},
    };
    const lw_entries entries = {.entry = entry, .count = COUNT_OF(entry)};
    (void)state;
    CHECK_OK(lw_entries_apply(&rig, &entries, &a, &err));
    assert_int_equal(a.passed_over, 1);
    assert_int_equal(a.reading_count, 1); /* with a detail that cannot be read it is still an interval */
    CHECK_NEAR(a.reading[0].lie_frac, 0.05, 1e-12, "the lie of the eye");
    lw_applied_clear(&a);
}

static void more_transfers_than_the_engine_takes_are_refused(void **state)
{
    static lw_applied a;
    static lw_entry entry[LW_TRANSFERS + 1];
    (void)state;
    for (size_t i = 0; i < COUNT_OF(entry); i++)
        entry[i] = (lw_entry){.kind = LW_ENTRY_FILLED, .target = "fresh/main", .low = NAN, .high = NAN, .amount = 1};
    CHECK_REFUSED(lw_entries_apply(&rig, &(lw_entries){.entry = entry, .count = COUNT_OF(entry)}, &a, &err), LW_E_FULL,
                  "more than 192 fills");
    assert_null(a.reading);
}

/* Doubt comes in with a neighbour's water and goes with bleach, never the other way round. */
static void water_is_doubted_from_a_gift_until_the_tank_is_sanitised(void **state)
{
    static const char *const line[] = {"received|main|5 gal|from|Marlow", "received|cans|1 gal|from|Marlow",
                                       "sanitised|main", "received|fuel|2 gal|from|Marlow"};
    lw_potable potable[LW_VESSELS];
    const int main_tank = vessel_at("main"), cans = vessel_at("cans");
    const lw_potable said = rig.scenario->rig.vessel[main_tank].potable;
    lines *l = new_lines(line, COUNT_OF(line));
    (void)state;
    for (int bad = 0; bad < 2; bad++) {
        static const lw_potable want[][2] = {{LW_POTABLE_UNKNOWN, LW_POTABLE_YES},
                                             {LW_POTABLE_UNKNOWN, LW_POTABLE_UNKNOWN},
                                             {LW_POTABLE_YES, LW_POTABLE_UNKNOWN}};
        rig.scenario->rig.vessel[main_tank].potable = bad ? LW_POTABLE_NO : LW_POTABLE_YES;
        for (size_t n = 0; n < COUNT_OF(want); n++) {
            lw_entries_potable(&rig, &(lw_entries){.entry = l->entry, .count = n + 1}, potable);
            const lw_potable want_main = bad && n < 2 ? LW_POTABLE_NO : want[n][0]; /* a gift mends nothing */
            if (potable[main_tank] != want_main || potable[cans] != want[n][1])
                fail_msg("after %s: main %d, cans %d, want %d and %d", line[n], (int)potable[main_tank],
                         (int)potable[cans], (int)want_main, (int)want[n][1]);
        }
    }
    l->entry[2].is_undone = 1;
    lw_entries_potable(&rig, &(lw_entries){.entry = l->entry, .count = l->count}, potable);
    assert_int_equal((int)potable[main_tank], (int)LW_POTABLE_NO);
    rig.scenario->rig.vessel[main_tank].potable = said;
    free(l);
}

static void only_those_at_the_table_are_counted(void **state)
{
    static const char TEXT[] =
        "leeway: 1\nrig: class-c\ncrew: 2 adults, child, dog, cat\nweather: {high: 30 C, low: 10 C}\n"
        "place: {latitude: 38.2 N, longitude: 111.1 W, elevation: 1000 m}\n"
        "stay: {arrive: 2026-06-08 15:00}\n";
    lw_loaded camp;
    (void)state;
    CHECK_OK(
        lw_scenario_load(&(lw_scenario_from){.path = "t.yaml", .bytes = TEXT, .size = sizeof TEXT - 1}, &camp, &err));
    assert_int_equal(lw_people_at(&camp, SHELF_NOW_S), 3);
    camp.scenario->crew.person[0].guest = (lw_span){SHELF_NOW_S, SHELF_NOW_S + 3600};
    assert_int_equal(lw_people_at(&camp, SHELF_NOW_S), 3);
    assert_int_equal(lw_people_at(&camp, SHELF_NOW_S + 3600), 2);
    lw_loaded_clear(&camp);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_known_bias_is_taken_off),
        cmocka_unit_test(a_metered_fill_says_what_was_missing),
        cmocka_unit_test(a_record_survives_the_book),
        cmocka_unit_test(levels_meters_and_transfers_go_their_own_ways),
        cmocka_unit_test(what_the_rig_has_no_more_is_passed_over_and_counted),
        cmocka_unit_test(more_transfers_than_the_engine_takes_are_refused),
        cmocka_unit_test(water_is_doubted_from_a_gift_until_the_tank_is_sanitised),
        cmocka_unit_test(only_those_at_the_table_are_counted),
    };
    return cmocka_run_group_tests(tests, load_rig, clear_rig);
}
