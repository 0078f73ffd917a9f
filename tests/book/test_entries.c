/* The list of entries: what is appended once is there once, what is undone is hidden, and the questions of every day are
 * answered by an index. */
#include <sqlite3.h>

#include "tests/book/shelf.h"

static shelf s;
static lw_book *book;
static int64_t stay;

static int open_one(void **state)
{
    (void)state;
    s = shelf_open();
    book = NULL;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    stay = shelf_stay(book);
    return 0;
}

static int close_one(void **state)
{
    (void)state;
    lw_book_close(book);
    shelf_close(&s);
    return 0;
}

static size_t count_of(const lw_history *which)
{
    lw_entries found = {0};
    CHECK_OK(lw_book_history(book, which, &found, &err));
    const size_t count = found.count;
    lw_entries_clear(&found);
    return count;
}

static void an_entry_comes_back_as_it_was(void **state)
{
    (void)state;
    lw_entries found = {0};
    lw_entry e = shelf_reading("grey/kitchen grey", SHELF_NOW_S, 0.1);
    e.high = 0.30000000000000004;
    e.said = "grey=\"1/3\": \xC3\xA9 \xF0\x9F\x9A\xBF\nsecond line";
    e.note = "";
    e.detail = "{a: 1}";
    e.stay = stay;
    e.device_s = SHELF_NOW_S + 5;
    e.is_clock_doubted = 1;
    CHECK_OK(lw_book_append(book, &e, 1, &err));
    CHECK_OK(lw_book_history(book, &(lw_history){0}, &found, &err));
    assert_int_equal(found.count, 1);
    const lw_entry *got = &found.entry[0];
    assert_true(lw_id_equal(&got->id, &e.id));
    assert_string_equal(got->said, e.said);
    assert_string_equal(got->note, "");
    assert_string_equal(got->detail, e.detail);
    assert_string_equal(got->target, e.target);
    CHECK_NEAR(got->low, e.low, 0.0, "low");
    CHECK_NEAR(got->high, e.high, 0.0, "high");
    assert_true(isnan(got->amount));
    assert_true(got->stay == stay && got->device_s == e.device_s && got->is_clock_doubted && !got->is_undone);
    lw_entries_clear(&found);
}

static void a_repeated_entry_gives_the_first_answer(void **state)
{
    (void)state;
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_OK(lw_book_append(book, &e, 1, &err));
    assert_false(e.is_repeat);
    lw_entry again[2] = {e, shelf_reading("fresh", SHELF_NOW_S + 60, 0.4)};
    again[0].server_s += 1000;
    CHECK_OK(lw_book_append(book, again, 2, &err));
    assert_true(again[0].is_repeat && again[0].seq == e.seq && again[0].server_s == e.server_s);
    assert_true(!again[1].is_repeat && again[1].seq > e.seq);
    assert_int_equal(count_of(&(lw_history){0}), 2);
}

static void several_are_appended_whole_or_not_at_all(void **state)
{
    (void)state;
    lw_entry e[3] = {shelf_reading("fresh", SHELF_NOW_S, 0.5), shelf_reading("fresh", SHELF_NOW_S, 0.5),
                     shelf_reading("fresh", SHELF_NOW_S, 0.5)};
    e[2].stay = 77;
    CHECK_REFUSED(lw_book_append(book, e, 3, &err), LW_E_MISSING, "no stay 77");
    assert_int_equal(count_of(&(lw_history){0}), 0);
    e[2] = shelf_reading("fresh", SHELF_NOW_S, (double)NAN);
    e[2].low = 0.1;
    CHECK_REFUSED(lw_book_append(book, e, 3, &err), LW_E_RANGE, "interval");
    e[2].low = (double)INFINITY;
    CHECK_REFUSED(lw_book_append(book, e, 3, &err), LW_E_RANGE, "finite");
    e[2] = shelf_reading("fre\x01sh", SHELF_NOW_S, 0.5);
    CHECK_REFUSED(lw_book_append(book, e, 3, &err), LW_E_SYNTAX, "control character");
    e[2] = shelf_reading("fre\xC0\x80", SHELF_NOW_S, 0.5);
    CHECK_REFUSED(lw_book_append(book, e, 3, &err), LW_E_SYNTAX, "UTF-8");
    e[2] = shelf_reading("fresh", -5, 0.5);
    CHECK_REFUSED(lw_book_append(book, e, 3, &err), LW_E_RANGE, "1970");
    assert_int_equal(count_of(&(lw_history){0}), 0);
}

static void what_is_undone_is_hidden_but_kept(void **state)
{
    (void)state;
    lw_entry e[2] = {shelf_reading("fresh", SHELF_NOW_S, 0.5), shelf_reading("fresh", SHELF_NOW_S + 60, 0.2)};
    lw_entries undone = {0}, newest = {0}, all = {0};
    CHECK_OK(lw_book_append(book, e, 2, &err));
    CHECK_OK(lw_book_undo(book, NULL, "phone", SHELF_NOW_S + 90, &undone, &err));
    assert_true(lw_id_equal(&undone.entry[0].id, &e[1].id));
    CHECK_OK(lw_book_newest(book, LW_ENTRY_READING, 0, &newest, &err));
    assert_int_equal(newest.count, 1);
    CHECK_NEAR(newest.entry[0].low, 0.5, 0.0, "the one before");
    CHECK_OK(lw_book_history(book, &(lw_history){.has_undone = 1, .is_oldest_first = 1}, &all, &err));
    assert_int_equal(all.count, 3);
    assert_true(all.entry[1].is_undone && all.entry[2].kind == LW_ENTRY_UNDO);
    CHECK_REFUSED(lw_book_undo(book, &e[1].id, "phone", SHELF_NOW_S, NULL, &err), LW_E_CONFLICT, "undone already");
    CHECK_REFUSED(lw_book_undo(book, &all.entry[2].id, "phone", SHELF_NOW_S, NULL, &err), LW_E_CONFLICT, "not undone");
    CHECK_REFUSED(lw_book_undo(book, NULL, "laptop", SHELF_NOW_S, NULL, &err), LW_E_MISSING, "nothing to undo");
    CHECK_OK(lw_book_undo(book, &e[0].id, NULL, SHELF_NOW_S, NULL, &err));
    assert_int_equal(count_of(&(lw_history){0}), 0);
    lw_entries_clear(&undone);
    lw_entries_clear(&newest);
    lw_entries_clear(&all);
}

static void history_is_found_by_time_stay_kind_and_target(void **state)
{
    (void)state;
    lw_entry e[40];
    for (int i = 0; i < 40; i++) {
        e[i] = shelf_reading(i % 4 ? "fresh" : "battery", SHELF_NOW_S + 60 * (i % 20), 0.5);
        e[i].stay = i < 10 ? 0 : stay;
        e[i].kind = i % 5 ? LW_ENTRY_READING : LW_ENTRY_FILLED;
    }
    CHECK_OK(lw_book_append(book, e, 40, &err));
    assert_int_equal(count_of(&(lw_history){.stay = stay}), 30);
    assert_int_equal(count_of(&(lw_history){.target = "battery"}), 10);
    assert_int_equal(count_of(&(lw_history){.kinds = 1u << LW_ENTRY_FILLED}), 8);
    assert_int_equal(count_of(&(lw_history){.kinds = 1u << LW_ENTRY_FILLED | 1u << LW_ENTRY_READING}), 40);
    assert_int_equal(count_of(&(lw_history){.from_s = SHELF_NOW_S + 60, .to_s = SHELF_NOW_S + 180}), 4);
    assert_int_equal(count_of(&(lw_history){.limit = 7}), 7);
    lw_entries found = {0};
    CHECK_OK(lw_book_newest(book, LW_ENTRY_READING, stay, &found, &err));
    assert_int_equal(found.count, 2);
    assert_string_equal(found.entry[0].target, "battery");
    assert_int_equal(found.entry[1].stated_s, SHELF_NOW_S + 60 * 19);
    lw_entries_clear(&found);
}

static void a_wrong_clock_is_put_right_together(void **state)
{
    (void)state;
    lw_entry e[2] = {shelf_reading("fresh", 1000, 0.5), shelf_reading("fresh", SHELF_NOW_S, 0.5)};
    int64_t corrected = 0;
    e[0].is_clock_doubted = 1;
    CHECK_OK(lw_book_append(book, e, 2, &err));
    assert_int_equal(count_of(&(lw_history){.is_doubted_only = 1}), 1);
    CHECK_OK(lw_book_correct_clock(book, "phone", SHELF_NOW_S, &corrected, &err));
    assert_int_equal(corrected, 1);
    assert_int_equal(count_of(&(lw_history){.is_doubted_only = 1}), 0);
    assert_int_equal(count_of(&(lw_history){.from_s = SHELF_NOW_S + 1000, .to_s = SHELF_NOW_S + 1001}), 1);
}

static void entries_are_never_changed_or_deleted(void **state)
{
    (void)state;
    sqlite3 *db = NULL;
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_OK(lw_book_append(book, &e, 1, &err));
    assert_int_equal(sqlite3_open(s.path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "DELETE FROM entry", NULL, NULL, NULL), SQLITE_CONSTRAINT);
    assert_int_equal(sqlite3_exec(db, "UPDATE entry SET low = 0", NULL, NULL, NULL), SQLITE_CONSTRAINT);
    sqlite3_close(db);
}

/* ---- plans ---- */

static char plan[4096];

/* Every statement of the book passes here: its plan is asked for on a connection of our own. */
static int see_statement(unsigned what, void *context, void *stmt, void *text)
{
    sqlite3 *db = context;
    sqlite3_stmt *explain = NULL;
    char sql[4096];
    (void)what;
    (void)text;
    snprintf(sql, sizeof sql, "EXPLAIN QUERY PLAN %s", sqlite3_sql(stmt));
    if (sqlite3_prepare_v2(db, sql, -1, &explain, NULL) == SQLITE_OK)
        while (sqlite3_step(explain) == SQLITE_ROW) {
            strncat(plan, (const char *)sqlite3_column_text(explain, 3), sizeof plan - strlen(plan) - 2);
            strcat(plan, "\n");
        }
    sqlite3_finalize(explain);
    return 0;
}

static sqlite3 *onlooker;

static int watch(sqlite3 *db, const char **said, const struct sqlite3_api_routines *api)
{
    (void)said;
    (void)api;
    return sqlite3_trace_v2(db, SQLITE_TRACE_STMT, see_statement, onlooker);
}

static void no_daily_question_reads_every_entry(void **state)
{
    (void)state;
    lw_book *watched = NULL;
    lw_entries found = {0};
    lw_id id;
    memset(&id, 1, sizeof id);
    const lw_history QUESTION[] = {
        {.limit = 20},
        {.stay = stay},
        {.stay = stay, .target = "fresh", .kinds = 1u << LW_ENTRY_READING},
        {.target = "fresh", .kinds = 1u << LW_ENTRY_READING, .limit = 20},
        {.from_s = SHELF_NOW_S, .to_s = SHELF_NOW_S + 86400},
        {.id = &id, .has_undone = 1},
    };
    assert_int_equal(sqlite3_open(s.path, &onlooker), SQLITE_OK);
    sqlite3_auto_extension((void (*)(void))watch);
    CHECK_OK(lw_book_open(&watched, s.path, LW_BOOK_WRITE, &err));
    sqlite3_cancel_auto_extension((void (*)(void))watch);
    for (size_t i = 0; i <= COUNT_OF(QUESTION) + 1; i++) {
        plan[0] = '\0';
        if (i < COUNT_OF(QUESTION))
            CHECK_OK(lw_book_history(watched, &QUESTION[i], &found, &err));
        else
            CHECK_OK(lw_book_newest(watched, LW_ENTRY_READING, i == COUNT_OF(QUESTION) ? 0 : stay, &found, &err));
        lw_entries_clear(&found);
        assert_true(strstr(plan, "USING") != NULL);
        /* "SCAN e USING INDEX" is a walk in the order asked for, which the limit ends; "SCAN e" reads all. */
        if (strstr(plan, "SCAN e\n") || strstr(plan, "SCAN i\n") || strstr(plan, "SCAN n\n") ||
            strstr(plan, "SCAN entry\n") || strstr(plan, "SCAN u") || (i != 6 && i != 7 && strstr(plan, "TEMP B-TREE")))
            fail_msg("question %zu:\n%s", i, plan);
    }
    lw_book_close(watched);
    sqlite3_close(onlooker);
}

int main(void)
{
#define WITH_BOOK(test) cmocka_unit_test_setup_teardown(test, open_one, close_one)
    const struct CMUnitTest tests[] = {
        WITH_BOOK(an_entry_comes_back_as_it_was),
        WITH_BOOK(a_repeated_entry_gives_the_first_answer),
        WITH_BOOK(several_are_appended_whole_or_not_at_all),
        WITH_BOOK(what_is_undone_is_hidden_but_kept),
        WITH_BOOK(history_is_found_by_time_stay_kind_and_target),
        WITH_BOOK(a_wrong_clock_is_put_right_together),
        WITH_BOOK(entries_are_never_changed_or_deleted),
        WITH_BOOK(no_daily_question_reads_every_entry),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
