/* core/heat/cabin.h: the camper's inside as one temperature, exact inside the step.
 *
 * Computes  mass dT/dt = gain - ua (T - outside) + furnace - venting - cooling, with ideal thermostats: full output on
 *           the wrong side of a set-point, at the set-point just what holds it, nothing beyond. The right-hand side
 *           only falls with T, so T moves one way through the step; each phase between set-points is one exponential.
 * Inputs    lw_cabin: ua_wk conductance with infiltration (core/heat/envelope.h), mass_jk 1-3 MJ/K for 6-10 m rigs;
 *           decay_full = exp(-ua_wk step_s / mass_jk) when the caller keeps it for this ua, mass and step, else 0.
 *           lw_cabin_in: mean outside temperature and gains (sun, bodies, appliances) of the step; heat_max_w is what
 *           the furnace can deliver now (0 for none); vent_max_wk is the extra conductance of open windows and vents,
 *           used above vent_set_c and only towards colder air outside; cool_max_w is heat an air conditioner can
 *           remove. A device with maximum 0 does not exist and its set-point is ignored.
 * Results   temperatures at the end, mean over time, extremes; mean powers, each by its own formula:
 *           gain_w + heat_w = conduction_w + vent_w + cool_w + stored_w. For step_s 0 nothing flows.
 * Errors    LW_E_RANGE from lw_cabin_check: bounds, NaN, set-points that would heat and cool at once.
 * Source    ASHRAE Handbook Fundamentals, heating load chapters (one-node balance); closed form ours.
 * Limits    one node: walls and air alike, so a warm-up is slower and smoother than in a real rig; device hysteresis
 *           and cycling are averaged out; gains and outside temperature constant inside the step. */
#ifndef LW_CORE_HEAT_CABIN_H
#define LW_CORE_HEAT_CABIN_H

#include "core/base/err.h"

typedef struct lw_cabin {
    double ua_wk, mass_jk;
    double decay_full; /* 0: computed where needed */
} lw_cabin;

typedef struct lw_cabin_in {
    double start_c, outside_c;
    double gain_w;
    double heat_set_c, heat_max_w;
    double vent_set_c, vent_max_wk;
    double cool_set_c, cool_max_w;
    double step_s;
} lw_cabin_in;

typedef struct lw_cabin_out {
    double end_c, mean_c, min_c, max_c;
    double heat_w, conduction_w, vent_w, cool_w, stored_w;
    double held_frac; /* of the step: the furnace held the set-point, cycling */
} lw_cabin_out;

/* Below this decay exponent the series is shorter than exp and free of cancellation; its last term is under 1e-16. */
#define LW_CABIN_SERIES_BELOW 0.03
/* That series, (x - 1 + exp(-x)) / x^2 from x, x^2 and x^4: sums side by side, so that none waits long for another. */
#define LW_CABIN_SERIES(x, x2, x4)                                                                                     \
    (((1.0 / 2.0 - (x) * (1.0 / 6.0)) + (1.0 / 24.0 - (x) * (1.0 / 120.0)) * (x2)) +                                   \
     ((1.0 / 720.0 - (x) * (1.0 / 5040.0)) + (1.0 / 40320.0) * (x2)) * (x4))

/* Three set-points part the temperatures into four ranges; one more phase holds. */
enum { LW_CABIN_PHASES = 5 };

LW_MUST_USE lw_code lw_cabin_check(const lw_cabin *cabin, const lw_cabin_in *in, lw_fault *fault);
void lw_cabin_step(const lw_cabin *cabin, const lw_cabin_in *in, lw_cabin_out *out);

#endif
