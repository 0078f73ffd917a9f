#include <math.h>
#include <stddef.h>
#include <string.h>

#include "core/base/num.h"
#include "core/plan/runs_internal.h"

static const double STEP = 1.2, STEP_LEAST = 1e-3, SHRINK = 0.7, EPS_USD = 1e-9, AIM = 1.15;
enum { PATIENCE = 4 };

static int count_of(uint32_t bits)
{
    int count = 0;
    for (; bits; bits &= bits - 1)
        count++;
    return count;
}

/* The tick through which such a run covers at most; as before where it comes too late. */
static int after_way(const lw_runs_in *in, const lw_run_bound *b, int k, int s, int way, int u)
{
    if (!(b->served[s][way] >> k & 1u) || u < b->need[s][way])
        return u;
    return lw_run_after(in, k, way / 2, s, b->shift[s][way], u);
}

/* To begin with a run is paid in equal parts by what it serves. */
static void share_alike(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *b)
{
    for (int s = 0; s < in->slots; s++)
        for (int i = options->first[s]; i < options->first[s + 1]; i++) {
            const lw_run_option *o = &options->option[i];
            const double part = o->usd / count_of(o->supplies);
            for (int k = 0; k < in->supply_count; k++)
                if (o->supplies >> k & 1u)
                    b->share[k][s][o->way] =
                        b->served[s][o->way] >> k & 1u ? lw_least(b->share[k][s][o->way], part) : part;
            if (!b->served[s][o->way] || o->need < b->need[s][o->way])
                b->need[s][o->way] = o->need;
            if (!b->served[s][o->way] || o->shift > b->shift[s][o->way])
                b->shift[s][o->way] = o->shift;
            b->served[s][o->way] |= o->supplies;
        }
}

/* Between which coverage lies at each slot, unless it runs short. */
static void limit(const lw_runs_in *in, lw_run_bound *b, int k)
{
    b->most[k][0] = in->first[k] < in->end ? in->first[k] : in->end;
    for (int s = 0; s < in->slots; s++) {
        b->most[k][s + 1] = b->most[k][s];
        for (int r = 0; r < 2 * in->type_count; r++)
            if (after_way(in, b, k, s, r, b->most[k][s]) > b->most[k][s + 1])
                b->most[k][s + 1] = after_way(in, b, k, s, r, b->most[k][s]);
    }
    b->low[k][in->slots] = in->end;
    for (int s = in->slots - 1; s >= 0; s--) {
        b->low[k][s] = b->low[k][s + 1];
        for (int r = 0; r < 2 * in->type_count; r++)
            if ((b->served[s][r] >> k & 1u) && b->need[s][r] < b->low[k][s])
                b->low[k][s] = b->need[s][r];
    }
}

void lw_run_bound_start(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *b)
{
    memset(b->share, 0, sizeof b->share);
    memset(b->served, 0, sizeof b->served);
    share_alike(in, options, b);
    for (int k = 0; k < in->supply_count; k++) {
        limit(in, b, k);
        for (int s = 0; s <= in->slots; s++)
            for (int u = 0; u <= in->end; u++)
                b->least[k][s][u] = INFINITY;
    }
}

/* ------------------------------------------------------------------ the supplies by themselves */

/* A run that fills it whole covers through the same from wherever it starts. */
static void take_way(const lw_runs_in *in, lw_run_bound *b, int k, int s, int way)
{
    double *now = b->least[k][s];
    const double *next = b->least[k][s + 1], share = b->share[k][s][way];
    const int most = b->most[k][s];
    int u = b->need[s][way] > b->low[k][s] ? b->need[s][way] : b->low[k][s];
    if (in->more[k][way / 2][0] != LW_RUN_WHOLE) {
        for (; u <= most; u++)
            now[u] = lw_least(now[u], share + next[lw_run_after(in, k, way / 2, s, b->shift[s][way], u)]);
        return;
    }
    const int full =
        in->full[k][way / 2][s] + b->shift[s][way] < in->end ? in->full[k][way / 2][s] + b->shift[s][way] : in->end;
    if (u > most || u >= full)
        return;
    const double usd = share + next[full];
    for (; u <= most && u < full; u++)
        now[u] = lw_least(now[u], usd);
}

/* From the last slot backwards. */
static void fill_supply(const lw_runs_in *in, lw_run_bound *b, int k)
{
    double(*least)[LW_RUN_TICKS + 1] = b->least[k];
    least[in->slots][in->end] = 0.0;
    for (int s = in->slots - 1; s >= 0; s--) {
        for (int u = b->low[k][s]; u <= b->most[k][s]; u++)
            least[s][u] = least[s + 1][u];
        for (int r = 0; r < 2 * in->type_count; r++)
            if (b->served[s][r] >> k & 1u)
                take_way(in, b, k, s, r);
        least[s][in->end] = 0.0;
    }
}

/* The runs that the supply would have. */
static double walk_supply(const lw_runs_in *in, lw_run_bound *b, int k)
{
    double(*least)[LW_RUN_TICKS + 1] = b->least[k];
    int u = b->most[k][0];
    const double sum = least[0][u];
    for (int s = 0; s < in->slots && u < in->end && !isinf(sum); s++) {
        int taken = -1;
        for (int r = 0; r < 2 * in->type_count && least[s][u] < least[s + 1][u] - EPS_USD; r++) {
            const int after = after_way(in, b, k, s, r, u);
            if (after > u && b->share[k][s][r] + least[s + 1][after] <= least[s][u] + EPS_USD)
                taken = r;
        }
        if (taken >= 0) {
            b->gap[k][s][taken] += 1.0;
            u = after_way(in, b, k, s, taken, u);
        }
    }
    return sum;
}

double lw_run_bound_alone(const lw_runs_in *in, lw_run_bound *b, int supply)
{
    fill_supply(in, b, supply);
    return b->least[supply][0][b->most[supply][0]];
}

/* ------------------------------------------------------------------ the leads together */

static int lead_after(const lw_runs_in *in, const lw_run_bound *b, const lw_run_class *c, int d, int s, int u)
{
    return c->leads >> d & 1u ? lw_run_after(in, b->lead[d], c->type, s, c->shift, u) : u;
}

/* The states of each slot; 0: there is no room for so many leads. */
static int lay_out(const lw_runs_in *in, lw_run_bound *b)
{
    size_t at = 0;
    for (int s = 0; s <= in->slots; s++) {
        for (int d = 0; d < LW_RUN_LEADS; d++) {
            const int is_there = d < b->lead_count;
            b->lead_low[d][s] = is_there ? b->low[b->lead[d]][s] : 0;
            b->wide[d][s] = is_there ? b->most[b->lead[d]][s] - b->low[b->lead[d]][s] + 1 : 1;
            b->wide[d][s] = b->wide[d][s] > 0 ? b->wide[d][s] : 0;
        }
        b->at[s] = (int)at;
        at += (size_t)b->wide[0][s] * (size_t)b->wide[1][s];
        if (at > LW_RUN_LEAD_STATES)
            return 0;
    }
    return 1;
}

/* Those that end soonest have most to say about when runs are made. */
static void choose_leads(const lw_runs_in *in, int leads, lw_run_bound *b)
{
    b->leads = 0;
    for (b->lead_count = 0; b->lead_count < leads && b->lead_count < in->supply_count; b->lead_count++) {
        int best = 0, best_wide = LW_RUN_TICKS * (LW_RUN_SLOTS + 2);
        for (int k = 0; k < in->supply_count; k++) {
            int wide = 0;
            for (int s = 0; s <= in->slots; s++)
                wide += b->most[k][s] - b->low[k][s];
            if (!(b->leads >> k & 1u) && wide < best_wide)
                best = k, best_wide = wide;
        }
        b->lead[b->lead_count] = best;
        b->leads |= UINT32_C(1) << best;
    }
}

static uint16_t leads_of(const lw_run_bound *b, uint32_t supplies)
{
    uint32_t bits = 0;
    for (int d = 0; d < b->lead_count; d++)
        bits |= (supplies >> b->lead[d] & 1u) << d;
    return (uint16_t)bits;
}

static void sort_into_classes(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *b)
{
    int count = 0;
    for (int s = 0; s < in->slots; s++) {
        b->class_first[s] = count;
        for (int i = options->first[s]; i < options->first[s + 1]; i++) {
            const lw_run_option *o = &options->option[i];
            const lw_run_class c = {
                .type = o->type, .need = o->need, .shift = o->shift, .leads = leads_of(b, o->supplies)};
            int at = c.leads ? b->class_first[s] : -1;
            while (at >= 0 && at < count &&
                   (b->class[at].type != c.type || b->class[at].need != c.need || b->class[at].shift != c.shift ||
                    b->class[at].leads != c.leads))
                at++;
            if (at == count)
                b->class[count++] = c;
            b->class_of[i] = at;
        }
    }
    b->class_first[in->slots] = count;
}

void lw_run_bound_lead(const lw_runs_in *in, const lw_run_options *options, int leads, lw_run_bound *b)
{
    choose_leads(in, leads, b);
    while (!lay_out(in, b))
        b->leads &= ~(UINT32_C(1) << b->lead[--b->lead_count]);
    sort_into_classes(in, options, b);
}

/* What the shares pay of the runs of a slot; what leads pays none. */
static void sum_shares(const lw_runs_in *in, const lw_run_bound *b, int s, lw_run_sums paid[LW_RUN_WAYS])
{
    for (int r = 0; r < 2 * in->type_count; r++) {
        double each[LW_RUN_SUPPLIES] = {0.0};
        for (int k = 0; k < in->supply_count; k++)
            each[k] = b->leads >> k & 1u ? 0.0 : b->share[k][s][r];
        lw_run_sums_make(each, &paid[r]);
    }
}

/* Below 0: the shares pay more than it costs. */
static double unpaid(const lw_run_option *o, const lw_run_sums *paid)
{
    return o->usd - lw_run_sum(&paid[o->way], o->supplies);
}

/* Another run leads from the same states to no worse ones, and costs no more. */
static int is_outdone(const lw_run_class *x, const lw_run_class *by)
{
    return by->usd <= x->usd && by->best >= 0 && by->type == x->type && (x->leads & ~by->leads) == 0 &&
           by->need <= x->need && by->shift >= x->shift;
}

static void price_classes(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *b, int s)
{
    const int first = b->class_first[s], end = b->class_first[s + 1];
    lw_run_sums paid[LW_RUN_WAYS];
    sum_shares(in, b, s, paid);
    b->other_usd[s] = 0.0;
    b->other_best[s] = -1;
    for (int c = first; c < end; c++)
        b->class[c].usd = INFINITY, b->class[c].best = -1;
    for (int i = options->first[s]; i < options->first[s + 1]; i++) {
        const double usd = unpaid(&options->option[i], paid);
        const int c = b->class_of[i];
        if (c < 0 && usd < b->other_usd[s])
            b->other_usd[s] = usd, b->other_best[s] = i;
        else if (c >= 0 && usd < b->class[c].usd)
            b->class[c].usd = usd, b->class[c].best = i;
    }
    for (int c = first; c < end; c++)
        for (int by = first; by < end && b->class[c].best >= 0; by++)
            if (by != c && is_outdone(&b->class[c], &b -> class[by]))
                b->class[c].best = -1;
}

/* A row of states with the same first lead: from `from` on, of which the run leads to `next`. */
static void take_row(const lw_runs_in *in, const lw_run_bound *b, const lw_run_class *c, int s, const double *next,
                     double *now)
{
    const int low = b->lead_low[1][s], next_low = b->lead_low[1][s + 1], end = low + b->wide[1][s];
    int u = low;
    if (c->leads >> 1 & 1u) {
        const int k = b->lead[1];
        u = c->need > u ? c->need : u;
        if (in->more[k][c->type][0] != LW_RUN_WHOLE) {
            for (; u < end; u++) {
                const int after = lw_run_after(in, k, c->type, s, c->shift, u);
                if (after >= next_low)
                    now[u - low] = lw_least(now[u - low], c->usd + next[after - next_low]);
            }
            return;
        }
        const int full = u < end ? lw_run_after(in, k, c->type, s, c->shift, u) : 0;
        const double usd = full >= next_low && u < end ? c->usd + next[full - next_low] : INFINITY;
        for (; u < end && u < full; u++)
            now[u - low] = lw_least(now[u - low], usd);
    }
    for (u = u > next_low ? u : next_low; u < end; u++)
        now[u - low] = lw_least(now[u - low], c->usd + next[u - next_low]);
}

static double *row_of(const lw_run_bound *b, double *of, int s, int u)
{
    return of + b->at[s] + (ptrdiff_t)(u - b->lead_low[0][s]) * b->wide[1][s];
}

static void fill_leads_at(const lw_runs_in *in, lw_run_bound *b, int s)
{
    const lw_run_class stay = {.usd = b->other_usd[s]};
    for (int u = b->lead_low[0][s]; u < b->lead_low[0][s] + b->wide[0][s]; u++) {
        double *now = row_of(b, b->lead_usd, s, u);
        for (int v = 0; v < b->wide[1][s]; v++)
            now[v] = INFINITY;
        if (u >= b->lead_low[0][s + 1])
            take_row(in, b, &stay, s, row_of(b, b->lead_usd, s + 1, u), now);
        for (int i = b->class_first[s]; i < b->class_first[s + 1]; i++) {
            const lw_run_class *c = &b->class[i];
            if (c->best < 0 || ((c->leads & 1u) && u < c->need))
                continue;
            const int after = lead_after(in, b, c, 0, s, u);
            if (after >= b->lead_low[0][s + 1])
                take_row(in, b, c, s, row_of(b, b->lead_usd, s + 1, after), now);
        }
    }
}

static void fill_leads(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *b)
{
    b->lead_usd[b->at[in->slots]] = 0.0; /* all through: low = most = end, or no lead there */
    for (int s = in->slots - 1; s >= 0; s--) {
        price_classes(in, options, b, s);
        fill_leads_at(in, b, s);
    }
}

static void owe(const lw_runs_in *in, const lw_run_option *o, int s, lw_run_bound *b)
{
    for (int k = 0; k < in->supply_count; k++)
        if (o->supplies & ~b->leads & (UINT32_C(1) << k))
            b->gap[k][s][o->way] -= 1.0;
}

/* The class that is taken from that state; -1: none. */
static int class_taken(const lw_runs_in *in, const lw_run_bound *b, int s, const int u[LW_RUN_LEADS])
{
    const double usd = lw_run_lead_least(b, s, u[0], u[1]);
    if (b->other_usd[s] + lw_run_lead_least(b, s + 1, u[0], u[1]) <= usd + EPS_USD)
        return -1;
    for (int i = b->class_first[s]; i < b->class_first[s + 1]; i++) {
        const lw_run_class *c = &b->class[i];
        int is_late = 0;
        for (int d = 0; d < b->lead_count; d++)
            is_late |= (c->leads >> d & 1u) && u[d] < c->need;
        if (c->best >= 0 && !is_late &&
            c->usd + lw_run_lead_least(b, s + 1, lead_after(in, b, c, 0, s, u[0]), lead_after(in, b, c, 1, s, u[1])) <=
                usd + EPS_USD)
            return i;
    }
    return -1;
}

static void start_of(const lw_run_bound *b, int u[LW_RUN_LEADS])
{
    for (int d = 0; d < LW_RUN_LEADS; d++)
        u[d] = d < b->lead_count ? b->most[b->lead[d]][0] : 0;
}

static double walk_leads(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *b)
{
    int u[LW_RUN_LEADS];
    start_of(b, u);
    const double sum = lw_run_lead_least(b, 0, u[0], u[1]);
    for (int s = 0; s < in->slots && !isinf(sum); s++) {
        const int taken = class_taken(in, b, s, u), best = taken < 0 ? b->other_best[s] : b->class[taken].best;
        for (int d = 0; d < LW_RUN_LEADS && taken >= 0; d++)
            u[d] = lead_after(in, b, &b->class[taken], d, s, u[d]);
        if (best >= 0)
            owe(in, &options->option[best], s, b);
    }
    return sum;
}

/* ------------------------------------------------------------------ all of it */

static double fill(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *b)
{
    memset(b->gap, 0, sizeof b->gap);
    fill_leads(in, options, b);
    double sum = walk_leads(in, options, b);
    for (int k = 0; k < in->supply_count && !isinf(sum); k++)
        if (!(b->leads >> k & 1u)) {
            fill_supply(in, b, k);
            sum += walk_supply(in, b, k);
        }
    return sum;
}

/* Half of where the last step went: shares swing less. A share never falls below 0. */
static double turn(const lw_runs_in *in, lw_run_bound *b)
{
    double gap = 0.0, way = 0.0, norm = 0.0;
    for (int k = 0; k < in->supply_count; k++)
        for (int s = 0; s < in->slots; s++)
            for (int r = 0; r < 2 * in->type_count; r++) {
                gap += b->gap[k][s][r] * b->gap[k][s][r];
                way += b->way[k][s][r] * b->way[k][s][r];
            }
    const double keeps = way > 0.0 ? sqrt(gap / way) : 0.0;
    for (int k = 0; k < in->supply_count; k++)
        for (int s = 0; s < in->slots; s++)
            for (int r = 0; r < 2 * in->type_count; r++) {
                double *to = &b->way[k][s][r];
                *to = b->gap[k][s][r] + keeps * *to;
                if (b->share[k][s][r] <= 0.0 && *to < 0.0)
                    *to = 0.0;
                norm += *to * *to;
            }
    return norm;
}

static void step(const lw_runs_in *in, double length, lw_run_bound *b)
{
    const double norm = turn(in, b);
    for (int k = 0; k < in->supply_count && norm > 0.0; k++)
        for (int s = 0; s < in->slots; s++)
            for (int r = 0; r < 2 * in->type_count; r++)
                b->share[k][s][r] = lw_most(b->share[k][s][r] + length / norm * b->way[k][s][r], 0.0);
}

double lw_run_bound_raise(const lw_runs_in *in, const lw_run_options *options, double usd, int steps, lw_run_bound *b)
{
    double best = -INFINITY, size = STEP;
    int idle = 0;
    memset(b->way, 0, sizeof b->way);
    memcpy(b->best_share, b->share, sizeof b->share);
    for (int i = 0; i < steps && size > STEP_LEAST; i++) {
        const double bound = fill(in, options, b);
        if (bound > best + EPS_USD) {
            best = bound;
            memcpy(b->best_share, b->share, sizeof b->share);
            idle = 0;
        } else if (++idle == PATIENCE) {
            size *= SHRINK;
            idle = 0;
        }
        if (isinf(bound) || bound >= usd - EPS_USD)
            break;
        step(in, size * ((isinf(usd) ? AIM * best + 1.0 : usd) - bound), b);
    }
    memcpy(b->share, b->best_share, sizeof b->share);
    return fill(in, options, b);
}

double lw_run_bound_work(const lw_runs_in *in, const lw_run_bound *b)
{
    double work = 1.0;
    for (int s = 0; s < in->slots; s++)
        work += (double)(b->at[s + 1] - b->at[s]) * (1 + b->class_first[s + 1] - b->class_first[s]);
    return work;
}

/* ------------------------------------------------------------------ runs that are in no better plan */

/* The least of the leads' part with a run of the class, without the run's own unpaid rest. */
static double least_with(const lw_runs_in *in, lw_run_bound *b, const lw_run_class *c, int s)
{
    double least = INFINITY;
    for (int i = 0; i < b->wide[0][s]; i++)
        for (int j = 0; j < b->wide[1][s]; j++) {
            const int u[] = {i + b->lead_low[0][s], j + b->lead_low[1][s]};
            const double before = b->lead_before[b->at[s] + i * b->wide[1][s] + j];
            if (isinf(before) || ((c->leads & 1u) && u[0] < c->need) || ((c->leads >> 1 & 1u) && u[1] < c->need))
                continue;
            const int first = lead_after(in, b, c, 0, s, u[0]), second = lead_after(in, b, c, 1, s, u[1]);
            least = lw_least(least, before + lw_run_lead_least(b, s + 1, first, second));
            const int k = first - b->lead_low[0][s + 1], l = second - b->lead_low[1][s + 1];
            double *next = &b->lead_before[b->at[s + 1] + k * b->wide[1][s + 1] + l];
            if (k >= 0 && l >= 0 && (c->best >= 0 || !c->leads))
                *next = lw_least(*next, before + c->usd);
        }
    return least;
}

void lw_run_options_fix(const lw_runs_in *in, double bound_usd, double usd, lw_run_bound *b, lw_run_options *options)
{
    int count = 0, u[LW_RUN_LEADS];
    start_of(b, u);
    const double others = bound_usd - lw_run_lead_least(b, 0, u[0], u[1]);
    for (int i = 0; i < b->at[in->slots] + b->wide[0][in->slots] * b->wide[1][in->slots]; i++)
        b->lead_before[i] = INFINITY;
    row_of(b, b->lead_before, 0, u[0])[u[1] - b->lead_low[1][0]] = 0.0;
    for (int s = 0; s < in->slots; s++) {
        const lw_run_class stay = {.usd = b->other_usd[s]};
        lw_run_sums paid[LW_RUN_WAYS];
        sum_shares(in, b, s, paid);
        const double without = least_with(in, b, &stay, s);
        for (int c = b->class_first[s]; c < b->class_first[s + 1]; c++)
            b->class[c].usd = least_with(in, b, &b->class[c], s);
        const int first = options->first[s], end = options->first[s + 1];
        options->first[s] = count;
        for (int i = first; i < end; i++) {
            const double least = b->class_of[i] < 0 ? without : b->class[b->class_of[i]].usd;
            if (others + least + unpaid(&options->option[i], paid) < usd - EPS_USD)
                options->option[count++] = options->option[i];
        }
    }
    options->first[in->slots] = count;
    sort_into_classes(in, options, b);
}
