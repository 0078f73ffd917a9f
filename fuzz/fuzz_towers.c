#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "exchange/towers.h"
#include "tests/exchange/drip.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* First byte: piece size. Masts that are taken have a place on earth and no more than their room. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    drip source = {{(const char *)bytes + 1, n - 1}, (size_t)bytes[0] * 17 + 1};
    lw_towers *towers = malloc(sizeof *towers);
    lw_err err = {0};
    if (!towers)
        abort();
    if (lw_towers_read(read_drip, &source, (lw_spot){38.2, -111.1}, 3e7, towers, &err)) {
        if (!err.text[0])
            abort();
    } else if (towers->count > LW_TOWERS || towers->count > towers->rows) {
        abort();
    }
    for (int i = 0; i < towers->count && !err.code; i++) {
        lw_fault fault;
        if (lw_spot_check(&towers->tower[i].spot, &fault) || !(towers->tower[i].samples >= 1.0))
            abort();
    }
    free(towers);
    return 0;
}
