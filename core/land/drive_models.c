/* The rows by which drives are run by name: the fuel of a way, and a road guessed from the distance by air. */
#include <math.h>

#include "core/base/model.h"
#include "core/land/drive.h"

enum {
    MASS,
    DRAG,
    ROLL,
    DRIVE,
    ENGINE,
    FUEL,
    IDLE,
    AUX,
    POWER,
    DISTANCE,
    CLIMB,
    FALL,
    GRADE,
    SPEED,
    AIR,
    SURFACE,
    AHEAD
};

static const lw_column drive_in[] = {
    {.name = "mass_kg", .what = "of all that moves"},
    {.name = "drag_m2", .what = "drag coefficient times frontal area"},
    {.name = "roll", .what = "coefficient of rolling resistance on pavement"},
    {.name = "drive_frac", .what = "efficiency of the driveline"},
    {.name = "engine_frac", .what = "efficiency of the engine"},
    {.name = "fuel_whpl", .what = "heat in a litre of fuel, Wh"},
    {.name = "idle_lph", .what = "litres an hour at no load; empty: 0", .is_optional = 1},
    {.name = "aux_w", .what = "drawn from the engine besides; empty: 0", .is_optional = 1},
    {.name = "power_w", .what = "what the engine gives there; empty: enough", .is_optional = 1},
    {.name = "distance_m", .what = "of the way"},
    {.name = "climb_m", .what = "summed over it; empty: 0", .is_optional = 1},
    {.name = "fall_m", .what = "summed over it; empty: 0", .is_optional = 1},
    {.name = "grade_frac", .what = "of its slopes; empty: 0.05", .is_optional = 1},
    {.name = "speed_ms", .what = "wished"},
    {.name = "air_kgm3", .what = "density of the air; empty: 1.225", .is_optional = 1},
    {.name = "roll_factor", .what = "of the surface, gravel 2, sand 8; empty: 1", .is_optional = 1},
    {.name = "ahead_ms", .what = "head wind; empty: 0", .is_optional = 1},
};
static const lw_column drive_out[] = {
    {.name = "fuel_l", .what = "burnt", .decimals = 4},
    {.name = "fuel_l100km", .what = "litres for 100 km", .decimals = 3},
    {.name = "time_s", .what = "taken", .decimals = 1},
    {.name = "uphill_ms", .what = "speed held on the climbs; empty: it does not climb them", .decimals = 3},
    {.name = "air_j", .what = "work against the air", .decimals = 1},
    {.name = "roll_j", .what = "work of rolling", .decimals = 1},
    {.name = "climb_j", .what = "work of climbing less that of falling", .decimals = 1},
    {.name = "brake_j", .what = "what brakes and engine took", .decimals = 1},
};

static double or_usual(double value, double usual)
{
    return isnan(value) ? usual : value;
}

static lw_code apply_drive(const double *in, double *out, lw_fault *fault)
{
    const lw_drive_rig rig = {in[MASS],
                              in[DRAG],
                              in[ROLL],
                              in[DRIVE],
                              in[ENGINE],
                              in[FUEL],
                              or_usual(in[IDLE], 0.0),
                              or_usual(in[AUX], 0.0),
                              or_usual(in[POWER], INFINITY)};
    const lw_drive_way way = {.distance_m = in[DISTANCE],
                              .climb_m = or_usual(in[CLIMB], 0.0),
                              .fall_m = or_usual(in[FALL], 0.0),
                              .grade_frac = or_usual(in[GRADE], 0.05),
                              .speed_ms = in[SPEED],
                              .air_kgm3 = or_usual(in[AIR], 1.225),
                              .roll_factor = or_usual(in[SURFACE], 1.0),
                              .ahead_ms = or_usual(in[AHEAD], 0.0)};
    lw_code bad = lw_drive_rig_check(&rig, fault);
    bad = bad ? bad : lw_drive_way_check(&way, fault);
    if (bad)
        return bad;
    const lw_drive d = lw_drive_of(&rig, &way);
    out[0] = d.fuel_l;
    out[1] = way.distance_m > 0.0 ? d.fuel_l / (way.distance_m / 1e5) : (double)NAN;
    out[2] = d.time_s;
    out[3] = d.is_held ? d.uphill_ms : (double)NAN;
    out[4] = d.air_j;
    out[5] = d.roll_j;
    out[6] = d.climb_j;
    out[7] = d.brake_j;
    return LW_OK;
}

const lw_model lw_model_drive = {
    .name = "drive",
    .what = "Fuel and time of a way with its climb and fall",
    .source = "road load of vehicle dynamics (air, rolling, grade) through driveline and engine",
    .in = LW_COLUMNS(drive_in),
    .out = LW_COLUMNS(drive_out),
    .apply = apply_drive,
};

static const lw_column road_guess_in[] = {{.name = "air_m", .what = "distance by air"}};
static const lw_column road_guess_out[] = {
    {.name = "distance_m", .what = "by road, as usual", .decimals = 1},
    {.name = "low_m", .what = "one road in ten is shorter", .decimals = 1},
    {.name = "high_m", .what = "one in ten is longer", .decimals = 1},
    {.name = "time_s", .what = "as usual", .decimals = 1},
    {.name = "low_s", .what = "the quick end", .decimals = 1},
    {.name = "high_s", .what = "the slow end", .decimals = 1},
};

static lw_code apply_road_guess(const double *in, double *out, lw_fault *fault)
{
    const lw_code bad = lw_drive_guess_check(in[0], fault);
    if (bad)
        return bad;
    const lw_drive_guessed g = lw_drive_guess(in[0]);
    const double made[] = {g.distance_m.middle, g.distance_m.low, g.distance_m.high,
                           g.time_s.middle,     g.time_s.low,     g.time_s.high};
    for (int i = 0; i < 6; i++)
        out[i] = made[i];
    return LW_OK;
}

const lw_model lw_model_road_guess = {
    .name = "road-guess",
    .what = "Road and time between two points of which only the distance by air is known",
    .source = "Ballou and others 2002; Boscoe and others 2012 (both from memory); pace by common practice",
    .in = LW_COLUMNS(road_guess_in),
    .out = LW_COLUMNS(road_guess_out),
    .apply = apply_road_guess,
};
