/* core/plan/runs.h: when to go on errands during a stay, and what to combine: the cheapest runs that leave no supply short.
 *
 * Computes   For every day at most one run, of one type, to some services, so that each supply is covered on each day, at the
 *            least sum of costs.
 * Model      Days 0 .. days - 1. From the arrival supply k is covered through day first[k] - 1. A run on day d of type r that serves
 *            k covers it through day d + lasts[k][r][d]; the days to d itself must be covered before, as nobody knows the hour.
 *            A run drives to its farthest service and back, the others lie on the way: hours = the type's own + 2 x the
 *            longest road + time at each service; it needs so many whole hours in a row that are free for the type,
 *            and a service must be open in those hours but the road to and from it. Cost = the type's own + hours x value
 *            of an hour + km x cost a km + fees.
 * Exact      for that model: labels by day (cost, day through which each supply is covered), of which one is dropped only where
 *            another costs no more and covers no less, or where it cannot be better than a plan at hand. The same
 *            optimum as an integer program solved by a general solver (tests/core/test_runs.c).
 * Inputs     lw_runs_in that passed lw_runs_check; memory from an arena of lw_runs_bytes.
 * Results    lw_runs_out; is_found 0: no runs at all keep every supply covered; then short_supply cannot be kept by any.
 * Errors     LW_E_RANGE from lw_runs_check; LW_E_FULL when the arena is too small or labels run out. */
#ifndef LW_CORE_PLAN_RUNS_H
#define LW_CORE_PLAN_RUNS_H

#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/err.h"

enum {
    LW_RUN_DAYS = 124, /* or half-days: `until` of a label is a byte */
    LW_RUN_SERVICES = 12,
    LW_RUN_TYPES = 3,
    LW_RUN_SUPPLIES = 10,
    LW_RUN_LABELS = 400000,
};

typedef struct lw_run_service {
    uint32_t gives;             /* bit per supply */
    double road_h, road_km;     /* one way */
    double time_h, fee_usd;     /* there */
    uint32_t open[LW_RUN_DAYS]; /* bit per civil hour of the day */
} lw_run_service;

typedef struct lw_run_type {
    uint32_t carries;           /* bit per supply that can be served with it */
    double own_h, own_usd;      /* packing, tearing down and setting up; nuisance in money */
    double km_usd, more_h;      /* a km; more hours at each service, for pouring and pumping */
    uint32_t free[LW_RUN_DAYS]; /* hours in which it may be under way */
} lw_run_type;

typedef struct lw_runs_in {
    int days, supply_count, service_count, type_count;
    double hour_usd;
    int first[LW_RUN_SUPPLIES]; /* days covered from the arrival */
    int lasts[LW_RUN_SUPPLIES][LW_RUN_TYPES][LW_RUN_DAYS];
    lw_run_service service[LW_RUN_SERVICES];
    lw_run_type type[LW_RUN_TYPES];
} lw_runs_in;

typedef struct lw_run {
    int day, type, from_hour, hours; /* civil hour of setting out, whole hours kept free */
    uint32_t services, supplies;     /* bits */
    double usd, road_h, road_km, spent_h;
} lw_run;

typedef struct lw_runs_out {
    int is_found, short_supply; /* -1: none by itself */
    double usd;
    lw_run run[LW_RUN_DAYS];
    int count;
    int labels; /* made */
} lw_runs_out;

LW_MUST_USE lw_code lw_runs_check(const lw_runs_in *in, lw_fault *fault);
size_t lw_runs_bytes(void);
LW_MUST_USE lw_code lw_runs_plan(const lw_runs_in *in, lw_arena *arena, lw_runs_out *out, lw_fault *fault);

/* The first hour at which such a run fits on that day, and how many whole hours it takes; -1: it does not fit. */
int lw_run_fits(const lw_runs_in *in, int day, int type, uint32_t services, int *hours);

#endif
