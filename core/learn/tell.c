/* What the draws say, as bands, as help and as what cannot be told apart. */
#include <math.h>

#include "core/base/num.h"
#include "core/base/random.h"
#include "core/learn/learn_internal.h"

static const double SHARE[LW_QUANTILES] = {0.1, 0.5, 0.9};
static const double DECILE = 1.2815515655446004; /* of the normal distribution, 0.9 */
static const double TIED =
    0.5; /* correlation, and share of the prior's spread that is left of both; our own judgement */

/* ------------------------------------------------------------------ quantiles */

static void sink(double *v, uint32_t at, uint32_t count)
{
    for (uint32_t child; (child = 2 * at + 1) < count; at = child) {
        if (child + 1 < count && v[child + 1] > v[child])
            child++;
        if (!(v[child] > v[at]))
            return;
        const double swap = v[at];
        v[at] = v[child], v[child] = swap;
    }
}

/* Sorts by heap: no memory, no worst case. */
static void set_quantiles(double *v, uint32_t count, double to[LW_QUANTILES])
{
    for (uint32_t i = count / 2; i-- > 0;)
        sink(v, i, count);
    for (uint32_t n = count; n-- > 1;) {
        const double swap = v[0];
        v[0] = v[n], v[n] = swap;
        sink(v, 0, n);
    }
    for (int q = 0; q < LW_QUANTILES; q++) {
        const double at = ceil(SHARE[q] * count) - 1.0;
        to[q] = v[at > 0.0 ? (uint32_t)at : 0u];
    }
}

typedef struct lw_moments {
    double mean_a, mean_b, sd_a, sd_b, correlation;
} lw_moments;

static lw_moments moments_of(const double *a, const double *b, uint32_t count)
{
    lw_moments m = {0};
    double aa = 0.0, bb = 0.0, ab = 0.0;
    for (uint32_t i = 0; i < count; i++)
        m.mean_a += a[i] / count, m.mean_b += b[i] / count;
    for (uint32_t i = 0; i < count; i++) {
        aa += (a[i] - m.mean_a) * (a[i] - m.mean_a) / count;
        bb += (b[i] - m.mean_b) * (b[i] - m.mean_b) / count;
        ab += (a[i] - m.mean_a) * (b[i] - m.mean_b) / count;
    }
    m.sd_a = sqrt(aa), m.sd_b = sqrt(bb);
    m.correlation = m.sd_a > 1e-12 && m.sd_b > 1e-12 ? ab / (m.sd_a * m.sd_b) : 0.0;
    return m;
}

/* ------------------------------------------------------------------ results */

void lw_tell_levels(lw_work *w, lw_learned *out)
{
    const lw_model *m = w->model;
    for (int v = 0; v < m->scenario->rig.vessel_count; v++) {
        for (uint32_t i = 0; i < out->draws; i++)
            w->a[i] = out->draw[i].state.level[v];
        set_quantiles(w->a, out->draws, out->level[v]);
    }
    for (uint32_t i = 0; i < out->draws; i++)
        w->a[i] = lw_state_battery_frac(m->in->past, &out->draw[i].state);
    set_quantiles(w->a, out->draws, out->battery_frac);
}

void lw_tell_bands(lw_work *w, lw_learned *out)
{
    const lw_model *m = w->model;
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        const double sd = m->in->spread.household[g];
        for (uint32_t i = 0; i < out->draws; i++)
            w->a[i] = out->draw[i].household[g];
        set_quantiles(w->a, out->draws, out->factor[g].now);
        for (int q = 0; q < LW_QUANTILES; q++)
            out->factor[g].prior[q] = exp((q - 1) * DECILE * sd);
        out->factor[g].is_read = m->claims > 0 && lw_model_reads(m, g);
    }
    lw_tell_levels(w, out);
}

/* What a draw's household uses of a vessel from the start to now, its days as on average. */
static double use_of(const lw_model *m, int vessel, const double household[LW_GROUP_COUNT])
{
    double sum = 0.0;
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        sum += household[g] * m->use[vessel][g];
    return sum;
}

/* Remaining days, but for a factor that is the same in all draws: what is left over what is used. */
static int set_remaining(const lw_model *m, int supply, const lw_learned *out, double *remaining)
{
    const lw_rig *rig = &m->scenario->rig;
    for (uint32_t i = 0; i < out->draws; i++) {
        double left = 0.0, use = 0.0;
        for (int v = 0; v < rig->vessel_count; v++) {
            const lw_vessel *t = &rig->vessel[v];
            if ((int)t->supply != supply || t->filter_life_l > 0.0)
                continue;
            const double level = out->draw[i].state.level[v];
            left += lw_supply_fills(t->supply) ? t->capacity - t->unusable - level : level - t->unusable;
            use += use_of(m, v, out->draw[i].household);
        }
        if (!(use > 0.0))
            return 0;
        remaining[i] = lw_most(left, 0.0) / use;
    }
    return 1;
}

void lw_tell_help(lw_work *w, lw_learned *out)
{
    const lw_model *m = w->model;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        double best = 0.0;
        out->help[k] = (lw_learned_help){.vessel = -1};
        if (k == LW_SUPPLY_PROPANE || k == LW_SUPPLY_FUEL || !set_remaining(m, k, out, w->b))
            continue;
        for (int v = 0; v < m->scenario->rig.vessel_count; v++) {
            for (uint32_t i = 0; i < out->draws; i++)
                w->a[i] = out->draw[i].state.level[v];
            const double r = moments_of(w->a, w->b, out->draws).correlation;
            if (r * r > best) {
                best = r * r;
                out->help[k] = (lw_learned_help){.vessel = v, .narrows_frac = 1.0 - sqrt(1.0 - lw_least(r * r, 1.0))};
            }
        }
    }
}

/* The spread of a sum of log-normal uses, relative; near enough for a comparison with what is left of it. */
static double prior_use_sd(const lw_model *m, int vessel)
{
    double sum = 0.0, squares = 0.0;
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        const double use = m->use[vessel][g], sd = m->in->spread.household[g];
        sum += use;
        squares += use * use * sd * sd;
    }
    return sum > 0.0 ? sqrt(squares) / sum : 0.0;
}

static void set_tie(lw_work *w, int k, lw_learned *out)
{
    const lw_model *m = w->model;
    const lw_unknown *u = &m->unknown[k];
    for (uint32_t i = 0; i < out->draws; i++) {
        double household[LW_GROUP_COUNT];
        lw_model_draw(m, w->cloud.z + (size_t)m->unknowns * i, w->cloud.draw, household);
        w->a[i] = w->cloud.draw->level[u->index];
        w->b[i] = log(lw_most(use_of(m, u->index, out->draw[i].household), 1e-12));
        /* The start as the prior has it: the same kind of deviate, not led. */
        w->start[i] = u->mean + u->sd * lw_random_normal(u->low_p + (u->high_p - u->low_p) * (i + 0.5) / out->draws);
    }
    const lw_moments now = moments_of(w->a, w->b, out->draws);
    const lw_moments prior = moments_of(w->start, w->b, out->draws);
    out->tie[u->index] = now.correlation;
    out->is_tied[u->index] =
        fabs(now.correlation) > TIED && now.sd_a > TIED * prior.sd_a && now.sd_b > TIED * prior_use_sd(m, u->index);
}

void lw_tell_ties(lw_work *w, lw_learned *out)
{
    const lw_model *m = w->model;
    for (int k = 0; k < m->unknowns; k++) {
        const lw_unknown *u = &m->unknown[k];
        if (u->kind == LW_UNKNOWN_START && u->index < LW_VESSELS && out->gauge[u->index].readings > 0)
            set_tie(w, k, out);
    }
}
