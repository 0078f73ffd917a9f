#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/road_lines.h"
#include "tests/exchange/drip.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* Roads that are handed over have a key and a line, and what they say is in range. */
static lw_code take(void *context, const lw_road_row *row, lw_err *err)
{
    (void)context;
    (void)err;
    if (!row->key[0] || row->shape.rings == 0 || row->shape.ring[0] < 2 || row->class >= LW_ROAD_CLASS_COUNT ||
        row->needs >= LW_NEEDS_COUNT || row->grade_frac < 0.0 || row->grade_frac > 1.0)
        abort();
    (void)lw_shape_line_m(&row->shape, (lw_spot){38.0, -112.0});
    return LW_OK;
}

/* First byte: piece size; an odd one: a geometry of a map database instead of features. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    drip source = {{(const char *)bytes + 1, n - 1}, (size_t)bytes[0] * 17 + 1};
    lw_road_lines *roads = NULL;
    lw_road_lines_read read;
    lw_err err = {0};
    if (lw_road_lines_open(take, NULL, &read, &roads, &err))
        abort();
    const lw_code code = bytes[0] & 1 ? lw_road_lines_wkb(roads, bytes + 1, n - 1, &err)
                                      : lw_road_lines_geojson(roads, read_drip, &source, &err);
    if (code && !err.text[0])
        abort();
    lw_road_lines_close(roads);
    return 0;
}
