#include "core/land/belief.h"

#include <math.h>

#include "core/base/num.h"
#include "core/base/random.h"

static const double PREDICTED_DB = 12.0, LEVEL_DB = 15.0; /* with terrain, and as over level ground */
static const double NEAR_DB = 8.5, HERE_DB = 6.0, HERE_M = 100.0, NEAR_M = 500.0, FADE_M = 2000.0;
static const double CLAIMED_DBM = -97.0, CLAIMED_DB = 27.0, UNCLAIMED_DBM = -125.0, UNCLAIMED_DB = 12.0;
static const double NOTHING_DBM = -110.0,
                    NOTHING_DB = 20.0; /* what a camp finds of which nothing is known; from memory */
static const double PRIOR_TRIES = 2.0, SHARED = 0.5;

lw_belief lw_belief_of_prediction(double predicted_dbm, int has_terrain)
{
    if (isnan(predicted_dbm))
        return (lw_belief){0};
    return (lw_belief){.has_any = 1, .dbm = predicted_dbm, .sigma_db = has_terrain ? PREDICTED_DB : LEVEL_DB};
}

lw_belief lw_belief_of_claim(lw_claim claim)
{
    if (claim == LW_CLAIM_UNKNOWN)
        return (lw_belief){0};
    const int is_claimed = claim == LW_CLAIM_YES;
    return (lw_belief){.has_any = 1,
                       .dbm = is_claimed ? CLAIMED_DBM : UNCLAIMED_DBM,
                       .sigma_db = is_claimed ? CLAIMED_DB : UNCLAIMED_DB};
}

static lw_belief weigh(const lw_belief *a, const lw_belief *b)
{
    if (!a->has_any || !b->has_any)
        return a->has_any ? *a : *b;
    const double wa = 1.0 / (a->sigma_db * a->sigma_db), wb = 1.0 / (b->sigma_db * b->sigma_db);
    return (lw_belief){.has_any = 1,
                       .dbm = (wa * a->dbm + wb * b->dbm) / (wa + wb),
                       .sigma_db = lw_most(PREDICTED_DB, sqrt(1.0 / (wa + wb)))};
}

lw_belief lw_belief_join(const lw_evidence *e)
{
    const lw_belief predicted = lw_belief_of_prediction(e->predicted_dbm, e->has_terrain),
                    claimed = lw_belief_of_claim(e->claim);
    lw_belief base = weigh(&predicted, &claimed);
    if (e->measured_count == 0)
        return base;
    if (!base.has_any)
        base = (lw_belief){.has_any = 1, .dbm = NOTHING_DBM, .sigma_db = NOTHING_DB};
    double sum = 0.0, weights = 0.0, nearest = 0.0, nearest_db = NEAR_DB;
    for (int i = 0; i < e->measured_count; i++) {
        const lw_measured *m = &e->measured[i];
        const double weight = m->way_m <= NEAR_M ? 1.0 : exp(-(m->way_m - NEAR_M) / FADE_M);
        /* what coverage adds to the prediction here it adds there too */
        const double there_db = m->predicted_dbm - e->predicted_dbm;
        sum += weight * (m->dbm - base.dbm - (isnan(there_db) ? 0.0 : there_db));
        weights += weight;
        nearest = lw_most(nearest, weight);
        nearest_db = m->way_m <= HERE_M ? HERE_DB : nearest_db;
    }
    if (!(weights > 0.0))
        return base;
    const double share = nearest * nearest;
    return (lw_belief){.has_any = 1,
                       .dbm = base.dbm + nearest * sum / weights,
                       .sigma_db =
                           sqrt((1.0 - share) * base.sigma_db * base.sigma_db + share * nearest_db * nearest_db),
                       .own_weight = nearest};
}

double lw_belief_frac(const lw_belief *belief, double wanted_dbm)
{
    if (!belief->has_any)
        return (double)NAN;
    return isinf(wanted_dbm) ? 0.0 : lw_normal_frac((belief->dbm - wanted_dbm) / belief->sigma_db);
}

double lw_belief_seen(double frac, int worked, int tried)
{
    const double before = isnan(frac) ? 0.5 : frac;
    return tried > 0 ? (PRIOR_TRIES * before + worked) / (PRIOR_TRIES + tried) : frac;
}

/* Each line fails by its own and by a shared error; the shared one is summed over in steps. */
double lw_belief_any(const double *frac, int count)
{
    enum { STEPS = 60 };
    const double reach = 6.0, step = 2.0 * reach / STEPS;
    double deviate[LW_LINES_MOST], none = 0.0, total = 0.0;
    if (count == 1)
        return frac[0];
    for (int i = 0; i < count; i++)
        deviate[i] = lw_random_normal(lw_least(1.0 - 1e-9, lw_most(1e-9, frac[i])));
    for (int k = 0; k <= STEPS; k++) {
        const double z = -reach + step * k, weight = exp(-0.5 * z * z);
        double fails = 1.0;
        for (int i = 0; i < count; i++)
            fails *= 1.0 - lw_normal_frac((deviate[i] + sqrt(SHARED) * z) / sqrt(1.0 - SHARED));
        none += weight * fails;
        total += weight;
    }
    return count > 0 ? 1.0 - none / total : 0.0;
}
