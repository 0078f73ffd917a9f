/* Copies of the book: whole, taken while it is in use, put back in one step, and only when they are whole. */
#include <sqlite3.h>

#include "tests/book/shelf.h"

static void append_some(lw_book *book, int from, int count)
{
    for (int i = from; i < from + count; i++) {
        lw_entry e = shelf_reading("fresh", SHELF_NOW_S + i, 0.5);
        CHECK_OK(lw_book_append(book, &e, 1, &err));
    }
}

static int64_t entries_in(const char *path)
{
    lw_book *book = NULL;
    lw_book_info info = {0};
    CHECK_OK(lw_book_open(&book, path, LW_BOOK_WRITE, &err));
    CHECK_OK(lw_book_check(book, &err));
    CHECK_OK(lw_book_info_of(book, &info, &err));
    lw_book_close(book);
    return info.entries;
}

static void damage(const char *path)
{
    FILE *file = fopen(path, "r+");
    assert_non_null(file);
    assert_int_equal(fseek(file, 4096 * 3, SEEK_SET), 0);
    for (int i = 0; i < 4096; i++)
        fputc(0x5A, file);
    assert_int_equal(fclose(file), 0);
}

static void a_backup_while_in_use_is_whole_and_can_be_restored(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    char copy[160], before[160];
    lw_book *book = NULL, *other = NULL;
    snprintf(copy, sizeof copy, "%s/copy.sqlite", s.folder);
    snprintf(before, sizeof before, "%s.before", s.path);
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_open(&other, s.path, LW_BOOK_WRITE, &err));
    append_some(book, 0, 10);
    append_some(other, 10, 10);
    CHECK_OK(lw_book_backup(book, copy, &err));
    append_some(other, 20, 10);
    CHECK_REFUSED(lw_book_backup(book, s.path, &err), LW_E_CONFLICT, "the same file");
    CHECK_REFUSED(lw_book_backup(book, s.folder, &err), LW_E_SYNTAX, "no plain file");
    assert_int_equal(entries_in(copy), 20);
    /* While two have it open: they see the restored book at their next question. */
    CHECK_OK(lw_book_restore(s.path, copy, &err));
    append_some(other, 30, 1);
    lw_book_close(book);
    lw_book_close(other);
    assert_int_equal(entries_in(s.path), 21);
    assert_int_equal(entries_in(before), 30);
    shelf_close(&s);
}

static void a_damaged_or_foreign_backup_is_refused_and_changes_nothing(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    char copy[160];
    lw_book *book = NULL;
    snprintf(copy, sizeof copy, "%s/copy.sqlite", s.folder);
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    append_some(book, 0, 40);
    CHECK_OK(lw_book_backup(book, copy, &err));
    lw_book_close(book);
    damage(copy);
    CHECK_REFUSED(lw_book_restore(s.path, copy, &err), LW_E_SYNTAX, "damaged");
    CHECK_REFUSED(lw_book_restore(s.path, "/dev/null", &err), LW_E_SYNTAX, "no plain file");
    CHECK_REFUSED(lw_book_restore(s.path, "/nowhere/book", &err), LW_E_MISSING, "no book here");
    assert_int_equal(entries_in(s.path), 40);
    shelf_close(&s);
}

static void a_backup_takes_the_place_of_a_book_that_cannot_be_read(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    char copy[160], far[160];
    lw_book *book = NULL;
    snprintf(copy, sizeof copy, "%s/copy.sqlite", s.folder);
    snprintf(far, sizeof far, "%s/far.sqlite", s.folder);
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    append_some(book, 0, 5);
    CHECK_OK(lw_book_backup(book, copy, &err));
    lw_book_close(book);
    FILE *file = fopen(s.path, "w");
    assert_non_null(file);
    for (int i = 0; i < 1000; i++)
        fputs("no database ", file);
    fclose(file);
    CHECK_OK(lw_book_restore(s.path, copy, &err));
    assert_int_equal(entries_in(s.path), 5);
    CHECK_OK(lw_book_restore(far, copy, &err));
    assert_int_equal(entries_in(far), 5);
    shelf_close(&s);
}

static void a_check_finds_damage(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_err err = {0};
    assert_int_equal(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err), LW_OK);
    lw_book_close(book);
    damage(s.path);
    lw_code code = lw_book_open(&book, s.path, LW_BOOK_WRITE, &err);
    if (!code) {
        code = lw_book_check(book, &err);
        lw_book_close(book);
    }
    assert_int_equal(code, LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "damaged"));
    shelf_close(&s);
}

static void settings_are_kept_and_forgotten(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    char value[16];
    int is_there = 0;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_set(book, "units", "us", &err));
    CHECK_OK(lw_book_set(book, "units", "si", &err));
    CHECK_OK(lw_book_get(book, "units", value, sizeof value, &is_there, &err));
    assert_true(is_there);
    assert_string_equal(value, "si");
    CHECK_REFUSED(lw_book_get(book, "units", value, 2, &is_there, &err), LW_E_FULL, "too long");
    CHECK_OK(lw_book_set(book, "units", NULL, &err));
    CHECK_OK(lw_book_get(book, "units", value, sizeof value, &is_there, &err));
    assert_false(is_there);
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_backup_while_in_use_is_whole_and_can_be_restored),
        cmocka_unit_test(a_damaged_or_foreign_backup_is_refused_and_changes_nothing),
        cmocka_unit_test(a_backup_takes_the_place_of_a_book_that_cannot_be_read),
        cmocka_unit_test(a_check_finds_damage),
        cmocka_unit_test(settings_are_kept_and_forgotten),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
