#include "core/land/skyline.h"

#include <math.h>

#include "core/base/num.h"

static const double EARTH_M = 6371000.0, LIGHT_M = 6371000.0 / (1.0 - 0.13);
static const double DEG = 57.29577951308232; /* 180 / pi */

lw_code lw_sight_check(const lw_sight *sight, lw_fault *fault)
{
    const lw_want want[] = {
        {"eye_m", sight->eye_m, 0.0, 1000.0},
        {"rmax_m", sight->reach_m, 1.0, 300000.0},
    };
    return lw_want_all(fault, LW_WANTS(want));
}

/* The tangent of the angle at which a height h_m, way_m off, is seen over a ball of that radius. */
static double tangent(double h_m, double eye_m, double way_m, double radius_m)
{
    const double turn = way_m / radius_m, c = cos(turn);
    /* (R + h) cos g - (R + h0), without the difference of two large numbers */
    return (h_m * c - eye_m - 2.0 * radius_m * sin(0.5 * turn) * sin(0.5 * turn)) / ((radius_m + h_m) * sin(turn));
}

void lw_sight_look(const lw_sight *sight, lw_seen *out)
{
    const double eye_m = sight->ground_m + sight->eye_m;
    double flat = 0.0, curved = 0.0, seen = 0.0, way_m = sight->first_m;
    out->way_m = 0.0;
    while (way_m <= sight->reach_m) {
        const double h_m = sight->height_m(sight->with, way_m);
        if (h_m > eye_m) { /* NaN is not */
            const double t = tangent(h_m, eye_m, way_m, LIGHT_M);
            flat = lw_most(flat, (h_m - eye_m) / way_m);
            curved = lw_most(curved, tangent(h_m, eye_m, way_m, EARTH_M));
            if (t > seen) {
                seen = t;
                out->way_m = way_m;
            }
        }
        if ((sight->highest_m - eye_m) / way_m <= lw_least(seen, curved))
            break; /* from here on even the highest ground stands lower */
        way_m += lw_most(sight->step_m, lw_least(sight->step_share * way_m, sight->step_most_m));
    }
    out->flat_deg = DEG * atan(flat);
    out->curved_deg = DEG * atan(curved);
    out->seen_deg = DEG * atan(seen);
}

typedef struct ray {
    const lw_terrain *terrain;
    lw_walk walk;
} ray;

static double ray_m(const void *with, double way_m)
{
    const ray *r = with;
    return lw_terrain_m(r->terrain, lw_walk_at(&r->walk, way_m));
}

static lw_sight sight_of(const lw_terrain *terrain, double ground_m, double eye_m, double reach_m)
{
    double highest_m = -INFINITY;
    for (int i = 0; i < terrain->count; i++)
        highest_m = isnan(terrain->tile[i].highest_m) ? highest_m : lw_most(highest_m, terrain->tile[i].highest_m);
    const double cell_m = lw_terrain_cell_m(terrain);
    return (lw_sight){.height_m = ray_m,
                      .ground_m = ground_m,
                      .eye_m = eye_m,
                      .first_m = cell_m / 4.0,
                      .reach_m = reach_m,
                      .step_m = cell_m / 20.0,
                      .step_share = 0.002, /* half of it on a slope of 45 deg is 0.06 deg */
                      .step_most_m = cell_m / 3.0,
                      .highest_m = highest_m};
}

lw_seen lw_terrain_look(const lw_terrain *terrain, lw_spot at, double eye_m, double azimuth_deg, double reach_m)
{
    lw_seen seen;
    const ray r = {terrain, lw_walk_of(at, azimuth_deg)};
    lw_sight sight = sight_of(terrain, lw_terrain_m(terrain, at), eye_m, reach_m);
    sight.with = &r;
    lw_sight_look(&sight, &seen);
    return seen;
}

lw_seen lw_terrain_look_in_steps(const lw_terrain *terrain, lw_spot at, double eye_m, double azimuth_deg,
                                 double reach_m, double step_m)
{
    lw_seen seen;
    const ray r = {terrain, lw_walk_of(at, azimuth_deg)};
    lw_sight sight = sight_of(terrain, lw_terrain_m(terrain, at), eye_m, reach_m);
    sight.with = &r;
    sight.first_m = sight.step_m = step_m;
    sight.step_share = 0.0;
    lw_sight_look(&sight, &seen);
    return seen;
}

/* Probed at 64 rings of 36 directions, evenly by area: where neighbour tiles are not there. */
static double known_frac(const lw_terrain *terrain, lw_spot at, double reach_m)
{
    enum { RINGS = 64, DIRECTIONS = 36 };
    int known = 0;
    for (int d = 0; d < DIRECTIONS; d++) {
        const lw_walk walk = lw_walk_of(at, d * 360.0 / DIRECTIONS);
        for (int k = 0; k < RINGS; k++)
            known += !isnan(lw_terrain_m(terrain, lw_walk_at(&walk, reach_m * sqrt((k + 0.5) / RINGS))));
    }
    return (double)known / (RINGS * DIRECTIONS);
}

int lw_terrain_skyline(const lw_terrain *terrain, lw_spot at, double eye_m, double reach_m, lw_skyline *out)
{
    *out = (lw_skyline){.ground_m = lw_terrain_m(terrain, at)};
    if (isnan(out->ground_m))
        return 0;
    lw_sight sight = sight_of(terrain, out->ground_m, eye_m, reach_m);
    for (int i = 0; i < LW_SKYLINE_POINTS; i++) {
        lw_seen seen;
        const ray r = {terrain, lw_walk_of(at, i * 360.0 / LW_SKYLINE_POINTS)};
        sight.with = &r;
        lw_sight_look(&sight, &seen);
        out->seen_deg[i] = seen.seen_deg;
    }
    out->known_frac = known_frac(terrain, at, reach_m);
    return 1;
}
