/* exchange/rings.h: the borders of an area, or the lines of a road, as they are read, corner by corner, into a shape (core/land/shape.h).
 *
 * Kept      rings unrolled over the seam of the map and thinned: corners within LW_BORDER_M of the line between their
 *           neighbours go; of lines those within LW_LINE_M.
 * Errors    LW_E_RANGE a corner that is not on earth (a map in metres), LW_E_FULL more than LW_SHAPE_CORNERS.
 * Memory    lw_rings_clear; twice is fine. The shape is borrowed until the next lw_rings_begin. */
#ifndef LW_EXCHANGE_RINGS_H
#define LW_EXCHANGE_RINGS_H

#include <jansson.h>

#include "core/land/shape.h"

#define LW_BORDER_M 5.0
#define LW_LINE_M   10.0

typedef struct lw_rings {
    lw_corner *corner;
    uint32_t *ring;
    size_t corners, corner_room, rings, ring_room;
    size_t began; /* of the ring that is open */
} lw_rings;

void lw_rings_begin(lw_rings *rings); /* a new area */
LW_MUST_USE lw_code lw_rings_corner(lw_rings *rings, double longitude_deg, double latitude_deg, lw_err *err);
LW_MUST_USE lw_code lw_rings_close(lw_rings *rings, lw_err *err); /* the ring; the next corner begins another */
LW_MUST_USE lw_code lw_rings_end_line(lw_rings *rings,
                                      lw_err *err); /* as it is: nothing leads back to its first corner */
/* A new area from a geometry of GeoJSON; none where it is no Polygon, MultiPolygon or GeometryCollection with some. */
LW_MUST_USE lw_code lw_rings_geojson(lw_rings *rings, const json_t *geometry, lw_err *err);
/* New lines; none where it is no LineString or MultiLineString. */
LW_MUST_USE lw_code lw_rings_geojson_lines(lw_rings *rings, const json_t *geometry, lw_err *err);
lw_shape lw_rings_shape(const lw_rings *rings);
void lw_rings_clear(lw_rings *rings);

#endif
