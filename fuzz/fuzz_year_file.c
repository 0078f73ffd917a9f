/* Any bytes as a file of a year. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "exchange/year_file.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    lw_year_file year;
    lw_err err = {0};
    if (lw_year_file_read("fuzz", (const char *)data, size, &year, &err) && !err.text[0])
        abort();
    return 0;
}
