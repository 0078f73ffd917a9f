/* core/sky/snowfall.h: how much of what falls is snow.
 *
 * Computes  chance that precipitation is snow rather than rain, taken as its share: 1 / (1 + exp(-12.80 + 1.41 T + 9 RH +
 *           0.03 p)), T in C, RH as a share, p in kPa.
 * Inputs    air_c -60..60, of the air at 2 m while it falls; humidity_frac 0..1; pressure_pa 40,000..110,000, by which
 *           the elevation comes in.
 * Results   snow_frac 0..1.
 * Errors    LW_E_RANGE from lw_snowfall_check; behind it nothing fails.
 * Source    K. S. Jennings, T. S. Winchell, B. Livneh, N. P. Molotch, Spatial variation of the rain-snow temperature
 *           threshold across the Northern Hemisphere, Nature Communications 9:1148 (2018), the regression on three variables
 *           (their supplementary table 2), from 17.8 million observations.
 * Limits    fitted to observers' words "rain" and "snow"; mixed kinds were left out. The half-and-half temperature it gives is
 *           0.5 C in saturated air at sea level and 2.4 C at 2500 m and 80 %; 95 % of stations lie between -0.4 and 2.4 C. */
#ifndef LW_CORE_SKY_SNOWFALL_H
#define LW_CORE_SKY_SNOWFALL_H

#include "core/base/err.h"

typedef struct lw_snowfall_in {
    double air_c, humidity_frac, pressure_pa;
} lw_snowfall_in;

LW_MUST_USE lw_code lw_snowfall_check(const lw_snowfall_in *in, lw_fault *fault);
double lw_snow_frac(const lw_snowfall_in *in);

#endif
