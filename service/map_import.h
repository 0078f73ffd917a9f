/* service/map_import.h: map files into the book, whatever form they have.
 *
 * Takes     places (exchange/spots.h); areas of land managers (exchange/areas.h): a map whose fields name a manager (data/land_fields.csv) is
 *           one of land; published mobile coverage (exchange/coverage.h), by its fields; lists of cells (exchange/towers.h), by
 *           their columns; roads (exchange/road_lines.h), by their fields or because the first thing is a line; terrain, by the ending
 *           of the name (service/terrain_import.h); unless the ask says otherwise. OpenStreetMap, GeoJSON, KML, GPX, CSV and GeoPackages in longitude and
 *           latitude are read here; shapefiles and other forms through the program ogr2ogr where it is installed.
 * Results   under the name of a source, all or nothing; the same source again takes the place of its earlier rows. Rows of
 *           OpenStreetMap bring its credit along where none is given.
 * Errors    those of the readers and of book/map_import.h, with the path. */
#ifndef LW_SERVICE_MAP_IMPORT_H
#define LW_SERVICE_MAP_IMPORT_H

#include "book/map_import.h"
#include "exchange/areas.h"
#include "exchange/spots.h"
#include "service/terrain_import.h"

#define LW_MAP_KINDS(X)                                                                                                \
    X(BY_LOOKS, "looks")                                                                                               \
    X(PLACES, "places")                                                                                                \
    X(LAND, "land")                                                                                                    \
    X(TERRAIN, "terrain")                                                                                              \
    X(COVERAGE, "coverage")                                                                                            \
    X(MASTS, "masts")                                                                                                  \
    X(ROADS, "roads")
typedef enum lw_map_kind {
#define LW_MAP_KIND_ID(id, word) LW_MAP_##id,
    LW_MAP_KINDS(LW_MAP_KIND_ID) LW_MAP_KIND_COUNT
#undef LW_MAP_KIND_ID
} lw_map_kind;
/* An extract of OpenStreetMap whose kind shows by its looks brings places and roads, unless the ask says which. */

typedef struct lw_map_ask {
    const char *path, *source; /* source NULL: the file's own name */
    const char *credit;        /* NULL: none is said */
    const char *layer;         /* of a file that has several, for ogr2ogr; NULL: all */
    lw_map_kind kind;
    int64_t now_s;
    const lw_watch *watch; /* NULL: nobody waits */
} lw_map_ask;

typedef struct lw_map_done {
    lw_map_kind kind;
    lw_imported book;
    lw_spots_read spots;      /* of places */
    lw_areas_read areas;      /* of land */
    lw_road_lines_read roads; /* of roads, and of what an extract of OpenStreetMap has beside its places */
    lw_imported road_book;    /* of the latter */
    long rows, passed_over;   /* of coverage and masts */
    lw_terrain_done terrain;
    int is_openstreetmap;
} lw_map_done;

LW_MUST_USE lw_code lw_map_import(lw_book *book, const lw_map_ask *ask, lw_map_done *done, lw_err *err);

#endif
