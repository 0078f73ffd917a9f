#include "core/land/shape.h"

#include <math.h>

static const double DEGREE_M = 111194.9; /* of latitude, on a sphere of 6,371 km */
static const double RAD = 0.017453292519943295;
enum { TURN_E6 = 360000000 };

lw_corner lw_corner_of(lw_spot spot)
{
    return (lw_corner){(int32_t)lround(spot.longitude_deg * 1e6), (int32_t)lround(spot.latitude_deg * 1e6)};
}

static int is_between(int32_t x, int32_t a, int32_t b)
{
    return a < b ? x >= a && x <= b : x >= b && x <= a;
}

/* Positive: p lies left of the way from a to b. */
static int64_t side_of(lw_corner a, lw_corner b, lw_corner p)
{
    return ((int64_t)b.longitude_e6 - a.longitude_e6) * ((int64_t)p.latitude_e6 - a.latitude_e6) -
           ((int64_t)b.latitude_e6 - a.latitude_e6) * ((int64_t)p.longitude_e6 - a.longitude_e6);
}

/* Whether the point is on the edge; otherwise *is_odd turns where a way east from it crosses the edge, of which the lower end belongs
 * to it and the upper does not. */
static int take_edge(lw_corner a, lw_corner b, lw_corner p, int *is_odd)
{
    const int64_t side = side_of(a, b, p);
    if (side == 0 && is_between(p.longitude_e6, a.longitude_e6, b.longitude_e6) &&
        is_between(p.latitude_e6, a.latitude_e6, b.latitude_e6))
        return 1;
    if ((a.latitude_e6 > p.latitude_e6) != (b.latitude_e6 > p.latitude_e6))
        *is_odd ^= (b.latitude_e6 > a.latitude_e6) == (side > 0);
    return 0;
}

static lw_where place_of(const lw_shape *shape, lw_corner p)
{
    const lw_corner *corner = shape->corner;
    int is_odd = 0;
    for (size_t r = 0; r < shape->rings; corner += shape->ring[r++]) {
        const size_t count = shape->ring[r];
        for (size_t i = 0; i < count; i++)
            if (take_edge(corner[i ? i - 1 : count - 1], corner[i], p, &is_odd))
                return LW_ON_BORDER;
    }
    return is_odd ? LW_INSIDE : LW_OUTSIDE;
}

lw_where lw_shape_place(const lw_shape *shape, lw_spot spot)
{
    const lw_shape_box box = lw_shape_box_of(shape);
    lw_corner p = lw_corner_of(spot);
    lw_where where = LW_OUTSIDE;
    for (int32_t turn = -TURN_E6; turn <= TURN_E6 && where == LW_OUTSIDE; turn += TURN_E6) {
        const lw_corner turned = {p.longitude_e6 + turn, p.latitude_e6};
        if (turned.longitude_e6 >= box.west_e6 && turned.longitude_e6 <= box.east_e6 &&
            turned.latitude_e6 >= box.south_e6 && turned.latitude_e6 <= box.north_e6)
            where = place_of(shape, turned);
    }
    return where;
}

lw_shape_box lw_shape_box_of(const lw_shape *shape)
{
    lw_shape_box box = {INT32_MAX, INT32_MAX, INT32_MIN, INT32_MIN};
    const lw_corner *corner = shape->corner;
    for (size_t r = 0; r < shape->rings; corner += shape->ring[r++])
        for (size_t i = 0; i < shape->ring[r]; i++) {
            const lw_corner c = corner[i];
            box.west_e6 = c.longitude_e6 < box.west_e6 ? c.longitude_e6 : box.west_e6;
            box.east_e6 = c.longitude_e6 > box.east_e6 ? c.longitude_e6 : box.east_e6;
            box.south_e6 = c.latitude_e6 < box.south_e6 ? c.latitude_e6 : box.south_e6;
            box.north_e6 = c.latitude_e6 > box.north_e6 ? c.latitude_e6 : box.north_e6;
        }
    return box;
}

/* ---- ways on a plane around a point ---- */

typedef struct plane {
    double x_m, y_m; /* of a millionth of a degree */
} plane;

static plane plane_at(int32_t latitude_e6)
{
    return (plane){DEGREE_M * 1e-6 * cos(latitude_e6 * 1e-6 * RAD), DEGREE_M * 1e-6};
}

static double way_m(plane at, lw_corner a, lw_corner b, lw_corner p)
{
    const double bx = ((double)b.longitude_e6 - a.longitude_e6) * at.x_m,
                 by = ((double)b.latitude_e6 - a.latitude_e6) * at.y_m,
                 px = ((double)p.longitude_e6 - a.longitude_e6) * at.x_m,
                 py = ((double)p.latitude_e6 - a.latitude_e6) * at.y_m, length2 = bx * bx + by * by;
    const double along = length2 > 0.0 ? fmin(1.0, fmax(0.0, (px * bx + py * by) / length2)) : 0.0;
    return hypot(px - along * bx, py - along * by);
}

static double nearest_m(const lw_shape *shape, lw_spot spot, int is_closed)
{
    const lw_corner p = lw_corner_of(spot);
    const plane at = plane_at(p.latitude_e6);
    double least_m = INFINITY;
    for (int32_t turn = -TURN_E6; turn <= TURN_E6; turn += TURN_E6) {
        const lw_corner turned = {p.longitude_e6 + turn, p.latitude_e6}, *corner = shape->corner;
        for (size_t r = 0; r < shape->rings; corner += shape->ring[r++])
            for (size_t i = is_closed ? 0 : 1; i < shape->ring[r]; i++)
                least_m = fmin(least_m, way_m(at, corner[i ? i - 1 : shape->ring[r] - 1], corner[i], turned));
    }
    return least_m;
}

double lw_shape_border_m(const lw_shape *shape, lw_spot spot)
{
    return nearest_m(shape, spot, 1);
}

double lw_shape_line_m(const lw_shape *shape, lw_spot spot)
{
    return nearest_m(shape, spot, 0);
}

/* ---- rings ---- */

void lw_ring_unroll(lw_corner *corner, size_t count)
{
    int32_t turn = 0;
    for (size_t i = 1; i < count; i++) {
        const int32_t step = corner[i].longitude_e6 + turn - corner[i - 1].longitude_e6;
        if (step > TURN_E6 / 2 && step < TURN_E6 && turn > -TURN_E6)
            turn -= TURN_E6;
        else if (step < -TURN_E6 / 2 && step > -TURN_E6 && turn < TURN_E6)
            turn += TURN_E6;
        corner[i].longitude_e6 += turn;
    }
}

/* The corner between two that stands off their line most; its way is 0 where there is none. */
static size_t farthest(const lw_corner *corner, size_t from, size_t to, double *most_m)
{
    const plane at = plane_at(corner[from].latitude_e6);
    size_t found = from;
    *most_m = 0.0;
    for (size_t i = from + 1; i < to; i++) {
        const double m = way_m(at, corner[from], corner[to], corner[i]);
        if (m > *most_m) {
            *most_m = m;
            found = i;
        }
    }
    return found;
}

/* From the beginning on: the stretch up to the next kept corner is cut at its farthest one until all of it lies close. Where cuts go
 * deeper than the stack, a corner is kept that could have gone. */
size_t lw_ring_thin(lw_corner *corner, size_t count, double tolerance_m)
{
    size_t until[LW_SHAPE_STACK], kept = 1, from = 0;
    int depth = 0;
    if (count < 5)
        return count;
    until[depth++] = count - 1;
    until[depth++] = count / 2; /* a closed ring has no line from its first to its last corner */
    while (depth > 0) {
        double most_m;
        const size_t to = until[depth - 1], cut = farthest(corner, from, to, &most_m);
        if (most_m > tolerance_m && depth < LW_SHAPE_STACK) {
            until[depth++] = cut;
        } else {
            depth--;
            from = to;
            corner[kept++] = corner[to];
        }
    }
    return kept;
}
