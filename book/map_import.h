/* book/map_import.h: rows of a map file into the book: all of them or none, the same source again in place of its earlier rows.
 *
 * Writes    one transaction: a begin of book/spots.h or book/areas.h, a put for each row, lw_book_import_end, which also takes out what an
 *           earlier import of the same source had and this one has not. A source is a name of the caller's, with its credit (a
 *           licence note), the time of the import and, where it is known, the day the data is of.
 * Errors    as book/book.h; LW_E_SYNTAX a text that is no UTF-8. On failure, or where the program ends before the end, the book is as
 *           it was. */
#ifndef LW_BOOK_MAP_IMPORT_H
#define LW_BOOK_MAP_IMPORT_H

#include "book/book.h"

typedef struct lw_import lw_import;

/* A part of the map to be shown. */
typedef struct lw_map_window {
    double west_deg, south_deg, east_deg, north_deg;
} lw_map_window;

typedef struct lw_imported {
    int64_t added, updated, removed;
} lw_imported;

typedef struct lw_import_source {
    const char *name, *credit; /* credit NULL: none is said */
    int64_t now_s;
} lw_import_source;

/* credit, unless NULL, takes the place of the one given at the beginning; data_s LW_NO_TIME: not known. Frees `import` in any case; `code`
 * is how the reading went, and what it gives is the answer. */
LW_MUST_USE lw_code lw_book_import_end(lw_import *import, lw_code code, const char *credit, int64_t data_s,
                                       lw_imported *done, lw_err *err);

#endif
