#include <stdint.h>
#include <stdlib.h>

#include "exchange/wkb.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static void read(const unsigned char *bytes, size_t n)
{
    lw_rings rings = {.corner = NULL};
    lw_err err = {0};
    int is_area = 0;
    const lw_code code = lw_wkb_read(bytes, n, &rings, &is_area, &err);
    const lw_shape shape = lw_rings_shape(&rings);
    if ((code && !err.text[0]) || (!code && is_area != (shape.rings > 0)))
        abort();
    if (is_area)
        (void)lw_shape_place(&shape, (lw_spot){38.0, -112.0});
    lw_rings_clear(&rings);
}

/* As it is, and behind the header of a GeoPackage where there is one. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    size_t wkb_n;
    const unsigned char *wkb = lw_wkb_of_geopackage(bytes, n, &wkb_n);
    if (wkb)
        read(wkb, wkb_n);
    read(bytes, n);
    return 0;
}
