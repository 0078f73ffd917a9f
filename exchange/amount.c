#include "exchange/amount.h"

#include "core/power/generator.h"
#include "text/quantity.h"

static const double GB_PER_MB = 0.001;

lw_dim lw_amount_dim(lw_supply supply)
{
    static const lw_dim DIM[LW_SUPPLY_COUNT] = {
        [LW_SUPPLY_FRESH] = LW_DIM_VOLUME,     [LW_SUPPLY_DRINKING] = LW_DIM_VOLUME, [LW_SUPPLY_GREY] = LW_DIM_VOLUME,
        [LW_SUPPLY_BLACK] = LW_DIM_VOLUME,     [LW_SUPPLY_BATTERY] = LW_DIM_ENERGY,  [LW_SUPPLY_PROPANE] = LW_DIM_MASS,
        [LW_SUPPLY_FUEL] = LW_DIM_VOLUME,      [LW_SUPPLY_RUBBISH] = LW_DIM_VOLUME,  [LW_SUPPLY_DATA] = LW_DIM_DATA,
        [LW_SUPPLY_FOOD] = LW_DIM_PERSON_DAYS, [LW_SUPPLY_STAY] = LW_DIM_TIME,
    };
    return (unsigned)supply < LW_SUPPLY_COUNT ? DIM[supply] : LW_DIM_NUMBER;
}

double lw_amount_per_dim(lw_supply supply)
{
    return supply == LW_SUPPLY_DATA ? GB_PER_MB : 1.0;
}

lw_code lw_amount_parse_n(const char *text, size_t n, lw_supply supply, double bag_l, double *amount, lw_err *err)
{
    lw_err unread = {0};
    double si;
    if (supply == LW_SUPPLY_PROPANE && !lw_quantity_parse_n(text, n, LW_DIM_VOLUME, &si, &unread)) {
        *amount = lw_lpg_kg(si);
        return LW_OK;
    }
    unread = (lw_err){0};
    if (supply == LW_SUPPLY_RUBBISH && !lw_quantity_parse_n(text, n, LW_DIM_BAGS, &si, &unread)) {
        *amount = si * bag_l;
        return LW_OK;
    }
    const lw_code code = lw_quantity_parse_n(text, n, lw_amount_dim(supply), &si, err);
    if (!code)
        *amount = si * lw_amount_per_dim(supply);
    return code;
}
