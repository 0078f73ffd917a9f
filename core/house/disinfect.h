/* core/house/disinfect.h: bleach for a wanted concentration, and minutes of boiling.
 *
 * Computes  ml = water_l x want_mgpl / (10 x bleach_pct): bleach of s % (mass per volume) carries 10 s mg in a millilitre.
 * Inputs    water_l > 0..100,000; want_mgpl 0..1,000; bleach_pct 0.5..15 from the label; elevation_m.
 * Results   millilitres, and the same as drops of 0.05 mL and US teaspoons of 4.929 mL; mg/L of a given dose; minutes.
 * Errors    LW_E_RANGE from lw_dose_check.
 * Source    arithmetic; drinking water: EPA 816-F-15-003 (8 drops a gallon of 6 % bleach = 6.34 mg/L, 6 drops of 8.25 %;
 *           double when cloudy; wait 30 min). Tank: 50 mg/L for 4 h (CDC, Vessel Sanitation Program 2018 Operations
 *           Manual, 5.3); 100 mg/L for 1 h is common practice. Boiling: 1 min, 3 min above 1,524 m (EPA prints 5,000 ft,
 *           CDC 6,500 ft: the lower is taken).
 * Limits    plain unscented bleach of the strength on its label (old bleach is weaker); does not remove chemicals. */
#ifndef LW_CORE_HOUSE_DISINFECT_H
#define LW_CORE_HOUSE_DISINFECT_H

#include "core/base/err.h"

#define LW_DRINK_MGPL       6.34
#define LW_TANK_MGPL        50.0
#define LW_TANK_STAND_H     4.0
#define LW_BOIL_LONG_FROM_M 1524.0

typedef struct lw_dose_in {
    double water_l, want_mgpl, bleach_pct;
} lw_dose_in;

typedef struct lw_dose_out {
    double ml, drops, teaspoons;
} lw_dose_out;

LW_MUST_USE lw_code lw_dose_check(const lw_dose_in *in, lw_fault *fault);
void lw_dose(const lw_dose_in *in, lw_dose_out *out);
double lw_dose_mgpl(double bleach_ml, double bleach_pct, double water_l); /* water_l > 0 */
double lw_drink_mgpl(int is_cloudy);
double lw_boil_min(double elevation_m);

#endif
