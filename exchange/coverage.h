/* exchange/coverage.h: what published coverage claims at a point.
 *
 * Reads     GeoJSON (exchange/features.h), feature by feature: Polygons and MultiPolygons in WGS 84; or CSV with a header. Of the
 *           properties, found whatever their case: who (brandname, provider, providerid, network or name), technology (300 3G, 400 4G
 *           LTE, 500 5G NR; others are unknown), mindown and minup in Mbit/s, environmnt (0 outdoors, 1 in vehicles too), and where
 *           there is no area, the number of a cell of the H3 grid (h3_res9_id, h3_res8_id, h3_index, h3; core/land/hexagon.h), fifteen hexadecimal digits.
 *           That is how the public files of the United States' broadband maps name them.
 * Results   for each who of the file whether any of its polygons holds the point, with the best rates claimed there; nobody where the file
 *           has no area within LW_COVERAGE_REACH_M (core/land/belief.h).
 * Errors    those of exchange/features.h, exchange/csv.h and exchange/rings.h; LW_E_SYNTAX a text that is no cell; LW_E_MISSING a list without
 *           cells or without names; LW_E_FULL more than LW_COVERAGES names.
 * Source    RFC 7946; FCC Broadband Data Collection, mobile (fields as seen in public layers; codes from memory).
 * Limits    even-odd rule; a border belongs to its area, and is kept to LW_BORDER_M. */
#ifndef LW_EXCHANGE_COVERAGE_H
#define LW_EXCHANGE_COVERAGE_H

#include "core/land/shape.h"
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

/* One area of an operator, borrowed for the call. */
typedef struct lw_coverage_row {
    char who[LW_COVERAGE_NAME];
    int technology, is_in_vehicles;
    double down_mbit, up_mbit;
    lw_shape shape; /* of no rings where the feature is no area */
} lw_coverage_row;

typedef lw_code lw_coverage_fn(void *context, const lw_coverage_row *row, lw_err *err);

/* Whether a property of this name is one that only such maps have. */
int lw_coverage_knows(const char *name, size_t n);

LW_MUST_USE lw_code lw_coverage_each(lw_read_fn *read, void *source, lw_coverage_fn *take, void *context, lw_err *err);
/* What a row claims goes to its operator's; is_here 0: the operator is known, no more. */
LW_MUST_USE lw_code lw_coverages_add(lw_coverages *coverages, const lw_coverage_row *row, int is_here, lw_err *err);

LW_MUST_USE lw_code lw_coverages_read(lw_read_fn *read, void *context, lw_spot at, lw_coverages *out, lw_err *err);
LW_MUST_USE lw_code lw_coverages_load(const char *path, lw_spot at, lw_coverages *out, lw_err *err);

#endif
