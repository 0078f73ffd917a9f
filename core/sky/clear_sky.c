#include "core/sky/clear_sky.h"

#include <math.h>

#include "core/sky/air.h"

static const double RAD = 0.017453292519943295, TURN = 6.283185307179586; /* pi / 180, 2 pi */

double lw_clear_extra_dni_wm2(double day_of_year)
{
    const double b = TURN * (day_of_year - 1.0) / 365.0;
    return LW_SOLAR_CONSTANT_WM2 *
           (1.00011 + 0.034221 * cos(b) + 0.00128 * sin(b) + 0.000719 * cos(2.0 * b) + 0.000077 * sin(2.0 * b));
}

double lw_clear_extra_dni_at_wm2(double radius_au)
{
    return LW_SOLAR_CONSTANT_WM2 / (radius_au * radius_au);
}

double lw_clear_air_mass(double apparent_zenith_deg)
{
    if (!(apparent_zenith_deg <= 90.0))
        return NAN;
    return 1.0 / (cos(apparent_zenith_deg * RAD) + 0.50572 * pow(96.07995 - apparent_zenith_deg, -1.6364));
}

double lw_clear_air_mass_absolute(double air_mass, double pressure_pa)
{
    return air_mass * pressure_pa / LW_AIR_SEA_LEVEL_PA;
}

double lw_clear_haurwitz_wm2(double apparent_zenith_deg)
{
    const double cos_zenith = cos(apparent_zenith_deg * RAD);
    return cos_zenith > 0.0 ? 1098.0 * cos_zenith * exp(-0.059 / cos_zenith) : 0.0;
}

lw_code lw_clear_check(const lw_clear_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"apparent_zenith_deg", in->apparent_zenith_deg, 0.0, 180.0},
        {"pressure_pa", in->pressure_pa, 20000.0, 120000.0},
        {"elevation_m", in->elevation_m, -500.0, 9000.0},
        {"linke_turbidity", in->linke_turbidity, 1.0, 15.0},
        {"extra_dni_wm2", in->extra_dni_wm2, 1000.0, 1700.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

void lw_clear(const lw_clear_in *in, lw_clear_out *out)
{
    if (!(in->apparent_zenith_deg <= 90.0)) {
        *out = (lw_clear_out){0};
        return;
    }
    const double cos_zenith = cos(in->apparent_zenith_deg * RAD); /* above 0: 90 deg falls short of pi / 2 in binary */
    const double air_mass = lw_clear_air_mass_absolute(lw_clear_air_mass(in->apparent_zenith_deg), in->pressure_pa);
    const double haze = in->linke_turbidity - 1.0;
    const double fh1 = exp(-in->elevation_m / 8000.0), fh2 = exp(-in->elevation_m / 1250.0);
    const double cg1 = 5.09e-5 * in->elevation_m + 0.868, cg2 = 3.92e-5 * in->elevation_m + 0.0387;
    const double ghi_wm2 = cg1 * in->extra_dni_wm2 * cos_zenith * exp(-cg2 * air_mass * (fh1 + fh2 * haze));

    /* The beam, and the largest that the global leaves: the first holds under clean air, the second under haze. */
    const double beam_wm2 = in->extra_dni_wm2 * (0.664 + 0.163 / fh1) * exp(-0.09 * air_mass * haze);
    const double diffuse_share = (0.1 - 0.2 * exp(-in->linke_turbidity)) / (0.1 + 0.882 / fh1);
    const double limit_wm2 = ghi_wm2 * fmax(0.0, (1.0 - diffuse_share) / cos_zenith);
    out->ghi_wm2 = ghi_wm2;
    out->dni_wm2 = fmin(beam_wm2, limit_wm2);
    out->dhi_wm2 = ghi_wm2 - out->dni_wm2 * cos_zenith;
}
