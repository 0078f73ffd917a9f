#include "core/land/drive.h"

#include <math.h>

#include "core/base/num.h"

static const double G_MS2 = 9.80665;
static const double WALK_MS = 1.0; /* an engine that cannot do this does not climb */

/* ---- without a road ---- */

static const double FACTOR = 1.20, FACTOR_SHORT = 0.22, SHORT_M = 30000.0; /* Ballou; Boscoe less Ballou */
static const double LOW = 1.02 / 1.20, HIGH = 1.42 / 1.20; /* Ballou's deviation 0.17, 1.28 of it each way */
static const double HIGH_SHORT = 0.5; /* short ways in hills wind more: common practice, no source */
static const double PACE_MS = 80.0 / 3.6, PACE_M = 12000.0; /* 80 km/h; half of it at 12 km */
static const double QUICK = 1.2, SLOW = 0.6;                /* of the pace: open highway, mountain road */

lw_code lw_drive_guess_check(double air_m, lw_fault *fault)
{
    return lw_want_range(fault, "air_m", air_m, 0.0, 5e6);
}

static double pace_ms(double distance_m)
{
    return PACE_MS * (distance_m + 1000.0) / (distance_m + PACE_M);
}

lw_drive_band lw_drive_pace(double distance_m)
{
    const double ms = pace_ms(distance_m);
    return (lw_drive_band){distance_m / ms, distance_m / (QUICK * ms), distance_m / (SLOW * ms)};
}

lw_drive_guessed lw_drive_guess(double air_m)
{
    const double near_frac = exp(-air_m / SHORT_M), middle_m = air_m * (FACTOR + FACTOR_SHORT * near_frac);
    const lw_drive_band way_m = {middle_m, lw_most(air_m, middle_m * LOW), middle_m * (HIGH + HIGH_SHORT * near_frac)};
    return (lw_drive_guessed){
        way_m, {lw_drive_pace(way_m.middle).middle, lw_drive_pace(way_m.low).low, lw_drive_pace(way_m.high).high}};
}

/* ---- what moves a rig ---- */

lw_code lw_drive_rig_check(const lw_drive_rig *rig, lw_fault *fault)
{
    const lw_want want[] = {
        {"mass_kg", rig->mass_kg, 100.0, 60000.0},
        {"drag_m2", rig->drag_m2, 0.1, 20.0},
        {"roll", rig->roll, 0.001, 0.3},
        {"drive_frac", rig->drive_frac, 0.1, 1.0},
        {"engine_frac", rig->engine_frac, 0.05, 1.0},
        {"fuel_whpl", rig->fuel_whpl, 1000.0, 20000.0},
        {"idle_lph", rig->idle_lph, 0.0, 20.0},
        {"aux_w", rig->aux_w, 0.0, 50000.0},
        {"power_w", rig->power_w, 1000.0, INFINITY},
    };
    return lw_want_all(fault, LW_WANTS(want));
}

lw_code lw_drive_way_check(const lw_drive_way *way, lw_fault *fault)
{
    const lw_want want[] = {
        {"distance_m", way->distance_m, 0.0, 2e7},
        {"climb_m", way->climb_m, 0.0, 1e5},
        {"fall_m", way->fall_m, 0.0, 1e5},
        {"grade_frac", way->grade_frac, 0.001, 0.5},
        {"speed_ms", way->speed_ms, WALK_MS, 50.0},
        {"air_kgm3", way->air_kgm3, 0.3, 1.6},
        {"roll_factor", way->roll_factor, 0.1, 30.0},
        {"ahead_ms", way->ahead_ms, -40.0, 40.0},
    };
    return lw_want_all(fault, LW_WANTS(want));
}

typedef struct force {
    double air_n, roll_n, climb_n;
} force;

static force force_at(const lw_drive_rig *rig, const lw_drive_way *way, double grade_frac, double speed_ms)
{
    const double along_ms = speed_ms + way->ahead_ms, cosine = 1.0 / sqrt(1.0 + grade_frac * grade_frac);
    return (force){0.5 * way->air_kgm3 * rig->drag_m2 * along_ms * fabs(along_ms),
                   rig->roll * way->roll_factor * rig->mass_kg * G_MS2 * cosine,
                   rig->mass_kg * G_MS2 * grade_frac * cosine};
}

static double wheels_n(force f)
{
    return f.air_n + f.roll_n + f.climb_n;
}

static double engine_w(const lw_drive_rig *rig, force f, double speed_ms)
{
    return wheels_n(f) * speed_ms / rig->drive_frac + rig->aux_w;
}

/* The wished speed, or what the engine holds; 0: not even a walk. Power grows with speed, so halving finds it. */
static double speed_held(const lw_drive_rig *rig, const lw_drive_way *way, double grade_frac)
{
    enum { HALVINGS = 40 };
    double low_ms = WALK_MS, high_ms = way->speed_ms;
    if (engine_w(rig, force_at(rig, way, grade_frac, high_ms), high_ms) <= rig->power_w)
        return high_ms;
    if (engine_w(rig, force_at(rig, way, grade_frac, low_ms), low_ms) > rig->power_w)
        return 0.0;
    for (int i = 0; i < HALVINGS; i++) {
        const double ms = 0.5 * (low_ms + high_ms);
        if (engine_w(rig, force_at(rig, way, grade_frac, ms), ms) <= rig->power_w)
            low_ms = ms;
        else
            high_ms = ms;
    }
    return low_ms;
}

static double add_stretch(const lw_drive_rig *rig, const lw_drive_way *way, double length_m, double grade_frac,
                          lw_drive *to)
{
    const double held_ms = speed_held(rig, way, grade_frac), ms = lw_most(held_ms, WALK_MS);
    const force f = force_at(rig, way, grade_frac, ms);
    const double time_s = length_m / ms, idle_l = rig->idle_lph * time_s / 3600.0;
    const double burnt_l = lw_most(engine_w(rig, f, ms), 0.0) * time_s / 3600.0 / (rig->engine_frac * rig->fuel_whpl);
    if (!(length_m > 0.0))
        return ms;
    to->is_held &= held_ms > 0.0;
    to->fuel_l += lw_most(burnt_l, idle_l);
    to->time_s += time_s;
    to->air_j += f.air_n * length_m;
    to->roll_j += f.roll_n * length_m;
    to->climb_j += f.climb_n * length_m;
    to->brake_j += lw_most(-wheels_n(f), 0.0) * length_m;
    return ms;
}

lw_drive lw_drive_of(const lw_drive_rig *rig, const lw_drive_way *way)
{
    lw_drive drive = {.is_held = 1, .grade_frac = way->grade_frac};
    const double slopes_m = way->climb_m + way->fall_m;
    if (slopes_m > way->grade_frac * way->distance_m)
        drive.grade_frac = way->distance_m > 0.0 ? lw_least(slopes_m / way->distance_m, 0.5) : way->grade_frac;
    const double up_m = lw_least(way->climb_m / drive.grade_frac, way->distance_m),
                 down_m = lw_least(way->fall_m / drive.grade_frac, way->distance_m - up_m);
    (void)add_stretch(rig, way, way->distance_m - up_m - down_m, 0.0, &drive);
    (void)add_stretch(rig, way, down_m, -drive.grade_frac, &drive);
    drive.uphill_ms = add_stretch(rig, way, up_m, drive.grade_frac, &drive);
    return drive;
}
