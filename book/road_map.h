/* book/road_map.h: roads that came from map files, found by where they are.
 *
 * Writes    an import (book/map_import.h): lw_book_roads_begin, or lw_book_roads_beside within one that is open, so that an extract brings
 *           places and roads or neither; a lw_book_roads_put for each row, lw_book_import_end of the first.
 * Reads     lw_book_roads_near: the roads within a distance, the nearest first; lw_book_roads_within: what a map shows, the greatest
 *           classes first.
 * Errors    as book/book.h and book/map_import.h; LW_E_SYNTAX a shape that is damaged. */
#ifndef LW_BOOK_ROAD_MAP_H
#define LW_BOOK_ROAD_MAP_H

#include <stddef.h>

#include "book/map_import.h"
#include "core/land/road.h"
#include "core/land/shape.h"
#include "core/land/spot_kind.h"

typedef struct lw_kept_road {
    int64_t id;
    const char *key;
    const char *name, *surface, *season, *access, *detail; /* NULL where the map does not say */
    lw_road_class class;
    lw_paved paved;
    lw_road_needs needs;
    lw_fit dry_only;
    double grade_frac; /* NaN: not said */
    lw_shape shape;    /* written, and shown */
    double way_m;      /* result of near */
    const char *source, *credit;
    int64_t imported_s, data_s; /* data_s: LW_NO_TIME where the file does not say */
} lw_kept_road;

typedef struct lw_kept_roads {
    lw_kept_road *road;
    size_t count;
    struct lw_texts *texts;
} lw_kept_roads;

void lw_kept_roads_clear(lw_kept_roads *roads); /* twice is fine, and so are zeros */

LW_MUST_USE lw_code lw_book_roads_begin(lw_book *book, const lw_import_source *source, lw_import **import, lw_err *err);
/* *done is filled when `with` ends, which frees this one as well. */
LW_MUST_USE lw_code lw_book_roads_beside(lw_import *with, lw_imported *done, lw_import **import, lw_err *err);
LW_MUST_USE lw_code lw_book_roads_put(lw_import *import, const lw_kept_road *road, lw_err *err);

/* The nearest `limit` of those within_m (at most 20 km) of the spot. */
LW_MUST_USE lw_code lw_book_roads_near(lw_book *book, lw_spot spot, double within_m, size_t limit, lw_kept_roads *roads,
                                       lw_err *err);

/* A part of the map that does not reach over the seam at 180. `show` gives 0 to stop; what the road points to lasts until it returns. */
typedef struct lw_roads_shown {
    lw_map_window window;
    lw_road_class last; /* no class behind this one */
    size_t limit;
    int (*show)(void *with, const lw_kept_road *road);
    void *with;
} lw_roads_shown;
LW_MUST_USE lw_code lw_book_roads_within(lw_book *book, const lw_roads_shown *shown, lw_err *err);

#endif
