#include "core/sky/snowfall.h"

#include <math.h>

lw_code lw_snowfall_check(const lw_snowfall_in *in, lw_fault *fault)
{
    const lw_want wants[] = {{"air_c", in->air_c, -60.0, 60.0},
                             {"humidity_frac", in->humidity_frac, 0.0, 1.0},
                             {"pressure_pa", in->pressure_pa, 40000.0, 110000.0}};
    return lw_want_all(fault, LW_WANTS(wants));
}

double lw_snow_frac(const lw_snowfall_in *in)
{
    return 1.0 / (1.0 + exp(-12.80 + 1.41 * in->air_c + 9.0 * in->humidity_frac + 0.03e-3 * in->pressure_pa));
}
