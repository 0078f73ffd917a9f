#include "core/plan/runs.h"

#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/plan/runs_internal.h"

static const int64_t WORK_MOST = 30000000; /* pairs compared in one sweep: some tenths of a second */

static const double EPS_USD = 1e-9, EPS_H = 1e-9;

typedef struct label {
    double usd, bound;              /* bound: with what is still to come */
    int parent;                     /* -1: the arrival */
    int option;                     /* the run that led here; -1: none */
    int16_t until[LW_RUN_SUPPLIES]; /* covered through */
    int16_t slot;                   /* of that run */
} label;

typedef struct planner {
    const lw_runs_in *in;
    lw_run_options options;
    lw_run_bound *bound;
    label *label;
    int label_count, from, to; /* of the slot at hand */
    int narrow;                /* labels of a slot that are kept; 0: all */
    int64_t work;              /* pairs of labels compared */
    int is_full, is_cut;       /* labels ran out; some were left out for it, or as too many */
    double best_usd;
    lw_runs_out *out;
} planner;

int lw_run_covers(const lw_runs_in *in, int supply, int type, int slot, double back_h, int covered)
{
    if (covered * in->tick_h < in->midnight_h[slot] + back_h - EPS_H)
        return covered;
    return lw_run_after(in, supply, type, slot, (int)floor(back_h / in->tick_h + EPS_H), covered);
}

/* ------------------------------------------------------------------ the answer */

static void put_run(const lw_runs_in *in, const label *l, const lw_run_option *o, lw_run *run)
{
    *run = (lw_run){.slot = l->slot, .type = o->type, .services = o->services, .supplies = o->supplies, .usd = o->usd};
    run->from_hour = o->from_hour;
    run->is_way_back = lw_run_goes_back(in, l->slot, o->type, o->services, o->supplies, o->way % 2);
    run->spent_h = lw_run_hours(in, o->type, o->services, o->supplies);
    run->road_km = lw_run_km(in, o->services);
    for (int j = 0; j < in->service_count; j++)
        if (o->services >> j & 1u)
            run->road_h = lw_most(run->road_h, 2.0 * in->service[j].road_h);
}

static void take_best(planner *p, const label *last)
{
    lw_runs_out *out = p->out;
    p->best_usd = out->usd = last->usd;
    out->is_found = 1;
    out->count = 0;
    for (const label *l = last; l->parent >= 0; l = &p->label[l->parent])
        if (l->option >= 0)
            put_run(p->in, l, &p->options.option[l->option], &out->run[out->count++]);
    for (int i = 0; i < out->count / 2; i++) {
        const lw_run swap = out->run[i];
        out->run[i] = out->run[out->count - 1 - i];
        out->run[out->count - 1 - i] = swap;
    }
}

/* ------------------------------------------------------------------ labels */

static int is_through(const planner *p, const label *l)
{
    for (int k = 0; k < p->in->supply_count; k++)
        if (l->until[k] < p->in->end)
            return 0;
    return 1;
}

/* With what is still to come from a slot on. */
static double bound_of(const planner *p, const label *l, int slot)
{
    double usd = l->usd + p->bound->rest[slot];
    for (int k = 0; k < p->in->supply_count; k++)
        usd += p->bound->least[k][slot][l->until[k]];
    return usd;
}

/* Does a cover no less than b, for no more. */
static int is_no_worse(const planner *p, const label *a, const label *b)
{
    int covers = a->usd <= b->usd + EPS_USD;
    for (int k = 0; k < p->in->supply_count && covers; k++)
        covers = a->until[k] >= b->until[k];
    return covers;
}

static int is_dominated(planner *p, const label *l)
{
    p->work += p->label_count - p->to;
    for (int i = p->to; i < p->label_count; i++)
        if (is_no_worse(p, &p->label[i], l))
            return 1;
    return 0;
}

/* What the new label makes needless goes; the last takes its place. */
static void drop_dominated(planner *p, const label *l)
{
    for (int i = p->to; i < p->label_count;)
        if (is_no_worse(p, l, &p->label[i]))
            p->label[i] = p->label[--p->label_count];
        else
            i++;
}

/* The n least by bound to the front: Hoare's selection. */
static void select_least(label *row, int count, int n)
{
    int low = 0, high = count - 1;
    while (low < high) {
        const double middle = row[low + (high - low) / 2].bound;
        int i = low, j = high;
        while (i <= j) {
            while (row[i].bound < middle)
                i++;
            while (row[j].bound > middle)
                j--;
            if (i <= j) {
                const label swap = row[i];
                row[i++] = row[j];
                row[j--] = swap;
            }
        }
        if (n <= j)
            high = j;
        else if (n >= i)
            low = i;
        else
            return;
    }
}

static void narrow_down(planner *p)
{
    select_least(p->label + p->to, p->label_count - p->to, p->narrow - 1);
    p->label_count = p->to + p->narrow;
    p->is_cut = 1;
}

static void add_label(planner *p, label *l, int next_slot)
{
    if (l->usd >= p->best_usd - EPS_USD)
        return;
    if (is_through(p, l)) {
        take_best(p, l);
        return;
    }
    l->bound = bound_of(p, l, next_slot);
    if (!(l->bound < p->best_usd - EPS_USD) || is_dominated(p, l))
        return;
    drop_dominated(p, l);
    if (p->narrow && p->label_count - p->to >= 4 * p->narrow)
        narrow_down(p);
    if (p->label_count == LW_RUN_LABELS || p->work > WORK_MOST)
        p->is_full = p->is_cut = 1;
    else
        p->label[p->label_count++] = *l;
}

/* 0: it would cover nothing longer, or it comes too late. */
static int run_from(const planner *p, int parent, int slot, int option, label *l)
{
    const lw_run_option *o = &p->options.option[option];
    int is_longer = 0;
    *l = p->label[parent];
    for (int k = 0; k < p->in->supply_count; k++) {
        if (!(o->supplies >> k & 1u))
            continue;
        if (l->until[k] < o->need)
            return 0;
        const int after = lw_run_after(p->in, k, o->type, slot, o->shift, l->until[k]);
        is_longer |= after > l->until[k];
        l->until[k] = (int16_t)after;
    }
    l->usd += o->usd;
    l->parent = parent, l->slot = (int16_t)slot, l->option = option;
    return is_longer;
}

/* From the labels of a slot those of the next. */
static void next_slot(planner *p, int slot)
{
    p->to = p->label_count;
    for (int i = p->from; i < p->to && !p->is_full; i++) {
        if (!(p->label[i].bound < p->best_usd - EPS_USD))
            continue;
        label l = p->label[i];
        l.parent = i, l.option = -1, l.slot = (int16_t)slot;
        add_label(p, &l, slot + 1);
        for (int o = p->options.first[slot]; o < p->options.first[slot + 1] && !p->is_full; o++)
            if (run_from(p, i, slot, o, &l))
                add_label(p, &l, slot + 1);
    }
    if (p->narrow && p->label_count - p->to > p->narrow)
        narrow_down(p);
    p->from = p->to;
}

/* All slots from the arrival on. */
static void sweep(planner *p, const label *start, int narrow)
{
    p->narrow = narrow;
    p->is_full = p->is_cut = 0;
    p->label_count = 0;
    p->work = 0;
    p->from = p->to = 0;
    label first = *start;
    add_label(p, &first, 0);
    for (int s = 0; s < p->in->slots && !p->is_full && p->label_count > p->from; s++)
        next_slot(p, s);
    p->out->labels += p->label_count;
}

/* ------------------------------------------------------------------ checks, and all of it */

static lw_code check_cover(const lw_runs_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "tick_h", in->tick_h, 0.1, 24.0);
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

size_t lw_runs_bytes(void)
{
    return LW_RUN_LABELS * sizeof(label) + options_most() * sizeof(lw_run_option) + sizeof(lw_run_bound) +
           LW_RUN_SUPPLIES * sizeof(double[LW_RUN_SLOTS + 1][LW_RUN_TICKS + 1]) + 256;
}

static int lend(planner *p, lw_arena *arena)
{
    p->label = lw_arena_lend(arena, LW_RUN_LABELS * sizeof *p->label, sizeof(double));
    p->options.option = lw_arena_lend(arena, options_most() * sizeof *p->options.option, sizeof(double));
    p->bound = lw_arena_lend(arena, sizeof *p->bound, sizeof(double));
    if (!p->label || !p->options.option || !p->bound)
        return 0;
    p->bound->least = lw_arena_lend(arena, LW_RUN_SUPPLIES * sizeof *p->bound->least, sizeof(double));
    return p->bound->least != NULL;
}

/* Shares, a few labels a slot for a plan, runs that are in no better one out; again, less narrow; then all that is left. */
static void search(planner *p, const label *start)
{
    static const struct {
        int steps, narrow;
    } ROUND[] = {{40, 30}, {200, 100}, {300, 300}, {300, 0}};
    lw_runs_out *out = p->out;
    out->bound_usd = lw_run_bound_raise(p->in, &p->options, INFINITY, 1, p->bound);
    for (size_t i = 0; i < sizeof ROUND / sizeof ROUND[0] && !isinf(out->bound_usd) && !out->is_proven; i++) {
        const double toward = isinf(p->best_usd) ? 1.5 * out->bound_usd + 1.0 : p->best_usd;
        out->bound_usd = lw_run_bound_raise(p->in, &p->options, toward, ROUND[i].steps, p->bound);
        lw_run_options_fix(p->in, p->bound, out->bound_usd, p->best_usd, &p->options);
        sweep(p, start, ROUND[i].narrow);
        out->is_proven = !p->is_cut;
    }
    if (out->is_proven)
        out->bound_usd = p->best_usd;
}

lw_code lw_runs_plan(const lw_runs_in *in, lw_arena *arena, lw_runs_out *out, lw_fault *fault)
{
    planner p = {.in = in, .best_usd = INFINITY, .out = out};
    if (!lend(&p, arena)) {
        *fault = (lw_fault){.code = LW_E_FULL, .field = "labels", .value = LW_RUN_LABELS, .high = LW_RUN_LABELS};
        return LW_E_FULL;
    }
    *out = (lw_runs_out){.short_supply = -1, .usd = INFINITY, .bound_usd = INFINITY};
    *fault = (lw_fault){.code = LW_OK};
    lw_run_options_find(in, &p.options);
    lw_run_bound_start(in, &p.options, p.bound);
    label start = {.parent = -1, .option = -1};
    for (int k = 0; k < in->supply_count; k++)
        start.until[k] = (int16_t)(in->first[k] < in->end ? in->first[k] : in->end);
    search(&p, &start);
    for (int k = 0; k < in->supply_count && !out->is_found; k++)
        if (out->short_supply < 0 && isinf(p.bound->least[k][0][start.until[k]]))
            out->short_supply = k;
    out->is_proven |= out->short_supply >= 0;
    return LW_OK;
}
