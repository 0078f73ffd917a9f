/* exchange/yaml_whole.h: a YAML text as one struct: all of it or nothing.
 *
 * Inputs    where the text comes from; what takes a tree into the struct, which it is given as zeros.
 * Results   *to, only where all was taken.
 * Errors    those of exchange/yaml_tree.h and of the taker; LW_E_FULL no memory. */
#ifndef LW_EXCHANGE_YAML_WHOLE_H
#define LW_EXCHANGE_YAML_WHOLE_H

#include "exchange/yaml_tree.h"

typedef struct lw_yaml_source {
    const char *name, *bytes; /* bytes NULL: of the file of that name */
    size_t size;
} lw_yaml_source;

typedef lw_code lw_yaml_taker(const lw_yaml *tree, const char *name, void *to, lw_err *err);

LW_MUST_USE lw_code lw_yaml_whole(const lw_yaml_source *from, lw_yaml_taker *take, size_t size, void *to, lw_err *err);

#endif
