/* exchange/usual_price.h: a usual price of data/prices.csv, for where nothing is said.
 *
 * Results   USD by `per` ("km", "L", "h", "1": each), with its source and kind.
 * Errors    LW_E_MISSING there is no row of that id; those of the table. */
#ifndef LW_EXCHANGE_USUAL_PRICE_H
#define LW_EXCHANGE_USUAL_PRICE_H

#include "core/base/err.h"

typedef struct lw_usual_price {
    double usd;
    char what[96], per[16], source[160], kind[24];
} lw_usual_price;

LW_MUST_USE lw_code lw_usual_price_of(const char *id, lw_usual_price *to, lw_err *err);

#endif
