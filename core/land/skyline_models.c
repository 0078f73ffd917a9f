/* The rows by which terrain is run by name: the height of a point, and the skyline over a made-up shape, a grid or tiles. */
#include <math.h>

#include "core/base/model.h"
#include "core/base/num.h"
#include "core/land/flat_grid.h"
#include "core/land/skyline.h"

static const double RAD = 0.017453292519943295; /* pi / 180 */

enum { AZIMUTH, EYE, REACH, TYPE, DISTANCE, HEIGHT, WIDTH, BASE_RADIUS, SLOPE, TOWARD, GRID, LAT, LON, STEP };
enum { FLAT, RING, WALL, PLANE, CONE, VALLEY };

static const lw_column horizon_in[] = {
    {.name = "azimuth_deg", .what = "direction looked at, from north clockwise"},
    {.name = "eye_m", .what = "eye or panel above the ground; empty: 2", .is_optional = 1},
    {.name = "rmax_m", .what = "how far the ground is looked at; empty: 20000", .is_optional = 1},
    {.name = "type",
     .what = "a made-up shape with the observer at its origin",
     .kind = LW_COLUMN_CHOICE,
     .choices = "flat|ring|wall|plane|cone|vvalley",
     .is_optional = 1},
    {.name = "distance_m", .what = "ring, wall, cone: how far off", .is_optional = 1},
    {.name = "height_m", .what = "ring, wall, cone: how high", .is_optional = 1},
    {.name = "width_m", .what = "ring, wall: from its near edge to its far one", .is_optional = 1},
    {.name = "base_radius_m", .what = "cone: where its foot ends", .is_optional = 1},
    {.name = "slope_deg", .what = "plane, vvalley: how steep", .is_optional = 1},
    {.name = "azimuth0_deg", .what = "plane: the way it rises; cone: where it stands", .is_optional = 1},
    {.name = "grid", .what = "heights in metres around the observer at 0, 0", .kind = LW_COLUMN_GRID, .is_optional = 1},
    {.name = "lat", .what = "latitude of the observer on terrain tiles beside the table", .is_optional = 1},
    {.name = "lon", .what = "longitude", .is_optional = 1},
    {.name = "step_m",
     .what = "of the walk over terrain tiles; empty: 30, a third of a tile's cell of 90 m; the skyline of a place is "
             "walked finer",
     .is_optional = 1},
};
static const lw_column horizon_out[] = {
    {.name = "elev_flat_deg", .what = "the land's height there on a flat earth", .decimals = 5},
    {.name = "elev_curved_deg", .what = "with the earth's curvature", .decimals = 5},
    {.name = "elev_refracted_deg", .what = "and with the bending of light", .decimals = 5},
    {.name = "dist_m", .what = "how far off what is seen is; 0: nothing stands above the level", .decimals = 1},
};

typedef struct shape {
    const double *in;
    const lw_flat_grid *grid;
    double east, north; /* of the direction looked at, a unit vector */
} shape;

static double shape_m(const void *with, double way_m)
{
    const shape *s = with;
    const double *in = s->in, x_m = way_m * s->east, y_m = way_m * s->north;
    if (s->grid)
        return lw_flat_grid_m(s->grid, x_m, y_m);
    const double half_m = 0.5 * in[WIDTH], toward = in[TOWARD] * RAD;
    switch ((int)in[TYPE]) {
    case RING:
        return fabs(way_m - in[DISTANCE]) <= half_m ? in[HEIGHT] : 0.0;
    case WALL:
        return fabs(y_m - in[DISTANCE]) <= half_m ? in[HEIGHT] : 0.0;
    case PLANE:
        return tan(in[SLOPE] * RAD) * (x_m * sin(toward) + y_m * cos(toward));
    case CONE: {
        const double dx_m = x_m - in[DISTANCE] * sin(toward), dy_m = y_m - in[DISTANCE] * cos(toward);
        return lw_most(0.0, in[HEIGHT] * (1.0 - sqrt(dx_m * dx_m + dy_m * dy_m) / in[BASE_RADIUS]));
    }
    case VALLEY:
        return fabs(x_m) * tan(in[SLOPE] * RAD);
    default:
        return 0.0;
    }
}

/* What each shape needs; the others are not looked at. */
static lw_code check_shape(const double *in, lw_fault *fault)
{
    static const struct {
        const char *field;
        int at;
        unsigned types;
        double low, high;
    } NEED[] = {
        {"distance_m", DISTANCE, 1U << RING | 1U << WALL | 1U << CONE, 1.0, 300000.0},
        {"height_m", HEIGHT, 1U << RING | 1U << WALL | 1U << CONE, 0.0, 9000.0},
        {"width_m", WIDTH, 1U << RING | 1U << WALL, 0.1, 100000.0},
        {"base_radius_m", BASE_RADIUS, 1U << CONE, 1.0, 100000.0},
        {"slope_deg", SLOPE, 1U << PLANE | 1U << VALLEY, 0.0, 85.0},
        {"azimuth0_deg", TOWARD, 1U << PLANE | 1U << CONE, -360.0, 360.0},
    };
    lw_code bad = lw_want_range(fault, "type", in[TYPE], FLAT, VALLEY);
    for (size_t i = 0; i < sizeof NEED / sizeof NEED[0] && !bad; i++)
        if (NEED[i].types & 1U << (int)in[TYPE])
            bad = lw_want_range(fault, NEED[i].field, in[NEED[i].at], NEED[i].low, NEED[i].high);
    return bad;
}

/* The tiles that know the point; NULL: fault is filled, unless the files have said more. */
static const lw_terrain *terrain_at(const lw_beside *beside, lw_spot spot, double reach_m, lw_fault *fault)
{
    const lw_terrain *terrain = beside->terrain(beside->files, spot.latitude_deg, spot.longitude_deg, reach_m);
    if (terrain && !isnan(lw_terrain_m(terrain, spot)))
        return terrain;
    *fault = (lw_fault){LW_E_MISSING, "lat", spot.latitude_deg, -90.0, 90.0};
    return NULL;
}

static lw_code look_at_terrain(const double *in, const lw_beside *beside, const lw_sight *sight, lw_seen *seen,
                               lw_fault *fault)
{
    const lw_spot spot = {in[LAT], in[LON]};
    const double step_m = isnan(in[STEP]) ? 30.0 : in[STEP];
    lw_code bad = lw_spot_check(&spot, fault);
    bad = bad ? bad : lw_want_range(fault, "step_m", step_m, 1.0, 10000.0);
    if (bad)
        return bad;
    const lw_terrain *terrain = terrain_at(beside, spot, sight->reach_m, fault);
    if (!terrain)
        return LW_E_MISSING;
    *seen = lw_terrain_look_in_steps(terrain, spot, sight->eye_m, in[AZIMUTH], sight->reach_m, step_m);
    return LW_OK;
}

static lw_code look_at_shape(const double *in, const lw_flat_grid *grid, lw_sight sight, lw_seen *seen, lw_fault *fault)
{
    const shape s = {in, grid, sin(in[AZIMUTH] * RAD), cos(in[AZIMUTH] * RAD)};
    const lw_code bad = grid ? LW_OK : check_shape(in, fault);
    if (bad)
        return bad;
    sight.height_m = shape_m;
    sight.with = &s;
    sight.highest_m = INFINITY;
    sight.first_m = sight.step_m = grid ? 0.5 * grid->cell_m : 1.0;
    sight.step_most_m = INFINITY;
    sight.step_share = grid ? 0.0 : 0.0005; /* a ring's near edge is then met within 0.0005 of its angle */
    sight.ground_m = shape_m(&s, 0.0);
    if (isnan(sight.ground_m)) {
        *fault = (lw_fault){LW_E_MISSING, "grid", 0.0, 0.0, 0.0};
        return LW_E_MISSING;
    }
    lw_sight_look(&sight, seen);
    return LW_OK;
}

static lw_code apply_horizon(const double *in, const lw_beside *beside, double *out, lw_fault *fault)
{
    lw_seen seen;
    lw_sight sight = {.eye_m = isnan(in[EYE]) ? 2.0 : in[EYE], .reach_m = isnan(in[REACH]) ? 20000.0 : in[REACH]};
    lw_code bad = lw_want_range(fault, "azimuth_deg", in[AZIMUTH], -360.0, 720.0);
    bad = bad ? bad : lw_sight_check(&sight, fault);
    if (!bad && isnan(in[TYPE]) && !beside->grid)
        bad = look_at_terrain(in, beside, &sight, &seen, fault);
    else if (!bad)
        bad = look_at_shape(in, beside->grid, sight, &seen, fault);
    if (bad)
        return bad;
    out[0] = seen.flat_deg;
    out[1] = seen.curved_deg;
    out[2] = seen.seen_deg;
    out[3] = seen.way_m;
    return LW_OK;
}

const lw_model lw_model_horizon = {
    .name = "horizon",
    .what = "How high the land stands in a direction, over a shape, a grid or terrain tiles",
    .source = "geometry of the sphere; mean optical refraction 0.13 (Gauss)",
    .in = LW_COLUMNS(horizon_in),
    .out = LW_COLUMNS(horizon_out),
    .apply_beside = apply_horizon,
};

static const lw_column elevation_in[] = {
    {.name = "lat", .what = "latitude, north positive"},
    {.name = "lon", .what = "longitude, east positive"},
    {.name = "around_m", .what = "how far the highest sample is looked for; empty: 150", .is_optional = 1},
};
static const lw_column elevation_out[] = {
    {.name = "elevation_m", .what = "of the ground by the terrain tiles beside the table", .decimals = 2},
    {.name = "highest_m",
     .what = "highest sample so far around: a summit, whose printed spot seldom is a sample",
     .decimals = 2},
};

static lw_code apply_elevation(const double *in, const lw_beside *beside, double *out, lw_fault *fault)
{
    const lw_spot spot = {in[0], in[1]};
    const double around_m = isnan(in[2]) ? 150.0 : in[2];
    lw_code bad = lw_spot_check(&spot, fault);
    bad = bad ? bad : lw_want_range(fault, "around_m", around_m, 0.0, 20000.0);
    if (bad)
        return bad;
    const lw_terrain *terrain = terrain_at(beside, spot, around_m, fault);
    if (!terrain)
        return LW_E_MISSING;
    out[0] = lw_terrain_m(terrain, spot);
    out[1] = lw_terrain_highest_m(terrain, spot, around_m);
    return LW_OK;
}

const lw_model lw_model_elevation = {
    .name = "elevation",
    .what = "Height of the ground at a point, from terrain tiles (HGT) beside the table or in terrain/ there",
    .source = "bilinear interpolation of the tile's samples",
    .in = LW_COLUMNS(elevation_in),
    .out = LW_COLUMNS(elevation_out),
    .apply_beside = apply_elevation,
};
