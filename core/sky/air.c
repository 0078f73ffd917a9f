#include "core/sky/air.h"

#include <math.h>

static const double ZERO_C_K = 273.15;
static const double T0_K = 288.15, LAPSE_KPM = 0.0065, EXPONENT = 5.255876; /* ICAO Doc 7488/3 */
static const double R_AIR_JPKGK = 287.05287, DENSITY0_KGM3 = 1.225;
static const double MAGNUS_B = 17.62, MAGNUS_C = 243.12; /* WMO-No. 8 */

/* IAPWS-IF97, table 34: n1..n10 of the saturation equation. */
static const double N[10] = {0.11670521452767e4,  -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
                             -0.32325550322333e7, 0.14915108613530e2,  -0.48232657361591e4, 0.40511340542057e6,
                             -0.23855557567849,   0.65017534844798e3};

lw_code lw_air_check(double elevation_m, lw_fault *fault)
{
    return lw_want_range(fault, "elevation_m", elevation_m, -500.0, 11000.0);
}

lw_air_out lw_air_standard(double elevation_m)
{
    const double temperature_k = T0_K - LAPSE_KPM * elevation_m;
    const double pressure_pa = LW_AIR_SEA_LEVEL_PA * pow(temperature_k / T0_K, EXPONENT);
    const double density_kgm3 = pressure_pa / (R_AIR_JPKGK * temperature_k);
    return (lw_air_out){
        .temperature_c = temperature_k - ZERO_C_K,
        .pressure_pa = pressure_pa,
        .density_kgm3 = density_kgm3,
        .density_frac = density_kgm3 / DENSITY0_KGM3,
    };
}

lw_code lw_air_boiling_check(double pressure_pa, lw_fault *fault)
{
    return lw_want_range(fault, "pressure_pa", pressure_pa, 611.213, 22.064e6);
}

double lw_air_boiling_c(double pressure_pa)
{
    const double beta = sqrt(sqrt(pressure_pa * 1e-6));
    const double e = beta * beta + N[2] * beta + N[5];
    const double f = N[0] * beta * beta + N[3] * beta + N[6];
    const double g = N[1] * beta * beta + N[4] * beta + N[7];
    const double d = 2.0 * g / (-f - sqrt(f * f - 4.0 * e * g));
    const double sum = N[9] + d;
    return 0.5 * (sum - sqrt(sum * sum - 4.0 * (N[8] + N[9] * d))) - ZERO_C_K;
}

lw_code lw_air_saturation_check(double water_c, lw_fault *fault)
{
    return lw_want_range(fault, "water_c", water_c, 0.0, 373.946);
}

double lw_air_saturation_pa(double water_c)
{
    const double t = water_c + ZERO_C_K, theta = t + N[8] / (t - N[9]);
    const double a = theta * theta + N[0] * theta + N[1];
    const double b = N[2] * theta * theta + N[3] * theta + N[4];
    const double c = N[5] * theta * theta + N[6] * theta + N[7];
    const double root = 2.0 * c / (-b + sqrt(b * b - 4.0 * a * c));
    return root * root * root * root * 1e6;
}

lw_code lw_air_dew_point_check(double air_c, double humidity_frac, lw_fault *fault)
{
    const lw_want wants[] = {{"air_c", air_c, -45.0, 60.0}, {"humidity_frac", humidity_frac, 1e-3, 1.0}};
    return lw_want_all(fault, LW_WANTS(wants));
}

double lw_air_dew_point_c(double air_c, double humidity_frac)
{
    const double power = log(humidity_frac) + MAGNUS_B * air_c / (MAGNUS_C + air_c);
    return MAGNUS_C * power / (MAGNUS_B - power);
}

double lw_air_humidity_frac(double air_c, double dew_c)
{
    return exp(MAGNUS_B * dew_c / (MAGNUS_C + dew_c) - MAGNUS_B * air_c / (MAGNUS_C + air_c));
}
