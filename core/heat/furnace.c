#include "core/heat/furnace.h"

#include "core/base/num.h"
#include "core/heat/propane.h"
#include "core/heat/trade_units_internal.h"

lw_code lw_furnace_check(const lw_furnace *furnace, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "input_w", furnace->input_w, 0.0, 1e5);
    if (!bad)
        bad = lw_want_range(fault, "efficiency_frac", furnace->efficiency_frac, 0.05, 1.0);
    if (!bad)
        bad = lw_want_range(fault, "blower_w", furnace->blower_w, 0.0, 2000.0);
    if (!bad)
        bad = lw_want_range(fault, "cycles_per_h", furnace->cycles_per_h, 0.0, 60.0);
    if (!bad)
        bad = lw_want_range(fault, "runon_h", furnace->runon_h, 0.0, 1.0);
    return bad;
}

double lw_burner_derate_frac(const lw_burner_derate *derate, double elevation_m)
{
    static const double PER_M = 0.04 / FT_M(1000.0), FREE_M = FT_M(2000.0);
    if (derate->rule == LW_BURNER_UNCHANGED || !(elevation_m > FREE_M))
        return 1.0;
    if (derate->rule == LW_BURNER_LISTED && elevation_m <= derate->listed_to_m)
        return 1.0;
    const double lost = PER_M * (derate->rule == LW_BURNER_ABOVE_2000FT ? elevation_m - FREE_M : elevation_m);
    return lost < 1.0 ? 1.0 - lost : 0.0;
}

void lw_furnace_run(const lw_furnace *furnace, double input_now_w, double heat_w, lw_furnace_out *out)
{
    if (!(heat_w > 0.0) || !(input_now_w > 0.0)) {
        *out = (lw_furnace_out){0};
        return;
    }
    const double most_w = input_now_w * furnace->efficiency_frac;
    const double duty = most_w > 0.0 ? lw_least(heat_w / most_w, 1.0) : 0.0;
    const double runon_h = furnace->runon_h;
    const double cycles_ph = duty < furnace->cycles_per_h * runon_h ? duty * (1.0 / runon_h) : furnace->cycles_per_h;
    const double blowing = duty + cycles_ph * runon_h;
    const double gas_w = duty * input_now_w;
    *out = (lw_furnace_out){
        .duty_frac = duty,
        .heat_w = duty * most_w,
        .gas_w = gas_w,
        .flue_w = gas_w * (1.0 - furnace->efficiency_frac),
        .gas_kgph = gas_w * (3600.0 / LW_PROPANE_HHV_JPKG),
        .blower_w = furnace->blower_w * lw_least(blowing, 1.0),
    };
}

lw_code lw_heat_need_check(const lw_heat_need_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "ua_wk", in->ua_wk, 0.0, 1e5);
    if (!bad)
        bad = lw_want_range(fault, "inside_c", in->inside_c, -100.0, 100.0);
    if (!bad)
        bad = lw_want_range(fault, "outside_c", in->outside_c, -100.0, 100.0);
    if (!bad)
        bad = lw_want_range(fault, "gain_w", in->gain_w, 0.0, 1e6);
    return bad;
}

double lw_heat_need_w(const lw_heat_need_in *in)
{
    const double need_w = in->ua_wk * (in->inside_c - in->outside_c) - in->gain_w;
    return need_w > 0.0 ? need_w : 0.0;
}
