/* core/plan/runs_internal.h: what the parts of core/plan/runs share: the runs that can be made in a slot, the bound, the search. */
#ifndef LW_CORE_PLAN_RUNS_INTERNAL_H
#define LW_CORE_PLAN_RUNS_INTERNAL_H

#include <math.h>

#include "core/plan/runs.h"

enum {
    LW_RUN_MASKS = 1 << LW_RUN_SUPPLIES,
    LW_RUN_WAYS = 2 * LW_RUN_TYPES, /* setting out first or last */
    LW_RUN_MOMENTS = 160,           /* of a slot: types x ticks of being back, before and behind */
    LW_RUN_LEADS = 2,
    LW_RUN_LEAD_STATES = 1 << 19, /* of all slots */
    LW_RUN_CHILDREN = 100000,     /* labels of a slot before the needless are dropped */
};

/* Sums over sets of supplies, each of two halves of a set looked up: most runs of a slot are only weighed. */
enum { LW_RUN_HALF = LW_RUN_SUPPLIES / 2, LW_RUN_HALVES = 1 << LW_RUN_HALF };

typedef struct lw_run_sums {
    double of[2][LW_RUN_HALVES];
} lw_run_sums;

static inline void lw_run_sums_make(const double each[LW_RUN_SUPPLIES], lw_run_sums *sums)
{
    for (int h = 0; h < 2; h++) {
        sums->of[h][0] = 0.0;
        for (int k = 0; k < LW_RUN_HALF; k++)
            for (int i = 0; i < 1 << k; i++)
                sums->of[h][(1 << k) + i] = sums->of[h][i] + each[h * LW_RUN_HALF + k];
    }
}

static inline double lw_run_sum(const lw_run_sums *sums, uint32_t supplies)
{
    return sums->of[0][supplies & (LW_RUN_HALVES - 1)] + sums->of[1][supplies >> LW_RUN_HALF];
}

/* The cheapest run of a slot and type that serves just these supplies, setting out at the first hour or at the last. */
typedef struct lw_run_option {
    double usd, back_h; /* hour of the slot's day */
    uint32_t services, supplies;
    int16_t type, way; /* way: 2 x type, + 1 at the last hour */
    int16_t from_hour;
    int16_t need, shift; /* tick of being back, rounded up; ticks since the slot's midnight */
    int16_t moment;      /* of the slot: type, need and shift */
} lw_run_option;

/* What each supply costs at the cheapest of the services; of a set of services by itself. */
typedef struct lw_run_visit {
    double usd, each_usd[LW_RUN_SUPPLIES];
    uint32_t supplies, priced; /* priced: leaving it out may cost less */
} lw_run_visit;

typedef struct lw_run_options {
    lw_run_visit (*visit)[1 << LW_RUN_SERVICES]; /* by type and services */
    lw_run_option *option;                       /* of all slots, one after the other */
    int first[LW_RUN_SLOTS + 1];
} lw_run_options;

double lw_run_hours(const lw_runs_in *in, int type, uint32_t services, uint32_t supplies);
int lw_run_goes_back(const lw_runs_in *in, int slot, int type, uint32_t services, uint32_t supplies, int is_last);
double lw_run_km(const lw_runs_in *in, uint32_t services);
void lw_run_options_find(const lw_runs_in *in, lw_run_options *options); /* room for slots x ways x LW_RUN_MASKS */

/* Runs of a slot that differ only in cost and in supplies that do not lead. */
typedef struct lw_run_class {
    double usd; /* the least that the others' shares leave to be paid */
    int best;   /* option of that; -1: outdone by another class */
    int16_t type, need, shift;
    uint16_t leads; /* bit per lead */
} lw_run_class;

/* The least that is still to come from a slot on, in parts that add up: the leads, which are the one or two supplies that end
 * soonest, together, with all runs there are at what the others leave to be paid of them; each other supply by itself, which
 * pays its shares. */
typedef struct lw_run_bound {
    int low[LW_RUN_SUPPLIES][LW_RUN_SLOTS + 1];          /* covered through less at the slot: it runs short */
    int most[LW_RUN_SUPPLIES][LW_RUN_SLOTS + 1];         /* covered through at most, at the slot */
    double (*least)[LW_RUN_SLOTS + 1][LW_RUN_TICKS + 1]; /* [supply][slot][covered through]; infinite: it runs short */
    double share[LW_RUN_SUPPLIES][LW_RUN_SLOTS][LW_RUN_WAYS]; /* what the supply pays of such a run */
    uint32_t served[LW_RUN_SLOTS][LW_RUN_WAYS];
    int need[LW_RUN_SLOTS][LW_RUN_WAYS], shift[LW_RUN_SLOTS][LW_RUN_WAYS]; /* the least and the most of such runs */
    int lead_count, lead[LW_RUN_LEADS];
    uint32_t leads; /* bits of them */
    double *lead_usd,
        *lead_before; /* [at[slot] + covered first x wide + covered second]; before: from the arrival on */
    int at[LW_RUN_SLOTS + 1], lead_low[LW_RUN_LEADS][LW_RUN_SLOTS + 1], wide[LW_RUN_LEADS][LW_RUN_SLOTS + 1];
    double other_usd[LW_RUN_SLOTS]; /* of the best run without leads, at most 0 */
    int other_best[LW_RUN_SLOTS];   /* -1: none is paid */
    lw_run_class *class;
    int *class_of; /* of each option; -1: without leads */
    int class_first[LW_RUN_SLOTS + 1];
    /* while it is raised */
    double gap[LW_RUN_SUPPLIES][LW_RUN_SLOTS][LW_RUN_WAYS], way[LW_RUN_SUPPLIES][LW_RUN_SLOTS][LW_RUN_WAYS],
        best_share[LW_RUN_SUPPLIES][LW_RUN_SLOTS][LW_RUN_WAYS];
} lw_run_bound;

void lw_run_bound_start(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *bound);
/* The least by the shares that keeps this supply covered, were it the only one; infinite: no runs do. */
double lw_run_bound_alone(const lw_runs_in *in, lw_run_bound *bound, int supply);
/* So many leads, or as many as there is room for; the shares of the others stay. */
void lw_run_bound_lead(const lw_runs_in *in, const lw_run_options *options, int leads, lw_run_bound *bound);
/* States x classes of runs in one step. */
double lw_run_bound_work(const lw_runs_in *in, const lw_run_bound *bound);
/* Shares by subgradient steps toward a plan of `usd` (infinite: none is known), at most so many; the best shares stay. Returns the
 * bound of the whole. */
double lw_run_bound_raise(const lw_runs_in *in, const lw_run_options *options, double usd, int steps,
                          lw_run_bound *bound);
/* Takes out the runs that are in no plan under `usd`: with one of them the leads' part would cost so much more than by the bound. */
void lw_run_options_fix(const lw_runs_in *in, double bound_usd, double usd, lw_run_bound *bound,
                        lw_run_options *options);

/* One entry of coverage of all supplies: eleven bits each, of which the highest stays free for comparing all at once. */
typedef struct lw_run_cover {
    uint64_t word[2];
} lw_run_cover;

typedef struct lw_run_label {
    double usd, bound; /* bound: with what is still to come */
    lw_run_cover cover;
    int parent, option; /* -1: the arrival; no run */
    int16_t slot;       /* of that run */
} lw_run_label;

typedef struct lw_run_search {
    const lw_runs_in *in;
    const lw_run_options *options;
    const lw_run_bound *bound;
    lw_run_label *label, *child;                          /* kept of all slots; of the slot at hand */
    int16_t (*round)[LW_RUN_SLOTS + 1][LW_RUN_TICKS + 1]; /* coverage that does no more than less of it, at that less */
    int label_count, child_count;
    int width;      /* labels of a slot that are kept at most */
    double cut_usd; /* the least bound of those left out; infinite: none */
    double best_usd;
    lw_runs_out *out;
} lw_run_search;

void lw_run_search_round(lw_run_search *p);
void lw_run_search_sweep(lw_run_search *p, int width); /* the best plan found goes to p->out */

static inline int lw_run_after(const lw_runs_in *in, int supply, int type, int slot, int shift, int covered)
{
    const int full = in->full[supply][type][slot] + shift, more = in->more[supply][type][covered];
    const int after = more == LW_RUN_WHOLE || more > full ? full : more;
    return after < covered ? covered : after > in->end ? in->end : after;
}

/* Of the leads from a slot on, covered through these; infinite: one runs short. */
static inline double lw_run_lead_least(const lw_run_bound *b, int slot, int first, int second)
{
    const int i = first - b->lead_low[0][slot], j = second - b->lead_low[1][slot];
    return i < 0 || j < 0 ? INFINITY : b->lead_usd[b->at[slot] + i * b->wide[1][slot] + j];
}

#endif
