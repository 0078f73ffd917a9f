#include <stdint.h>
#include <stdlib.h>

#include "exchange/ascii_grid.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* A grid that is taken has bounds that the core takes, and answers at its corners. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    lw_ascii_grid grid;
    lw_err err = {0};
    lw_fault fault;
    if (lw_ascii_grid_read((const char *)bytes, n, &grid, &err)) {
        if (!err.text[0])
            abort();
        return 0;
    }
    if (lw_flat_grid_check(&grid.grid, &fault))
        abort();
    (void)lw_flat_grid_m(&grid.grid, grid.grid.left_m, grid.grid.bottom_m);
    (void)lw_flat_grid_m(&grid.grid, grid.grid.left_m + (grid.grid.columns - 1) * grid.grid.cell_m, grid.grid.bottom_m);
    lw_ascii_grid_clear(&grid);
    return 0;
}
