/* Any bytes as the answer of a routing engine. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "exchange/router.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    double distance_m[2], time_s[2];
    lw_err err = {0};
    if (lw_router_read((const char *)data, size, 1, 2, distance_m, time_s, &err) && !err.text[0])
        abort();
    return 0;
}
