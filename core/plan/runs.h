/* core/plan/runs.h: when to go on errands during a stay, and what to combine: the cheapest runs that leave no supply short.
 *
 * Computes   For every slot (a day or a part of one) at most one run, of one type, to some services for some supplies, so that each
 *            supply lasts to the end, at the least sum of costs.
 * Model      Time goes in ticks of tick_h hours from the start. Supply k is covered through tick first[k]. A run in slot s that is back
 *            at hour h of the day serves supplies that are covered through that moment, rounded up to a tick. With a run of type r, k is
 *            covered afterwards through full[k][r][s] + the ticks from the slot's midnight to h, where the run fills or empties it
 *            whole; where the run brings (or takes) a measured amount, through more[k][r][t] from coverage through t, but no
 *            further than that. Never less than before.
 *            A run drives to its farthest service and back; the others lie on the way and are called at going out, the nearest
 *            first, or all coming back. Hours = the type's own, half of them before and half after + 2 x the longest road + time
 *            at each service + the type's for each supply served, in camp. It sets out at a whole hour, the first or the last at
 *            which all of it lies in hours free for the type, and each service is open in every hour in which it is called at.
 *            Cost = the type's own + hours x value of an hour + km x cost a km + fees of the services + what each supply costs where it
 *            costs least of them. Of services for the same supplies the cheapest that can be called at then are.
 * How        A bound for what is still to come, in parts that add up: the one or two supplies that end soonest, together, with all runs
 *            there are; every other supply by itself, paying its share of the runs (Lagrange multipliers by subgradient steps), which
 *            the first part is spared. Then labels by slot (cost, coverage of each supply), of which one is dropped where another costs
 *            no more and covers no less, or where it cannot be better than a plan at hand; coverage that no run to come can tell
 *            from less is set down to that. The first plans come from the same with few labels a slot; runs in no better plan go out.
 * Exact      for that model, where is_proven: the same optimum as an integer program solved by a general solver
 *            (tests/core/test_runs.c). Otherwise the best plan found, and bound_usd, below which there is none. Up to 14 days and five
 *            services all of the test's 200 cases are proven; of 60 days, twelve services, three types and eight supplies about
 *            one in six is; the bound lies 2.2 % below in the mean, 10 % at most (70 cases).
 * Inputs     lw_runs_in that passed lw_runs_check; memory from an arena of lw_runs_bytes.
 * Results    lw_runs_out; is_found 0: no runs at all keep every supply covered; then short_supply cannot be kept by any.
 * Errors     LW_E_RANGE from lw_runs_check; LW_E_FULL when the arena is too small.
 * Source     Lagrange bounds: M. Held, R. M. Karp, The traveling-salesman problem and minimum spanning trees II, 1971; steps that keep half
 *            of the way before: H. D. Sherali, O. Ulular, A primal-dual conjugate subgradient algorithm, 1989 (both from memory). */
#ifndef LW_CORE_PLAN_RUNS_H
#define LW_CORE_PLAN_RUNS_H

#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/err.h"

enum {
    LW_RUN_SLOTS = 124,
    LW_RUN_TICKS = 512, /* of the whole stay, at most */
    LW_RUN_SERVICES = 12,
    LW_RUN_TYPES = 3,
    LW_RUN_SUPPLIES = 10,
    LW_RUN_LABELS = 300000,
    LW_RUN_WHOLE = -1, /* in more: such a run serves it whole */
};

typedef struct lw_run_service {
    uint32_t gives;         /* bit per supply */
    double road_h, road_km; /* one way */
    double time_h, fee_usd; /* there */
    double each_usd
        [LW_RUN_SUPPLIES]; /* for what is got there; below 0: so much of the fee falls away, of all together no more than the fee */
    uint32_t open[LW_RUN_SLOTS]; /* bit per civil hour of the day */
} lw_run_service;

typedef struct lw_run_type {
    uint32_t carries;               /* bit per supply that can be served with it */
    double own_h, own_usd;          /* packing, tearing down and setting up; nuisance in money */
    double km_usd, more_h;          /* a km; more hours at each service */
    double each_h[LW_RUN_SUPPLIES]; /* pumping, pouring and lifting */
    uint32_t free[LW_RUN_SLOTS];    /* hours in which it may be under way */
} lw_run_type;

typedef struct lw_runs_in {
    int slots, supply_count, service_count, type_count;
    double hour_usd;
    int end;                                 /* tick through which all must last */
    double tick_h, midnight_h[LW_RUN_SLOTS]; /* of the slot's day, hours from tick 0; not falling */
    int first[LW_RUN_SUPPLIES];
    uint32_t with[LW_RUN_SUPPLIES]; /* supplies that are served along wherever they can be: grey with black */
    int16_t full[LW_RUN_SUPPLIES][LW_RUN_TYPES][LW_RUN_SLOTS];
    int16_t more[LW_RUN_SUPPLIES][LW_RUN_TYPES]
                [LW_RUN_TICKS + 1]; /* not falling; [0] LW_RUN_WHOLE: no measured amount */
    lw_run_service service[LW_RUN_SERVICES];
    lw_run_type type[LW_RUN_TYPES];
} lw_runs_in;

typedef struct lw_run {
    int slot, type, from_hour;   /* civil hour of setting out */
    int is_way_back;             /* the nearer services are called at on the way back */
    uint32_t services, supplies; /* bits */
    double usd, road_h, road_km, spent_h;
} lw_run;

typedef struct lw_runs_out {
    int is_found, is_proven, short_supply; /* -1: none by itself */
    double usd, bound_usd;
    lw_run run[LW_RUN_SLOTS];
    int count;
    int labels; /* made */
} lw_runs_out;

LW_MUST_USE lw_code lw_runs_check(const lw_runs_in *in, lw_fault *fault);
size_t lw_runs_bytes(void);
LW_MUST_USE lw_code lw_runs_plan(const lw_runs_in *in, lw_arena *arena, lw_runs_out *out, lw_fault *fault);

/* The tick through which a supply is covered by a run that is back at that hour of the slot's day. */
int lw_run_covers(const lw_runs_in *in, int supply, int type, int slot, double back_h, int covered);

/* The first (or last) hour at which such a run fits in that slot; -1: it does not fit. */
int lw_run_fits(const lw_runs_in *in, int slot, int type, uint32_t services, uint32_t supplies, int is_last);

#endif
