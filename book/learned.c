#include "book/learned.h"

#include <stdlib.h>
#include <string.h>

#include "book/book_internal.h"
#include "text/say.h"

void lw_kept_learned_clear(lw_kept_learned *learned)
{
    free(learned->bytes);
    *learned = (lw_kept_learned){0};
}

static lw_code want_learned(const lw_kept_learned *l, lw_err *err)
{
    if (l->count > LW_LEARNED_BYTES)
        return lw_fail(err, LW_E_FULL, "what was learned is too much to be kept: %zu bytes", l->count);
    return lw_want_time("the time it was learned", l->moment_s, 0, err);
}

lw_code lw_book_keep_learned(lw_book *book, const lw_kept_learned *learned, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = want_learned(learned, err);
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_run(book, "DELETE FROM learned", err);
    code = code ? code
                : lw_book_prepare(book, "INSERT INTO learned (stay, key, moment_s, draws) VALUES (?1, ?2, ?3, ?4)",
                                  &stmt, err);
    if (!code) {
        sqlite3_bind_int64(stmt, 1, learned->stay);
        sqlite3_bind_int64(stmt, 2, (int64_t)learned->key); /* the same 64 bits */
        sqlite3_bind_int64(stmt, 3, learned->moment_s);
        sqlite3_bind_blob(stmt, 4, learned->bytes, (int)learned->count, SQLITE_STATIC);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return lw_book_end(book, code, err);
}

static lw_code take(sqlite3_stmt *stmt, lw_kept_learned *to, lw_err *err)
{
    const void *bytes = sqlite3_column_blob(stmt, 2);
    const size_t count = (size_t)sqlite3_column_bytes(stmt, 2);
    *to = (lw_kept_learned){.key = (uint64_t)sqlite3_column_int64(stmt, 0),
                            .moment_s = sqlite3_column_int64(stmt, 1),
                            .bytes = malloc(count + 1),
                            .count = count};
    if (!to->bytes || (count && !bytes)) {
        lw_kept_learned_clear(to);
        return lw_no_memory(err);
    }
    if (count)
        memcpy(to->bytes, bytes, count);
    return LW_OK;
}

lw_code lw_book_learned(lw_book *book, int64_t stay, lw_kept_learned *learned, int *is_there, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_kept_learned made = {0};
    lw_code code = lw_book_prepare(book, "SELECT key, moment_s, draws FROM learned WHERE stay = ?1", &stmt, err);
    if (!code) {
        sqlite3_bind_int64(stmt, 1, stay);
        code = lw_book_step(book, stmt, &has_row, err);
    }
    if (!code && has_row)
        code = take(stmt, &made, err);
    sqlite3_finalize(stmt);
    if (code)
        return code;
    made.stay = has_row ? stay : 0;
    *learned = made;
    *is_there = has_row;
    return LW_OK;
}
