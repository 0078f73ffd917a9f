/* exchange/json_tree.h: JSON from outside into a tree, held to a size and a depth.
 *
 * Errors    one sentence, with the line where there is one: nothing, no JSON, cut, a key twice, longer or deeper than
 *           exchange/limits.h allows, a failed read. */
#ifndef LW_EXCHANGE_JSON_TREE_H
#define LW_EXCHANGE_JSON_TREE_H

#include <jansson.h>

#include "core/base/err.h"
#include "exchange/csv.h"

/* *root is the caller's, json_decref frees it. */
LW_MUST_USE lw_code lw_json_tree_read(lw_read_fn *read, void *context, json_t **root, lw_err *err);

/* The same with another limit of its length. */
LW_MUST_USE lw_code lw_json_tree_read_up_to(size_t bytes_most, lw_read_fn *read, void *context, json_t **root,
                                            lw_err *err);

#endif
