/* core/heat/food.h: how long food keeps without cold, and what ice can do.
 *
 * Computes  the two-hour (one-hour in heat) clock of perishable food, the cold hold of a shut fridge or freezer,
 *           keeping days at 4 C, cold stored in ice and ice melted by a cooler.
 * Inputs    temperatures in C, hours, kilograms.
 * Results   spent_frac of the clock: 1 and more means throw away. The clock only runs, it never turns back.
 * Errors    LW_E_RANGE from the checks.
 * Source    USDA FSIS (4.4 C; 2 h, 1 h above 32.2 C; fridge 4 h shut, freezer 48 h full, 24 h half
 *           full). Heat of fusion 334 kJ/kg (physical tables). FoodSafety.gov cold storage chart.
 * Limits    a freezer between empty and full is held proportional to its filling (ours, through the published
 *           points). */
#ifndef LW_CORE_HEAT_FOOD_H
#define LW_CORE_HEAT_FOOD_H

#include "core/base/err.h"

#define LW_FRIDGE_SAFE_C  4.4     /* 40 F */
#define LW_FREEZER_SAFE_C (-17.8) /* 0 F */

/* id, word, days at 4 C: low and high of the chart. */
#define LW_COLD_FOODS(X)                                                                                               \
    X(POULTRY, "poultry or mince", 1.0, 2.0)                                                                           \
    X(STEAK, "steaks or chops", 3.0, 5.0)                                                                              \
    X(LEFTOVER, "cooked leftovers", 3.0, 4.0)                                                                          \
    X(EGG, "eggs in shell", 21.0, 35.0)                                                                                \
    X(LUNCH_MEAT, "opened lunch meat", 3.0, 5.0)

typedef enum lw_cold_food {
#define LW_FOOD_ID(id, word, low, high) LW_COLD_FOOD_##id,
    LW_COLD_FOODS(LW_FOOD_ID) LW_COLD_FOOD_COUNT
#undef LW_FOOD_ID
} lw_cold_food;

typedef enum lw_food_advice { LW_FOOD_KEEP = 0, LW_FOOD_SOON, LW_FOOD_THROW } lw_food_advice;

typedef struct lw_food_clock_in {
    double food_c, around_c; /* the food; the air it would be eaten in */
    double spent_frac;       /* so far */
    double step_h;
} lw_food_clock_in;

typedef struct lw_food_clock_out {
    double spent_frac, left_h; /* left_h at the present temperatures; when safe, what would be left if it warmed now */
    lw_food_advice advice;     /* SOON: the clock has begun */
} lw_food_clock_out;

typedef struct lw_cooler_in {
    double ua_wk, warmer_k, hours;
} lw_cooler_in;

LW_MUST_USE lw_code lw_food_clock_check(const lw_food_clock_in *in, lw_fault *fault);
void lw_food_clock(const lw_food_clock_in *in, lw_food_clock_out *out);

double lw_fridge_hold_h(void);               /* doors shut, no power */
double lw_freezer_hold_h(double full_frac);  /* 0..1, clamped */
double lw_cold_food_days(lw_cold_food food); /* the cautious end; 0 for none of the list */

double lw_ice_cold_wh(double ice_kg);
double lw_cooler_ice_kg(const lw_cooler_in *in);

#endif
