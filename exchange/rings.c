#include "exchange/rings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/limits.h"
#include "text/decimal.h"
#include "text/say.h"

void lw_rings_begin(lw_rings *r)
{
    r->corners = r->rings = r->began = 0;
}

/* A place more in a list that grows by doubling; NULL: no room. */
static void *grown(void *at, size_t count, size_t *room, size_t size)
{
    if (count < *room)
        return at;
    const size_t wanted = *room ? 2 * *room : 256;
    void *made = wanted <= 2 * (size_t)LW_SHAPE_CORNERS ? realloc(at, wanted * size) : NULL;
    if (made)
        *room = wanted;
    return made;
}

lw_code lw_rings_corner(lw_rings *r, double longitude_deg, double latitude_deg, lw_err *err)
{
    if (!(longitude_deg >= -360.0 && longitude_deg <= 360.0 && latitude_deg >= -90.0 && latitude_deg <= 90.0))
        return lw_fail(err, LW_E_RANGE,
                       "a corner at %s, %s is not on earth; longitude and latitude in degrees are read",
                       lw_num(longitude_deg).text, lw_num(latitude_deg).text);
    lw_corner *corner =
        r->corners < LW_SHAPE_CORNERS ? grown(r->corner, r->corners, &r->corner_room, sizeof *r->corner) : NULL;
    if (!corner)
        return lw_fail(err, LW_E_FULL, "an area has more than %zu corners", r->corners);
    r->corner = corner;
    r->corner[r->corners++] = lw_corner_of((lw_spot){latitude_deg, longitude_deg});
    return LW_OK;
}

static lw_code end_part(lw_rings *r, size_t least, double tolerance_m, lw_err *err)
{
    if (r->corners == r->began)
        return LW_OK;
    uint32_t *ring = grown(r->ring, r->rings, &r->ring_room, sizeof *r->ring);
    if (!ring)
        return lw_fail(err, LW_E_FULL, "an area has more than %zu rings", r->rings);
    r->ring = ring;
    lw_corner *first = r->corner + r->began;
    const size_t count = r->corners - r->began;
    if (count < least) {
        r->corners = r->began;
        return LW_OK;
    }
    lw_ring_unroll(first, count);
    const size_t left = lw_ring_thin(first, count, tolerance_m);
    r->ring[r->rings++] = (uint32_t)left;
    r->corners = r->began += left;
    return LW_OK;
}

lw_code lw_rings_close(lw_rings *r, lw_err *err)
{
    return end_part(r, 3, LW_BORDER_M, err);
}

lw_code lw_rings_end_line(lw_rings *r, lw_err *err)
{
    return end_part(r, 2, LW_LINE_M, err);
}

/* ---- GeoJSON ---- */

static lw_code take_corners(lw_rings *r, const json_t *ring, lw_err *err)
{
    lw_code code = LW_OK;
    for (size_t i = 0; i < json_array_size(ring) && !code; i++) {
        const json_t *pair = json_array_get(ring, i), *x = json_array_get(pair, 0), *y = json_array_get(pair, 1);
        code = lw_rings_corner(r, json_is_number(x) ? json_number_value(x) : (double)NAN,
                               json_is_number(y) ? json_number_value(y) : (double)NAN, err);
    }
    return code;
}

static lw_code take_ring(lw_rings *r, const json_t *ring, lw_err *err)
{
    const lw_code code = take_corners(r, ring, err);
    return code ? code : lw_rings_close(r, err);
}

static lw_code take_line(lw_rings *r, const json_t *line, lw_err *err)
{
    const lw_code code = take_corners(r, line, err);
    return code ? code : lw_rings_end_line(r, err);
}

static lw_code take_polygon(lw_rings *r, const json_t *rings, lw_err *err)
{
    lw_code code = LW_OK;
    for (size_t i = 0; i < json_array_size(rings) && !code; i++)
        code = take_ring(r, json_array_get(rings, i), err);
    return code;
}

typedef lw_code take_fn(lw_rings *r, const json_t *coordinates, lw_err *err);

/* A geometry that is `one`, or several of it. */
static lw_code take_geometry(lw_rings *r, const json_t *geometry, const char *one, take_fn *take, lw_err *err)
{
    const char *type = json_string_value(json_object_get(geometry, "type"));
    const json_t *at = json_object_get(geometry, "coordinates");
    lw_code code = LW_OK;
    if (type && strcmp(type, one) == 0)
        return take(r, at, err);
    if (!type || strncmp(type, "Multi", 5) != 0 || strcmp(type + 5, one) != 0)
        return LW_OK;
    for (size_t i = 0; i < json_array_size(at) && !code; i++)
        code = take(r, json_array_get(at, i), err);
    return code;
}

/* The same of a collection's members; a collection inside one is none (RFC 7946 asks to avoid it). */
static lw_code take_geometries(lw_rings *r, const json_t *geometry, const char *one, take_fn *take, lw_err *err)
{
    const char *type = json_string_value(json_object_get(geometry, "type"));
    const json_t *members = json_object_get(geometry, "geometries");
    lw_code code = LW_OK;
    lw_rings_begin(r);
    if (!type || strcmp(type, "GeometryCollection") != 0)
        return take_geometry(r, geometry, one, take, err);
    for (size_t i = 0; i < json_array_size(members) && !code; i++)
        code = take_geometry(r, json_array_get(members, i), one, take, err);
    return code;
}

lw_code lw_rings_geojson(lw_rings *r, const json_t *geometry, lw_err *err)
{
    return take_geometries(r, geometry, "Polygon", take_polygon, err);
}

lw_code lw_rings_geojson_lines(lw_rings *r, const json_t *geometry, lw_err *err)
{
    return take_geometries(r, geometry, "LineString", take_line, err);
}

lw_shape lw_rings_shape(const lw_rings *r)
{
    return (lw_shape){r->corner, r->ring, r->rings};
}

void lw_rings_clear(lw_rings *r)
{
    free(r->corner);
    free(r->ring);
    *r = (lw_rings){0};
}
