/* core/house/food.h: how many days of fresh food a fridge holds, and how long kinds of it keep.
 *
 * Computes  days = fridge_l / (10 L x eaters); keeping days at 4 C; mass of food carried.
 * Inputs    fridge_l >= 0 of useful room, eaters > 0 (a child 0.7).
 * Results   days; the shorter and longer end of the chart in days; kilograms with packing and without water.
 * Errors    none: eaters <= 0 gives no days.
 * Source    room: 8-10 L a person and day, 200 L serves four for 5 days, common practice. Keeping: FoodSafety.gov, cold food
 *           storage chart. Mass: 1.5-2.0 kg a person and day, common practice.
 * Limits    a fridge above 4.4 C makes all of it shorter. */
#ifndef LW_CORE_HOUSE_FOOD_H
#define LW_CORE_HOUSE_FOOD_H

#define LW_FRESH_FOOD_L 10.0 /* a person and day; the upper end, so that the days are the shorter ones */
#define LW_FOOD_KG      1.75

typedef enum lw_food_kind {
    LW_FOOD_POULTRY_MINCE = 0,
    LW_FOOD_STEAK_CHOPS,
    LW_FOOD_LEFTOVERS,
    LW_FOOD_LUNCH_MEAT_OPEN,
    LW_FOOD_EGGS,
    LW_FOOD_KIND_COUNT,
} lw_food_kind;

typedef struct lw_food_keeps {
    double short_days, long_days;
} lw_food_keeps;

double lw_food_fresh_days(double fridge_l, double eaters);
lw_food_keeps lw_food_keep(lw_food_kind kind);

#endif
