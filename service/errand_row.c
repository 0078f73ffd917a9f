#include "service/errand_row.h"

static const uint32_t BOUGHT =
    1u << LW_SUPPLY_FOOD | 1u << LW_SUPPLY_FUEL | 1u << LW_SUPPLY_PROPANE | 1u << LW_SUPPLY_DRINKING;

/* What must be bought is part of the fee; the first thing that is bought there anyway takes it off again. */
static void ask_purchase(const lw_errand_service *s, const int *supply, int count, lw_run_service *row)
{
    row->fee_usd += s->buy_usd;
    for (int k = 0; k < count; k++)
        if ((BOUGHT >> supply[k] & 1u) && (row->gives >> k & 1u)) {
            row->each_usd[k] -= s->buy_usd;
            return;
        }
}

lw_run_service lw_errand_row(const lw_errand_service *s, const int *supply, int supply_count)
{
    lw_run_service row = {.road_h = s->road_h, .road_km = s->road_km, .time_h = s->time_h, .fee_usd = s->fee_usd};
    for (int k = 0; k < supply_count; k++) {
        row.gives |= s->supplies >> supply[k] & 1u ? UINT32_C(1) << k : 0u;
        row.each_usd[k] = s->each_usd[supply[k]];
    }
    if (s->users == LW_ERRAND_CUSTOMERS)
        ask_purchase(s, supply, supply_count, &row);
    return row;
}

double lw_errand_fee_usd(const lw_errand_service *s, uint32_t supplies)
{
    const uint32_t had = supplies & s->supplies;
    double usd = s->fee_usd + (s->users == LW_ERRAND_CUSTOMERS && !(had & BOUGHT) ? s->buy_usd : 0.0);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        usd += had >> k & 1u ? s->each_usd[k] : 0.0;
    return usd;
}

double lw_errand_lost_usd(const lw_errands *errands, const lw_errand_type *type, double hour_usd)
{
    const lw_errand_fallback *f = &errands->fallback;
    return type->lose_frac * (f->road_h * hour_usd + f->road_km * type->km_usd + f->trouble_usd);
}
