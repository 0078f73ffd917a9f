/* A disk that is full, read-only or failing, and memory that runs out: one sentence each, and nothing that was acknowledged
 * is lost. */
#include "tests/book/disk.h"

enum { READINGS = 6 };

static shelf s;
static lw_id ids[READINGS];
static int acknowledged;

/* Opens, appends, looks back; stops at the first failure, which it gives. */
static lw_code work(lw_err *err)
{
    lw_book *book = NULL;
    lw_entries entries = {0};
    lw_code code = lw_book_open(&book, s.path, LW_BOOK_CREATE, err);
    acknowledged = 0;
    for (int i = 0; i < READINGS && !code; i++) {
        lw_entry e = shelf_reading("fresh", SHELF_NOW_S + i, 0.5);
        e.note = "a reading with some words";
        code = lw_book_append(book, &e, 1, err);
        if (!code)
            ids[acknowledged++] = e.id;
    }
    code = code ? code : lw_book_history(book, &(lw_history){.limit = 5}, &entries, err);
    lw_entries_clear(&entries);
    lw_book_close(book);
    return code;
}

/* With a sound disk and memory again: everything acknowledged is there and the book takes more. */
static void look(const char *after, long n)
{
    lw_book *book = NULL;
    lw_err refused = {0};
    if (lw_book_open(&book, s.path, LW_BOOK_CREATE, &refused) || lw_book_check(book, &refused))
        fail_msg("after %s %ld: %s: %s", after, n, refused.where, refused.text);
    for (int i = 0; i < acknowledged; i++)
        if (!shelf_has(book, &ids[i]))
            fail_msg("after %s %ld: acknowledged reading %d of %d is gone", after, n, i, acknowledged);
    lw_entry more = shelf_reading("fresh", SHELF_NOW_S, 0.25);
    CHECK_OK(lw_book_append(book, &more, 1, &err));
    lw_book_close(book);
}

static void check_sentence(const lw_err *err, lw_code code, const char *what, long n)
{
    if (err->code != code || err->text[0] == '\0' || strchr(err->text, '\n'))
        fail_msg("%s %ld: code %d and %d, sentence \"%s\"", what, n, code, err->code, err->text);
}

static void fail_each_write(int rc, int fails_on, const char *what)
{
    int failures = 0, successes_in_a_row = 0;
    for (long n = 1; n < 2000 && successes_in_a_row < 2; n += 1 + n / 16) {
        lw_err err = {0};
        s = shelf_open();
        disk_install();
        disk.fail_code = rc;
        disk.fail_at = n;
        disk.fails_on = fails_on;
        const lw_code code = work(&err);
        successes_in_a_row = code ? 0 : successes_in_a_row + 1;
        disk_leave();
        if (code) {
            failures++;
            check_sentence(&err, code, what, n);
            if (code != LW_E_IO)
                fail_msg("%s %ld: code %d, want that of the system: %s", what, n, code, err.text);
        }
        look(what, n);
        shelf_close(&s);
    }
    if (failures < 2 * READINGS)
        fail_msg("%s: only %d runs failed", what, failures);
}

static void a_full_disk_is_one_sentence_and_loses_nothing(void **state)
{
    (void)state;
    fail_each_write(SQLITE_FULL, 1, "a disk full from write");
}

static void a_failing_write_is_one_sentence_and_loses_nothing(void **state)
{
    (void)state;
    fail_each_write(SQLITE_IOERR_WRITE, 0, "a failed write");
}

static void a_book_on_a_full_disk_can_be_read(void **state)
{
    (void)state;
    lw_err refused = {0};
    lw_book *book = NULL;
    s = shelf_open();
    assert_int_equal(work(&refused), LW_OK);
    disk_install();
    disk.fail_code = SQLITE_FULL;
    disk.fail_at = 1;
    disk.fails_on = 1;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    for (int i = 0; i < acknowledged; i++)
        assert_true(shelf_has(book, &ids[i]));
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_REFUSED(lw_book_append(book, &e, 1, &err), LW_E_IO, "the disk is full");
    lw_book_close(book);
    disk_leave();
    look("a full disk", 0);
    shelf_close(&s);
}

static void a_read_only_book_can_be_read_and_says_so(void **state)
{
    (void)state;
    lw_err refused = {0};
    lw_book *book = NULL;
    s = shelf_open();
    assert_int_equal(work(&refused), LW_OK);
    disk_install();
    disk.is_read_only = 1;
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    assert_int_equal(lw_book_mode_of(book), LW_BOOK_READ_ONLY);
    for (int i = 0; i < acknowledged; i++)
        assert_true(shelf_has(book, &ids[i]));
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_REFUSED(lw_book_append(book, &e, 1, &err), LW_E_IO, "can only be read");
    CHECK_REFUSED(lw_book_set(book, "units", "si", &err), LW_E_IO, "can only be read");
    lw_book_close(book);
    disk_leave();
    look("a read-only disk", 0);
    shelf_close(&s);
}

/* ---- memory ---- */

static sqlite3_mem_methods memory_below;
static long allocations, fail_allocation; /* 0: never */

static int memory_fails(void)
{
    return fail_allocation > 0 && ++allocations == fail_allocation;
}

static void *take_memory(int n)
{
    return memory_fails() ? NULL : memory_below.xMalloc(n);
}

static void *move_memory(void *at, int n)
{
    return memory_fails() ? NULL : memory_below.xRealloc(at, n);
}

static void no_memory_is_one_sentence_and_loses_nothing(void **state)
{
    (void)state;
    int failures = 0;
    sqlite3_shutdown();
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_GETMALLOC, &memory_below), SQLITE_OK);
    sqlite3_mem_methods failing = memory_below;
    failing.xMalloc = take_memory;
    failing.xRealloc = move_memory;
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &failing), SQLITE_OK);
    assert_int_equal(sqlite3_initialize(), SQLITE_OK);
    s = shelf_open();
    for (long n = 1; n < 6000; n += 1 + n / 12) { /* each of the first, then some of all */
        lw_err err = {0};
        allocations = 0;
        fail_allocation = n;
        const lw_code code = work(&err);
        const int has_passed = allocations < n;
        fail_allocation = 0;
        if (code) {
            failures++;
            check_sentence(&err, code, "allocation", n);
        }
        look("allocation", n);
        if (has_passed)
            break;
    }
    shelf_close(&s);
    sqlite3_shutdown();
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &memory_below), SQLITE_OK);
    assert_int_equal(sqlite3_initialize(), SQLITE_OK);
    assert_true(failures > 25);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_full_disk_is_one_sentence_and_loses_nothing),
        cmocka_unit_test(a_failing_write_is_one_sentence_and_loses_nothing),
        cmocka_unit_test(a_book_on_a_full_disk_can_be_read),
        cmocka_unit_test(a_read_only_book_can_be_read_and_says_so),
        cmocka_unit_test(no_memory_is_one_sentence_and_loses_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
