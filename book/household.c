#include "book/household.h"

#include <stdio.h>
#include <stdlib.h>

#include "book/book_internal.h"
#include "book/map_import_internal.h"
#include "text/say.h"

void lw_kept_docs_clear(lw_kept_docs *docs)
{
    free(docs->doc);
    lw_texts_free(docs->texts);
    *docs = (lw_kept_docs){0};
}

void lw_kept_places_clear(lw_kept_places *places)
{
    free(places->place);
    lw_texts_free(places->texts);
    *places = (lw_kept_places){0};
}

void lw_kept_stays_clear(lw_kept_stays *stays)
{
    free(stays->stay);
    lw_texts_free(stays->texts);
    *stays = (lw_kept_stays){0};
}

/* ---- putting ---- */

/* Runs an insert or update whose ?1 is the id (NULL: a new one) and which returns the id. */
static lw_code put_row(lw_book *book, sqlite3_stmt *stmt, const char *what, int64_t *id, lw_err *err)
{
    int has_row = 0;
    lw_code code = lw_book_step(book, stmt, &has_row, err);
    if (!code && !has_row)
        code = lw_fail(err, LW_E_MISSING, "there is no %s %lld in the book", what, (long long)*id);
    if (!code) {
        *id = sqlite3_column_int64(stmt, 0);
        code = lw_book_finish(book, stmt, err);
    }
    return code;
}

static lw_code put_doc(lw_book *book, const char *table, lw_kept_doc *doc, lw_err *err)
{
    lw_code code = lw_want_text("the name", doc->name, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_want_text("the document", doc->doc, LW_BOOK_DOC_BYTES, 1, err);
    if (code)
        return code;
    char sql[256];
    if (doc->id)
        snprintf(sql, sizeof sql, "UPDATE %s SET name = ?2, doc = ?3 WHERE id = ?1 RETURNING id", table);
    else
        snprintf(sql, sizeof sql,
                 "INSERT INTO %s (id, name, doc) VALUES (?1, ?2, ?3)"
                 " ON CONFLICT (name) DO UPDATE SET doc = excluded.doc RETURNING id",
                 table);
    sqlite3_stmt *stmt = NULL;
    code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book, sql, &stmt, err);
    if (!code) {
        lw_bind_ref(stmt, 1, doc->id);
        lw_bind_text(stmt, 2, doc->name);
        lw_bind_text(stmt, 3, doc->doc);
        code = put_row(book, stmt, table, &doc->id, err);
    }
    sqlite3_finalize(stmt);
    return lw_book_end(book, code, err);
}

lw_code lw_book_put_rig(lw_book *book, lw_kept_doc *rig, lw_err *err)
{
    return put_doc(book, "rig", rig, err);
}

lw_code lw_book_put_crew(lw_book *book, lw_kept_doc *crew, lw_err *err)
{
    return put_doc(book, "crew", crew, err);
}

static lw_code want_place(const lw_kept_place *place, lw_err *err)
{
    lw_code code = lw_want_text("the name", place->name, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_want_text("the zone", place->zone, LW_BOOK_WORD_BYTES, 0, err);
    code = code ? code : lw_want_text("the manager", place->manager, LW_BOOK_WORD_BYTES, 0, err);
    code = code ? code : lw_want_text("the document", place->doc, LW_BOOK_DOC_BYTES, 0, err);
    code = code ? code : lw_want_real("elevation_m", place->elevation_m, 1, err);
    if (code)
        return code;
    lw_fault fault = {0};
    if (lw_want_range(&fault, "latitude_deg", place->latitude_deg, -90.0, 90.0) ||
        lw_want_range(&fault, "longitude_deg", place->longitude_deg, -180.0, 180.0) ||
        (place->elevation_m < -430.0 && lw_want_range(&fault, "elevation_m", place->elevation_m, -430.0, 9000.0)) ||
        (place->elevation_m > 9000.0 && lw_want_range(&fault, "elevation_m", place->elevation_m, -430.0, 9000.0)))
        return lw_fault_say(&fault, err);
    return LW_OK;
}

lw_code lw_book_put_place(lw_book *book, lw_kept_place *place, lw_err *err)
{
    static const char INSERT[] =
        "INSERT INTO place (id, name, latitude_deg, longitude_deg, elevation_m, zone, manager, doc)"
        " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT (name) DO UPDATE SET"
        " latitude_deg = excluded.latitude_deg, longitude_deg = excluded.longitude_deg,"
        " elevation_m = excluded.elevation_m, zone = excluded.zone, manager = excluded.manager, doc = excluded.doc"
        " RETURNING id";
    static const char UPDATE[] = "UPDATE place SET name = ?2, latitude_deg = ?3, longitude_deg = ?4, elevation_m = ?5,"
                                 " zone = ?6, manager = ?7, doc = ?8 WHERE id = ?1 RETURNING id";
    lw_code code = want_place(place, err);
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    sqlite3_stmt *stmt = NULL;
    code = lw_book_prepare(book, place->id ? UPDATE : INSERT, &stmt, err);
    if (!code) {
        lw_bind_ref(stmt, 1, place->id);
        lw_bind_text(stmt, 2, place->name);
        lw_bind_real(stmt, 3, place->latitude_deg);
        lw_bind_real(stmt, 4, place->longitude_deg);
        lw_bind_real(stmt, 5, place->elevation_m);
        lw_bind_text(stmt, 6, place->zone);
        lw_bind_text(stmt, 7, place->manager);
        lw_bind_text(stmt, 8, place->doc ? place->doc : "");
        code = put_row(book, stmt, "place", &place->id, err);
    }
    sqlite3_finalize(stmt);
    return lw_book_end(book, code, err);
}

static lw_code want_stay(const lw_kept_stay *stay, lw_err *err)
{
    lw_code code = lw_want_text("the document", stay->doc, LW_BOOK_DOC_BYTES, 0, err);
    code = code ? code : lw_want_text("the summary", stay->summary, LW_BOOK_DOC_BYTES, 0, err);
    code = code ? code : lw_want_time("arrival", stay->arrival_s, 0, err);
    code = code ? code : lw_want_time("departure", stay->departure_s, 1, err);
    code = code ? code : lw_want_time("the time of leaving", stay->left_s, 1, err);
    if (code)
        return code;
    if (stay->departure_s != LW_NO_TIME && stay->departure_s < stay->arrival_s)
        return lw_fail(err, LW_E_CONFLICT, "the departure of a stay is not before its arrival");
    if (stay->left_s != LW_NO_TIME && stay->left_s < stay->arrival_s)
        return lw_fail(err, LW_E_CONFLICT, "a stay is not left before its arrival");
    return LW_OK;
}

lw_code lw_book_put_stay(lw_book *book, lw_kept_stay *stay, lw_err *err)
{
    static const char INSERT[] = "INSERT INTO stay (id, place, rig, crew, arrival_s, departure_s, left_s, doc, summary)"
                                 " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) RETURNING id";
    static const char UPDATE[] = "UPDATE stay SET place = ?2, rig = ?3, crew = ?4, arrival_s = ?5, departure_s = ?6,"
                                 " left_s = ?7, doc = ?8, summary = ?9 WHERE id = ?1 RETURNING id";
    lw_code code = want_stay(stay, err);
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    sqlite3_stmt *stmt = NULL;
    code = lw_book_prepare(book, stay->id ? UPDATE : INSERT, &stmt, err);
    if (!code) {
        lw_bind_ref(stmt, 1, stay->id);
        lw_bind_ref(stmt, 2, stay->place);
        lw_bind_ref(stmt, 3, stay->rig);
        lw_bind_ref(stmt, 4, stay->crew);
        lw_bind_time(stmt, 5, stay->arrival_s);
        lw_bind_time(stmt, 6, stay->departure_s);
        lw_bind_time(stmt, 7, stay->left_s);
        lw_bind_text(stmt, 8, stay->doc ? stay->doc : "");
        lw_bind_text(stmt, 9, stay->summary);
        code = put_row(book, stmt, "stay", &stay->id, err);
    }
    sqlite3_finalize(stmt);
    return lw_book_end(book, code, err);
}

static lw_code run_of_row(lw_book *book, const char *sql, int64_t id, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_prepare(book, sql, &stmt, err);
    if (!code) {
        lw_bind_ref(stmt, 1, id);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_drop_stay(lw_book *book, int64_t id, lw_err *err)
{
    static const char *const SQL[] = {"DELETE FROM forecast WHERE stay = ?1", "DELETE FROM learned WHERE stay = ?1",
                                      "DELETE FROM stay WHERE id = ?1"};
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    for (size_t i = 0; i < sizeof SQL / sizeof SQL[0] && !code; i++)
        code = run_of_row(book, SQL[i], id, err);
    return lw_book_end(book, code, err);
}

lw_code lw_book_drop_place(lw_book *book, int64_t id, lw_err *err)
{
    static const char *const SQL[] = {"DELETE FROM past_weather WHERE place = ?1",
                                      "DELETE FROM setting WHERE key = 'ground.' || ?1",
                                      "DELETE FROM place WHERE id = ?1"};
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    for (size_t i = 0; i < sizeof SQL / sizeof SQL[0] && !code; i++)
        code = run_of_row(book, SQL[i], id, err);
    return lw_book_end(book, code, err);
}

/* ---- listing ---- */

static lw_code prepare_list(lw_book *book, const char *columns, const char *table, const lw_kept_key *key,
                            sqlite3_stmt **stmt, lw_err *err)
{
    char sql[480];
    snprintf(sql, sizeof sql, "SELECT %s FROM %s WHERE true%s%s%s%s ORDER BY id", columns, table,
             key && key->id ? " AND id = ?1" : "", key && key->name ? " AND name = ?2" : "",
             key && key->alike ? " AND name = ?3 COLLATE NOCASE" : "",
             key && key->near ? " AND latitude_deg BETWEEN ?4 AND ?5 AND longitude_deg BETWEEN ?6 AND ?7" : "");
    const lw_code code = lw_book_prepare(book, sql, stmt, err);
    if (!code && key && key->id)
        sqlite3_bind_int64(*stmt, 1, key->id);
    if (!code && key && key->name)
        lw_bind_text(*stmt, 2, key->name);
    if (!code && key && key->alike)
        lw_bind_text(*stmt, 3, key->alike);
    if (!code && key && key->near) {
        const lw_map_box box = lw_map_box_around(*key->near, key->within_m);
        const int is_round = box.west_deg < -180.0 || box.east_deg > 180.0; /* over the date line: all longitudes */
        lw_bind_real(*stmt, 4, box.south_deg);
        lw_bind_real(*stmt, 5, box.north_deg);
        lw_bind_real(*stmt, 6, is_round ? -180.0 : box.west_deg);
        lw_bind_real(*stmt, 7, is_round ? 180.0 : box.east_deg);
    }
    return code;
}

static lw_code list_docs(lw_book *book, const char *table, const lw_kept_key *key, lw_kept_docs *docs, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_kept_docs made = {0};
    int has_row = 0, has_failed = 0;
    lw_code code = prepare_list(book, "id, name, doc", table, key, &stmt, err);
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        lw_kept_doc *doc = lw_grow((void **)&made.doc, &made.count, sizeof *doc);
        if (!doc || has_failed) {
            code = lw_no_memory(err);
            break;
        }
        doc->id = sqlite3_column_int64(stmt, 0);
        doc->name = lw_keep_column(&made.texts, stmt, 1, &has_failed);
        doc->doc = lw_keep_column(&made.texts, stmt, 2, &has_failed);
    }
    sqlite3_finalize(stmt);
    code = !code && has_failed ? lw_no_memory(err) : code;
    if (code)
        lw_kept_docs_clear(&made);
    else
        *docs = made;
    return code;
}

lw_code lw_book_list_rigs(lw_book *book, const lw_kept_key *key, lw_kept_docs *docs, lw_err *err)
{
    return list_docs(book, "rig", key, docs, err);
}

lw_code lw_book_list_crews(lw_book *book, const lw_kept_key *key, lw_kept_docs *docs, lw_err *err)
{
    return list_docs(book, "crew", key, docs, err);
}

lw_code lw_book_list_places(lw_book *book, const lw_kept_key *key, lw_kept_places *places, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_kept_places made = {0};
    int has_row = 0, has_failed = 0;
    lw_code code = prepare_list(book, "id, name, latitude_deg, longitude_deg, elevation_m, zone, manager, doc", "place",
                                key, &stmt, err);
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        lw_kept_place *place = lw_grow((void **)&made.place, &made.count, sizeof *place);
        if (!place || has_failed) {
            code = lw_no_memory(err);
            break;
        }
        place->id = sqlite3_column_int64(stmt, 0);
        place->name = lw_keep_column(&made.texts, stmt, 1, &has_failed);
        place->latitude_deg = lw_column_real(stmt, 2);
        place->longitude_deg = lw_column_real(stmt, 3);
        place->elevation_m = lw_column_real(stmt, 4);
        place->zone = lw_keep_column(&made.texts, stmt, 5, &has_failed);
        place->manager = lw_keep_column(&made.texts, stmt, 6, &has_failed);
        place->doc = lw_keep_column(&made.texts, stmt, 7, &has_failed);
    }
    sqlite3_finalize(stmt);
    code = !code && has_failed ? lw_no_memory(err) : code;
    if (code)
        lw_kept_places_clear(&made);
    else
        *places = made;
    return code;
}

/* The rows of a statement that gives STAY_COLUMNS; ends it. */
#define STAY_COLUMNS "id, place, rig, crew, arrival_s, departure_s, left_s, doc, summary"

static lw_code take_stays(lw_book *book, sqlite3_stmt *stmt, lw_kept_stays *stays, lw_err *err)
{
    lw_kept_stays made = {0};
    int has_row = 0, has_failed = 0;
    lw_code code = LW_OK;
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row) {
        lw_kept_stay *stay = lw_grow((void **)&made.stay, &made.count, sizeof *stay);
        if (!stay || has_failed) {
            code = lw_no_memory(err);
            break;
        }
        stay->id = sqlite3_column_int64(stmt, 0);
        stay->place = sqlite3_column_int64(stmt, 1);
        stay->rig = sqlite3_column_int64(stmt, 2);
        stay->crew = sqlite3_column_int64(stmt, 3);
        stay->arrival_s = lw_column_time(stmt, 4);
        stay->departure_s = lw_column_time(stmt, 5);
        stay->left_s = lw_column_time(stmt, 6);
        stay->doc = lw_keep_column(&made.texts, stmt, 7, &has_failed);
        stay->summary = lw_keep_column(&made.texts, stmt, 8, &has_failed);
    }
    sqlite3_finalize(stmt);
    code = !code && has_failed ? lw_no_memory(err) : code;
    if (code)
        lw_kept_stays_clear(&made);
    else
        *stays = made;
    return code;
}

lw_code lw_book_list_stays(lw_book *book, const lw_kept_key *key, lw_kept_stays *stays, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    const lw_kept_key by_id = {.id = key ? key->id : 0};
    const lw_code code = prepare_list(book, STAY_COLUMNS, "stay", &by_id, &stmt, err);
    return code ? code : take_stays(book, stmt, stays, err);
}

lw_code lw_book_current_stay(lw_book *book, int64_t now_s, lw_kept_stays *stays, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    const lw_code code = lw_book_prepare(book,
                                         "SELECT " STAY_COLUMNS " FROM stay WHERE arrival_s <= ?1 AND left_s IS NULL"
                                         " ORDER BY arrival_s DESC, id DESC LIMIT 1",
                                         &stmt, err);
    if (code)
        return code;
    sqlite3_bind_int64(stmt, 1, now_s);
    return take_stays(book, stmt, stays, err);
}
