#include "core/land/distance.h"

#include <math.h>

static const double EARTH_M = 6371008.8;
static const double RAD_PER_DEG = 3.14159265358979323846 / 180.0;

lw_code lw_spot_check(const lw_spot *spot, lw_fault *fault)
{
    const lw_code bad = lw_want_range(fault, "latitude_deg", spot->latitude_deg, -90.0, 90.0);
    return bad ? bad : lw_want_range(fault, "longitude_deg", spot->longitude_deg, -360.0, 360.0);
}

double lw_distance_m(lw_spot from, lw_spot to)
{
    const double lat1 = from.latitude_deg * RAD_PER_DEG, lat2 = to.latitude_deg * RAD_PER_DEG;
    const double half_lat = sin((lat2 - lat1) / 2.0);
    const double half_lon = sin((to.longitude_deg - from.longitude_deg) * RAD_PER_DEG / 2.0);
    const double h = half_lat * half_lat + cos(lat1) * cos(lat2) * half_lon * half_lon;
    return 2.0 * EARTH_M * asin(sqrt(h < 1.0 ? h : 1.0)); /* rounding may pass 1 at the antipodes */
}
