#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/gridpoint.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static void check(const lw_forecast *f)
{
    if (f->hours < 0 || f->hours > LW_FORECAST_HOURS || f->start_s % 3600 != 0)
        abort();
    for (int layer = 0; layer < LW_FORECAST_LAYER_COUNT; layer++) {
        const double *hours = lw_forecast_hours(f, (lw_forecast_layer)layer);
        if (f->end_h[layer] > 0 && isnan(hours[f->end_h[layer] - 1]))
            abort();
        for (int h = 0; h < LW_FORECAST_HOURS; h++)
            if (h < f->end_h[layer] ? !isnan(hours[h]) && !(fabs(hours[h]) < 10000.0) : !isnan(hours[h]))
                abort();
    }
}

/* Uncut, and cut at a moment within the seeds' forecasts; and as the first answer of the service. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    static const int64_t NOW_S[] = {0, 1791784800 + 5000};
    lw_forecast *f = malloc(sizeof *f);
    char url[64];
    lw_err none = {0};
    if (!f)
        abort();
    for (int i = 0; i < 2; i++) {
        lw_bytes source = {(const char *)bytes, n};
        lw_err err = {0};
        const lw_code code = lw_gridpoint_read(lw_read_bytes, &source, "fuzz", NOW_S[i], f, &err);
        if (code != err.code || (code && !err.text[0]))
            abort();
        if (!code)
            check(f);
    }
    if (!lw_gridpoint_find_url((const char *)bytes, n, url, sizeof url, &none) && strlen(url) >= sizeof url)
        abort();
    free(f);
    return 0;
}
