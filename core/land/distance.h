/* core/land/distance.h: the shortest way over the ground of a ball.
 *
 * Computes  great-circle distance by the haversine form, which keeps its digits for near points.
 * Inputs    latitudes -90..90, longitudes -360..360, degrees, east positive.
 * Results   metres, 0..20,015,115.
 * Errors    LW_E_RANGE from lw_distance_check.
 * Source    haversine formula; mean radius (2a + b)/3 = 6,371,008.8 m of the WGS 84 ellipsoid (IUGG mean radius R1).
 * Limits    up to 0.6 % from the ellipsoid's distance. */
#ifndef LW_CORE_LAND_DISTANCE_H
#define LW_CORE_LAND_DISTANCE_H

#include "core/base/err.h"

typedef struct lw_spot {
    double latitude_deg, longitude_deg;
} lw_spot;

LW_MUST_USE lw_code lw_spot_check(const lw_spot *spot, lw_fault *fault);
double lw_distance_m(lw_spot from, lw_spot to);

#endif
