#include "exchange/tmy3.h"
#include "fuzz/hourly.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    return fuzz_hourly(lw_tmy3_read, bytes, n);
}
