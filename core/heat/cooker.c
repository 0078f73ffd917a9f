#include "core/heat/cooker.h"

#include "core/heat/propane.h"
#include "core/heat/water_heater.h"

static const double RING_FRAC = 0.45;                           /* to the pot */
static const double MUG_L = 0.25, MUG_RISE_K = 80.0;            /* a hot drink a head */
static const double MEAL_KG = 0.035, MEAL_PER_HEAD_KG = 0.0131; /* four: 0.0875, twice a day 0.175 */
static const double OVEN_W = 2100.0, OVEN_S = 2700.0;           /* three quarters of an hour */

double lw_cooker_boil_kg(double water_l, double rise_k)
{
    return lw_water_heat_j(water_l, rise_k) / (RING_FRAC * LW_PROPANE_HHV_JPKG);
}

double lw_cooker_gas_kg(lw_dish dish, double people)
{
    if (!(people > 0.0))
        return 0.0;
    switch (dish) {
    case LW_DISH_DRINK:
        return lw_cooker_boil_kg(MUG_L * people, MUG_RISE_K);
    case LW_DISH_OVEN:
        return OVEN_W * OVEN_S / LW_PROPANE_HHV_JPKG;
    case LW_DISH_MEAL:
    default:
        return MEAL_KG + MEAL_PER_HEAD_KG * people;
    }
}
