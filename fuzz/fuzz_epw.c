#include "exchange/epw.h"
#include "fuzz/hourly.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    return fuzz_hourly(lw_epw_read, bytes, n);
}
