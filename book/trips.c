#include "book/trips.h"

#include <stdlib.h>
#include <string.h>

#include "book/book_internal.h"
#include "text/say.h"

/* ---- trips by name ---- */

void lw_kept_trips_clear(lw_kept_trips *trips)
{
    free(trips->trip);
    lw_texts_free(trips->texts);
    *trips = (lw_kept_trips){0};
}

static lw_code want_trip(const lw_kept_trip *t, lw_err *err)
{
    lw_code code = lw_want_text("the name of the trip", t->name, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_want_text("the camp of the trip", t->camp, LW_BOOK_DOC_BYTES, 1, err);
    code = code ? code : lw_want_text("the trip's file", t->input, LW_BOOK_DOC_BYTES, 1, err);
    code = code ? code : lw_want_text("the trip", t->result, LW_BOOK_DOC_BYTES, 1, err);
    return code ? code : lw_want_time("the time it was made", t->made_s, 0, err);
}

static lw_code want_room(lw_book *book, lw_err *err)
{
    int64_t count = 0;
    const lw_code code = lw_book_count(book, "SELECT count(*) FROM trip", &count, err);
    if (!code && count > LW_TRIPS_KEPT)
        return lw_fail(err, LW_E_FULL, "the book keeps %d trips; forget one first", LW_TRIPS_KEPT);
    return code;
}

lw_code lw_book_keep_trip(lw_book *book, const lw_kept_trip *t, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = want_trip(t, err);
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(
        book,
        "INSERT INTO trip (name, made_s, camp, input, result) VALUES (?1, ?2, ?3, ?4, ?5) ON CONFLICT (name) DO"
        " UPDATE SET made_s = ?2, camp = ?3, input = ?4, result = ?5",
        &stmt, err);
    if (!code) {
        lw_bind_text(stmt, 1, t->name);
        lw_bind_time(stmt, 2, t->made_s);
        lw_bind_text(stmt, 3, t->camp);
        lw_bind_text(stmt, 4, t->input);
        lw_bind_text(stmt, 5, t->result);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    code = code ? code : want_room(book, err);
    return lw_book_end(book, code, err);
}

static lw_code take_trip(sqlite3_stmt *stmt, lw_kept_trips *to, lw_err *err)
{
    int has_failed = 0;
    lw_kept_trip *t = lw_grow((void **)&to->trip, &to->count, sizeof *to->trip);
    if (!t)
        return lw_no_memory(err);
    *t = (lw_kept_trip){.name = lw_keep_column(&to->texts, stmt, 0, &has_failed),
                        .made_s = lw_column_time(stmt, 1),
                        .camp = lw_keep_column(&to->texts, stmt, 2, &has_failed),
                        .input = lw_keep_column(&to->texts, stmt, 3, &has_failed),
                        .result = lw_keep_column(&to->texts, stmt, 4, &has_failed)};
    return has_failed ? lw_no_memory(err) : LW_OK;
}

lw_code lw_book_list_trips(lw_book *book, const char *name, lw_kept_trips *trips, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_kept_trips made = {0};
    int has_row = 0;
    lw_code code = lw_book_prepare(book,
                                   "SELECT name, made_s, camp, input, result FROM trip WHERE ?1 IS NULL OR name = ?1"
                                   " ORDER BY made_s DESC, name",
                                   &stmt, err);
    if (!code)
        lw_bind_text(stmt, 1, name);
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row)
        code = take_trip(stmt, &made, err);
    sqlite3_finalize(stmt);
    if (code)
        lw_kept_trips_clear(&made);
    else
        *trips = made;
    return code;
}

lw_code lw_book_drop_trip(lw_book *book, const char *name, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, "DELETE FROM trip WHERE name = ?1", &stmt, err);
    if (!code) {
        lw_bind_text(stmt, 1, name);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

/* ---- how long a load lasts ---- */

static lw_code take_row(lw_book *book, sqlite3_stmt *stmt, lw_lasting *rows, size_t at, lw_err *err)
{
    int has_row = 0;
    const size_t bytes = rows->each * sizeof *rows->nights;
    sqlite3_reset(stmt);
    sqlite3_bind_int64(stmt, 1, rows->form);
    sqlite3_bind_int64(stmt, 2, (int64_t)rows->key[at]); /* the same 64 bits */
    const lw_code code = lw_book_step(book, stmt, &has_row, err);
    if (code || !has_row || (size_t)sqlite3_column_bytes(stmt, 0) != bytes)
        return code;
    const void *blob = sqlite3_column_blob(stmt, 0);
    if (blob) {
        memcpy(rows->nights + at * rows->each, blob, bytes);
        rows->is_there[at] = 1;
    }
    return LW_OK;
}

lw_code lw_book_lasting(lw_book *book, lw_lasting *rows, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    memset(rows->is_there, 0, rows->count);
    lw_code code = lw_book_prepare(book, "SELECT nights FROM trip_lasting WHERE form = ?1 AND key = ?2", &stmt, err);
    for (size_t i = 0; i < rows->count && !code; i++)
        code = take_row(book, stmt, rows, i, err);
    sqlite3_finalize(stmt);
    return code;
}

static lw_code put_row(lw_book *book, sqlite3_stmt *stmt, const lw_lasting *rows, size_t at, lw_err *err)
{
    sqlite3_reset(stmt);
    sqlite3_bind_int64(stmt, 1, rows->form);
    sqlite3_bind_int64(stmt, 2, (int64_t)rows->key[at]);
    sqlite3_bind_blob(stmt, 3, rows->nights + at * rows->each, (int)(rows->each * sizeof *rows->nights), SQLITE_STATIC);
    return lw_book_finish(book, stmt, err);
}

static lw_code drop_rest(lw_book *book, int64_t form, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(
        book, "DELETE FROM trip_lasting WHERE form <> ?1 OR id <= (SELECT max(id) FROM trip_lasting) - ?2", &stmt, err);
    if (!code) {
        sqlite3_bind_int64(stmt, 1, form);
        sqlite3_bind_int64(stmt, 2, LW_LASTING_KEPT);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_keep_lasting(lw_book *book, const lw_lasting *rows, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book, "INSERT OR REPLACE INTO trip_lasting (form, key, nights) VALUES (?1, ?2, ?3)", &stmt,
                           err);
    for (size_t i = 0; i < rows->count && !code; i++)
        if (!rows->is_there[i])
            code = put_row(book, stmt, rows, i, err);
    sqlite3_finalize(stmt);
    code = code ? code : drop_rest(book, rows->form, err);
    return lw_book_end(book, code, err);
}
