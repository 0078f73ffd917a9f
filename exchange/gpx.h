/* exchange/gpx.h: points and the way through them, as GPX 1.1.
 *
 * Writes    each point as a waypoint (name, height, description) and all in their order as one route. Text is escaped; control
 *           characters that XML cannot hold become blanks.
 * Results   the caller's text (free); NULL: no memory.
 * Source    GPX 1.1 schema, http://www.topografix.com/GPX/1/1/ */
#ifndef LW_EXCHANGE_GPX_H
#define LW_EXCHANGE_GPX_H

#include <stddef.h>
#include <stdint.h>

#include "core/land/distance.h"

typedef struct lw_gpx_point {
    lw_spot spot;
    double elevation_m;             /* NaN: not known */
    const char *name, *description; /* description NULL: none */
} lw_gpx_point;

typedef struct lw_gpx {
    const char *name;
    int64_t made_s;
    const lw_gpx_point *point;
    size_t count;
} lw_gpx;

char *lw_gpx_print(const lw_gpx *gpx);

#endif
