#include <stdint.h>
#include <stdlib.h>

#include "exchange/raster.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* What another program says of a map of heights: a stretch of the earth, or a sentence. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    lw_raster r;
    lw_err err = {0};
    if (lw_raster_said((const char *)bytes, n, &r, &err)
            ? !err.text[0]
            : !(r.east_deg > r.west_deg && r.north_deg > r.south_deg && r.step_deg > 0.0 && r.west_deg > -181.0))
        abort();
    return 0;
}
