/* service/sun_map.h: how long the sun itself reaches a spot, day by day, and which corner of a small area has most of it.
 *
 * Asks      a spot, terrain tiles (or none: a level skyline), a civil day and zone; for the map the half width of the area and how many
 *           cells a side.
 * Answers   lw_sun_days_make: for each of some days the hours in which the sun's centre stands above the skyline, with the first and the last moment
 *           of them, and how long it is above a level one. lw_sun_map_make: the hours of one day for each cell, seen from 2 m above its
 *           ground, and its height.
 * Method    the sun every 5 minutes (core/sky/sun_table.h) against the ground in its direction (core/land/skyline.h), as far as 20 km;
 *           trees are not in it.
 * Errors    those of exchange/terrain.h and of a zone; LW_E_RANGE a size that does not fit.
 * Limits    tiles know samples 30 or 90 m apart: between them the ground is straight, and a map finer than the samples shows no more. */
#ifndef LW_SERVICE_SUN_MAP_H
#define LW_SERVICE_SUN_MAP_H

#include "core/base/civil.h"
#include "core/base/units.h"
#include "core/land/distance.h"

enum { LW_SUN_SIDE = 41, LW_SUN_DAYS = 366 };

typedef struct lw_sun_ask {
    lw_spot spot;
    const char *terrain;       /* NULL or empty: none */
    const double *skyline_deg; /* for the JSON: LW_SKYLINE_POINTS of them, from north eastwards; NULL: it is not told */
    lw_zone zone;
    int64_t first_day;
    int days, step_days; /* of lw_sun_days_make; step 1 or more */
    double half_m;       /* of the map, 50..5000 */
    int side;            /* cells, odd, 3..LW_SUN_SIDE */
} lw_sun_ask;

typedef struct lw_sun_day {
    int64_t day;
    double direct_h, level_h;
    int64_t first_s, last_s; /* of direct sun; 0: none */
} lw_sun_day;

typedef struct lw_sun_map {
    int side;
    double cell_m;
    int64_t day;
    double ground_m[LW_SUN_SIDE * LW_SUN_SIDE], hours[LW_SUN_SIDE * LW_SUN_SIDE]; /* rows from north; NaN: no terrain */
    double least_h, most_h, level_h;
    int best; /* cell with most */
    lw_spot best_spot;
} lw_sun_map;

/* Room for ask->days rows. */
LW_MUST_USE lw_code lw_sun_days_make(const lw_sun_ask *ask, lw_sun_day *day, lw_err *err);
LW_MUST_USE lw_code lw_sun_map_make(const lw_sun_ask *ask, lw_sun_map *map, lw_err *err);

/* The caller's texts (free); NULL: no memory. JSON: docs/sun.schema.json; map NULL: days alone. */
char *lw_sun_json(const lw_sun_ask *ask, const lw_sun_day *day, const lw_sun_map *map, const char *version);
char *lw_sun_svg(const lw_sun_ask *ask, const lw_sun_map *map);

#endif
