#include "core/heat/water_heater.h"

#include "core/base/hot.h"
#include "core/base/num.h"

double lw_water_heat_j(double water_l, double rise_k)
{
    return LW_WATER_JLK * water_l * rise_k;
}

lw_code lw_water_heater_check(const lw_water_heater *heater, const lw_water_heater_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"input_w", heater->input_w, 0.0, 1e5},
        {"efficiency_frac", heater->efficiency_frac, 0.05, 1.0},
        {"standing_w", heater->standing_w, 0.0, 1000.0},
        {"volume_l", heater->volume_l, 0.0, 1000.0},
        {"hot_l", in->hot_l, 0.0, 1e4},
        {"cold_c", in->cold_c, 0.0, 60.0},
        {"hot_c", in->hot_c, in->cold_c, 95.0},
        {"deficit_j", in->deficit_j, 0.0, 1e9},
        {"input_now_w", in->input_now_w, 0.0, 1e5},
        {"step_s", in->step_s, 1e-3, 864000.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

void lw_water_heater_run(const lw_water_heater *heater, const lw_water_heater_in *in, lw_water_heater_out *out)
{
    const double rise_k = lw_most(in->hot_c - in->cold_c, 0.0);
    const double draw_j = lw_water_heat_j(in->hot_l, rise_k);
    const double stored_most_j = lw_water_heat_j(heater->volume_l, rise_k);
    /* A tank whose target was turned down cannot lack more than it holds when hot. */
    const double lacking_j = lw_least(in->deficit_j, stored_most_j);
    const double hot_frac = !(stored_most_j > 0.0) ? 0.0
                            : lacking_j > 0.0      ? 1.0 - lacking_j * (1.0 / stored_most_j)
                                                   : 1.0;
    const double standing_j = lw_least(heater->standing_w * in->step_s, stored_most_j) * hot_frac;
    const double wanted_j = lacking_j + draw_j + standing_j;
    const double most_j = in->input_now_w * heater->efficiency_frac * in->step_s;
    const double given_j = lw_least(wanted_j, most_j);
    const double rest_j = wanted_j - given_j;
    const double short_j = lw_most(lw_least(rest_j - stored_most_j, draw_j), 0.0);
    const double per_s = in->per_s > 0.0 ? in->per_s : in->step_s > 0.0 ? 1.0 / in->step_s : 0.0;
    const double per_efficiency =
        LW_MOSTLY(heater->per_efficiency > 0.0) ? heater->per_efficiency : 1.0 / heater->efficiency_frac;
    const double gas_w = given_j * per_efficiency * per_s;
    *out = (lw_water_heater_out){
        .gas_w = gas_w,
        .standing_w = standing_j * per_s,
        .flue_w = gas_w * (1.0 - heater->efficiency_frac),
        .served_j = draw_j - short_j,
        .short_j = short_j,
        .deficit_j = lw_least(rest_j, stored_most_j),
    };
}
