/* exchange/features.h: the features of GeoJSON one after another, without holding the file.
 *
 * Reads     a FeatureCollection (RFC 7946), or features one behind the other, by lines or by the mark of RFC 8142.
 * Results   lw_features_next: the next feature, the caller's (json_decref); NULL at the end.
 * Errors    LW_E_SYNTAX no JSON, cut; LW_E_FULL a feature of more than LW_FEATURE_BYTES, or nested deeper than
 *           LW_GRIDPOINT_DEPTH; LW_E_IO. The line of the feature is said. */
#ifndef LW_EXCHANGE_FEATURES_H
#define LW_EXCHANGE_FEATURES_H

#include <jansson.h>

#include "exchange/csv.h"

typedef struct lw_features lw_features;

LW_MUST_USE lw_code lw_features_open(lw_read_fn *read, void *context, lw_features **features, lw_err *err);
LW_MUST_USE lw_code lw_features_next(lw_features *features, json_t **feature, lw_err *err);
void lw_features_close(lw_features *features); /* NULL is fine */

/* All of a source, one after another, to the first that take refuses; the feature is lent. */
typedef lw_code lw_feature_fn(void *context, json_t *feature, lw_err *err);
LW_MUST_USE lw_code lw_features_each(lw_read_fn *read, void *source, lw_feature_fn *take, void *context, lw_err *err);

#endif
