/* book/spots.h: places and services that came from map files, found by where they are.
 *
 * Writes    an import (book/map_import.h): lw_book_spots_begin, a lw_book_spots_put for each row, lw_book_import_end.
 * Reads     lw_book_spots_near: rows within a distance that are good for one of some kinds, nearest first;
 *           lw_book_spots_named: rows whose name holds a text, in the order of their names; lw_book_spots_within: what a map shows.
 * Errors    as book/book.h and book/map_import.h.
 * Limits    distance by air. Rows of several sources for one thing stand beside each other. */
#ifndef LW_BOOK_SPOTS_H
#define LW_BOOK_SPOTS_H

#include <stddef.h>

#include "book/map_import.h"

typedef struct lw_kept_spot {
    int64_t id;
    const char *key, *name, *detail; /* name, detail: NULL where there is none */
    unsigned kinds;                  /* bits of core/land/spot_kind.h */
    int fit;                         /* lw_fit */
    double latitude_deg, longitude_deg;
    double way_m; /* result of near; NaN */
    const char *source, *credit;
    int64_t imported_s, data_s; /* data_s: LW_NO_TIME where the file does not say */
} lw_kept_spot;

typedef struct lw_kept_spots {
    lw_kept_spot *spot;
    size_t count;
    struct lw_texts *texts;
} lw_kept_spots;

void lw_kept_spots_clear(lw_kept_spots *spots); /* twice is fine, and so are zeros */

LW_MUST_USE lw_code lw_book_spots_begin(lw_book *book, const lw_import_source *source, lw_import **import, lw_err *err);
LW_MUST_USE lw_code lw_book_spots_put(lw_import *import, const lw_kept_spot *spot, lw_err *err);

typedef struct lw_spots_near {
    double latitude_deg, longitude_deg, within_m;
    unsigned kinds; /* 0: any */
    size_t limit;
} lw_spots_near;

LW_MUST_USE lw_code lw_book_spots_near(lw_book *book, const lw_spots_near *near, lw_kept_spots *spots, lw_err *err);
/* All in a part of the map that does not reach over the seam at 180; `limit` of them, in no order. */
LW_MUST_USE lw_code lw_book_spots_within(lw_book *book, const lw_map_window *window, unsigned kinds, size_t limit,
                                         lw_kept_spots *spots, lw_err *err);
LW_MUST_USE lw_code lw_book_spots_named(lw_book *book, const char *text, unsigned kinds, size_t limit,
                                        lw_kept_spots *spots, lw_err *err);

#endif
