/* Several stays in one book: what earlier ones leave of a limit, permits, and that each keeps what it was begun with. */
#include "service/stays.h"
#include "tests/service/camp_book.h"

/* The last day here as the stay's end says it: 24:00 of that day of June. */
static void want_last_day(const camp_book *k, int now, int day)
{
    lw_household h = camp_book_load(k, june(now, 14));
    const int64_t end_s = h.loaded.scenario->stay.stay_end_s;
    if (end_s != june(day + 1, 0))
        fail_msg("on %d June the last day is %.2f June, want %d", now,
                 (double)(end_s - june(1, 0)) / (double)CAMP_DAY_S, day);
    lw_household_clear(&h);
}

/* 62 FR 66880 (22 Dec 1997): 14 days in any 28 within 25 air miles. Counted by hand: 1 to 7 June are seven days; away beyond
 * 25 miles (0.6 degrees of latitude are 41 miles) from 7 to 10 June; on the return seven are left, 10 to 16 June. */
static void coming_back_starts_no_limit_anew(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    (void)camp_book_begin(&k, 1, "class-c", BENCH);
    want_last_day(&k, 1, 14);
    (void)camp_book_begin(&k, 7, "class-c", FAR);
    want_last_day(&k, 7, 20); /* nothing is used there: 7 to 20 June */
    (void)camp_book_begin(&k, 10, "class-c", BENCH);
    want_last_day(&k, 10, 16);
    camp_book_close(&k);
}

/* 0.1 degrees of latitude are 7 miles, within the radius: 1 to 7 June are used; the day of the move counts once. */
static void a_neighbouring_place_of_the_same_manager_counts(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    (void)camp_book_begin(&k, 1, "class-c", BENCH);
    (void)camp_book_begin(&k, 7, "class-c", NEAR);
    want_last_day(&k, 7, 14);
    camp_book_close(&k);
}

static void the_land_of_another_manager_does_not_count(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    (void)camp_book_begin(&k, 1, "class-c", BENCH);
    (void)camp_book_begin(&k, 7, "class-c", FOREST);
    want_last_day(&k, 7, 20);
    /* and on the forest's land only the forest's days do: 7 and 8 June */
    (void)camp_book_begin(
        &k, 9, "class-c",
        "name: Pine Creek, latitude: 43.1 N, longitude: 118 W, manager: Pine forest, stay_rule: usfs-14-30");
    want_last_day(&k, 9, 20);
    camp_book_close(&k);
}

/* While the permit holds the rule does not ask; days under it count, so that its last day is the last day here. A permit said
 * at one place holds on all land of its manager. */
static void a_permit_stands_in_for_the_rule(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    (void)camp_book_begin(&k, 1, "class-c", BENCH ", permits: [{from: 2026-06-05, to: 2026-06-27, price: 40 USD}]");
    want_last_day(&k, 1, 27);
    (void)camp_book_begin(&k, 9, "class-c", NEAR);
    want_last_day(&k, 9, 27);
    camp_book_close(&k);
}

static void without_a_rule_a_permit_ends_the_stay(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    (void)camp_book_begin(
        &k, 1, "class-c",
        "name: Winter Area, latitude: 33 N, longitude: 114 W, manager: BLM South, permits: [{from: 2026-05-01, "
        "to: 2027-05-01, season: 09-15 to 06-09}]");
    want_last_day(&k, 1, 9);
    camp_book_close(&k);
}

static void want_text_of(const camp_book *k, int64_t stay, const char *has, const char *has_not)
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
    camp_book k = camp_book_open();
    const lw_begun first = camp_book_begin(&k, 1, "{name: Barnacle, kind: van, solar: 200 W}", BENCH ", shade: 10 %");
    const lw_begun second = camp_book_begin(&k, 8, "{name: Barnacle, kind: van, solar: 400 W}", BENCH ", shade: 20 %");
    const lw_begun third = camp_book_begin(&k, 20, "{name: Barnacle, kind: van, solar: 600 W}", BENCH ", shade: 20 %");
    assert_int_equal(second.ended_stay, first.stay);
    assert_int_equal(third.rig, first.rig);
    want_text_of(&k, first.stay, "200 W", "400 W");
    want_text_of(&k, first.stay, "10 %", "20 %");
    want_text_of(&k, second.stay, "400 W", "600 W");
    want_text_of(&k, third.stay, "600 W", "400 W");
    lw_household h = camp_book_load(&k, june(21, 0));
    CHECK_NEAR(h.loaded.scenario->rig.array[0].rated_w, 600.0, 0.0, "the present stay");
    lw_household_clear(&h);
    camp_book_close(&k);
}

/* It is the stay that is described anew: nothing of before is left in it. */
static void the_same_stay_described_anew_is_as_it_is_told_last(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    (void)camp_book_begin(&k, 1, "{name: Barnacle, kind: van, solar: 200 W}", BENCH);
    const lw_begun again = camp_book_begin(&k, 1, "{name: Barnacle, kind: van, solar: 400 W}", BENCH);
    assert_true(again.is_same);
    want_text_of(&k, again.stay, "400 W", "200 W");
    camp_book_close(&k);
}

static void a_scenario_without_a_rig_can_be_begun(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    FILE *file = fopen(k.file, "w");
    lw_begun begun = {0};
    lw_err err = {0};
    assert_non_null(file);
    fputs("leeway: 1\ncrew: 2 adults\nplace: {latitude: 38 N, longitude: 111 W}\nstay: {arrive: 2026-06-01 12:00}\n",
          file);
    fclose(file);
    if (lw_household_begin(k.book, k.file, june(1, 20), &begun, &err) != LW_OK)
        fail_msg("%s", err.text);
    lw_household h = camp_book_load(&k, june(1, 20));
    assert_string_equal(h.loaded.rig_kind, "class-c");
    lw_household_clear(&h);
    camp_book_close(&k);
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
