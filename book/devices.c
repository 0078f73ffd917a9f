#include "book/devices.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/book_internal.h"
#include "text/say.h"

static const int64_t SEEN_STEP_S = 86400;

void lw_devices_clear(lw_devices *devices)
{
    free(devices->device);
    *devices = (lw_devices){0};
}

/* ---- devices ---- */

lw_code lw_book_add_device(lw_book *book, const char *name, const unsigned char hash[LW_TOKEN_HASH], int64_t now_s,
                           int64_t *id, lw_err *err)
{
    lw_code code = lw_want_text("the device's name", name, LW_DEVICE_NAME - 1, 1, err);
    code = code ? code : lw_want_time("the time of pairing", now_s, 0, err);
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    sqlite3_stmt *stmt = NULL;
    code = lw_book_prepare(book, "INSERT INTO device (name, token_hash, paired_s) VALUES (?1, ?2, ?3)", &stmt, err);
    if (!code) {
        lw_bind_text(stmt, 1, name);
        sqlite3_bind_blob(stmt, 2, hash, LW_TOKEN_HASH, SQLITE_STATIC);
        lw_bind_time(stmt, 3, now_s);
        code = lw_book_finish(book, stmt, err);
    }
    const int64_t made = sqlite3_last_insert_rowid(book->db);
    sqlite3_finalize(stmt);
    code = lw_book_end(book, code, err);
    if (!code)
        *id = made;
    return code;
}

static void take_device(sqlite3_stmt *stmt, lw_device *device)
{
    const char *name = (const char *)sqlite3_column_text(stmt, 1);
    device->id = sqlite3_column_int64(stmt, 0);
    snprintf(device->name, sizeof device->name, "%s", name ? name : "");
    device->paired_s = lw_column_time(stmt, 2);
    device->seen_s = lw_column_time(stmt, 3);
}

/* A write a day and device, and none where the book takes no writes. */
static lw_code mark_seen(lw_book *book, lw_device *device, int64_t now_s, lw_err *err)
{
    if (book->mode == LW_BOOK_READ_ONLY || (device->seen_s != LW_NO_TIME && now_s - device->seen_s < SEEN_STEP_S))
        return LW_OK;
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book, "UPDATE device SET seen_s = ?2 WHERE id = ?1", &stmt, err);
    if (!code) {
        sqlite3_bind_int64(stmt, 1, device->id);
        lw_bind_time(stmt, 2, now_s);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return lw_book_end(book, code, err);
}

lw_code lw_book_find_device(lw_book *book, const unsigned char hash[LW_TOKEN_HASH], int64_t now_s, lw_device *device,
                            int *is_there, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_device found = {0};
    lw_code code =
        lw_book_prepare(book, "SELECT id, name, paired_s, seen_s FROM device WHERE token_hash = ?1", &stmt, err);
    if (!code) {
        sqlite3_bind_blob(stmt, 1, hash, LW_TOKEN_HASH, SQLITE_STATIC);
        code = lw_book_step(book, stmt, &has_row, err);
    }
    if (!code && has_row)
        take_device(stmt, &found);
    sqlite3_finalize(stmt);
    if (!code && has_row)
        code = mark_seen(book, &found, now_s, err);
    if (code)
        return code;
    *is_there = has_row;
    if (has_row)
        *device = found;
    return LW_OK;
}

lw_code lw_book_list_devices(lw_book *book, lw_devices *devices, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_devices made = {0};
    int has_row = 0;
    lw_code code = lw_book_prepare(book, "SELECT id, name, paired_s, seen_s FROM device ORDER BY id", &stmt, err);
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        lw_device *device = lw_grow((void **)&made.device, &made.count, sizeof *device);
        if (!device) {
            code = lw_no_memory(err);
            break;
        }
        take_device(stmt, device);
    }
    sqlite3_finalize(stmt);
    if (code)
        lw_devices_clear(&made);
    else
        *devices = made;
    return code;
}

lw_code lw_book_revoke_device(lw_book *book, int64_t id, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book, "DELETE FROM device WHERE id = ?1", &stmt, err);
    if (!code) {
        sqlite3_bind_int64(stmt, 1, id);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    if (!code && sqlite3_changes64(book->db) == 0)
        code = lw_fail_typed(err, LW_E_MISSING, "--devices lists them", "there is no device %lld", (long long)id);
    return lw_book_end(book, code, err);
}

/* ---- first answers ---- */

lw_code lw_book_answer_of(lw_book *book, const lw_id *id, char **text, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    *text = NULL;
    lw_code code = lw_book_prepare(book, "SELECT answer FROM answered WHERE id = ?1", &stmt, err);
    if (!code) {
        lw_bind_id(stmt, 1, id);
        code = lw_book_step(book, stmt, &has_row, err);
    }
    if (!code && has_row) {
        const char *kept = (const char *)sqlite3_column_text(stmt, 0);
        *text = kept ? strdup(kept) : NULL;
        code = *text ? LW_OK : lw_no_memory(err);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_keep_answer(lw_book *book, const lw_id *id, int64_t now_s, const char *text, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_want_text("the answer", text, LW_BOOK_DOC_BYTES, 1, err);
    code = code ? code : lw_want_time("the time of an answer", now_s, 0, err);
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book, "INSERT INTO answered (id, server_s, answer) VALUES (?1, ?2, ?3)", &stmt, err);
    if (!code) {
        lw_bind_id(stmt, 1, id);
        lw_bind_time(stmt, 2, now_s);
        lw_bind_text(stmt, 3, text);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return lw_book_end(book, code, err);
}

/* ---- changes ---- */

lw_code lw_book_changes(lw_book *book, int64_t *changes, lw_err *err)
{
    return lw_book_count(book, "SELECT count FROM changes", changes, err);
}

lw_code lw_book_count_change(lw_book *book, lw_err *err)
{
    return lw_book_run(book, "UPDATE changes SET count = count + 1", err);
}

lw_code lw_book_take_all_out(lw_book *book, const char *key, lw_err *err)
{
    /* The one way out for entries; the trigger that refuses their deletion stands again before anybody else sees the book. */
    static const char ALL[] =
        "DROP TRIGGER entry_stays;"
        "DELETE FROM entry; DELETE FROM learned; DELETE FROM past_weather; DELETE FROM forecast; DELETE FROM answered; "
        "DELETE FROM trip; DELETE FROM trip_lasting; "
        "DELETE FROM stay;"
        "DELETE FROM place; DELETE FROM crew; DELETE FROM rig;"
        "CREATE TRIGGER entry_stays BEFORE DELETE ON entry BEGIN SELECT raise(ABORT, 'an entry is never deleted'); "
        "END;";
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_run(book, ALL, err);
    code = code ? code : lw_book_set(book, key, NULL, err);
    return lw_book_end(book, code, err);
}
