#include "core/sky/glass.h"

#include <math.h>

static const double B = 0.05;
static const double INDEX = 1.526, EXTINCTION_PM = 4.0, THICKNESS_M = 0.002;

double lw_glass_ashrae_frac(double cos_aoi)
{
    if (!(cos_aoi > 0.0))
        return 0.0;
    return fmax(0.0, 1.0 - B * (1.0 / cos_aoi - 1.0));
}

double lw_glass_physical_frac(double cos_aoi)
{
    if (!(cos_aoi > 0.0))
        return 0.0;
    const double cos_inside = sqrt(1.0 - (1.0 - cos_aoi * cos_aoi) / (INDEX * INDEX)); /* Snell */
    const double across = (cos_aoi - INDEX * cos_inside) / (cos_aoi + INDEX * cos_inside);
    const double along = (cos_inside - INDEX * cos_aoi) / (cos_inside + INDEX * cos_aoi);
    const double square_on = (1.0 - INDEX) / (1.0 + INDEX);
    const double through = 1.0 - 0.5 * (across * across + along * along);
    /* Both absorptions in one exponential: the path is longer by 1 / cos_inside. */
    return through / (1.0 - square_on * square_on) * exp(EXTINCTION_PM * THICKNESS_M * (1.0 - 1.0 / cos_inside));
}
