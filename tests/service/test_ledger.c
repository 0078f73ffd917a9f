/* The book added up: nights, what rules leave and money, against counts by hand. */
#include <sys/wait.h>

#include "book/entries.h"
#include "service/ledger_json.h"
#include "tests/service/camp_book.h"

#define PERMITS ", permits: [{name: spring, from: 2026-05-15, to: 2026-06-08, price: 40 USD, renews: 14 days}]"

static void spend(const camp_book *k, int64_t stay, int64_t at_s, double amount, const char *currency, const char *kind)
{
    lw_entry e = {.stay = stay,
                  .stated_s = at_s,
                  .device_s = at_s,
                  .kind = LW_ENTRY_EXPENSE,
                  .device = "test",
                  .target = kind,
                  .unit = currency,
                  .amount = amount,
                  .low = NAN,
                  .high = NAN};
    lw_err err = {0};
    if (lw_book_append(k->book, &e, 1, &err) != LW_OK)
        fail_msg("%s", err.text);
}

/* 1 to 7 June at the bench, 7 to 10 June 41 miles off on land of the same manager, then the bench again; money in two currencies,
 * of which one was taken back. */
static camp_book three_stays(void)
{
    camp_book k = camp_book_open();
    lw_err err = {0};
    const lw_begun first = camp_book_begin(&k, 1, "class-c", BENCH);
    spend(&k, first.stay, june(3, 12), 23.5, "USD", "propane");
    spend(&k, first.stay, june(3, 13), 8.0, "CAD", "camp");
    spend(&k, first.stay, june(4, 13), 99.99, "USD", "gear");
    assert_int_equal(lw_book_undo(k.book, NULL, "test", june(4, 14), NULL, &err), LW_OK);
    const lw_begun second = camp_book_begin(&k, 7, "class-c", FAR PERMITS);
    spend(&k, second.stay, june(8, 12), 61.2, "USD", "food");
    spend(&k, second.stay, june(9, 12), -1.2, "USD", "food");
    (void)camp_book_begin(&k, 10, "class-c", BENCH);
    return k;
}

static lw_book_ledger ledger_of(const camp_book *k, const char *since, int64_t stay)
{
    lw_book_ledger l = {0};
    lw_err err = {0};
    const lw_ledger_request request = {.now_s = june(13, 20), .since = since, .stay = stay};
    if (lw_book_ledger_make(k->book, &request, &l, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return l;
}

static void nights_are_counted_by_place_and_manager(void **state)
{
    (void)state;
    camp_book k = three_stays();
    lw_book_ledger l = ledger_of(&k, NULL, 0);
    assert_int_equal(l.nights, 12); /* 1 to 12 June */
    assert_int_equal(l.stay_count, 3);
    assert_int_equal(l.place_count, 2);
    assert_string_equal(l.place[0].name, "Juniper Bench");
    assert_int_equal(l.place[0].nights, 9);
    assert_int_equal(l.place[0].stays, 2);
    assert_int_equal(l.place[1].nights, 3);
    assert_int_equal(l.manager_count, 1);
    assert_int_equal(l.manager[0].nights, 12);
    lw_book_ledger_clear(&l);
    l = ledger_of(&k, "2026-06-05", 0);
    assert_int_equal(l.nights, 8);
    assert_int_equal(l.stay[0].nights, 2);
    lw_book_ledger_clear(&l);
    l = ledger_of(&k, "5 days", 2); /* from 8 June on, of the second stay: 8 and 9 June */
    assert_int_equal(l.nights, 2);
    assert_int_equal(l.stay_count, 1);
    lw_book_ledger_clear(&l);
    lw_book_ledger_clear(&l);
    camp_book_close(&k);
}

/* 62 FR 66880 (22 Dec 1997): 14 days in any 28 within 25 air miles, by hand: at the bench 1 to 7 and 10 to 12 June are ten days;
 * 13 to 16 June are left; 1 June leaves the 28 days on 29 June; staying away from 14 June on, 13 June leaves them on 11 July.
 * Far off 7 to 10 June are four. */
static void rules_look_at_all_stays(void **state)
{
    (void)state;
    camp_book k = three_stays();
    lw_book_ledger l = ledger_of(&k, "2026-06-12", 0); /* since says nothing to a rule */
    assert_int_equal(l.limit_count, 2);
    const lw_place_limit *here = &l.limit[0], *far = &l.limit[1];
    assert_true(here->is_here && !far->is_here);
    assert_string_equal(here->place, "Juniper Bench");
    assert_int_equal(here->left.used_days, 10);
    assert_int_equal(here->left.left_days, 4);
    assert_int_equal(here->left.leave_day, june(16, 0) / CAMP_DAY_S);
    assert_int_equal(here->left.again_day, june(29, 0) / CAMP_DAY_S);
    assert_int_equal(here->frees.first_day, june(29, 0) / CAMP_DAY_S);
    assert_int_equal(here->frees.freed_days, 1);
    assert_int_equal(here->frees.all_day, june(41, 0) / CAMP_DAY_S);
    assert_int_equal(far->left.used_days, 4);
    assert_int_equal(far->left.left_days, 10);
    assert_int_equal(l.permit_count, 1);
    CHECK_NEAR(l.permit[0].cost_usd, 80.0, 0.0, "due on 15 and 29 May");
    assert_false(l.permit[0].is_now);
    lw_book_ledger_clear(&l);
    camp_book_close(&k);
}

static void money_is_added_by_kind_and_never_converted(void **state)
{
    (void)state;
    camp_book k = three_stays();
    lw_book_ledger l = ledger_of(&k, NULL, 0);
    assert_int_equal(l.money[LW_CURRENCY_USD].all_cents, 8350); /* what was taken back is not in it, nor the permit */
    assert_int_equal(l.money[LW_CURRENCY_USD].cents[LW_EXPENSE_FOOD], 6000);
    assert_int_equal(l.money[LW_CURRENCY_CAD].all_cents, 800);
    assert_int_equal(l.stay[0].money[LW_CURRENCY_USD].all_cents, 2350);
    assert_int_equal(l.stay[1].money[LW_CURRENCY_USD].all_cents, 6000);
    assert_int_equal(l.month_count, 1);
    assert_int_equal(l.month[0].month, 6);
    assert_false(lw_has_money(&l.stay[2].money[LW_CURRENCY_USD]));
    lw_book_ledger_clear(&l);
    l = ledger_of(&k, "2026-06-09", 0);
    assert_int_equal(l.money[LW_CURRENCY_USD].all_cents, -120);
    assert_false(lw_has_money(&l.money[LW_CURRENCY_CAD]));
    lw_book_ledger_clear(&l);
    camp_book_close(&k);
}

static void what_is_not_there_is_refused(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    lw_book_ledger l = {0};
    lw_err err = {0};
    lw_ledger_request request = {.now_s = june(13, 20)};
    assert_int_equal(lw_book_ledger_make(k.book, &request, &l, &err), LW_E_MISSING);
    assert_non_null(strstr(err.typed, "leeway begin FILE.yaml"));
    (void)camp_book_begin(&k, 1, "class-c", BENCH);
    err = (lw_err){0};
    request.stay = 9;
    assert_int_equal(lw_book_ledger_make(k.book, &request, &l, &err), LW_E_MISSING);
    err = (lw_err){0};
    request = (lw_ledger_request){.now_s = june(13, 20), .since = "never"};
    assert_int_equal(lw_book_ledger_make(k.book, &request, &l, &err), LW_E_SYNTAX);
    camp_book_close(&k);
}

static void the_json_keeps_to_its_schema(void **state)
{
    (void)state;
    camp_book k = three_stays();
    char path[128], command[256];
    snprintf(path, sizeof path, "%s/ledger.json", k.folder);
    lw_book_ledger l = ledger_of(&k, NULL, 0);
    char *text = lw_ledger_json(&l, "0.0.0");
    FILE *file = fopen(path, "w");
    assert_true(text && file);
    fputs(text, file);
    fclose(file);
    free(text);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/ledger.schema.json %s", path);
    const int status = system(command);
    (void)remove(path);
    lw_book_ledger_clear(&l);
    camp_book_close(&k);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nights_are_counted_by_place_and_manager),
        cmocka_unit_test(rules_look_at_all_stays),
        cmocka_unit_test(money_is_added_by_kind_and_never_converted),
        cmocka_unit_test(what_is_not_there_is_refused),
        cmocka_unit_test(the_json_keeps_to_its_schema),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
