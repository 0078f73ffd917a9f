/* exchange/spots_internal.h: what the readers of places share: one place as it is gathered, tag by tag. */
#ifndef LW_EXCHANGE_SPOTS_INTERNAL_H
#define LW_EXCHANGE_SPOTS_INTERNAL_H

#include "exchange/spots.h"

typedef struct lw_spot_draft {
    lw_spot_row row;
    int has_water, is_openstreetmap;
} lw_spot_draft;

typedef struct lw_spots_run {
    lw_read_fn *read;
    void *source;
    lw_spot_fn *take;
    void *context;
    lw_spots_read *out;
    lw_err *err;
} lw_spots_run;

void lw_spot_tag(lw_spot_draft *draft, const char *key, const char *value);
/* Hands it over, or counts it as passed over. */
lw_code lw_spot_done(const lw_spots_run *run, lw_spot_draft *draft);

lw_code lw_spots_geojson(const lw_spots_run *run);
lw_code lw_spots_gpx(const lw_spots_run *run);
lw_code lw_spots_csv(const lw_spots_run *run);

#endif
