/* How likely readings are, given levels. */
#include <math.h>

#include "core/base/num.h"
#include "core/learn/learn_internal.h"

/* What is seen of a draw: its level, and what its gauge and its capacity make of it. The engine's own vessels are sure. */
typedef struct lw_seen {
    const double (*level)[LW_VESSELS]; /* by moment; NULL: by state */
    const lw_state *state;
    const lw_past_draw *draw; /* NULL: all is sure */
    const lw_sight *sight;
} lw_seen;

/* How far a value agrees with a claim, 0 .. 1. At its limit a tank overflows: a gauge may stand anywhere from there on. */
static double agrees(const lw_claim *claim, double value, int is_over)
{
    const double reach = is_over ? lw_most(claim->capacity, value) : value;
    const double below = claim->low - reach, above = value - claim->high;
    const double beside = lw_most(below, above);
    const double in = 1.0 - beside / claim->edge;
    return in >= 1.0 ? 1.0 : lw_most(in, 0.0);
}

static double level_of(const lw_model *m, const lw_claim *claim, const lw_seen *seen)
{
    if (!seen->level && claim->vessel == LW_READ_BATTERY)
        return lw_state_battery_frac(m->in->past, &seen->state[claim->moment]);
    const double *level = seen->level ? seen->level[claim->moment] : seen->state[claim->moment].level;
    double sum = level[claim->vessel];
    for (int v = 0; v < LW_VESSELS; v++)
        sum += claim->also >> v & 1u ? level[v] : 0.0;
    return sum;
}

/* What the vessels of a claim hold in a draw. */
static double holds_of(const lw_model *m, const lw_claim *claim, const lw_past_draw *draw)
{
    const lw_vessel *vessel = m->scenario->rig.vessel;
    double sum = vessel[claim->vessel].capacity * draw->capacity_frac[claim->vessel];
    for (int v = 0; v < LW_VESSELS; v++)
        sum += claim->also >> v & 1u ? vessel[v].capacity * draw->capacity_frac[v] : 0.0;
    return sum;
}

static double agreement(const lw_model *m, const lw_claim *claim, const lw_seen *seen)
{
    const double level = level_of(m, claim, seen);
    if (!m->is_unsure || claim->is_by_engine || !seen->draw)
        return agrees(claim, claim->what == LW_READ_ROOM ? claim->capacity - level : level, level >= claim->limit);
    const double bias = seen->sight->bias[claim->vessel], holds = holds_of(m, claim, seen->draw);
    const double frac = holds / claim->capacity;
    const int is_over = level >= claim->limit + holds - claim->capacity;
    if (claim->what == LW_READ_ROOM)
        return agrees(claim, holds - level, 0);
    const double share = claim->what == LW_READ_LEVEL ? level : level / frac;
    return agrees(claim, claim->what == LW_READ_GAUGE ? share + bias * claim->capacity : share, is_over);
}

static double counts(const lw_claim *claim, double agrees)
{
    return (1.0 - claim->lie) * agrees + claim->lie * claim->width;
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
static double sum_gauges(const lw_model *m, int is_by_engine, const lw_seen *seen)
{
    double sum = 0.0;
    for (int i = 0; i < m->claims;) {
        const int gauge = m->claim[i].gauge;
        double works = 0.0;
        const int is_asked = m->claim[i].is_by_engine == is_by_engine;
        for (; i < m->claims && m->claim[i].gauge == gauge; i++)
            if (is_asked)
                works += log(counts(&m->claim[i], agreement(m, &m->claim[i], seen)));
        if (is_asked)
            sum += gauge_log(m, gauge, works);
    }
    return sum;
}

double lw_model_sums_log(const lw_model *m, double (*level)[LW_VESSELS], const lw_past_draw *draw,
                         const lw_sight *sight)
{
    return sum_gauges(m, 0, &(lw_seen){.level = (const double(*)[LW_VESSELS])level, .draw = draw, .sight = sight});
}

double lw_model_engine_log(const lw_model *m, const lw_state *state)
{
    return sum_gauges(m, 1, &(lw_seen){.state = state});
}

void lw_model_beliefs(const lw_model *m, const lw_state *state, const lw_past_draw *draw, const lw_sight *sight,
                      double *lie, double *stuck)
{
    const lw_seen seen = {.state = state, .draw = draw, .sight = sight};
    for (int i = 0; i < m->claims;) {
        const int gauge = m->claim[i].gauge, first = i;
        double works = 0.0;
        for (; i < m->claims && m->claim[i].gauge == gauge; i++)
            works += log(counts(&m->claim[i], agreement(m, &m->claim[i], &seen)));
        const double is_stuck = exp(log(LW_LEARN_STUCK) + m->stuck_log[gauge] - gauge_log(m, gauge, works));
        stuck[gauge] += is_stuck;
        for (int k = first; k < i; k++) {
            const lw_claim *claim = &m->claim[k];
            const double all = counts(claim, agreement(m, claim, &seen));
            lie[k] += is_stuck + (1.0 - is_stuck) * claim->lie * claim->width / all;
        }
    }
}
