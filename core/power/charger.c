#include "core/power/charger.h"

lw_charger_spec lw_charger_from_ac(double rated_a)
{
    return (lw_charger_spec){.rated_a = rated_a, .efficiency_frac = 0.85, .power_factor = 0.7}; /* arithmetic */
}

lw_charger_spec lw_charger_from_dc(double rated_a)
{
    return (lw_charger_spec){.rated_a = rated_a, .efficiency_frac = 0.88, .power_factor = 1.0}; /* middle */
}

lw_code lw_charger_check(const lw_charger_spec *spec, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "rated_a", spec->rated_a, 0.1, 1e4);
    if (!bad)
        bad = lw_want_range(fault, "efficiency_frac", spec->efficiency_frac, 0.3, 1.0);
    return bad ? bad : lw_want_range(fault, "power_factor", spec->power_factor, 0.3, 1.0);
}

double lw_charger_dc_w(const lw_charger_spec *spec, double battery_v, double in_w, double in_va)
{
    const double by_va_w = in_va * spec->power_factor, source_w = in_w < by_va_w ? in_w : by_va_w;
    const double rated_w = spec->rated_a * battery_v, given_w = source_w * spec->efficiency_frac;
    const double dc_w = given_w < rated_w ? given_w : rated_w;
    return dc_w > 0.0 ? dc_w : 0.0;
}

void lw_charger_run(const lw_charger_spec *spec, double dc_w, lw_charger_flow *flow)
{
    const double out_w = dc_w > 0.0 ? dc_w : 0.0, in_w = out_w * (1.0 / spec->efficiency_frac);
    *flow = (lw_charger_flow){
        .dc_w = out_w,
        .in_w = in_w,
        .loss_w = out_w * (1.0 - spec->efficiency_frac) / spec->efficiency_frac,
        .in_va = in_w / spec->power_factor,
    };
}

double lw_alternator_w(double rated_a, double vehicle_a, double alternator_v, int is_idling)
{
    const double hot_a = is_idling ? 0.5 * rated_a : rated_a; /* common practice */
    return hot_a > vehicle_a ? (hot_a - vehicle_a) * alternator_v : 0.0;
}
