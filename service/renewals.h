/* service/renewals.h: what one errand does to a rig's vessels, as transfers of the engine.
 *
 * Inputs    supplies as a bit per lw_supply, the moment, and how many litres of fresh water come in cans and of grey water go in a tank
 *           (NAN: the rig itself goes, or the tank is filled or emptied whole).
 * Results   a transfer for each vessel: filled, or emptied to its residue; of cans and tanks one, into the vessel that is used first. */
#ifndef LW_SERVICE_RENEWALS_H
#define LW_SERVICE_RENEWALS_H

#include "core/sim/scenario.h"

typedef struct lw_renewal {
    int64_t at_s;
    uint32_t supplies;
    double cans_l, waste_l;
} lw_renewal;

/* Gives how many were written, at most `room`. */
int lw_renewal_transfers(const lw_rig *rig, const lw_renewal *renewal, lw_transfer *to, int room);

#endif
