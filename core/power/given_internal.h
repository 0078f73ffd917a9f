/* core/power/given_internal.h: a number that may be left out. */
#ifndef LW_CORE_POWER_GIVEN_INTERNAL_H
#define LW_CORE_POWER_GIVEN_INTERNAL_H

#include <math.h>

/* NaN means "not given". */
static inline double lw_given_or(double given, double otherwise)
{
    return isnan(given) ? otherwise : given;
}

#endif
