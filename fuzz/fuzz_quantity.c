#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "text/moment.h"
#include "text/quantity.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static void try_quantity(const char *text, size_t n, lw_dim dim)
{
    lw_err err = {0};
    double value = NAN;
    char print[LW_QUANTITY_BYTES];
    if (lw_quantity_parse_n(text, n, dim, &value, &err)) {
        if (!err.text[0])
            abort();
        return;
    }
    if (!isfinite(value))
        abort();
    lw_quantity_print(print, sizeof print, value, dim, LW_UNITS_US);
    lw_quantity_print(print, sizeof print, value, dim, LW_UNITS_SI);
}

static void try_moment(const char *text)
{
    lw_err err = {0};
    lw_moment moment;
    unsigned days;
    lw_clock_range range;
    if (!lw_moment_parse(text, &moment, &err) && (moment.second < 0 || moment.second > 86400))
        abort();
    if (!lw_weekdays_parse(text, &days, &err) && (days == 0 || days > LW_EVERY_DAY))
        abort();
    if (!lw_clock_range_parse(text, &range, &err) && range.from_s == range.to_s)
        abort();
}

/* First byte: the dimension. The rest is read as a quantity and, ended, as each form of time. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    try_quantity((const char *)bytes + 1, n - 1, (lw_dim)(bytes[0] % LW_DIM_COUNT));
    char *text = malloc(n);
    if (!text)
        abort();
    memcpy(text, bytes + 1, n - 1);
    text[n - 1] = '\0';
    try_moment(text);
    free(text);
    return 0;
}
