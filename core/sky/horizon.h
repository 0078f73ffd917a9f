/* core/sky/horizon.h: what stands around a camp: a horizon profile and the shade of trees.
 *
 * Computes  the horizon's elevation at an azimuth; the share of the sun's disc above it, after the trees; the share
 *           of the sky's diffuse light that the profile leaves on a level plane.
 * Inputs    elevation_deg[i] 0..90 at azimuth i degrees clockwise from north, straight lines between; shade_frac
 *           0..1: the share of beam light that trees above that horizon take, from whatever side.
 * Results   shares 0..1.
 * Errors    LW_E_RANGE from lw_horizon_check.
 * Source    geometry: even sky, view factor of a level plane = mean of cos^2 of the horizon's elevation.
 * Limits    trees are one figure for the whole sky; they take beam and circumsolar light only; the profile dims the
 *           diffuse light of a tilted plane as that of a level one. */
#ifndef LW_CORE_SKY_HORIZON_H
#define LW_CORE_SKY_HORIZON_H

#include "core/base/err.h"

#define LW_HORIZON_POINTS   360
#define LW_HORIZON_STEP_DEG (360.0 / LW_HORIZON_POINTS)

typedef struct lw_horizon {
    double elevation_deg[LW_HORIZON_POINTS];
    double shade_frac;
} lw_horizon;

LW_MUST_USE lw_code lw_horizon_check(const lw_horizon *horizon, lw_fault *fault);
double lw_horizon_at_deg(const lw_horizon *horizon, double azimuth_deg);
double lw_horizon_sun_frac(const lw_horizon *horizon, double azimuth_deg, double apparent_elevation_deg);
double lw_horizon_sky_frac(const lw_horizon *horizon);

#endif
