/* exchange/amount.h: an amount of a supply as text, in the units that people use for it.
 *
 * Reads     "12 gal", "14 lb", "2 bags", "12 GB", "3 person-days" into the supply's own unit (LW_SUPPLIES of
 *           core/base/words.h). Propane in gallons or litres is liquid gas; bags of rubbish are of the size bag_l.
 * Errors    those of text/quantity.h, in the words of the supply's first kind of unit. Results stay untouched. */
#ifndef LW_EXCHANGE_AMOUNT_H
#define LW_EXCHANGE_AMOUNT_H

#include <stddef.h>

#include "core/base/err.h"
#include "core/base/units.h"
#include "core/base/words.h"

/* Kind of quantity of a supply, and what one storage unit of that kind is in the supply's unit (data: 1 MB is 0.001 GB). */
lw_dim lw_amount_dim(lw_supply supply);
double lw_amount_per_dim(lw_supply supply);

LW_MUST_USE lw_code lw_amount_parse_n(const char *text, size_t n, lw_supply supply, double bag_l, double *amount,
                                      lw_err *err);

#endif
