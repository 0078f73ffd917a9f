/* service/stay_end_internal.h: what stay_end*.c share. */
#ifndef LW_SERVICE_STAY_END_INTERNAL_H
#define LW_SERVICE_STAY_END_INTERNAL_H

#include "book/entries.h"
#include "service/stay_end.h"

/* What was read of the supplies, against the forecast: fills supplies and what came first. `rig` is the stay's own. */
LW_MUST_USE lw_code lw_stay_compare(const lw_loaded *rig, const lw_entries *entries, const lw_forecast *forecast,
                                    lw_stay_summary *summary, lw_err *err);

char *lw_stay_summary_json(const lw_stay_summary *summary); /* the caller's; NULL: no memory */

#endif
