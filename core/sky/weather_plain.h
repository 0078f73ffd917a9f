/* core/sky/weather_plain.h: a frame for one course of the weather, at a fraction of the cost of one for draws.
 *
 * Computes  lw_weather_frame_plain: days and hours as lw_weather_frame_make has them; how days are spread and hang together is not looked for,
 *           and the clearness of a cloudless sky is that of each LW_WEATHER_CLEAR_DAYS-th day, straight between (within 0.0005).
 * Inputs    as core/sky/weather_frame.h.
 * Results   for lw_weather_normal_days and lw_weather_hours; not for draws.
 * Errors    those of lw_weather_frame_check. */
#ifndef LW_CORE_SKY_WEATHER_PLAIN_H
#define LW_CORE_SKY_WEATHER_PLAIN_H

#include "core/sky/weather_frame.h"

enum { LW_WEATHER_CLEAR_DAYS = 3 };

void lw_weather_frame_plain(const lw_weather_frame_in *in, lw_weather_frame *frame);

#endif
