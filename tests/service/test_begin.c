/* A scenario taken into the book and out of it again is the same scenario: the same answer, letter for letter. */
#include "service/begin.h"

#include "service/outlook.h"
#include "service/outlook_json.h"
#include "tests/book/shelf.h"

static char *read_whole(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s cannot be opened", path);
    char *text = calloc(1, 1 << 20);
    assert_non_null(text);
    *size = fread(text, 1, (1 << 20) - 1, file);
    fclose(file);
    return text;
}

/* Takes loaded over. */
static char *answer_of(lw_loaded *loaded)
{
    lw_outlook_answer answer = {0};
    char *text = NULL;
    CHECK_OK(lw_outlook_of_loaded(loaded, 1, 0, NULL, &answer, &err));
    CHECK_OK(lw_outlook_json(&answer, &(lw_json_options){.wants_assumptions = 1}, &text, &err));
    lw_outlook_answer_clear(&answer);
    return text;
}

static void check_survives(const char *path, const char *bytes, size_t size)
{
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_begun begun;
    lw_kept_stay stay;
    lw_loaded before, after;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_begin(book, path, bytes, size, SHELF_NOW_S, &begun, &err));
    CHECK_OK(lw_scenario_load(&(lw_scenario_from){.path = path, .bytes = bytes, .size = size, .now_s = SHELF_NOW_S},
                              &before, &err));
    CHECK_OK(lw_stay_load(book, begun.arrival_s + 3600, &after, &stay, &err));
    assert_int_equal(stay.id, begun.stay);
    assert_memory_equal(&before.vessel_gauges[0].gauge[0].step, &after.vessel_gauges[0].gauge[0].step, sizeof(double));
    char *want = answer_of(&before), *got = answer_of(&after);
    if (strcmp(want, got) != 0)
        fail_msg("%s: another answer out of the book", path);
    free(want);
    free(got);
    lw_book_close(book);
    shelf_close(&s);
}

static void each_example_survives_the_book(void **state)
{
    static const char *const EXAMPLE[] = {"examples/every-key.yaml", "examples/family-at-work.yaml",
                                          "examples/ten-lines.yaml", "examples/winter-trailer.yaml"};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(EXAMPLE); i++) {
        size_t size;
        char *text = read_whole(EXAMPLE[i], &size);
        check_survives(EXAMPLE[i], text, size);
        free(text);
    }
}

static void other_forms_survive_too(void **state)
{
    static const char *const TEXT[] = {
        /* JSON */
        "{\"leeway\": \"1\", \"rig\": {\"kind\": \"class-c\", \"name\": \"A \\\"B\\\" \\\\ C\"}, \"crew\": \"2 "
        "adults\",\n"
        "\"place\": {\"latitude\": \"38.2 N\", \"longitude\": \"111.1 W\", \"elevation\": \"1000 m\"},\n"
        "\"stay\": {\"arrive\": \"2026-06-08 15:00\"}, \"weather\": {\"high\": \"30 C\", \"low\": \"10 C\"}}\n",
        /* the head not first, a comment, no line feed at the end, no arrival: it is the hour of beginning */
        "# a stay\nrig: class-c\ncrew: 2 adults # us\nleeway: 1\nweather: {high: 30 C,\nlow: 10 C}\n"
        "place: {latitude: 38.2 N, longitude: 111.1 W, elevation: 1000 m, zone: America/Denver}\nunits: si",
        /* a text that looks like a key at the start of a line */
        "---\nleeway: 1\nrig: {kind: class-c, name: \"odd\ncrew: name\"}\ncrew: 1 adult\n"
        "place: {latitude: 38.2 N, longitude: 111.1 W, elevation: 1000 m}\nweather: {high: 30 C, low: 10 C}\n",
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(TEXT); i++)
        check_survives("t.yaml", TEXT[i], strlen(TEXT[i]));
}

/* What a person wrote above a value is theirs. */
static void sections_are_kept_as_they_were_written(void **state)
{
    static const char TEXT[] = "leeway: 1\nrig:\n  # bought in May\n  kind: class-c\ncrew: 2 adults\nplace: {}\n"
                               "stay: {arrive: 2026-06-08 15:00}\nunits: si\n";
    lw_sections sections = {{0}};
    (void)state;
    CHECK_OK(lw_sections_cut("t.yaml", TEXT, sizeof TEXT - 1, &sections, &err));
    assert_string_equal(sections.text[LW_SECTION_RIG], "rig:\n  # bought in May\n  kind: class-c\n");
    assert_string_equal(sections.text[LW_SECTION_CREW], "crew: 2 adults\n");
    assert_string_equal(sections.text[LW_SECTION_STAY], "stay: {arrive: 2026-06-08 15:00}\nunits: si\n");
    lw_sections_clear(&sections);
    lw_sections_clear(&sections);
}

#define SCENARIO(name, arrive)                                                                                         \
    "leeway: 1\nrig: class-c\ncrew: 2 adults\nweather: {high: 30 C, low: 10 C}\n"                                      \
    "place: {name: " name ", latitude: 38.2 N, longitude: 111.1 W, elevation: 1000 m, zone: UTC}\n"                    \
    "stay: {arrive: " arrive "}\n"

static void a_stay_ends_as_the_next_begins(void **state)
{
    static const char FIRST[] = SCENARIO("Wash", "2026-06-08 15:00"), SECOND[] = SCENARIO("Mesa", "2026-06-12 10:00"),
                      EARLY[] = SCENARIO("Rim", "2026-06-01 10:00"), BROKEN[] = SCENARIO("Rim", "2026-16-01 10:00");
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_begun begun;
    lw_kept_stays stays = {0};
    lw_kept_stay stay;
    lw_loaded loaded;
    (void)state;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    CHECK_REFUSED(lw_stay_load(book, SHELF_NOW_S, &loaded, &stay, &err), LW_E_MISSING, "no stay that has begun");
    CHECK_OK(lw_begin(book, "a.yaml", FIRST, sizeof FIRST - 1, SHELF_NOW_S, &begun, &err));
    assert_string_equal(begun.ended, "");
    CHECK_REFUSED(lw_begin(book, "a.yaml", FIRST, sizeof FIRST - 1, SHELF_NOW_S, &begun, &err), LW_E_CONFLICT,
                  "in the book already");
    CHECK_REFUSED(lw_begin(book, "a.yaml", BROKEN, sizeof BROKEN - 1, SHELF_NOW_S, &begun, &err), LW_E_RANGE, "month");
    CHECK_REFUSED(lw_begin(book, "a.yaml", EARLY, sizeof EARLY - 1, SHELF_NOW_S, &begun, &err), LW_E_CONFLICT,
                  "begins later");
    CHECK_OK(lw_begin(book, "a.yaml", SECOND, sizeof SECOND - 1, SHELF_NOW_S + 5 * 86400, &begun, &err));
    assert_string_equal(begun.ended, "Wash");
    CHECK_OK(lw_book_list_stays(book, NULL, &stays, &err));
    assert_int_equal(stays.count, 2); /* what was refused left nothing */
    assert_true(stays.stay[0].left_s == stays.stay[1].arrival_s);
    assert_true(stays.stay[1].left_s == LW_NO_TIME);
    lw_kept_stays_clear(&stays);
    lw_book_close(book);
    shelf_close(&s);
}

/* Begun the evening before, it does not take the readings of the morning away from the stay that is going on. */
static void a_stay_to_come_leaves_the_one_that_goes_on(void **state)
{
    static const char FIRST[] = SCENARIO("Wash", "2026-06-08 15:00"), SECOND[] = SCENARIO("Mesa", "2026-06-12 10:00"),
                      THIRD[] = SCENARIO("Rim", "2026-06-14 10:00");
    static const int64_t SECOND_S = 1781258400; /* 2026-06-12 10:00 UTC */
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_begun begun;
    lw_kept_stays stays = {0};
    lw_kept_stay stay;
    lw_loaded loaded;
    (void)state;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_begin(book, "a.yaml", FIRST, sizeof FIRST - 1, SHELF_NOW_S, &begun, &err));
    CHECK_OK(lw_begin(book, "a.yaml", SECOND, sizeof SECOND - 1, SHELF_NOW_S, &begun, &err));
    assert_string_equal(begun.ended, "");
    assert_true(begun.arrival_s == SECOND_S);
    CHECK_OK(lw_stay_load(book, SECOND_S - 1, &loaded, &stay, &err));
    assert_string_equal(loaded.scenario->place.name, "Wash");
    lw_loaded_clear(&loaded);
    CHECK_OK(lw_stay_load(book, SECOND_S, &loaded, &stay, &err));
    assert_string_equal(loaded.scenario->place.name, "Mesa");
    lw_loaded_clear(&loaded);
    /* each of those that nobody ended ends as its own next one begins */
    CHECK_OK(lw_begin(book, "a.yaml", THIRD, sizeof THIRD - 1, SECOND_S + 7 * 86400, &begun, &err));
    CHECK_OK(lw_book_list_stays(book, NULL, &stays, &err));
    assert_true(stays.stay[0].left_s == SECOND_S);
    assert_true(stays.stay[1].left_s == begun.arrival_s);
    lw_kept_stays_clear(&stays);
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_example_survives_the_book),
        cmocka_unit_test(other_forms_survive_too),
        cmocka_unit_test(sections_are_kept_as_they_were_written),
        cmocka_unit_test(a_stay_ends_as_the_next_begins),
        cmocka_unit_test(a_stay_to_come_leaves_the_one_that_goes_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
