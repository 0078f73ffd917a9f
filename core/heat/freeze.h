/* core/heat/freeze.h: how cold the tank bay gets, and for how long.
 *
 * Computes  bay temperature: a mix of inside and outside by kind of bay, followed with a lag; power of a heating pad;
 *           two clocks of hours below a threshold; time to freeze a tank.
 * Inputs    lw_bay_spec: share of inside in the mix (without and with the furnace blowing in), lag_s, pad, threshold_c;
 *           decay_full = exp(-step_s / lag_s) when the caller keeps it, else 0.
 *           lw_bay_in: bay_c and clocks at the start, inside_c, outside_c, is_furnace_on, is_pad_on, step_s.
 * Results   bay_c at the end; pad_w mean; clocks in hours; warnings.
 * Errors    LW_E_RANGE from lw_bay_check.
 * Source    trade practice: valve and hose outside, below -1 C for 3-4 h; pipes and tanks under an unheated floor: below -4 C
 *           outside for 4-6 h, heated belly -9 to -12; pads 40-120 W, on below 7 C. Time to freeze: physics.
 * Limits    the mix is set so that the bay reaches 0 C at those outside temperatures with 18 C inside (ours); lags are
 *           from memory; water's own heat and the heat of freezing are not in the bay. A clock falls back, above its
 *           threshold, as fast as it rose (ours). Warnings are at the early end of the ranges. */
#ifndef LW_CORE_HEAT_FREEZE_H
#define LW_CORE_HEAT_FREEZE_H

#include "core/base/err.h"

#define LW_HOSE_FREEZE_C (-1.0)
#define LW_HOSE_WARN_H   3.0
#define LW_PIPE_WARN_H   4.0
#define LW_PAD_ON_C      7.0 /* pads warm what is colder */

typedef enum lw_bay_kind {
    LW_BAY_KIND_EXPOSED = 0,
    LW_BAY_KIND_ENCLOSED,
    LW_BAY_KIND_DUCTED,
    LW_BAY_KIND_PAD,
    LW_BAY_KIND_COUNT
} lw_bay_kind;

typedef struct lw_bay_spec {
    double inside_frac, inside_blown_frac;
    double lag_s, decay_full;
    double pad_max_w, pad_ua_wk; /* pad_ua_wk: conductance of what the pad warms */
    double threshold_c;          /* of the bay, for the pipe clock */
} lw_bay_spec;

typedef struct lw_bay_in {
    double bay_c, hose_h, pipe_h;
    double inside_c, outside_c, step_s;
    int is_furnace_on, is_pad_on;
} lw_bay_in;

typedef struct lw_bay_out {
    double bay_c, mean_c, pad_w, hose_h, pipe_h;
    int is_hose_freezing, is_pipe_freezing;
} lw_bay_out;

typedef struct lw_tank_freeze_in {
    double water_kg, water_c, around_c, ua_wk;
    double frozen_frac; /* 0: until the first ice */
} lw_tank_freeze_in;

lw_bay_spec lw_bay_of(lw_bay_kind kind);

LW_MUST_USE lw_code lw_bay_check(const lw_bay_spec *bay, const lw_bay_in *in, lw_fault *fault);
void lw_bay_step(const lw_bay_spec *bay, const lw_bay_in *in, lw_bay_out *out);

/* Hours until a full tank has cooled to 0 C and the share is frozen, mean difference: between the half-way
 * temperature and around while cooling, 0 C and around while freezing. INFINITY where it never freezes. */
double lw_tank_freeze_h(const lw_tank_freeze_in *in);

#endif
