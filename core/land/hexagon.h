/* core/land/hexagon.h: where a cell of the H3 grid lies, from its number alone.
 *
 * Computes  the middle and the corners of a cell. The grid lies on the twenty faces of an icosahedron, each a plane that touches the ball
 *           (gnomonic); a cell is one of 122 base cells and up to fifteen digits, each of which goes on to one of seven smaller cells. What
 *           lies beyond a face's edge is folded over it onto the next face.
 * Inputs    lw_hex_grid, made once; a cell of resolution 0 to 15.
 * Results   degrees, longitude -180..180; lw_hex_border gives how many corners there are: 6, of the twelve pentagons of a resolution 5.
 * Errors    lw_hex_is_cell 0: no cell's number.
 * Source    the published form of the index (h3geo.org, "H3 Index Representations"); faces, their axes and base cells: tables of the
 *           H3 library 4, Apache-2.0, as facts. Compared with h3-js 4.5.0 (tests/reference/hexagons.csv).
 * Limits    the library gives a cell that lies over an edge of the icosahedron one or two corners more on its sides; here sides are straight. */
#ifndef LW_CORE_LAND_HEXAGON_H
#define LW_CORE_LAND_HEXAGON_H

#include <stdint.h>

#include "core/land/distance.h"

enum { LW_HEX_FACES = 20, LW_HEX_CORNERS = 6 };

typedef struct lw_hex_point {
    double x, y; /* on the plane of a face, in steps of resolution 0, from its middle; x along the first axis */
} lw_hex_point;

typedef struct lw_hex_face {
    double middle[3], x[3], y[3];  /* unit vectors */
    int beyond[3];                 /* the face over the edge that is opposite to each of its axes */
    lw_hex_point turn[3], move[3]; /* a point there: turn * point + move, as complex numbers */
} lw_hex_face;

typedef struct lw_hex_grid {
    lw_hex_face face[LW_HEX_FACES];
} lw_hex_grid;

void lw_hex_grid_make(lw_hex_grid *grid);

int lw_hex_is_cell(uint64_t cell);
int lw_hex_resolution(uint64_t cell);
lw_spot lw_hex_middle(const lw_hex_grid *grid, uint64_t cell);
int lw_hex_border(const lw_hex_grid *grid, uint64_t cell, lw_spot corner[LW_HEX_CORNERS]); /* counter-clockwise */

#endif
