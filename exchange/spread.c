#include "exchange/spread.h"

#include "exchange/tables.h"
#include "text/say.h"

lw_code lw_spread_load(lw_spread *spread, lw_err *err)
{
#define GROUP_WORD(id, word) word,
    static const char *const GROUP[] = {LW_GROUPS(GROUP_WORD)};
#undef GROUP_WORD
    lw_table table = {0};
    lw_code code = lw_table_open("spread", &table, err);
    for (int g = 0; !code && g < LW_GROUP_COUNT; g++) {
        const int row = lw_table_row(&table, "group", GROUP[g]);
        if (row < 0)
            code = lw_fail(err, LW_E_MISSING, "data/spread.csv has no row for %s", GROUP[g]);
        if (!code)
            code = lw_table_number(&table, row, "household_sd", &spread->household[g], err);
        if (!code)
            code = lw_table_number(&table, row, "day_sd", &spread->day[g], err);
    }
    lw_table_clear(&table);
    return code;
}
