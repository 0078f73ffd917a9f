#include "book/map_import.h"

#include <math.h>
#include <stdlib.h>

#include "book/devices.h"
#include "book/map_import_internal.h"

static const double DEGREE_M = 111194.9; /* of latitude */

lw_map_box lw_map_box_of(const lw_shape *shape)
{
    const lw_shape_box box = lw_shape_box_of(shape);
    return (lw_map_box){box.west_e6 * 1e-6, box.south_e6 * 1e-6, box.east_e6 * 1e-6, box.north_e6 * 1e-6};
}

lw_map_box lw_map_box_around(lw_spot spot, double within_m)
{
    const double up_deg = within_m / DEGREE_M + 1e-4,
                 across_deg = up_deg / fmax(0.02, cos(spot.latitude_deg * 0.017453292519943295));
    return (lw_map_box){spot.longitude_deg - across_deg, spot.latitude_deg - up_deg, spot.longitude_deg + across_deg,
                        spot.latitude_deg + up_deg};
}

static lw_code put_source(lw_import *i, const lw_import_source *source, lw_err *err)
{
    static const char SQL[] =
        "INSERT INTO map_source (name, credit, imported_s) VALUES (?1, ?2, ?3)"
        " ON CONFLICT (name) DO UPDATE SET credit = excluded.credit, imported_s = excluded.imported_s, data_s = NULL"
        " RETURNING id";
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_want_text("the source", source->name, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_want_text("the credit", source->credit, LW_BOOK_TEXT_BYTES, 0, err);
    code = code ? code : lw_want_time("the time of the import", source->now_s, 0, err);
    code = code ? code : lw_book_prepare(i->book, SQL, &stmt, err);
    if (!code) {
        lw_bind_text(stmt, 1, source->name);
        lw_bind_text(stmt, 2, source->credit);
        lw_bind_time(stmt, 3, source->now_s);
        code = lw_book_step(i->book, stmt, &has_row, err);
        if (!code && has_row) {
            i->source = sqlite3_column_int64(stmt, 0);
            code = lw_book_finish(i->book, stmt, err);
        }
    }
    sqlite3_finalize(stmt);
    return code;
}

static void free_import(lw_import *i)
{
    for (lw_import *beside; i; i = beside) {
        beside = i->beside;
        sqlite3_finalize(i->look);
        sqlite3_finalize(i->put);
        sqlite3_finalize(i->box);
        free(i);
    }
}

/* A statement of which the source is all that is bound. */
static lw_code run_on_source(lw_import *i, const char *sql, int64_t *changes, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(i->book, sql, &stmt, err);
    if (!code) {
        lw_bind_ref(stmt, 1, i->source);
        code = lw_book_finish(i->book, stmt, err);
        *changes = code ? 0 : sqlite3_changes64(i->book->db);
    }
    sqlite3_finalize(stmt);
    return code;
}

static lw_code prepare(lw_import *i, lw_err *err)
{
    int64_t marked = 0;
    lw_code code = run_on_source(i, i->sql->mark, &marked, err);
    code = code ? code : lw_book_prepare(i->book, i->sql->look, &i->look, err);
    code = code ? code : lw_book_prepare(i->book, i->sql->put, &i->put, err);
    return code ? code : lw_book_prepare(i->book, i->sql->box, &i->box, err);
}

lw_code lw_import_begin(lw_book *book, const lw_import_sql *sql, const lw_import_source *source, lw_import **import,
                        lw_err *err)
{
    lw_import *i = calloc(1, sizeof *i);
    if (!i)
        return lw_no_memory(err);
    *i = (lw_import){.book = book, .sql = sql, .now_s = source->now_s};
    /* Rows come in no order of place: with SQLite's usual 2 MB the R-tree is read and written over and over. */
    lw_code code = lw_book_run(book, "PRAGMA cache_size = -65536", err);
    code = code ? code : lw_book_begin(book, err);
    if (code) {
        free(i);
        return code;
    }
    code = put_source(i, source, err);
    code = code ? code : prepare(i, err);
    if (code) {
        free_import(i);
        return lw_book_end(book, code, err);
    }
    *import = i;
    return LW_OK;
}

lw_code lw_import_beside(lw_import *with, const lw_import_sql *sql, lw_imported *done, lw_import **import, lw_err *err)
{
    lw_import *i = calloc(1, sizeof *i);
    if (!i)
        return lw_no_memory(err);
    *i = (lw_import){.book = with->book, .sql = sql, .source = with->source, .now_s = with->now_s, .told = done};
    const lw_code code = prepare(i, err);
    if (code) {
        free_import(i);
        return code;
    }
    with->beside = i;
    *import = i;
    return LW_OK;
}

/* *state 0: not there; 1: from an earlier import; 2: in this one already. */
lw_code lw_import_look(lw_import *i, const char *key, int *state, lw_err *err)
{
    int has_row = 0;
    lw_code code = lw_want_text("the key", key, LW_BOOK_WORD_BYTES, 1, err);
    if (code)
        return code;
    lw_bind_ref(i->look, 1, i->source);
    lw_bind_text(i->look, 2, key);
    code = lw_book_step(i->book, i->look, &has_row, err);
    *state = !code && has_row ? 1 + (sqlite3_column_int64(i->look, 0) >= 0) : 0;
    sqlite3_reset(i->look);
    sqlite3_clear_bindings(i->look);
    lw_bind_ref(i->put, 1, i->source);
    lw_bind_text(i->put, 2, key);
    return code;
}

/* No trigger does it: the book trusts no schema with virtual tables. */
static lw_code put_box(lw_import *i, int64_t id, const lw_map_box *box, lw_err *err)
{
    lw_bind_ref(i->box, 1, id);
    lw_bind_real(i->box, 2, box->west_deg);
    lw_bind_real(i->box, 3, box->east_deg);
    lw_bind_real(i->box, 4, box->south_deg);
    lw_bind_real(i->box, 5, box->north_deg);
    const lw_code code = lw_book_finish(i->book, i->box, err);
    sqlite3_reset(i->box);
    sqlite3_clear_bindings(i->box);
    return code;
}

lw_code lw_import_put(lw_import *i, int state, const lw_map_box *box, lw_err *err)
{
    int has_row = 0;
    lw_code code = lw_book_step(i->book, i->put, &has_row, err);
    const int64_t id = !code && has_row ? sqlite3_column_int64(i->put, 0) : 0;
    code = code ? code : lw_book_finish(i->book, i->put, err);
    sqlite3_reset(i->put);
    sqlite3_clear_bindings(i->put); /* what is bound is borrowed only for this call */
    code = code ? code : put_box(i, id, box, err);
    i->done.added += !code && state == 0;
    i->done.updated += !code && state == 1;
    return code;
}

static lw_code take_out_old(lw_import *i, lw_err *err)
{
    int64_t boxes = 0;
    const lw_code code = run_on_source(i, i->sql->take_out_boxes, &boxes, err);
    return code ? code : run_on_source(i, i->sql->take_out, &i->done.removed, err);
}

static lw_code put_what_it_says(lw_import *i, const char *credit, int64_t data_s, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_want_text("the credit", credit, LW_BOOK_TEXT_BYTES, 0, err);
    code = code ? code : lw_want_time("the day of the data", data_s, 1, err);
    code =
        code ? code
             : lw_book_prepare(i->book, "UPDATE map_source SET credit = ifnull(?2, credit), data_s = ?3 WHERE id = ?1",
                               &stmt, err);
    if (!code) {
        lw_bind_ref(stmt, 1, i->source);
        lw_bind_text(stmt, 2, credit);
        lw_bind_time(stmt, 3, data_s);
        code = lw_book_finish(i->book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_import_end(lw_import *i, lw_code code, const char *credit, int64_t data_s, lw_imported *done,
                           lw_err *err)
{
    lw_book *book = i->book;
    code = code ? code : take_out_old(i, err);
    code = code || !i->beside ? code : take_out_old(i->beside, err);
    code = code ? code : put_what_it_says(i, credit, data_s, err);
    code = code ? code : lw_book_count_change(book, err);
    const lw_imported counted = i->done;
    if (i->beside)
        *i->beside->told = i->beside->done;
    free_import(i);
    code = lw_book_end(book, code, err);
    if (!code)
        *done = counted;
    return code;
}
