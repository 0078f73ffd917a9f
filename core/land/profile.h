/* core/land/profile.h: the ground under a radio path.
 *
 * Inputs    points from the first antenna (transmitter) to the second: d_km from it, ascending, the first 0; h_m bare
 *           ground above the sea; clutter_m what stands on it (trees, houses), not used at the two ends; zone.
 * Results   lw_zone_km: the longest run of some zones, and all of them together; a border lies half way between points.
 * Errors    LW_E_RANGE, LW_E_FULL and LW_E_CONFLICT (distances that do not rise) from lw_profile_check.
 * Source    Recommendation ITU-R P.1812-8, sections 3.2 (profile), 3.3 (zones).
 * Limits    LW_PROFILE_POINTS points, of even or uneven steps. */
#ifndef LW_CORE_LAND_PROFILE_H
#define LW_CORE_LAND_PROFILE_H

#include "core/base/err.h"

enum { LW_PROFILE_LEAST = 5, LW_PROFILE_POINTS = 8192 };

/* Numbers of the Recommendation's table of zones; coast is land up to 100 m high within 50 km of the sea. */
enum { LW_ZONE_SEA = 1, LW_ZONE_COAST = 3, LW_ZONE_INLAND = 4 };

typedef struct lw_profile {
    int count;
    const double *d_km, *h_m;
    const double *clutter_m;   /* NULL: none */
    const unsigned char *zone; /* NULL: inland */
} lw_profile;

typedef struct lw_zone_km {
    double longest_km, all_km;
} lw_zone_km;

LW_MUST_USE lw_code lw_profile_check(const lw_profile *profile, lw_fault *fault);

/* Of the zones whose bits (1 << zone) are set. */
lw_zone_km lw_profile_zones(const lw_profile *profile, unsigned zones);

static inline double lw_profile_km(const lw_profile *profile)
{
    return profile->d_km[profile->count - 1];
}

#endif
