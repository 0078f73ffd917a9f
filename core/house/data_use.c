#include "core/house/data_use.h"

static const double GB_PER_MBIT_H = 3600.0 / 8000.0; /* seconds an hour over megabits a decimal gigabyte */

lw_code lw_data_check(const lw_data_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "down_mbit", in->down_mbit, 0.0, 10000.0);
    if (!bad)
        bad = lw_want_range(fault, "up_mbit", in->up_mbit, 0.0, 10000.0);
    return bad ? bad : lw_want_range(fault, "hours", in->hours, 0.0, 100000.0);
}

double lw_data_gb(const lw_data_in *in)
{
    return (in->down_mbit + in->up_mbit) * in->hours * GB_PER_MBIT_H;
}
