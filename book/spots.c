#include "book/spots.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "book/map_import_internal.h"
#include "core/land/distance.h"

enum { KIND_BITS = 32 };

/* The side of a box that stands for kinds. A kind is half a step thick: boxes of no thickness would all have the volume nothing, by which
 * the index chooses where to put a row. */
typedef struct kind_span {
    double low, high;
} kind_span;

static kind_span span_of(unsigned kinds)
{
    int low = 0, high = KIND_BITS - 1;
    if (kinds) {
        while (!(kinds >> low & 1u))
            low++;
        while (!(kinds >> high & 1u))
            high--;
    }
    return (kind_span){low, high + 0.5};
}

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
        .box = "INSERT OR REPLACE INTO spot_kind_box VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        .take_out_boxes =
            "DELETE FROM spot_kind_box WHERE id IN (SELECT id FROM spot WHERE source = ?1 AND imported_s = -1)",
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
    const kind_span span = span_of(spot->kinds);
    lw_bind_real(i->box, 6, span.low);
    lw_bind_real(i->box, 7, span.high);
    const lw_map_box box = {spot->longitude_deg, spot->latitude_deg, spot->longitude_deg, spot->latitude_deg};
    return lw_import_put(i, state, &box, err);
}

/* ---- questions ---- */

#define COLUMNS_OF                                                                                                     \
    "s.id, s.key, s.name, s.detail, s.kinds, s.fit, s.latitude_deg, s.longitude_deg, m.name, m.credit, s.imported_s, " \
    "m.data_s "
#define COLUMNS COLUMNS_OF "FROM spot s JOIN map_source m ON m.id = s.source "

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
        "SELECT " COLUMNS "JOIN spot_kind_box b ON b.id = s.id WHERE b.west <= ?2 AND b.east >= ?1 AND b.south <= ?4"
        " AND b.north >= ?3 AND b.kind_low <= ?8 AND b.kind_high >= ?7 AND (?5 = 0 OR s.kinds & ?5) LIMIT ?6";
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    if (!code) {
        lw_bind_real(stmt, 1, window->west_deg);
        lw_bind_real(stmt, 2, window->east_deg);
        lw_bind_real(stmt, 3, window->south_deg);
        lw_bind_real(stmt, 4, window->north_deg);
        sqlite3_bind_int64(stmt, 5, kinds);
        sqlite3_bind_int64(stmt, 6, limit > INT64_MAX ? INT64_MAX : (int64_t)limit);
        const kind_span span = span_of(kinds);
        lw_bind_real(stmt, 7, span.low);
        lw_bind_real(stmt, 8, span.high);
        code = take_rows(book, stmt, spots, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

/* ---- the nearest ---- */

/* Less than any way into the box by more than rounding. The nearest point of a meridian is where a great circle meets it at a right angle,
 * or else an end of its part; over the pole it is one of the two ends. */
static double least_way_m(lw_spot at, const lw_map_box *box)
{
    static const double ROUNDING_M = 1.0, RAD_PER_DEG = 0.017453292519943295;
    const double turn_deg = at.longitude_deg - box->west_deg, wide_deg = box->east_deg - box->west_deg;
    const double from_west_deg = turn_deg - 360.0 * floor(turn_deg / 360.0); /* eastward, 0..360 */
    const double across_deg = from_west_deg <= wide_deg ? 0.0 : fmin(from_west_deg - wide_deg, 360.0 - from_west_deg);
    const double north = sin(at.latitude_deg * RAD_PER_DEG),
                 south = cos(at.latitude_deg * RAD_PER_DEG) * cos(across_deg * RAD_PER_DEG);
    const double across_at_deg = at.longitude_deg + across_deg;
    if (south >= 0.0) {
        const double right_angle_deg = atan2(north, south) / RAD_PER_DEG;
        const lw_spot nearest = {fmin(fmax(right_angle_deg, box->south_deg), box->north_deg), across_at_deg};
        return fmax(0.0, lw_distance_m(at, nearest) - ROUNDING_M);
    }
    return fmax(0.0, fmin(lw_distance_m(at, (lw_spot){box->south_deg, across_at_deg}),
                          lw_distance_m(at, (lw_spot){box->north_deg, across_at_deg})) -
                         ROUNDING_M);
}

/* Asked by the index of each box it meets: latitude, longitude, metres, kinds. It goes on with the box of the least score. */
static int score_box(sqlite3_rtree_query_info *q)
{
    if (q->nCoord != 6 || q->nParam != 4)
        return SQLITE_ERROR;
    const lw_map_box box = {q->aCoord[0], q->aCoord[2], q->aCoord[1], q->aCoord[3]};
    const double low = fmin(fmax(q->aCoord[4], 0.0), KIND_BITS - 1),
                 high = fmin(fmax(q->aCoord[5], low), KIND_BITS - 1);
    const uint64_t within = (UINT64_C(2) << (int)high) - (UINT64_C(1) << (int)low), asked = (uint64_t)q->aParam[3];
    q->eWithin = NOT_WITHIN;
    if (asked && !(asked & within))
        return SQLITE_OK;
    q->rScore = least_way_m((lw_spot){q->aParam[0], q->aParam[1]}, &box);
    if (q->rScore <= q->aParam[2])
        q->eWithin = PARTLY_WITHIN;
    return SQLITE_OK;
}

int lw_spots_know_nearness(sqlite3 *db)
{
    return sqlite3_rtree_query_callback(db, "lw_nearness", score_box, NULL, NULL);
}

/* Rows come by the least way to their boxes, which are a few metres wide; so one may come before another that is nearer by less than
 * that, and the end is a little behind the last that is wanted. */
static lw_code take_nearest(lw_book *book, sqlite3_stmt *stmt, const lw_spots_near *near, lw_kept_spots *to,
                            lw_err *err)
{
    static const double BOX_M = 20.0;
    const lw_spot at = {near->latitude_deg, near->longitude_deg};
    double last_m = 0.0; /* of as many as are wanted */
    int has_row = 0;
    lw_code code;
    while (!(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        if ((code = take_row(stmt, to, err)) != LW_OK)
            break;
        lw_kept_spot *spot = &to->spot[to->count - 1];
        spot->way_m = lw_distance_m(at, (lw_spot){spot->latitude_deg, spot->longitude_deg});
        if (near->limit && to->count > near->limit && spot->way_m > last_m + BOX_M)
            break;
        if (spot->way_m > near->within_m)
            to->count--;
        else if (to->count <= near->limit)
            last_m = fmax(last_m, spot->way_m);
    }
    return code;
}

lw_code lw_book_spots_near(lw_book *book, const lw_spots_near *near, lw_kept_spots *spots, lw_err *err)
{
    static const char SQL[] = "SELECT " COLUMNS_OF "FROM spot_kind_box b CROSS JOIN spot s ON s.id = b.id"
                              " CROSS JOIN map_source m ON m.id = s.source"
                              " WHERE b.id MATCH lw_nearness(?1, ?2, ?3, ?4) AND (?4 = 0 OR s.kinds & ?4)";
    lw_kept_spots found = {0};
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    if (!code) {
        lw_bind_real(stmt, 1, near->latitude_deg);
        lw_bind_real(stmt, 2, near->longitude_deg);
        lw_bind_real(stmt, 3, near->within_m);
        sqlite3_bind_int64(stmt, 4, near->kinds);
        code = take_nearest(book, stmt, near, &found, err);
    }
    sqlite3_finalize(stmt);
    if (code) {
        lw_kept_spots_clear(&found);
        return code;
    }
    if (found.count)
        qsort(found.spot, found.count, sizeof *found.spot, by_way);
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
