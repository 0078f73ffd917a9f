#include "core/house/disinfect.h"

static const double MG_PER_ML_PCT = 10.0; /* 1 % by mass per volume = 10 mg in a millilitre */
static const double DROP_ML = 0.05, TEASPOON_ML = 4.929;

lw_code lw_dose_check(const lw_dose_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "water_l", in->water_l, 0.01, 100000.0);
    if (!bad)
        bad = lw_want_range(fault, "want_mgpl", in->want_mgpl, 0.0, 1000.0);
    return bad ? bad : lw_want_range(fault, "bleach_pct", in->bleach_pct, 0.5, 15.0);
}

void lw_dose(const lw_dose_in *in, lw_dose_out *out)
{
    out->ml = in->water_l * in->want_mgpl / (MG_PER_ML_PCT * in->bleach_pct);
    out->drops = out->ml / DROP_ML;
    out->teaspoons = out->ml / TEASPOON_ML;
}

double lw_dose_mgpl(double bleach_ml, double bleach_pct, double water_l)
{
    return bleach_ml * MG_PER_ML_PCT * bleach_pct / water_l;
}

double lw_drink_mgpl(int is_cloudy)
{
    return is_cloudy ? 2.0 * LW_DRINK_MGPL : LW_DRINK_MGPL;
}

double lw_boil_min(double elevation_m)
{
    return elevation_m <= LW_BOIL_LONG_FROM_M ? 1.0 : 3.0; /* an elevation not known boils long */
}
