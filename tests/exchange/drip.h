/* tests/exchange/drip.h: a source that gives its bytes in pieces of `piece`, so that records fall across reads. */
#ifndef LW_TESTS_EXCHANGE_DRIP_H
#define LW_TESTS_EXCHANGE_DRIP_H

#include "exchange/csv.h"

typedef struct drip {
    lw_bytes bytes;
    size_t piece;
} drip;

static inline long read_drip(void *context, char *buf, size_t n)
{
    drip *d = context;
    return lw_read_bytes(&d->bytes, buf, n < d->piece ? n : d->piece);
}

#endif
