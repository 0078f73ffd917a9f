#include "core/power/inverter.h"

#include <math.h>

#include "core/base/hot.h"
#include "core/base/num.h"

lw_inverter_spec lw_inverter_typical(double rated_w)
{
    /* Common practice: 300 W 3-6 W, 1 kW 8-15 W, 2-3 kW 15-35 W; middles, linear between, in proportion below. */
    static const double at_w[] = {0.0, 300.0, 1000.0, 2500.0}, idle_w[] = {0.0, 4.5, 11.5, 25.0};
    int i = 0;
    while (i < 2 && rated_w > at_w[i + 1])
        i++;
    return (lw_inverter_spec){
        .rated_w = rated_w,
        .idle_w = idle_w[i] + (rated_w - at_w[i]) * (idle_w[i + 1] - idle_w[i]) / (at_w[i + 1] - at_w[i]),
        .efficiency_frac = 0.90,
    };
}

lw_code lw_inverter_check(const lw_inverter_spec *spec, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "rated_w", spec->rated_w, 1.0, 1e5);
    if (!bad)
        bad = lw_want_range(fault, "idle_w", spec->idle_w, 0.0, 1e3);
    if (!bad)
        bad = lw_want_range(fault, "efficiency_frac", spec->efficiency_frac, 0.3, 1.0);
    return bad ? bad : lw_want_range(fault, "b_per_w", spec->b_per_w, 0.0, 0.01);
}

void lw_inverter_run(const lw_inverter_spec *spec, double load_w, int is_on, lw_inverter_flow *flow)
{
    const double asked_w = lw_most(load_w, 0.0);
    const double out_w = is_on ? lw_least(asked_w, spec->rated_w) : 0.0;
    const double idle_w = is_on ? spec->idle_w : 0.0, bent_w = spec->b_per_w * out_w * out_w;
    const double per_efficiency =
        LW_MOSTLY(spec->per_efficiency > 0.0) ? spec->per_efficiency : 1.0 / spec->efficiency_frac;
    *flow = (lw_inverter_flow){
        .in_w = idle_w + out_w * per_efficiency + bent_w,
        .out_w = out_w,
        .idle_w = idle_w,
        .conversion_w = out_w * (1.0 - spec->efficiency_frac) * per_efficiency + bent_w,
        .short_w = lw_most(asked_w - out_w, 0.0),
        .is_overloaded = is_on && asked_w > spec->rated_w,
    };
}

double lw_inverter_out_w(const lw_inverter_spec *spec, double in_w)
{
    const double live_w = in_w - spec->idle_w;
    if (!(live_w > 0.0))
        return 0.0;
    const double slope = 1.0 / spec->efficiency_frac; /* the root written so that b = 0 needs no case of its own */
    const double out_w = 2.0 * live_w / (slope + sqrt(slope * slope + 4.0 * spec->b_per_w * live_w));
    return out_w < spec->rated_w ? out_w : spec->rated_w;
}
