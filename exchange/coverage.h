/* exchange/coverage.h: what published coverage claims at a point.
 *
 * Reads     GeoJSON (RFC 7946): a FeatureCollection, or one Feature, of Polygons and MultiPolygons in WGS 84. Of the properties,
 *           found whatever their case: who (brandname, provider, providerid, network or name), technology (300 3G, 400 4G LTE,
 *           500 5G NR; others are unknown), mindown and minup in Mbit/s, environmnt (0 outdoors, 1 in vehicles too).
 *           That is how the public files of the United States' broadband maps name them.
 * Results   for each who of the file whether any of its polygons holds the point, with the best rates claimed there.
 * Errors    LW_E_SYNTAX no JSON, no GeoJSON; LW_E_FULL more than LW_COVERAGES names or the limits of exchange/json_tree.h.
 * Source    RFC 7946; FCC Broadband Data Collection, mobile (fields as seen in public layers; codes from memory).
 * Limits    hexagon ids (H3) are not read: turn them into polygons with a map program first. Even-odd rule; on a border
 *           either may be true. */
#ifndef LW_EXCHANGE_COVERAGE_H
#define LW_EXCHANGE_COVERAGE_H

#include "core/land/distance.h"
#include "exchange/csv.h"

enum { LW_COVERAGES = 32, LW_COVERAGE_NAME = 48 };

typedef struct lw_coverage {
    char who[LW_COVERAGE_NAME];
    int is_claimed, is_in_vehicles;
    int technology;            /* 0: not said */
    double down_mbit, up_mbit; /* NaN: not said */
} lw_coverage;

typedef struct lw_coverages {
    lw_coverage of[LW_COVERAGES];
    int count;
} lw_coverages;

LW_MUST_USE lw_code lw_coverages_read(lw_read_fn *read, void *context, lw_spot at, lw_coverages *out, lw_err *err);
LW_MUST_USE lw_code lw_coverages_load(const char *path, lw_spot at, lw_coverages *out, lw_err *err);

#endif
