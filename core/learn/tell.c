/* What the draws say, as bands, as help and as what cannot be told apart. */
#include <math.h>

#include "core/base/num.h"
#include "core/base/random.h"
#include "core/learn/learn_internal.h"

static const double SHARE[LW_QUANTILES] = {0.1, 0.5, 0.9};
static const double DECILE = 1.2815515655446004; /* of the normal distribution, 0.9 */
static const double KNOWN_FRAC = 0.005;          /* of capacity: less than anybody can read */
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
            const double holds = t->capacity * (double)out->capacity[i][v];
            left += lw_supply_fills(t->supply) ? holds - t->unusable - level : level - t->unusable;
            use += use_of(m, v, out->draw[i].household);
        }
        if (!(use > 0.0))
            return 0;
        remaining[i] = lw_most(left, 0.0) / use;
    }
    return 1;
}

/* Of a supply that has ended in most draws no reading tells when it ends. */
static int has_mostly_left(const double *remaining, uint32_t draws)
{
    uint32_t left = 0;
    for (uint32_t i = 0; i < draws; i++)
        left += remaining[i] > 0.0;
    return 2 * left > draws;
}

void lw_tell_help(lw_work *w, lw_learned *out)
{
    const lw_model *m = w->model;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        double best = 0.0;
        out->help[k] = (lw_learned_help){.vessel = -1};
        if (k == LW_SUPPLY_PROPANE || k == LW_SUPPLY_FUEL || !set_remaining(m, k, out, w->b) ||
            !has_mostly_left(w->b, out->draws))
            continue;
        for (int v = 0; v < m->scenario->rig.vessel_count; v++) {
            for (uint32_t i = 0; i < out->draws; i++)
                w->a[i] = out->draw[i].state.level[v];
            const lw_moments both = moments_of(w->a, w->b, out->draws);
            const double r = both.correlation;
            /* A level that is known, as that of a full tank, tells nothing more. */
            if (both.sd_a > KNOWN_FRAC * m->scenario->rig.vessel[v].capacity && r * r > best) {
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

/* Of all draws, in the order of lw_learned_what. */
static void take_whats(lw_work *w, int vessel, const lw_learned *out)
{
    const lw_model *m = w->model;
    lw_cloud *c = &w->cloud;
    double household[LW_GROUP_COUNT];
    lw_past_plain(m->past, c->draw);
    lw_sight_plain(&c->sight);
    for (uint32_t i = 0; i < out->draws; i++) {
        lw_model_draw(m, c->z + (size_t)m->unknowns * i, c->draw, &c->sight, household);
        /* a start that is a share of an unknown capacity is known as that */
        w->what[LW_LEARNED_START][i] =
            c->draw->level[vessel] / (m->in->is_start_share[vessel] ? c->draw->capacity_frac[vessel] : 1.0);
        w->what[LW_LEARNED_USE][i] = log(lw_most(use_of(m, vessel, household), 1e-12));
        w->what[LW_LEARNED_CAPACITY][i] = log(c->draw->capacity_frac[vessel]);
        w->what[LW_LEARNED_RESIDUE][i] = log(c->sight.residue_frac[vessel]);
        w->what[LW_LEARNED_BIAS][i] = c->sight.bias[vessel];
    }
}

/* The spread of the start as the prior has it: the same kind of deviate, not led. */
static double prior_start_sd(lw_work *w, int vessel, uint32_t draws)
{
    const lw_model *m = w->model;
    for (int k = 0; k < m->unknowns; k++) {
        const lw_unknown *u = &m->unknown[k];
        if (u->kind != LW_UNKNOWN_START || u->index != vessel)
            continue;
        for (uint32_t i = 0; i < draws; i++)
            w->a[i] = u->mean + u->sd * lw_random_normal(u->low_p + (u->high_p - u->low_p) * (i + 0.5) / draws);
        return moments_of(w->a, w->a, draws).sd_a;
    }
    return 0.0;
}

static int has_emptying(const lw_model *m, int vessel)
{
    for (int t = 0; t < m->scenario->transfer_count; t++)
        if (m->scenario->transfer[t].vessel == vessel && m->scenario->transfer[t].kind == LW_TRANSFER_EMPTY &&
            m->scenario->transfer[t].at_s <= m->in->now_s)
            return 1;
    return 0;
}

static void set_tie(lw_work *w, int vessel, lw_learned *out)
{
    const lw_model *m = w->model;
    const double prior[LW_LEARNED_WHATS] = {
        [LW_LEARNED_START] = prior_start_sd(w, vessel, out->draws),
        [LW_LEARNED_USE] = prior_use_sd(m, vessel),
        [LW_LEARNED_CAPACITY] = m->in->capacity_sd[vessel],
        [LW_LEARNED_RESIDUE] = has_emptying(m, vessel) ? m->in->residue_sd[vessel] : 0.0,
        [LW_LEARNED_BIAS] = m->in->bias_sd[vessel],
    };
    lw_learned_tie *tie = &out->tie[vessel];
    take_whats(w, vessel, out);
    for (int a = 0; a < LW_LEARNED_WHATS; a++)
        for (int b = a + 1; b < LW_LEARNED_WHATS; b++) {
            const lw_moments now = moments_of(w->what[a], w->what[b], out->draws);
            if (!(prior[a] > 0.0) || !(prior[b] > 0.0))
                continue;
            const int is_tied =
                fabs(now.correlation) > TIED && now.sd_a > TIED * prior[a] && now.sd_b > TIED * prior[b];
            if (is_tied > tie->is_tied || (is_tied == tie->is_tied && fabs(now.correlation) > fabs(tie->correlation)))
                *tie = (lw_learned_tie){.a = (lw_learned_what)a,
                                        .b = (lw_learned_what)b,
                                        .correlation = now.correlation,
                                        .is_tied = is_tied};
        }
}

void lw_tell_ties(lw_work *w, lw_learned *out)
{
    const lw_model *m = w->model;
    for (int v = 0; v < m->scenario->rig.vessel_count; v++)
        if (out->gauge[v].readings > 0 && lw_past_is_by_sums(m->past, v))
            set_tie(w, v, out);
}

void lw_tell_unsure(lw_work *w, lw_learned *out)
{
    const lw_model *m = w->model;
    for (int v = 0; v < LW_VESSELS; v++)
        for (int q = 0; q < LW_QUANTILES; q++) {
            out->capacity_frac[v][q] = out->residue_frac[v][q] = 1.0;
            out->bias[v][q] = 0.0;
        }
    for (int v = 0; v < m->scenario->rig.vessel_count && m->is_unsure; v++) {
        if (!(m->in->capacity_sd[v] > 0.0) && !(m->in->residue_sd[v] > 0.0) && !(m->in->bias_sd[v] > 0.0))
            continue;
        take_whats(w, v, out);
        for (uint32_t i = 0; i < out->draws; i++)
            w->a[i] = exp(w->what[LW_LEARNED_CAPACITY][i]), w->b[i] = exp(w->what[LW_LEARNED_RESIDUE][i]);
        set_quantiles(w->a, out->draws, out->capacity_frac[v]);
        set_quantiles(w->b, out->draws, out->residue_frac[v]);
        set_quantiles(w->what[LW_LEARNED_BIAS], out->draws, out->bias[v]);
    }
}
