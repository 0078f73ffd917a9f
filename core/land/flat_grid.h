/* core/land/flat_grid.h: heights on a level grid of metres, for a small area.
 *
 * Computes  the height at x metres east and y metres north of the grid's own origin, straight between four samples.
 * Inputs    samples in rows from north to south, each from west to east; NaN where nothing is known; left_m, bottom_m: the
 *           sample of the south-west corner.
 * Results   metres; NaN outside, or beside an unknown sample.
 * Errors    LW_E_RANGE from lw_flat_grid_check.
 * Source    bilinear interpolation.
 * Limits    level: the earth's curvature is the caller's. */
#ifndef LW_CORE_LAND_FLAT_GRID_H
#define LW_CORE_LAND_FLAT_GRID_H

#include "core/base/err.h"

typedef struct lw_flat_grid {
    int columns, rows;
    double left_m, bottom_m, cell_m;
    const double *h_m; /* borrowed */
} lw_flat_grid;

LW_MUST_USE lw_code lw_flat_grid_check(const lw_flat_grid *grid, lw_fault *fault);
double lw_flat_grid_m(const lw_flat_grid *grid, double x_m, double y_m);

#endif
