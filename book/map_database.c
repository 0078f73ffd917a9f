#include "book/map_database.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "text/say.h"

enum { TABLES_MOST = 16, NAME_MOST = 128, STEPS = 100000, ROUNDS_MOST = 200 };

typedef struct feature_table {
    char table[NAME_MOST], geometry[NAME_MOST];
    int reference;
} feature_table;

typedef struct database {
    sqlite3 *db;
    const char *path;
    lw_err *err;
    long rounds; /* of STEPS machine steps since the last row */
    feature_table table[TABLES_MOST];
    int tables;
} database;

/* A view without an end must not hang us; every row that comes begins the count anew. */
static int count_rounds(void *context)
{
    database *d = context;
    return ++d->rounds > ROUNDS_MOST;
}

static lw_code refuse(database *d, int rc)
{
    if (rc == SQLITE_INTERRUPT)
        return lw_fail(d->err, LW_E_FULL, "asks for more work than a map does");
    if (rc == SQLITE_NOMEM || rc == SQLITE_TOOBIG)
        return lw_fail(d->err, LW_E_FULL, "a row of it is too large");
    return lw_fail(d->err, LW_E_SYNTAX, "is no GeoPackage, or damaged: %s", sqlite3_errmsg(d->db));
}

static lw_code prepare(database *d, const char *sql, sqlite3_stmt **stmt)
{
    const int rc = sqlite3_prepare_v2(d->db, sql, -1, stmt, NULL);
    return rc == SQLITE_OK ? LW_OK : refuse(d, rc);
}

static lw_code step(database *d, sqlite3_stmt *stmt, int *has_row)
{
    const int rc = sqlite3_step(stmt);
    *has_row = rc == SQLITE_ROW;
    d->rounds = 0;
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? LW_OK : refuse(d, rc);
}

static const char *text_of(sqlite3_stmt *stmt, int at)
{
    const unsigned char *text = sqlite3_column_text(stmt, at);
    return text ? (const char *)text : "";
}

static lw_code find_tables(database *d)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = prepare(d,
                           "SELECT g.table_name, g.column_name, g.srs_id FROM gpkg_geometry_columns g"
                           " JOIN gpkg_contents c ON c.table_name = g.table_name WHERE c.data_type = 'features'"
                           " ORDER BY 1",
                           &stmt);
    while (!code && d->tables < TABLES_MOST && !(code = step(d, stmt, &has_row)) && has_row) {
        feature_table *t = &d->table[d->tables++];
        snprintf(t->table, sizeof t->table, "%.127s", text_of(stmt, 0));
        snprintf(t->geometry, sizeof t->geometry, "%.127s", text_of(stmt, 1));
        t->reference = sqlite3_column_int(stmt, 2);
    }
    sqlite3_finalize(stmt);
    if (!code && d->tables == 0)
        code = lw_fail(d->err, LW_E_MISSING, "has no table of features");
    return code;
}

static lw_code open_it(database *d)
{
    int rc = sqlite3_open_v2(d->path, &d->db, SQLITE_OPEN_READONLY, NULL);
    if (rc != SQLITE_OK)
        return lw_fail(d->err, LW_E_MISSING, "cannot be opened: %s", d->db ? sqlite3_errmsg(d->db) : "no memory");
    sqlite3_limit(d->db, SQLITE_LIMIT_LENGTH, 256 << 20);
    sqlite3_progress_handler(d->db, STEPS, count_rounds, d);
    rc = sqlite3_exec(d->db, "PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON; PRAGMA mmap_size = 0", NULL,
                      NULL, NULL);
    return rc == SQLITE_OK ? find_tables(d) : refuse(d, rc);
}

static lw_code want_degrees(database *d)
{
    for (int i = 0; i < d->tables; i++)
        if (d->table[i].reference != 4326 && d->table[i].reference != 4269)
            return lw_fail(d->err, LW_E_UNIT,
                           "its table %.60s is in reference system %d, not in longitude and latitude",
                           d->table[i].table, d->table[i].reference);
    return LW_OK;
}

static lw_code take_row(sqlite3_stmt *stmt, const feature_table *t, const lw_map_rows *rows, lw_err *err)
{
    const unsigned char *blob = NULL;
    size_t n = 0;
    for (int i = 0; i < sqlite3_column_count(stmt); i++) {
        const char *name = sqlite3_column_name(stmt, i);
        if (name && sqlite3_stricmp(name, t->geometry) == 0) {
            blob = sqlite3_column_blob(stmt, i);
            n = blob ? (size_t)sqlite3_column_bytes(stmt, i) : 0;
        } else if (name && sqlite3_column_type(stmt, i) != SQLITE_BLOB) {
            rows->field(rows->context, name, text_of(stmt, i));
        }
    }
    return rows->geometry(rows->context, blob, n, err);
}

static lw_code count_rows(database *d, const feature_table *t, double *count)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    char *sql = sqlite3_mprintf("SELECT count(*) FROM \"%w\"", t->table);
    lw_code code = sql ? prepare(d, sql, &stmt) : lw_fail(d->err, LW_E_FULL, "no memory");
    code = code ? code : step(d, stmt, &has_row);
    *count = has_row ? sqlite3_column_double(stmt, 0) : 0.0;
    sqlite3_finalize(stmt);
    sqlite3_free(sql);
    return code;
}

static lw_code read_table(database *d, const feature_table *t, const lw_map_rows *rows)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    double count = 0.0, done = 0.0;
    char *sql = sqlite3_mprintf("SELECT * FROM \"%w\"", t->table);
    lw_code code = sql ? count_rows(d, t, &count) : lw_fail(d->err, LW_E_FULL, "no memory");
    code = code ? code : prepare(d, sql, &stmt);
    while (!code && !(code = step(d, stmt, &has_row)) && has_row) {
        code = take_row(stmt, t, rows, d->err);
        if (rows->tell)
            rows->tell(rows->context, count > 0.0 ? ++done / count : 1.0);
    }
    sqlite3_finalize(stmt);
    sqlite3_free(sql);
    return code;
}

lw_code lw_map_database_read(const char *path, const lw_map_rows *rows, lw_err *err)
{
    database d = {.path = path, .err = err};
    lw_code code = open_it(&d);
    code = code ? code : want_degrees(&d);
    for (int i = 0; i < d.tables && !code; i++)
        code = read_table(&d, &d.table[i], rows);
    sqlite3_close(d.db);
    return code ? lw_err_at(err, path, 0, NULL) : LW_OK;
}

lw_code lw_map_database_fields(const char *path, void (*field)(void *context, const char *name), void *context,
                               lw_err *err)
{
    database d = {.path = path, .err = err};
    lw_code code = open_it(&d);
    for (int i = 0; i < d.tables && !code; i++) {
        sqlite3_stmt *stmt = NULL;
        char *sql = sqlite3_mprintf("SELECT * FROM \"%w\" LIMIT 0", d.table[i].table);
        code = sql ? prepare(&d, sql, &stmt) : lw_fail(err, LW_E_FULL, "no memory");
        for (int c = 0; c < sqlite3_column_count(stmt) && !code; c++)
            field(context, sqlite3_column_name(stmt, c));
        sqlite3_finalize(stmt);
        sqlite3_free(sql);
    }
    code = code ? code : want_degrees(&d);
    sqlite3_close(d.db);
    return code ? lw_err_at(err, path, 0, NULL) : LW_OK;
}
