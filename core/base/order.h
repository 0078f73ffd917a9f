/* core/base/order.h: a few items in the order of their keys.
 *
 * Computes  item goes into order[0 .. *count - 1], behind all whose key is no greater; *count grows by one. Equal keys keep the order
 *           in which they came.
 * Inputs    keys by item; room for one more in `order`.
 * Errors    none. */
#ifndef LW_CORE_BASE_ORDER_H
#define LW_CORE_BASE_ORDER_H

static inline void lw_order_put(const double *key, int item, int *order, int *count)
{
    int at = (*count)++;
    for (; at > 0 && key[order[at - 1]] > key[item]; at--)
        order[at] = order[at - 1];
    order[at] = item;
}

#endif
