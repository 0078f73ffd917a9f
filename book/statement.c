#include "book/book_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "text/say.h"
#include "text/utf8.h"

/* ---- failures ---- */

lw_code lw_no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "not enough memory for the book");
}

lw_code lw_book_refuse(const lw_book *book, int rc, lw_err *err)
{
    if (err->code)
        return err->code;
    switch (rc & 0xFF) {
    case SQLITE_NOMEM:
        lw_no_memory(err);
        break;
    case SQLITE_FULL:
        lw_fail(err, LW_E_IO, "the disk is full: nothing of this was written, all before it is kept; free some room");
        break;
    case SQLITE_READONLY:
        lw_fail(err, LW_E_IO, "can only be read, nothing was written: %s",
                book->why[0] ? book->why : "the file takes no writes");
        break;
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        lw_fail(err, LW_E_IO, "another program has been writing for %d s; try again when it is done",
                LW_BOOK_WAIT_MS / 1000);
        break;
    case SQLITE_NOTADB:
        lw_fail(err, LW_E_SYNTAX, "is no database, so no book of Leeway; name another file");
        break;
    case SQLITE_CORRUPT:
        lw_fail(err, LW_E_SYNTAX, "is damaged (%s); leeway book restore puts a backup in its place",
                sqlite3_errmsg(book->db));
        break;
    case SQLITE_CONSTRAINT:
        lw_fail(err, LW_E_CONFLICT, "does not go with the rest of the book: %s", sqlite3_errmsg(book->db));
        break;
    case SQLITE_CANTOPEN:
        lw_fail(err, LW_E_IO, "cannot be opened; is its folder there, and yours to use?");
        break;
    default:
        lw_fail(err, LW_E_IO, "the disk failed: nothing of this was written (%s)", sqlite3_errmsg(book->db));
        break;
    }
    return lw_err_at(err, book->path, 0, NULL);
}

/* ---- statements ---- */

lw_code lw_book_run(lw_book *book, const char *sql, lw_err *err)
{
    const int rc = sqlite3_exec(book->db, sql, NULL, NULL, NULL);
    return rc ? lw_book_refuse(book, rc, err) : LW_OK;
}

lw_code lw_book_prepare(lw_book *book, const char *sql, sqlite3_stmt **stmt, lw_err *err)
{
    const int rc = sqlite3_prepare_v2(book->db, sql, -1, stmt, NULL);
    return rc ? lw_book_refuse(book, rc, err) : LW_OK;
}

lw_code lw_book_step(lw_book *book, sqlite3_stmt *stmt, int *has_row, lw_err *err)
{
    const int rc = sqlite3_step(stmt);
    *has_row = rc == SQLITE_ROW;
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? LW_OK : lw_book_refuse(book, rc, err);
}

lw_code lw_book_finish(lw_book *book, sqlite3_stmt *stmt, lw_err *err)
{
    int has_row = 0;
    const lw_code code = lw_book_step(book, stmt, &has_row, err);
    sqlite3_reset(stmt);
    return code;
}

lw_code lw_book_count(lw_book *book, const char *sql, int64_t *count, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book, sql, &stmt, err);
    code = code ? code : lw_book_step(book, stmt, &has_row, err);
    if (!code)
        *count = has_row ? lw_column_time(stmt, 0) : LW_NO_TIME;
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_begin(lw_book *book, lw_err *err)
{
    lw_code code = LW_OK;
    if (book->depth == 0) {
        if (book->mode == LW_BOOK_READ_ONLY)
            return lw_book_refuse(book, SQLITE_READONLY, err);
        /* Immediate: who is to write waits at the start, where waiting cannot end in a refusal. */
        code = lw_book_run(book, "BEGIN IMMEDIATE", err);
    }
    book->depth += !code;
    return code;
}

lw_code lw_book_end(lw_book *book, lw_code code, lw_err *err)
{
    if (--book->depth > 0)
        return code;
    if (!code)
        code = lw_book_run(book, "COMMIT", err);
    /* Some failures have rolled back already. */
    if (code && !sqlite3_get_autocommit(book->db))
        (void)sqlite3_exec(book->db, "ROLLBACK", NULL, NULL, NULL);
    return code;
}

void lw_bind_text(sqlite3_stmt *stmt, int at, const char *text)
{
    if (text)
        sqlite3_bind_text(stmt, at, text, -1, SQLITE_STATIC);
}

void lw_bind_real(sqlite3_stmt *stmt, int at, double value)
{
    if (!isnan(value))
        sqlite3_bind_double(stmt, at, value);
}

void lw_bind_time(sqlite3_stmt *stmt, int at, int64_t time_s)
{
    if (time_s != LW_NO_TIME)
        sqlite3_bind_int64(stmt, at, time_s);
}

void lw_bind_ref(sqlite3_stmt *stmt, int at, int64_t id)
{
    if (id)
        sqlite3_bind_int64(stmt, at, id);
}

void lw_bind_id(sqlite3_stmt *stmt, int at, const lw_id *id)
{
    if (!lw_id_is_none(id))
        sqlite3_bind_blob(stmt, at, id->byte, LW_ID_BYTES, SQLITE_STATIC);
}

double lw_column_real(sqlite3_stmt *stmt, int at)
{
    return sqlite3_column_type(stmt, at) == SQLITE_NULL ? (double)NAN : sqlite3_column_double(stmt, at);
}

int64_t lw_column_time(sqlite3_stmt *stmt, int at)
{
    return sqlite3_column_type(stmt, at) == SQLITE_NULL ? LW_NO_TIME : sqlite3_column_int64(stmt, at);
}

void lw_column_id(sqlite3_stmt *stmt, int at, lw_id *id)
{
    const void *bytes = sqlite3_column_blob(stmt, at);
    *id = (lw_id){0};
    if (bytes && sqlite3_column_bytes(stmt, at) == LW_ID_BYTES)
        memcpy(id->byte, bytes, LW_ID_BYTES);
}

/* ---- what comes from outside ---- */

/* C1 and the two noncharacters U+FFFE and U+FFFF are not text: YAML has no place for them. */
static int is_control(const unsigned char *at)
{
    if (at[0] < 0x20)
        return at[0] != '\n' && at[0] != '\t';
    return at[0] == 0x7F || (at[0] == 0xC2 && at[1] < 0xA0 && at[1] != 0x85) ||
           (at[0] == 0xEF && at[1] == 0xBF && at[2] >= 0xBE);
}

lw_code lw_want_text(const char *what, const char *text, size_t most, int is_needed, lw_err *err)
{
    if (!text || !*text)
        return is_needed ? lw_fail(err, LW_E_MISSING, "%s is missing", what) : LW_OK;
    const size_t length = strlen(text);
    if (length > most)
        return lw_fail(err, LW_E_FULL, "%s: %zu bytes; the longest that is kept is %zu", what, length, most);
    size_t n;
    for (const unsigned char *at = (const unsigned char *)text; *at; at += n) {
        n = lw_utf8_length((const char *)at);
        if (n == 0)
            return lw_fail(err, LW_E_SYNTAX, "%s: is not UTF-8 text", what);
        if (is_control(at))
            return lw_fail(err, LW_E_SYNTAX, "%s: holds a control character; write plain text", what);
    }
    return LW_OK;
}

lw_code lw_want_real(const char *what, double value, int may_be_none, lw_err *err)
{
    return isfinite(value) || (isnan(value) && may_be_none) ? LW_OK
                                                            : lw_fail(err, LW_E_RANGE, "%s: a finite number", what);
}

lw_code lw_want_time(const char *what, int64_t time_s, int may_be_none, lw_err *err)
{
    static const int64_t END_S = 253402300800; /* of the year 9999 */
    if ((time_s >= 0 && time_s < END_S) || (may_be_none && time_s == LW_NO_TIME))
        return LW_OK;
    return lw_fail(err, LW_E_RANGE, "%s: %lld s is outside the years 1970 to 9999", what, (long long)time_s);
}

/* ---- texts that live as long as a list ---- */

struct lw_texts {
    lw_texts *next;
    size_t used, size;
    char byte[];
};

static char *room(lw_texts **texts, size_t n)
{
    static const size_t USUAL = 8192;
    if (!*texts || n > (*texts)->size - (*texts)->used) {
        const size_t size = n > USUAL ? n : USUAL;
        lw_texts *more = malloc(sizeof *more + size);
        if (!more)
            return NULL;
        *more = (lw_texts){.next = *texts, .size = size};
        *texts = more;
    }
    char *at = (*texts)->byte + (*texts)->used;
    (*texts)->used += n;
    return at;
}

const char *lw_keep_column(lw_texts **texts, sqlite3_stmt *stmt, int at, int *has_failed)
{
    if (sqlite3_column_type(stmt, at) == SQLITE_NULL)
        return NULL;
    const char *text = (const char *)sqlite3_column_text(stmt, at);
    const size_t n = (size_t)sqlite3_column_bytes(stmt, at);
    char *kept = text ? room(texts, n + 1) : NULL;
    if (!kept) {
        *has_failed = 1;
        return NULL;
    }
    memcpy(kept, text, n);
    kept[n] = '\0';
    return kept;
}

void lw_texts_free(lw_texts *texts)
{
    while (texts) {
        lw_texts *next = texts->next;
        free(texts);
        texts = next;
    }
}

void *lw_grow(void **items, size_t *count, size_t size)
{
    /* Room is doubled at each power of two from 16 on. */
    if (*count == 0 || (*count >= 16 && (*count & (*count - 1)) == 0)) {
        void *more = realloc(*items, size * (*count ? 2 * *count : 16));
        if (!more)
            return NULL;
        *items = more;
    }
    char *at = (char *)*items + size * *count;
    (*count)++;
    memset(at, 0, size);
    return at;
}
