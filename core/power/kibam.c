#include "core/power/kibam.h"

#include <math.h>

static const double ONE_WELL = 0.999; /* a bound share this small changes no hour by more than 0.1 % */

lw_code lw_kibam_check(const lw_kibam *spec, const lw_kibam_state *state, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "qmax_ah", spec->qmax_ah, 1e-3, 1e6);
    if (!bad)
        bad = lw_want_range(fault, "c", spec->c, 0.01, 1.0);
    if (!bad)
        bad = lw_want_range(fault, "k_per_h", spec->k_per_h, 1e-4, 1e3);
    if (!bad)
        bad = lw_want_range(fault, "q1_ah", state->q1_ah, 0.0, spec->qmax_ah);
    return bad ? bad : lw_want_range(fault, "q2_ah", state->q2_ah, 0.0, spec->qmax_ah);
}

lw_kibam_phase lw_kibam_phase_of(const lw_kibam *spec, double dt_h)
{
    if (spec->c >= ONE_WELL)
        return (lw_kibam_phase){.dt_h = dt_h,
                                .share = 1.0,
                                .keep = 1.0,
                                .settle = 0.0,
                                .reach_h = dt_h,
                                .per_reach_h = 1.0 / dt_h,
                                .per_dt_h = 1.0 / dt_h};
    const double gone = -expm1(-spec->k_per_h * dt_h); /* 1 - e without loss of figures for short steps */
    const double fast_h = gone / spec->k_per_h;
    const double reach_h = fast_h + spec->c * (dt_h - fast_h); /* (k dt - 1 + e)/k is dt - (1 - e)/k */
    return (lw_kibam_phase){
        .dt_h = dt_h,
        .share = spec->c,
        .keep = 1.0 - gone,
        .settle = spec->c * gone,
        .reach_h = reach_h,
        .per_reach_h = 1.0 / reach_h,
        .per_dt_h = 1.0 / dt_h,
    };
}

lw_kibam_state lw_kibam_at_rest(const lw_kibam *spec, double q_ah)
{
    const double q1_ah = spec->c >= ONE_WELL ? q_ah : spec->c * q_ah;
    return (lw_kibam_state){.q1_ah = q1_ah, .q2_ah = q_ah - q1_ah};
}

double lw_kibam_capacity_ah(const lw_kibam *spec, double discharge_h)
{
    const lw_kibam_phase phase = lw_kibam_phase_of(spec, discharge_h);
    return spec->qmax_ah * phase.share * discharge_h / phase.reach_h;
}
