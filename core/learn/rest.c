#include "core/learn/rest.h"

#include <math.h>

static const double LEAD_V = 0.05, LFP_V = 0.06; /* of 12 V; from memory */

lw_code lw_rest_says(const lw_battery_spec *spec, double low_v, double high_v, int is_at_rest, double *low_frac,
                     double *high_frac, lw_fault *fault)
{
    const double scale = spec->nominal_v / 12.0;
    if (!is_at_rest) {
        *fault = (lw_fault){.code = LW_E_CONFLICT, .field = "volts at rest", .value = low_v};
        return LW_E_CONFLICT;
    }
    const lw_code low = lw_want_range(fault, "low_v", low_v, 0.5 * spec->nominal_v, 1.5 * spec->nominal_v);
    if (low)
        return low;
    const lw_code high = lw_want_range(fault, "high_v", high_v, low_v, 1.5 * spec->nominal_v);
    if (high)
        return high;
    lw_battery b;
    lw_battery_prepare(spec, &b);
    const double margin_v = (spec->chemistry == LW_CHEMISTRY_LFP ? LFP_V : LEAD_V) * scale;
    const double from_v = low_v - margin_v, to_v = high_v + margin_v;
    const double empty_v = lw_battery_ocv_v(&b, b.empty_ah), full_v = lw_battery_ocv_v(&b, b.wells.qmax_ah);
    *low_frac = from_v <= empty_v ? -INFINITY : lw_battery_soc_frac(&b, lw_battery_q_at_ocv(&b, from_v));
    *high_frac = to_v >= full_v ? INFINITY : lw_battery_soc_frac(&b, lw_battery_q_at_ocv(&b, to_v));
    return LW_OK;
}
