#include "core/power/sizing.h"

#include <math.h>

lw_code lw_peukert_check(const lw_peukert *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "capacity_ah", in->capacity_ah, 1e-3, 1e6);
    if (!bad)
        bad = lw_want_range(fault, "rated_h", in->rated_h, 0.1, 1000.0);
    if (!bad)
        bad = lw_want_range(fault, "exponent", in->exponent, 1.0, 2.0);
    return bad ? bad : lw_want_range(fault, "current_a", in->current_a, 1e-6, 1e6);
}

double lw_peukert_hours(const lw_peukert *in)
{
    return in->rated_h * pow(in->capacity_ah / (in->current_a * in->rated_h), in->exponent);
}

double lw_peukert_ah(const lw_peukert *in)
{
    return in->current_a * lw_peukert_hours(in);
}

/* A rest-voltage table read backwards, linear between its points, clipped to 0..1. */
static double read_back(const double *rest_v, const double *soc_frac, int count, double v)
{
    int i = 0;
    while (i < count - 2 && v >= rest_v[i + 1])
        i++;
    const double soc = soc_frac[i] + (v - rest_v[i]) * (soc_frac[i + 1] - soc_frac[i]) / (rest_v[i + 1] - rest_v[i]);
    return fmin(fmax(soc, 0.0), 1.0);
}

static double by_defaults(lw_chemistry chemistry, double v)
{
    static const double tenths[LW_BATTERY_KNOTS] = {0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0};
    return read_back(lw_battery_defaults_of(chemistry)->rest_v, tenths, LW_BATTERY_KNOTS, v);
}

lw_rest_soc lw_rest_soc_of(lw_chemistry chemistry, double nominal_v, double rest_v)
{
    static const double quarters[] = {0.0, 0.25, 0.5, 0.75, 1.0};
    static const double flooded_bci_v[] = {11.89, 12.06, 12.24, 12.45, 12.65}; /* BCI Battery Service Manual */
    static const double agm_low_v[] = {11.60, 12.00, 12.25, 12.55, 12.80};     /* lower ends */
    static const double agm_high_v[] = {11.80, 12.00, 12.30, 12.60, 12.90};    /* upper ends */
    static const double lfp_memory_v = 0.05;                                   /* hysteresis either way */
    const double v = rest_v * 12.0 / nominal_v, soc = by_defaults(chemistry, v);
    double one = soc, other;
    switch (chemistry) {
    case LW_CHEMISTRY_FLOODED:
        other = read_back(flooded_bci_v, quarters, 5, v);
        break;
    case LW_CHEMISTRY_AGM:
        one = read_back(agm_high_v, quarters, 5, v);
        other = read_back(agm_low_v, quarters, 5, v);
        break;
    default:
        one = by_defaults(chemistry, v - lfp_memory_v);
        other = by_defaults(chemistry, v + lfp_memory_v);
        break;
    }
    return (lw_rest_soc){
        .soc_frac = soc,
        .low_frac = fmin(soc, fmin(one, other)),
        .high_frac = fmax(soc, fmax(one, other)),
    };
}

double lw_acid_rest_v(double density)
{
    return 6.0 * (density + 0.845); /* textbook rule, e.g. Linden's Handbook of Batteries */
}

double lw_acid_density_at_standard(double read_density, double acid_c)
{
    return read_density + 0.004 * (acid_c - 26.7) / 5.6; /* BCI Battery Service Manual */
}

lw_code lw_battery_need_check(const lw_battery_need *need, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "daily_ah", need->daily_ah, 0.0, 1e6);
    if (!bad)
        bad = lw_want_range(fault, "largest_a", need->largest_a, 1e-3, 1e5);
    if (!bad)
        bad = lw_want_range(fault, "days", need->days, 0.0, 60.0);
    if (!bad)
        bad = lw_want_range(fault, "depth_frac", need->depth_frac, 0.01, 1.0);
    if (!bad)
        bad = lw_want_range(fault, "daily_depth_frac", need->daily_depth_frac, 0.01, 1.0);
    if (!bad)
        bad = lw_want_range(fault, "end_of_life_frac", need->end_of_life_frac, 0.1, 1.0);
    if (!bad)
        bad = lw_want_range(fault, "temp_c", need->temp_c, -40.0, 60.0);
    return bad ? bad : lw_want_range(fault, "margin", need->margin, 1.0, 3.0);
}

void lw_battery_size_for(const lw_battery_need *need, lw_battery_size *size)
{
    const double unadjusted_ah = need->daily_ah * need->days;
    const double by_depth_ah = unadjusted_ah / need->depth_frac, by_age_ah = unadjusted_ah / need->end_of_life_frac;
    const double by_day_ah = need->daily_ah / need->daily_depth_frac;
    const double adjusted_ah = fmax(by_depth_ah, fmax(by_day_ah, by_age_ah));
    const double capacity_ah = adjusted_ah * lw_ieee485_factor(need->temp_c) * need->margin;
    *size = (lw_battery_size){
        .unadjusted_ah = unadjusted_ah,
        .adjusted_ah = adjusted_ah,
        .capacity_ah = capacity_ah,
        .rate_h = capacity_ah / need->largest_a,
    };
}

double lw_array_current_a(double ratio, double daily_ah, double sun_h, double loss_frac)
{
    return ratio * daily_ah / (sun_h * (1.0 - loss_frac));
}

double lw_array_to_load(double array_a, double daily_ah, double sun_h)
{
    return sun_h * array_a / daily_ah;
}
