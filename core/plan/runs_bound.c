#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/plan/runs_internal.h"

static const double STEP = 1.2, STEP_LEAST = 1e-3, SHRINK = 0.7, EPS_USD = 1e-9;
enum { PATIENCE = 4 };

/* How far the shares of one choice of runs are from being paid: per supply, slot and type, runs it takes less runs there are. */
typedef struct gaps {
    double of[LW_RUN_SUPPLIES][LW_RUN_SLOTS][LW_RUN_WAYS];
} gaps;

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

void lw_run_bound_start(const lw_runs_in *in, const lw_run_options *options, lw_run_bound *b)
{
    memset(b->share, 0, sizeof b->share);
    memset(b->served, 0, sizeof b->served);
    share_alike(in, options, b);
    for (int k = 0; k < in->supply_count; k++) {
        b->most[k][0] = in->first[k] < in->end ? in->first[k] : in->end;
        for (int s = 0; s < in->slots; s++) {
            b->most[k][s + 1] = b->most[k][s];
            for (int r = 0; r < 2 * in->type_count; r++)
                if (after_way(in, b, k, s, r, b->most[k][s]) > b->most[k][s + 1])
                    b->most[k][s + 1] = after_way(in, b, k, s, r, b->most[k][s]);
        }
    }
}

/* From the last slot backwards. */
static void fill_supply(const lw_runs_in *in, lw_run_bound *b, int k)
{
    double(*least)[LW_RUN_TICKS + 1] = b->least[k];
    for (int u = 0; u <= in->end; u++)
        least[in->slots][u] = u < in->end ? INFINITY : 0.0;
    for (int s = in->slots - 1; s >= 0; s--)
        for (int u = 0; u <= b->most[k][s]; u++) {
            double usd = least[s + 1][u];
            for (int r = 0; r < 2 * in->type_count; r++) {
                const int after = after_way(in, b, k, s, r, u);
                if (after > u)
                    usd = lw_least(usd, b->share[k][s][r] + least[s + 1][after]);
            }
            least[s][u] = u >= in->end ? 0.0 : usd;
        }
}

/* What the shares leave to be paid of a run; below 0: they pay more. */
static double unpaid(const lw_runs_in *in, const lw_run_option *o, const lw_run_bound *b, int s)
{
    double usd = o->usd;
    for (int k = 0; k < in->supply_count; k++)
        usd -= o->supplies >> k & 1u ? b->share[k][s][o->way] : 0.0;
    return usd;
}

/* The run of the slot that the shares pay best; -1: none is paid. */
static int best_paid(const lw_runs_in *in, const lw_run_options *o, const lw_run_bound *b, int s, double *rest)
{
    int best = -1;
    *rest = 0.0;
    for (int i = o->first[s]; i < o->first[s + 1]; i++) {
        const double usd = unpaid(in, &o->option[i], b, s);
        if (usd < *rest)
            *rest = usd, best = i;
    }
    return best;
}

static double fill(const lw_runs_in *in, const lw_run_options *o, lw_run_bound *b, gaps *gap)
{
    double sum = 0.0;
    memset(gap, 0, sizeof *gap);
    b->rest[in->slots] = 0.0;
    for (int s = in->slots - 1; s >= 0; s--) {
        double rest;
        const int at = best_paid(in, o, b, s, &rest);
        b->rest[s] = b->rest[s + 1] + rest;
        for (int k = 0; k < in->supply_count && at >= 0; k++)
            if (o->option[at].supplies >> k & 1u)
                gap->of[k][s][o->option[at].way] -= 1.0;
    }
    for (int k = 0; k < in->supply_count; k++) {
        double(*least)[LW_RUN_TICKS + 1] = b->least[k];
        fill_supply(in, b, k);
        int u = b->most[k][0];
        sum += least[0][u];
        for (int s = 0; s < in->slots && u < in->end && !isinf(sum); s++) {
            int taken = -1;
            for (int r = 0; r < 2 * in->type_count && least[s][u] < least[s + 1][u] - EPS_USD; r++)
                if (after_way(in, b, k, s, r, u) > u &&
                    b->share[k][s][r] + least[s + 1][after_way(in, b, k, s, r, u)] <= least[s][u] + EPS_USD)
                    taken = r;
            if (taken >= 0) {
                gap->of[k][s][taken] += 1.0;
                u = after_way(in, b, k, s, taken, u);
            }
        }
    }
    return sum + b->rest[0];
}

static void step(const lw_runs_in *in, const gaps *gap, double length, lw_run_bound *b)
{
    double norm = 0.0;
    for (int k = 0; k < in->supply_count; k++)
        for (int s = 0; s < in->slots; s++)
            for (int r = 0; r < 2 * in->type_count; r++)
                norm += gap->of[k][s][r] * gap->of[k][s][r];
    for (int k = 0; k < in->supply_count && norm > 0.0; k++)
        for (int s = 0; s < in->slots; s++)
            for (int r = 0; r < 2 * in->type_count; r++)
                b->share[k][s][r] = lw_most(b->share[k][s][r] + length / norm * gap->of[k][s][r], 0.0);
}

double lw_run_bound_raise(const lw_runs_in *in, const lw_run_options *options, double usd, int steps, lw_run_bound *b)
{
    gaps gap;
    double best_share[LW_RUN_SUPPLIES][LW_RUN_SLOTS][LW_RUN_WAYS];
    double best = -INFINITY, size = STEP;
    int idle = 0;
    for (int i = 0; i < steps && size > STEP_LEAST; i++) {
        const double bound = fill(in, options, b, &gap);
        if (bound > best + EPS_USD) {
            best = bound;
            memcpy(best_share, b->share, sizeof best_share);
            idle = 0;
        } else if (++idle == PATIENCE) {
            size *= SHRINK;
            idle = 0;
        }
        if (isinf(bound) || isinf(usd) || bound >= usd - EPS_USD)
            break;
        step(in, &gap, size * (usd - bound), b);
    }
    memcpy(b->share, best_share, sizeof best_share);
    return fill(in, options, b, &gap);
}

void lw_run_options_fix(const lw_runs_in *in, const lw_run_bound *bound, double bound_usd, double usd,
                        lw_run_options *options)
{
    int count = 0;
    for (int s = 0; s < in->slots; s++) {
        const double others = bound_usd - (bound->rest[s] - bound->rest[s + 1]);
        const int first = options->first[s], end = options->first[s + 1];
        options->first[s] = count;
        for (int i = first; i < end; i++)
            if (others + unpaid(in, &options->option[i], bound, s) < usd - EPS_USD)
                options->option[count++] = options->option[i];
    }
    options->first[in->slots] = count;
}
