/* core/house/data_use.h: mobile data of an activity from its bit rate.
 *
 * Computes  gigabytes = (down + up) x hours x 0.45.
 * Inputs    down_mbit, up_mbit: mean Mbit/s 0..10,000; hours 0..100,000.
 * Results   decimal gigabytes, both ways together, as plans count them.
 * Errors    LW_E_RANGE from lw_data_check.
 * Source    arithmetic: 1 GB = 8,000 Mbit. Rates of activities: data/activities.csv.
 * Limits    services change their rate with the line: a slow line uses less. */
#ifndef LW_CORE_HOUSE_DATA_USE_H
#define LW_CORE_HOUSE_DATA_USE_H

#include "core/base/err.h"

typedef struct lw_data_in {
    double down_mbit, up_mbit, hours;
} lw_data_in;

LW_MUST_USE lw_code lw_data_check(const lw_data_in *in, lw_fault *fault);
double lw_data_gb(const lw_data_in *in);

#endif
