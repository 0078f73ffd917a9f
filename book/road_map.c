#include "book/road_map.h"

#include <math.h>
#include <stdlib.h>

#include "book/map_import_internal.h"
#include "book/shape_internal.h"
#include "text/say.h"

static const double NEAR_MOST_M = 20000.0;

/* The class is a third side of the boxes: a map of a whole state asks for its great roads alone. Half a step thick, as the kinds of
 * book/spots.c are. */
static const lw_import_sql SQL_OF_ROADS = {
    .mark = "UPDATE road SET imported_s = -1 WHERE source = ?1",
    .look = "SELECT imported_s FROM road WHERE source = ?1 AND key = ?2",
    .put = "INSERT INTO road (source, key, name, class, surface, paved, needs, grade_frac, season, dry_only, access, "
           "detail, shape,"
           " imported_s) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14) ON CONFLICT (source, "
           "key) DO UPDATE"
           " SET name = excluded.name, class = excluded.class, surface = excluded.surface, paved = excluded.paved,"
           " needs = excluded.needs, grade_frac = excluded.grade_frac, season = excluded.season,"
           " dry_only = excluded.dry_only, access = excluded.access, detail = excluded.detail, shape = excluded.shape,"
           " imported_s = excluded.imported_s RETURNING id",
    .box = "INSERT OR REPLACE INTO road_box VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?6 + 0.5)",
    .take_out_boxes = "DELETE FROM road_box WHERE id IN (SELECT id FROM road WHERE source = ?1 AND imported_s = -1)",
    .take_out = "DELETE FROM road WHERE source = ?1 AND imported_s = -1",
};

lw_code lw_book_roads_begin(lw_book *book, const lw_import_source *source, lw_import **import, lw_err *err)
{
    return lw_import_begin(book, &SQL_OF_ROADS, source, import, err);
}

lw_code lw_book_roads_beside(lw_import *with, lw_imported *done, lw_import **import, lw_err *err)
{
    return lw_import_beside(with, &SQL_OF_ROADS, done, import, err);
}

static lw_code want_texts(const lw_kept_road *road, lw_err *err)
{
    const struct {
        const char *what, *text;
    } of[] = {{"the name", road->name},
              {"the surface", road->surface},
              {"the season", road->season},
              {"the access", road->access}};
    lw_code code = lw_want_text("the detail", road->detail, LW_BOOK_TEXT_BYTES, 0, err);
    for (size_t i = 0; i < sizeof of / sizeof of[0] && !code; i++)
        code = lw_want_text(of[i].what, of[i].text, LW_BOOK_WORD_BYTES, 0, err);
    return code;
}

lw_code lw_book_roads_put(lw_import *i, const lw_kept_road *road, lw_err *err)
{
    int state = 0;
    size_t bytes = 0;
    lw_code code = want_texts(road, err);
    code = code ? code : lw_import_look(i, road->key, &state, err);
    unsigned char *blob = code ? NULL : lw_shape_pack(&road->shape, &bytes);
    if (!code && !blob)
        code = lw_no_memory(err);
    if (!code) {
        const lw_map_box box = lw_map_box_of(&road->shape);
        lw_bind_text(i->put, 3, road->name);
        sqlite3_bind_int(i->put, 4, (int)road->class);
        lw_bind_text(i->put, 5, road->surface);
        sqlite3_bind_int(i->put, 6, (int)road->paved);
        sqlite3_bind_int(i->put, 7, (int)road->needs);
        lw_bind_real(i->put, 8, road->grade_frac);
        lw_bind_text(i->put, 9, road->season);
        sqlite3_bind_int(i->put, 10, (int)road->dry_only);
        lw_bind_text(i->put, 11, road->access);
        lw_bind_text(i->put, 12, road->detail);
        sqlite3_bind_blob64(i->put, 13, blob, bytes, SQLITE_STATIC);
        lw_bind_time(i->put, 14, i->now_s);
        sqlite3_bind_int(i->box, 6, (int)road->class);
        code = lw_import_put(i, state, &box, err);
    }
    free(blob);
    return code;
}

/* ---- questions ---- */

#define COLUMNS                                                                                                        \
    "SELECT r.id, r.key, r.name, r.class, r.surface, r.paved, r.needs, r.grade_frac, r.season, r.dry_only, r.access,"  \
    " r.detail, r.shape, m.name, m.credit, r.imported_s, m.data_s FROM road_box b JOIN road r ON r.id = b.id"          \
    " JOIN map_source m ON m.id = r.source WHERE b.west <= ?2 AND b.east >= ?1 AND b.south <= ?4 AND b.north >= ?3"

void lw_kept_roads_clear(lw_kept_roads *roads)
{
    free(roads->road);
    lw_texts_free(roads->texts);
    *roads = (lw_kept_roads){0};
}

static const char *column(sqlite3_stmt *stmt, int at)
{
    return (const char *)sqlite3_column_text(stmt, at);
}

static lw_kept_road road_of(sqlite3_stmt *stmt)
{
    return (lw_kept_road){.id = sqlite3_column_int64(stmt, 0),
                          .key = column(stmt, 1),
                          .name = column(stmt, 2),
                          .class = (lw_road_class)sqlite3_column_int(stmt, 3),
                          .surface = column(stmt, 4),
                          .paved = (lw_paved)sqlite3_column_int(stmt, 5),
                          .needs = (lw_road_needs)sqlite3_column_int(stmt, 6),
                          .grade_frac = lw_column_real(stmt, 7),
                          .season = column(stmt, 8),
                          .dry_only = (lw_fit)sqlite3_column_int(stmt, 9),
                          .access = column(stmt, 10),
                          .detail = column(stmt, 11),
                          .source = column(stmt, 13),
                          .credit = column(stmt, 14),
                          .imported_s = sqlite3_column_int64(stmt, 15),
                          .data_s = lw_column_time(stmt, 16)};
}

/* The caller's (free); NULL: damaged. */
static void *shape_of(sqlite3_stmt *stmt, lw_shape *shape, lw_err *err)
{
    void *held = lw_shape_unpack(sqlite3_column_blob(stmt, 12), (size_t)sqlite3_column_bytes(stmt, 12), shape);
    if (!held)
        (void)lw_fail(err, LW_E_SYNTAX, "the line of a road is damaged; import its map again");
    return held;
}

static lw_code take_road(sqlite3_stmt *stmt, double way_m, lw_kept_roads *to, lw_err *err)
{
    int has_failed = 0;
    lw_kept_road *road = lw_grow((void **)&to->road, &to->count, sizeof *to->road);
    if (!road)
        return lw_no_memory(err);
    *road = road_of(stmt);
    road->way_m = way_m;
    road->key = lw_keep_column(&to->texts, stmt, 1, &has_failed);
    road->name = lw_keep_column(&to->texts, stmt, 2, &has_failed);
    road->surface = lw_keep_column(&to->texts, stmt, 4, &has_failed);
    road->season = lw_keep_column(&to->texts, stmt, 8, &has_failed);
    road->access = lw_keep_column(&to->texts, stmt, 10, &has_failed);
    road->detail = lw_keep_column(&to->texts, stmt, 11, &has_failed);
    road->source = lw_keep_column(&to->texts, stmt, 13, &has_failed);
    road->credit = lw_keep_column(&to->texts, stmt, 14, &has_failed);
    return has_failed ? lw_no_memory(err) : LW_OK;
}

static lw_code take_if_near(sqlite3_stmt *stmt, lw_spot spot, double within_m, lw_kept_roads *to, lw_err *err)
{
    lw_shape shape = {0};
    void *held = shape_of(stmt, &shape, err);
    if (!held)
        return err->code;
    const double way_m = lw_shape_line_m(&shape, spot);
    free(held);
    return way_m <= within_m ? take_road(stmt, way_m, to, err) : LW_OK;
}

static int by_way(const void *a, const void *b)
{
    const lw_kept_road *x = a, *y = b;
    if (x->way_m < y->way_m || x->way_m > y->way_m)
        return x->way_m < y->way_m ? -1 : 1;
    return (x->id > y->id) - (x->id < y->id);
}

lw_code lw_book_roads_near(lw_book *book, lw_spot spot, double within_m, size_t limit, lw_kept_roads *roads,
                           lw_err *err)
{
    const lw_map_box box = lw_map_box_around(spot, fmin(within_m, NEAR_MOST_M));
    lw_kept_roads found = {0};
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, COLUMNS, &stmt, err);
    for (int turn = -360; turn <= 360 && !code; turn += 360) { /* roads over the seam reach beyond 180 */
        int has_row = 0;
        lw_bind_real(stmt, 1, box.west_deg + turn);
        lw_bind_real(stmt, 2, box.east_deg + turn);
        lw_bind_real(stmt, 3, box.south_deg);
        lw_bind_real(stmt, 4, box.north_deg);
        while (!(code = lw_book_step(book, stmt, &has_row, err)) && has_row)
            if ((code = take_if_near(stmt, spot, fmin(within_m, NEAR_MOST_M), &found, err)) != LW_OK)
                break;
        sqlite3_reset(stmt);
    }
    sqlite3_finalize(stmt);
    if (code) {
        lw_kept_roads_clear(&found);
        return code;
    }
    if (found.count)
        qsort(found.road, found.count, sizeof *found.road, by_way);
    found.count = found.count < limit ? found.count : limit;
    *roads = found;
    return LW_OK;
}

lw_code lw_book_roads_within(lw_book *book, const lw_roads_shown *shown, lw_err *err)
{
    static const char SQL[] = COLUMNS " AND b.class_low <= ?5 ORDER BY b.class_low, r.id LIMIT ?6";
    sqlite3_stmt *stmt = NULL;
    int has_row = 0, goes_on = 1;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    if (code)
        return code;
    lw_bind_real(stmt, 1, shown->window.west_deg);
    lw_bind_real(stmt, 2, shown->window.east_deg);
    lw_bind_real(stmt, 3, shown->window.south_deg);
    lw_bind_real(stmt, 4, shown->window.north_deg);
    sqlite3_bind_int(stmt, 5, (int)shown->last);
    sqlite3_bind_int64(stmt, 6, (int64_t)shown->limit);
    while (goes_on && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        lw_kept_road road = road_of(stmt);
        void *held = shape_of(stmt, &road.shape, err);
        if (!held) {
            code = err->code;
            break;
        }
        goes_on = shown->show(shown->with, &road);
        free(held);
    }
    sqlite3_finalize(stmt);
    return code;
}
