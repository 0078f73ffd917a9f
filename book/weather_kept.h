/* book/weather_kept.h: the weather that was, by place and hour, so that what was used can be told from what the sky did.
 *
 * Put       replaces the hours that are there already, all or none; a figure that is not known is NaN.
 * Errors    as book/book.h; LW_E_RANGE for a figure that no weather has, or an hour that is no whole one. */
#ifndef LW_BOOK_WEATHER_KEPT_H
#define LW_BOOK_WEATHER_KEPT_H

#include <stddef.h>
#include <stdint.h>

#include "book/book.h"
#include "core/base/err.h"

typedef struct lw_kept_hour {
    int64_t hour_s; /* its first second, UTC */
    double air_c, wind_ms, humidity_frac, ghi_wm2, precip_mm, snow_mm;
} lw_kept_hour;

typedef struct lw_kept_hours {
    lw_kept_hour *hour;
    size_t count;
} lw_kept_hours;

void lw_kept_hours_clear(lw_kept_hours *hours);

LW_MUST_USE lw_code lw_book_put_weather(lw_book *book, int64_t place, const char *source, const lw_kept_hour *hour,
                                        size_t count, lw_err *err);

/* Hours from from_s until before to_s, in order. */
LW_MUST_USE lw_code lw_book_weather(lw_book *book, int64_t place, int64_t from_s, int64_t to_s, lw_kept_hours *hours,
                                    lw_err *err);

#endif
