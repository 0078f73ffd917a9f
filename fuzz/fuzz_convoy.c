/* Any bytes as what a household tells a convoy. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "exchange/convoy.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    lw_convoy_rig rig;
    lw_err err = {0};
    if (lw_convoy_read("fuzz", (const char *)data, size, &rig, &err) && !err.text[0])
        abort();
    return 0;
}
