/* exchange/keyed_internal.h: reading the maps of a list by a small table of keys, as errands and trips are written.
 *
 * lw_keyed_item  begins with one map: every key of it must be in the table; a mistyped one is told with the nearest.
 * lw_keyed_get   0 where the key is not said, or where something was refused before (`code` is then set, and stays). */
#ifndef LW_EXCHANGE_KEYED_INTERNAL_H
#define LW_EXCHANGE_KEYED_INTERNAL_H

#include "exchange/scenario_internal.h"

enum { LW_KEYED_MOST = 32 };

typedef struct lw_keyed {
    const lw_yaml_node *item;
    const lw_key *key;
    int keys;
    lw_err *err;
    lw_code code;
} lw_keyed;

lw_keyed lw_keyed_item(const lw_yaml_node *item, const lw_key *key, int keys, lw_err *err);
int lw_keyed_get(lw_keyed *r, int at, lw_value *value);
double lw_keyed_number(lw_keyed *r, int at, double scale, double instead);
void lw_keyed_want(lw_keyed *r, int at);
void lw_keyed_text(lw_keyed *r, int at, char *to, size_t size, const char *instead);
void lw_keyed_refuse(lw_keyed *r, const lw_yaml_node *node); /* err has the sentence */

#endif
