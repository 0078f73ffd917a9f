#include "core/sky/light_table.h"

double lw_light_knot_frac(int knot)
{
    return knot / LW_LIGHT_KNOTS_PER_ONE;
}

void lw_light_hours(const float *at, int hours, const double *clear_frac, double *out)
{
    for (int h = 0; h < hours; h++)
        out[h] = lw_light_at(at, hours, h, lw_light_spot_of(clear_frac[h]));
}
