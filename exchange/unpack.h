/* exchange/unpack.h: bytes as they are, or unpacked where they begin as gzip does.
 *
 * Reads     from any lw_read_fn; itself one (lw_unpack_read), so that each reader takes a file either way.
 * Errors    lw_unpack_read gives -1 for a failed read and for a gzip that is cut or damaged; lw_unpack_refuse says which.
 * Memory    lw_unpack_open takes it, lw_unpack_close gives it back; some 100 kB. How much comes out is the caller's limit. */
#ifndef LW_EXCHANGE_UNPACK_H
#define LW_EXCHANGE_UNPACK_H

#include "exchange/csv.h"

typedef struct lw_unpack lw_unpack;

LW_MUST_USE lw_code lw_unpack_open(lw_read_fn *read, void *context, lw_unpack **out, lw_err *err);
long lw_unpack_read(void *unpack, char *buf, size_t n);
LW_MUST_USE lw_code lw_unpack_refuse(const lw_unpack *unpack, lw_err *err); /* the sentence behind a -1 */
void lw_unpack_close(lw_unpack *unpack);                                    /* NULL is fine */

#endif
