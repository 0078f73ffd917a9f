/* core/sky/sun_events.h: transit, sunrise and sunset of one day of a place.
 *
 * Computes  the instants of one solar day: the sun's transit; the moments before and after it at which the true
 *           elevation of the sun's centre crosses LW_SPA_SUNSET_DEG (-0.8333 deg: upper limb, mean refraction).
 * Inputs    solar_day in days since 1970-01-01: the calendar date of local mean solar time (UTC + longitude / 15 h), so
 *           that a day is never torn by the date line; latitude, longitude (east positive). The place is taken at 0 m
 *           with a flat horizon.
 * Results   transit_s, sunrise_s, sunset_s in UTC seconds since 1970-01-01, to 0.01 s of the algorithm. sun_up: PART;
 *           ALL_DAY or NEVER, then sunrise and sunset are NaN. In the polar regions a day may have only one of the two
 *           within 12 h of its transit: it is PART and the other is NaN.
 * Errors    LW_E_RANGE from lw_sun_events_check.
 * Source    roots of the elevation of core/sky/spa.h (NREL/TP-560-34302), not the report's own rise and set formula,
 *           which is tied to UTC dates.
 * Limits    real refraction near the horizon differs by minutes of time, hills by more. About 60 us a day. */
#ifndef LW_CORE_SKY_SUN_EVENTS_H
#define LW_CORE_SKY_SUN_EVENTS_H

#include <stdint.h>

#include "core/base/err.h"

typedef enum lw_sun_up { LW_SUN_UP_PART = 0, LW_SUN_UP_ALL_DAY, LW_SUN_UP_NEVER } lw_sun_up;

typedef struct lw_sun_events_in {
    int64_t solar_day;
    double latitude_deg, longitude_deg, delta_t_s;
} lw_sun_events_in;

typedef struct lw_sun_events_out {
    lw_sun_up sun_up;
    double transit_s, sunrise_s, sunset_s;
} lw_sun_events_out;

LW_MUST_USE lw_code lw_sun_events_check(const lw_sun_events_in *in, lw_fault *fault);
void lw_sun_events(const lw_sun_events_in *in, lw_sun_events_out *out);

#endif
