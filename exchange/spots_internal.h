/* exchange/spots_internal.h: what the readers of places share: one place as it is gathered, tag by tag. */
#ifndef LW_EXCHANGE_SPOTS_INTERNAL_H
#define LW_EXCHANGE_SPOTS_INTERNAL_H

#include "exchange/spots.h"

typedef struct lw_spot_draft {
    lw_spot_row row;
    int has_water, is_openstreetmap;
    int needs_kind; /* a name alone makes it no place */
    int is_closed;
} lw_spot_draft;

/* The box around corners; a ring over the seam of the map has longitudes beyond 180. */
typedef struct lw_spot_box {
    double west_deg, south_deg, east_deg, north_deg;
    int is_any;
} lw_spot_box;

void lw_spot_box_add(lw_spot_box *box, lw_spot corner);
lw_spot lw_spot_box_middle(const lw_spot_box *box);

typedef struct lw_spots_run {
    lw_read_fn *read;
    lw_again_fn *again; /* NULL: only once */
    void *source;
    lw_spot_fn *take; /* NULL: only roads */
    void *context;
    lw_road_lines *roads; /* NULL: only places */
    lw_spots_read *out;
    lw_err *err;
} lw_spots_run;

void lw_spot_tag(lw_spot_draft *draft, const char *key, const char *value);
int lw_spot_is_taken(const lw_spot_draft *draft);
/* Hands it over, or counts it as passed over. */
lw_code lw_spot_done(const lw_spots_run *run, lw_spot_draft *draft);

lw_code lw_spots_geojson(const lw_spots_run *run);
lw_code lw_spots_gpx(const lw_spots_run *run);
lw_code lw_spots_kml(const lw_spots_run *run);
lw_code lw_spots_osm_xml(const lw_spots_run *run);
lw_code lw_spots_osm_pbf(const lw_spots_run *run);
lw_code lw_spots_csv(const lw_spots_run *run);

#endif
