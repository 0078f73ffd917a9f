/* core/power/charger.h: direct current made from a socket, a generator or the alternator.
 *
 * Computes  what a converter-charger (120 V) or a DC-DC charger (alternator) can give at the battery's voltage, and
 *           what it takes to give it: watts, and volt-amperes where the source counts those.
 * Inputs    spec: rated_a at the battery > 0; efficiency_frac; power_factor (1 for DC-DC). battery_v > 0; source limits
 *           in_w and in_va, INFINITY where there is none.
 * Results   dc_w + loss_w = in_w.
 * Errors    LW_E_RANGE from lw_charger_check.
 * Source    common practice (35-80 A, 0.80-0.90, power factor 0.6-0.7 uncorrected, 0.95 corrected; 20-60 A,
 *           0.85-0.92, an alternator gives half its rating hot at idle).
 * Limits    constant efficiency; what tapers is the battery, in battery.h. */
#ifndef LW_CORE_POWER_CHARGER_H
#define LW_CORE_POWER_CHARGER_H

#include "core/base/err.h"

typedef struct lw_charger_spec {
    double rated_a, efficiency_frac, power_factor;
} lw_charger_spec;

typedef struct lw_charger_flow {
    double dc_w, in_w, loss_w, in_va;
} lw_charger_flow;

lw_charger_spec lw_charger_from_ac(double rated_a); /* 0.85, power factor 0.7 */
lw_charger_spec lw_charger_from_dc(double rated_a); /* 0.88 */
LW_MUST_USE lw_code lw_charger_check(const lw_charger_spec *spec, lw_fault *fault);

/* The most it can give to the battery and the direct-current loads. */
double lw_charger_dc_w(const lw_charger_spec *spec, double battery_v, double in_w, double in_va);

/* What giving dc_w takes. */
void lw_charger_run(const lw_charger_spec *spec, double dc_w, lw_charger_flow *flow);

/* What an alternator has to spare for charging: half its rating at idle, less what the vehicle itself uses. */
double lw_alternator_w(double rated_a, double vehicle_a, double alternator_v, int is_idling);

#endif
