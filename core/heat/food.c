#include "core/heat/food.h"

static const double HEAT_ABOVE_C = 32.2, CLOCK_H = 2.0, CLOCK_HOT_H = 1.0; /* USDA FSIS */
static const double ICE_JPKG = 334e3;

lw_code lw_food_clock_check(const lw_food_clock_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "food_c", in->food_c, -60.0, 100.0);
    if (!bad)
        bad = lw_want_range(fault, "around_c", in->around_c, -60.0, 80.0);
    if (!bad)
        bad = lw_want_range(fault, "spent_frac", in->spent_frac, 0.0, 1e6);
    if (!bad)
        bad = lw_want_range(fault, "step_h", in->step_h, 0.0, 1e4);
    return bad;
}

void lw_food_clock(const lw_food_clock_in *in, lw_food_clock_out *out)
{
    const double limit_h = in->around_c > HEAT_ABOVE_C ? CLOCK_HOT_H : CLOCK_H;
    const double spent = in->spent_frac + (in->food_c > LW_FRIDGE_SAFE_C ? in->step_h / limit_h : 0.0);
    *out = (lw_food_clock_out){
        .spent_frac = spent,
        .left_h = spent < 1.0 ? (1.0 - spent) * limit_h : 0.0,
        .advice = spent >= 1.0  ? LW_FOOD_THROW
                  : spent > 0.0 ? LW_FOOD_SOON
                                : LW_FOOD_KEEP,
    };
}

double lw_fridge_hold_h(void)
{
    return 4.0;
}

double lw_freezer_hold_h(double full_frac)
{
    return 48.0 * (full_frac > 0.0 ? (full_frac < 1.0 ? full_frac : 1.0) : 0.0);
}

double lw_cold_food_days(lw_cold_food food)
{
    static const double low_days[] = {
#define LOW(id, word, low, high) low,
        LW_COLD_FOODS(LOW)
#undef LOW
    };
    return (size_t)food < LW_COLD_FOOD_COUNT ? low_days[food] : 0.0;
}

double lw_ice_cold_wh(double ice_kg)
{
    return ice_kg * ICE_JPKG / 3600.0;
}

double lw_cooler_ice_kg(const lw_cooler_in *in)
{
    return in->warmer_k > 0.0 ? in->ua_wk * in->warmer_k * in->hours * 3600.0 / ICE_JPKG : 0.0;
}
