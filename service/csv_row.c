#include "service/csv_row.h"

#include <math.h>
#include <string.h>

#include "text/decimal.h"

void lw_csv_field(lw_sink *sink, const char *text, const char *end)
{
    const int needs_quotes = text && strpbrk(text, ",\"\r\n") != NULL;
    lw_sink_text(sink, needs_quotes ? "\"" : "");
    for (; text && *text; text++) {
        if (*text == '"')
            lw_sink_text(sink, "\"");
        lw_sink_put(sink, text, 1);
    }
    lw_sink_text(sink, needs_quotes ? "\"" : "");
    lw_sink_text(sink, end);
}

void lw_csv_number(lw_sink *sink, double value, int decimals, const char *end)
{
    char text[LW_DECIMAL_BYTES] = "";
    if (!isnan(value))
        lw_decimal_print(text, sizeof text, value, decimals, 0);
    lw_csv_field(sink, text, end);
}
