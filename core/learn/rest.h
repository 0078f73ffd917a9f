/* core/learn/rest.h: what the volts of a battery at rest say about its charge: an interval, often a wide one.
 *
 * Computes  The states of charge whose open-circuit voltage is within the volts read and a margin on either side.
 * Inputs    low_v < high_v, of the bank as it is (12, 24, 48 V); is_at_rest: neither charged nor drawn from for some hours, which
 *           only the person knows.
 * Errors    LW_E_CONFLICT when it is not at rest: volts under load or charge say nothing here. LW_E_RANGE for volts out of
 *           order or outside 0.5 .. 1.5 of the nominal.
 * Limits    lead-acid: surface charge, temperature and age hide in a margin of 0.05 V of 12. LFP: its curve is flat between
 *           20 and 90 %, and it rests at different volts behind a charge and behind a draw: margin 0.06 V of 12, so that the
 *           answer is often "somewhere in the middle". Margins: from memory.
 * Source    the curves of core/power/battery_spec.c. */
#ifndef LW_CORE_LEARN_REST_H
#define LW_CORE_LEARN_REST_H

#include "core/power/battery.h"

/* Fractions; an end at the curve's own end is open (-INFINITY, INFINITY). */
LW_MUST_USE lw_code lw_rest_says(const lw_battery_spec *spec, double low_v, double high_v, int is_at_rest,
                                 double *low_frac, double *high_frac, lw_fault *fault);

#endif
