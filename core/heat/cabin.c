#include "core/heat/cabin.h"

#include <math.h>

#include "core/base/exp.h"
#include "core/base/hot.h"
#include "core/base/num.h"

/* What is left of a step, and the sums over what has passed. */
typedef struct course {
    double now_c, left_s;
    double above_ks;      /* integral of T - outside */
    double vent_above_ks; /* the same, only while vents are wide open */
    double heat_j, vent_held_j, cool_j;
    double held_s; /* by the furnace, at its set-point */
} course;

/* Where each device begins to work; a missing device begins nowhere. */
typedef struct edges {
    double heat_c, vent_c, cool_c;
} edges;

lw_code lw_cabin_check(const lw_cabin *cabin, const lw_cabin_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"ua_wk", cabin->ua_wk, 0.0, 1e5},
        {"mass_jk", cabin->mass_jk, 1e3, 1e9},
        {"decay_full", cabin->decay_full, 0.0, 1.0},
        {"start_c", in->start_c, -100.0, 150.0},
        {"outside_c", in->outside_c, -100.0, 80.0},
        {"gain_w", in->gain_w, 0.0, 1e6},
        {"heat_max_w", in->heat_max_w, 0.0, 1e6},
        {"heat_set_c", in->heat_set_c, -50.0, 60.0},
        {"vent_max_wk", in->vent_max_wk, 0.0, 1e6},
        {"vent_set_c", in->vent_set_c, in->vent_max_wk > 0.0 && in->heat_max_w > 0.0 ? in->heat_set_c : -50.0, 80.0},
        {"cool_max_w", in->cool_max_w, 0.0, 1e6},
        {"cool_set_c", in->cool_set_c, in->cool_max_w > 0.0 && in->heat_max_w > 0.0 ? in->heat_set_c : -50.0, 80.0},
        {"step_s", in->step_s, 1e-3, 864000.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

/* Holds the present temperature to the end of the step with the device that stands at it. */
static void hold(const lw_cabin *cabin, const lw_cabin_in *in, const edges *at, course *run)
{
    const double above_k = run->now_c - in->outside_c;
    const double heat_w = run->now_c < at->heat_c ? in->heat_max_w : 0.0;
    const double vent_wk = run->now_c > at->vent_c ? in->vent_max_wk : 0.0;
    const double cool_w = run->now_c > at->cool_c ? in->cool_max_w : 0.0;
    const double surplus_w = in->gain_w + heat_w - cool_w - (cabin->ua_wk + vent_wk) * above_k;
    double held_heat_w = 0.0, held_vent_w = 0.0, held_cool_w = 0.0;
    if (surplus_w < 0.0) {
        held_heat_w = run->now_c <= at->heat_c && !(heat_w > 0.0) ? -surplus_w : 0.0;
    } else {
        /* Where both could hold, moving air is cheaper than a compressor. */
        held_vent_w =
            run->now_c >= at->vent_c && !(vent_wk > 0.0) ? lw_least(surplus_w, in->vent_max_wk * above_k) : 0.0;
        held_cool_w = run->now_c >= at->cool_c && !(cool_w > 0.0) ? surplus_w - held_vent_w : 0.0;
    }
    run->above_ks += above_k * run->left_s;
    run->vent_above_ks += vent_wk > 0.0 ? above_k * run->left_s : 0.0;
    run->heat_j += (heat_w + held_heat_w) * run->left_s;
    run->held_s += held_heat_w > 0.0 ? run->left_s : 0.0;
    run->vent_held_j += held_vent_w * run->left_s;
    run->cool_j += (cool_w + held_cool_w) * run->left_s;
    run->left_s = 0.0;
}

static double next_edge(const edges *at, double now_c, int is_rising)
{
    double next_c = is_rising ? INFINITY : -INFINITY;
    const double edge_c[] = {at->heat_c, at->vent_c, at->cool_c};
    for (int i = 0; i < 3; i++) {
        if (is_rising && edge_c[i] > now_c && edge_c[i] < next_c)
            next_c = edge_c[i];
        if (!is_rising && edge_c[i] < now_c && edge_c[i] > next_c)
            next_c = edge_c[i];
    }
    return next_c;
}

/* (x - 1 + exp(-x)) / x^2 and (1 - exp(-x)) / x for small x. */
static double series2(double x)
{
    const double x2 = x * x;
    return LW_CABIN_SERIES(x, x2, x2 * x2);
}

static double series1(double x)
{
    return 1.0 - x * series2(x);
}

/* One exponential towards its own equilibrium, up to the next set-point or the end of the step. `net_w` is the power
 * into the mass at the phase's start, `wk` the conductance in the phase. Returns the phase's length. */
static double drift(const lw_cabin *cabin, const lw_cabin_in *in, double next_c, double wk, double net_w, course *run)
{
    const double per_mass = 1.0 / cabin->mass_jk, rate_kps = net_w * per_mass, k_ps = wk * per_mass;
    const double lag_s = cabin->mass_jk / wk; /* of use where there is a conductance */
    double phase_s = run->left_s, x = k_ps * phase_s, change_k;
    if (x < LW_CABIN_SERIES_BELOW) {
        change_k = rate_kps * phase_s * series1(x);
    } else {
        /* Only venting adds to ua, so an equal conductance over the whole step is the one the caller prepared. */
        const int is_whole = cabin->decay_full > 0.0 && !(wk > cabin->ua_wk) && !(phase_s < in->step_s);
        change_k = rate_kps * lag_s * (1.0 - (is_whole ? cabin->decay_full : lw_exp(-x)));
    }
    const double to_edge_k = next_c - run->now_c;
    const int is_crossing = rate_kps > 0.0 ? change_k >= to_edge_k : change_k <= to_edge_k;
    if (is_crossing) {
        /* Time by the logarithm; the integral below then closes the balance whatever its last bit. */
        const double straight_s = to_edge_k / rate_kps, share = k_ps * straight_s;
        const double reach_s = share > 0.0 ? -lw_log1p(-share) * lag_s : straight_s;
        phase_s = reach_s < run->left_s ? reach_s : run->left_s;
        x = k_ps * phase_s;
        change_k = to_edge_k;
    }
    const double rise_ks =
        x < LW_CABIN_SERIES_BELOW ? rate_kps * phase_s * phase_s * series2(x) : (rate_kps * phase_s - change_k) * lag_s;
    const double above_ks = (run->now_c - in->outside_c) * phase_s + rise_ks;
    run->above_ks += above_ks;
    run->vent_above_ks += wk > cabin->ua_wk ? above_ks : 0.0;
    run->now_c = is_crossing ? next_c : run->now_c + change_k;
    run->left_s = is_crossing ? run->left_s - phase_s : 0.0;
    return phase_s;
}

/* A device holds its own set-point all through the step. Returns 0 where none does; above_k is that of the start. */
static int hold_whole(const lw_cabin *cabin, const lw_cabin_in *in, const edges *at, double above_k, lw_cabin_out *out)
{
    const double loss_w = cabin->ua_wk * above_k, surplus_w = in->gain_w - loss_w,
                 most_vent_w = in->vent_max_wk * above_k;
    const int is_at_vent = in->start_c >= at->vent_c && in->start_c <= at->vent_c;
    const double vented_w = in->start_c > at->vent_c ? most_vent_w : 0.0;
    *out = (lw_cabin_out){.end_c = in->start_c,
                          .mean_c = in->start_c,
                          .min_c = in->start_c,
                          .max_c = in->start_c,
                          .conduction_w = loss_w};
    if (in->start_c >= at->heat_c && in->start_c <= at->heat_c) {
        out->heat_w = -surplus_w;
        out->held_frac = 1.0;
        return surplus_w < 0.0 && -surplus_w <= in->heat_max_w && in->start_c < at->vent_c && in->start_c < at->cool_c;
    }
    if (is_at_vent) {
        out->vent_w = surplus_w;
        return surplus_w >= 0.0 && surplus_w <= most_vent_w && in->start_c < at->cool_c;
    }
    out->vent_w = vented_w;
    out->cool_w = surplus_w - vented_w;
    return in->start_c >= at->cool_c && in->start_c <= at->cool_c && out->cool_w >= 0.0 &&
           out->cool_w <= in->cool_max_w;
}

/* The temperature floats, with vents shut or wide open, without meeting a set-point. Returns 0 where it meets one. */
static int float_whole(const lw_cabin *cabin, const lw_cabin_in *in, const edges *at, double above_k, lw_cabin_out *out)
{
    const int is_open = in->start_c > at->vent_c;
    const double low_c = is_open ? at->vent_c : at->heat_c, vent_wk = is_open ? in->vent_max_wk : 0.0;
    const double high_c = is_open || at->cool_c < at->vent_c ? at->cool_c : at->vent_c;
    const double wk = cabin->ua_wk + vent_wk, x = wk * (in->step_s * (1.0 / cabin->mass_jk));
    if (LW_SELDOM(!(x >= LW_CABIN_SERIES_BELOW && in->start_c > low_c && in->start_c < high_c)))
        return 0;
    const double decay = cabin->decay_full > 0.0 && !is_open ? cabin->decay_full : lw_exp(-x);
    const double per_wk = 1.0 / wk, per_s = 1.0 / in->step_s;
    const double pull_k = in->gain_w * per_wk - above_k; /* from here to where it would settle */
    const double change_k = pull_k * (1.0 - decay), end_c = in->start_c + change_k;
    if (!(end_c > low_c && end_c < high_c))
        return 0;
    const double mean_above_k = above_k + pull_k - change_k * (cabin->mass_jk * per_wk * per_s);
    *out = (lw_cabin_out){.end_c = end_c,
                          .mean_c = in->outside_c + mean_above_k,
                          .min_c = lw_least(in->start_c, end_c),
                          .max_c = in->start_c > end_c ? in->start_c : end_c,
                          .conduction_w = cabin->ua_wk * mean_above_k,
                          .vent_w = vent_wk * mean_above_k,
                          .stored_w = cabin->mass_jk * change_k * per_s};
    return 1;
}

void lw_cabin_step(const lw_cabin *cabin, const lw_cabin_in *in, lw_cabin_out *out)
{
    const edges at = {
        .heat_c = in->heat_max_w > 0.0 ? in->heat_set_c : -INFINITY,
        .vent_c = !(in->vent_max_wk > 0.0)         ? INFINITY
                  : in->vent_set_c > in->outside_c ? in->vent_set_c
                                                   : in->outside_c,
        .cool_c = in->cool_max_w > 0.0 ? in->cool_set_c : INFINITY,
    };
    /* Nine steps in ten are one of these two, worth a tenth of the time. */
    const double start_above_k = in->start_c - in->outside_c;
    const int is_at_edge = (in->start_c >= at.heat_c && in->start_c <= at.heat_c) ||
                           (in->start_c >= at.vent_c && in->start_c <= at.vent_c) ||
                           (in->start_c >= at.cool_c && in->start_c <= at.cool_c);
    if (LW_MOSTLY(is_at_edge ? hold_whole(cabin, in, &at, start_above_k, out)
                             : float_whole(cabin, in, &at, start_above_k, out)))
        return;
    course run = {.now_c = in->start_c, .left_s = in->step_s};
    for (int i = 0; i < LW_CABIN_PHASES && run.left_s > 0.0; i++) {
        const double above_k = run.now_c - in->outside_c, free_w = in->gain_w - cabin->ua_wk * above_k;
        const double vent_w = in->vent_max_wk * above_k;
        /* Power into the mass a hair above and a hair below the present temperature. */
        const double over_w = free_w + (run.now_c < at.heat_c ? in->heat_max_w : 0.0) -
                              (run.now_c >= at.vent_c ? vent_w : 0.0) - (run.now_c >= at.cool_c ? in->cool_max_w : 0.0);
        const double under_w = free_w + (run.now_c <= at.heat_c ? in->heat_max_w : 0.0) -
                               (run.now_c > at.vent_c ? vent_w : 0.0) - (run.now_c > at.cool_c ? in->cool_max_w : 0.0);
        if (over_w <= 0.0 && under_w >= 0.0) {
            hold(cabin, in, &at, &run);
            break;
        }
        const int is_rising = over_w > 0.0;
        const int is_heating = is_rising ? run.now_c < at.heat_c : run.now_c <= at.heat_c;
        const int is_venting = is_rising ? run.now_c >= at.vent_c : run.now_c > at.vent_c;
        const int is_cooling = is_rising ? run.now_c >= at.cool_c : run.now_c > at.cool_c;
        const double phase_s =
            drift(cabin, in, next_edge(&at, run.now_c, is_rising), cabin->ua_wk + (is_venting ? in->vent_max_wk : 0.0),
                  is_rising ? over_w : under_w, &run);
        run.heat_j += is_heating ? in->heat_max_w * phase_s : 0.0;
        run.cool_j += is_cooling ? in->cool_max_w * phase_s : 0.0;
    }
    const double per_s = in->step_s > 0.0 ? 1.0 / in->step_s : 0.0;
    const double mean_above_k = in->step_s > 0.0 ? run.above_ks * per_s : in->start_c - in->outside_c;
    *out = (lw_cabin_out){
        .end_c = run.now_c,
        .mean_c = in->outside_c + mean_above_k,
        .min_c = lw_least(in->start_c, run.now_c),
        .max_c = in->start_c > run.now_c ? in->start_c : run.now_c,
        .heat_w = run.heat_j * per_s,
        .conduction_w = cabin->ua_wk * run.above_ks * per_s,
        .vent_w = (in->vent_max_wk * run.vent_above_ks + run.vent_held_j) * per_s,
        .held_frac = run.held_s * per_s,
        .cool_w = run.cool_j * per_s,
        .stored_w = cabin->mass_jk * (run.now_c - in->start_c) * per_s,
    };
}
