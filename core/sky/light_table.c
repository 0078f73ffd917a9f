#include "core/sky/light_table.h"

#include <stddef.h>

#include "core/base/num.h"

static const double KNOTS_PER_ONE = 20.0;

double lw_light_knot_frac(int knot)
{
    return knot / KNOTS_PER_ONE;
}

void lw_light_hours(const float *at, int hours, const double *clear_frac, double *out)
{
    for (int h = 0; h < hours; h++) {
        const double x = lw_least(lw_most(clear_frac[h] * KNOTS_PER_ONE, 0.0), LW_LIGHT_KNOTS - 1.0);
        const int knot = (int)lw_least(x, LW_LIGHT_KNOTS - 2.0);
        const float *low = &at[(size_t)knot * (size_t)hours + (size_t)h];
        out[h] = (double)low[0] + (x - knot) * (double)(low[hours] - low[0]);
    }
}
