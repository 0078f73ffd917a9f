#include "book/spots.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "book/map_import_internal.h"
#include "core/land/distance.h"

/* ---- import ---- */

lw_code lw_book_spots_begin(lw_book *book, const lw_import_source *source, lw_import **import, lw_err *err)
{
    static const lw_import_sql SQL = {
        .mark = "UPDATE spot SET imported_s = -1 WHERE source = ?1",
        .look = "SELECT imported_s FROM spot WHERE source = ?1 AND key = ?2",
        .put = "INSERT INTO spot (source, key, name, kinds, fit, latitude_deg, longitude_deg, detail, imported_s)"
               " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (source, key) DO UPDATE SET"
               " name = excluded.name, kinds = excluded.kinds, fit = excluded.fit,"
               " latitude_deg = excluded.latitude_deg, longitude_deg = excluded.longitude_deg,"
               " detail = excluded.detail, imported_s = excluded.imported_s RETURNING id",
        .box = "INSERT OR REPLACE INTO spot_box VALUES (?1, ?2, ?3, ?4, ?5)",
        .take_out_boxes =
            "DELETE FROM spot_box WHERE id IN (SELECT id FROM spot WHERE source = ?1 AND imported_s = -1)",
        .take_out = "DELETE FROM spot WHERE source = ?1 AND imported_s = -1",
    };
    return lw_import_begin(book, &SQL, source, import, err);
}

lw_code lw_book_spots_put(lw_import *i, const lw_kept_spot *spot, lw_err *err)
{
    int state = 0;
    lw_code code = lw_want_text("the name", spot->name, LW_BOOK_WORD_BYTES, 0, err);
    code = code ? code : lw_want_text("the detail", spot->detail, LW_BOOK_TEXT_BYTES, 0, err);
    code = code ? code : lw_import_look(i, spot->key, &state, err);
    if (code)
        return code;
    lw_bind_text(i->put, 3, spot->name);
    lw_bind_ref(i->put, 4, spot->kinds);
    sqlite3_bind_int(i->put, 5, spot->fit);
    lw_bind_real(i->put, 6, spot->latitude_deg);
    lw_bind_real(i->put, 7, spot->longitude_deg);
    lw_bind_text(i->put, 8, spot->detail);
    lw_bind_time(i->put, 9, i->now_s);
    const lw_map_box box = {spot->longitude_deg, spot->latitude_deg, spot->longitude_deg, spot->latitude_deg};
    return lw_import_put(i, state, &box, err);
}

/* ---- questions ---- */

#define COLUMNS                                                                                                        \
    "s.id, s.key, s.name, s.detail, s.kinds, s.fit, s.latitude_deg, s.longitude_deg, m.name, m.credit, s.imported_s, " \
    "m.data_s"                                                                                                         \
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
                           .imported_s = sqlite3_column_int64(stmt, 10),
                           .data_s = lw_column_time(stmt, 11)};
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

lw_code lw_book_spots_within(lw_book *book, const lw_map_window *window, unsigned kinds, size_t limit,
                             lw_kept_spots *spots, lw_err *err)
{
    static const char SQL[] =
        "SELECT " COLUMNS "JOIN spot_box b ON b.id = s.id WHERE b.west <= ?2 AND b.east >= ?1 AND b.south <= ?4"
        " AND b.north >= ?3 AND (?5 = 0 OR s.kinds & ?5) LIMIT ?6";
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    if (!code) {
        lw_bind_real(stmt, 1, window->west_deg);
        lw_bind_real(stmt, 2, window->east_deg);
        lw_bind_real(stmt, 3, window->south_deg);
        lw_bind_real(stmt, 4, window->north_deg);
        sqlite3_bind_int64(stmt, 5, kinds);
        sqlite3_bind_int64(stmt, 6, limit > INT64_MAX ? INT64_MAX : (int64_t)limit);
        code = take_rows(book, stmt, spots, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

/* All within a box that holds the circle; over the seam of the map the box is cut there. */
static lw_code take_box(lw_book *book, const lw_spots_near *near, double within_m, lw_kept_spots *to, lw_err *err)
{
    const lw_map_box box = lw_map_box_around((lw_spot){near->latitude_deg, near->longitude_deg}, within_m);
    return lw_book_spots_within(book, &(lw_map_window){box.west_deg, box.south_deg, box.east_deg, box.north_deg},
                                near->kinds, SIZE_MAX, to, err);
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

/* All that are good for one of the kinds, wherever they are; *are_few 0: there are too many for that. Kinds are few, so each one that is
 * there is stepped to in the index. */
static lw_code take_few(lw_book *book, unsigned kinds, int *are_few, lw_kept_spots *to, lw_err *err)
{
#define OF_KIND                                                                                                        \
    "WITH RECURSIVE k (kinds) AS (SELECT min(kinds) FROM spot UNION ALL SELECT (SELECT min(kinds) FROM spot"           \
    " WHERE kinds > k.kinds) FROM k WHERE k.kinds IS NOT NULL) "
    static const char COUNT[] = OF_KIND "SELECT count(*) FROM (SELECT 1 FROM spot WHERE kinds IN (SELECT kinds FROM k"
                                        " WHERE kinds & ?1) LIMIT ?2)",
                      ROWS[] = OF_KIND "SELECT " COLUMNS "WHERE s.kinds IN (SELECT kinds FROM k WHERE kinds & ?1)";
#undef OF_KIND
    static const int FEW = 500;
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book, COUNT, &stmt, err);
    if (!code) {
        sqlite3_bind_int64(stmt, 1, kinds);
        sqlite3_bind_int(stmt, 2, FEW + 1);
        code = lw_book_step(book, stmt, &has_row, err);
        *are_few = has_row && sqlite3_column_int(stmt, 0) <= FEW;
    }
    sqlite3_finalize(stmt);
    if (code || !*are_few)
        return code;
    code = lw_book_prepare(book, ROWS, &stmt, err);
    if (!code) {
        sqlite3_bind_int64(stmt, 1, kinds);
        code = take_rows(book, stmt, to, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

/* A small circle first, then larger ones, until enough are in it: most questions end with the first. */
lw_code lw_book_spots_near(lw_book *book, const lw_spots_near *near, lw_kept_spots *spots, lw_err *err)
{
    static const double FIRST_M = 5000.0, GROWS = 3.0;
    lw_kept_spots found = {0};
    int are_few = 0;
    lw_code code = near->kinds ? take_few(book, near->kinds, &are_few, &found, err) : LW_OK;
    if (!code && are_few)
        keep_circle(near, near->within_m, &found);
    for (double within_m = fmin(FIRST_M, near->within_m); !code && !are_few;
         within_m = fmin(within_m * GROWS, near->within_m)) {
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
