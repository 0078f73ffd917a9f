/* exchange/spread.h: how much use differs from the tables, as data/spread.csv has it.
 *
 * Results   standard deviations of the logarithm of use by group (core/sim/ensemble.h).
 * Errors    one sentence when a group is missing or a number is none: the table is part of the program. */
#ifndef LW_EXCHANGE_SPREAD_H
#define LW_EXCHANGE_SPREAD_H

#include "core/sim/ensemble.h"

LW_MUST_USE lw_code lw_spread_load(lw_spread *spread, lw_err *err);

#endif
