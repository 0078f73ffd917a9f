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

enum { LW_LIGHT_KNOTS = 27 };

double lw_light_knot_frac(int knot);
void lw_light_hours(const float *at, int hours, const double *clear_frac, double *out);

#endif
