/* core/land/drive.h: what a drive takes: the way and the time where no road is known, and fuel from what moves the rig.
 *
 * Computes  lw_drive_guess: the road between two points from the distance by air, with a band; lw_drive_of: fuel, time, speed held
 *           and the work of each resistance over a way with its climb and its fall, at a steady speed.
 * Inputs    guess: air_m 0..5e6. rig: mass_kg; drag_m2 (drag coefficient times frontal area); roll (coefficient of rolling
 *           resistance); drive_frac, engine_frac efficiencies 0..1; fuel_whpl heat in a litre; idle_lph at no load; aux_w drawn
 *           from the engine besides; power_w what the engine gives where it is, INFINITY: enough. way: distance_m, climb_m and
 *           fall_m summed over it, grade_frac of the slopes on which they lie, speed_ms wished, air_kgm3, roll_factor of the
 *           surface (1: pavement), ahead_ms of a head wind.
 * Results   guess: middle, low and high of distance and time (about one in ten lies outside on each side). drive: litres and
 *           seconds; joules at the wheels by air, by rolling, by climbing, and what the brakes took; uphill_ms the speed that the
 *           engine holds on the climbs; is_held 0: it cannot climb that grade at a walk.
 * Method    The way is three stretches: level, up and down, the slopes of one grade; where climb and fall do not find room at
 *           grade_frac they are as steep as the way makes them. Each: F = 0.5 rho CdA v|v| + Crr m g cos a + m g sin a, power at the wheels through the
 *           driveline to the engine; where the engine has less, the speed is lower. Downhill nothing is won back: the engine idles.
 * Errors    LW_E_RANGE from the checks; behind them nothing fails.
 * Source    road load: T. Gillespie, "Fundamentals of Vehicle Dynamics" (from memory). Road over air distance: 1.20 (standard
 *           deviation 0.17) between towns of the United States, R. Ballou and others, Transportation Research A 36 (2002), and 1.42
 *           over short ways, F. Boscoe and others, The Professional Geographer 64 (2012), both from memory; between them it
 *           falls with 30 km. Pace: 80 km/h on the way, which short ways reach in part: common practice, no source. g 9.80665.
 * Limits    no traffic, bends, stops or shifting: real use is 5 to 15 % more in hills (from memory). A guess of a road in
 *           mountains or canyons can be off by a factor of three. */
#ifndef LW_CORE_LAND_DRIVE_H
#define LW_CORE_LAND_DRIVE_H

#include "core/base/err.h"

typedef struct lw_drive_band {
    double middle, low, high;
} lw_drive_band;

typedef struct lw_drive_guessed {
    lw_drive_band distance_m, time_s;
} lw_drive_guessed;

LW_MUST_USE lw_code lw_drive_guess_check(double air_m, lw_fault *fault);
lw_drive_guessed lw_drive_guess(double air_m);

/* The time that a way of known length takes by the same pace. */
lw_drive_band lw_drive_pace(double distance_m);

typedef struct lw_drive_rig {
    double mass_kg, drag_m2, roll, drive_frac, engine_frac, fuel_whpl, idle_lph, aux_w, power_w;
} lw_drive_rig;

typedef struct lw_drive_way {
    double distance_m, climb_m, fall_m, grade_frac, speed_ms, air_kgm3, roll_factor, ahead_ms;
} lw_drive_way;

typedef struct lw_drive {
    int is_held;
    double fuel_l, time_s, uphill_ms;
    double grade_frac; /* of the slopes as they were taken */
    double air_j, roll_j, climb_j, brake_j;
} lw_drive;

LW_MUST_USE lw_code lw_drive_rig_check(const lw_drive_rig *rig, lw_fault *fault);
LW_MUST_USE lw_code lw_drive_way_check(const lw_drive_way *way, lw_fault *fault);
lw_drive lw_drive_of(const lw_drive_rig *rig, const lw_drive_way *way);

#endif
