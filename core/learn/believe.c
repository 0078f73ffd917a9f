/* How likely readings are, given levels. */
#include <math.h>

#include "core/base/num.h"
#include "core/learn/learn_internal.h"

double lw_claim_agrees(const lw_claim *claim, double level)
{
    /* At its limit a tank overflows: a gauge may stand anywhere from there on. */
    const double reach = level >= claim->limit ? lw_most(claim->capacity, level) : level;
    const double below = claim->low - reach, above = level - claim->high;
    const double beside = lw_most(below, above);
    const double in = 1.0 - beside / claim->edge;
    return in >= 1.0 ? 1.0 : lw_most(in, 0.0);
}

static double counts(const lw_claim *claim, double agrees)
{
    return (1.0 - claim->lie) * agrees + claim->lie * claim->width;
}

double lw_claim_level(const lw_model *m, const lw_claim *claim, const lw_state *state)
{
    const lw_state *s = &state[claim->moment];
    return claim->vessel == LW_READ_BATTERY ? lw_state_battery_frac(m->in->past, s) : s->level[claim->vessel];
}

/* log(exp(a) + exp(b)) */
static double log_of_sum(double a, double b)
{
    const double most = lw_most(a, b);
    return most + log(exp(a - most) + exp(b - most));
}

/* One gauge: it works, or it is stuck and says nothing. */
static double gauge_log(const lw_model *m, int gauge, double works_log)
{
    return log_of_sum(log(1.0 - LW_LEARN_STUCK) + works_log, log(LW_LEARN_STUCK) + m->stuck_log[gauge]);
}

/* Claims stand by gauge: each gauge's are added up, then counted once. */
static double sum_gauges(const lw_model *m, int is_by_engine, double (*level)[LW_VESSELS], const lw_state *state)
{
    double sum = 0.0;
    for (int i = 0; i < m->claims;) {
        const int gauge = m->claim[i].gauge;
        double works = 0.0;
        const int is_asked = m->claim[i].is_by_engine == is_by_engine;
        for (; i < m->claims && m->claim[i].gauge == gauge; i++) {
            const lw_claim *claim = &m->claim[i];
            if (is_asked)
                works += log(counts(claim, lw_claim_agrees(claim, is_by_engine ? lw_claim_level(m, claim, state)
                                                                               : level[claim->moment][claim->vessel])));
        }
        if (is_asked)
            sum += gauge_log(m, gauge, works);
    }
    return sum;
}

double lw_model_sums_log(const lw_model *m, double (*level)[LW_VESSELS])
{
    return sum_gauges(m, 0, level, NULL);
}

double lw_model_engine_log(const lw_model *m, const lw_state *state)
{
    return sum_gauges(m, 1, NULL, state);
}

void lw_model_beliefs(const lw_model *m, const lw_state *state, double *lie, double *stuck)
{
    for (int i = 0; i < m->claims;) {
        const int gauge = m->claim[i].gauge, first = i;
        double works = 0.0;
        for (; i < m->claims && m->claim[i].gauge == gauge; i++)
            works += log(counts(&m->claim[i], lw_claim_agrees(&m->claim[i], lw_claim_level(m, &m->claim[i], state))));
        const double is_stuck = exp(log(LW_LEARN_STUCK) + m->stuck_log[gauge] - gauge_log(m, gauge, works));
        stuck[gauge] += is_stuck;
        for (int k = first; k < i; k++) {
            const lw_claim *claim = &m->claim[k];
            const double all = counts(claim, lw_claim_agrees(claim, lw_claim_level(m, claim, state)));
            lie[k] += is_stuck + (1.0 - is_stuck) * claim->lie * claim->width / all;
        }
    }
}
