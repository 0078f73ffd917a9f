#include "service/map_import.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "book/devices.h"
#include "book/lands.h"
#include "book/map_database.h"
#include "book/road_map.h"
#include "book/signal_maps.h"
#include "book/spots.h"
#include "exchange/child.h"
#include "exchange/coverage.h"
#include "exchange/limits.h"
#include "exchange/tables.h"
#include "exchange/towers.h"
#include "exchange/unpack.h"
#include "exchange/wkb.h"
#include "exchange/zip_names.h"
#include "service/household.h"
#include "text/say.h"

static const char OPENSTREETMAP[] = "(c) OpenStreetMap contributors, Open Database License 1.0";
enum { LOOK = 65536, ARGUMENTS = 20 };

/* What is read, with its first bytes looked at. */
typedef struct source {
    lw_read_fn *read;
    lw_again_fn *again;
    void *context;
    size_t n, at;
    char first[LOOK];
} source;

typedef struct work {
    lw_book *book;
    const lw_map_ask *ask;
    lw_map_done *done;
    lw_import *import, *roads; /* roads: beside places */
    lw_err *err;
} work;

/* What the first bytes show. */
typedef struct lw_map_looks {
    lw_map_kind kind;
    int is_json;
} lw_map_looks;

/* ---- rows ---- */

static const char *or_null(const char *text)
{
    return text[0] ? text : NULL;
}

static lw_code take_spot(void *context, const lw_spot_row *row, lw_err *err)
{
    const lw_kept_spot spot = {.key = row->key,
                               .name = or_null(row->name),
                               .detail = or_null(row->detail),
                               .kinds = row->kinds,
                               .fit = (int)row->fit,
                               .latitude_deg = row->spot.latitude_deg,
                               .longitude_deg = row->spot.longitude_deg};
    return lw_book_spots_put(context, &spot, err);
}

static lw_code take_area(void *context, const lw_area_row *row, lw_err *err)
{
    const lw_kept_land land = {.key = row->key,
                               .name = or_null(row->name),
                               .manager = or_null(row->manager),
                               .said = or_null(row->said),
                               .access = or_null(row->access),
                               .designation = or_null(row->designation),
                               .shape = row->shape};
    return lw_book_lands_put(context, &land, err);
}

static lw_code take_road(void *context, const lw_road_row *row, lw_err *err)
{
    const lw_kept_road road = {.key = row->key,
                               .name = or_null(row->name),
                               .surface = or_null(row->surface),
                               .season = or_null(row->season),
                               .access = or_null(row->access),
                               .detail = or_null(row->detail),
                               .class = row->class,
                               .paved = row->paved,
                               .needs = row->needs,
                               .dry_only = row->dry_only,
                               .grade_frac = row->grade_frac,
                               .shape = row->shape};
    return lw_book_roads_put(context, &road, err);
}

static lw_code take_coverage(void *context, const lw_coverage_row *row, lw_err *err)
{
    work *w = context;
    char key[32];
    if (row->shape.rings == 0) {
        w->done->passed_over++;
        return LW_OK;
    }
    snprintf(key, sizeof key, "row %ld", ++w->done->rows);
    const lw_kept_coverage kept = {.key = key,
                                   .who = row->who,
                                   .technology = row->technology,
                                   .is_in_vehicles = row->is_in_vehicles,
                                   .down_mbit = row->down_mbit,
                                   .up_mbit = row->up_mbit,
                                   .shape = row->shape};
    return lw_book_coverage_put(w->import, &kept, err);
}

static lw_code take_cell(void *context, const lw_tower *row, lw_err *err)
{
    work *w = context;
    char key[64];
    if (!row) {
        w->done->passed_over++;
        return LW_OK;
    }
    w->done->rows++;
    snprintf(key, sizeof key, "%d-%d-%d-%lld", row->mcc, row->net, (int)row->radio, (long long)row->cell);
    const lw_kept_cell kept = {.key = key,
                               .mcc = row->mcc,
                               .net = row->net,
                               .radio = (int)row->radio,
                               .mast = row->mast,
                               .spot = row->spot,
                               .samples = row->samples,
                               .is_exact = row->is_exact};
    return lw_book_cells_put(w->import, &kept, err);
}

/* ---- begun, read, ended ---- */

static lw_code begin(work *w, lw_map_kind kind)
{
    const char *slash = strrchr(w->ask->path, '/'), *own = slash ? slash + 1 : w->ask->path;
    const lw_import_source from = {w->ask->source ? w->ask->source : own, w->ask->credit, w->ask->now_s};
    w->done->kind = kind;
    switch (kind) {
    case LW_MAP_LAND:
        return lw_book_lands_begin(w->book, &from, &w->import, w->err);
    case LW_MAP_COVERAGE:
        return lw_book_coverage_begin(w->book, &from, &w->import, w->err);
    case LW_MAP_MASTS:
        return lw_book_cells_begin(w->book, &from, &w->import, w->err);
    case LW_MAP_ROADS:
        return lw_book_roads_begin(w->book, &from, &w->import, w->err);
    default:
        return lw_book_spots_begin(w->book, &from, &w->import, w->err);
    }
}

static lw_code want_any(const work *w)
{
    if (w->done->kind == LW_MAP_LAND)
        return w->done->areas.taken ? LW_OK
                                    : lw_fail(w->err, LW_E_MISSING, "there is no area in it (rows without one: %ld)",
                                              w->done->areas.passed_over);
    if (w->done->kind == LW_MAP_COVERAGE || w->done->kind == LW_MAP_MASTS)
        return w->done->rows
                   ? LW_OK
                   : lw_fail(w->err, LW_E_MISSING, "there is %s in it (rows passed over: %ld)",
                             w->done->kind == LW_MAP_MASTS ? "no cell of LTE or NR" : "no area of an operator",
                             w->done->passed_over);
    if (w->done->kind == LW_MAP_ROADS)
        return w->done->roads.taken ? LW_OK
                                    : lw_fail(w->err, LW_E_MISSING, "there is no road in it (rows without one: %ld)",
                                              w->done->roads.passed_over);
    return w->done->spots.taken || w->done->roads.taken
               ? LW_OK
               : lw_fail(w->err, LW_E_MISSING,
                         "there is no place in it that has a kind or a name (%ld were passed over)",
                         w->done->spots.passed_over);
}

static lw_code end(work *w, lw_code code)
{
    lw_map_done *done = w->done;
    code = code ? code : want_any(w);
    const int64_t data_s =
        (done->kind != LW_MAP_PLACES && done->kind != LW_MAP_ROADS) || done->spots.data_s == LW_SPOTS_NO_DATE
            ? LW_NO_TIME
            : done->spots.data_s;
    done->is_openstreetmap = done->areas.is_openstreetmap | done->spots.is_openstreetmap | done->roads.is_openstreetmap;
    return lw_book_import_end(w->import, code, !w->ask->credit && done->is_openstreetmap ? OPENSTREETMAP : NULL, data_s,
                              &done->book, w->err);
}

static lw_code read_areas(work *w, lw_read_fn *read, void *context)
{
    lw_areas *areas = NULL;
    lw_unpack *unpack = NULL;
    lw_code code = lw_areas_open(take_area, w->import, &w->done->areas, &areas, w->err);
    code = code ? code : lw_unpack_open(read, context, &unpack, w->err);
    code = code ? code : lw_areas_geojson(areas, lw_unpack_read, unpack, w->err);
    if (code == LW_E_IO)
        code = lw_unpack_refuse(unpack, w->err);
    lw_unpack_close(unpack);
    lw_areas_close(areas);
    return code;
}

/* Roads of GeoJSON, by features. */
static lw_code read_lines(work *w, lw_road_lines *roads, lw_read_fn *read, void *context)
{
    lw_unpack *unpack = NULL;
    lw_code code = lw_unpack_open(read, context, &unpack, w->err);
    code = code ? code : lw_road_lines_geojson(roads, lw_unpack_read, unpack, w->err);
    if (code == LW_E_IO)
        code = lw_unpack_refuse(unpack, w->err);
    lw_unpack_close(unpack);
    return code;
}

static lw_code read_roads(work *w, int is_json, lw_read_fn *read, lw_again_fn *again, void *context)
{
    lw_road_lines *roads = NULL;
    lw_code code = lw_road_lines_open(take_road, w->import, &w->done->roads, &roads, w->err);
    if (!code && is_json)
        code = read_lines(w, roads, read, context);
    else if (!code)
        code = lw_spots_read_both(read, again, context, &(lw_spots_takers){.roads = roads}, &w->done->spots, w->err);
    lw_road_lines_close(roads);
    return code;
}

static lw_code read_places(work *w, lw_read_fn *read, lw_again_fn *again, void *context)
{
    lw_road_lines *roads = NULL;
    lw_code code = LW_OK;
    if (w->ask->kind == LW_MAP_BY_LOOKS) {
        code = lw_book_roads_beside(w->import, &w->done->road_book, &w->roads, w->err);
        code = code ? code : lw_road_lines_open(take_road, w->roads, &w->done->roads, &roads, w->err);
    }
    const lw_spots_takers to = {take_spot, w->import, roads};
    code = code ? code : lw_spots_read_both(read, again, context, &to, &w->done->spots, w->err);
    lw_road_lines_close(roads);
    return code;
}

static lw_code read_coverage(work *w, lw_read_fn *read, void *context)
{
    lw_unpack *unpack = NULL;
    lw_code code = lw_unpack_open(read, context, &unpack, w->err);
    if (code)
        return code;
    code = lw_coverage_each(lw_unpack_read, unpack, take_coverage, w, w->err);
    if (code == LW_E_IO)
        code = lw_unpack_refuse(unpack, w->err);
    lw_unpack_close(unpack);
    return code;
}

static lw_code read_stream(work *w, lw_map_looks looks, lw_read_fn *read, lw_again_fn *again, void *context)
{
    lw_code code = begin(w, looks.kind);
    if (code)
        return code;
    switch (looks.kind) {
    case LW_MAP_LAND:
        code = read_areas(w, read, context);
        break;
    case LW_MAP_COVERAGE:
        code = read_coverage(w, read, context);
        break;
    case LW_MAP_MASTS:
        code = lw_towers_each(read, context, take_cell, w, w->err);
        break;
    case LW_MAP_ROADS:
        code = read_roads(w, looks.is_json, read, again, context);
        break;
    default:
        code = read_places(w, read, again, context);
    }
    return end(w, code);
}

/* ---- what kind of map it is ---- */

/* What a field of this name tells of the whole map. OpenStreetMap's `operator` is on everything: it tells nothing. */
static lw_map_kind kind_of_field(const lw_table *fields, const char *name, size_t n)
{
    if (lw_coverage_knows(name, n))
        return LW_MAP_COVERAGE;
    for (int row = 0; row < fields->rows; row++) {
        const char *field = lw_table_cell(fields, row, "field");
        if (strcmp(lw_table_cell(fields, row, "role"), "manager") == 0 && strlen(field) == n &&
            strncasecmp(field, name, n) == 0 && strcasecmp(field, "operator") != 0)
            return LW_MAP_LAND;
    }
    return LW_MAP_BY_LOOKS;
}

/* Whether the first geometry is a line. */
static int begins_with_line(const char *text, size_t n)
{
    static const char *const SHAPES[] = {"\"LineString\"", "\"MultiLineString\"", "\"Point\"", "\"Polygon\"",
                                         "\"MultiPolygon\""};
    for (const char *at = memchr(text, '"', n); at; at = memchr(at + 1, '"', (size_t)(text + n - at - 1)))
        for (size_t i = 0; i < sizeof SHAPES / sizeof SHAPES[0]; i++)
            if ((size_t)(text + n - at) >= strlen(SHAPES[i]) && strncmp(at, SHAPES[i], strlen(SHAPES[i])) == 0)
                return i < 2;
    return 0;
}

/* By the first text in double quotes that is the name of a telling field. */
static lw_map_kind kind_of_json(const char *text, size_t n)
{
    lw_table fields;
    lw_err ignored = {0};
    lw_map_kind kind = LW_MAP_BY_LOOKS;
    if (lw_table_open("land_fields", &fields, &ignored))
        return LW_MAP_PLACES;
    for (size_t i = 0; i < n && kind == LW_MAP_BY_LOOKS; i++) {
        if (text[i] != '"')
            continue;
        const char *from = text + i + 1, *to = memchr(from, '"', n - i - 1);
        kind = to ? kind_of_field(&fields, from, (size_t)(to - from)) : kind;
        i = to ? (size_t)(to - text) : n;
    }
    lw_table_clear(&fields);
    return kind != LW_MAP_BY_LOOKS ? kind : begins_with_line(text, n) ? LW_MAP_ROADS : LW_MAP_PLACES;
}

/* A list of cells begins with its header or with the word of a radio. */
static int is_list_of_cells(const char *text, size_t n)
{
    static const char *const BEGINS[] = {"radio,mcc,", "LTE,", "NR,", "GSM,", "UMTS,", "CDMA,"};
    for (size_t i = 0; i < sizeof BEGINS / sizeof BEGINS[0]; i++)
        if (n > strlen(BEGINS[i]) && strncmp(text, BEGINS[i], strlen(BEGINS[i])) == 0)
            return 1;
    return 0;
}

/* A list of coverage says so in its header. */
static int is_list_of_coverage(const char *text, size_t n)
{
    const char *end = memchr(text, '\n', n);
    size_t from = 0;
    for (size_t i = 0; i <= n && end; i++) {
        if (text + i < end && text[i] != ',' && text[i] != '\r')
            continue;
        if (lw_coverage_knows(text + from, i - from))
            return 1;
        if (text + i >= end)
            break;
        from = i + 1;
    }
    return 0;
}

static lw_map_looks looks_of(const work *w, const char *text, size_t n)
{
    size_t at = 0;
    while (at < n && ((unsigned char)text[at] <= ' ' || (unsigned char)text[at] >= 0x80))
        at++;
    const int is_json = at < n && text[at] == '{';
    if (w->ask->kind != LW_MAP_BY_LOOKS)
        return (lw_map_looks){w->ask->kind, is_json};
    if (is_json)
        return (lw_map_looks){kind_of_json(text, n), 1};
    if (is_list_of_coverage(text + at, n - at))
        return (lw_map_looks){LW_MAP_COVERAGE, 0};
    return (lw_map_looks){is_list_of_cells(text + at, n - at) ? LW_MAP_MASTS : LW_MAP_PLACES, 0};
}

/* ---- files ---- */

static lw_code look_at(lw_read_fn *read, void *context, char first[LOOK], size_t *n, lw_err *err)
{
    lw_unpack *unpack;
    lw_code code = lw_unpack_open(read, context, &unpack, err);
    *n = 0;
    for (long got = 1; !code && got > 0 && *n<LOOK; *n += got> 0 ? (size_t)got : 0) {
        got = lw_unpack_read(unpack, first + *n, LOOK - *n);
        code = got < 0 ? lw_unpack_refuse(unpack, err) : LW_OK;
    }
    lw_unpack_close(unpack);
    return code;
}

/* A pipe cannot be looked at twice: what comes through one is places, unless the ask says otherwise. */
static lw_code import_file(work *w)
{
    lw_watched file;
    lw_map_looks looks = {w->ask->kind == LW_MAP_BY_LOOKS ? LW_MAP_PLACES : w->ask->kind, 0};
    lw_code code = lw_watched_open(&file, w->ask->path, w->ask->watch, w->err);
    if (code)
        return code;
    if ((w->ask->kind == LW_MAP_BY_LOOKS || w->ask->kind == LW_MAP_ROADS) && file.size > 0.0) {
        char *first = malloc(LOOK);
        size_t n = 0;
        code = first ? look_at(lw_watched_read, &file, first, &n, w->err) : lw_fail(w->err, LW_E_FULL, "no memory");
        looks = first && !code ? looks_of(w, first, n) : looks;
        free(first);
        if (!code && lw_watched_again(&file))
            code = lw_fail(w->err, LW_E_IO, "cannot be read a second time");
        file.rounds = 0;
    }
    code = code ? code : read_stream(w, looks, lw_watched_read, lw_watched_again, &file);
    lw_watched_close(&file);
    return code ? lw_err_at(w->err, w->ask->path, 0, NULL) : LW_OK;
}

/* ---- through another program ---- */

static long read_source(void *context, char *buf, size_t n)
{
    source *s = context;
    if (s->at == s->n)
        return s->read(s->context, buf, n);
    const size_t take = s->n - s->at < n ? s->n - s->at : n;
    memcpy(buf, s->first + s->at, take);
    s->at += take;
    return (long)take;
}

static int ends_in(const char *path, const char *ending)
{
    const size_t n = strlen(path), m = strlen(ending);
    return n >= m && strcasecmp(path + n - m, ending) == 0;
}

/* Features by lines, in degrees, without heights. */
static lw_code open_child(const work *w, lw_child **child)
{
    char path[LW_BOOK_PATH_BYTES];
    const char *argv[ARGUMENTS] = {"ogr2ogr", "-f", "GeoJSONSeq",  "-t_srs", "EPSG:4326",
                                   "-dim",    "XY", "/vsistdout/", path};
    int at = 9;
    const int n = snprintf(path, sizeof path, "%s%s%s", ends_in(w->ask->path, ".zip") ? "/vsizip/" : "",
                           w->ask->path[0] == '-' ? "./" : "", w->ask->path);
    if (n < 0 || (size_t)n >= sizeof path)
        return lw_fail(w->err, LW_E_FULL, "the path is too long");
    if (w->ask->layer)
        argv[at++] = w->ask->layer;
    argv[at] = NULL;
    const lw_code code = lw_child_open(argv, LW_CHILD_WAIT_S, LW_CHILD_BYTES, child, w->err);
    if (code != LW_E_MISSING)
        return code;
    *w->err = (lw_err){0};
    return lw_fail(w->err, code, "needs the program ogr2ogr, which is not installed; on Debian: apt install gdal-bin");
}

static lw_code read_child(work *w, lw_child *child, source *s)
{
    long got = 1;
    *s = (source){.read = lw_child_read, .context = child};
    while (got > 0 && s->n < LOOK) {
        got = lw_child_read(child, s->first + s->n, LOOK - s->n);
        s->n += got > 0 ? (size_t)got : 0;
    }
    const lw_code code = got < 0 ? lw_fail(w->err, LW_E_IO, "cannot be read")
                                 : read_stream(w, looks_of(w, s->first, s->n), read_source, NULL, s);
    return lw_child_close(child, code, w->err);
}

static lw_code import_child(work *w)
{
    lw_child *child = NULL;
    struct stat st;
    source *s = NULL;
    lw_code code = stat(w->ask->path, &st) != 0 ? lw_fail(w->err, LW_E_MISSING, "cannot be opened: no such file")
                                                : open_child(w, &child);
    if (!code && (s = malloc(sizeof *s)) == NULL)
        code = lw_child_close(child, lw_fail(w->err, LW_E_FULL, "no memory to read a map"), w->err);
    else if (!code)
        code = read_child(w, child, s);
    free(s);
    return code ? lw_err_at(w->err, w->ask->path, 0, NULL) : LW_OK;
}

/* ---- GeoPackage ---- */

typedef struct package {
    work *work;
    lw_areas *areas;
    lw_road_lines *roads; /* NULL: of land */
    int is_land, is_roads;
} package;

static void look_at_field(void *context, const char *name)
{
    package *p = context;
    p->is_land |= lw_areas_knows_manager(p->areas, name);
    p->is_roads |= lw_road_lines_knows(p->roads, name);
}

static void take_field(void *context, const char *name, const char *text)
{
    const package *p = context;
    if (p->areas)
        lw_areas_field(p->areas, name, text);
    else
        lw_road_lines_field(p->roads, name, text);
}

static lw_code take_geometry(void *context, const unsigned char *blob, size_t n, lw_err *err)
{
    const package *p = context;
    size_t wkb_n = 0;
    const unsigned char *wkb = blob ? lw_wkb_of_geopackage(blob, n, &wkb_n) : NULL;
    if (blob && !wkb)
        return lw_fail(err, LW_E_SYNTAX, "a geometry has no header of a GeoPackage");
    return p->areas ? lw_areas_wkb(p->areas, wkb, wkb_n, err) : lw_road_lines_wkb(p->roads, wkb, wkb_n, err);
}

static void tell_share(void *context, double share)
{
    const package *p = context;
    if (p->work->ask->watch)
        p->work->ask->watch->tell(p->work->ask->watch->with, 0, share);
}

static lw_code read_package(work *w, package *p)
{
    const lw_map_rows rows = {take_field, take_geometry, tell_share, p};
    lw_code code = begin(w, p->is_roads ? LW_MAP_ROADS : LW_MAP_LAND);
    if (code)
        return code;
    code = p->is_roads ? lw_road_lines_open(take_road, w->import, &w->done->roads, &p->roads, w->err)
                       : lw_areas_open(take_area, w->import, &w->done->areas, &p->areas, w->err);
    code = code ? code : lw_map_database_read(w->ask->path, &rows, w->err);
    lw_areas_close(p->areas);
    lw_road_lines_close(p->roads);
    return end(w, code);
}

/* Land and roads are read here; places of a GeoPackage, and other reference systems, go through ogr2ogr. */
static lw_code import_package(work *w)
{
    package p = {.work = w};
    lw_code code = lw_areas_open(take_area, NULL, &w->done->areas, &p.areas, w->err);
    code = code ? code : lw_road_lines_open(take_road, NULL, &w->done->roads, &p.roads, w->err);
    code = code ? code : lw_map_database_fields(w->ask->path, look_at_field, &p, w->err);
    lw_areas_close(p.areas);
    lw_road_lines_close(p.roads);
    p.areas = NULL;
    p.roads = NULL;
    if (code == LW_E_UNIT)
        *w->err = (lw_err){0};
    else if (code)
        return code;
    const int by_looks = w->ask->kind == LW_MAP_BY_LOOKS;
    p.is_land = w->ask->kind == LW_MAP_LAND || (by_looks && p.is_land);
    p.is_roads = w->ask->kind == LW_MAP_ROADS || (by_looks && p.is_roads && !p.is_land);
    return code == LW_E_UNIT || !(p.is_land || p.is_roads) ? import_child(w) : read_package(w, &p);
}

/* ---- zip ---- */

typedef struct zipped {
    int is_read, is_foreign; /* forms that are read here, and those that go through ogr2ogr */
    char first[80];          /* of its names */
} zipped;

static void look_at_zipped(void *with, const char *name)
{
    static const char *const READ[] = {".kml", ".geojson", ".json", ".gpx", ".csv", ".osm"}, *const FOREIGN[] = {
                                                                                                 ".shp",     ".gpkg",
                                                                                                 ".fgb",     ".gml",
                                                                                                 ".tab",     ".mif",
                                                                                                 ".gdbtable"};
    zipped *z = with;
    for (size_t i = 0; i < sizeof READ / sizeof READ[0]; i++)
        z->is_read |= ends_in(name, READ[i]);
    for (size_t i = 0; i < sizeof FOREIGN / sizeof FOREIGN[0]; i++)
        z->is_foreign |= ends_in(name, FOREIGN[i]);
    if (!z->first[0])
        snprintf(z->first, sizeof z->first, "%.79s", name);
}

static lw_code import_zip(work *w)
{
    zipped z = {.is_read = 0};
    FILE *file = fopen(w->ask->path, "rb");
    const lw_code code = file ? lw_zip_names(file, look_at_zipped, &z, w->err)
                              : lw_fail(w->err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
    if (file)
        (void)fclose(file);
    if (code)
        return lw_err_at(w->err, w->ask->path, 0, NULL);
    if (z.is_foreign)
        return import_child(w);
    if (z.is_read)
        return import_file(w);
    if (!z.first[0])
        (void)lw_fail(w->err, LW_E_MISSING, "there is nothing in it; a map is expected");
    else
        (void)lw_fail(w->err, LW_E_SYNTAX,
                      "holds no map that is read, but %s: unzip it and import what is in it (shapefile, GeoPackage, "
                      "GeoJSON, KML, "
                      "GPX, CSV, OpenStreetMap, tiles of terrain)",
                      lw_quoted(z.first, strlen(z.first)).text);
    return lw_err_at(w->err, w->ask->path, 0, NULL);
}

lw_code lw_map_import(lw_book *book, const lw_map_ask *ask, lw_map_done *done, lw_err *err)
{
    static const char *const OTHERS[] = {".shp", ".shz", ".gdb", ".fgb", ".gml", ".tab", ".mif"};
    work w = {.book = book, .ask = ask, .done = done, .err = err};
    *done = (lw_map_done){.spots = {.data_s = LW_SPOTS_NO_DATE}};
    if (ask->kind == LW_MAP_TERRAIN || (ask->kind == LW_MAP_BY_LOOKS && lw_terrain_is(ask->path))) {
        done->kind = LW_MAP_TERRAIN;
        lw_code code = lw_terrain_import(book, ask->path, &done->terrain, err);
        code = code ? code : lw_book_count_change(book, err);
        if (!code)
            lw_household_keep_ground(book, ask->now_s);
        return code;
    }
    if (ends_in(ask->path, ".zip"))
        return import_zip(&w);
    for (size_t i = 0; i < sizeof OTHERS / sizeof OTHERS[0]; i++)
        if (ends_in(ask->path, OTHERS[i]))
            return import_child(&w);
    return ends_in(ask->path, ".gpkg") ? import_package(&w) : import_file(&w);
}
