/* Paired devices, first answers, the count of changes, and the one way in which everything goes. */
#include <sqlite3.h>

#include "book/devices.h"
#include "book/learned.h"
#include "book/rows.h"
#include "tests/book/shelf.h"

static lw_book *open_new(const shelf *s)
{
    lw_book *book = NULL;
    CHECK_OK(lw_book_open(&book, s->path, LW_BOOK_CREATE, &err));
    return book;
}

static void a_device_is_known_by_its_secret_until_it_is_revoked(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = open_new(&s);
    const unsigned char one[LW_TOKEN_HASH] = {1}, two[LW_TOKEN_HASH] = {2};
    int64_t id = 0, other = 0;
    int is_there = 0;
    lw_device found = {0};
    lw_devices all = {0};
    CHECK_OK(lw_book_add_device(book, "Anna's phone", one, SHELF_NOW_S, &id, &err));
    CHECK_OK(lw_book_add_device(book, "the tablet", two, SHELF_NOW_S, &other, &err));
    CHECK_OK(lw_book_find_device(book, one, SHELF_NOW_S + 5, &found, &is_there, &err));
    assert_true(is_there && found.id == id);
    assert_string_equal(found.name, "Anna's phone");
    CHECK_OK(lw_book_list_devices(book, &all, &err));
    assert_int_equal(all.count, 2);
    assert_true(all.device[0].seen_s == SHELF_NOW_S + 5);
    assert_true(all.device[1].seen_s == LW_NO_TIME);
    lw_devices_clear(&all);
    CHECK_OK(lw_book_revoke_device(book, id, &err));
    CHECK_OK(lw_book_find_device(book, one, SHELF_NOW_S, &found, &is_there, &err));
    assert_false(is_there);
    CHECK_OK(lw_book_find_device(book, two, SHELF_NOW_S, &found, &is_there, &err));
    assert_true(is_there && found.id == other);
    CHECK_REFUSED(lw_book_revoke_device(book, id, &err), LW_E_MISSING, "there is no device");
    CHECK_REFUSED(lw_book_add_device(book, "", one, SHELF_NOW_S, &id, &err), LW_E_MISSING, "the device's name");
    CHECK_REFUSED(lw_book_add_device(book, "a thief", two, SHELF_NOW_S, &id, &err), LW_E_CONFLICT, "does not go");
    lw_book_close(book);
    shelf_close(&s);
}

static void the_first_answer_stays(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = open_new(&s);
    const lw_id id = {{7}}, other = {{8}};
    char *text = NULL;
    CHECK_OK(lw_book_answer_of(book, &id, &text, &err));
    assert_null(text);
    CHECK_OK(lw_book_keep_answer(book, &id, SHELF_NOW_S, "{\"says\": 1}", &err));
    CHECK_REFUSED(lw_book_keep_answer(book, &id, SHELF_NOW_S, "{}", &err), LW_E_CONFLICT, "does not go");
    lw_book_close(book);
    book = open_new(&s);
    CHECK_OK(lw_book_answer_of(book, &id, &text, &err));
    assert_string_equal(text, "{\"says\": 1}");
    free(text);
    CHECK_OK(lw_book_answer_of(book, &other, &text, &err));
    assert_null(text);
    lw_book_close(book);
    shelf_close(&s);
}

static int64_t changes_of(lw_book *book)
{
    int64_t changes = -1;
    CHECK_OK(lw_book_changes(book, &changes, &err));
    return changes;
}

static void every_change_counts_and_nothing_else(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = open_new(&s);
    const unsigned char hash[LW_TOKEN_HASH] = {1};
    int64_t id, before = changes_of(book);
    CHECK_OK(lw_book_set(book, "units", "si", &err));
    assert_true(changes_of(book) > before);
    before = changes_of(book);
    const int64_t stay = shelf_stay(book);
    assert_true(changes_of(book) > before);
    before = changes_of(book);
    lw_entry entry = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    entry.stay = stay;
    CHECK_OK(lw_book_append(book, &entry, 1, &err));
    assert_true(changes_of(book) > before);
    before = changes_of(book);
    CHECK_OK(lw_book_append(book, &entry, 1, &err)); /* again: a repeat */
    CHECK_OK(lw_book_add_device(book, "a phone", hash, SHELF_NOW_S, &id, &err));
    CHECK_OK(lw_book_keep_answer(book, &entry.id, SHELF_NOW_S, "{}", &err));
    assert_true(changes_of(book) == before);
    lw_book_close(book);
    shelf_close(&s);
}

/* A new table is either of what the household knows, then its changes count, or it is named here. */
static void no_table_is_forgotten_by_the_count(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = open_new(&s);
    lw_book_close(book);
    sqlite3 *db = NULL;
    sqlite3_stmt *stmt = NULL;
    assert_int_equal(sqlite3_open(s.path, &db), SQLITE_OK);
    assert_int_equal(
        sqlite3_prepare_v2(db,
                           "SELECT t.name FROM sqlite_schema t WHERE t.type = 'table'"
                           " AND t.name NOT LIKE 'sqlite_%' AND t.name NOT IN"
                           " ('past_weather', 'forecast', 'learned', 'trip_lasting', 'device', 'answered', 'changes',"
                           " 'map_source', 'spot', 'land', 'road', 'signal_seen', 'coverage', 'cell') AND t.name NOT "
                           "LIKE '%!_box%' ESCAPE '!'"
                           " AND (SELECT count(*) FROM sqlite_schema c WHERE c.type = 'trigger'"
                           " AND c.tbl_name = t.name AND c.sql LIKE '%UPDATE changes%') <> 3",
                           -1, &stmt, NULL),
        SQLITE_OK);
    if (sqlite3_step(stmt) == SQLITE_ROW)
        fail_msg("changes of the table %s do not count", (const char *)sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
    sqlite3_close(db);
    shelf_close(&s);
}

static void all_goes_and_entries_are_safe_again(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = open_new(&s);
    lw_book_info info = {0};
    const int64_t stay = shelf_stay(book);
    lw_entry entry = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    lw_kept_learned learned = {.stay = stay, .moment_s = SHELF_NOW_S, .bytes = (unsigned char *)"ab", .count = 2};
    entry.stay = stay;
    CHECK_OK(lw_book_append(book, &entry, 1, &err));
    CHECK_OK(lw_book_undo(book, &entry.id, "cli", SHELF_NOW_S, NULL, &err));
    CHECK_OK(lw_book_keep_learned(book, &learned, &err));
    CHECK_OK(lw_book_set(book, "demo", "1", &err));
    CHECK_OK(lw_book_set(book, "units", "si", &err));
    CHECK_OK(lw_book_take_all_out(book, "demo", &err));
    CHECK_OK(lw_book_info_of(book, &info, &err));
    assert_true(info.rigs + info.crews + info.places + info.stays + info.entries == 0);
    assert_int_equal(info.settings, 1);
    CHECK_OK(lw_book_check(book, &err));
    entry = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_OK(lw_book_append(book, &entry, 1, &err));
    lw_book_close(book);
    sqlite3 *db = NULL;
    assert_int_equal(sqlite3_open(s.path, &db), SQLITE_OK);
    assert_int_not_equal(sqlite3_exec(db, "DELETE FROM entry", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
    shelf_close(&s);
}

static lw_code take_table(void *with, const char *table, const lw_cell *cell, size_t count, lw_err *err)
{
    (void)cell;
    (void)count;
    (void)err;
    *(int *)with |= strcmp(table, "device") == 0 || strcmp(table, "answered") == 0 || strcmp(table, "changes") == 0;
    return LW_OK;
}

static void secrets_are_no_part_of_an_exported_book(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = open_new(&s);
    const unsigned char hash[LW_TOKEN_HASH] = {1};
    int64_t id;
    int is_given = 0;
    CHECK_OK(lw_book_add_device(book, "a phone", hash, SHELF_NOW_S, &id, &err));
    CHECK_OK(lw_book_each_row(book, take_table, &is_given, &err));
    assert_false(is_given);
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_device_is_known_by_its_secret_until_it_is_revoked),
        cmocka_unit_test(the_first_answer_stays),
        cmocka_unit_test(every_change_counts_and_nothing_else),
        cmocka_unit_test(no_table_is_forgotten_by_the_count),
        cmocka_unit_test(all_goes_and_entries_are_safe_again),
        cmocka_unit_test(secrets_are_no_part_of_an_exported_book),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
