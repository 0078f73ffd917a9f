#include "core/sky/sun_events.h"

#include <math.h>

#include "core/sky/spa.h"

static const double DAY_S = 86400.0;

static lw_spa_out sky_at(const lw_sun_events_in *in, double t_s)
{
    const lw_spa_in at = {
        .t_s = t_s,
        .delta_t_s = in->delta_t_s,
        .place = {.latitude_deg = in->latitude_deg, .longitude_deg = in->longitude_deg},
    };
    lw_spa_sun sun;
    lw_spa_out out;
    lw_spa(&at, &sun, &out);
    return out;
}

static double above(const lw_sun_events_in *in, double t_s)
{
    return 90.0 - sky_at(in, t_s).zenith_deg - LW_SPA_SUNSET_DEG;
}

/* The hour angle runs 15 deg an hour to within 1 part in 3,000, so each step gains three digits. */
static double transit_near(const lw_sun_events_in *in, double t_s)
{
    for (int i = 0; i < 4; i++) {
        const double angle_deg = sky_at(in, t_s).hour_angle_deg;
        t_s -= (angle_deg > 180.0 ? angle_deg - 360.0 : angle_deg) / 360.0 * DAY_S;
    }
    return t_s;
}

/* Regula falsi with the Illinois halving; `low` is below the threshold, `high` above. NaN when they are not. */
static double crossing(const lw_sun_events_in *in, double low_s, double high_s)
{
    double f_low = above(in, low_s), f_high = above(in, high_s);
    if (!(f_low < 0.0 && f_high >= 0.0))
        return NAN;
    int side = 0;
    for (int i = 0; i < 60 && fabs(high_s - low_s) > 0.005; i++) {
        const double t_s = i % 4 == 3 ? 0.5 * (low_s + high_s) /* bounds the worst case: a grazing sun */
                                      : (low_s * f_high - high_s * f_low) / (f_high - f_low);
        const double f = above(in, t_s);
        if (fabs(f) < 1e-9)
            return t_s;
        if (f < 0.0) {
            low_s = t_s, f_low = f;
            f_high = side == -1 ? 0.5 * f_high : f_high;
            side = -1;
        } else {
            high_s = t_s, f_high = f;
            f_low = side == 1 ? 0.5 * f_low : f_low;
            side = 1;
        }
    }
    return 0.5 * (low_s + high_s);
}

lw_code lw_sun_events_check(const lw_sun_events_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"solar_day", (double)in->solar_day, -1450000.0, 1472000.0}, /* within the years of spa.h */
        {"latitude_deg", in->latitude_deg, -90.0, 90.0},
        {"longitude_deg", in->longitude_deg, -180.0, 180.0},
        {"delta_t_s", in->delta_t_s, -8000.0, 8000.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

void lw_sun_events(const lw_sun_events_in *in, lw_sun_events_out *out)
{
    const double mean_noon_s = ((double)in->solar_day + 0.5 - in->longitude_deg / 360.0) * DAY_S;
    out->transit_s = transit_near(in, mean_noon_s);
    out->sunrise_s = crossing(in, out->transit_s - 0.5 * DAY_S, out->transit_s);
    out->sunset_s = crossing(in, out->transit_s + 0.5 * DAY_S, out->transit_s);
    const int is_part = out->sunrise_s == out->sunrise_s || out->sunset_s == out->sunset_s; /* NaN is unequal */
    out->sun_up = is_part ? LW_SUN_UP_PART : above(in, out->transit_s) >= 0.0 ? LW_SUN_UP_ALL_DAY : LW_SUN_UP_NEVER;
}
