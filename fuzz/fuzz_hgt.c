#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "exchange/hgt.h"
#include "tests/exchange/drip.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* First byte: piece size. A tile that is taken answers anywhere in it, and holds no height that no land has. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    drip source = {{(const char *)bytes + 1, n - 1}, (size_t)bytes[0] * 17 + 1};
    lw_hgt hgt;
    lw_err err = {0};
    if (lw_hgt_read(read_drip, &source, -1, 179, &hgt, &err)) {
        if (!err.text[0])
            abort();
        return 0;
    }
    const lw_terrain terrain = {&hgt.tile, 1};
    lw_fault fault;
    if (lw_tile_check(&hgt.tile, &fault))
        abort();
    for (double latitude_deg = -1.0; latitude_deg <= 0.0; latitude_deg += 0.0625)
        for (double longitude_deg = 179.0; longitude_deg <= 180.0; longitude_deg += 0.0625) {
            const double h_m = lw_terrain_m(&terrain, (lw_spot){latitude_deg, longitude_deg});
            if (!isnan(h_m) && !(h_m >= -500.0 && h_m <= 9000.0))
                abort();
        }
    lw_hgt_clear(&hgt);
    return 0;
}
