/* core/sim/prepare.h: a context as core/sim/outlook.h has it, under a sun that many places share.
 *
 * Inputs    as lw_prepare; sun: a table of all the calendar's days (UTC) and one more at either end, the caller's; NULL: made.
 * Results   the bytes that lw_prepare gives.
 * Errors    those of lw_prepare. */
#ifndef LW_CORE_SIM_PREPARE_H
#define LW_CORE_SIM_PREPARE_H

#include "core/sim/outlook.h"
#include "core/sky/sun_table.h"

LW_MUST_USE lw_code lw_prepare_under(const lw_scenario *scenario, int steps_per_hour, const lw_sun_table *sun,
                                     lw_arena *arena, lw_context **context, lw_fault *fault);

#endif
