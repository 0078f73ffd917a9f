/* core/land/belief.h: what is believed of a signal at a place, from three kinds of evidence by their errors.
 *
 * Computes  lw_belief_join: a normal distribution of the signal in dBm from a prediction by terrain, published coverage and
 *           the household's own measurements here and near; lw_belief_frac: the chance that it is at least so strong;
 *           lw_belief_seen: that chance corrected by how often it did or did not work here; lw_belief_any: the chance that
 *           at least one of several lines works.
 * Inputs    prediction: dbm and whether terrain is known; claim: yes, no, unknown. measured: dbm as shown, the prediction
 *           for the point and antenna it was measured with (NaN: none), how far off that point is.
 * Results   dbm, sigma_db; own_weight 0..1. has_any 0: nothing is known, and the rest is 0.
 * Method    prediction and coverage are weighed by 1/sigma^2, and together no surer than 12 dB, since both stand on the same
 *           masts. A measurement shifts that by its difference from what it would have been there, times exp(-(way - 500 m)/2 km),
 *           and the spread goes towards 8.5 dB, at the place itself (100 m) to 6 dB, never below.
 * Errors    none; the caller's numbers are checked where they enter.
 * Source    spreads: Phillips, Sicker, Grunwald, "Bounding the Practical Error of Path Loss Models" (2012): 12 to 15 dB without,
 *           8 to 9 dB with local measurements; 5.5 dB within 100 m (digital television planning, ITU-R P.1812) and the +-6 dB
 *           of a handset (3GPP TS 36.133) give 6 dB. Coverage: in drive tests of claimed areas 75 % had a signal
 *           at all and 62 % the claimed rate (FCC staff report, December 2019), which is a normal of -97 and 27 dB if the first
 *           is -115 and the second -105 dBm; not claimed: -125 and 12 dB, from memory. 500 m and 2 km, and what works here counting as two
 *           readings more: common practice, no single source. Lines at one place share half of their error: from memory.
 * Limits    the same side of a ridge is not looked at. Hour and season are not in it. */
#ifndef LW_CORE_LAND_BELIEF_H
#define LW_CORE_LAND_BELIEF_H

#include "core/base/err.h"

enum { LW_MEASURED_MOST = 256, LW_LINES_MOST = 8 };

/* A map of coverage that has no area at all so near says nothing of a place: it may be of another region (from memory). */
enum { LW_COVERAGE_REACH_M = 100000 };

typedef enum lw_claim { LW_CLAIM_YES = 0, LW_CLAIM_NO, LW_CLAIM_UNKNOWN } lw_claim;

typedef struct lw_measured {
    double dbm, predicted_dbm, way_m;
} lw_measured;

typedef struct lw_evidence {
    double predicted_dbm; /* NaN: no mast is known */
    int has_terrain;
    lw_claim claim;
    const lw_measured *measured; /* borrowed */
    int measured_count;
} lw_evidence;

typedef struct lw_belief {
    int has_any;
    double dbm, sigma_db, own_weight;
} lw_belief;

lw_belief lw_belief_of_prediction(double predicted_dbm, int has_terrain);
lw_belief lw_belief_of_claim(lw_claim claim);
lw_belief lw_belief_join(const lw_evidence *evidence);

double lw_belief_frac(const lw_belief *belief, double wanted_dbm); /* NaN: nothing is known */

/* `worked` of `tried` times here; a frac that is not known (NaN) counts as even. */
double lw_belief_seen(double frac, int worked, int tried);

double lw_belief_any(const double *frac, int count); /* up to LW_LINES_MOST */

#endif
