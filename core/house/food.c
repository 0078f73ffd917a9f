#include "core/house/food.h"

double lw_food_fresh_days(double fridge_l, double eaters)
{
    return eaters > 0.0 ? fridge_l / (LW_FRESH_FOOD_L * eaters) : 0.0;
}

lw_food_keeps lw_food_keep(lw_food_kind kind)
{
    static const lw_food_keeps CHART[LW_FOOD_KIND_COUNT] = {
        [LW_FOOD_POULTRY_MINCE] = {1.0, 2.0},   [LW_FOOD_STEAK_CHOPS] = {3.0, 5.0}, [LW_FOOD_LEFTOVERS] = {3.0, 4.0},
        [LW_FOOD_LUNCH_MEAT_OPEN] = {3.0, 5.0}, [LW_FOOD_EGGS] = {21.0, 35.0},
    };
    return CHART[kind];
}
