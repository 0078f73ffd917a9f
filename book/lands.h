/* book/lands.h: areas of land managers that came from map files, found by a point in them.
 *
 * Writes    an import (book/map_import.h): lw_book_lands_begin, a lw_book_lands_put for each row, lw_book_import_end.
 * Reads     lw_book_lands_at: the areas that hold a point or have it on their border, the smallest first; maps of land overlap
 *           (a wilderness lies in its forest), and none of them is wrong.
 * Errors    as book/book.h and book/map_import.h; LW_E_SYNTAX a shape that is damaged.
 * Limits    borders as core/land/shape.h has them. */
#ifndef LW_BOOK_LANDS_H
#define LW_BOOK_LANDS_H

#include <stddef.h>

#include "book/map_import.h"
#include "core/land/shape.h"

typedef struct lw_kept_land {
    int64_t id;
    const char *key;
    const char *name, *manager, *said, *access, *designation; /* NULL where the map does not say */
    lw_shape shape;                                           /* written, and shown */
    lw_where where;                                           /* results: inside or on the border, */
    double border_m, box_km2; /* the way to it, and how large the box around the area is */
    const char *source, *credit;
    int64_t imported_s, data_s; /* data_s: LW_NO_TIME where the file does not say */
} lw_kept_land;

typedef struct lw_kept_lands {
    lw_kept_land *land;
    size_t count;
    struct lw_texts *texts;
} lw_kept_lands;

void lw_kept_lands_clear(lw_kept_lands *lands); /* twice is fine, and so are zeros */

LW_MUST_USE lw_code lw_book_lands_begin(lw_book *book, const lw_import_source *source, lw_import **import, lw_err *err);
LW_MUST_USE lw_code lw_book_lands_put(lw_import *import, const lw_kept_land *land, lw_err *err);

/* What a map shows of a part that does not reach over the seam at 180: areas larger than `least_deg` in one direction, the largest first.
 * `show` gives 0 to stop; what the land points to lasts until it returns, with its shape. */
typedef struct lw_lands_shown {
    lw_map_window window;
    double least_deg;
    size_t limit;
    int (*show)(void *with, const lw_kept_land *land);
    void *with;
} lw_lands_shown;
LW_MUST_USE lw_code lw_book_lands_within(lw_book *book, const lw_lands_shown *shown, lw_err *err);

LW_MUST_USE lw_code lw_book_lands_at(lw_book *book, lw_spot spot, lw_kept_lands *lands, lw_err *err);
/* How many areas the book has at all: none at a point means nothing where there are none. */
LW_MUST_USE lw_code lw_book_lands_count(lw_book *book, int64_t *count, lw_err *err);

#endif
