/* service/generator_plan_internal.h: what the parts of service/generator_plan share. */
#ifndef LW_SERVICE_GENERATOR_PLAN_INTERNAL_H
#define LW_SERVICE_GENERATOR_PLAN_INTERNAL_H

#include "service/generator_plan.h"

/* generator_plan_say.c: texts of a plan whose figures are there. */
void lw_generator_plan_say(const lw_loaded *loaded, lw_generator_plan *plan);

/* What stands in the hours of a wish list. */
static inline int lw_is_in_hours(const uint32_t hours[7], const lw_calendar *calendar, int hour)
{
    return (int)(hours[calendar->weekday[hour]] >> calendar->civil_hour[hour] & 1u);
}

#endif
