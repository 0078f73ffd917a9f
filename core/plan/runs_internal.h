/* core/plan/runs_internal.h: what the parts of core/plan/runs share: the runs that can be made in a slot, and the bound. */
#ifndef LW_CORE_PLAN_RUNS_INTERNAL_H
#define LW_CORE_PLAN_RUNS_INTERNAL_H

#include "core/plan/runs.h"

enum { LW_RUN_MASKS = 1 << LW_RUN_SUPPLIES, LW_RUN_WAYS = 2 * LW_RUN_TYPES /* setting out first or last */ };

/* The cheapest run of a slot and type that serves just these supplies, setting out at the first hour or at the last. */
typedef struct lw_run_option {
    double usd, back_h; /* hour of the slot's day */
    uint32_t services, supplies;
    int16_t type, way; /* way: 2 x type, + 1 at the last hour */
    int16_t from_hour;
    int16_t need, shift; /* tick of being back, rounded up; ticks since the slot's midnight */
} lw_run_option;

typedef struct lw_run_options {
    lw_run_option *option; /* of all slots, one after the other */
    int first[LW_RUN_SLOTS + 1];
} lw_run_options;

double lw_run_hours(const lw_runs_in *in, int type, uint32_t services, uint32_t supplies);
int lw_run_goes_back(const lw_runs_in *in, int slot, int type, uint32_t services, uint32_t supplies, int is_last);
double lw_run_km(const lw_runs_in *in, uint32_t services);
void lw_run_options_find(const lw_runs_in *in, lw_run_options *options); /* room for slots x ways x LW_RUN_MASKS */

/* Least cost from a slot on, supply by supply: shares of what the runs cost. */
typedef struct lw_run_bound {
    double (*least)[LW_RUN_SLOTS + 1][LW_RUN_TICKS + 1]; /* [supply][slot][covered through]; infinite: it runs short */
    double share[LW_RUN_SUPPLIES][LW_RUN_SLOTS][LW_RUN_WAYS]; /* what the supply pays of such a run */
    double rest[LW_RUN_SLOTS + 1]; /* not above 0: what runs from the slot on cost less than the shares they bring */
    int most[LW_RUN_SUPPLIES][LW_RUN_SLOTS + 1]; /* covered through at most, at the slot */
    uint32_t served[LW_RUN_SLOTS][LW_RUN_WAYS];
    int need[LW_RUN_SLOTS][LW_RUN_WAYS], shift[LW_RUN_SLOTS][LW_RUN_WAYS]; /* the least and the most of such runs */
} lw_run_bound;

void lw_run_bound_start(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *bound);
/* Shares by subgradient steps toward a plan of `usd`, at most so many; the best shares stay. Returns the bound of the whole. */
double lw_run_bound_raise(const lw_runs_in *in, const lw_run_options *options, double usd, int steps,
                          lw_run_bound *bound);

/* Takes out the runs that are in no plan under `usd`: with one of them its slot would cost so much more than by the bound. */
void lw_run_options_fix(const lw_runs_in *in, const lw_run_bound *bound, double bound_usd, double usd,
                        lw_run_options *options);

static inline int lw_run_after(const lw_runs_in *in, int supply, int type, int slot, int shift, int covered)
{
    const int full = in->full[supply][type][slot] + shift, more = in->more[supply][type][covered];
    const int after = more == LW_RUN_WHOLE || more > full ? full : more;
    return after < covered ? covered : after > in->end ? in->end : after;
}

#endif
