/* core/heat/cooker.h: gas for what is cooked.
 *
 * Computes  propane of one dish for n people. All its heat, and 1.63 kg water per kg, stays inside.
 * Inputs    kind of dish; people >= 0.
 * Results   kg.
 * Errors    none; people below 0 or NaN count as 0, and nobody eats nothing.
 * Source    0.10-0.25 kg/day for a family of four; ring 0.40-0.50 to the pot, oven 2.1 kW: trade practice.
 * Limits    the meal is set so that two a day for four take the middle of that, two fifths of it whatever the number of
 *           people (ours). Longer at altitude by a quarter per 1,000 m for boiled food (USDA FSIS guides). */
#ifndef LW_CORE_HEAT_COOKER_H
#define LW_CORE_HEAT_COOKER_H

typedef enum lw_dish { LW_DISH_DRINK = 0, LW_DISH_MEAL, LW_DISH_OVEN } lw_dish;

double lw_cooker_gas_kg(lw_dish dish, double people);
double lw_cooker_boil_kg(double water_l, double rise_k); /* on a ring */

#endif
