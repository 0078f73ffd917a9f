/* fuzz/hourly.h: what every reader of an hourly weather file must keep, whatever the bytes. */
#ifndef LW_FUZZ_HOURLY_H
#define LW_FUZZ_HOURLY_H

#include <stdint.h>
#include <stdlib.h>

#include "exchange/csv.h"
#include "exchange/hourly.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* The reader without the look at the first bytes, so that every input reaches it; what it takes must hold together. */
static inline int fuzz_hourly(lw_code (*read)(lw_csv *csv, lw_hourly *h, lw_err *err), const uint8_t *bytes, size_t n)
{
    lw_bytes source = {(const char *)bytes, n};
    lw_hourly h;
    lw_hourly_values at;
    lw_err err = {0}, none = {0};
    lw_csv *csv = malloc(sizeof *csv);
    lw_hourly_init(&h);
    if (!csv || lw_hourly_take_block(&h, &none))
        abort();
    lw_csv_init(csv, lw_read_bytes, &source, 0);
    const lw_code code = read(csv, &h, &err);
    if (code != err.code || (code && !err.text[0]))
        abort();
    for (int row = 0; !code && row < h.count; row++)
        for (int c = 0; c <= LW_HOURLY_DHI; c++)
            if (!h.is_absent[c] && !(h.column[c][row] > -1e9 && h.column[c][row] < 1e9))
                abort();
    for (int month = 1; !code && month <= 12; month++)
        for (int day = 1; day <= 29; day += 7)
            if (lw_hourly_at(&h, month, day, 0.7 * day, &at, &none))
                none.code = LW_OK;
    lw_hourly_clear(&h);
    free(csv);
    return 0;
}

#endif
