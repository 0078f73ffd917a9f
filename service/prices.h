/* service/prices.h: the prices that a plan counts with, each with where it comes from.
 *
 * Results   what the household says goes before data/prices.csv; either way the list tells it, a price of its own as "yours".
 * Errors    those of the table.
 * Source    data/prices.csv, row by row. */
#ifndef LW_SERVICE_PRICES_H
#define LW_SERVICE_PRICES_H

#include "exchange/scenario.h"

enum { LW_PRICES = 12 };

typedef struct lw_price_list {
    lw_unit_system units; /* of the values as they are written */
    lw_assumption of[LW_PRICES];
    char id[LW_PRICES][LW_NAME];
    int count;
} lw_price_list;

/* Of the table. */
LW_MUST_USE lw_code lw_price(const char *id, double *usd, lw_err *err);

/* The same where *usd is NaN; either way the list has a row of it, once. said_by: who says a price that is not NaN, such as
 * "rig.generator.per_hour". */
LW_MUST_USE lw_code lw_price_take(const char *id, double *usd, const char *said_by, lw_price_list *list, lw_err *err);

/* The row of a price that was taken. */
const lw_assumption *lw_price_row(const lw_price_list *list, const char *id);

#endif
