#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "exchange/normals.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static void check(const lw_station_climate *c)
{
    for (int m = 0; m < LW_MONTHS; m++) {
        const unsigned bit = 1u << m;
        if ((c->has[LW_STATION_TMAX] & bit) && !(c->tmax_c[m] > -100.0 && c->tmax_c[m] < 100.0))
            abort();
        if ((c->has[LW_STATION_WET] & bit) && !(c->wet_frac[m] >= 0.0 && c->wet_frac[m] <= 1.0))
            abort();
        if (!(c->has[LW_STATION_PRECIP] & bit) && !isnan(c->precip_mm[m]))
            abort();
    }
}

/* The only station, and the nearest one. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    const lw_normals_choice choice[] = {{NULL, (double)NAN, (double)NAN}, {NULL, 38.5, -109.5}};
    for (int i = 0; i < 2; i++) {
        lw_bytes source = {(const char *)bytes, n};
        lw_station_climate c;
        lw_err err = {0};
        const lw_code code = lw_normals_read(lw_read_bytes, &source, "fuzz", &choice[i], &c, &err);
        if (code != err.code || (code && !err.text[0]))
            abort();
        if (!code)
            check(&c);
    }
    return 0;
}
