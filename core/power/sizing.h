/* core/power/sizing.h: rules of thumb and procedures around a battery, for advice and for checking; not in the hour
 * loop.
 *
 * Computes  hours and charge by Peukert's law; state of charge from a voltage at rest, as a band; rest voltage from
 *           acid density; battery and array size by the stand-alone photovoltaic procedure.
 * Inputs    as named; all above zero unless said.
 * Results   as named.
 * Errors    LW_E_RANGE from the two checks; the short functions are total.
 * Source    W. Peukert, Elektrotechnische Zeitschrift 1897; Battery Council International, Battery Service Manual; IEEE
 *           485 Table 1; IEEE 1013-2007 (clauses 4-6), IEEE 1013-2000 (definition 3.1), IEEE 1562.
 * Limits    Peukert holds for constant current without pauses. A rest voltage needs 3-24 hours without current
 *           (lead-acid) and hardly moves from 30 to 90 % (LFP): there the band is most of the scale, and counting is
 *           the only gauge. */
#ifndef LW_CORE_POWER_SIZING_H
#define LW_CORE_POWER_SIZING_H

#include "core/base/err.h"
#include "core/power/battery.h"

typedef struct lw_peukert {
    double capacity_ah, rated_h, exponent, current_a; /* capacity at the rate of rated_h hours */
} lw_peukert;

LW_MUST_USE lw_code lw_peukert_check(const lw_peukert *in, lw_fault *fault);
double lw_peukert_hours(const lw_peukert *in);
double lw_peukert_ah(const lw_peukert *in);

/* What a voltage at rest tells: soc_frac by the chemistry's own table, and the band in which the truth lies where
 * published tables differ (flooded: two tables in use; AGM: the ends of common ranges) or the cell remembers how it came there
 * (LFP: 0.05 V). */
typedef struct lw_rest_soc {
    double soc_frac, low_frac, high_frac;
} lw_rest_soc;

lw_rest_soc lw_rest_soc_of(lw_chemistry chemistry, double nominal_v, double rest_v);

/* Six cells; density relative to water, corrected to 26.7 C. */
double lw_acid_rest_v(double density);
double lw_acid_density_at_standard(double read_density, double acid_c);

typedef struct lw_battery_need {
    double daily_ah, largest_a, days;
    double depth_frac, daily_depth_frac, end_of_life_frac; /* deepest, deepest in a day, capacity at the end of life */
    double temp_c;                                         /* coldest the battery gets */
    double margin;                                         /* 1.1-1.25 */
} lw_battery_need;

typedef struct lw_battery_size {
    double unadjusted_ah, adjusted_ah, capacity_ah,
        rate_h; /* rate_h: the hours at which a maker's table is to be read */
} lw_battery_size;

LW_MUST_USE lw_code lw_battery_need_check(const lw_battery_need *need, lw_fault *fault);
void lw_battery_size_for(const lw_battery_need *need, lw_battery_size *size); /* lead-acid: IEEE 485 factor */

/* Array current at maximum power and 1,000 W/m2 for a wished array-to-load ratio; and the ratio a current gives. */
double lw_array_current_a(double ratio, double daily_ah, double sun_h, double loss_frac);
double lw_array_to_load(double array_a, double daily_ah, double sun_h);

#endif
