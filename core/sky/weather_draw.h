/* core/sky/weather_draw.h: one possible course of the weather, day by day and hour by hour.
 *
 * Computes  lw_weather_draw: the days of one draw: the daily mean about its normal as a first-order autoregression, the range,
 *           wet or dry as a chain of two states, the rain of a wet day, clearness by the table of days, wind; and what the
 *           model is wrong by at this place, drawn once and kept through the draw; lw_weather_normal_days: the deterministic
 *           course, every day as its normal; lw_weather_hours: days to hours.
 * Inputs    a frame (core/sky/weather_frame.h); seed and draw. with_place_error 0: as if the model were exact there.
 * Results   a day for each of the frame's; hours into the caller's arrays, each of frame->hours; NULL: not wanted.
 * Errors    none: all are total on a frame that was made from checked input. Nothing is kept, nothing is allocated.
 * Formula   mean = normal + sd x, x = r1 x' + sqrt(1 - r1^2) z; range = 1 K + (a + b w)^2 with the normal
 *           range as mean and sddtr as standard deviation; w from the rank of the day's clearness, from wet or dry and chance. P(dry to wet) keeps the share of wet days. Rain of a wet day
 *           0.25 mm and an exponential rest; wind log-normal; both about the model's means. Numbers belong to (seed, draw,
 *           day): another span of the same days meets the same numbers.
 * Source    core/sky/climate.h; exponential rain, log-normal wind: common practice; errors of highs and lows of a place
 *           correlate by 0.2 (our fit's residuals: interior West 0.29, east 0.16, Pacific slope 0.0).
 * Limits    wind hangs together neither with the day before nor with rain; temperature not with rain but for the range. The
 *           days' clearness spreads a tenth less than the stations' (the table of days ends at its 2nd and 98th percent). */
#ifndef LW_CORE_SKY_WEATHER_DRAW_H
#define LW_CORE_SKY_WEATHER_DRAW_H

#include "core/base/random.h"
#include "core/sky/weather_frame.h"

typedef struct lw_weather_series {
    double *air_c, *clear_frac, *wind_ms, *humidity_frac, *precip_mm, *snow_mm, *dew_c; /* any may be NULL */
} lw_weather_series;

void lw_weather_draw(const lw_weather_frame *frame, const lw_random_key *key, int with_place_error,
                     lw_weather_day day[LW_WEATHER_DAYS]);
void lw_weather_normal_days(const lw_weather_frame *frame, lw_weather_day day[LW_WEATHER_DAYS]);
void lw_weather_hours(const lw_weather_frame *frame, const lw_weather_day *day, const lw_weather_series *to);

#endif
