/* core/house/rubbish.h: room, mass and age of rubbish.
 *
 * Computes   loose litres from kilograms and back; litres after pressing; how fast food waste ages; where it may stand.
 * Inputs     kg or litres >= 0; air_c around the bag.
 * Results    lw_rubbish_age_rate_perh: share of its tolerable age an hour; sum it over the hours, at 1 the bag must go.
 *            Straight line: 6 days at 6.7 C, 5 at 10 C, 3 at 23 C, 2.5 at 30 C, 2 at 40 C and above, never over 20 days.
 * Errors     none: total functions; NaN in gives NaN out.
 * Source     densities: US EPA, Volume-to-Weight Conversion Factors, 2016: loose household rubbish 138 lb/yd3, food scraps
 *            396 lb/yd3. Pressed: x 0.5-0.6, common practice. Age: food waste keeps 2-3 days hot and 4-6 cool, common
 *            practice; the line through them is ours.
 * Limits     smell and flies are not modelled; bears do not wait for an age. */
#ifndef LW_CORE_HOUSE_RUBBISH_H
#define LW_CORE_HOUSE_RUBBISH_H

#include "core/base/words.h"

#define LW_RUBBISH_KGPL    0.08187 /* 138 lb/yd3, loose */
#define LW_FOOD_WASTE_KGPL 0.23494 /* 396 lb/yd3, loose */
#define LW_RUBBISH_PRESSED 0.55    /* of the loose volume */

/* In order of lw_rubbish_place. */
#define LW_RUBBISH_PLACES(X) X(BIN, "bin") X(LOCKER, "locker") X(RACK, "rack") X(VEHICLE, "vehicle") X(SHOWER, "shower")
enum { LW_RUBBISH_PLACE_COUNT = LW_RUBBISH_SHOWER + 1 };

/* What is in the bag: FOOD at the full rate, MIXED household rubbish slower, DRY packing never. TOILET as food. */
typedef enum lw_rubbish_kind {
    LW_RUBBISH_KIND_FOOD = 0,
    LW_RUBBISH_KIND_MIXED,
    LW_RUBBISH_KIND_DRY,
    LW_RUBBISH_KIND_TOILET,
} lw_rubbish_kind;

double lw_rubbish_loose_l(double kg);
double lw_rubbish_kg(double loose_l);
double lw_rubbish_pressed_l(double loose_l);
double lw_rubbish_age_rate_perh(double air_c);
double lw_rubbish_kind_factor(lw_rubbish_kind kind); /* of the rate above; MIXED from memory */
int lw_rubbish_is_allowed(lw_rubbish_place place, int has_animals);

#endif
