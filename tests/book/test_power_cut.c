/* A reading that was acknowledged is there after a power cut at any instant. The cut is made at every sync and every
 * acknowledgement of a recorded run; killing a process would prove nothing, as the system keeps what it wrote. */
#include "tests/book/disk.h"

enum { READINGS = 14, WAYS = 3 };

static lw_id ids[READINGS + 1];
static shelf at;
static char said[400]; /* of the last cut that left a book that is not whole */

static void name_id(int number)
{
    memset(&ids[number], 0, sizeof ids[number]);
    snprintf((char *)ids[number].byte, sizeof ids[number].byte, "reading %d", number);
}

static void append_one(lw_book *book, int number)
{
    char note[200];
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S + number, 0.5);
    memset(note, 'a' + number % 26, sizeof note - 1);
    note[sizeof note - 1] = '\0';
    e.note = note;
    name_id(number);
    e.id = ids[number];
    CHECK_OK(lw_book_append(book, &e, 1, &err));
    disk_mark((size_t)number);
}

/* Two handles in turn, checkpoints between, and a close: the log is written, poured into the file and removed. */
static void run_recorded(void)
{
    lw_book *book = NULL, *other = NULL;
    disk_install();
    disk.is_recording = 1;
    CHECK_OK(lw_book_open(&book, at.path, LW_BOOK_CREATE, &err));
    for (int i = 1; i <= READINGS / 2; i++)
        append_one(book, i);
    lw_book_close(book);
    book = NULL;
    CHECK_OK(lw_book_open(&book, at.path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_open(&other, at.path, LW_BOOK_WRITE, &err));
    for (int i = READINGS / 2 + 1; i <= READINGS; i++)
        append_one(i % 2 ? book : other, i);
    lw_book_close(other);
    lw_book_close(book);
    disk.is_recording = 0;
}

/* The same rows with synchronous=OFF in a book that was made with care: the harness must find that they are lost. */
static void run_careless(void)
{
    lw_book *book = NULL;
    sqlite3 *db = NULL;
    char sql[256], hex[LW_ID_TEXT];
    disk_install();
    disk.is_recording = 1;
    CHECK_OK(lw_book_open(&book, at.path, LW_BOOK_CREATE, &err));
    lw_book_close(book);
    assert_int_equal(sqlite3_open(at.path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, "PRAGMA synchronous = OFF", NULL, NULL, NULL), SQLITE_OK);
    for (int i = 1; i <= READINGS; i++) {
        name_id(i);
        snprintf(sql, sizeof sql,
                 "INSERT INTO entry (id, device, stated_s, device_s, server_s, kind) VALUES (x'%s', 'p', %d, 0, 0,"
                 " 'reading')",
                 lw_id_print(hex, sizeof hex, &ids[i]), i);
        assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
        disk_mark((size_t)i);
    }
    sqlite3_close(db);
    disk.is_recording = 0;
}

/* Acknowledged readings that are not there when the power goes before event `cut`; 1000 where the book is damaged. */
static int lost_at(int cut, int how)
{
    lw_book *book = NULL;
    lw_err err = {0};
    int lost = 0, acknowledged = 0;
    for (int i = 0; i < cut; i++)
        if (disk.event[i].kind == DISK_MARK)
            acknowledged = (int)disk.event[i].n;
    if (acknowledged == 0 && access(at.path, F_OK) != 0)
        return 0; /* not yet made */
    if (lw_book_open(&book, at.path, LW_BOOK_CREATE, &err) || lw_book_check(book, &err)) {
        snprintf(said, sizeof said, "before event %d, way %d: %.300s", cut, how, err.text);
        lost = 1000;
    }
    for (int i = 1; i <= acknowledged && lost < 1000; i++)
        lost += !shelf_has(book, &ids[i]);
    lw_book_close(book);
    return lost;
}

/* Cuts before and behind every sync and behind every acknowledgement: how many lost a reading. */
static int losses(int *cuts)
{
    const int events = disk.events;
    int lost = 0;
    *cuts = 0;
    for (int cut = 1; cut <= events; cut++) {
        const disk_kind before = disk.event[cut - 1].kind;
        const int is_cut =
            before == DISK_SYNC || before == DISK_MARK || cut == events || disk.event[cut].kind == DISK_SYNC;
        for (int how = 0; is_cut && how < WAYS; how++) {
            disk_cut(cut, how, (uint32_t)how);
            lost += lost_at(cut, how) > 0;
            (*cuts)++;
        }
    }
    return lost;
}

static void every_acknowledged_reading_is_there_after_a_power_cut_at_every_sync(void **state)
{
    (void)state;
    int cuts = 0;
    at = shelf_open();
    run_recorded();
    sqlite3_vfs_unregister(&disk.vfs); /* what follows is looked at with SQLite's own */
    const int lost = losses(&cuts);
    disk_leave();
    shelf_close(&at);
    assert_true(cuts > 3 * READINGS);
    if (lost)
        fail_msg("%d of %d cuts lost readings; %s", lost, cuts, said);
}

static void without_synchronisation_the_same_cuts_lose_readings(void **state)
{
    (void)state;
    int cuts = 0;
    at = shelf_open();
    run_careless();
    sqlite3_vfs_unregister(&disk.vfs);
    const int lost = losses(&cuts);
    disk_leave();
    shelf_close(&at);
    assert_true(cuts > READINGS);
    assert_true(lost > READINGS); /* cuts, of which each acknowledgement has three */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_acknowledged_reading_is_there_after_a_power_cut_at_every_sync),
        cmocka_unit_test(without_synchronisation_the_same_cuts_lose_readings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
