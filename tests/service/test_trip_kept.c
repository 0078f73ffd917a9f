/* Trips in the book by name, tables kept there, requests in JSON; and the wishes to relax against trying every set of them. */
#include <jansson.h>

#include "book/trips.h"
#include "service/trip_request.h"
#include "tests/book/shelf.h"
#include "tests/service/camp_book.h"

enum { NOW_S = 1810238400 }; /* 13 May 2027 */

static char *read_all(const char *path)
{
    static char text[8192];
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    text[fread(text, 1, sizeof text - 1, file)] = '\0';
    fclose(file);
    return text;
}

static lw_trip_ask ask_of(lw_book *book)
{
    return (lw_trip_ask){.path = "tests/trips/short.yaml",
                         .plans = 2,
                         .draws = 16,
                         .fresh = 500,
                         .seed = 1,
                         .book = book,
                         .now_s = NOW_S};
}

static char *json_of(const lw_trip_planned *p)
{
    char *text = lw_trip_json(p, "1");
    assert_non_null(text);
    return text;
}

static void a_kept_trip_is_shown_as_it_was_planned(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    lw_trip_planned *p = calloc(1, sizeof *p), *shown = calloc(1, sizeof *shown);
    const lw_trip_ask ask = ask_of(k.book);
    assert_true(p && shown);
    CHECK_OK(lw_trip_make(&ask, p, &err));
    CHECK_OK(lw_trip_keep(k.book, "week", &ask, p, NOW_S, &err));
    CHECK_OK(lw_trip_show(k.book, "week", &ask, shown, &err));
    char *planned = json_of(p), *again = json_of(shown);
    assert_string_equal(planned, again);
    free(planned);
    free(again);
    lw_trip_clear(p);
    /* Rows that the book has give the trip that was made without them. */
    CHECK_OK(lw_trip_make(&ask, p, &err));
    again = json_of(p);
    lw_trip_clear(p);
    lw_trip_ask alone = ask;
    alone.book = NULL;
    CHECK_OK(lw_trip_make(&alone, p, &err));
    planned = json_of(p);
    assert_string_equal(planned, again);
    free(planned);
    free(again);
    lw_trip_clear(p);
    lw_trip_clear(shown);
    free(p);
    free(shown);
    camp_book_close(&k);
}

/* Four nights on: where the plan had it, with what the plan counted as used, and the nights before count for stay rules. */
static void the_rest_goes_on_from_where_the_plan_has_it(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    lw_trip_planned *p = calloc(1, sizeof *p), *rest = calloc(1, sizeof *rest);
    lw_trip_ask ask = ask_of(k.book);
    assert_true(p && rest);
    CHECK_OK(lw_trip_make(&ask, p, &err));
    CHECK_OK(lw_trip_keep(k.book, "week", &ask, p, NOW_S, &err));
    ask.from = "2027-05-17";
    ask.plans = 1;
    CHECK_OK(lw_trip_replan(k.book, "week", 0, &ask, "rest", rest, &err));
    assert_int_equal(rest->plan_count, 1);
    assert_int_equal(rest->file.until_day - rest->file.from_day, 2);
    assert_int_equal(rest->file.start, p->plan[0].out.chain.place[2]);
    assert_int_equal(rest->plan[0].used[0], p->plan[0].used[3]);
    lw_trip_clear(rest);
    CHECK_OK(lw_trip_show(k.book, "rest", &ask, rest, &err));
    assert_int_equal(rest->plan[0].used[0], p->plan[0].used[3]);
    lw_trip_clear(rest);
    CHECK_REFUSED(lw_trip_replan(k.book, "week", 3, &ask, NULL, rest, &err), LW_E_MISSING, "has 2 plans");
    lw_trip_clear(p);
    free(p);
    free(rest);
    camp_book_close(&k);
}

/* Of three nights two have been: the third is still wanted where one is, and another wish that was kept is not asked again. */
static void what_was_had_of_a_wish_counts(void **state)
{
    (void)state;
    static const char TEXT[] =
        "leeway: 1\ntrip: {camp: examples/couple-on-the-road.yaml, from: 2027-05-14, until: 2027-05-20, start: a, "
        "drive_days: "
        "Mon-Sun, work_chance: 0 %, supplies_chance: 50 %}\nplaces:\n"
        "  - {name: a, latitude: 37.1, longitude: -112.4, elevation: 1700 m, worth: 30 USD, everything: yes}\n"
        "  - {name: b, latitude: 37.2, longitude: -112.4, elevation: 1700 m, worth: 90 USD, everything: yes}\n"
        "wishes:\n  - {what: three there, at: a, nights: 3, until: 2027-05-17, must: yes}\n"
        "  - {what: one there, at: a, nights: 1, until: 2027-05-16, must: yes}\n";
    camp_book k = camp_book_open();
    lw_trip_planned *p = calloc(1, sizeof *p), *rest = calloc(1, sizeof *rest);
    lw_trip_ask ask = ask_of(k.book);
    assert_true(p && rest);
    ask.path = "t.yaml";
    ask.text = TEXT;
    ask.plans = 1;
    CHECK_OK(lw_trip_make(&ask, p, &err));
    CHECK_OK(lw_trip_keep(k.book, "week", &ask, p, NOW_S, &err));
    ask.from = "2027-05-16";
    CHECK_OK(lw_trip_replan(k.book, "week", 0, &ask, "rest", rest, &err));
    if (rest->plan_count != 1)
        fail_msg("%s %s", rest->why, rest->relax[0]);
    assert_int_equal(rest->plan[0].out.chain.place[0], 0);
    assert_int_equal(rest->plan[0].out.chain.place[1], 1);
    assert_true(rest->plan[0].wishes_asked == 1u && rest->plan[0].wishes_kept == 1u);
    lw_trip_clear(rest);
    lw_trip_clear(p);
    free(p);
    free(rest);
    camp_book_close(&k);
}

/* ---- requests ---- */

static char *request(const camp_book *k, json_t *what, lw_code want, const char *says)
{
    char *json = json_dumps(what, JSON_COMPACT), *answer = NULL;
    lw_err err = {0};
    const lw_trip_ask how = {.now_s = NOW_S};
    assert_non_null(json);
    const lw_code code = lw_trip_request(k->book, json, strlen(json), &how, "1", &answer, &err);
    if (code != want || (says && !strstr(code ? err.text : answer, says)))
        fail_msg("%s: %d %s %s", json, (int)code, err.text, answer ? answer : "");
    free(json);
    json_decref(what);
    return answer;
}

static char *without_camp(void)
{
    char *text = read_all("tests/trips/short.yaml"), *camp = strstr(text, "camp: "), *end = strchr(camp, ',');
    memset(camp, ' ', (size_t)(end - camp) + 1);
    return text;
}

static void a_trip_is_asked_for_in_json(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    lw_begun begun;
    CHECK_OK(lw_household_begin(k.book, "examples/couple-on-the-road.yaml", NOW_S, &begun, &err));
    char *made =
        request(&k, json_pack("{s:s, s:s, s:s, s:i}", "do", "plan", "trip", without_camp(), "keep", "mine", "plans", 1),
                LW_OK, "\"schema\": \"leeway.trip/1\"");
    char *shown = request(&k, json_pack("{s:s, s:s}", "do", "show", "name", "mine"), LW_OK, NULL);
    assert_string_equal(made, shown);
    free(shown);
    free(made);
    free(request(&k, json_pack("{s:s}", "do", "list"), LW_OK, "\"mine\""));
    free(request(&k,
                 json_pack("{s:s, s:s, s:[s], s:i}", "do", "replan", "name", "mine", "full", "Ferry Bend", "plans", 1),
                 LW_OK, "\"plans\""));
    free(request(&k, json_pack("{s:s, s:s}", "do", "forget", "name", "mine"), LW_OK, "\"trips\": []"));
    (void)request(&k, json_pack("{s:s, s:s}", "do", "show", "name", "mine"), LW_E_MISSING, "no trip is kept as mine");
    (void)request(&k, json_pack("{s:s, s:s}", "do", "plan", "trip", read_all("tests/trips/short.yaml")), LW_E_CONFLICT,
                  "cannot name a file");
    (void)request(&k, json_pack("{s:s}", "do", "fly"), LW_E_SYNTAX, "do is one of");
    (void)request(&k, json_pack("{s:s, s:i}", "do", "list", "days", 3), LW_E_SYNTAX, "days is no key");
    (void)request(&k, json_pack("{s:s, s:i}", "do", "plan", "plans", 9), LW_E_RANGE, "from 1 to 4");
    (void)request(&k, json_pack("[]"), LW_E_SYNTAX, "is a JSON object");
    camp_book_close(&k);
}

static int stop_at_once(void *with, int done, int of)
{
    (void)with, (void)done, (void)of;
    return 0;
}

static void a_plan_is_stopped(void **state)
{
    (void)state;
    lw_trip_planned *p = calloc(1, sizeof *p);
    lw_trip_ask ask = ask_of(NULL);
    assert_non_null(p);
    ask.progress = stop_at_once;
    CHECK_REFUSED(lw_trip_make(&ask, p, &err), LW_E_CONFLICT, "stopped");
    assert_null(p->plan);
    free(p);
}

/* ---- what to relax ---- */

/* All that may be relaxed of these trips: everything is at hand everywhere, so that no place needs another near. */
enum { MUST, MUST_TOO, LESS_WORK, NO_WORK, DAY, WEEK, COLD, HOT, MONEY, ITEMS };

static unsigned roll(unsigned *state, unsigned sides)
{
    *state = *state * 1664525U + 1013904223U;
    return (*state >> 10) % sides;
}

/* A week from a weekend on, in hills where not all can be had; relaxed as service/trip_relax.c does. */
typedef struct teller {
    int last, calls, went_back;
} teller;

static int told(void *with, int done, int of)
{
    teller *t = with;
    t->went_back |= done < t->last || done > of;
    t->last = done;
    t->calls++;
    return 1;
}

static int at_once(void *with)
{
    return ((const teller *)with)->calls > 0;
}

static void the_best_so_far_is_given_and_progress_never_goes_back(void **state)
{
    (void)state;
    teller t = {.last = 0}, hasty = {.last = 0};
    lw_err err = {0};
    lw_trip_planned *p = calloc(1, sizeof *p);
    assert_non_null(p);
    lw_trip_ask ask = {.path = "tests/trips/short.yaml",
                       .plans = 2,
                       .draws = 8,
                       .fresh = 200,
                       .seed = 1,
                       .progress = told,
                       .with = &t};
    if (lw_trip_make(&ask, p, &err))
        fail_msg("%s", err.text);
    assert_true(p->plan_count == 2 && t.calls > 3 && !t.went_back && t.last == 1000);
    lw_trip_clear(p);
    ask.is_enough = at_once;
    ask.with = &hasty;
    if (lw_trip_make(&ask, p, &err))
        fail_msg("%s", err.text);
    assert_int_equal(p->plan_count, 1); /* the others were not looked for */
    assert_true(p->plan[0].out.bound_c >= p->plan[0].out.value_c && p->plan[0].supplies_frac > 0.0);
    lw_trip_clear(p);
    free(p);
}

static void say_trip(char *text, size_t n, unsigned seed, unsigned relaxed)
{
    unsigned r = seed * 977U + 5U;
    const double day_h = 1.5 + roll(&r, 3), week_h = day_h + roll(&r, 3), cold_c = roll(&r, 10),
                 hot_c = 20.0 + roll(&r, 10), money = 60.0 + 40.0 * roll(&r, 5);
#define IS(item) (relaxed >> (item)&1u)
    int used = snprintf(
        text, n,
        "leeway: 1\ntrip: {from: 2027-05-14, until: 2027-05-20, start: p0, drive_days: Fri-Sun, work_chance: %s,"
        " drive_day: %g h, drive_week: %g h, coldest: %g C, hottest: %g C, budget: %g USD, nights_chance: 50 %%}\n"
        "places:\n",
        IS(NO_WORK)     ? "0 %"
        : IS(LESS_WORK) ? "60 %"
                        : "80 %",
        day_h * (IS(DAY) ? 1.5 : 1.0), week_h * (IS(WEEK) ? 1.5 : 1.0), cold_c - (IS(COLD) ? 6.0 : 0.0),
        hot_c + (IS(HOT) ? 5.0 : 0.0), money * (IS(MONEY) ? 1.5 : 1.0));
    /* A statement a roll: compilers work out arguments in orders of their own. */
    for (int p = 0; p < 4; p++) {
        const unsigned signal_pct = 45 + 10 * roll(&r, 6);
        const unsigned fee = 5 * roll(&r, 6);
        const unsigned height_ft = 3000 + 1000 * roll(&r, 6);
        const double west = 112.0 + roll(&r, 12) / 8.0;
        const double north = 37.0 + roll(&r, 12) / 8.0;
        used += snprintf(text + used, n - (size_t)used,
                         "- {name: p%d, latitude: %g N, longitude: %g W, elevation: %u ft, fee: %u USD, signal: %u %%,"
                         " everything: yes}\n",
                         p, north, west, height_ft, fee, signal_pct);
    }
    for (int w = 0; w < 2; w++) {
        const unsigned nights = 1 + roll(&r, 2);
        const unsigned at = 1 + roll(&r, 3);
        used += snprintf(text + used, n - (size_t)used, "%s- {what: w%d, at: p%u, nights: %u, must: %s%s}\n",
                         w == 0 ? "wishes:\n" : "", w, at, nights, IS(MUST + w) ? "no" : "yes",
                         IS(MUST + w) ? ", worth: 1 USD" : "");
    }
#undef IS
}

static int plan_says(unsigned seed, unsigned relaxed, lw_trip_planned *p)
{
    static char text[4096];
    lw_err err = {0};
    say_trip(text, sizeof text, seed, relaxed);
    const lw_trip_ask ask = {.path = "hills",
                             .text = text,
                             .camp = read_all("examples/couple-on-the-road.yaml"),
                             .plans = 1,
                             .draws = 16,
                             .fresh = 16,
                             .seed = 1,
                             .is_without_advice = relaxed != 0};
    if (lw_trip_make(&ask, p, &err))
        fail_msg("%s: %s\n%s", err.where, err.text, text);
    return p->plan_count > 0;
}

static int bits_of(unsigned set)
{
    int count = 0;
    for (; set; set &= set - 1)
        count++;
    return count;
}

static int size_told(const char *text)
{
    int size = 1 + (strstr(text, " and ") != NULL);
    for (const char *at = strstr(text, ", "); at; at = strstr(at + 1, ", "))
        size++;
    return size;
}

static void the_smallest_sets_to_relax_are_those_of_trying_all(void **state)
{
    (void)state;
    const int is_soak = getenv("LEEWAY_SOAK") != NULL, most = is_soak ? 3 : 2; /* sets of three are many */
    static const unsigned QUICK[] = {1, 6, 15, 21}; /* sets of two; of one; one; more than are told */
    const unsigned cases = is_soak ? 200 : COUNT_OF(QUICK);
    lw_trip_planned *p = calloc(1, sizeof *p), *tried = calloc(1, sizeof *tried);
    int by_size[4] = {0};
    assert_true(p && tried);
    for (unsigned i = 0; i < cases; i++) {
        const unsigned seed = is_soak ? i + 1 : QUICK[i];
        if (plan_says(seed, 0, p)) {
            lw_trip_clear(p);
            continue;
        }
        int size = 1, found = 0;
        for (; size <= most && found == 0; size++)
            for (unsigned set = 1; set < 1u << ITEMS; set++)
                if (bits_of(set) == size) {
                    found += plan_says(seed, set, tried);
                    lw_trip_clear(tried);
                }
        size--;
        if (found == 0 && most < 3) {
            if (p->relax_count && size_told(p->relax[0]) < 3)
                fail_msg("seed %u: none of two or fewer by trying all, told %s", seed, p->relax[0]);
            by_size[0]++;
            lw_trip_clear(p);
            continue;
        }
        const int told = found < LW_TRIP_RELAXED ? found : LW_TRIP_RELAXED;
        if (p->relax_count != told || (found && size_told(p->relax[0]) != size))
            fail_msg("seed %u: %d sets of %d by trying all, told %d such as %s", seed, found, size, p->relax_count,
                     p->relax[0]);
        if (is_soak)
            print_message("seed %u: %d sets of %d\n", seed, found, size);
        by_size[found ? size : 0]++;
        lw_trip_clear(p);
    }
    print_message("smallest sets of 1, 2, 3: %d, %d, %d; none or not tried: %d\n", by_size[1], by_size[2], by_size[3],
                  by_size[0]);
    assert_true(by_size[1] > 0 && by_size[2] > 0);
    free(p);
    free(tried);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_kept_trip_is_shown_as_it_was_planned),
        cmocka_unit_test(the_rest_goes_on_from_where_the_plan_has_it),
        cmocka_unit_test(what_was_had_of_a_wish_counts),
        cmocka_unit_test(a_trip_is_asked_for_in_json),
        cmocka_unit_test(a_plan_is_stopped),
        cmocka_unit_test(the_best_so_far_is_given_and_progress_never_goes_back),
        cmocka_unit_test(the_smallest_sets_to_relax_are_those_of_trying_all),
    };
    return cmocka_run_group_tests_name("service/trip_kept", tests, NULL, NULL);
}
