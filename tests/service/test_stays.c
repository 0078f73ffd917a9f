/* Several stays in one book: what earlier ones leave of a limit, permits, and that each keeps what it was begun with. */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "service/household.h"
#include "service/stays.h"
#include "tests/check.h"

static const int64_t DAY_S = 86400;

typedef struct kept {
    char folder[64], path[96], file[96];
    lw_book *book;
} kept;

static kept open_book(void)
{
    kept k = {.folder = "/tmp/leeway-stays-XXXXXX"};
    lw_err err = {0};
    assert_non_null(mkdtemp(k.folder));
    snprintf(k.path, sizeof k.path, "%s/book.sqlite", k.folder);
    snprintf(k.file, sizeof k.file, "%s/camp.yaml", k.folder);
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
    (void)remove(k->file);
    assert_int_equal(rmdir(k->folder), 0);
}

/* Civil days of June 2026 in UTC. */
static int64_t june(int day, int hour)
{
    return (lw_day_of((lw_date){2026, 6, 1}) + day - 1) * DAY_S + hour * 3600;
}

static lw_begun begin(const kept *k, int day, const char *rig, const char *place)
{
    FILE *file = fopen(k->file, "w");
    lw_begun begun = {0};
    lw_err err = {0};
    char at[24];
    assert_non_null(file);
    const lw_date date = lw_date_of(june(day, 0) / DAY_S);
    snprintf(at, sizeof at, "%04d-%02d-%02d", date.year, date.month, date.day);
    fprintf(file, "leeway: 1\nrig: %s\ncrew: 2 adults\nplace: {zone: UTC, elevation: 2000 ft, %s}\n", rig, place);
    fprintf(file, "stay: {arrive: %s 12:00}\nweather: {high: 80 F, low: 50 F}\n", at);
    fclose(file);
    if (lw_household_begin(k->book, k->file, june(day, 13), &begun, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return begun;
}

static lw_household load(const kept *k, int64_t now_s)
{
    lw_household h = {0};
    lw_err err = {0};
    if (lw_household_load(k->book, now_s, 0, &h, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return h;
}

#define BENCH  "name: Juniper Bench, latitude: 43 N, longitude: 118 W, manager: BLM Juniper, stay_rule: blm-usual"
#define FAR    "name: Far Wash, latitude: 43.6 N, longitude: 118 W, manager: BLM Juniper, stay_rule: blm-usual"
#define NEAR   "name: Near Wash, latitude: 43.1 N, longitude: 118 W, manager: blm juniper, stay_rule: blm-usual"
#define FOREST "name: Pine Flat, latitude: 43.1 N, longitude: 118 W, manager: Pine forest, stay_rule: usfs-14-30"

/* The last day here as the stay's end says it: 24:00 of that day of June. */
static void want_last_day(const kept *k, int now, int day)
{
    lw_household h = load(k, june(now, 14));
    const int64_t end_s = h.loaded.scenario->stay.stay_end_s;
    if (end_s != june(day + 1, 0))
        fail_msg("on %d June the last day is %.2f June, want %d", now, (double)(end_s - june(1, 0)) / (double)DAY_S,
                 day);
    lw_household_clear(&h);
}

/* 62 FR 66880 (22 Dec 1997): 14 days in any 28 within 25 air miles. Counted by hand: 1 to 7 June are seven days; away beyond
 * 25 miles (0.6 degrees of latitude are 41 miles) from 7 to 10 June; on the return seven are left, 10 to 16 June. */
static void coming_back_starts_no_limit_anew(void **state)
{
    (void)state;
    kept k = open_book();
    (void)begin(&k, 1, "class-c", BENCH);
    want_last_day(&k, 1, 14);
    (void)begin(&k, 7, "class-c", FAR);
    want_last_day(&k, 7, 20); /* nothing is used there: 7 to 20 June */
    (void)begin(&k, 10, "class-c", BENCH);
    want_last_day(&k, 10, 16);
    close_book(&k);
}

/* 0.1 degrees of latitude are 7 miles, within the radius: 1 to 7 June are used; the day of the move counts once. */
static void a_neighbouring_place_of_the_same_manager_counts(void **state)
{
    (void)state;
    kept k = open_book();
    (void)begin(&k, 1, "class-c", BENCH);
    (void)begin(&k, 7, "class-c", NEAR);
    want_last_day(&k, 7, 14);
    close_book(&k);
}

static void the_land_of_another_manager_does_not_count(void **state)
{
    (void)state;
    kept k = open_book();
    (void)begin(&k, 1, "class-c", BENCH);
    (void)begin(&k, 7, "class-c", FOREST);
    want_last_day(&k, 7, 20);
    close_book(&k);
}

/* While the permit holds the rule does not ask; days under it count, so that its last day is the last day here. A permit said
 * at one place holds on all land of its manager. */
static void a_permit_stands_in_for_the_rule(void **state)
{
    (void)state;
    kept k = open_book();
    (void)begin(&k, 1, "class-c", BENCH ", permits: [{from: 2026-06-05, to: 2026-06-27, price: 40 USD}]");
    want_last_day(&k, 1, 27);
    (void)begin(&k, 9, "class-c", NEAR);
    want_last_day(&k, 9, 27);
    close_book(&k);
}

static void without_a_rule_a_permit_ends_the_stay(void **state)
{
    (void)state;
    kept k = open_book();
    (void)begin(&k, 1, "class-c",
                "name: Winter Area, latitude: 33 N, longitude: 114 W, manager: BLM South, permits: [{from: 2026-05-01, "
                "to: 2027-05-01, season: 09-15 to 06-09}]");
    want_last_day(&k, 1, 9);
    close_book(&k);
}

static void want_text_of(const kept *k, int64_t stay, const char *has, const char *has_not)
{
    lw_kept_stays stays = {0};
    char *text = NULL;
    lw_err err = {0};
    assert_int_equal(lw_book_list_stays(k->book, &(lw_kept_key){.id = stay}, &stays, &err), LW_OK);
    if (lw_stay_text(k->book, &stays.stay[0], &text, &err) != LW_OK)
        fail_msg("%s", err.text);
    if (!strstr(text, has) || strstr(text, has_not))
        fail_msg("want %s and no %s in:\n%s", has, has_not, text);
    free(text);
    lw_kept_stays_clear(&stays);
}

static void a_stay_keeps_the_rig_and_place_it_was_begun_with(void **state)
{
    (void)state;
    kept k = open_book();
    const lw_begun first = begin(&k, 1, "{name: Barnacle, kind: van, solar: 200 W}", BENCH ", shade: 10 %");
    const lw_begun second = begin(&k, 8, "{name: Barnacle, kind: van, solar: 400 W}", BENCH ", shade: 20 %");
    const lw_begun third = begin(&k, 20, "{name: Barnacle, kind: van, solar: 600 W}", BENCH ", shade: 20 %");
    assert_int_equal(second.ended_stay, first.stay);
    assert_int_equal(third.rig, first.rig);
    want_text_of(&k, first.stay, "200 W", "400 W");
    want_text_of(&k, first.stay, "10 %", "20 %");
    want_text_of(&k, second.stay, "400 W", "600 W");
    want_text_of(&k, third.stay, "600 W", "400 W");
    lw_household h = load(&k, june(21, 0));
    CHECK_NEAR(h.loaded.scenario->rig.array[0].rated_w, 600.0, 0.0, "the present stay");
    lw_household_clear(&h);
    close_book(&k);
}

/* It is the stay that is described anew: nothing of before is left in it. */
static void the_same_stay_described_anew_is_as_it_is_told_last(void **state)
{
    (void)state;
    kept k = open_book();
    (void)begin(&k, 1, "{name: Barnacle, kind: van, solar: 200 W}", BENCH);
    const lw_begun again = begin(&k, 1, "{name: Barnacle, kind: van, solar: 400 W}", BENCH);
    assert_true(again.is_same);
    want_text_of(&k, again.stay, "400 W", "200 W");
    close_book(&k);
}

static void a_scenario_without_a_rig_can_be_begun(void **state)
{
    (void)state;
    kept k = open_book();
    FILE *file = fopen(k.file, "w");
    lw_begun begun = {0};
    lw_err err = {0};
    assert_non_null(file);
    fputs("leeway: 1\ncrew: 2 adults\nplace: {latitude: 38 N, longitude: 111 W}\nstay: {arrive: 2026-06-01 12:00}\n",
          file);
    fclose(file);
    if (lw_household_begin(k.book, k.file, june(1, 20), &begun, &err) != LW_OK)
        fail_msg("%s", err.text);
    lw_household h = load(&k, june(1, 20));
    assert_string_equal(h.loaded.rig_kind, "class-c");
    lw_household_clear(&h);
    close_book(&k);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(coming_back_starts_no_limit_anew),
        cmocka_unit_test(a_neighbouring_place_of_the_same_manager_counts),
        cmocka_unit_test(the_land_of_another_manager_does_not_count),
        cmocka_unit_test(a_permit_stands_in_for_the_rule),
        cmocka_unit_test(without_a_rule_a_permit_ends_the_stay),
        cmocka_unit_test(a_stay_keeps_the_rig_and_place_it_was_begun_with),
        cmocka_unit_test(the_same_stay_described_anew_is_as_it_is_told_last),
        cmocka_unit_test(a_scenario_without_a_rig_can_be_begun),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
