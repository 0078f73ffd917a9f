/* exchange/unpack.h: bytes as they are, or unpacked where they begin as gzip or zip does.
 *
 * Reads     from any lw_read_fn; itself one (lw_unpack_read), so that each reader takes a file either way. Of a zip, which a
 *           KMZ is, the first file whose name ends in .kml, .geojson, .json, .gpx, .csv or .osm, without seeking. Sums of what was packed are held against it.
 *           A gzip of several members is all of them.
 * Errors    lw_unpack_read gives -1 for a failed read, for a gzip or zip that is cut or damaged, for a zip without such a file, with a
 *           password or larger than 4 GB, and for what unpacks to more than LW_UNPACKED_TIMES its size beyond
 *           LW_UNPACKED_FREE; lw_unpack_refuse says which.
 * Memory    lw_unpack_open takes it, lw_unpack_close gives it back; some 100 kB. How much comes out is the caller's limit.
 * Source    RFC 1951, RFC 1952; the zip format as PKWARE's APPNOTE 6.3 has it (from memory); OGC KML 2.2, annex C. */
#ifndef LW_EXCHANGE_UNPACK_H
#define LW_EXCHANGE_UNPACK_H

#include "exchange/csv.h"

typedef struct lw_unpack lw_unpack;

LW_MUST_USE lw_code lw_unpack_open(lw_read_fn *read, void *context, lw_unpack **out, lw_err *err);
long lw_unpack_read(void *unpack, char *buf, size_t n);
LW_MUST_USE lw_code lw_unpack_refuse(const lw_unpack *unpack, lw_err *err); /* the sentence behind a -1 */
void lw_unpack_close(lw_unpack *unpack);                                    /* NULL is fine */

#endif
