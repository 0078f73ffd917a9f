/* core/sky/spa.h: where the sun stands, by the solar position algorithm of NREL. The slow and exact one.
 *
 * Computes  lw_spa_sun_at: what depends on the instant only (the Earth's place, nutation, apparent right ascension
 *           and declination, sidereal time, equation of time); lw_spa_seen_from: the sun in the sky of one place,
 *           parallax and refraction included; lw_spa: both.
 * Inputs    t_s UTC seconds since 1970-01-01 (UT1 taken as UTC: at most 0.9 s, 0.004 deg); delta_t_s TT - UT1,
 *           LW_SPA_DELTA_T_S by default; latitude, longitude (east positive), elevation, pressure, air temperature.
 * Results   angles in degrees, azimuth clockwise from north, right ascension, longitudes and hour angles 0..360,
 *           distance in astronomical units, equation of time (apparent less mean solar time) in minutes.
 * Errors    LW_E_RANGE from the checks; the computing functions cannot fail on checked input.
 * Source    I. Reda, A. Andreas, NREL/TP-560-34302 (2003, revised 2008): years -2000..6000, 0.0003 deg as published.
 * Limits    tested on the years 2003 and 2020-2040: the terms that grow with centuries are only as printed there.
 *           Refraction is a mean one (Bennett's formula, scaled by pressure and temperature) and is cut off where the
 *           sun's upper limb is below the horizon by more than 0.5667 deg, a jump of half a degree. About 3 us a call:
 *           the hour loop uses core/sky/sun_table.h. */
#ifndef LW_CORE_SKY_SPA_H
#define LW_CORE_SKY_SPA_H

#include "core/base/err.h"

#define LW_SPA_DELTA_T_S      69.2   /* TT - UT1 near 2020-2026; a minute of error moves the sun by 0.0007 deg */
#define LW_SPA_REFRACT_DEG    0.5667 /* refraction at sunrise and sunset */
#define LW_SPA_SUN_RADIUS_DEG 0.26667
#define LW_SPA_SUNSET_DEG     (-0.8333) /* true elevation of the sun's centre at sunrise and sunset */

typedef struct lw_spa_sun {
    double helio_longitude_deg, helio_latitude_deg, radius_au;
    double nutation_longitude_deg, nutation_obliquity_deg, obliquity_deg;
    double apparent_longitude_deg, right_ascension_deg, declination_deg;
    double sidereal_deg; /* apparent, at Greenwich */
    double equation_of_time_min;
} lw_spa_sun;

typedef struct lw_spa_place {
    double latitude_deg, longitude_deg, elevation_m, pressure_pa, temperature_c;
} lw_spa_place;

typedef struct lw_spa_in {
    double t_s, delta_t_s;
    lw_spa_place place;
} lw_spa_in;

typedef struct lw_spa_out {
    double hour_angle_deg; /* geocentric, as the observer sees it: 0 at transit */
    double topo_right_ascension_deg, topo_declination_deg, topo_hour_angle_deg;
    double zenith_deg, apparent_zenith_deg, azimuth_deg;
} lw_spa_out;

LW_MUST_USE lw_code lw_spa_check(const lw_spa_in *in, lw_fault *fault);
LW_MUST_USE lw_code lw_spa_place_check(const lw_spa_place *place, lw_fault *fault);

void lw_spa_sun_at(double t_s, double delta_t_s, lw_spa_sun *out);
void lw_spa_seen_from(const lw_spa_sun *sun, const lw_spa_place *place, lw_spa_out *out);
void lw_spa(const lw_spa_in *in, lw_spa_sun *sun, lw_spa_out *out);

/* Degrees that the air lifts a body of this true elevation; 0 below the cut-off. */
double lw_spa_refraction_deg(double elevation_deg, double pressure_pa, double temperature_c);

#endif
