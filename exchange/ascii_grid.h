/* exchange/ascii_grid.h: heights on a level grid as text (the "ASCII grid" of map programs).
 *
 * Reads     lines of a word and a number: ncols, nrows, xllcenter and yllcenter (or xllcorner, yllcorner), cellsize and, if it
 *           is there, nodata_value, in any case and order; then the heights, rows from north to south.
 * Results   a grid with NaN where the file says no data; owned, freed by lw_ascii_grid_clear.
 * Errors    LW_E_SYNTAX, LW_E_MISSING a heading or heights, LW_E_FULL more than LW_ASCII_GRID_CELLS, LW_E_RANGE: one sentence,
 *           with the file's path. Nothing is kept then.
 * Source    the form as map programs write it (published by its makers, in general use). */
#ifndef LW_EXCHANGE_ASCII_GRID_H
#define LW_EXCHANGE_ASCII_GRID_H

#include <stddef.h>

#include "core/land/flat_grid.h"

typedef struct lw_ascii_grid {
    lw_flat_grid grid;
    double *owned;
} lw_ascii_grid;

LW_MUST_USE lw_code lw_ascii_grid_read(const char *text, size_t size, lw_ascii_grid *out, lw_err *err);
LW_MUST_USE lw_code lw_ascii_grid_load(const char *path, lw_ascii_grid *out, lw_err *err);
void lw_ascii_grid_clear(lw_ascii_grid *grid);

#endif
