/* book/spots.h: places and services that came from map files, found by where they are.
 *
 * Writes    an import is one transaction: lw_book_spots_begin, a lw_book_spots_put for each row, lw_book_spots_end, which also
 *           takes out what an earlier import of the same source had and this one has not. The same source again updates its
 *           rows. A source is a name of the caller's, with its credit (a licence note) and the time of the import.
 * Reads     lw_book_spots_near: rows within a distance that are good for one of some kinds, nearest first;
 *           lw_book_spots_named: rows whose name holds a text, in the order of their names.
 * Errors    as book/book.h; LW_E_SYNTAX a text that is no UTF-8. On failure an import leaves the book as it was.
 * Limits    distance by air. Rows of several sources for one thing stand beside each other. */
#ifndef LW_BOOK_SPOTS_H
#define LW_BOOK_SPOTS_H

#include <stddef.h>

#include "book/book.h"

typedef struct lw_kept_spot {
    int64_t id;
    const char *key, *name, *detail; /* name, detail: NULL where there is none */
    unsigned kinds;                  /* bits of core/land/spot_kind.h */
    int fit;                         /* lw_fit */
    double latitude_deg, longitude_deg;
    double way_m; /* result of near; NaN */
    const char *source, *credit;
    int64_t imported_s;
} lw_kept_spot;

typedef struct lw_kept_spots {
    lw_kept_spot *spot;
    size_t count;
    struct lw_texts *texts;
} lw_kept_spots;

void lw_kept_spots_clear(lw_kept_spots *spots); /* twice is fine, and so are zeros */

typedef struct lw_spots_import lw_spots_import;
typedef struct lw_spots_imported {
    int64_t added, updated, removed;
} lw_spots_imported;

LW_MUST_USE lw_code lw_book_spots_begin(lw_book *book, const char *source, const char *credit, int64_t now_s,
                                        lw_spots_import **import, lw_err *err);
LW_MUST_USE lw_code lw_book_spots_put(lw_spots_import *import, const lw_kept_spot *spot, lw_err *err);
/* credit, unless NULL, takes the place of the one given at the beginning. Frees `import` in any case; `code` is how the reading
 * went, and what it gives is the answer. */
LW_MUST_USE lw_code lw_book_spots_end(lw_spots_import *import, lw_code code, const char *credit,
                                      lw_spots_imported *done, lw_err *err);

typedef struct lw_spots_near {
    double latitude_deg, longitude_deg, within_m;
    unsigned kinds; /* 0: any */
    size_t limit;
} lw_spots_near;

LW_MUST_USE lw_code lw_book_spots_near(lw_book *book, const lw_spots_near *near, lw_kept_spots *spots, lw_err *err);
LW_MUST_USE lw_code lw_book_spots_named(lw_book *book, const char *text, unsigned kinds, size_t limit,
                                        lw_kept_spots *spots, lw_err *err);

#endif
