/* book/map_import_internal.h: what the imports of this room share. */
#ifndef LW_BOOK_MAP_IMPORT_INTERNAL_H
#define LW_BOOK_MAP_IMPORT_INTERNAL_H

#include "book/book_internal.h"
#include "book/map_import.h"
#include "core/land/shape.h"

/* Whole statements of one table; ?1 is the source, and in `look` ?2 the key. `mark` gives rows of an earlier import a time before all
 * times, and what still bears it at the end is taken out. `put` inserts or updates and returns the id; `box` puts id, west, east,
 * south, north into the index. */
typedef struct lw_import_sql {
    const char *mark, *look, *put, *box, *take_out_boxes, *take_out;
} lw_import_sql;

struct lw_import {
    lw_book *book;
    const lw_import_sql *sql;
    sqlite3_stmt *look, *put, *box;
    int64_t source, now_s;
    lw_imported done, *told; /* told NULL: at the end to its caller */
    lw_import *beside;       /* another table of the same import; NULL */
};

typedef struct lw_map_box {
    double west_deg, south_deg, east_deg, north_deg;
} lw_map_box;

lw_map_box lw_map_box_of(const lw_shape *shape);
lw_map_box lw_map_box_around(lw_spot spot, double within_m); /* holds the circle */

lw_code lw_import_begin(lw_book *book, const lw_import_sql *sql, const lw_import_source *source, lw_import **import,
                        lw_err *err);
/* Within `with`, whose end ends it and tells *done. */
lw_code lw_import_beside(lw_import *with, const lw_import_sql *sql, lw_imported *done, lw_import **import, lw_err *err);
/* Between the two stands the binding of `import->put`, from ?3 on; ?1 source, ?2 key are bound. */
lw_code lw_import_look(lw_import *import, const char *key, int *state, lw_err *err);
lw_code lw_import_put(lw_import *import, int state, const lw_map_box *box, lw_err *err);

#endif
