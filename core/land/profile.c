#include "core/land/profile.h"

#include <stddef.h>

static const double LONGEST_KM = 3000.0; /* P.1812 section 2 */

static lw_code check_point(const lw_profile *profile, int i, lw_fault *fault)
{
    const lw_want want[] = {
        {"d_km", profile->d_km[i], 0.0, LONGEST_KM},
        {"h_m", profile->h_m[i], -500.0, 9000.0},
        {"clutter_m", profile->clutter_m ? profile->clutter_m[i] : 0.0, 0.0, 300.0},
    };
    const lw_code bad = lw_want_all(fault, LW_WANTS(want));
    if (bad)
        return bad;
    const double low_km = i ? profile->d_km[i - 1] : 0.0, high_km = i ? LONGEST_KM : 0.0;
    if (profile->d_km[i] > high_km || (i && !(profile->d_km[i] > low_km))) {
        *fault = (lw_fault){LW_E_CONFLICT, "d_km", profile->d_km[i], low_km, high_km};
        return LW_E_CONFLICT;
    }
    const int zone = profile->zone ? profile->zone[i] : LW_ZONE_INLAND;
    if (zone == LW_ZONE_SEA || zone == LW_ZONE_COAST || zone == LW_ZONE_INLAND)
        return LW_OK;
    *fault = (lw_fault){LW_E_RANGE, "zone", zone, LW_ZONE_SEA, LW_ZONE_INLAND};
    return LW_E_RANGE;
}

lw_code lw_profile_check(const lw_profile *profile, lw_fault *fault)
{
    if (profile->count < LW_PROFILE_LEAST || profile->count > LW_PROFILE_POINTS) {
        const lw_code code = profile->count < LW_PROFILE_LEAST ? LW_E_RANGE : LW_E_FULL;
        *fault = (lw_fault){code, "points", profile->count, LW_PROFILE_LEAST, LW_PROFILE_POINTS};
        return code;
    }
    for (int i = 0; i < profile->count; i++) {
        const lw_code bad = check_point(profile, i, fault);
        if (bad)
            return bad;
    }
    return LW_OK;
}

lw_zone_km lw_profile_zones(const lw_profile *profile, unsigned zones)
{
    const double *d_km = profile->d_km;
    const int last = profile->count - 1;
    lw_zone_km out = {0};
    if (!profile->zone) {
        if (zones & 1U << LW_ZONE_INLAND)
            out.longest_km = out.all_km = d_km[last];
        return out;
    }
    double run_km = 0.0;
    for (int i = 0; i <= last; i++) {
        if (!(zones & 1U << profile->zone[i])) {
            run_km = 0.0;
            continue;
        }
        const double from_km = i ? 0.5 * (d_km[i - 1] + d_km[i]) : d_km[0],
                     to_km = i < last ? 0.5 * (d_km[i] + d_km[i + 1]) : d_km[last];
        run_km += to_km - from_km;
        out.all_km += to_km - from_km;
        out.longest_km = run_km > out.longest_km ? run_km : out.longest_km;
    }
    return out;
}
