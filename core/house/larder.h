/* core/house/larder.h: how many days of fresh food a fridge holds, and how long kinds of it keep.
 *
 * Computes  days = fridge_l / (10 L x eaters); keeping days at 4 C; mass of food carried.
 * Inputs    fridge_l >= 0 of useful room, eaters > 0 (a child 0.7).
 * Results   days; the shorter and longer end of the chart in days; kilograms with packing and without water.
 * Errors    none: eaters <= 0 gives no days.
 * Source    room: 8-10 L a person and day, 200 L serves four for 5 days, common practice. Keeping: FoodSafety.gov, cold food
 *           storage chart. Mass: 1.5-2.0 kg a person and day, common practice.
 * Limits    a fridge above 4.4 C makes all of it shorter. */
#ifndef LW_CORE_HOUSE_LARDER_H
#define LW_CORE_HOUSE_LARDER_H

#define LW_LARDER_FRESH_L 10.0 /* a person and day; the upper end, so that the days are the shorter ones */
#define LW_LARDER_KG      1.75

typedef enum lw_larder_kind {
    LW_LARDER_POULTRY_MINCE = 0,
    LW_LARDER_STEAK_CHOPS,
    LW_LARDER_LEFTOVERS,
    LW_LARDER_LUNCH_MEAT_OPEN,
    LW_LARDER_EGGS,
    LW_LARDER_KIND_COUNT,
} lw_larder_kind;

typedef struct lw_larder_keeps {
    double short_days, long_days;
} lw_larder_keeps;

double lw_larder_fresh_days(double fridge_l, double eaters);
lw_larder_keeps lw_larder_keep(lw_larder_kind kind);

#endif
