#include "book/rows.h"

#include <stdio.h>
#include <string.h>

#include "book/book_internal.h"
#include "book/entries.h"
#include "text/say.h"

/* What stands before others is named by them. */
static const struct {
    const char *name, *key, *key_two, *order, *omit;
} TABLE[] = {
    {"setting", "key", NULL, "key", ""},
    {"rig", "id", NULL, "id", ""},
    {"crew", "id", NULL, "id", ""},
    {"place", "id", NULL, "id", ""},
    {"stay", "id", NULL, "id", ""},
    {"entry", "id", NULL, "seq", "seq"},
    {"past_weather", "place", "hour_s", "place, hour_s", ""},
    {"forecast", "id", NULL, "made_s, rowid", ""},
    {"trip", "name", NULL, "name", ""},
};

enum { TABLES = sizeof TABLE / sizeof TABLE[0] };

static int table_of(const char *name)
{
    for (int i = 0; i < TABLES; i++)
        if (strcmp(TABLE[i].name, name) == 0)
            return i;
    return -1;
}

/* ---- giving ---- */

static lw_code give_row(sqlite3_stmt *stmt, int table, lw_row_fn *take, void *context, lw_err *err)
{
    lw_cell cell[LW_ROW_CELLS];
    size_t count = 0;
    for (int i = 0; i < sqlite3_column_count(stmt) && count < LW_ROW_CELLS; i++) {
        lw_cell *c = &cell[count];
        const int type = sqlite3_column_type(stmt, i);
        *c = (lw_cell){.column = sqlite3_column_name(stmt, i)};
        if (!c->column)
            return lw_no_memory(err);
        if (type == SQLITE_NULL || strcmp(c->column, TABLE[table].omit) == 0)
            continue;
        c->kind = type == SQLITE_INTEGER ? LW_CELL_WHOLE
                  : type == SQLITE_FLOAT ? LW_CELL_REAL
                  : type == SQLITE_TEXT  ? LW_CELL_TEXT
                                         : LW_CELL_BYTES;
        c->whole = sqlite3_column_int64(stmt, i);
        c->real = sqlite3_column_double(stmt, i);
        if (c->kind >= LW_CELL_TEXT) {
            c->text =
                c->kind == LW_CELL_TEXT ? (const char *)sqlite3_column_text(stmt, i) : sqlite3_column_blob(stmt, i);
            c->n = (size_t)sqlite3_column_bytes(stmt, i);
            if (!c->text)
                return lw_no_memory(err);
        }
        count++;
    }
    return take(context, TABLE[table].name, cell, count, err);
}

static lw_code give_table(lw_book *book, int table, lw_row_fn *take, void *context, lw_err *err)
{
    char sql[96];
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    snprintf(sql, sizeof sql, "SELECT * FROM %s ORDER BY %s", TABLE[table].name, TABLE[table].order);
    lw_code code = lw_book_prepare(book, sql, &stmt, err);
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row)
        code = give_row(stmt, table, take, context, err);
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_each_row(lw_book *book, lw_row_fn *take, void *context, lw_err *err)
{
    /* One transaction is one moment, whoever writes meanwhile. */
    lw_code code = lw_book_run(book, "BEGIN", err);
    if (code)
        return code;
    for (int i = 0; i < TABLES && !code; i++)
        code = give_table(book, i, take, context, err);
    (void)sqlite3_exec(book->db, "ROLLBACK", NULL, NULL, NULL);
    return code;
}

/* ---- taking ---- */

lw_code lw_book_column(lw_book *book, const char *table, const char *column, lw_cell_kind *kind, lw_err *err)
{
    const char *type = NULL;
    const int at = table_of(table);
    if (at < 0)
        return lw_fail(err, LW_E_SYNTAX, "a book has no table %s", lw_quoted(table, strlen(table)).text);
    if (strcmp(column, TABLE[at].omit) == 0 ||
        sqlite3_table_column_metadata(book->db, "main", table, column, &type, NULL, NULL, NULL, NULL) || !type)
        return lw_fail(err, LW_E_SYNTAX, "%s has no column %s", table, lw_quoted(column, strlen(column)).text);
    *kind = strcmp(type, "INTEGER") == 0 ? LW_CELL_WHOLE
            : strcmp(type, "REAL") == 0  ? LW_CELL_REAL
            : strcmp(type, "TEXT") == 0  ? LW_CELL_TEXT
                                         : LW_CELL_BYTES;
    return LW_OK;
}

static void bind_cell(sqlite3_stmt *stmt, int at, const lw_cell *c)
{
    switch (c->kind) {
    case LW_CELL_WHOLE:
        sqlite3_bind_int64(stmt, at, c->whole);
        break;
    case LW_CELL_REAL:
        sqlite3_bind_double(stmt, at, c->real);
        break;
    case LW_CELL_TEXT:
        sqlite3_bind_text(stmt, at, c->text, (int)c->n, SQLITE_STATIC);
        break;
    case LW_CELL_BYTES:
        sqlite3_bind_blob(stmt, at, c->text, (int)c->n, SQLITE_STATIC);
        break;
    }
}

static const lw_cell *cell_of(const lw_cell *cell, size_t count, const char *column)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(cell[i].column, column) == 0)
            return &cell[i];
    return NULL;
}

/* A column that always holds something has held its default where the row does not name it. */
static int is_left_to_default(lw_book *book, const char *table, const char *column)
{
    int is_needed = 0;
    (void)sqlite3_table_column_metadata(book->db, "main", table, column, NULL, NULL, &is_needed, NULL, NULL);
    return is_needed;
}

static int is_equal(sqlite3_stmt *stmt, int at, const lw_cell *c)
{
    const int type = sqlite3_column_type(stmt, at);
    if (!c || type == SQLITE_NULL)
        return !c && type == SQLITE_NULL;
    if (c->kind == LW_CELL_WHOLE)
        return sqlite3_column_int64(stmt, at) == c->whole;
    if (c->kind == LW_CELL_REAL) {
        const double there = sqlite3_column_double(stmt, at);
        return there <= c->real && there >= c->real; /* the same number, bit by bit but for the sign of zero */
    }
    const void *there =
        c->kind == LW_CELL_TEXT ? (const void *)sqlite3_column_text(stmt, at) : sqlite3_column_blob(stmt, at);
    return (size_t)sqlite3_column_bytes(stmt, at) == c->n &&
           (c->n == 0 || (there && memcmp(there, c->text, c->n) == 0));
}

/* *is_there: the same row; a conflict: another of its key. */
static lw_code look_for(lw_book *book, int table, const lw_cell *cell, size_t count, int *is_there, lw_err *err)
{
    char sql[160];
    sqlite3_stmt *stmt = NULL;
    const char *const key = TABLE[table].key, *const two = TABLE[table].key_two;
    const lw_cell *const key_cell = cell_of(cell, count, key), *const two_cell =
                                                                   two ? cell_of(cell, count, two) : key_cell;
    if (!key_cell || !two_cell)
        return lw_fail(err, LW_E_MISSING, "a row of %s without its %s", TABLE[table].name, key_cell ? two : key);
    snprintf(sql, sizeof sql, "SELECT * FROM %s WHERE %s = ?1%s%s%s", TABLE[table].name, key, two ? " AND " : "",
             two ? two : "", two ? " = ?2" : "");
    lw_code code = lw_book_prepare(book, sql, &stmt, err);
    if (code)
        return code;
    bind_cell(stmt, 1, key_cell);
    if (two)
        bind_cell(stmt, 2, two_cell);
    code = lw_book_step(book, stmt, is_there, err);
    for (int i = 0; !code && *is_there && i < sqlite3_column_count(stmt); i++) {
        const char *column = sqlite3_column_name(stmt, i);
        const lw_cell *c = column ? cell_of(cell, count, column) : NULL;
        if (!column)
            code = lw_no_memory(err);
        else if (strcmp(column, TABLE[table].omit) != 0 && !is_equal(stmt, i, c) &&
                 (c || !is_left_to_default(book, TABLE[table].name, column)))
            code = lw_fail(err, LW_E_CONFLICT,
                           "this row of %s is in the book already with another %s; import into an empty book instead",
                           TABLE[table].name, column);
    }
    sqlite3_finalize(stmt);
    return code;
}

/* What lw_book_append and the puts would refuse as text is no row either. */
static lw_code want_words(const char *table, const lw_cell *c, lw_err *err)
{
    lw_entry_kind kind;
    if (c->n != strlen(c->text))
        return lw_fail(err, LW_E_SYNTAX, "%s: holds a control character; write plain text", c->column);
    const lw_code code = lw_want_text(c->column, c->text, LW_BOOK_DOC_BYTES, 0, err);
    if (!code && strcmp(table, "entry") == 0 && strcmp(c->column, "kind") == 0 && !lw_entry_kind_of(c->text, &kind))
        return lw_fail(err, LW_E_SYNTAX, "%s is no kind of entry", lw_quoted(c->text, c->n).text);
    return code;
}

static lw_code want_cells(lw_book *book, const char *table, const lw_cell *cell, size_t count, lw_err *err)
{
    lw_code code = count > 0 && count <= LW_ROW_CELLS ? LW_OK : lw_fail(err, LW_E_RANGE, "a row of %zu cells", count);
    for (size_t i = 0; i < count && !code; i++) {
        lw_cell_kind kind = LW_CELL_WHOLE;
        code = lw_book_column(book, table, cell[i].column, &kind, err);
        if (!code && kind != cell[i].kind)
            code = lw_fail(err, LW_E_SYNTAX, "%s of %s holds something else", cell[i].column, table);
        if (!code && kind == LW_CELL_TEXT)
            code = want_words(table, &cell[i], err);
        if (!code && kind == LW_CELL_REAL)
            code = lw_want_real(cell[i].column, cell[i].real, 0, err);
        if (!code && cell_of(cell, i, cell[i].column))
            code = lw_fail(err, LW_E_CONFLICT, "%s stands twice in a row of %s", cell[i].column, table);
    }
    return code;
}

static lw_code add_row(lw_book *book, const char *table, const lw_cell *cell, size_t count, lw_err *err)
{
    char sql[1024], values[128] = "";
    sqlite3_stmt *stmt = NULL;
    size_t used = (size_t)snprintf(sql, sizeof sql, "INSERT INTO %s (", table), used_values = 0;
    for (size_t i = 0; i < count; i++) {
        used += (size_t)snprintf(sql + used, sizeof sql - used, "%s%s", i ? ", " : "", cell[i].column);
        used_values +=
            (size_t)snprintf(values + used_values, sizeof values - used_values, "%s?%zu", i ? ", " : "", i + 1);
    }
    snprintf(sql + used, sizeof sql - used, ") VALUES (%s)", values);
    const lw_code code = lw_book_prepare(book, sql, &stmt, err);
    if (code)
        return code;
    for (size_t i = 0; i < count; i++)
        bind_cell(stmt, (int)i + 1, &cell[i]);
    const lw_code done = lw_book_finish(book, stmt, err);
    sqlite3_finalize(stmt);
    return done;
}

lw_code lw_book_take_row(lw_book *book, const char *table, const lw_cell *cell, size_t count, int *is_new, lw_err *err)
{
    int is_there = 0;
    lw_code code = want_cells(book, table, cell, count, err);
    code = code ? code : look_for(book, table_of(table), cell, count, &is_there, err);
    if (!code && !is_there)
        code = add_row(book, table, cell, count, err);
    if (!code)
        *is_new = !is_there;
    return code;
}
