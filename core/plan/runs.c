#include "core/plan/runs.h"

#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/plan/runs_internal.h"

static const double EPS_H = 1e-9;
/* Labels of a slot x runs of all slots in one sweep; states of the leads x classes of runs in one raising: a fifth of a second each, so that all of it stays under one. */
static const double SWEEP_WORK = 5e6, RAISE_WORK = 7e7;

int lw_run_covers(const lw_runs_in *in, int supply, int type, int slot, double back_h, int covered)
{
    if (covered * in->tick_h < in->midnight_h[slot] + back_h - EPS_H)
        return covered;
    return lw_run_after(in, supply, type, slot, (int)floor(back_h / in->tick_h + EPS_H), covered);
}

/* ------------------------------------------------------------------ checks, and all of it */

static lw_code check_cover(const lw_runs_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "tick_h", in->tick_h, 1.0, 24.0);
    for (int s = 0; s < in->slots && !bad; s++)
        bad = lw_want_range(fault, "midnight_h", in->midnight_h[s], s > 0 ? in->midnight_h[s - 1] : 0.0, 1e5);
    for (int k = 0; k < in->supply_count && !bad; k++) {
        bad = lw_want_range(fault, "first", in->first[k], 0, LW_RUN_TICKS);
        for (int r = 0; r < in->type_count && !bad; r++) {
            for (int s = 0; s < in->slots && !bad; s++)
                bad = lw_want_range(fault, "full", in->full[k][r][s], 0, LW_RUN_TICKS);
            for (int u = 0; u <= in->end && !bad; u++)
                bad = in->more[k][r][0] == LW_RUN_WHOLE
                          ? lw_want_range(fault, "more", in->more[k][r][u], LW_RUN_WHOLE, LW_RUN_WHOLE)
                          : lw_want_range(fault, "more", in->more[k][r][u], u > 0 ? in->more[k][r][u - 1] : 0,
                                          LW_RUN_TICKS);
        }
    }
    return bad;
}

static lw_code check_service(const lw_run_service *s, int supplies, lw_fault *fault)
{
    const lw_want wants[] = {{"road_h", s->road_h, 0.0, 24.0},
                             {"road_km", s->road_km, 0.0, 2000.0},
                             {"time_h", s->time_h, 0.0, 24.0},
                             {"fee_usd", s->fee_usd, 0.0, 1e5}};
    lw_code bad = lw_want_all(fault, LW_WANTS(wants));
    double spared_usd = 0.0;
    for (int k = 0; k < supplies && !bad; k++) {
        spared_usd += lw_most(-s->each_usd[k], 0.0);
        bad = lw_want_range(fault, "each_usd", s->each_usd[k], -s->fee_usd, 1e5);
    }
    return bad ? bad : lw_want_range(fault, "each_usd", -spared_usd, -s->fee_usd, 0.0);
}

static lw_code check_type(const lw_run_type *t, int supplies, lw_fault *fault)
{
    const lw_want wants[] = {{"own_h", t->own_h, 0.0, 24.0},
                             {"own_usd", t->own_usd, 0.0, 1e6},
                             {"km_usd", t->km_usd, 0.0, 1e3},
                             {"more_h", t->more_h, 0.0, 24.0}};
    lw_code bad = lw_want_all(fault, LW_WANTS(wants));
    for (int k = 0; k < supplies && !bad; k++)
        bad = lw_want_range(fault, "each_h", t->each_h[k], 0.0, 24.0);
    return bad;
}

lw_code lw_runs_check(const lw_runs_in *in, lw_fault *fault)
{
    const lw_want counts[] = {
        {"slots", in->slots, 1, LW_RUN_SLOTS},
        {"supply_count", in->supply_count, 1, LW_RUN_SUPPLIES},
        {"service_count", in->service_count, 0, LW_RUN_SERVICES},
        {"type_count", in->type_count, 0, LW_RUN_TYPES},
        {"end", in->end, 1, LW_RUN_TICKS},
        {"hour_usd", in->hour_usd, 0.0, 1e6},
    };
    lw_code bad = lw_want_all(fault, LW_WANTS(counts));
    bad = bad ? bad : check_cover(in, fault);
    for (int j = 0; j < in->service_count && !bad; j++)
        bad = check_service(&in->service[j], in->supply_count, fault);
    for (int r = 0; r < in->type_count && !bad; r++)
        bad = check_type(&in->type[r], in->supply_count, fault);
    return bad;
}

static size_t options_most(void)
{
    return (size_t)LW_RUN_SLOTS * LW_RUN_WAYS * LW_RUN_MASKS;
}

typedef struct planner {
    lw_run_options options;
    lw_run_bound *bound;
    lw_run_search search;
} planner;

static size_t bound_bytes(void)
{
    return LW_RUN_SUPPLIES * sizeof(double[LW_RUN_SLOTS + 1][LW_RUN_TICKS + 1]) + options_most() * sizeof(int) +
           options_most() * sizeof(lw_run_class) + sizeof(double[2][LW_RUN_LEAD_STATES + 1]) + sizeof(lw_run_bound);
}

size_t lw_runs_bytes(void)
{
    return LW_RUN_TYPES * sizeof(lw_run_visit[1 << LW_RUN_SERVICES]) +
           (LW_RUN_LABELS + LW_RUN_CHILDREN) * sizeof(lw_run_label) + options_most() * sizeof(lw_run_option) +
           LW_RUN_SUPPLIES * sizeof(int16_t[LW_RUN_SLOTS + 1][LW_RUN_TICKS + 1]) + bound_bytes() + 1024;
}

static int lend(planner *p, lw_arena *arena)
{
    const size_t options = options_most(), states = LW_RUN_LEAD_STATES + 1;
    lw_run_search *s = &p->search;
    lw_run_bound *b = p->bound = lw_arena_lend(arena, sizeof *b, sizeof(double));
    if (!b)
        return 0;
    p->options.option = lw_arena_lend(arena, options * sizeof *p->options.option, sizeof(double));
    p->options.visit = lw_arena_lend(arena, LW_RUN_TYPES * sizeof *p->options.visit, sizeof(double));
    s->label = lw_arena_lend(arena, LW_RUN_LABELS * sizeof *s->label, sizeof(double));
    s->child = lw_arena_lend(arena, LW_RUN_CHILDREN * sizeof *s->child, sizeof(double));
    s->round = lw_arena_lend(arena, LW_RUN_SUPPLIES * sizeof *s->round, sizeof(double));
    b->least = lw_arena_lend(arena, LW_RUN_SUPPLIES * sizeof *b->least, sizeof(double));
    b->lead_usd = lw_arena_lend(arena, states * sizeof *b->lead_usd, sizeof(double));
    b->lead_before = lw_arena_lend(arena, states * sizeof *b->lead_before, sizeof(double));
    b->class = lw_arena_lend(arena, options * sizeof *b->class, sizeof(double));
    b->class_of = lw_arena_lend(arena, options * sizeof *b->class_of, sizeof(double));
    return p->options.option && p->options.visit && s->label && s->child && s->round && b->least && b->lead_usd &&
           b->lead_before && b->class && b->class_of;
}

/* Shares, a few labels a slot for a plan, runs that are in no better one out; again, less narrow. One lead to begin with: the
 * shares come near in a tenth of the time. */
static void search(planner *p)
{
    static const struct {
        int leads, steps, width;
    } ROUND[] = {{1, 80, 30}, {2, 80, 50}, {2, 100, 200}, {2, 100, 2000}};
    const lw_runs_in *in = p->search.in;
    lw_runs_out *out = p->search.out;
    int leads = 0;
    out->bound_usd = 0.0;
    for (size_t i = 0; i < sizeof ROUND / sizeof ROUND[0] && !out->is_proven; i++) {
        if (ROUND[i].leads != leads)
            lw_run_bound_lead(in, &p->options, leads = ROUND[i].leads, p->bound);
        const int steps = (int)lw_least(ROUND[i].steps, RAISE_WORK / lw_run_bound_work(in, p->bound));
        const double bound_usd = lw_run_bound_raise(in, &p->options, p->search.best_usd, steps, p->bound);
        out->bound_usd = lw_most(out->bound_usd, bound_usd);
        if (bound_usd < p->search.best_usd)
            lw_run_options_fix(in, bound_usd, p->search.best_usd, p->bound, &p->options);
        lw_run_search_round(&p->search);
        const double most = lw_most(SWEEP_WORK / (p->options.first[in->slots] + 1.0), 1.0);
        lw_run_search_sweep(&p->search, (int)lw_least(ROUND[i].width, most));
        out->is_proven = isinf(p->search.cut_usd) || !(p->search.cut_usd < p->search.best_usd);
        out->bound_usd = lw_most(out->bound_usd, lw_least(p->search.cut_usd, p->search.best_usd));
    }
}

/* The first supply that no runs keep from ending, be they only for it; -1: none. */
static int short_by_itself(const planner *p)
{
    for (int k = 0; k < p->search.in->supply_count; k++)
        if (p->bound->low[k][0] > p->bound->most[k][0] || isinf(lw_run_bound_alone(p->search.in, p->bound, k)))
            return k;
    return -1;
}

lw_code lw_runs_plan(const lw_runs_in *in, lw_arena *arena, lw_runs_out *out, lw_fault *fault)
{
    planner p = {.search = {.in = in, .best_usd = INFINITY, .out = out}};
    if (!lend(&p, arena)) {
        *fault = (lw_fault){.code = LW_E_FULL, .field = "labels", .value = LW_RUN_LABELS, .high = LW_RUN_LABELS};
        return LW_E_FULL;
    }
    *out = (lw_runs_out){.short_supply = -1, .usd = INFINITY, .bound_usd = INFINITY};
    *fault = (lw_fault){.code = LW_OK};
    p.search.options = &p.options, p.search.bound = p.bound;
    lw_run_options_find(in, &p.options);
    lw_run_bound_start(in, &p.options, p.bound);
    out->short_supply = short_by_itself(&p);
    out->is_proven = out->short_supply >= 0;
    search(&p);
    return LW_OK;
}
