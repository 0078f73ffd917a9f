/* exchange/wkb.h: areas, or lines, in the binary form of map databases.
 *
 * Reads     well-known binary: Polygon, MultiPolygon and collections of them, or LineString and MultiLineString, either byte order, with heights and measures passed
 *           over (kinds from 1000 on, or the high bits that some programs set). lw_wkb_of_geopackage: where it begins in a
 *           geometry of a GeoPackage, behind the header.
 * Results   rings (exchange/rings.h); *is_any 0: another kind of geometry, or none.
 * Errors    LW_E_SYNTAX damaged; those of exchange/rings.h.
 * Source    OGC 06-103r4 (Simple Features, part 1), clause 8; OGC 12-128r15 (GeoPackage 1.2), clause 2.1.3. */
#ifndef LW_EXCHANGE_WKB_H
#define LW_EXCHANGE_WKB_H

#include "exchange/rings.h"

LW_MUST_USE lw_code lw_wkb_read(const unsigned char *bytes, size_t n, lw_rings *rings, int *is_any, lw_err *err);
LW_MUST_USE lw_code lw_wkb_lines(const unsigned char *bytes, size_t n, lw_rings *rings, int *is_any, lw_err *err);

/* NULL: no such header. *wkb_n 0: an empty geometry. */
const unsigned char *lw_wkb_of_geopackage(const unsigned char *bytes, size_t n, size_t *wkb_n);

#endif
