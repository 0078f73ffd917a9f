#include "core/heat/propane.h"

#include <math.h>

#include "core/base/num.h"
#include "core/heat/trade_units_internal.h"

static const double CRITICAL_K = 369.89, CRITICAL_PA = 4251.2e3; /* Lemmon and others 2009 */
static const double CRITICAL_KGPL = 5.0 * 44.09562e-3;           /* 5 mol/L */
static const double ZERO_C_K = 273.15;
static const double LOWEST_PA = 5e3, HIGHEST_PA = 4e6;

lw_code lw_propane_check(double liquid_c, double ambient_pa, lw_fault *fault)
{
    const lw_code bad = lw_want_range(fault, "liquid_c", liquid_c, -100.0, 90.0);
    return bad ? bad : lw_want_range(fault, "ambient_pa", ambient_pa, 2e4, 1.2e5);
}

static double vapour_pa(double temp_k)
{
    const double t_k = lw_least(lw_most(temp_k, 86.0), CRITICAL_K);
    const double x = 1.0 - t_k / CRITICAL_K;
    const double sum =
        -6.7722 * x + 1.6938 * x * sqrt(x) - 1.3341 * pow(x, 2.2) - 3.1876 * pow(x, 4.8) + 0.94937 * pow(x, 6.2);
    return CRITICAL_PA * exp(CRITICAL_K / t_k * sum);
}

void lw_propane(double liquid_c, double ambient_pa, lw_propane_out *out)
{
    const double x = lw_most(1.0 - (liquid_c + ZERO_C_K) / CRITICAL_K, 0.0);
    const double ratio =
        1.0 + 1.82205 * pow(x, 0.345) + 0.65802 * pow(x, 0.74) + 0.21109 * pow(x, 2.6) + 0.083973 * pow(x, 7.2);
    const double absolute_pa = vapour_pa(liquid_c + ZERO_C_K);
    *out = (lw_propane_out){
        .vapour_pa = absolute_pa,
        .vapour_gauge_pa = absolute_pa - ambient_pa,
        .liquid_kgpl = CRITICAL_KGPL * ratio,
    };
}

double lw_propane_boiling_c(double pressure_pa)
{
    const double want_pa = lw_least(lw_most(pressure_pa, LOWEST_PA), HIGHEST_PA);
    double low_k = 170.0, high_k = CRITICAL_K;
    for (int i = 0; i < 48; i++) { /* 200 K halved 48 times is below the last bit */
        const double mid_k = 0.5 * (low_k + high_k);
        if (vapour_pa(mid_k) < want_pa)
            low_k = mid_k;
        else
            high_k = mid_k;
    }
    return 0.5 * (low_k + high_k) - ZERO_C_K;
}

lw_code lw_cylinder_check(double water_capacity_kg, lw_fault *fault)
{
    return lw_want_range(fault, "water_capacity_kg", water_capacity_kg, 0.1, 2000.0);
}

void lw_cylinder(double water_capacity_kg, lw_cylinder_out *out)
{
    const double fill_kg = LW_PROPANE_FILL_MASS_FRAC * water_capacity_kg;
    *out = (lw_cylinder_out){
        .fill_kg = fill_kg,
        .volume_l = fill_kg / LW_PROPANE_KGPL,
        .heat_j = fill_kg * LW_PROPANE_HHV_JPKG,
        .gauge_l = LW_PROPANE_FILL_VOLUME_FRAC * water_capacity_kg / 0.99904, /* water at 15.6 C, kg/L */
    };
}

double lw_propane_liquid_limit_frac(double filling_density_frac, double gravity, double correction)
{
    return filling_density_frac / (gravity * correction);
}

/* The trade table as printed (thousand BTU/h by pounds left and air temperature in F), with a row for no liquid and a
 * column at -40 F added: that column lies below the straight continuation of every row. */
enum { MASSES = 6, TEMPS = 6 };
static const double MASS_KG[MASSES] = {0.0, LB_KG(10.0), LB_KG(20.0), LB_KG(30.0), LB_KG(50.0), LB_KG(100.0)};
static const double TEMP_C[TEMPS] = {-40.0, DEGF_C(0.0), DEGF_C(20.0), DEGF_C(40.0), DEGF_C(60.0), DEGF_C(70.0)};
#define ROW(f0, f20, f40, f60, f70)                                                                                    \
    {                                                                                                                  \
        0.0, BTUH_W(f0 * 1e3), BTUH_W(f20 * 1e3), BTUH_W(f40 * 1e3), BTUH_W(f60 * 1e3), BTUH_W(f70 * 1e3)              \
    }
static const double LIMIT_W[MASSES][TEMPS] = {
    ROW(0.0, 0.0, 0.0, 0.0, 0.0),        ROW(28.0, 38.0, 49.0, 60.0, 66.0),    ROW(36.0, 51.0, 68.0, 83.0, 92.0),
    ROW(45.0, 66.0, 85.0, 107.0, 118.0), ROW(64.0, 94.0, 125.0, 154.0, 167.0), ROW(113.0, 167.0, 214.0, 277.0, 300.0),
};
#undef ROW

/* Cell and share inside it, held to the table's edges. */
static size_t cell(const double *axis, size_t count, double value, double *share)
{
    size_t i = 0;
    while (i + 2 < count && value >= axis[i + 1])
        i++;
    const double raw = (value - axis[i]) / (axis[i + 1] - axis[i]);
    *share = raw > 0.0 ? (raw < 1.0 ? raw : 1.0) : 0.0; /* NaN gives no gas */
    return i;
}

double lw_propane_vapour_limits_w(const double *liquid_kg, size_t count, double air_c)
{
    double warm, sum_w = 0.0;
    const size_t t = cell(TEMP_C, TEMPS, air_c, &warm);
    for (size_t i = 0; i < count; i++) {
        double more;
        const size_t m = cell(MASS_KG, MASSES, liquid_kg[i], &more);
        const double low_w = LIMIT_W[m][t] + warm * (LIMIT_W[m][t + 1] - LIMIT_W[m][t]);
        const double high_w = LIMIT_W[m + 1][t] + warm * (LIMIT_W[m + 1][t + 1] - LIMIT_W[m + 1][t]);
        sum_w += low_w + more * (high_w - low_w);
    }
    return sum_w;
}

lw_propane_sure lw_propane_sure_of(void)
{
    /* The table grows along both axes, in a straight line up to its first mass. */
    return (lw_propane_sure){.from_c = {TEMP_C[1], TEMP_C[2], TEMP_C[3]},
                             .most_w = {LIMIT_W[1][1], LIMIT_W[1][2], LIMIT_W[1][3]},
                             .below_kg = MASS_KG[1],
                             .per_kg = 1.0 / LB_KG(10.0),
                             .rounding_frac = 1.0 - 1e-12};
}

double lw_propane_vapour_surely_w(double liquid_kg, double air_c)
{
    const lw_propane_sure sure = lw_propane_sure_of();
    const double share = liquid_kg < sure.below_kg ? liquid_kg * sure.per_kg : 1.0;
    double most_w = 0.0;
    for (int i = 0; i < LW_PROPANE_SURE_ROWS; i++)
        most_w = air_c >= sure.from_c[i] ? sure.most_w[i] : most_w;
    return liquid_kg > 0.0 ? most_w * share * sure.rounding_frac : 0.0;
}

double lw_propane_vapour_limit_w(double liquid_kg, double air_c)
{
    return lw_propane_vapour_limits_w(&liquid_kg, 1, air_c);
}
