#include "core/sky/horizon.h"

#include <math.h>

static const double RAD = 0.017453292519943295; /* pi / 180 */
static const double SUN_RADIUS_DEG = 0.26667;   /* NREL/TP-560-34302 */
static const double FULL_TURN_DEG = 360.0;

lw_code lw_horizon_check(const lw_horizon *horizon, lw_fault *fault)
{
    for (int i = 0; i < LW_HORIZON_POINTS; i++) {
        const lw_code bad = lw_want_range(fault, "elevation_deg", horizon->elevation_deg[i], 0.0, 90.0);
        if (bad)
            return bad;
    }
    return lw_want_range(fault, "shade_frac", horizon->shade_frac, 0.0, 1.0);
}

double lw_horizon_at_deg(const lw_horizon *horizon, double azimuth_deg)
{
    const double turned = azimuth_deg - FULL_TURN_DEG * floor(azimuth_deg / FULL_TURN_DEG);
    const double at = turned / LW_HORIZON_STEP_DEG;
    const int from = (int)at % LW_HORIZON_POINTS, to = (from + 1) % LW_HORIZON_POINTS;
    const double s = at - floor(at);
    return (1.0 - s) * horizon->elevation_deg[from] + s * horizon->elevation_deg[to];
}

double lw_horizon_sun_frac(const lw_horizon *horizon, double azimuth_deg, double apparent_elevation_deg)
{
    /* A ramp over the disc's height instead of its area: within 0.06 of it, and never a jump. */
    const double clear_deg = apparent_elevation_deg - lw_horizon_at_deg(horizon, azimuth_deg);
    const double disc = 0.5 + 0.5 * clear_deg / SUN_RADIUS_DEG;
    return fmax(0.0, fmin(1.0, disc)) * (1.0 - horizon->shade_frac);
}

double lw_horizon_sky_frac(const lw_horizon *horizon)
{
    /* Simpson's rule on each straight stretch: exact enough for cos^2 over any slope the profile can hold. */
    double total = 0.0;
    double from = horizon->elevation_deg[LW_HORIZON_POINTS - 1], a = cos(from * RAD);
    for (int i = 0; i < LW_HORIZON_POINTS; i++) {
        const double to = horizon->elevation_deg[i], m = cos(0.5 * (from + to) * RAD), b = cos(to * RAD);
        total += (a * a + 4.0 * m * m + b * b) / 6.0;
        from = to, a = b;
    }
    return total / LW_HORIZON_POINTS;
}
