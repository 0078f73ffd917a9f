#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/plan/runs_internal.h"

enum {
    FIELD = 11, /* bits of one supply's coverage, of which the highest is free */
    IN_WORD = 5,
    SPREAD = 4, /* children looked at for each label that is to be kept */
};

static const double EPS_USD = 1e-9;

/* What a run of a moment does to the label at hand, supply by supply. */
typedef struct moment {
    uint32_t not_for, longer; /* comes too late or leaves it short; covers longer */
    lw_run_sums gain_usd;
    double leads_usd[1 << LW_RUN_LEADS];
    uint64_t more[LW_RUN_SUPPLIES]; /* to be added to its word of the cover */
    int is_made;
} moment;

static uint64_t field(int k, int covered)
{
    return (uint64_t)covered << (k % IN_WORD * FIELD);
}

static int covered_of(const lw_run_label *l, int k)
{
    return (int)(l->cover.word[k / IN_WORD] >> (k % IN_WORD * FIELD) & ((1u << FIELD) - 1u));
}

/* ------------------------------------------------------------------ coverage that makes no difference */

/* Where only the moments of runs to come matter, coverage between two of them is as good as through the earlier. */
void lw_run_search_round(lw_run_search *p)
{
    const lw_runs_in *in = p->in;
    for (int k = 0; k < in->supply_count; k++) {
        int16_t *last = p->round[k][in->slots];
        int is_measured = 0;
        for (int u = 0; u <= in->end; u++)
            last[u] = (int16_t)(u < in->end ? 0 : u);
        for (int s = in->slots - 1; s >= 0; s--) {
            int16_t *now = p->round[k][s];
            memcpy(now, p->round[k][s + 1], sizeof p->round[k][s]);
            for (int i = p->options->first[s]; i < p->options->first[s + 1]; i++) {
                const lw_run_option *o = &p->options->option[i];
                if (!(o->supplies >> k & 1u) || o->need > in->end)
                    continue;
                is_measured |= in->more[k][o->type][0] != LW_RUN_WHOLE;
                now[o->need] = o->need;
            }
            for (int u = 1; u <= in->end; u++)
                now[u] = is_measured ? (int16_t)u : now[u] > now[u - 1] ? now[u] : now[u - 1];
        }
    }
}

/* ------------------------------------------------------------------ the answer */

static void put_run(const lw_runs_in *in, const lw_run_label *l, const lw_run_option *o, lw_run *run)
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

static void take_best(lw_run_search *p, const lw_run_label *last)
{
    lw_runs_out *out = p->out;
    p->best_usd = out->usd = last->usd;
    out->is_found = 1;
    out->count = 0;
    for (const lw_run_label *l = last; l->parent >= 0; l = &p->label[l->parent])
        if (l->option >= 0)
            put_run(p->in, l, &p->options->option[l->option], &out->run[out->count++]);
    for (int i = 0; i < out->count / 2; i++) {
        const lw_run swap = out->run[i];
        out->run[i] = out->run[out->count - 1 - i];
        out->run[out->count - 1 - i] = swap;
    }
}

/* ------------------------------------------------------------------ labels */

/* The n least by bound to the front: Hoare's selection. */
static void select_least(lw_run_label *row, int count, int n)
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
                const lw_run_label swap = row[i];
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

static void sift(lw_run_label *row, int at, int count)
{
    const lw_run_label moved = row[at];
    for (int below = 2 * at + 1; below < count; below = 2 * at + 1) {
        below += below + 1 < count && row[below + 1].bound > row[below].bound;
        if (row[below].bound <= moved.bound)
            break;
        row[at] = row[below];
        at = below;
    }
    row[at] = moved;
}

/* By bound, the least first: J. W. J. Williams, Algorithm 232: Heapsort, 1964. */
static void sort_by_bound(lw_run_label *row, int count)
{
    for (int i = count / 2 - 1; i >= 0; i--)
        sift(row, i, count);
    for (int i = count - 1; i > 0; i--) {
        const lw_run_label top = row[0];
        row[0] = row[i];
        row[i] = top;
        sift(row, 0, i);
    }
}

/* All fields of a at least those of b: the free bit above each stays where nothing is borrowed from it. */
static int covers(const lw_run_cover *a, const lw_run_cover *b)
{
    const uint64_t free_bits = UINT64_C(0x0040080100200400);
    return (((a->word[0] | free_bits) - b->word[0]) & free_bits) == free_bits &&
           (((a->word[1] | free_bits) - b->word[1]) & free_bits) == free_bits;
}

static void leave_out(lw_run_search *p, const lw_run_label *from, int count)
{
    for (int i = 0; i < count; i++)
        p->cut_usd = lw_least(p->cut_usd, from[i].bound);
}

static void narrow_down(lw_run_search *p, int to)
{
    if (p->child_count <= to)
        return;
    select_least(p->child, p->child_count, to - 1);
    leave_out(p, p->child + to, p->child_count - to);
    p->child_count = to;
}

/* The children of a slot, the most hopeful first, become labels, but for those that another makes needless, which costs no more
 * and covers no less. */
static void keep_children(lw_run_search *p)
{
    const int begun = p->label_count;
    narrow_down(p, SPREAD * p->width);
    sort_by_bound(p->child, p->child_count);
    for (int i = 0; i < p->child_count; i++) {
        const lw_run_label *c = &p->child[i];
        int is_needless = !(c->bound < p->best_usd - EPS_USD);
        for (int j = begun; j < p->label_count && !is_needless; j++)
            is_needless = p->label[j].usd <= c->usd + EPS_USD && covers(&p->label[j].cover, &c->cover);
        if (is_needless)
            continue;
        if (p->label_count - begun == p->width || p->label_count == LW_RUN_LABELS) {
            leave_out(p, c, p->child_count - i);
            break;
        }
        p->label[p->label_count++] = *c;
    }
}

/* ------------------------------------------------------------------ what can be done in a slot */

typedef struct stand {
    const lw_run_label *label;
    int index, slot, until[LW_RUN_SUPPLIES];
    uint32_t must; /* short, unless it is served now */
    double usd;    /* with what is still to come of what is not served and does not lead */
    double stay_usd[LW_RUN_SUPPLIES];
    lw_run_cover cover;
    moment moment[LW_RUN_MOMENTS];
} stand;

static void stand_at(const lw_run_search *p, int index, int slot, stand *t)
{
    const lw_runs_in *in = p->in;
    const lw_run_label *l = &p->label[index];
    t->label = l, t->index = index, t->slot = slot;
    t->must = 0;
    t->usd = l->usd;
    t->cover = (lw_run_cover){{0}};
    for (int i = 0; i < LW_RUN_MOMENTS; i++)
        t->moment[i].is_made = 0;
    for (int k = 0; k < in->supply_count; k++) {
        t->until[k] = covered_of(l, k);
        t->cover.word[k / IN_WORD] += field(k, p->round[k][slot + 1][t->until[k]]);
        t->stay_usd[k] = p->bound->least[k][slot + 1][t->until[k]];
        if (p->bound->leads >> k & 1u)
            continue;
        if (isinf(t->stay_usd[k]))
            t->must |= UINT32_C(1) << k, t->stay_usd[k] = 0.0;
        t->usd += t->stay_usd[k];
    }
}

static void make_moment(const lw_run_search *p, const lw_run_option *o, const stand *t, moment *m)
{
    const lw_runs_in *in = p->in;
    const lw_run_bound *b = p->bound;
    int lead_until[LW_RUN_LEADS][2] = {{0}};
    double gain_usd[LW_RUN_SUPPLIES] = {0.0};
    m->is_made = 1;
    m->not_for = m->longer = 0;
    for (int k = 0; k < in->supply_count; k++) {
        const int is_late = t->until[k] < o->need;
        const int after = is_late ? t->until[k] : lw_run_after(in, k, o->type, t->slot, o->shift, t->until[k]);
        const int16_t *round = p->round[k][t->slot + 1];
        const double usd = b->leads >> k & 1u ? 0.0 : b->least[k][t->slot + 1][after];
        m->not_for |= is_late || isinf(usd) ? UINT32_C(1) << k : 0u;
        m->longer |= round[after] > round[t->until[k]] ? UINT32_C(1) << k : 0u;
        gain_usd[k] = b->leads >> k & 1u ? 0.0 : usd - t->stay_usd[k];
        m->more[k] = field(k, round[after]) - field(k, round[t->until[k]]);
        for (int d = 0; d < b->lead_count; d++)
            if (b->lead[d] == k)
                lead_until[d][0] = t->until[k], lead_until[d][1] = after;
    }
    lw_run_sums_make(gain_usd, &m->gain_usd);
    for (int i = 0; i < 1 << LW_RUN_LEADS; i++)
        m->leads_usd[i] = lw_run_lead_least(b, t->slot + 1, lead_until[0][i & 1], lead_until[1][i >> 1 & 1]);
}

static void add_child(lw_run_search *p, const lw_run_label *l)
{
    int is_through = 1;
    for (int k = 0; k < p->in->supply_count && is_through; k++)
        is_through = covered_of(l, k) >= p->in->end;
    if (is_through) {
        if (l->usd < p->best_usd - EPS_USD)
            take_best(p, l);
        return;
    }
    if (p->child_count == LW_RUN_CHILDREN)
        narrow_down(p, LW_RUN_CHILDREN / 2);
    p->child[p->child_count++] = *l;
}

static int lead_bits(const lw_run_bound *b, uint32_t supplies)
{
    int bits = 0;
    for (int d = 0; d < b->lead_count; d++)
        bits |= (int)(supplies >> b->lead[d] & 1u) << d;
    return bits;
}

static void go_on_without(lw_run_search *p, const stand *t)
{
    int lead_until[LW_RUN_LEADS] = {0};
    for (int d = 0; d < p->bound->lead_count; d++)
        lead_until[d] = t->until[p->bound->lead[d]];
    lw_run_label l = {.usd = t->label->usd, .cover = t->cover, .parent = t->index, .option = -1};
    l.slot = (int16_t)t->slot;
    l.bound = t->usd + lw_run_lead_least(p->bound, t->slot + 1, lead_until[0], lead_until[1]);
    if (!t->must && l.bound < p->best_usd - EPS_USD)
        add_child(p, &l);
}

static void go(lw_run_search *p, stand *t, int option)
{
    const lw_run_option *o = &p->options->option[option];
    moment *m = &t->moment[o->moment];
    if (!m->is_made)
        make_moment(p, o, t, m);
    if ((o->supplies & m->not_for) || (t->must & ~o->supplies) || !(o->supplies & m->longer))
        return;
    const double bound =
        t->usd + o->usd + m->leads_usd[lead_bits(p->bound, o->supplies)] + lw_run_sum(&m->gain_usd, o->supplies);
    const double usd = t->label->usd + o->usd;
    if (!(usd < p->best_usd - EPS_USD && bound < p->best_usd - EPS_USD))
        return;
    lw_run_label l = {.usd = usd, .bound = bound, .cover = t->cover, .parent = t->index, .option = option};
    l.slot = (int16_t)t->slot;
    for (int k = 0; k < p->in->supply_count; k++)
        if (o->supplies >> k & 1u)
            l.cover.word[k / IN_WORD] += m->more[k];
    add_child(p, &l);
}

void lw_run_search_sweep(lw_run_search *p, int width)
{
    stand t;
    lw_run_label first = {.parent = -1, .option = -1};
    int from = 0;
    p->width = width;
    p->cut_usd = INFINITY;
    p->label_count = p->child_count = 0;
    for (int k = 0; k < p->in->supply_count; k++)
        first.cover.word[k / IN_WORD] += field(k, p->bound->most[k][0]);
    add_child(p, &first);
    keep_children(p);
    for (int s = 0; s < p->in->slots && p->label_count > from; s++) {
        const int to = p->label_count;
        p->child_count = 0;
        for (int i = from; i < to; i++) {
            if (!(p->label[i].bound < p->best_usd - EPS_USD))
                continue;
            stand_at(p, i, s, &t);
            go_on_without(p, &t);
            for (int o = p->options->first[s]; o < p->options->first[s + 1]; o++)
                go(p, &t, o);
        }
        from = to;
        keep_children(p);
    }
    p->out->labels += p->label_count;
}
