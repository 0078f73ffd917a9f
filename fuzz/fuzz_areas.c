#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/areas.h"
#include "tests/exchange/drip.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* Areas that are handed over have a key and a border, and can be asked. */
static lw_code take(void *context, const lw_area_row *row, lw_err *err)
{
    (void)context;
    (void)err;
    const lw_shape_box box = lw_shape_box_of(&row->shape);
    if (!row->key[0] || row->shape.rings == 0 || box.west_e6 > box.east_e6 || box.south_e6 < -90000000)
        abort();
    (void)lw_shape_place(&row->shape, (lw_spot){38.0, -112.0});
    return LW_OK;
}

/* First byte: piece size. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    drip source = {{(const char *)bytes + 1, n - 1}, (size_t)bytes[0] * 17 + 1};
    lw_areas *areas = NULL;
    lw_areas_read read;
    lw_err err = {0};
    if (lw_areas_open(take, NULL, &read, &areas, &err))
        abort();
    if (lw_areas_geojson(areas, read_drip, &source, &err) && !err.text[0])
        abort();
    lw_areas_close(areas);
    return 0;
}
