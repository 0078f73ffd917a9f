/* core/sky/weather_frame.h: what all draws of the weather of one place and span share.
 *
 * Computes  lw_weather_frame_make: for each day the normals, how they are spread and hang together, and the clearness of a
 *           cloudless sky; for each hour between which low and high it lies and how far, and its share of the day's wind.
 * Inputs    site (core/sky/climate.h); start_s, hours: the span in hours from start_s (UTC), at most LW_WEATHER_HOURS;
 *           linke_turbidity as in core/sky/clear_sky.h; usual: weather that somebody knows better than the climate, by hour,
 *           of which the spreads stay the climate's; said: a forecast, believed the less the further ahead it looks.
 * Results   days are those of local mean solar time, one before the span and one behind it: they differ from civil days by
 *           the hour or two between the clock and the sun.
 * Errors    LW_E_RANGE from lw_weather_frame_check; behind it nothing fails. Place, days and turbidity are the caller's.
 * Formula   the hour: from the low (0.4 h after sunrise) a quarter of a sine up to the high (1.8 h after the sun's noon), on by
 *           the same sine until sunset, then falling exponentially to the next low (e^-2.2 of the way, shifted to end there).
 *           Rain and cloud: a latent deviate y, normal with one mean on wet and another on dry days, its rank the rank of
 *           the day's clearness in the table of days of that month's mean; the gap of the two means gives the table's ratio
 *           of wet to dry clearness. The range hangs on that rank and on wet or dry, so that correlation and ratio hold.
 *           A forecast's day (at least half of it said): its mean with an error of its own (data/climate/leads.csv, at most the
 *           climate's spread), its clearness, range and wind as deviates that count by sky_r; a day behind it is on the way
 *           back to the climate by r1 a day. Wet by the largest chance it says of an hour of the day.
 * Source    shape: of the kind of W. J. Parton, J. A. Logan, Agricultural Meteorology 23 (1981), our own lag, start and decay,
 *           fitted to the mean shapes of western TMY3 stations: 0.03 of the range rms, 0.07 at worst
 *           (tests/reference/climate_hours.csv). Ratios, correlations, clearness of days, wind's shape: data/climate/.
 *           Dew point: our own rule on three weather files (Montana, Nevada, California), 3 K; from memory elsewhere.
 * Limits    rain falls evenly over its day. Ratios are medians of many stations, west or east of 102 W. */
#ifndef LW_CORE_SKY_WEATHER_FRAME_H
#define LW_CORE_SKY_WEATHER_FRAME_H

#include <stdint.h>

#include "core/sky/climate.h"

enum {
    LW_WEATHER_HOURS = 64 * 24,
    LW_WEATHER_DAYS = LW_WEATHER_HOURS / 24 + 4,
};

/* Clearness of an hour: of a cloudless sky; above 1 bright edges of clouds, cleaner air. */
#define LW_WEATHER_LEAST_CLEAR_FRAC 0.03
#define LW_WEATHER_MOST_CLEAR_FRAC  1.3

typedef struct lw_weather_day {
    double tmin_c, tmax_c;
    double clear_frac;                  /* global on the level over that of a cloudless day */
    double precip_mm, snow_mm, wind_ms; /* snow: of the precipitation, as water */
    int is_wet;
} lw_weather_day;

/* Hours of the span, as core/sim/scenario.h has them; ghi NaN: by clear_frac. */
typedef struct lw_weather_known {
    const double *air_c, *clear_frac, *ghi_wm2, *wind_ms, *precip_mm;
} lw_weather_known;

/* A forecast over hours from..until of the span. */
typedef struct lw_weather_said {
    lw_weather_known known;
    const double *wet_frac; /* chance of precipitation by hour, NaN where it is not said; NULL: nowhere */
    int from, until;
    int64_t issued_s;
} lw_weather_said;

typedef struct lw_weather_frame_in {
    const lw_climate_site *site;
    int64_t start_s;
    int hours;
    double linke_turbidity;
    const lw_weather_known *usual; /* what takes the climate's place: its days are the normals; NULL: the climate */
    int usual_is_one_year;         /* they are those of one year: a month's mean of them is the normal */
    const lw_weather_said *said;   /* NULL: no forecast */
} lw_weather_frame_in;

/* What a forecast says of a day; air_sd_k 0: none reaches it. */
typedef struct lw_weather_told {
    double mean_c, air_sd_k;
    double cloud, range, wind_ms, sky_r; /* clearness and range as standard deviates; how they hang on what comes */
    double wet_frac, wet_day_mm;         /* wet_frac NaN: not said */
} lw_weather_told;

typedef struct lw_weather_normal {
    lw_climate_day climate;
    lw_climate_rms error;                      /* of the place, one standard deviation */
    double wet_again_frac, wet_anew_frac;      /* chance of a wet day behind a wet one, behind a dry one */
    double clear_kt;                           /* clearness of the cloudless sky that day */
    double cloud_gap, cloud_spread, cloud_r;   /* latent: dry less wet mean, spread about either, from day to day */
    double range_cloud, range_wet, range_rest; /* weights of the range: by clearness, by wet or dry, of its own */
    double wind_log_sd;
    double dew_below_k; /* dew point below the day's low */
    lw_weather_told told;
    lw_weather_day course; /* the one that a single outlook is computed with */
} lw_weather_normal;

typedef struct lw_weather_hour {
    uint8_t day, low_day, high_day; /* air = low of low_day + share (high of high_day - that low) */
    float share, wind;              /* wind over the day's mean */
    float air_off_k, clear_off;     /* what the hour of a known course has above what its days give */
} lw_weather_hour;

typedef struct lw_weather_frame {
    int64_t first_day; /* days since 1970-01-01, local mean solar time */
    int days, hours;
    double pressure_pa;
    lw_weather_normal day[LW_WEATHER_DAYS];
    lw_weather_hour hour[LW_WEATHER_HOURS];
} lw_weather_frame;

LW_MUST_USE lw_code lw_weather_frame_check(const lw_weather_frame_in *in, lw_fault *fault);
void lw_weather_frame_make(const lw_weather_frame_in *in, lw_weather_frame *frame);

/* Where a day of apparent sunrise, sunset (hours of apparent solar time, noon 12) stands at that hour: 0 at the low, 1 at the
 * high. *is_evening: past the high, so that it is on its way to the next day's low; else, before the low, it comes from the
 * high of the day before. */
double lw_weather_share(double solar_h, double sunrise_h, double sunset_h, int *is_evening, int *is_before_low);

/* Clearness of a day: the rank-th of the days of a month whose mean is mean_kt, scaled so that the mean is kept. */
double lw_weather_day_kt(double mean_kt, double rank_frac);

#endif
