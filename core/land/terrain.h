/* core/land/terrain.h: the height of the ground from tiles of a grid of degrees.
 *
 * Computes  height at a point, straight between the four samples around it; the heights along a great circle.
 * Inputs    tiles of one degree: samples on the degree lines themselves, rows from north to south, each from west to
 *           east, `side` of them; LW_TERRAIN_VOID where nothing is known. Tiles may be of different sides, in any order.
 * Results   metres above the sea of the tiles' own datum; NaN where no tile is, or only voids are around the point. A void
 *           among the four is left out, the others weigh more.
 * Errors    LW_E_RANGE from lw_tile_check.
 * Source    bilinear interpolation; sphere of 6,371,000 m for the way along a great circle.
 * Limits    samples 90 m apart cut summits by some 10 m and fill gullies; trees and houses are in radar heights in part. */
#ifndef LW_CORE_LAND_TERRAIN_H
#define LW_CORE_LAND_TERRAIN_H

#include <stdint.h>

#include "core/land/distance.h"

enum { LW_TERRAIN_VOID = -32768, LW_TERRAIN_TILES = 16, LW_TERRAIN_SIDE_MOST = 3601 };

typedef struct lw_tile {
    int south_deg, west_deg; /* of its corner */
    int side;
    double highest_m;   /* of its samples, set by lw_tile_highest_m */
    const int16_t *h_m; /* side x side; borrowed */
} lw_tile;

typedef struct lw_terrain {
    const lw_tile *tile;
    int count;
} lw_terrain;

/* A point and a way to go from it over the ball. */
typedef struct lw_walk {
    double from[3], ahead[3]; /* unit vectors */
} lw_walk;

LW_MUST_USE lw_code lw_tile_check(const lw_tile *tile, lw_fault *fault);
double lw_tile_highest_m(const lw_tile *tile); /* NaN: nothing but voids */

double lw_terrain_m(const lw_terrain *terrain, lw_spot at);
/* The highest sample no farther off than around_m, NaN where none is; no lower than the ground at the point itself. */
double lw_terrain_highest_m(const lw_terrain *terrain, lw_spot at, double around_m);
double lw_terrain_cell_m(const lw_terrain *terrain); /* the finest way between two samples, along a meridian */

lw_walk lw_walk_of(lw_spot from, double azimuth_deg);
lw_walk lw_walk_to(lw_spot from, lw_spot to);
lw_spot lw_walk_at(const lw_walk *walk, double way_m);

/* The ground from one point to the other: count points from end to end, d_km and h_m of that length. Gives how many heights
 * are not known; they are taken from their neighbours, straight between. All unknown: h_m is NaN. */
int lw_terrain_between(const lw_terrain *terrain, lw_spot from, lw_spot to, int count, double *d_km, double *h_m);

#endif
