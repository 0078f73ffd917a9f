#include "core/power/controller.h"

#include <math.h>

#include "core/base/hot.h"

static const double STANDARD_C = 25.0;
static const double OPEN_TO_MP = 1.22; /* V_oc / V_mp, from memory */

lw_controller_spec lw_controller_typical(lw_controller kind, double array_v)
{
    return (lw_controller_spec){
        .kind = kind,
        .efficiency_frac = kind == LW_CONTROLLER_MPPT ? 0.96 : 0.99,
        .rated_a = INFINITY,
        .array_v = array_v,
        .array_v_frac_per_k = -0.004, /* V_mp of crystalline silicon, from memory */
        .wiring_frac = 0.02,
        .soiling_frac = 0.03,
    };
}

lw_code lw_controller_check(const lw_controller_spec *spec, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "kind", (double)spec->kind, 0.0, LW_CONTROLLER_COUNT - 1);
    if (!bad)
        bad = lw_want_range(fault, "efficiency_frac", spec->efficiency_frac, 0.3, 1.0);
    if (!bad)
        bad = lw_want_range(fault, "rated_a", spec->rated_a, 0.1, INFINITY);
    if (!bad)
        bad = lw_want_range(fault, "array_v", spec->array_v, 1.0, 1000.0);
    if (!bad)
        bad = lw_want_range(fault, "array_v_frac_per_k", spec->array_v_frac_per_k, -0.01, 0.0);
    if (!bad)
        bad = lw_want_range(fault, "wiring_frac", spec->wiring_frac, 0.0, 0.5);
    return bad ? bad : lw_want_range(fault, "soiling_frac", spec->soiling_frac, 0.0, 1.0);
}

/* The share of its best power that an array gives when held at the battery's voltage. */
static double held_frac(const lw_controller_spec *spec, double cell_c, double battery_v)
{
    const double mp_v = spec->array_v * (1.0 + spec->array_v_frac_per_k * (cell_c - STANDARD_C));
    const double x = mp_v > 0.0 ? battery_v / mp_v : OPEN_TO_MP;
    if (x <= 1.0)
        return x;
    return x < OPEN_TO_MP ? x * (OPEN_TO_MP - x) / (OPEN_TO_MP - 1.0) : 0.0;
}

void lw_controller_offer(const lw_controller_spec *spec, double panel_w, double cell_c, double battery_v,
                         lw_controller_flow *flow)
{
    const double full_w = panel_w > 0.0 ? panel_w : 0.0;
    const double clean_w = full_w * (1.0 - spec->soiling_frac), wired_w = clean_w * (1.0 - spec->wiring_frac);
    const double held = spec->kind == LW_CONTROLLER_PWM ? held_frac(spec, cell_c, battery_v) : 1.0;
    const double passed_w = wired_w * held, out_w = passed_w * spec->efficiency_frac;
    *flow = (lw_controller_flow){
        .battery_w = out_w,
        .soiling_w = full_w * spec->soiling_frac,
        .wiring_w = clean_w * spec->wiring_frac,
        .mismatch_w = wired_w * (1.0 - held),
        .conversion_w = passed_w * (1.0 - spec->efficiency_frac),
    };
    const double rated_w = spec->rated_a * battery_v;
    if (LW_SELDOM(out_w > rated_w))
        lw_controller_take(flow, rated_w);
}

void lw_controller_take(lw_controller_flow *flow, double taken_w)
{
    if (!(taken_w < flow->battery_w))
        return;
    const double part = taken_w > 0.0 ? taken_w / flow->battery_w : 0.0, rest = 1.0 - part;
    flow->unused_w += rest * (flow->battery_w + flow->wiring_w + flow->mismatch_w + flow->conversion_w);
    flow->battery_w *= part;
    flow->wiring_w *= part;
    flow->mismatch_w *= part;
    flow->conversion_w *= part;
}
