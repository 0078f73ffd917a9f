/* service/today_json.h: what to do today as JSON: "schema": "leeway.today/1", docs/today.schema.json.
 *
 * The text is the caller's (free). NULL: no memory. Amounts in SI; times in UTC and in the place's own words. */
#ifndef LW_SERVICE_TODAY_JSON_H
#define LW_SERVICE_TODAY_JSON_H

#include "service/allowance.h"
#include "service/today.h"

char *lw_today_json(const lw_today_in *in, const lw_today *today, const lw_allowance *allowance, int allowance_count,
                    const char *version);

#endif
