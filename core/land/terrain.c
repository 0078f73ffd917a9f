#include "core/land/terrain.h"

#include <math.h>
#include <stddef.h>

static const double EARTH_M = 6371000.0;
static const double RAD = 0.017453292519943295; /* pi / 180 */

lw_code lw_tile_check(const lw_tile *tile, lw_fault *fault)
{
    const lw_want want[] = {
        {"south_deg", tile->south_deg, -90.0, 89.0},
        {"west_deg", tile->west_deg, -180.0, 179.0},
        {"side", tile->side, 2.0, LW_TERRAIN_SIDE_MOST},
    };
    return lw_want_all(fault, LW_WANTS(want));
}

double lw_tile_highest_m(const lw_tile *tile)
{
    const size_t count = (size_t)tile->side * (size_t)tile->side;
    int16_t highest = LW_TERRAIN_VOID;
    for (size_t i = 0; i < count; i++)
        highest = tile->h_m[i] > highest ? tile->h_m[i] : highest;
    return highest == LW_TERRAIN_VOID ? (double)NAN : highest;
}

static double tile_m(const lw_tile *tile, lw_spot at)
{
    const double last = tile->side - 1;
    const double y = (tile->south_deg + 1 - at.latitude_deg) * last, x = (at.longitude_deg - tile->west_deg) * last;
    if (!(y >= 0.0 && y <= last && x >= 0.0 && x <= last))
        return (double)NAN;
    const int row = y < last ? (int)y : tile->side - 2, column = x < last ? (int)x : tile->side - 2;
    const double down = y - row, right = x - column;
    const int16_t *h = tile->h_m + (ptrdiff_t)row * tile->side + column;
    const int16_t corner[4] = {h[0], h[1], h[tile->side], h[tile->side + 1]};
    const double weight[4] = {(1.0 - down) * (1.0 - right), (1.0 - down) * right, down * (1.0 - right), down * right};
    double sum_m = 0.0, weights = 0.0;
    for (int k = 0; k < 4; k++)
        if (corner[k] != LW_TERRAIN_VOID) {
            sum_m += weight[k] * corner[k];
            weights += weight[k];
        }
    return weights > 0.0 ? sum_m / weights : (double)NAN;
}

double lw_terrain_m(const lw_terrain *terrain, lw_spot at)
{
    const double turned_deg = at.longitude_deg - 360.0 * floor((at.longitude_deg + 180.0) / 360.0);
    for (int i = 0; i < terrain->count; i++) { /* a point on a border lies in two: the first that knows it answers */
        const double h_m = tile_m(&terrain->tile[i], (lw_spot){at.latitude_deg, turned_deg});
        if (!isnan(h_m))
            return h_m;
    }
    return (double)NAN;
}

/* A tile's samples in the box around the circle; metres of a small area as on a plane. */
static double tile_highest_near_m(const lw_tile *tile, lw_spot at, double around_m)
{
    const double last = tile->side - 1, deg_m = EARTH_M * RAD, cosine = cos(at.latitude_deg * RAD);
    const double up = around_m / deg_m * last, across = cosine > 0.01 ? up / cosine : last;
    const double y = (tile->south_deg + 1 - at.latitude_deg) * last, x = (at.longitude_deg - tile->west_deg) * last;
    double highest_m = (double)NAN;
    if (!(y >= -up && y <= last + up && x >= -across && x <= last + across))
        return highest_m;
    for (int row = (int)fmax(0.0, ceil(y - up)); row <= (int)fmin(last, y + up); row++)
        for (int column = (int)fmax(0.0, ceil(x - across)); column <= (int)fmin(last, x + across); column++) {
            const int16_t h_m = tile->h_m[(ptrdiff_t)row * tile->side + column];
            const double north_m = (row - y) / last * deg_m, east_m = (column - x) / last * deg_m * cosine;
            if (h_m != LW_TERRAIN_VOID && north_m * north_m + east_m * east_m <= around_m * around_m &&
                !(h_m <= highest_m))
                highest_m = h_m;
        }
    return highest_m;
}

double lw_terrain_highest_m(const lw_terrain *terrain, lw_spot at, double around_m)
{
    double highest_m = lw_terrain_m(terrain, at);
    for (int i = 0; i < terrain->count; i++) {
        const double h_m = tile_highest_near_m(&terrain->tile[i], at, around_m);
        if (!isnan(h_m) && !(h_m <= highest_m))
            highest_m = h_m;
    }
    return highest_m;
}

double lw_terrain_cell_m(const lw_terrain *terrain)
{
    int side = 2;
    for (int i = 0; i < terrain->count; i++)
        side = terrain->tile[i].side > side ? terrain->tile[i].side : side;
    return EARTH_M * RAD / (side - 1);
}

static void to_vector(lw_spot spot, double v[3])
{
    const double lat = spot.latitude_deg * RAD, lon = spot.longitude_deg * RAD;
    v[0] = cos(lat) * cos(lon);
    v[1] = cos(lat) * sin(lon);
    v[2] = sin(lat);
}

lw_walk lw_walk_of(lw_spot from, double azimuth_deg)
{
    lw_walk walk;
    const double lat = from.latitude_deg * RAD, lon = from.longitude_deg * RAD, turn = azimuth_deg * RAD;
    const double north[3] = {-sin(lat) * cos(lon), -sin(lat) * sin(lon), cos(lat)}, east[2] = {-sin(lon), cos(lon)};
    to_vector(from, walk.from);
    for (int k = 0; k < 3; k++)
        walk.ahead[k] = cos(turn) * north[k] + (k < 2 ? sin(turn) * east[k] : 0.0);
    return walk;
}

lw_walk lw_walk_to(lw_spot from, lw_spot to)
{
    const double a = from.latitude_deg * RAD, b = to.latitude_deg * RAD;
    const double east = (to.longitude_deg - from.longitude_deg) * RAD;
    return lw_walk_of(from, atan2(cos(b) * sin(east), cos(a) * sin(b) - sin(a) * cos(b) * cos(east)) / RAD);
}

lw_spot lw_walk_at(const lw_walk *walk, double way_m)
{
    const double c = cos(way_m / EARTH_M), s = sin(way_m / EARTH_M);
    const double x = c * walk->from[0] + s * walk->ahead[0], y = c * walk->from[1] + s * walk->ahead[1],
                 z = c * walk->from[2] + s * walk->ahead[2];
    return (lw_spot){atan2(z, sqrt(x * x + y * y)) / RAD, atan2(y, x) / RAD};
}

/* Straight between the known on either side; at an end the nearest known. */
static void bridge(const double *d_km, double *h_m, int count)
{
    int before = -1;
    for (int i = 0; i <= count; i++) {
        if (i < count && isnan(h_m[i]))
            continue;
        for (int k = before + 1; k < i; k++) {
            if (before < 0)
                h_m[k] = i < count ? h_m[i] : (double)NAN;
            else if (i == count)
                h_m[k] = h_m[before];
            else
                h_m[k] = h_m[before] + (h_m[i] - h_m[before]) * (d_km[k] - d_km[before]) / (d_km[i] - d_km[before]);
        }
        before = i;
    }
}

int lw_terrain_between(const lw_terrain *terrain, lw_spot from, lw_spot to, int count, double *d_km, double *h_m)
{
    const double length_m = lw_distance_m(from, to);
    const lw_walk walk = lw_walk_to(from, to);
    int unknown = 0;
    for (int i = 0; i < count; i++) {
        const double way_m = length_m * i / (count - 1);
        d_km[i] = 0.001 * way_m;
        h_m[i] = lw_terrain_m(terrain, lw_walk_at(&walk, way_m));
        unknown += isnan(h_m[i]) ? 1 : 0;
    }
    bridge(d_km, h_m, count);
    return unknown;
}
