/* core/power/kibam.h: the kinetic battery model, two wells of charge.
 *
 * Computes  how charge moves between an available well (share c of the capacity) and a bound one while a constant
 *           current flows, and the largest currents one step can bear. This is the rate effect of lead-acid: what a
 *           hard draw cannot reach comes back at rest.
 * Inputs    qmax_ah > 0; c 0..1, a share of 0.999 or more means one well (LFP): the same formulas then need no exp;
 *           k_per_h > 0, the k' of the later papers, k' = k0 / (c (1 - c)): reading a k0 as k' is wrong by a factor of
 *           4-5. Currents are positive for discharge, as in the paper.
 * Results   q1_ah, q2_ah; their sum changes by current times time and by nothing else.
 * Errors    lw_kibam_check refuses; the others are total on what it let pass and dt_h > 0.
 * Source    J. F. Manwell, J. G. McGowan, "Lead acid battery storage model for hybrid energy systems", Solar Energy
 *           50(5), 1993, 399-405.
 * Limits    constant current within a step; c and k are to be fitted to a maker's table, ranges are only recalled. */
#ifndef LW_CORE_POWER_KIBAM_H
#define LW_CORE_POWER_KIBAM_H

#include "core/base/err.h"

typedef struct lw_kibam {
    double qmax_ah, c, k_per_h;
} lw_kibam;

typedef struct lw_kibam_state {
    double q1_ah, q2_ah; /* available, bound */
} lw_kibam_state;

/* What depends only on the length of the step: prepared once for the usual step, anew for an odd one. */
typedef struct lw_kibam_phase {
    double dt_h;
    double share;                 /* c, or 1 where there is one well */
    double keep;                  /* e = exp(-k dt): the part of the first well's imbalance that is left after dt */
    double settle;                /* c (1 - e): what each Ah of the sum adds to the first well */
    double reach_h;               /* (1 - e)/k + c (k dt - 1 + e)/k: Ah taken from the first well for each A */
    double per_reach_h, per_dt_h; /* reciprocals, since a division is a tenth of a draw */
} lw_kibam_phase;

LW_MUST_USE lw_code lw_kibam_check(const lw_kibam *spec, const lw_kibam_state *state, lw_fault *fault);
lw_kibam_phase lw_kibam_phase_of(const lw_kibam *spec, double dt_h);

/* The wells in balance with each other at a total charge. */
lw_kibam_state lw_kibam_at_rest(const lw_kibam *spec, double q_ah);

/* Does not clip: a current beyond the limits below gives a well below zero or above its brim. */
static inline lw_kibam_state lw_kibam_step(const lw_kibam_phase *phase, lw_kibam_state s, double discharge_a)
{
    const double q_ah = s.q1_ah + s.q2_ah;
    const double q1_ah = s.q1_ah * phase->keep + q_ah * phase->settle - discharge_a * phase->reach_h;
    return (lw_kibam_state){.q1_ah = q1_ah, .q2_ah = (q_ah - discharge_a * phase->dt_h) - q1_ah};
}

/* The current that leaves the first well just empty. */
static inline double lw_kibam_max_discharge_a(const lw_kibam_phase *phase, lw_kibam_state s)
{
    return (s.q1_ah * phase->keep + (s.q1_ah + s.q2_ah) * phase->settle) * phase->per_reach_h;
}

/* The charging current, as a positive number, that leaves the first well just full. */
static inline double lw_kibam_max_charge_a(const lw_kibam *spec, const lw_kibam_phase *phase, lw_kibam_state s)
{
    const double settled_ah = s.q1_ah * phase->keep + (s.q1_ah + s.q2_ah) * phase->settle;
    return (phase->share * spec->qmax_ah - settled_ah) * phase->per_reach_h;
}

/* Charge that comes out at a constant current which empties the first well, from full, in just this time. */
double lw_kibam_capacity_ah(const lw_kibam *spec, double discharge_h);

#endif
