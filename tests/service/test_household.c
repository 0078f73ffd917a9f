/* From a scenario file into the book and back: the same camp; and from a later moment on. */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "tests/check.h"

#include "exchange/yaml_print.h"
#include "service/household.h"
#include "service/outlook.h"

static const char *const EXAMPLES[] = {"examples/every-key.yaml", "examples/family-at-work.yaml",
                                       "examples/ten-lines.yaml", "examples/winter-trailer.yaml"};
static const int64_t DAY_S = 86400;

typedef struct kept {
    char folder[64], path[96];
    lw_book *book;
} kept;

static kept open_book(void)
{
    kept k = {.folder = "/tmp/leeway-household-XXXXXX"};
    lw_err err = {0};
    assert_non_null(mkdtemp(k.folder));
    snprintf(k.path, sizeof k.path, "%s/book.sqlite", k.folder);
    if (lw_book_open(&k.book, k.path, LW_BOOK_CREATE, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return k;
}

static void close_book(kept *k)
{
    static const char *const ends[] = {"", "-wal", "-shm"};
    lw_book_close(k->book);
    for (size_t i = 0; i < COUNT_OF(ends); i++) {
        char path[112];
        snprintf(path, sizeof path, "%s%s", k->path, ends[i]);
        (void)remove(path);
    }
    assert_int_equal(rmdir(k->folder), 0);
}

static lw_begun begin(const kept *k, const char *path, int64_t now_s)
{
    lw_begun begun = {0};
    lw_err err = {0};
    if (lw_household_begin(k->book, path, now_s, &begun, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return begun;
}

static lw_household load(const kept *k, int64_t now_s, int64_t begin_s)
{
    lw_household h = {0};
    lw_err err = {0};
    if (lw_household_load(k->book, now_s, begin_s, &h, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return h;
}

static int64_t arrival_of(const char *path)
{
    lw_loaded loaded = {0};
    lw_err err = {0};
    if (lw_scenario_load(&(lw_scenario_from){.path = path}, &loaded, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    const int64_t arrival_s = loaded.scenario->stay.arrival_s;
    lw_loaded_clear(&loaded);
    return arrival_s;
}

static void the_book_gives_the_same_camp_back(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(EXAMPLES); i++) {
        kept k = open_book();
        lw_loaded file = {0};
        lw_err err = {0};
        const int64_t now_s = arrival_of(EXAMPLES[i]) + 3600;
        assert_int_equal(lw_scenario_load(&(lw_scenario_from){.path = EXAMPLES[i], .now_s = now_s}, &file, &err),
                         LW_OK);
        const lw_begun begun = begin(&k, EXAMPLES[i], now_s);
        lw_household h = load(&k, now_s, 0);
        assert_int_equal(h.stay, begun.stay);
        assert_int_equal(h.arrival_s, file.scenario->stay.arrival_s);
        assert_int_equal((int)h.loaded.units, (int)file.units);
        /* The same camp to the last bit of every flow and end: its bytes need not be, behind the ends of names. */
        lw_outlook_answer a = {0}, b = {0};
        assert_int_equal(lw_outlook_of_loaded(&file, 1, 0, NULL, &a, &err), LW_OK);
        assert_int_equal(lw_outlook_of_loaded(&h.loaded, 1, 0, NULL, &b, &err), LW_OK);
        for (int f = 0; f < LW_FLOW_COUNT; f++) {
            CHECK_NEAR(b.outlook->own.of[f], a.outlook->own.of[f], 0.0, "%s, own flow %d", EXAMPLES[i], f);
            CHECK_NEAR(b.outlook->joint.of[f], a.outlook->joint.of[f], 0.0, "%s, joint flow %d", EXAMPLES[i], f);
        }
        for (int s = 0; s < LW_SUPPLY_COUNT; s++)
            CHECK_NEAR(b.outlook->leeway[s].q[1].days, a.outlook->leeway[s].q[1].days, 0.0, "%s, end of %d",
                       EXAMPLES[i], s);
        assert_int_equal(b.outlook->event_count, a.outlook->event_count);
        lw_outlook_answer_clear(&a);
        lw_outlook_answer_clear(&b);
        lw_household_clear(&h);
        close_book(&k);
    }
}

/* The stay's own limit does not move, what has happened is left out, what is to come is still there. */
static void from_a_later_moment_the_same_stay_goes_on(void **state)
{
    (void)state;
    kept k = open_book();
    const int64_t arrival_s = arrival_of(EXAMPLES[0]), now_s = arrival_s + 7 * DAY_S;
    (void)begin(&k, EXAMPLES[0], now_s);
    lw_household whole = load(&k, now_s, 0), later = load(&k, now_s, now_s);
    const lw_scenario *a = whole.loaded.scenario, *b = later.loaded.scenario;
    assert_int_equal(b->stay.arrival_s, now_s);
    assert_int_equal(b->calendar.start_s, now_s);
    assert_int_equal(b->stay.departure_s, a->stay.departure_s);
    assert_int_equal(b->stay.stay_end_s, a->stay.stay_end_s);
    int still = 0;
    for (int i = 0; i < a->transfer_count; i++)
        still += a->transfer[i].at_s >= now_s &&
                 a->transfer[i].at_s < a->calendar.start_s + INT64_C(3600) * a->calendar.hours;
    int found = 0;
    for (int i = 0; i < b->transfer_count; i++) {
        assert_true(b->transfer[i].at_s >= now_s);
        found += b->transfer[i].at_s < a->calendar.start_s + INT64_C(3600) * a->calendar.hours;
    }
    assert_int_equal(found, still);
    /* The weather of an hour is that of the same hour. */
    const int shift = 7 * 24;
    for (int h = 0; h + shift < a->calendar.hours; h += 5)
        CHECK_NEAR(b->weather.air_c[h], a->weather.air_c[h + shift], 1e-9, "air in hour %d", h);
    lw_household_clear(&whole);
    lw_household_clear(&later);
    close_book(&k);
}

static void a_wish_that_is_over_is_none(void **state)
{
    (void)state;
    kept k = open_book();
    const int64_t now_s = arrival_of(EXAMPLES[2]) + 30 * DAY_S;
    (void)begin(&k, EXAMPLES[2], now_s);
    lw_household h = load(&k, now_s, now_s);
    assert_int_equal(h.loaded.scenario->stay.departure_s, 0);
    assert_true(h.loaded.overdue_s > 0 && h.loaded.overdue_s <= now_s);
    lw_household_clear(&h);
    h = load(&k, arrival_of(EXAMPLES[2]) + DAY_S, 0);
    assert_int_equal(h.loaded.overdue_s, 0);
    lw_household_clear(&h);
    close_book(&k);
}

/* Its weather is given by months, and none for the winter: not that is what the household is told. */
static void a_stay_that_ended_long_ago_is_said_to_be_over(void **state)
{
    (void)state;
    kept k = open_book();
    lw_household h = {0};
    lw_err err = {0}, other = {0};
    const int64_t now_s = arrival_of(EXAMPLES[1]) + 200 * DAY_S;
    (void)begin(&k, EXAMPLES[1], arrival_of(EXAMPLES[1]) + DAY_S);
    assert_int_equal(lw_household_load(k.book, now_s, now_s, &h, &err), LW_E_MISSING);
    assert_non_null(strstr(err.text, "your stay at Juniper Bench was to end Mon 22 Jun"));
    assert_non_null(strstr(err.text, "end it or begin the next"));
    assert_string_equal(err.where, "");
    assert_non_null(strstr(err.typed, "leeway end"));
    /* Where another day to leave is said, it is not over: then the month is what is missing. */
    assert_int_equal(lw_household_load_changed(k.book, now_s, now_s, "2027-01-10 10:00", NULL, 0, &h, &other),
                     LW_E_MISSING);
    assert_non_null(strstr(other.text, "there is no"));
    close_book(&k);
}

static void a_new_stay_ends_the_one_before(void **state)
{
    (void)state;
    kept k = open_book();
    const int64_t now_s = arrival_of(EXAMPLES[0]) + 5 * DAY_S;
    const lw_begun first = begin(&k, EXAMPLES[3], arrival_of(EXAMPLES[3]));
    /* One that is still to come ends nothing. */
    const lw_begun later = begin(&k, EXAMPLES[0], arrival_of(EXAMPLES[0]) - DAY_S);
    assert_int_equal(later.ended_stay, 0);
    const lw_begun second = begin(&k, EXAMPLES[0], now_s);
    assert_int_equal(second.stay, later.stay);
    assert_int_equal(first.ended_stay, 0);
    assert_int_equal(second.ended_stay, first.stay);
    lw_kept_stays stays = {0};
    lw_err err = {0};
    assert_int_equal(lw_book_list_stays(k.book, NULL, &stays, &err), LW_OK);
    assert_int_equal(stays.count, 2);
    assert_true(stays.stay[0].left_s != LW_NO_TIME);
    assert_true(stays.stay[1].left_s == LW_NO_TIME);
    lw_kept_stays_clear(&stays);
    close_book(&k);
}

static void the_same_arrival_is_the_same_stay(void **state)
{
    (void)state;
    kept k = open_book();
    const int64_t now_s = arrival_of(EXAMPLES[0]) + DAY_S;
    const lw_begun first = begin(&k, EXAMPLES[0], now_s), again = begin(&k, EXAMPLES[0], now_s);
    assert_true(again.is_same && !first.is_same);
    assert_int_equal(again.stay, first.stay);
    assert_int_equal(again.ended_stay, 0);
    close_book(&k);
}

static void an_empty_book_says_how_to_begin(void **state)
{
    (void)state;
    kept k = open_book();
    lw_household h = {0};
    lw_err err = {0};
    assert_int_equal(lw_household_load(k.book, 1780952400, 0, &h, &err), LW_E_MISSING);
    assert_non_null(strstr(err.typed, "leeway begin FILE.yaml"));
    assert_null(strstr(err.text, "leeway"));
    close_book(&k);
}

static void a_bad_file_leaves_the_book_as_it_was(void **state)
{
    (void)state;
    kept k = open_book();
    lw_begun begun;
    lw_err err = {0};
    lw_book_info info;
    assert_int_not_equal(lw_household_begin(k.book, "examples/no-such.yaml", 0, &begun, &err), LW_OK);
    err = (lw_err){0};
    assert_int_equal(lw_book_info_of(k.book, &info, &err), LW_OK);
    assert_int_equal(info.rigs + info.crews + info.places + info.stays + info.settings, 0);
    close_book(&k);
}

/* Texts that YAML would take for something else keep to the byte. */
static void printed_yaml_reads_the_same(void **state)
{
    static const char *const text[] = {"plain",
                                       "",
                                       " edge ",
                                       "a: b",
                                       "# no comment",
                                       "- no item",
                                       "\"quoted\"",
                                       "back\\slash",
                                       "two\nlines",
                                       "tab\there",
                                       "null",
                                       "true",
                                       "1e5",
                                       "{}",
                                       "[a, b]",
                                       "*x",
                                       "&x",
                                       "!x",
                                       "%x",
                                       "@x",
                                       "`x",
                                       "it's",
                                       "colon:",
                                       "a:b",
                                       "d\xc3\xa9j\xc3\xa0 vu",
                                       "---",
                                       "...",
                                       "?"};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(text); i++) {
        lw_yaml tree = {0}, again = {0};
        lw_err err = {0};
        char *printed = NULL, assignment[160], quoted[128];
        size_t n = 0;
        for (const char *c = text[i]; *c; c++) { /* a double-quoted scalar, by hand */
            if (*c == '"' || *c == '\\')
                quoted[n++] = '\\';
            if (*c == '\n' || *c == '\t')
                quoted[n++] = '\\', quoted[n++] = *c == '\n' ? 'n' : 't';
            else
                quoted[n++] = *c;
        }
        quoted[n] = '\0';
        assert_int_equal(lw_yaml_read(&tree, "test", "a: {b: x, c: [y, {d: z}]}\n", 26, &err), LW_OK);
        snprintf(assignment, sizeof assignment, "a.b=\"%s\"", quoted);
        if (lw_yaml_set(&tree, assignment, &err) != LW_OK)
            fail_msg("%s: %s", assignment, err.text);
        assert_int_equal(lw_yaml_print(lw_yaml_find(&tree, "a"), NULL, &printed, &err), LW_OK);
        if (lw_yaml_read(&again, "again", printed, strlen(printed), &err) != LW_OK)
            fail_msg("%s does not read: %s", printed, err.text);
        const lw_yaml_node *node = lw_yaml_find(&again, "a.b");
        if (!node || strcmp(node->text, text[i]) != 0)
            fail_msg("%s came back as %s by %s", text[i], node ? node->text : "nothing", printed);
        assert_string_equal(lw_yaml_find(&again, "a.c.2.d")->text, "z");
        free(printed);
        lw_yaml_clear(&tree);
        lw_yaml_clear(&again);
    }
}

static void copy(const char *from, const char *to)
{
    static char bytes[4096];
    FILE *in = fopen(from, "rb"), *out = fopen(to, "wb");
    assert_true(in && out);
    const size_t n = fread(bytes, 1, sizeof bytes, in);
    assert_true(n > 0 && n < sizeof bytes && fwrite(bytes, 1, n, out) == n);
    fclose(in);
    assert_int_equal(fclose(out), 0);
}

static void the_book_keeps_what_the_terrain_said_when_the_tiles_are_gone(void **state)
{
    (void)state;
    kept k = open_book();
    char tile[128], scenario[128];
    snprintf(tile, sizeof tile, "%s/N38W112.hgt.gz", k.folder);
    snprintf(scenario, sizeof scenario, "%s/camp.yaml", k.folder);
    copy("tests/reference/terrain/N38W112.hgt.gz", tile);
    FILE *file = fopen(scenario, "w");
    assert_non_null(file);
    fputs("leeway: 1\nrig: class-c\ncrew: 2 adults\nstay: {arrive: 2026-06-08 15:00, leave: 2026-06-18 10:00}\n"
          "place: {latitude: 38.2 N, longitude: 111.1 W, zone: UTC, terrain: .}\n",
          file);
    assert_int_equal(fclose(file), 0);
    const lw_begun begun = begin(&k, scenario, 1780930000);
    assert_int_equal(remove(tile), 0);
    assert_int_equal(remove(scenario), 0);
    lw_household h = load(&k, begun.arrival_s + 3600, 0);
    CHECK_NEAR(h.loaded.scenario->place.elevation_m, 1500.0, 1e-9, "height");
    CHECK_NEAR(h.loaded.scenario->place.horizon_deg[90], 12.7, 0.2, "the ridge in the east");
    lw_household_clear(&h);
    close_book(&k);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_book_gives_the_same_camp_back),
        cmocka_unit_test(from_a_later_moment_the_same_stay_goes_on),
        cmocka_unit_test(a_wish_that_is_over_is_none),
        cmocka_unit_test(a_stay_that_ended_long_ago_is_said_to_be_over),
        cmocka_unit_test(a_new_stay_ends_the_one_before),
        cmocka_unit_test(the_same_arrival_is_the_same_stay),
        cmocka_unit_test(an_empty_book_says_how_to_begin),
        cmocka_unit_test(a_bad_file_leaves_the_book_as_it_was),
        cmocka_unit_test(printed_yaml_reads_the_same),
        cmocka_unit_test(the_book_keeps_what_the_terrain_said_when_the_tiles_are_gone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
