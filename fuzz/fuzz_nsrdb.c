#include "exchange/nsrdb.h"
#include "fuzz/hourly.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    return fuzz_hourly(lw_nsrdb_read, bytes, n);
}
