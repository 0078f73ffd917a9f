/* core/power/battery.h: a house battery: voltage, losses, limits, cold, ageing.
 *
 * Computes  what one step takes from the battery or puts into it. Open-circuit voltage is piecewise linear in the state
 *           of charge, so stored energy is its exact integral and every step's energy adds up: terminal_w = stored_w +
 *           ohmic_w + coulombic_w, each by its own formula. Charge sits in the two wells of kibam.h (LFP: one).
 * Inputs    lw_battery_spec: the whole bank. NaN in an override means the chemistry's default (lw_battery_defaults_of).
 *           State of charge is the share of the 20-hour rate's charge that is left: 1 is full, 0 is all of it drawn.
 *           A slower draw gets a little more out (what the wells hold beyond that rate's charge) at a state of 0.
 * Results   lw_battery_flow. Power and current are positive INTO the battery, so that draws have negative figures.
 * Errors    LW_E_RANGE from lw_battery_check; all else is total. dt_h or power_w not above zero give an idle flow.
 * Source    beside the tables in battery_spec.c; KiBaM: Manwell and McGowan 1993; acceptance:
 *           Lambert, Gilman, Lilienthal, "Micropower System Modeling", in Farret and Simoes (eds), Integration of
 *           Alternative Sources of Energy, 2006.
 * Limits    resistances are effective ones for steps of minutes to hours. In absorption the voltage falls with the
 *           current instead of being held, which hides some 5 % of that phase's energy. No gassing near full. The
 *           defaults of lead-acid coulombic efficiency and of c and k are practice and recall, not measurements. */
#ifndef LW_CORE_POWER_BATTERY_H
#define LW_CORE_POWER_BATTERY_H

#include "core/base/err.h"
#include "core/base/num.h"
#include "core/power/kibam.h"

#define LW_CHEMISTRIES(X)                                                                                              \
    X(FLOODED, "flooded")                                                                                              \
    X(AGM, "agm")                                                                                                      \
    X(LFP, "lfp")

typedef enum lw_chemistry {
#define LW_CHEMISTRY_ID(id, word) LW_CHEMISTRY_##id,
    LW_CHEMISTRIES(LW_CHEMISTRY_ID)
#undef LW_CHEMISTRY_ID
        LW_CHEMISTRY_COUNT
} lw_chemistry;

#define LW_SLOW_DISCHARGE                                                                                              \
    2e-3 /* of the charge in a step: up to that five terms of the exponential's series are exact */

#define LW_BATTERY_KNOTS 11 /* 0, 10 .. 100 % state of charge */

typedef struct lw_battery_spec {
    lw_chemistry chemistry;
    double capacity_ah; /* rated at 20 h, new, whole bank */
    double nominal_v;   /* 12, 24, 48 */
    double health_frac; /* what ageing has left of the capacity; 1 = new */
    double floor_frac;  /* state of charge the owner does not want to go below */
    int is_heated;      /* the pack warms its cells before it charges */
    /* NaN = the chemistry's default */
    double charge_limit_a, coulombic_frac, resistance_ohm, charge_resistance_ohm, accept_per_h,
        self_discharge_frac_month;
    double kibam_c, kibam_k_per_h;
    double cut_v, reconnect_v; /* low-voltage disconnect or management board */
} lw_battery_spec;

/* One row a chemistry. Voltages and resistances for 12 V, the latter for 100 Ah. */
typedef struct lw_battery_defaults {
    const char *source;
    double rest_v[LW_BATTERY_KNOTS];
    double floor_frac, charge_limit_per_h, coulombic_frac, resistance_ohm, charge_resistance_ohm, accept_per_h;
    double self_discharge_frac_month, kibam_c, kibam_k_per_h, cut_v, reconnect_v, peukert_k;
} lw_battery_defaults;

typedef struct lw_battery {
    lw_chemistry chemistry;
    int is_heated;
    lw_kibam wells;      /* qmax_ah: all the charge there is */
    double capacity_ah;  /* at the 20-hour rate, aged */
    double empty_ah;     /* qmax_ah - capacity_ah: the charge at state of charge 0 */
    double per_capacity; /* 1 / capacity_ah */
    double floor_frac, charge_limit_a, coulombic_frac, resistance_ohm, charge_resistance_ohm, accept_per_h;
    double self_discharge_per_h, cut_v, reconnect_v;
    double per_coulombic, accept_h; /* reciprocals of coulombic_frac and accept_per_h */
    lw_kibam_phase step;            /* of the usual step */
    double step_taper;              /* exp(-accept_per_h dt) of the usual step */
    double grid_ah, per_grid_ah;
    double rest_v[LW_BATTERY_KNOTS], rise_v_ah[LW_BATTERY_KNOTS - 1], energy_wh[LW_BATTERY_KNOTS];
} lw_battery;

typedef struct lw_battery_flow {
    double dt_h;
    double current_a;  /* mean at the terminals */
    double terminal_w; /* mean; exactly the power asked for or offered where that was met */
    double stored_w;   /* rate of change of stored energy */
    double ohmic_w, coulombic_w;
    double end_v;     /* terminal voltage at the end of the step, current flowing */
    double change_ah; /* of the stored charge */
    double steady_a;  /* the course inside the step: the charge changes at this rate .. */
    double steady_h;  /* .. for this long, */
    double taper_ah;  /* then this much room shrinks by exp(-accept_per_h t) */
    int is_limited;   /* the power was not met */
} lw_battery_flow;

const lw_battery_defaults *lw_battery_defaults_of(lw_chemistry chemistry); /* borrowed for ever */

/* A new bank of a chemistry at its defaults, all overrides NaN. */
lw_battery_spec lw_battery_typical(lw_chemistry chemistry, double capacity_ah, double nominal_v);

LW_MUST_USE lw_code lw_battery_check(const lw_battery_spec *spec, lw_fault *fault);
void lw_battery_prepare(const lw_battery_spec *spec, lw_battery *b);    /* for steps of one hour */
void lw_battery_set_step(lw_battery *b, double step_h);                 /* the usual step, where it is not an hour */
lw_kibam_state lw_battery_at_soc(const lw_battery *b, double soc_frac); /* at rest, clipped to what the wells hold */

/* exp(y) for |y| below 0.35 to y^7, and (1 - exp(-x)) / x for small x to x^4: sums side by side, as in core/base/exp.h. */
#define LW_POWER_SERIES(y, y2, y4)                                                                                     \
    (((1.0 + (y)) + (1.0 / 2.0 + (y) * (1.0 / 6.0)) * (y2)) +                                                          \
     ((1.0 / 24.0 + (y) * (1.0 / 120.0)) + (1.0 / 720.0 + (y) * (1.0 / 5040.0)) * (y2)) * (y4))
#define LW_LOSS_SERIES(x, x2)                                                                                          \
    ((1.0 - (x) * (1.0 / 2.0)) + ((1.0 / 6.0 - (x) * (1.0 / 24.0)) + (1.0 / 120.0) * (x2)) * (x2))

static inline double lw_battery_charge_ah(const lw_kibam_state *s)
{
    return s->q1_ah + s->q2_ah;
}

static inline double lw_battery_soc_frac(const lw_battery *b, double q_ah)
{
    return lw_least(1.0, lw_most(0.0, (q_ah - b->empty_ah) * b->per_capacity));
}

static inline double lw_battery_soc_ah(const lw_battery *b, double soc_frac)
{
    return b->empty_ah + soc_frac * b->capacity_ah;
}

double lw_battery_ocv_v(const lw_battery *b, double q_ah);
double lw_battery_energy_wh(const lw_battery *b, double q_ah);  /* 0 at q 0; the integral of the voltage above */
double lw_battery_q_at_ocv(const lw_battery *b, double open_v); /* clipped to 0..qmax */

/* Constant current such that the mean power over the step is power_w; limited by the wells, by least_ah (a floor below
 * which the charge must not fall; 0 without one) and by the peak of power that the resistance leaves. */
void lw_battery_draw_above(const lw_battery *b, const lw_kibam_state *s, double power_w, double least_ah, double dt_h,
                           lw_battery_flow *flow);
void lw_battery_draw(const lw_battery *b, const lw_kibam_state *s, double power_w, double dt_h, lw_battery_flow *flow);

/* Constant current (the least of what the power gives, cap_a, and the wells' limit) until the battery accepts less,
 * then the taper dq/dt = accept_per_h (qmax - q). The charger's bulk limit and lw_battery_charge_cap_a go into cap_a.
 */
void lw_battery_fill(const lw_battery *b, const lw_kibam_state *s, double power_w, double cap_a, double dt_h,
                     lw_battery_flow *flow);

/* When inside the flow's step the charge passes target_ah; INFINITY when it does not. */
double lw_battery_hours_to(const lw_battery *b, const lw_battery_flow *flow, double q_ah, double target_ah);

void lw_battery_apply(const lw_battery *b, lw_kibam_state *s, const lw_battery_flow *flow);

/* Self-discharge over dt_h at a battery temperature; returns the energy lost, Wh. */
double lw_battery_rest(const lw_battery *b, lw_kibam_state *s, double temp_c, double dt_h);

/* Share of the rated capacity that can be had at a temperature; 1 at 25 C and above. */
double lw_battery_capacity_frac(lw_chemistry chemistry, double temp_c);

/* The charge at which the owner's floor is reached: cold makes a part unavailable, the floor holds of the rest. */
double lw_battery_floor_ah(const lw_battery *b, double temp_c);

/* The charge at which the disconnect opens under this discharge current (a positive number). */
double lw_battery_cut_ah(const lw_battery *b, double discharge_a);

/* Bulk limit at a cell temperature: an LFP pack without heater takes nothing below 0 C, little below 10. */
double lw_battery_charge_cap_a(const lw_battery *b, double temp_c);

/* Divide lead-acid capacity by this (IEEE 485, Table 1, medium rates). Below -3.9 C, where the table ends, its last
 * slope goes on (from memory: half the capacity near -20 C). */
double lw_ieee485_factor(double temp_c);

#endif
