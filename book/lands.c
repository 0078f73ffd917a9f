#include "book/lands.h"

#include <math.h>
#include <stdlib.h>

#include "book/map_import_internal.h"
#include "book/shape_internal.h"
#include "text/say.h"

lw_code lw_book_lands_begin(lw_book *book, const lw_import_source *source, lw_import **import, lw_err *err)
{
    static const lw_import_sql SQL = {
        .mark = "UPDATE land SET imported_s = -1 WHERE source = ?1",
        .look = "SELECT imported_s FROM land WHERE source = ?1 AND key = ?2",
        .put = "INSERT INTO land (source, key, name, manager, said, access, designation, shape, imported_s)"
               " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (source, key) DO UPDATE SET"
               " name = excluded.name, manager = excluded.manager, said = excluded.said, access = excluded.access,"
               " designation = excluded.designation, shape = excluded.shape, imported_s = excluded.imported_s"
               " RETURNING id",
        .box = "INSERT OR REPLACE INTO land_box VALUES (?1, ?2, ?3, ?4, ?5)",
        .take_out_boxes =
            "DELETE FROM land_box WHERE id IN (SELECT id FROM land WHERE source = ?1 AND imported_s = -1)",
        .take_out = "DELETE FROM land WHERE source = ?1 AND imported_s = -1",
    };
    return lw_import_begin(book, &SQL, source, import, err);
}

static lw_code want_texts(const lw_kept_land *land, lw_err *err)
{
    const struct {
        const char *what, *text;
    } of[] = {{"the name", land->name},
              {"the manager", land->manager},
              {"the map's manager", land->said},
              {"the access", land->access},
              {"the designation", land->designation}};
    lw_code code = LW_OK;
    for (size_t i = 0; i < sizeof of / sizeof of[0] && !code; i++)
        code = lw_want_text(of[i].what, of[i].text, LW_BOOK_WORD_BYTES, 0, err);
    return code;
}

lw_code lw_book_lands_put(lw_import *i, const lw_kept_land *land, lw_err *err)
{
    int state = 0;
    size_t bytes = 0;
    lw_code code = want_texts(land, err);
    code = code ? code : lw_import_look(i, land->key, &state, err);
    unsigned char *blob = code ? NULL : lw_shape_pack(&land->shape, &bytes);
    if (!code && !blob)
        code = lw_no_memory(err);
    if (!code) {
        const lw_map_box box = lw_map_box_of(&land->shape);
        lw_bind_text(i->put, 3, land->name);
        lw_bind_text(i->put, 4, land->manager);
        lw_bind_text(i->put, 5, land->said);
        lw_bind_text(i->put, 6, land->access);
        lw_bind_text(i->put, 7, land->designation);
        sqlite3_bind_blob64(i->put, 8, blob, bytes, SQLITE_STATIC);
        lw_bind_time(i->put, 9, i->now_s);
        code = lw_import_put(i, state, &box, err);
    }
    free(blob);
    return code;
}

/* ---- questions ---- */

void lw_kept_lands_clear(lw_kept_lands *lands)
{
    free(lands->land);
    lw_texts_free(lands->texts);
    *lands = (lw_kept_lands){0};
}

static double box_km2_of(const lw_shape *shape)
{
    const lw_shape_box box = lw_shape_box_of(shape);
    const double degree_km = 111.1949, middle_rad = (box.south_e6 + box.north_e6) * 0.5e-6 * 0.017453292519943295;
    return (box.east_e6 - box.west_e6) * 1e-6 * (box.north_e6 - box.south_e6) * 1e-6 * degree_km * degree_km *
           cos(middle_rad);
}

static lw_code take_land(sqlite3_stmt *stmt, lw_where where, const lw_shape *shape, lw_spot spot, lw_kept_lands *to,
                         lw_err *err)
{
    int has_failed = 0;
    lw_kept_land *land = lw_grow((void **)&to->land, &to->count, sizeof *to->land);
    if (!land)
        return lw_no_memory(err);
    *land = (lw_kept_land){.id = sqlite3_column_int64(stmt, 0),
                           .key = lw_keep_column(&to->texts, stmt, 1, &has_failed),
                           .name = lw_keep_column(&to->texts, stmt, 2, &has_failed),
                           .manager = lw_keep_column(&to->texts, stmt, 3, &has_failed),
                           .said = lw_keep_column(&to->texts, stmt, 4, &has_failed),
                           .access = lw_keep_column(&to->texts, stmt, 5, &has_failed),
                           .designation = lw_keep_column(&to->texts, stmt, 6, &has_failed),
                           .where = where,
                           .border_m = lw_shape_border_m(shape, spot),
                           .box_km2 = box_km2_of(shape),
                           .source = lw_keep_column(&to->texts, stmt, 8, &has_failed),
                           .credit = lw_keep_column(&to->texts, stmt, 9, &has_failed),
                           .imported_s = sqlite3_column_int64(stmt, 10),
                           .data_s = lw_column_time(stmt, 11)};
    return has_failed ? lw_no_memory(err) : LW_OK;
}

/* The index has told that the box holds the point; whether the area does is asked of its borders. */
static lw_code take_if_it_holds(sqlite3_stmt *stmt, lw_spot spot, lw_kept_lands *to, lw_err *err)
{
    lw_shape shape;
    void *held = lw_shape_unpack(sqlite3_column_blob(stmt, 7), (size_t)sqlite3_column_bytes(stmt, 7), &shape);
    if (!held)
        return lw_fail(err, LW_E_SYNTAX, "the borders of an area are damaged; import its map again");
    const lw_where where = lw_shape_place(&shape, spot);
    const lw_code code = where == LW_OUTSIDE ? LW_OK : take_land(stmt, where, &shape, spot, to, err);
    free(held);
    return code;
}

static int by_size(const void *a, const void *b)
{
    const lw_kept_land *x = a, *y = b;
    if (x->box_km2 < y->box_km2 || x->box_km2 > y->box_km2)
        return x->box_km2 < y->box_km2 ? -1 : 1;
    return (x->id > y->id) - (x->id < y->id);
}

lw_code lw_book_lands_at(lw_book *book, lw_spot spot, lw_kept_lands *lands, lw_err *err)
{
    static const char SQL[] =
        "SELECT l.id, l.key, l.name, l.manager, l.said, l.access, l.designation, l.shape, m.name, m.credit,"
        " l.imported_s, m.data_s FROM land l JOIN land_box b ON b.id = l.id JOIN map_source m ON m.id = l.source"
        " WHERE b.south <= ?2 AND b.north >= ?2 AND b.west <= ?1 + ?3 AND b.east >= ?1 + ?3";
    lw_kept_lands found = {0};
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    for (int turn = -360; turn <= 360 && !code; turn += 360) { /* areas over the seam reach beyond 180 */
        int has_row = 0;
        lw_bind_real(stmt, 1, spot.longitude_deg);
        lw_bind_real(stmt, 2, spot.latitude_deg);
        sqlite3_bind_int(stmt, 3, turn);
        while (!(code = lw_book_step(book, stmt, &has_row, err)) && has_row)
            if ((code = take_if_it_holds(stmt, spot, &found, err)) != LW_OK)
                break;
        sqlite3_reset(stmt);
    }
    sqlite3_finalize(stmt);
    if (code) {
        lw_kept_lands_clear(&found);
        return code;
    }
    if (found.count)
        qsort(found.land, found.count, sizeof *found.land, by_size);
    *lands = found;
    return LW_OK;
}

static const char *column(sqlite3_stmt *stmt, int at)
{
    return (const char *)sqlite3_column_text(stmt, at);
}

/* *goes_on 0: it has seen enough. */
static lw_code show_land(sqlite3_stmt *stmt, const lw_lands_shown *shown, int *goes_on, lw_err *err)
{
    lw_kept_land land = {.id = sqlite3_column_int64(stmt, 0),
                         .name = column(stmt, 1),
                         .manager = column(stmt, 2),
                         .said = column(stmt, 3),
                         .access = column(stmt, 4),
                         .source = column(stmt, 6),
                         .credit = column(stmt, 7)};
    void *held = lw_shape_unpack(sqlite3_column_blob(stmt, 5), (size_t)sqlite3_column_bytes(stmt, 5), &land.shape);
    if (!held)
        return lw_fail(err, LW_E_SYNTAX, "the borders of an area are damaged; import its map again");
    *goes_on = shown->show(shown->with, &land);
    free(held);
    return LW_OK;
}

lw_code lw_book_lands_within(lw_book *book, const lw_lands_shown *shown, lw_err *err)
{
    static const char SQL[] =
        "SELECT l.id, l.name, l.manager, l.said, l.access, l.shape, m.name, m.credit FROM land_box b"
        " JOIN land l ON l.id = b.id JOIN map_source m ON m.id = l.source WHERE b.west <= ?2 AND b.east >= ?1"
        " AND b.south <= ?4 AND b.north >= ?3 AND (b.east - b.west > ?5 OR b.north - b.south > ?5)"
        " ORDER BY (b.east - b.west) * (b.north - b.south) DESC, l.id LIMIT ?6";
    sqlite3_stmt *stmt = NULL;
    int has_row = 0, goes_on = 1;
    lw_code code = lw_book_prepare(book, SQL, &stmt, err);
    if (code)
        return code;
    lw_bind_real(stmt, 1, shown->window.west_deg);
    lw_bind_real(stmt, 2, shown->window.east_deg);
    lw_bind_real(stmt, 3, shown->window.south_deg);
    lw_bind_real(stmt, 4, shown->window.north_deg);
    lw_bind_real(stmt, 5, shown->least_deg);
    sqlite3_bind_int64(stmt, 6, (int64_t)shown->limit);
    while (goes_on && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row)
        if ((code = show_land(stmt, shown, &goes_on, err)) != LW_OK)
            break;
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_lands_count(lw_book *book, int64_t *count, lw_err *err)
{
    return lw_book_count(book, "SELECT count(*) FROM land", count, err);
}
