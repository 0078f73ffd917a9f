#include "book/signal_maps.h"

#include <math.h>
#include <stdlib.h>

#include "book/map_import_internal.h"
#include "book/shape_internal.h"
#include "core/land/belief.h"
#include "text/say.h"

/* ---- import ---- */

lw_code lw_book_coverage_begin(lw_book *book, const lw_import_source *source, lw_import **import, lw_err *err)
{
    static const lw_import_sql SQL = {
        .mark = "UPDATE coverage SET imported_s = -1 WHERE source = ?1",
        .look = "SELECT imported_s FROM coverage WHERE source = ?1 AND key = ?2",
        .put =
            "INSERT INTO coverage (source, key, who, technology, is_in_vehicles, down_mbit, up_mbit, shape, imported_s)"
            " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (source, key) DO UPDATE SET who = excluded.who,"
            " technology = excluded.technology, is_in_vehicles = excluded.is_in_vehicles,"
            " down_mbit = excluded.down_mbit, up_mbit = excluded.up_mbit, shape = excluded.shape,"
            " imported_s = excluded.imported_s RETURNING id",
        .box = "INSERT OR REPLACE INTO coverage_box VALUES (?1, ?2, ?3, ?4, ?5)",
        .take_out_boxes =
            "DELETE FROM coverage_box WHERE id IN (SELECT id FROM coverage WHERE source = ?1 AND imported_s = -1)",
        .take_out = "DELETE FROM coverage WHERE source = ?1 AND imported_s = -1",
    };
    return lw_import_begin(book, &SQL, source, import, err);
}

lw_code lw_book_coverage_put(lw_import *i, const lw_kept_coverage *coverage, lw_err *err)
{
    int state = 0;
    size_t bytes = 0;
    lw_code code = lw_want_text("the operator", coverage->who, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_import_look(i, coverage->key, &state, err);
    unsigned char *blob = code ? NULL : lw_shape_pack(&coverage->shape, &bytes);
    if (!code && !blob)
        code = lw_no_memory(err);
    if (!code) {
        const lw_map_box box = lw_map_box_of(&coverage->shape);
        lw_bind_text(i->put, 3, coverage->who);
        sqlite3_bind_int(i->put, 4, coverage->technology);
        sqlite3_bind_int(i->put, 5, coverage->is_in_vehicles != 0);
        lw_bind_real(i->put, 6, coverage->down_mbit);
        lw_bind_real(i->put, 7, coverage->up_mbit);
        sqlite3_bind_blob64(i->put, 8, blob, bytes, SQLITE_STATIC);
        lw_bind_time(i->put, 9, i->now_s);
        code = lw_import_put(i, state, &box, err);
    }
    free(blob);
    return code;
}

lw_code lw_book_cells_begin(lw_book *book, const lw_import_source *source, lw_import **import, lw_err *err)
{
    static const lw_import_sql SQL = {
        .mark = "UPDATE cell SET imported_s = -1 WHERE source = ?1",
        .look = "SELECT imported_s FROM cell WHERE source = ?1 AND key = ?2",
        .put =
            "INSERT INTO cell (source, key, mcc, net, radio, mast, latitude_deg, longitude_deg, samples, is_exact,"
            " imported_s) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11) ON CONFLICT (source, key) DO UPDATE SET"
            " mcc = excluded.mcc, net = excluded.net, radio = excluded.radio, mast = excluded.mast,"
            " latitude_deg = excluded.latitude_deg, longitude_deg = excluded.longitude_deg,"
            " samples = excluded.samples, is_exact = excluded.is_exact, imported_s = excluded.imported_s"
            " RETURNING id",
        .box = "INSERT OR REPLACE INTO cell_box VALUES (?1, ?2, ?3, ?4, ?5)",
        .take_out_boxes =
            "DELETE FROM cell_box WHERE id IN (SELECT id FROM cell WHERE source = ?1 AND imported_s = -1)",
        .take_out = "DELETE FROM cell WHERE source = ?1 AND imported_s = -1",
    };
    return lw_import_begin(book, &SQL, source, import, err);
}

lw_code lw_book_cells_put(lw_import *i, const lw_kept_cell *cell, lw_err *err)
{
    int state = 0;
    const lw_code code = lw_import_look(i, cell->key, &state, err);
    if (code)
        return code;
    sqlite3_bind_int(i->put, 3, cell->mcc);
    sqlite3_bind_int(i->put, 4, cell->net);
    sqlite3_bind_int(i->put, 5, cell->radio);
    sqlite3_bind_int64(i->put, 6, cell->mast);
    lw_bind_real(i->put, 7, cell->spot.latitude_deg);
    lw_bind_real(i->put, 8, cell->spot.longitude_deg);
    lw_bind_real(i->put, 9, cell->samples);
    sqlite3_bind_int(i->put, 10, cell->is_exact != 0);
    lw_bind_time(i->put, 11, i->now_s);
    const lw_map_box box = {cell->spot.longitude_deg, cell->spot.latitude_deg, cell->spot.longitude_deg,
                            cell->spot.latitude_deg};
    return lw_import_put(i, state, &box, err);
}

/* ---- questions ---- */

static lw_code take_operators(lw_book *book, lw_coverage_row_fn *take, void *context, lw_err *err)
{
    static const char SQL[] =
        "WITH RECURSIVE w (who) AS (SELECT min(who) FROM coverage UNION ALL SELECT (SELECT min(who) FROM coverage"
        " WHERE who > w.who) FROM w WHERE w.who IS NOT NULL) SELECT who FROM w WHERE who IS NOT NULL";
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        const lw_kept_coverage row = {
            .who = (const char *)sqlite3_column_text(stmt, 0), .down_mbit = (double)NAN, .up_mbit = (double)NAN};
        code = row.who ? take(context, &row, err) : lw_no_memory(err);
    }
    sqlite3_finalize(stmt);
    return code;
}

static lw_code take_coverage(sqlite3_stmt *stmt, lw_spot spot, lw_coverage_row_fn *take, void *context, lw_err *err)
{
    lw_shape shape;
    void *held = lw_shape_unpack(sqlite3_column_blob(stmt, 5), (size_t)sqlite3_column_bytes(stmt, 5), &shape);
    if (!held)
        return lw_fail(err, LW_E_SYNTAX, "the borders of an area are damaged; import its map again");
    const lw_kept_coverage row = {.who = (const char *)sqlite3_column_text(stmt, 0),
                                  .technology = sqlite3_column_int(stmt, 1),
                                  .is_in_vehicles = sqlite3_column_int(stmt, 2),
                                  .down_mbit = lw_column_real(stmt, 3),
                                  .up_mbit = lw_column_real(stmt, 4),
                                  .is_here = 1};
    const lw_code code = lw_shape_place(&shape, spot) == LW_OUTSIDE ? LW_OK : take(context, &row, err);
    free(held);
    return code;
}

static lw_code look_around(lw_book *book, lw_spot spot, int *is_any, lw_err *err)
{
    static const char SQL[] =
        "SELECT EXISTS (SELECT 1 FROM coverage_box WHERE west <= ?2 AND east >= ?1 AND south <= ?4 AND north >= ?3)";
    const lw_map_box box = lw_map_box_around(spot, LW_COVERAGE_REACH_M);
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    if (!code) {
        lw_bind_real(stmt, 1, box.west_deg);
        lw_bind_real(stmt, 2, box.east_deg);
        lw_bind_real(stmt, 3, box.south_deg);
        lw_bind_real(stmt, 4, box.north_deg);
        code = lw_book_step(book, stmt, &has_row, err);
        *is_any = !code && has_row && sqlite3_column_int(stmt, 0);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_coverage_at(lw_book *book, lw_spot spot, lw_coverage_row_fn *take, void *context, lw_err *err)
{
    static const char SQL[] =
        "SELECT c.who, c.technology, c.is_in_vehicles, c.down_mbit, c.up_mbit, c.shape FROM coverage c"
        " JOIN coverage_box b ON b.id = c.id WHERE b.south <= ?2 AND b.north >= ?2 AND b.west <= ?1 AND b.east >= ?1"
        " ORDER BY c.id";
    sqlite3_stmt *stmt = NULL;
    int has_row = 0, is_any = 0;
    lw_code code = look_around(book, spot, &is_any, err);
    if (code || !is_any)
        return code;
    code = take_operators(book, take, context, err);
    code = code ? code : lw_book_prepare(book, SQL, &stmt, err);
    if (!code) {
        lw_bind_real(stmt, 1, spot.longitude_deg);
        lw_bind_real(stmt, 2, spot.latitude_deg);
        while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row)
            code = take_coverage(stmt, spot, take, context, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_cells_near(lw_book *book, lw_spot spot, double within_m, lw_cell_row_fn *take, void *context,
                           lw_err *err)
{
    static const char SQL[] =
        "SELECT c.mcc, c.net, c.radio, c.mast, c.latitude_deg, c.longitude_deg, c.samples, c.is_exact FROM cell c"
        " JOIN cell_box b ON b.id = c.id WHERE b.west <= ?2 AND b.east >= ?1 AND b.south <= ?4 AND b.north >= ?3"
        " ORDER BY c.id";
    const lw_map_box box = lw_map_box_around(spot, within_m);
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    if (!code) {
        lw_bind_real(stmt, 1, box.west_deg);
        lw_bind_real(stmt, 2, box.east_deg);
        lw_bind_real(stmt, 3, box.south_deg);
        lw_bind_real(stmt, 4, box.north_deg);
    }
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        const lw_kept_cell cell = {.mcc = sqlite3_column_int(stmt, 0),
                                   .net = sqlite3_column_int(stmt, 1),
                                   .radio = sqlite3_column_int(stmt, 2),
                                   .mast = sqlite3_column_int64(stmt, 3),
                                   .spot = {sqlite3_column_double(stmt, 4), sqlite3_column_double(stmt, 5)},
                                   .samples = sqlite3_column_double(stmt, 6),
                                   .is_exact = sqlite3_column_int(stmt, 7)};
        if (lw_distance_m(spot, cell.spot) <= within_m)
            code = take(context, &cell, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

/* ---- what was reckoned of them ---- */

static void bind_seen(sqlite3_stmt *stmt, const lw_seen_signals *rows, size_t at)
{
    const lw_corner corner = lw_corner_of(rows->spot[at]);
    sqlite3_reset(stmt);
    sqlite3_clear_bindings(stmt);
    sqlite3_bind_int(stmt, 1, corner.latitude_e6);
    sqlite3_bind_int(stmt, 2, corner.longitude_e6);
    sqlite3_bind_int64(stmt, 3, (int64_t)rows->key); /* the same 64 bits */
}

lw_code lw_book_signals(lw_book *book, lw_seen_signals *rows, lw_err *err)
{
    static const char SQL[] = "SELECT frac FROM signal_seen WHERE latitude_e6 = ?1 AND longitude_e6 = ?2 AND key = ?3";
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    for (size_t i = 0; i < rows->count && !code; i++) {
        int has_row = 0;
        bind_seen(stmt, rows, i);
        code = lw_book_step(book, stmt, &has_row, err);
        rows->is_there[i] = (char)(!code && has_row);
        if (rows->is_there[i])
            rows->frac[i] = lw_column_real(stmt, 0);
    }
    sqlite3_finalize(stmt);
    return code;
}

static lw_code drop_rest(lw_book *book, uint64_t key, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(
        book, "DELETE FROM signal_seen WHERE key <> ?1 AND (SELECT count(*) FROM signal_seen) > ?2", &stmt, err);
    if (!code) {
        sqlite3_bind_int64(stmt, 1, (int64_t)key);
        sqlite3_bind_int64(stmt, 2, LW_SIGNALS_KEPT);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_keep_signals(lw_book *book, const lw_seen_signals *rows, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book, "INSERT OR REPLACE INTO signal_seen VALUES (?1, ?2, ?3, ?4)", &stmt, err);
    for (size_t i = 0; i < rows->count && !code; i++)
        if (!rows->is_there[i]) {
            bind_seen(stmt, rows, i);
            lw_bind_real(stmt, 4, rows->frac[i]);
            code = lw_book_finish(book, stmt, err);
        }
    sqlite3_finalize(stmt);
    code = code ? code : drop_rest(book, rows->key, err);
    return lw_book_end(book, code, err);
}

lw_code lw_book_signal_stamp(lw_book *book, int64_t *stamp, lw_err *err)
{
    return lw_book_count(book,
                         "SELECT ifnull(sum(m.id * 1000003 + m.imported_s), 0) FROM map_source m WHERE"
                         " EXISTS (SELECT 1 FROM cell c WHERE c.source = m.id) OR"
                         " EXISTS (SELECT 1 FROM coverage c WHERE c.source = m.id)",
                         stamp, err);
}
