#include "service/renewals.h"

#include <math.h>

static int first_vessel(const lw_rig *rig, lw_supply supply)
{
    int first = -1;
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].supply == supply && (first < 0 || rig->vessel[v].order < rig->vessel[first].order))
            first = v;
    return first;
}

static int carry(const lw_rig *rig, int64_t at_s, lw_supply supply, double amount, lw_transfer *to)
{
    const int v = first_vessel(rig, supply);
    if (v < 0)
        return 0;
    *to = (lw_transfer){
        .at_s = at_s, .vessel = v, .kind = LW_TRANSFER_ADD, .amount = amount, .potable = rig->vessel[v].potable};
    return 1;
}

int lw_renewal_transfers(const lw_rig *rig, const lw_renewal *renewal, lw_transfer *to, int room)
{
    int count = 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!(renewal->supplies >> k & 1u))
            continue;
        if (k == LW_SUPPLY_FRESH && !isnan(renewal->cans_l)) {
            count += count < room ? carry(rig, renewal->at_s, LW_SUPPLY_FRESH, renewal->cans_l, &to[count]) : 0;
            continue;
        }
        if (k == LW_SUPPLY_GREY && !isnan(renewal->waste_l)) {
            count += count < room ? carry(rig, renewal->at_s, LW_SUPPLY_GREY, -renewal->waste_l, &to[count]) : 0;
            continue;
        }
        for (int v = 0; v < rig->vessel_count && count < room; v++)
            if ((int)rig->vessel[v].supply == k)
                to[count++] =
                    (lw_transfer){.at_s = renewal->at_s,
                                  .vessel = v,
                                  .kind = lw_supply_fills((lw_supply)k) ? LW_TRANSFER_EMPTY : LW_TRANSFER_FILL,
                                  .potable = rig->vessel[v].potable};
    }
    return count;
}
