#include "exchange/services.h"

#include <string.h>

#include "exchange/tables.h"
#include "text/say.h"

lw_code lw_service_base(const char *id, char *buf, size_t size, lw_err *err)
{
    lw_table table;
    lw_code code = lw_table_open("services", &table, err);
    if (code)
        return code;
    const char *url = lw_table_cell(&table, lw_table_row(&table, "id", id), "base_url");
    const size_t n = strlen(url);
    if (n == 0)
        code = lw_fail(err, LW_E_MISSING, "the table of services has no %s", id);
    else if (n >= size)
        code = lw_fail(err, LW_E_FULL, "the address of %s is too long", id);
    else
        memcpy(buf, url, n + 1);
    lw_table_clear(&table);
    return code;
}
