#include "core/plan/set_hours.h"

#include <math.h>
#include <string.h>

#include "core/base/num.h"

typedef struct label {
    lw_state state;
    double usd, fuel, running_h;
    uint8_t is_on, is_out; /* out: another is no worse */
    uint8_t met[LW_SET_KINDS];
    int from; /* label of the hour before */
} label;

/* How each kept label came about, for reading the best plan backwards. */
typedef struct trace {
    int from;
    int is_on;
} trace;

typedef struct solver {
    const lw_set_hours_in *in;
    label *now, *next; /* LW_SET_LABELS and twice as many */
    int *order;
    trace (*trace)[LW_SET_LABELS];
    int now_count, next_count;
    int open[LW_SET_KINDS]; /* need in force at the hour, or -1 */
    double join_ah;         /* labels whose charge is so near are one; 0: only what is no worse is dropped */
    int is_bound;           /* a joined label gets the better charge: the cost is then a bound */
    lw_set_hours_out *out;
} solver;

/* ------------------------------------------------------------------ an hour */

static void find_open(solver *s, int hour)
{
    for (int k = 0; k < LW_SET_KINDS; k++)
        s->open[k] = -1;
    for (int i = 0; i < s->in->need_count; i++)
        if (hour >= s->in->need[i].from && hour < s->in->need[i].until)
            s->open[s->in->need[i].kind] = i;
}

/* Hours of the need that are still allowed from `hour` on. */
static int hours_left(const lw_set_hours_in *in, const lw_set_need *need, int hour)
{
    int left = 0;
    for (int h = hour; h < need->until && h < in->hours; h++)
        left += lw_set_course_may_run(in->course, h);
    return left;
}

static int misses_need(const solver *s, const label *l, int hour)
{
    for (int k = 0; k < LW_SET_KINDS; k++) {
        if (s->open[k] < 0)
            continue;
        const lw_set_need *need = &s->in->need[s->open[k]];
        if (l->met[k] + hours_left(s->in, need, hour + 1) < need->least_h)
            return 1;
    }
    return 0;
}

static double hour_cost(const lw_set_hours_in *in, int hour, const lw_set_hour *told, int begins)
{
    return told->fuel * in->fuel_usd + told->running_h * (in->running_usd + in->hour_usd[hour]) +
           (begins ? in->start_usd : 0.0);
}

static void count_needs(const int *open, const lw_set_hours_in *in, int hour, int is_on, uint8_t *met)
{
    for (int k = 0; k < LW_SET_KINDS; k++) {
        if (open[k] < 0 || hour == in->need[open[k]].from)
            met[k] = 0;
        if (open[k] >= 0 && is_on && met[k] < in->need[open[k]].least_h)
            met[k]++;
    }
}

static void go_on(solver *s, int from, int hour, int is_on)
{
    const lw_set_hours_in *in = s->in;
    label *l = &s->next[s->next_count];
    lw_set_hour told;
    *l = s->now[from];
    lw_set_course_hour(in->course, hour, is_on, &l->state, &told);
    s->out->labels++;
    if (told.is_under_floor && hour >= in->floor_from)
        return;
    count_needs(s->open, in, hour, is_on, l->met);
    if (misses_need(s, l, hour))
        return;
    l->usd += hour_cost(in, hour, &told, is_on && !s->now[from].is_on);
    l->fuel += told.fuel;
    l->running_h += told.running_h;
    l->is_on = (uint8_t)is_on;
    l->is_out = 0;
    l->from = from;
    s->next_count++;
}

/* ------------------------------------------------------------------ which labels stay */

/* A set that runs goes on without a start. */
static int is_no_worse(const solver *s, const label *a, const label *b)
{
    if (a->usd + (b->is_on && !a->is_on ? s->in->start_usd : 0.0) > b->usd)
        return 0;
    if (a->state.battery_q1_ah < b->state.battery_q1_ah - s->join_ah ||
        lw_state_charge_ah(&a->state) < lw_state_charge_ah(&b->state) - s->join_ah)
        return 0;
    for (int k = 0; k < LW_SET_KINDS; k++)
        if (s->open[k] >= 0 && a->met[k] < b->met[k])
            return 0;
    return 1;
}

static int is_before(const label *a, const label *b)
{
    if (a->usd < b->usd || a->usd > b->usd)
        return a->usd < b->usd;
    return lw_state_charge_ah(&a->state) > lw_state_charge_ah(&b->state);
}

/* By heap: no memory, no worst case. */
static void sink_down(const solver *s, int at, int count)
{
    for (int child; (child = 2 * at + 1) < count; at = child) {
        if (child + 1 < count && is_before(&s->next[s->order[child]], &s->next[s->order[child + 1]]))
            child++;
        if (!is_before(&s->next[s->order[at]], &s->next[s->order[child]]))
            return;
        const int swap = s->order[at];
        s->order[at] = s->order[child];
        s->order[child] = swap;
    }
}

static void sort_next(const solver *s)
{
    const int count = s->next_count;
    for (int i = 0; i < count; i++)
        s->order[i] = i;
    for (int i = count / 2; i-- > 0;)
        sink_down(s, i, count);
    for (int n = count; n-- > 1;) {
        const int swap = s->order[0];
        s->order[0] = s->order[n];
        s->order[n] = swap;
        sink_down(s, 0, n);
    }
}

/* The joined one takes the best of both: no plan through either can be cheaper. */
static void raise(label *kept, const label *dropped)
{
    kept->state.battery_q1_ah = lw_most(kept->state.battery_q1_ah, dropped->state.battery_q1_ah);
    kept->state.battery_q2_ah = lw_most(kept->state.battery_q2_ah, dropped->state.battery_q2_ah);
}

/* Cheapest first: a label can only be no better than one before it. Gives how many stay; order[] begins with them. */
static int keep_best(solver *s)
{
    int kept = 0;
    for (int i = 0; i < s->next_count; i++) {
        label *l = &s->next[s->order[i]];
        int is_out = 0;
        for (int k = kept; k-- > 0 && !is_out;) {
            label *other = &s->next[s->order[k]];
            is_out = is_no_worse(s, other, l);
            if (is_out && s->is_bound && s->join_ah > 0.0)
                raise(other, l);
        }
        if (!is_out)
            s->order[kept++] = s->order[i];
    }
    return kept;
}

/* One hour done: the labels that stay become those of the hour. */
static void settle(solver *s, int hour)
{
    sort_next(s);
    const double usual_ah = s->join_ah;
    int kept = keep_best(s);
    while (kept > LW_SET_LABELS) {
        s->out->is_exact = 0;
        s->join_ah = s->join_ah > 0.0 ? 2.0 * s->join_ah : 1e-4 * lw_most(1.0, s->in->start.battery_q1_ah);
        s->next_count = kept; /* order[] begins with them, still the cheapest first */
        kept = keep_best(s);
    }
    s->join_ah = usual_ah;
    for (int i = 0; i < kept; i++) {
        s->now[i] = s->next[s->order[i]];
        s->trace[hour][i] = (trace){.from = s->now[i].from, .is_on = s->now[i].is_on};
    }
    s->now_count = kept;
    s->next_count = 0;
}

static void solve(solver *s)
{
    const lw_set_hours_in *in = s->in;
    s->now[0] = (label){.state = in->start};
    s->now_count = 1;
    s->next_count = 0;
    s->out->short_hour = -1;
    for (int hour = 0; hour < in->hours && s->now_count > 0; hour++) {
        find_open(s, hour);
        for (int i = 0; i < s->now_count; i++) {
            go_on(s, i, hour, 0);
            if (lw_set_course_may_run(in->course, hour))
                go_on(s, i, hour, 1);
        }
        settle(s, hour);
        s->out->short_hour = s->now_count > 0 ? hour : s->out->short_hour;
    }
}

static void read_back(solver *s)
{
    lw_set_hours_out *out = s->out;
    int at = 0; /* sorted: the cheapest is first */
    out->usd = s->now[0].usd;
    out->fuel = s->now[0].fuel;
    out->running_h = s->now[0].running_h;
    for (int hour = s->in->hours - 1; hour >= 0; hour--) {
        out->on[hour] = (uint8_t)s->trace[hour][at].is_on;
        at = s->trace[hour][at].from;
    }
}

/* ------------------------------------------------------------------ outside */

lw_code lw_set_hours_check(const lw_set_hours_in *in, lw_fault *fault)
{
    lw_code code = lw_want_range(fault, "hours", in->hours, 1, lw_least(LW_SET_HOURS, lw_set_course_hours(in->course)));
    code = code ? code : lw_want_range(fault, "fuel_usd", in->fuel_usd, 0.0, 1e4);
    code = code ? code : lw_want_range(fault, "running_usd", in->running_usd, 0.0, 1e4);
    code = code ? code : lw_want_range(fault, "start_usd", in->start_usd, 0.0, 1e4);
    code = code ? code : lw_want_range(fault, "need_count", in->need_count, 0, LW_SET_NEEDS);
    for (int h = 0; h < in->hours && !code; h++)
        code = lw_want_range(fault, "hour_usd", in->hour_usd[h], 0.0, 1e4);
    for (int i = 0; i < in->need_count && !code; i++) {
        code = lw_want_range(fault, "need kind", in->need[i].kind, 0, LW_SET_KINDS - 1);
        code = code ? code : lw_want_range(fault, "need hours", in->need[i].least_h, 0, 24);
    }
    return code;
}

size_t lw_set_hours_bytes(void)
{
    return (size_t)LW_SET_LABELS * 3 * sizeof(label) + (size_t)LW_SET_LABELS * 2 * sizeof(int) +
           (size_t)LW_SET_HOURS * LW_SET_LABELS * sizeof(trace) + 256;
}

lw_code lw_set_hours_plan(const lw_set_hours_in *in, lw_arena *arena, lw_set_hours_out *out, lw_fault *fault)
{
    const size_t align = sizeof(double) * 2;
    solver s = {.in = in, .out = out};
    *out = (lw_set_hours_out){.is_exact = 1};
    s.now = lw_arena_lend(arena, (size_t)LW_SET_LABELS * sizeof(label), align);
    s.next = lw_arena_lend(arena, (size_t)LW_SET_LABELS * 2 * sizeof(label), align);
    s.order = lw_arena_lend(arena, (size_t)LW_SET_LABELS * 2 * sizeof(int), align);
    s.trace = lw_arena_lend(arena, (size_t)LW_SET_HOURS * LW_SET_LABELS * sizeof(trace), align);
    if (!s.now || !s.next || !s.order || !s.trace) {
        *fault = (lw_fault){.code = LW_E_FULL,
                            .field = "arena_bytes",
                            .value = (double)arena->cap,
                            .low = (double)lw_set_hours_bytes(),
                            .high = INFINITY};
        return LW_E_FULL;
    }
    solve(&s);
    out->is_found = s.now_count > 0;
    if (!out->is_found)
        return LW_OK;
    read_back(&s);
    out->bound_usd = out->usd;
    if (!out->is_exact) {
        s.is_bound = 1;
        solve(&s);
        out->bound_usd = s.now_count > 0 ? lw_least(s.now[0].usd, out->usd) : out->usd;
        out->short_hour = in->hours - 1;
    }
    return LW_OK;
}

lw_set_cost lw_set_hours_cost(const lw_set_hours_in *in, const uint8_t *on)
{
    lw_set_cost cost = {.is_kept = 1};
    lw_state state = in->start;
    int met[LW_SET_NEEDS] = {0};
    for (int h = 0; h < in->hours; h++) {
        lw_set_hour told;
        lw_set_course_hour(in->course, h, on[h], &state, &told);
        cost.usd += hour_cost(in, h, &told, on[h] && !(h > 0 && on[h - 1]));
        cost.fuel += told.fuel;
        cost.running_h += told.running_h;
        cost.is_kept &= !(told.is_under_floor && h >= in->floor_from);
        for (int i = 0; i < in->need_count; i++)
            met[i] += on[h] && h >= in->need[i].from && h < in->need[i].until;
    }
    for (int i = 0; i < in->need_count; i++)
        cost.is_kept &= met[i] >= in->need[i].least_h || in->need[i].until > in->hours;
    return cost;
}
