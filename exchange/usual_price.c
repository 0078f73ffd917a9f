#include "exchange/usual_price.h"

#include <stdio.h>

#include "exchange/tables.h"
#include "text/say.h"

lw_code lw_usual_price_of(const char *id, lw_usual_price *to, lw_err *err)
{
    lw_table prices = {0};
    lw_usual_price made = {.usd = 0.0};
    lw_code code = lw_table_open("prices", &prices, err);
    const int row = code ? -1 : lw_table_row(&prices, "id", id);
    if (!code && row < 0)
        code = lw_fail(err, LW_E_MISSING, "data/prices.csv has no row %s", id);
    code = code ? code : lw_table_number(&prices, row, "usd", &made.usd, err);
    if (!code) {
        snprintf(made.what, sizeof made.what, "%.95s", lw_table_cell(&prices, row, "what"));
        snprintf(made.per, sizeof made.per, "%.15s", lw_table_cell(&prices, row, "per"));
        snprintf(made.source, sizeof made.source, "%.159s", lw_table_cell(&prices, row, "source"));
        snprintf(made.kind, sizeof made.kind, "%.23s", lw_table_cell(&prices, row, "kind"));
        *to = made;
    }
    lw_table_clear(&prices);
    return code;
}
