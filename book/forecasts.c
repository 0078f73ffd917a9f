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

/* Runs a statement whose ?1 is the stay and ?2 a number. */
static lw_code run_with(lw_book *book, const char *sql, int64_t stay, int64_t number, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, sql, &stmt, err);
    if (!code) {
        lw_bind_ref(stmt, 1, stay);
        sqlite3_bind_int64(stmt, 2, number);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

static lw_code thin_out(lw_book *book, int64_t stay, lw_err *err)
{
    static const char OF_STAY[] =
        "DELETE FROM forecast WHERE (SELECT count(*) FROM forecast WHERE stay = ?1) > ?2 AND id = (SELECT id FROM"
        " (SELECT id, made_s, lead(made_s) OVER w - lag(made_s) OVER w AS gap FROM forecast WHERE stay = ?1"
        " WINDOW w AS (ORDER BY made_s, rowid)) WHERE gap IS NOT NULL ORDER BY gap, made_s LIMIT 1)";
    static const char OF_ALL[] = "DELETE FROM forecast WHERE (SELECT count(*) FROM forecast) > ?2 AND id = (SELECT id"
                                 " FROM forecast WHERE stay IS NOT ?1 ORDER BY made_s, rowid LIMIT 1)";
    const lw_code code = stay ? run_with(book, OF_STAY, stay, LW_FORECASTS_OF_STAY, err) : LW_OK;
    return code ? code : run_with(book, OF_ALL, stay, LW_FORECASTS_KEPT, err);
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
    code = code ? code : thin_out(book, forecast->stay, err);
    return lw_book_end(book, code, err);
}

lw_code lw_book_newest_forecast(lw_book *book, int64_t stay, int64_t now_s, lw_kept_forecast *forecast, int *is_there,
                                lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    *forecast = (lw_kept_forecast){.stay = stay};
    *is_there = 0;
    lw_code code = lw_book_prepare(book,
                                   "SELECT id, made_s, draws FROM forecast WHERE stay = ?1 AND made_s <= ?2 ORDER BY "
                                   "made_s DESC, rowid DESC LIMIT 1",
                                   &stmt, err);
    if (!code) {
        lw_bind_ref(stmt, 1, stay);
        sqlite3_bind_int64(stmt, 2, now_s);
        code = lw_book_step(book, stmt, is_there, err);
    }
    if (!code && *is_there) {
        lw_column_id(stmt, 0, &forecast->id);
        forecast->made_s = sqlite3_column_int64(stmt, 1);
        forecast->draws = sqlite3_column_int64(stmt, 2);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_drop_forecast(lw_book *book, const lw_id *id, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book, "DELETE FROM forecast WHERE id = ?1", &stmt, err);
    if (!code) {
        lw_bind_id(stmt, 1, id);
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
