/* Any bytes as a file of errands. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "exchange/errands.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    lw_errands errands;
    lw_err err = {0};
    if (lw_errands_read("fuzz", (const char *)data, size, &errands, &err) && !err.text[0])
        abort();
    return 0;
}
