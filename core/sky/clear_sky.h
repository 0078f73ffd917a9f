/* core/sky/clear_sky.h: sunlight above the air and under a cloudless sky.
 *
 * Computes  extraterrestrial beam by day of year (Spencer) or by distance; relative air mass (Kasten and Young 1989)
 *           and absolute air mass; global, beam and diffuse irradiance of a clear sky (Ineichen and Perez) from Linke
 *           turbidity and elevation; global irradiance by Haurwitz, which needs the sun only.
 * Inputs    apparent (refracted) zenith angle in degrees; pressure_pa; elevation_m -500..9000; linke_turbidity 1..15
 *           (2 very clean and cold, 3 clean and warm, 4-6 humid or hazy: common practice); day_of_year 1..366.
 * Results   W/m2: beam on a plane square to it (dni), global and diffuse on a level plane (ghi, dhi). Air mass is NaN
 *           with the apparent sun below the horizon; irradiance is 0 there.
 * Errors    LW_E_RANGE from lw_clear_check; behind it nothing fails.
 * Source    J. W. Spencer, Search 2(5), 1971, with 1366.1 W/m2 (ASTM E490); F. Kasten, A. T. Young, Applied Optics 28,
 *           1989; P. Ineichen, R. Perez, Solar Energy 73, 2002, in the form of pvlib-python without the "Perez
 *           enhancement"; B. Haurwitz, J. Meteorology 2, 1945.
 * Limits    some 5-10 % by the turbidity alone; no cloud, no horizon. */
#ifndef LW_CORE_SKY_CLEAR_SKY_H
#define LW_CORE_SKY_CLEAR_SKY_H

#include "core/base/err.h"

#define LW_SOLAR_CONSTANT_WM2 1366.1

typedef struct lw_clear_in {
    double apparent_zenith_deg, pressure_pa, elevation_m, linke_turbidity, extra_dni_wm2;
} lw_clear_in;

typedef struct lw_clear_out {
    double ghi_wm2, dni_wm2, dhi_wm2;
} lw_clear_out;

LW_MUST_USE lw_code lw_clear_check(const lw_clear_in *in, lw_fault *fault);
void lw_clear(const lw_clear_in *in, lw_clear_out *out);

double lw_clear_extra_dni_wm2(double day_of_year);
double lw_clear_extra_dni_at_wm2(double radius_au);
double lw_clear_air_mass(double apparent_zenith_deg);
double lw_clear_air_mass_absolute(double air_mass, double pressure_pa);
double lw_clear_haurwitz_wm2(double apparent_zenith_deg);

#endif
