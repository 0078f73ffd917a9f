#include "book/spots.h"

#include <math.h>
#include <stdlib.h>

#include "book/book_internal.h"
#include "core/land/distance.h"

static const double DEGREE_M = 111194.9; /* of latitude */

/* ---- import ---- */

struct lw_spots_import {
    lw_book *book;
    sqlite3_stmt *look, *put, *box;
    int64_t source, now_s;
    lw_spots_imported done;
};

static lw_code put_source(lw_spots_import *i, const char *name, const char *credit, lw_err *err)
{
    static const char SQL[] =
        "INSERT INTO map_source (name, credit, imported_s) VALUES (?1, ?2, ?3)"
        " ON CONFLICT (name) DO UPDATE SET credit = excluded.credit, imported_s = excluded.imported_s"
        " RETURNING id";
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_want_text("the source", name, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_want_text("the credit", credit, LW_BOOK_TEXT_BYTES, 0, err);
    code = code ? code : lw_want_time("the time of the import", i->now_s, 0, err);
    code = code ? code : lw_book_prepare(i->book, SQL, &stmt, err);
    if (!code) {
        lw_bind_text(stmt, 1, name);
        lw_bind_text(stmt, 2, credit);
        lw_bind_time(stmt, 3, i->now_s);
        code = lw_book_step(i->book, stmt, &has_row, err);
        if (!code && has_row) {
            i->source = sqlite3_column_int64(stmt, 0);
            code = lw_book_finish(i->book, stmt, err);
        }
    }
    sqlite3_finalize(stmt);
    return code;
}

static void free_import(lw_spots_import *i)
{
    sqlite3_finalize(i->look);
    sqlite3_finalize(i->put);
    sqlite3_finalize(i->box);
    free(i);
}

/* A statement of which the source is all that is bound. */
static lw_code run_on_source(lw_spots_import *i, const char *sql, int64_t *changes, lw_err *err)
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

lw_code lw_book_spots_begin(lw_book *book, const char *source, const char *credit, int64_t now_s,
                            lw_spots_import **import, lw_err *err)
{
    static const char LOOK[] = "SELECT imported_s FROM spot WHERE source = ?1 AND key = ?2";
    static const char PUT[] =
        "INSERT INTO spot (source, key, name, kinds, fit, latitude_deg, longitude_deg, detail, imported_s)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (source, key) DO UPDATE SET name = excluded.name,"
        " kinds = excluded.kinds, fit = excluded.fit, latitude_deg = excluded.latitude_deg,"
        " longitude_deg = excluded.longitude_deg, detail = excluded.detail, imported_s = excluded.imported_s"
        " RETURNING id";
    static const char BOX[] = "INSERT OR REPLACE INTO spot_box VALUES (?1, ?2, ?2, ?3, ?3)";
    lw_spots_import *i = calloc(1, sizeof *i);
    if (!i)
        return lw_no_memory(err);
    *i = (lw_spots_import){.book = book, .now_s = now_s};
    /* Rows come in no order of place: with SQLite's usual 2 MB the R-tree is read and written over and over. */
    lw_code code = lw_book_run(book, "PRAGMA cache_size = -65536", err);
    code = code ? code : lw_book_begin(book, err);
    if (code) {
        free(i);
        return code;
    }
    int64_t marked = 0;
    code = put_source(i, source, credit, err);
    /* rows of an earlier import bear a time before all times, and what still bears it at the end goes */
    code = code ? code : run_on_source(i, "UPDATE spot SET imported_s = -1 WHERE source = ?1", &marked, err);
    code = code ? code : lw_book_prepare(book, LOOK, &i->look, err);
    code = code ? code : lw_book_prepare(book, PUT, &i->put, err);
    code = code ? code : lw_book_prepare(book, BOX, &i->box, err);
    if (code) {
        free_import(i);
        return lw_book_end(book, code, err);
    }
    *import = i;
    return LW_OK;
}

/* 0: not there; 1: from an earlier import; 2: in this one already. */
static lw_code look_for(lw_spots_import *i, const char *key, int *state, lw_err *err)
{
    int has_row = 0;
    lw_bind_ref(i->look, 1, i->source);
    lw_bind_text(i->look, 2, key);
    const lw_code code = lw_book_step(i->book, i->look, &has_row, err);
    *state = !code && has_row ? 1 + (sqlite3_column_int64(i->look, 0) >= 0) : 0;
    sqlite3_reset(i->look);
    sqlite3_clear_bindings(i->look);
    return code;
}

/* No trigger does it: the book trusts no schema with virtual tables. */
static lw_code put_box(lw_spots_import *i, int64_t id, const lw_kept_spot *spot, lw_err *err)
{
    lw_bind_ref(i->box, 1, id);
    lw_bind_real(i->box, 2, spot->longitude_deg);
    lw_bind_real(i->box, 3, spot->latitude_deg);
    const lw_code code = lw_book_finish(i->book, i->box, err);
    sqlite3_reset(i->box);
    sqlite3_clear_bindings(i->box);
    return code;
}

lw_code lw_book_spots_put(lw_spots_import *i, const lw_kept_spot *spot, lw_err *err)
{
    int state = 0;
    lw_code code = lw_want_text("the key", spot->key, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_want_text("the name", spot->name, LW_BOOK_WORD_BYTES, 0, err);
    code = code ? code : lw_want_text("the detail", spot->detail, LW_BOOK_TEXT_BYTES, 0, err);
    code = code ? code : look_for(i, spot->key, &state, err);
    if (code)
        return code;
    lw_bind_ref(i->put, 1, i->source);
    lw_bind_text(i->put, 2, spot->key);
    lw_bind_text(i->put, 3, spot->name);
    lw_bind_ref(i->put, 4, spot->kinds);
    sqlite3_bind_int(i->put, 5, spot->fit);
    lw_bind_real(i->put, 6, spot->latitude_deg);
    lw_bind_real(i->put, 7, spot->longitude_deg);
    lw_bind_text(i->put, 8, spot->detail);
    lw_bind_time(i->put, 9, i->now_s);
    int has_row = 0;
    code = lw_book_step(i->book, i->put, &has_row, err);
    const int64_t id = !code && has_row ? sqlite3_column_int64(i->put, 0) : 0;
    code = code ? code : lw_book_finish(i->book, i->put, err);
    sqlite3_reset(i->put);
    sqlite3_clear_bindings(i->put); /* what is bound is borrowed only for this call */
    code = code ? code : put_box(i, id, spot, err);
    i->done.added += !code && state == 0;
    i->done.updated += !code && state == 1;
    return code;
}

static lw_code take_out_old(lw_spots_import *i, lw_err *err)
{
    int64_t boxes = 0;
    const lw_code code = run_on_source(
        i, "DELETE FROM spot_box WHERE id IN (SELECT id FROM spot WHERE source = ?1 AND imported_s = -1)", &boxes, err);
    return code ? code
                : run_on_source(i, "DELETE FROM spot WHERE source = ?1 AND imported_s = -1", &i->done.removed, err);
}

static lw_code put_credit(lw_spots_import *i, const char *credit, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_want_text("the credit", credit, LW_BOOK_TEXT_BYTES, 0, err);
    code = code ? code : lw_book_prepare(i->book, "UPDATE map_source SET credit = ?2 WHERE id = ?1", &stmt, err);
    if (!code) {
        lw_bind_ref(stmt, 1, i->source);
        lw_bind_text(stmt, 2, credit);
        code = lw_book_finish(i->book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_spots_end(lw_spots_import *i, lw_code code, const char *credit, lw_spots_imported *done, lw_err *err)
{
    lw_book *book = i->book;
    code = code ? code : take_out_old(i, err);
    code = code || !credit ? code : put_credit(i, credit, err);
    const lw_spots_imported counted = i->done;
    free_import(i);
    code = lw_book_end(book, code, err);
    if (!code)
        *done = counted;
    return code;
}

/* ---- questions ---- */

#define COLUMNS                                                                                                        \
    "s.id, s.key, s.name, s.detail, s.kinds, s.fit, s.latitude_deg, s.longitude_deg, m.name, m.credit, s.imported_s"   \
    " FROM spot s JOIN map_source m ON m.id = s.source "

void lw_kept_spots_clear(lw_kept_spots *spots)
{
    free(spots->spot);
    lw_texts_free(spots->texts);
    *spots = (lw_kept_spots){0};
}

static lw_code take_row(sqlite3_stmt *stmt, lw_kept_spots *to, lw_err *err)
{
    int has_failed = 0;
    lw_kept_spot *spot = lw_grow((void **)&to->spot, &to->count, sizeof *to->spot);
    if (!spot)
        return lw_no_memory(err);
    *spot = (lw_kept_spot){.id = sqlite3_column_int64(stmt, 0),
                           .key = lw_keep_column(&to->texts, stmt, 1, &has_failed),
                           .name = lw_keep_column(&to->texts, stmt, 2, &has_failed),
                           .detail = lw_keep_column(&to->texts, stmt, 3, &has_failed),
                           .kinds = (unsigned)sqlite3_column_int64(stmt, 4),
                           .fit = sqlite3_column_int(stmt, 5),
                           .latitude_deg = sqlite3_column_double(stmt, 6),
                           .longitude_deg = sqlite3_column_double(stmt, 7),
                           .way_m = (double)NAN,
                           .source = lw_keep_column(&to->texts, stmt, 8, &has_failed),
                           .credit = lw_keep_column(&to->texts, stmt, 9, &has_failed),
                           .imported_s = sqlite3_column_int64(stmt, 10)};
    return has_failed ? lw_no_memory(err) : LW_OK;
}

static lw_code take_rows(lw_book *book, sqlite3_stmt *stmt, lw_kept_spots *to, lw_err *err)
{
    int has_row = 0;
    lw_code code;
    while (!(code = lw_book_step(book, stmt, &has_row, err)) && has_row)
        if ((code = take_row(stmt, to, err)) != LW_OK)
            break;
    return code;
}

static int by_way(const void *a, const void *b)
{
    const lw_kept_spot *x = a, *y = b;
    if (x->way_m < y->way_m || x->way_m > y->way_m)
        return x->way_m < y->way_m ? -1 : 1;
    return (x->id > y->id) - (x->id < y->id);
}

/* All within a box that holds the circle; over the seam of the map the box is cut there. */
static lw_code take_box(lw_book *book, const lw_spots_near *near, double within_m, lw_kept_spots *to, lw_err *err)
{
    static const char SQL[] =
        "SELECT " COLUMNS "JOIN spot_box b ON b.id = s.id WHERE b.west <= ?2 AND b.east >= ?1 AND b.south <= ?4"
        " AND b.north >= ?3 AND (?5 = 0 OR s.kinds & ?5)";
    const double up_deg = within_m / DEGREE_M + 1e-4,
                 across_deg = up_deg / fmax(0.02, cos(near->latitude_deg * 0.017453292519943295));
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    if (!code) {
        lw_bind_real(stmt, 1, near->longitude_deg - across_deg);
        lw_bind_real(stmt, 2, near->longitude_deg + across_deg);
        lw_bind_real(stmt, 3, near->latitude_deg - up_deg);
        lw_bind_real(stmt, 4, near->latitude_deg + up_deg);
        sqlite3_bind_int64(stmt, 5, near->kinds);
        code = take_rows(book, stmt, to, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

/* Those of the box that lie in the circle, nearest first. */
static void keep_circle(const lw_spots_near *near, double within_m, lw_kept_spots *to)
{
    const lw_spot at = {near->latitude_deg, near->longitude_deg};
    size_t kept = 0;
    for (size_t i = 0; i < to->count; i++) {
        to->spot[i].way_m = lw_distance_m(at, (lw_spot){to->spot[i].latitude_deg, to->spot[i].longitude_deg});
        if (to->spot[i].way_m <= within_m)
            to->spot[kept++] = to->spot[i];
    }
    to->count = kept;
    if (kept)
        qsort(to->spot, kept, sizeof *to->spot, by_way);
}

/* A small circle first, then larger ones, until enough are in it: most questions end with the first. */
lw_code lw_book_spots_near(lw_book *book, const lw_spots_near *near, lw_kept_spots *spots, lw_err *err)
{
    static const double FIRST_M = 5000.0, GROWS = 3.0;
    lw_kept_spots found = {0};
    lw_code code = LW_OK;
    for (double within_m = fmin(FIRST_M, near->within_m);; within_m = fmin(within_m * GROWS, near->within_m)) {
        lw_kept_spots_clear(&found);
        code = take_box(book, near, within_m, &found, err);
        if (!code)
            keep_circle(near, within_m, &found);
        if (code || within_m >= near->within_m || (near->limit && found.count >= near->limit))
            break;
    }
    if (code) {
        lw_kept_spots_clear(&found);
        return code;
    }
    found.count = near->limit && found.count > near->limit ? near->limit : found.count;
    *spots = found;
    return LW_OK;
}

lw_code lw_book_spots_named(lw_book *book, const char *text, unsigned kinds, size_t limit, lw_kept_spots *spots,
                            lw_err *err)
{
    static const char SQL[] =
        "SELECT " COLUMNS
        "WHERE instr(lower(s.name), lower(?1)) > 0 AND (?2 = 0 OR s.kinds & ?2) ORDER BY s.name, s.id LIMIT ?3";
    lw_kept_spots found = {0};
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_want_text("the name", text, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_book_prepare(book, SQL, &stmt, err);
    if (!code) {
        lw_bind_text(stmt, 1, text);
        sqlite3_bind_int64(stmt, 2, kinds);
        sqlite3_bind_int64(stmt, 3, limit ? (int64_t)limit : -1);
        code = take_rows(book, stmt, &found, err);
    }
    sqlite3_finalize(stmt);
    if (code)
        lw_kept_spots_clear(&found);
    else
        *spots = found;
    return code;
}
