#include "core/house/larder.h"

double lw_larder_fresh_days(double fridge_l, double eaters)
{
    return eaters > 0.0 ? fridge_l / (LW_LARDER_FRESH_L * eaters) : 0.0;
}

lw_larder_keeps lw_larder_keep(lw_larder_kind kind)
{
    static const lw_larder_keeps CHART[LW_LARDER_KIND_COUNT] = {
        [LW_LARDER_POULTRY_MINCE] = {1.0, 2.0}, [LW_LARDER_STEAK_CHOPS] = {3.0, 5.0},
        [LW_LARDER_LEFTOVERS] = {3.0, 4.0},     [LW_LARDER_LUNCH_MEAT_OPEN] = {3.0, 5.0},
        [LW_LARDER_EGGS] = {21.0, 35.0},
    };
    return CHART[kind];
}
