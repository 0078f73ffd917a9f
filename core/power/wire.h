/* core/power/wire.h: copper runs at low voltage.
 *
 * Computes  resistance of a gauge, voltage drop and share of power lost along a two-wire run, the thinnest gauge that
 *           keeps a drop.
 * Inputs    gauge; run_m one way, 0 or more; current_a; supply_v > 0.
 * Results   drop_v; frac of the supply's power, 0..1.
 * Errors    LW_E_RANGE from lw_wire_check.
 * Source    NFPA 70 (NEC) Chapter 9, Table 8: uncoated copper at 75 C, stranded from 8 AWG up; V = 2 L I R.
 * Limits    no joints, fuses or switches, which often cost as much; ampacity and fusing are the code's business. */
#ifndef LW_CORE_POWER_WIRE_H
#define LW_CORE_POWER_WIRE_H

#include "core/base/err.h"

/* id, word, ohm per 1,000 ft as printed */
#define LW_WIRES(X)                                                                                                    \
    X(14, "14", 3.14)                                                                                                  \
    X(12, "12", 1.98)                                                                                                  \
    X(10, "10", 1.24)                                                                                                  \
    X(8, "8", 0.778)                                                                                                   \
    X(6, "6", 0.491)                                                                                                   \
    X(4, "4", 0.308)                                                                                                   \
    X(2, "2", 0.194)                                                                                                   \
    X(1_0, "1/0", 0.122)                                                                                               \
    X(2_0, "2/0", 0.0967)                                                                                              \
    X(4_0, "4/0", 0.0608)

typedef enum lw_wire {
#define LW_WIRE_ID(id, word, ohm_per_kft) LW_WIRE_AWG_##id,
    LW_WIRES(LW_WIRE_ID)
#undef LW_WIRE_ID
        LW_WIRE_COUNT
} lw_wire;

typedef struct lw_wire_run {
    lw_wire gauge;
    double run_m; /* one way; the current comes back on a second wire */
} lw_wire_run;

LW_MUST_USE lw_code lw_wire_check(const lw_wire_run *run, double current_a, double supply_v, lw_fault *fault);
double lw_wire_ohm(const lw_wire_run *run); /* both wires */
double lw_wire_drop_v(const lw_wire_run *run, double current_a);
double lw_wire_loss_frac(const lw_wire_run *run, double current_a, double supply_v);

/* ABYC E-11: 0.03 for what must not sag, 0.10 for the rest. LW_WIRE_COUNT when none of the table is thick enough. */
lw_wire lw_wire_for(double run_m, double current_a, double supply_v, double drop_frac);

#endif
