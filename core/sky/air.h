/* core/sky/air.h: still air by elevation, water's boiling point, dew point.
 *
 * Computes  lw_air_standard: temperature, pressure, density of the standard atmosphere, and its density against sea
 *           level; lw_air_saturation_pa and lw_air_boiling_c: steam pressure of water and its inverse;
 *           lw_air_dew_point_c and lw_air_humidity_frac: relative humidity to dew point and back.
 * Inputs    elevation_m -500..11000 (geopotential; a map's metres differ by < 0.2 %); pressure_pa 611.213..22.064e6;
 *           water_c 0..373.946; air_c and dew_c -45..60; humidity_frac above 0 to 1.
 * Results   SI; nothing is kept between calls.
 * Errors    LW_E_RANGE from the checks; the computing functions cannot fail on checked input.
 * Source    ICAO Doc 7488/3 (1993) = U.S. Standard Atmosphere 1976 = ISO 2533, lowest layer;
 *           IAPWS-IF97 (2007 release), region 4, equations 30 and 31; WMO-No. 8, Magnus formula over water with 17.62
 *           and 243.12 C (-45..60 C).
 * Limits    no weather: a deep low moves the pressure by some 5 % (from memory). */
#ifndef LW_CORE_SKY_AIR_H
#define LW_CORE_SKY_AIR_H

#include "core/base/err.h"

#define LW_AIR_SEA_LEVEL_PA 101325.0

typedef struct lw_air_out {
    double temperature_c, pressure_pa, density_kgm3;
    double density_frac; /* of 1.225 kg/m3 */
} lw_air_out;

LW_MUST_USE lw_code lw_air_check(double elevation_m, lw_fault *fault);
lw_air_out lw_air_standard(double elevation_m);

LW_MUST_USE lw_code lw_air_boiling_check(double pressure_pa, lw_fault *fault);
double lw_air_boiling_c(double pressure_pa);
LW_MUST_USE lw_code lw_air_saturation_check(double water_c, lw_fault *fault);
double lw_air_saturation_pa(double water_c);

LW_MUST_USE lw_code lw_air_dew_point_check(double air_c, double humidity_frac, lw_fault *fault);
double lw_air_dew_point_c(double air_c, double humidity_frac);
double lw_air_humidity_frac(double air_c, double dew_c);

#endif
