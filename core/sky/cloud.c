#include "core/sky/cloud.h"

#include <math.h>

static const double LOST_FRAC = 0.75, EXPONENT = 3.4; /* Kasten and Czeplak 1980 */

lw_code lw_cloud_check(double cover_frac, lw_fault *fault)
{
    return lw_want_range(fault, "cover_frac", cover_frac, 0.0, 1.0);
}

double lw_cloud_clear_frac(double cover_frac)
{
    return 1.0 - LOST_FRAC * pow(cover_frac, EXPONENT);
}
