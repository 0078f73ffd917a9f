/* service/ledger_json.h: the ledger for other programs: as JSON, "schema": "leeway.ledger/1", docs/ledger.schema.json; as CSV, a
 * line a stay and currency.
 *
 * The JSON text is the caller's (free). NULL: no memory. Days as ISO dates of the place, money in whole units of its currency. */
#ifndef LW_SERVICE_LEDGER_JSON_H
#define LW_SERVICE_LEDGER_JSON_H

#include "service/json.h"
#include "service/ledger.h"
#include "service/sink.h"

/* Money by currency as an array; nights below zero: without what a night comes to. */
json_t *lw_money_json(lw_json *j, const lw_money money[LW_CURRENCY_COUNT], int nights);

char *lw_ledger_json(const lw_book_ledger *ledger, const char *version);
void lw_ledger_csv(const lw_book_ledger *ledger, lw_sink *sink);

#endif
