#include "core/heat/comfort.h"

#include <math.h>

#include "core/heat/trade_units_internal.h"

static const double MAGNUS_A = 17.62, MAGNUS_B_C = 243.12, MAGNUS_0_PA = 611.2; /* WMO-No. 8 */
static const double VAPOUR_JKGK = 461.5;
static const double INSIDE_M2KW = 0.13; /* ISO 6946, wall */

lw_code lw_comfort_check(double air_c, double wind_ms, double rh_frac, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "air_c", air_c, -90.0, 60.0);
    if (!bad)
        bad = lw_want_range(fault, "wind_ms", wind_ms, 0.0, 120.0);
    if (!bad)
        bad = lw_want_range(fault, "rh_frac", rh_frac, 0.0, 1.0);
    return bad;
}

double lw_wind_chill_c(double air_c, double wind_ms)
{
    const double t = C_DEGF(air_c), v = MPS_MPH(wind_ms);
    if (!(t <= 50.0) || !(v > 3.0))
        return air_c;
    const double w = pow(v, 0.16);
    return DEGF_C(35.74 + 0.6215 * t - 35.75 * w + 0.4275 * t * w);
}

static double rothfusz_degf(double t, double r)
{
    const double t2 = t * t, r2 = r * r;
    return -42.379 + 2.04901523 * t + 10.14333127 * r - 0.22475541 * t * r - 6.83783e-3 * t2 - 5.481717e-2 * r2 +
           1.22874e-3 * t2 * r + 8.5282e-4 * t * r2 - 1.99e-6 * t2 * r2;
}

double lw_heat_index_c(double air_c, double rh_frac)
{
    const double t = C_DEGF(air_c), r = 100.0 * rh_frac;
    const double simple = 0.5 * (t + 61.0 + (t - 68.0) * 1.2 + r * 0.094);
    if (!(0.5 * (simple + t) >= 80.0))
        return t <= 40.0 ? air_c : DEGF_C(0.5 * (simple + t));
    double index = rothfusz_degf(t, r);
    if (r < 13.0 && t > 80.0 && t < 112.0)
        index -= (13.0 - r) / 4.0 * sqrt((17.0 - fabs(t - 95.0)) / 17.0);
    if (r > 85.0 && t > 80.0 && t < 87.0)
        index += (r - 85.0) / 10.0 * ((87.0 - t) / 5.0);
    return DEGF_C(index);
}

lw_heat_class lw_heat_class_of(double heat_index_c)
{
    /* A millionth of a degree keeps "exactly 103 F" in its class after the trip through Celsius. */
    const double f = C_DEGF(heat_index_c) + 1e-6;
    return f >= 125.0   ? LW_HEAT_EXTREME
           : f >= 103.0 ? LW_HEAT_DANGER
           : f >= 90.0  ? LW_HEAT_STRONG
           : f >= 80.0  ? LW_HEAT_CAUTION
                        : LW_HEAT_NONE;
}

lw_comfort_band lw_comfort_of(lw_comfort_season season)
{
    return season == LW_COMFORT_SLEEP    ? (lw_comfort_band){15.0, 19.0}
           : season == LW_COMFORT_SUMMER ? (lw_comfort_band){23.0, 26.0}
                                         : (lw_comfort_band){20.0, 23.5};
}

static double saturation_pa(double air_c)
{
    return MAGNUS_0_PA * exp(MAGNUS_A * air_c / (MAGNUS_B_C + air_c));
}

static double dew_of_pa(double vapour_pa)
{
    const double g = log(fmax(vapour_pa, 1e-3) / MAGNUS_0_PA);
    return MAGNUS_B_C * g / (MAGNUS_A - g);
}

double lw_comfort_dew_c(double air_c, double rh_frac)
{
    return dew_of_pa(rh_frac * saturation_pa(air_c));
}

lw_code lw_damp_check(const lw_damp_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"inside_c", in->inside_c, -60.0, 60.0},
        {"outside_c", in->outside_c, -60.0, 60.0},
        {"outside_rh_frac", in->outside_rh_frac, 0.0, 1.0},
        {"vapour_gph", in->vapour_gph, 0.0, 1e5},
        {"volume_m3", in->volume_m3, 0.1, 1000.0},
        {"air_changes_ph", in->air_changes_ph, 0.01, 1000.0},
        {"surface_u_wm2k", in->surface_u_wm2k, 0.0, 1.0 / INSIDE_M2KW},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

void lw_damp(const lw_damp_in *in, lw_damp_out *out)
{
    const double full_pa = saturation_pa(in->inside_c);
    /* Vapour given off over the air that carries it away, as density, then as pressure of an ideal gas. */
    const double added_kgm3 = in->vapour_gph * 1e-3 / (in->volume_m3 * in->air_changes_ph);
    const double vapour_pa =
        in->outside_rh_frac * saturation_pa(in->outside_c) + added_kgm3 * VAPOUR_JKGK * (in->inside_c + 273.15);
    const double held_pa = fmin(vapour_pa, full_pa);
    const double dew_c = dew_of_pa(held_pa);
    const double surface_c = in->inside_c - in->surface_u_wm2k * INSIDE_M2KW * (in->inside_c - in->outside_c);
    *out = (lw_damp_out){
        .inside_rh_frac = held_pa / full_pa,
        .dew_c = dew_c,
        .surface_c = surface_c,
        .is_wet = surface_c < dew_c,
    };
}
