/* book/signal_maps.h: published mobile coverage and lists of cells that came from files, found by where they are.
 *
 * Writes    imports (book/map_import.h): lw_book_coverage_begin or lw_book_cells_begin, a put for each row, lw_book_import_end.
 * Reads     lw_book_coverage_at: where any area lies within LW_COVERAGE_REACH_M (core/land/belief.h), each operator of any map once, not here,
 *           then each area that holds the point; else nothing;
 *           lw_book_cells_near: each cell within a distance, in no order. Row by row to a callback, whose texts are borrowed for that call.
 * Errors    as book/book.h and book/map_import.h; those of the callback, which end the reading. */
#ifndef LW_BOOK_SIGNAL_MAPS_H
#define LW_BOOK_SIGNAL_MAPS_H

#include "book/map_import.h"
#include "core/land/shape.h"

typedef struct lw_kept_coverage {
    const char *key, *who;
    int technology, is_in_vehicles;
    double down_mbit, up_mbit; /* NaN: not said */
    lw_shape shape;            /* written only */
    int is_here;               /* read only */
} lw_kept_coverage;

typedef struct lw_kept_cell {
    const char *key;
    int mcc, net, radio; /* radio: lw_radio_kind of exchange/towers.h */
    int64_t mast;
    lw_spot spot;
    double samples;
    int is_exact;
} lw_kept_cell;

LW_MUST_USE lw_code lw_book_coverage_begin(lw_book *book, const lw_import_source *source, lw_import **import,
                                           lw_err *err);
LW_MUST_USE lw_code lw_book_coverage_put(lw_import *import, const lw_kept_coverage *coverage, lw_err *err);
LW_MUST_USE lw_code lw_book_cells_begin(lw_book *book, const lw_import_source *source, lw_import **import, lw_err *err);
LW_MUST_USE lw_code lw_book_cells_put(lw_import *import, const lw_kept_cell *cell, lw_err *err);

typedef lw_code lw_coverage_row_fn(void *context, const lw_kept_coverage *coverage, lw_err *err);
typedef lw_code lw_cell_row_fn(void *context, const lw_kept_cell *cell, lw_err *err);

LW_MUST_USE lw_code lw_book_coverage_at(lw_book *book, lw_spot spot, lw_coverage_row_fn *take, void *context,
                                        lw_err *err);
LW_MUST_USE lw_code lw_book_cells_near(lw_book *book, lw_spot spot, double within_m, lw_cell_row_fn *take,
                                       void *context, lw_err *err);

/* A cache: the chance of a work day at spots, under a key that stands for all else that it depends on. */
enum { LW_SIGNALS_KEPT = 50000 };
typedef struct lw_seen_signals {
    const lw_spot *spot; /* count of them */
    size_t count;
    uint64_t key;
    double *frac; /* NaN: nothing is known there */
    char *is_there;
} lw_seen_signals;
/* Fills those that are kept, and says which. */
LW_MUST_USE lw_code lw_book_signals(lw_book *book, lw_seen_signals *rows, lw_err *err);
/* Keeps those that were not there. */
LW_MUST_USE lw_code lw_book_keep_signals(lw_book *book, const lw_seen_signals *rows, lw_err *err);
/* Changes with every import of cells or coverage; 0: there are none. */
LW_MUST_USE lw_code lw_book_signal_stamp(lw_book *book, int64_t *stamp, lw_err *err);

#endif
