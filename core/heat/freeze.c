#include "core/heat/freeze.h"

#include <math.h>

#include "core/base/exp.h"
#include "core/base/hot.h"

lw_bay_spec lw_bay_of(lw_bay_kind kind)
{
    /* With 18 C inside a share f gives 0 C at 18 f / (1 - f) below zero: 0.18 at -4, 0.37 at -10.5. */
    static const lw_bay_spec row[LW_BAY_KIND_COUNT] = {
        [LW_BAY_KIND_EXPOSED] = {.lag_s = 5400.0, .threshold_c = -4.0},
        [LW_BAY_KIND_ENCLOSED] = {.inside_frac = 0.18, .inside_blown_frac = 0.18, .lag_s = 14400.0},
        [LW_BAY_KIND_DUCTED] = {.inside_frac = 0.18, .inside_blown_frac = 0.37, .lag_s = 14400.0},
        [LW_BAY_KIND_PAD] =
            {.inside_frac = 0.18, .inside_blown_frac = 0.18, .lag_s = 14400.0, .pad_max_w = 80.0, .pad_ua_wk = 6.0},
    };
    return (size_t)kind < LW_BAY_KIND_COUNT ? row[kind] : row[LW_BAY_KIND_EXPOSED];
}

lw_code lw_bay_check(const lw_bay_spec *bay, const lw_bay_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"inside_frac", bay->inside_frac, 0.0, 1.0},
        {"inside_blown_frac", bay->inside_blown_frac, 0.0, 1.0},
        {"lag_s", bay->lag_s, 1.0, 1e7},
        {"decay_full", bay->decay_full, 0.0, 1.0},
        {"pad_max_w", bay->pad_max_w, 0.0, 5000.0},
        {"pad_ua_wk", bay->pad_ua_wk, bay->pad_max_w > 0.0 ? 0.01 : 0.0, 1e4},
        {"threshold_c", bay->threshold_c, -60.0, 20.0},
        {"bay_c", in->bay_c, -100.0, 100.0},
        {"hose_h", in->hose_h, 0.0, 1e6},
        {"pipe_h", in->pipe_h, 0.0, 1e6},
        {"inside_c", in->inside_c, -100.0, 100.0},
        {"outside_c", in->outside_c, -100.0, 80.0},
        {"step_s", in->step_s, 0.0, 864000.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

/* Share of a straight line from `from` to `to` that lies below the threshold. */
static double below_frac(double from, double to, double threshold)
{
    const int is_first = from < threshold, is_last = to < threshold;
    if (LW_MOSTLY(is_first == is_last))
        return is_first ? 1.0 : 0.0;
    const double share = (threshold - from) / (to - from);
    return is_first ? share : 1.0 - share;
}

static double clock_h(double hours, double below, double step_h)
{
    const double next_h = hours + (2.0 * below - 1.0) * step_h;
    return next_h > 0.0 ? next_h : 0.0;
}

void lw_bay_step(const lw_bay_spec *bay, const lw_bay_in *in, lw_bay_out *out)
{
    const double share = in->is_furnace_on ? bay->inside_blown_frac : bay->inside_frac;
    const double mix_c = in->outside_c + share * (in->inside_c - in->outside_c);
    const double wish_w = in->is_pad_on && mix_c < LW_PAD_ON_C ? bay->pad_ua_wk * (LW_PAD_ON_C - mix_c) : 0.0;
    const double pad_w = wish_w < bay->pad_max_w ? wish_w : bay->pad_max_w;
    const double target_c = mix_c + (pad_w > 0.0 ? pad_w / bay->pad_ua_wk : 0.0);
    const double decay = bay->decay_full > 0.0 ? bay->decay_full : lw_exp(-(in->step_s * (1.0 / bay->lag_s)));
    const double end_c = target_c + (in->bay_c - target_c) * decay;
    const double step_h = in->step_s * (1.0 / 3600.0);
    const double hose_h = clock_h(in->hose_h, in->outside_c < LW_HOSE_FREEZE_C ? 1.0 : 0.0, step_h);
    const double pipe_h = clock_h(in->pipe_h, below_frac(in->bay_c, end_c, bay->threshold_c), step_h);
    *out = (lw_bay_out){
        .bay_c = end_c,
        .mean_c = in->step_s > 0.0 ? target_c + (in->bay_c - end_c) * (bay->lag_s * (1.0 / in->step_s)) : in->bay_c,
        .pad_w = pad_w,
        .hose_h = hose_h,
        .pipe_h = pipe_h,
        .is_hose_freezing = hose_h > LW_HOSE_WARN_H,
        .is_pipe_freezing = pipe_h > LW_PIPE_WARN_H,
    };
}

double lw_tank_freeze_h(const lw_tank_freeze_in *in)
{
    static const double WATER_KJKGK = 4.19, ICE_KJKG = 334.0;
    if (!(in->around_c < 0.0) || !(in->ua_wk > 0.0))
        return INFINITY;
    const double cool_k = in->water_c > 0.0 ? in->water_c : 0.0;
    const double cool_h = in->water_kg * WATER_KJKGK * cool_k / (3.6 * in->ua_wk * (0.5 * cool_k - in->around_c));
    const double ice_h = in->water_kg * ICE_KJKG * in->frozen_frac / (3.6 * in->ua_wk * -in->around_c);
    return cool_h + ice_h;
}
