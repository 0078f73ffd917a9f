/* core/heat/fridge.h: what a fridge draws.
 *
 * Computes  absorption: mean gas and control power against the air around it; compressor: mean electric power against
 *           cabin temperature and size; household: yearly upper limit of US law.
 * Inputs    ambient_c of the air at the cooling unit (absorption) or the cabin (compressor), -40..60; litres inside.
 * Results   mean W. is_weak: the absorption unit runs without pause and no longer holds its temperature.
 * Errors    LW_E_RANGE from lw_fridge_check.
 * Source    trade practice: absorption 0.3-0.7 kg/day, burner 0.35-0.45 kW, control 0.3-1.0 A; 40-60 L 250-450, 100-200 L
 *           500-900 Wh/day at 25 C, +3-4 %/K; output falls above 32 C. Household: 10 CFR 430.32(a),
 *           class 3 without ice maker: 8.07 AV + 233.7 kWh/a, AV in ft3.
 * Limits    absorption gas is a straight line, 0.3 kg/day at 10 C to 0.7 at 38 C, scaled by rated_w (ours);
 *           door openings and warm food are in the means; a big load of warm food costs more. */
#ifndef LW_CORE_HEAT_FRIDGE_H
#define LW_CORE_HEAT_FRIDGE_H

#include "core/base/err.h"

typedef enum lw_cooling { LW_COOLING_ABSORPTION = 0, LW_COOLING_COMPRESSOR } lw_cooling;

typedef struct lw_fridge {
    lw_cooling kind;
    double burner_w;  /* absorption: gas while burning, default 400 */
    double control_w; /* absorption: steady DC, default 8 */
    double rated_w;   /* mean at 25 C: gas of absorption, electric of compressor; a default or a reading */
    double running_w; /* compressor: the most it can draw, default 65 */
} lw_fridge;

typedef struct lw_fridge_out {
    double gas_w, electric_w;
    int is_weak;
} lw_fridge_out;

lw_fridge lw_fridge_absorption(void);            /* defaults of the trade */
lw_fridge lw_fridge_compressor(double volume_l); /* 12 V, defaults by size */
double lw_fridge_rated_w(double volume_l);       /* mean at 25 C of a 12 V compressor fridge */

/* How what it draws grows with the air around it: rated_w x max(1 + per_k (air - 25 C), least_frac), up to its most. */
#define LW_FRIDGE_RATED_AT_C 25.0
typedef struct lw_fridge_slope {
    double per_k, least_frac;
} lw_fridge_slope;
lw_fridge_slope lw_fridge_slope_of(lw_cooling kind);

LW_MUST_USE lw_code lw_fridge_check(const lw_fridge *fridge, double ambient_c, lw_fault *fault);
void lw_fridge_run(const lw_fridge *fridge, double ambient_c, lw_fridge_out *out);
double lw_fridge_duty_frac(const lw_fridge *fridge, const lw_fridge_out *run); /* share of its most */

double lw_fridge_household_kwh_a(double adjusted_l);

#endif
