/* core/sky/light_table.h: what an hour's light gives as a function of how clear the sky is, tabled once for all draws.
 *
 * Computes  lw_light_knot_frac: the clearness of a knot, 0 to 1.3 by 0.05; lw_light_hours: values of hours between the knots,
 *           by straight lines.
 * Inputs    at: LW_LIGHT_KNOTS rows of `hours` values, a row a knot: the light on an array, the sun's gain of a cabin,
 *           anything that hangs on the sun's place in the hour and on clearness; clear_frac 0..1.3 of each hour.
 * Results   one value an hour.
 * Errors    none; clearness outside the knots is held at the last one.
 * Source    straight lines.
 * Limits    against the split worked out at each hour (core/sky/split.h, core/sky/plane.h): within 0.8 % of the clear
 *           noon's light in the worst hour of a tilted plane, 1 % over the worst day (tests/core/test_light_table.c). */
#ifndef LW_CORE_SKY_LIGHT_TABLE_H
#define LW_CORE_SKY_LIGHT_TABLE_H

#include <stddef.h>

#include "core/base/num.h"

enum { LW_LIGHT_KNOTS = 27 };

#define LW_LIGHT_KNOTS_PER_ONE 20.0

double lw_light_knot_frac(int knot);
void lw_light_hours(const float *at, int hours, const double *clear_frac, double *out);

/* One hour of it, where several tables are read under the same clearness. */
typedef struct lw_light_spot {
    int knot;
    double share;
} lw_light_spot;

static inline lw_light_spot lw_light_spot_of(double clear_frac)
{
    const double x = lw_least(lw_most(clear_frac * LW_LIGHT_KNOTS_PER_ONE, 0.0), LW_LIGHT_KNOTS - 1.0);
    const int knot = (int)lw_least(x, LW_LIGHT_KNOTS - 2.0);
    return (lw_light_spot){.knot = knot, .share = x - knot};
}

static inline double lw_light_at(const float *at, int hours, int hour, lw_light_spot spot)
{
    const float *low = &at[(size_t)spot.knot * (size_t)hours + (size_t)hour];
    return (double)low[0] + spot.share * (double)(low[hours] - low[0]);
}

#endif
