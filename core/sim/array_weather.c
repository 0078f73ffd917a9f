#include "core/sim/context_internal.h"

#include "core/base/num.h"

static const double TOLD_FRAC = 0.5;           /* of a panel under snow: from here on it is told; from judgement */
enum { CLEARED_FROM = 9, CLEARED_UNTIL = 12 }; /* civil hours of "each morning" */

static int is_time_to_clear(const lw_context *c, const lw_hour *hour, int of_calendar)
{
    const int civil = c->scenario->calendar.civil_hour[of_calendar];
    return hour->is_grown_in && civil >= CLEARED_FROM && civil < CLEARED_UNTIL;
}

static void snow(const lw_context *c, int a, int of_calendar, double snow_mm, double plane_wm2, lw_hour *hour,
                 lw_snow_cover *cover)
{
    const lw_array *array = &c->scenario->rig.array[a];
    if (array->is_snow_cleared && is_time_to_clear(c, hour, of_calendar))
        *cover = (lw_snow_cover){0.0, 0.0};
    *cover = lw_snow_cover_next(&(lw_snow_cover_in){.before = *cover,
                                                    .step_h = c->step_h,
                                                    .snow_mm = snow_mm,
                                                    .air_c = hour->air_c,
                                                    .plane_wm2 = plane_wm2,
                                                    .sin_tilt = c->sin_tilt[a]});
    if (cover->cover_frac < TOLD_FRAC)
        return;
    hour->snow_on |= (uint8_t)(1u << a);
    hour->snow_mm = (float)lw_most((double)hour->snow_mm, cover->snow_mm);
}

double lw_array_left_frac(const lw_context *c, int a, int of_calendar, double snow_mm_ph, double plane_wm2,
                          lw_hour *hour, lw_snow_cover *cover)
{
    const lw_array *array = &c->scenario->rig.array[a];
    const int is_snowing = snow_mm_ph > LW_LEAST_SNOW_MMPH;
    const int is_windy = array->wind_limit_ms > 0.0 && hour->wind_ms > array->wind_limit_ms;
    if (!(is_snowing || is_windy || cover->cover_frac > 0.0))
        return 1.0;
    const lw_calendar *k = &c->scenario->calendar;
    if (!(array->out[k->weekday[of_calendar]] >> k->civil_hour[of_calendar] & 1u)) {
        *cover = (lw_snow_cover){0.0, 0.0}; /* put away, and clean when it comes out again */
        return 1.0;
    }
    if (is_windy)
        hour->wind_over |= (uint8_t)(1u << a);
    if (is_snowing || cover->cover_frac > 0.0)
        snow(c, a, of_calendar, is_snowing ? snow_mm_ph * c->step_h : 0.0, plane_wm2, hour, cover);
    return is_windy && array->is_stowed_in_wind && hour->is_grown_in ? 0.0 : 1.0 - cover->cover_frac;
}

void lw_awning_wind(const lw_context *c, lw_hour *hour)
{
    const double limit_ms = c->scenario->rig.awning_limit_ms;
    if (limit_ms > 0.0 && hour->wind_ms > limit_ms)
        hour->wind_over |= (uint8_t)(1u << LW_AWNING);
}
