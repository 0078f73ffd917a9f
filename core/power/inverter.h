/* core/power/inverter.h: what alternating current costs at the battery.
 *
 * Computes  in_w = idle_w + out/efficiency + b out^2, with the idle draw and the conversion loss as flows of their own.
 * Inputs    spec: rated_w > 0, idle_w, efficiency_frac (of conversion alone, before idle and b), b_per_w (0 by
 *           default); load_w asked for; is_on: nothing flows, and nothing idles, when off.
 * Results   out_w + idle_w + conversion_w = in_w; load beyond the rating is not met: short_w.
 * Errors    LW_E_RANGE from lw_inverter_check.
 * Source    form and figures: common practice: peak 0.88-0.94 at 20-50 % load, idle 3-35 W by size.
 * Limits    hourly means: a start-up surge above the rating is not seen. */
#ifndef LW_CORE_POWER_INVERTER_H
#define LW_CORE_POWER_INVERTER_H

#include "core/base/err.h"

typedef struct lw_inverter_spec {
    double rated_w, idle_w, efficiency_frac, b_per_w;
    double per_efficiency; /* 1 / efficiency_frac, once prepared; 0: worked out each time */
} lw_inverter_spec;

typedef struct lw_inverter_flow {
    double in_w, out_w, idle_w, conversion_w;
    double short_w; /* asked for, beyond the rating */
    int is_overloaded;
} lw_inverter_flow;

/* Idle draw by size from the middles of common ranges, flat 0.90. */
lw_inverter_spec lw_inverter_typical(double rated_w);
LW_MUST_USE lw_code lw_inverter_check(const lw_inverter_spec *spec, lw_fault *fault);
void lw_inverter_run(const lw_inverter_spec *spec, double load_w, int is_on, lw_inverter_flow *flow);

/* The most that can come out of a limited input: the inverse of the formula above. */
double lw_inverter_out_w(const lw_inverter_spec *spec, double in_w);

#endif
