/* core/heat/furnace.h: burner input at altitude; duty, gas and blower power of a forced-air furnace.
 *
 * Computes  duty = heat / (input x efficiency), gas by HHV, blower while burning and for its run-on after each cycle.
 * Inputs    input_w at sea level (HHV, 4,700-11,700), efficiency_frac 0.75-0.80 of HHV, blower_w 31-150, cycles_per_h
 *           4-6, runon_h 0.04 a cycle; heat wanted in W; input available now (derated, and not over the gas supply).
 * Results   mean powers of the step. gas_w x efficiency = heat_w; flue_w is the rest by its own formula.
 * Errors    LW_E_RANGE from the checks.
 * Source    arithmetic on trade practice. Derate: NFPA 54 / ANSI Z223.1 high-altitude clause (11.1.2):
 *           4 % for each 1,000 ft of elevation above sea level once the site is above 2,000 ft; many makers count
 *           only the height above 2,000 ft; a listing may allow full input up to a stated height: hence the choice.
 * Limits    above duty 1 the rig cools: heat_w is capped. Cycles are never shorter than the run-on time (ours), so that
 *           a furnace hardly used does not blow all day. */
#ifndef LW_CORE_HEAT_FURNACE_H
#define LW_CORE_HEAT_FURNACE_H

#include "core/base/err.h"

#define LW_FURNACE_RUNON_H 0.04 /* 2-3 min a cycle; trade practice */

/* CODE as the code's words; ABOVE only the height over 2,000 ft; UNCHANGED never; LISTED none up to a stated height,
 * above it as the code. */
typedef enum lw_burner_rule {
    LW_BURNER_CODE_SEA_LEVEL = 0,
    LW_BURNER_ABOVE_2000FT,
    LW_BURNER_UNCHANGED,
    LW_BURNER_LISTED
} lw_burner_rule;

typedef struct lw_burner_derate {
    lw_burner_rule rule;
    double listed_to_m; /* LISTED only */
} lw_burner_derate;

typedef struct lw_furnace {
    double input_w, efficiency_frac, blower_w, cycles_per_h, runon_h;
} lw_furnace;

typedef struct lw_furnace_out {
    double duty_frac, heat_w, gas_w, flue_w, gas_kgph, blower_w;
} lw_furnace_out;

typedef struct lw_heat_need_in {
    double ua_wk, inside_c, outside_c, gain_w;
} lw_heat_need_in;

double lw_burner_derate_frac(const lw_burner_derate *derate, double elevation_m); /* 0..1 of the sea-level input */

LW_MUST_USE lw_code lw_furnace_check(const lw_furnace *furnace, lw_fault *fault);
/* input_now_w <= 0 gives all zeros; pass lw_burner_derate_frac x input_w, or less where the gas cannot follow. */
void lw_furnace_run(const lw_furnace *furnace, double input_now_w, double heat_w, lw_furnace_out *out);

LW_MUST_USE lw_code lw_heat_need_check(const lw_heat_need_in *in, lw_fault *fault);
/* Steady need: ua (inside - outside) - gains, never negative. */
double lw_heat_need_w(const lw_heat_need_in *in);

#endif
