/* core/power/controller.h: the solar charge controller between array and battery.
 *
 * Computes  what of an array's maximum power reaches the battery's terminals. In this order: soiling, wiring, mismatch
 *           (PWM: the array is held at the battery's voltage; its current passes, the rest of its voltage is lost), conversion,
 *           the controller's current rating; and, once the battery has taken its part, what is left unused.
 * Inputs    spec; panel_w of the clean array at its maximum power point, cell_c, battery_v > 0.
 * Results   battery_w + soiling_w + wiring_w + mismatch_w + conversion_w + unused_w = panel_w, each by its own formula.
 * Errors    LW_E_RANGE from lw_controller_check.
 * Source    common practice: MPPT 0.94-0.98; PWM: P = I_mp V_battery, circuit physics.
 * Limits    wiring is a fixed share of the power. Above V_mp a PWM array's current falls in a straight line to zero at
 *           1.22 V_mp (from memory: V_oc / V_mp of silicon). Partial shading is the array's matter. */
#ifndef LW_CORE_POWER_CONTROLLER_H
#define LW_CORE_POWER_CONTROLLER_H

#include "core/base/err.h"

#define LW_CONTROLLERS(X)                                                                                              \
    X(MPPT, "mppt")                                                                                                    \
    X(PWM, "pwm")

typedef enum lw_controller {
#define LW_CONTROLLER_ID(id, word) LW_CONTROLLER_##id,
    LW_CONTROLLERS(LW_CONTROLLER_ID)
#undef LW_CONTROLLER_ID
        LW_CONTROLLER_COUNT
} lw_controller;

typedef struct lw_controller_spec {
    lw_controller kind;
    double efficiency_frac;    /* of conversion; near 1 for PWM */
    double rated_a;            /* at the battery; INFINITY where the array cannot reach it */
    double array_v;            /* V_mp of the array at 25 C; PWM only */
    double array_v_frac_per_k; /* negative; PWM only */
    double wiring_frac, soiling_frac;
} lw_controller_spec;

typedef struct lw_controller_flow {
    double battery_w; /* what it offers; after lw_controller_take what was taken */
    double soiling_w, wiring_w, mismatch_w, conversion_w, unused_w;
} lw_controller_flow;

/* MPPT 0.96, PWM 0.99 (the switch and its own use, from memory); wiring 2 %, soiling 3 % (from memory). */
lw_controller_spec lw_controller_typical(lw_controller kind, double array_v);
LW_MUST_USE lw_code lw_controller_check(const lw_controller_spec *spec, lw_fault *fault);
void lw_controller_offer(const lw_controller_spec *spec, double panel_w, double cell_c, double battery_v,
                         lw_controller_flow *flow);

/* The battery and the loads take only taken_w of the offer: the controller steps back along the array's curve, the
 * losses behind it shrink with the current and the rest of the clean power is unused. */
void lw_controller_take(lw_controller_flow *flow, double taken_w);

#endif
