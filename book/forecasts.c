#include "book/forecasts.h"

#include <stdlib.h>

#include "book/book_internal.h"
#include "text/say.h"

void lw_kept_forecasts_clear(lw_kept_forecasts *forecasts)
{
    free(forecasts->forecast);
    lw_texts_free(forecasts->texts);
    *forecasts = (lw_kept_forecasts){0};
}

static lw_code want_forecast(const lw_kept_forecast *f, lw_err *err)
{
    lw_code code = lw_want_text("the program's version", f->program_version, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_want_text("the hash of the tables", f->table_hash, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_want_text("the input", f->input, LW_BOOK_DOC_BYTES, 1, err);
    code = code ? code : lw_want_text("the result", f->result, LW_BOOK_DOC_BYTES, 1, err);
    code = code ? code : lw_want_time("the time it was made", f->made_s, 0, err);
    if (!code && f->draws < 0)
        code = lw_fail(err, LW_E_RANGE, "a forecast of %lld draws", (long long)f->draws);
    return code;
}

lw_code lw_book_keep_forecast(lw_book *book, lw_kept_forecast *forecast, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = want_forecast(forecast, err);
    if (!code && lw_id_is_none(&forecast->id))
        code = lw_id_make(&forecast->id, err);
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book,
                           "INSERT INTO forecast (id, made_s, stay, program_version, table_hash, seed, draws, input,"
                           " result) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (id) DO NOTHING",
                           &stmt, err);
    if (!code) {
        lw_bind_id(stmt, 1, &forecast->id);
        sqlite3_bind_int64(stmt, 2, forecast->made_s);
        lw_bind_ref(stmt, 3, forecast->stay);
        lw_bind_text(stmt, 4, forecast->program_version);
        lw_bind_text(stmt, 5, forecast->table_hash);
        sqlite3_bind_int64(stmt, 6, (int64_t)forecast->seed); /* the same 64 bits */
        sqlite3_bind_int64(stmt, 7, forecast->draws);
        lw_bind_text(stmt, 8, forecast->input);
        lw_bind_text(stmt, 9, forecast->result);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return lw_book_end(book, code, err);
}

lw_code lw_book_list_forecasts(lw_book *book, int64_t stay, lw_kept_forecasts *forecasts, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_kept_forecasts made = {0};
    int has_row = 0, has_failed = 0;
    lw_code code = lw_book_prepare(
        book,
        stay ? "SELECT id, made_s, stay, program_version, table_hash, seed, draws, input, result FROM forecast"
               " WHERE stay = ?1 ORDER BY made_s, rowid"
             : "SELECT id, made_s, stay, program_version, table_hash, seed, draws, input, result FROM forecast"
               " ORDER BY made_s, rowid",
        &stmt, err);
    if (!code && stay)
        sqlite3_bind_int64(stmt, 1, stay);
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        lw_kept_forecast *f = lw_grow((void **)&made.forecast, &made.count, sizeof *f);
        if (!f || has_failed) {
            code = lw_no_memory(err);
            break;
        }
        lw_column_id(stmt, 0, &f->id);
        f->made_s = sqlite3_column_int64(stmt, 1);
        f->stay = sqlite3_column_int64(stmt, 2); /* 0 for NULL */
        f->program_version = lw_keep_column(&made.texts, stmt, 3, &has_failed);
        f->table_hash = lw_keep_column(&made.texts, stmt, 4, &has_failed);
        f->seed = (uint64_t)sqlite3_column_int64(stmt, 5);
        f->draws = sqlite3_column_int64(stmt, 6);
        f->input = lw_keep_column(&made.texts, stmt, 7, &has_failed);
        f->result = lw_keep_column(&made.texts, stmt, 8, &has_failed);
    }
    sqlite3_finalize(stmt);
    code = !code && has_failed ? lw_no_memory(err) : code;
    if (code)
        lw_kept_forecasts_clear(&made);
    else
        *forecasts = made;
    return code;
}
