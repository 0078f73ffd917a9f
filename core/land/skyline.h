/* core/land/skyline.h: how high the land stands all around a point.
 *
 * Computes  the highest angle of the ground seen in a direction: a walk outward, each height turned into an angle with the
 *           earth's curvature taken off, and with the bending of light by the air.
 * Inputs    a ray: height_m(with, way_m), the ground's height along it, NaN where it is not known; ground_m under the
 *           eye; eye_m above it; first_m and reach_m of the walk; step_m, which grows to step_share of the way and
 *           to step_most_m (a ridge is missed by half a step at most);
 *           highest_m, above which nothing on the ray stands (INFINITY: not known), so that the walk may end early.
 * Results   degrees, 0 where nothing stands above the level: flat (no curvature), curved (sphere of 6,371,000 m), seen
 *           (sphere / (1 - 0.13), mean optical refraction); way_m to what is seen, 0 where nothing is.
 * Errors    LW_E_RANGE from lw_sight_check.
 * Source    geometry; refraction coefficient 0.13 (Gauss's mean value, surveying practice).
 * Limits    what stands on the ground (trees) is not in it; ground nearer than a cell of the terrain's grid is smoothed;
 *           refraction over cold plains at night is several times the mean. */
#ifndef LW_CORE_LAND_SKYLINE_H
#define LW_CORE_LAND_SKYLINE_H

#include "core/base/err.h"
#include "core/land/terrain.h"

enum { LW_SKYLINE_POINTS = 360 };

typedef struct lw_sight {
    double (*height_m)(const void *with, double way_m);
    const void *with;
    double ground_m, eye_m, first_m, reach_m, step_m, step_share, step_most_m, highest_m;
} lw_sight;

typedef struct lw_seen {
    double flat_deg, curved_deg, seen_deg, way_m;
} lw_seen;

LW_MUST_USE lw_code lw_sight_check(const lw_sight *sight, lw_fault *fault);
void lw_sight_look(const lw_sight *sight, lw_seen *out);

/* The skyline of a point over terrain, a degree apart from north clockwise. The walk ends where the terrain does. Gives 0
 * and zeros where the ground under the point is not known; known_frac: how much of all that was walked is. */
typedef struct lw_skyline {
    double ground_m, known_frac;
    double seen_deg[LW_SKYLINE_POINTS];
} lw_skyline;

lw_seen lw_terrain_look(const lw_terrain *terrain, lw_spot at, double eye_m, double azimuth_deg, double reach_m);
/* The same walk in steps of one length, as open tools do it; it misses up to half a step of a near ridge. */
lw_seen lw_terrain_look_in_steps(const lw_terrain *terrain, lw_spot at, double eye_m, double azimuth_deg,
                                 double reach_m, double step_m);
int lw_terrain_skyline(const lw_terrain *terrain, lw_spot at, double eye_m, double reach_m, lw_skyline *out);

#endif
