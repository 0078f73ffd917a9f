#include <stdint.h>
#include <stdlib.h>

#include "exchange/tzif.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

#define FROM_S INT64_C(946684800)
#define TO_S   INT64_C(2840140800)

/* A zone that is taken has rows in order, and its clock can be asked anywhere. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    lw_zone zone;
    lw_err err = {0};
    if (lw_zone_read(bytes, n, "Made/Up", FROM_S, TO_S, &zone, &err)) {
        if (!err.text[0])
            abort();
        return 0;
    }
    if (zone.count < 1 || zone.count > LW_ZONE_CHANGES)
        abort();
    for (int row = 1; row < zone.count; row++)
        if (zone.from_s[row] <= zone.from_s[row - 1] || zone.from_s[row] > TO_S)
            abort();
    for (int64_t utc_s = FROM_S; utc_s < TO_S; utc_s += 11111111) {
        const lw_clock clock = lw_clock_at(&zone, utc_s);
        const int32_t second = clock.hour * 3600 + clock.minute * 60 + clock.second;
        if (lw_utc_of(&zone, clock.day, second) > utc_s)
            abort();
    }
    return 0;
}
