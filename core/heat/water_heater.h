/* core/heat/water_heater.h: gas for hot water.
 *
 * Computes  heat to bring drawn water from cold to hot, standing loss of a tank, gas for both. A tank gives from what
 *           it holds and is heated again as fast as the burner can: what it still lacks is the state deficit_j.
 * Inputs    lw_water_heater: input_w (HHV; 2.6-3.5 kW storage, 10-17.6 kW tankless), efficiency_frac 0.70-0.85,
 *           standing_w 40-70 while hot, volume_l (0: tankless). lw_water_heater_in: litres drawn hot, temperatures,
 *           deficit_j at the start, input_now_w (derated; 0 when switched off or out of gas), step_s > 0.
 * Results   gas_w, standing_w means; served_j into drawn water, short_j what was drawn but came cold; deficit_j at the
 *           end. efficiency x gas_w x step + short_j + (deficit end - start) = heat of the draw + standing_w x step.
 * Errors    LW_E_RANGE from lw_water_heater_check.
 * Source    4.186 kJ/(L K), physics; ranges trade practice.
 * Limits    quasi-steady: mixing in the tank and the order of draw and heating inside a step are not followed. Standing
 *           loss falls with the share of heat the tank lacks. */
#ifndef LW_CORE_HEAT_WATER_HEATER_H
#define LW_CORE_HEAT_WATER_HEATER_H

#include "core/base/err.h"

typedef struct lw_water_heater {
    double input_w, efficiency_frac, standing_w, volume_l;
    double per_efficiency; /* 1 / efficiency_frac, once prepared; 0: worked out each time */
} lw_water_heater;

typedef struct lw_water_heater_in {
    double hot_l, cold_c, hot_c;
    double deficit_j, input_now_w, step_s;
    double per_s; /* 1 / step_s where the caller has it; 0: worked out */
} lw_water_heater_in;

typedef struct lw_water_heater_out {
    double gas_w, standing_w, flue_w;
    double served_j, short_j, deficit_j;
} lw_water_heater_out;

#define LW_WATER_JLK 4186.0
double lw_water_heat_j(double water_l, double rise_k);

LW_MUST_USE lw_code lw_water_heater_check(const lw_water_heater *heater, const lw_water_heater_in *in, lw_fault *fault);
void lw_water_heater_run(const lw_water_heater *heater, const lw_water_heater_in *in, lw_water_heater_out *out);

#endif
