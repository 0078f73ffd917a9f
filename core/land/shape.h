/* core/land/shape.h: an area of the map with holes and parts, and whether a point lies in it.
 *
 * Computes  the even-odd rule over all rings: a point is inside where a way out of it crosses an odd number of borders. So holes,
 *           islands in holes and parts beside each other need no order. Exact: corners and point are whole millionths of a
 *           degree (0.11 m), and no product of theirs leaves 64 bits.
 * Inputs    rings of corners, closed or not; longitudes may go beyond 180 where an area lies over the seam of the map
 *           (lw_ring_unroll); the point is looked for at its longitude and a turn to either side.
 * Results   lw_shape_place: outside, inside, or on a border, to the millionth. lw_shape_border_m: metres to the nearest border;
 *           lw_shape_line_m: the same of open lines, such as roads: nothing leads from the last corner to the first.
 *           lw_ring_thin: corners that stand off the line between their kept neighbours by less than a tolerance go.
 * Errors    none; a ring of fewer than three corners holds nothing.
 * Source    even-odd rule; line simplification after Douglas and Peucker (1973); distance on a local plane, 111,194.9 m a degree.
 * Limits    areas around a pole, and edges of more than half a turn, which count as going the short way. Borders are straight in
 *           degrees, as map files mean them. Thinning neighbours one by one leaves slivers as wide as the tolerance. */
#ifndef LW_CORE_LAND_SHAPE_H
#define LW_CORE_LAND_SHAPE_H

#include <stddef.h>
#include <stdint.h>

#include "core/land/distance.h"

typedef struct lw_corner {
    int32_t longitude_e6, latitude_e6;
} lw_corner;

typedef struct lw_shape {
    const lw_corner *corner; /* of all rings, one behind the other; borrowed */
    const uint32_t *ring;    /* corners of each */
    size_t rings;
} lw_shape;

typedef struct lw_shape_box {
    int32_t west_e6, south_e6, east_e6, north_e6;
} lw_shape_box;

typedef enum lw_where { LW_OUTSIDE = 0, LW_INSIDE, LW_ON_BORDER } lw_where;

lw_corner lw_corner_of(lw_spot spot); /* to the nearest millionth */
lw_where lw_shape_place(const lw_shape *shape, lw_spot spot);
double lw_shape_border_m(const lw_shape *shape, lw_spot spot); /* infinite: no border */
double lw_shape_line_m(const lw_shape *shape, lw_spot spot);
lw_shape_box lw_shape_box_of(const lw_shape *shape); /* west > east: no corners */

/* Makes each corner follow the one before by less than half a turn, except for edges from -180 to 180 itself. */
void lw_ring_unroll(lw_corner *corner, size_t count);

/* In place; gives how many are left: the first, the last and one between at least, of five or more. */
enum { LW_SHAPE_STACK = 128 };
size_t lw_ring_thin(lw_corner *corner, size_t count, double tolerance_m);

#endif
