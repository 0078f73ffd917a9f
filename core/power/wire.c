#include "core/power/wire.h"

static const double PRINTED_LENGTH_M = 304.8; /* the 1,000 ft that the table's resistances are for */

static const double OHM[] = {
#define OHM_OF(id, word, ohm_per_kft) ohm_per_kft,
    LW_WIRES(OHM_OF)
#undef OHM_OF
};

lw_code lw_wire_check(const lw_wire_run *run, double current_a, double supply_v, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "gauge", (double)run->gauge, 0.0, LW_WIRE_COUNT - 1);
    if (!bad)
        bad = lw_want_range(fault, "run_m", run->run_m, 0.0, 1e4);
    if (!bad)
        bad = lw_want_range(fault, "current_a", current_a, 0.0, 1e5);
    return bad ? bad : lw_want_range(fault, "supply_v", supply_v, 1.0, 1e3);
}

double lw_wire_ohm(const lw_wire_run *run)
{
    return 2.0 * run->run_m / PRINTED_LENGTH_M * OHM[run->gauge];
}

double lw_wire_drop_v(const lw_wire_run *run, double current_a)
{
    return current_a * lw_wire_ohm(run);
}

double lw_wire_loss_frac(const lw_wire_run *run, double current_a, double supply_v)
{
    const double frac = lw_wire_drop_v(run, current_a) / supply_v;
    return frac < 1.0 ? frac : 1.0;
}

lw_wire lw_wire_for(double run_m, double current_a, double supply_v, double drop_frac)
{
    int gauge = 0;
    while (gauge < LW_WIRE_COUNT &&
           !(lw_wire_drop_v(&(lw_wire_run){(lw_wire)gauge, run_m}, current_a) <= drop_frac * supply_v))
        gauge++;
    return (lw_wire)gauge;
}
