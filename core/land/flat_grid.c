#include "core/land/flat_grid.h"

#include <math.h>
#include <stddef.h>

lw_code lw_flat_grid_check(const lw_flat_grid *grid, lw_fault *fault)
{
    const lw_want want[] = {
        {"columns", grid->columns, 2.0, 10000.0}, {"rows", grid->rows, 2.0, 10000.0},
        {"left_m", grid->left_m, -1e8, 1e8},      {"bottom_m", grid->bottom_m, -1e8, 1e8},
        {"cell_m", grid->cell_m, 0.01, 10000.0},
    };
    return lw_want_all(fault, LW_WANTS(want));
}

double lw_flat_grid_m(const lw_flat_grid *grid, double x_m, double y_m)
{
    const double x = (x_m - grid->left_m) / grid->cell_m, y = grid->rows - 1 - (y_m - grid->bottom_m) / grid->cell_m;
    if (!(x >= 0.0 && x <= grid->columns - 1 && y >= 0.0 && y <= grid->rows - 1))
        return (double)NAN;
    const int column = x < grid->columns - 1 ? (int)x : grid->columns - 2,
              row = y < grid->rows - 1 ? (int)y : grid->rows - 2;
    const double right = x - column, down = y - row;
    const double *h = grid->h_m + (ptrdiff_t)row * grid->columns + column;
    return (1.0 - down) * ((1.0 - right) * h[0] + right * h[1]) +
           down * ((1.0 - right) * h[grid->columns] + right * h[grid->columns + 1]);
}
