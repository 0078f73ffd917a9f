#include <stdint.h>
#include <stdlib.h>

#include "exchange/unpack.h"
#include "tests/exchange/drip.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* First byte: piece size. What comes out keeps to what was asked for, and a refusal has words. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    drip source = {{(const char *)bytes + 1, n - 1}, (size_t)bytes[0] * 17 + 1};
    lw_unpack *unpack = NULL;
    lw_err err = {0};
    char piece[4096];
    long got = 1;
    if (lw_unpack_open(read_drip, &source, &unpack, &err))
        abort();
    while (got > 0)
        got = lw_unpack_read(unpack, piece, sizeof piece);
    if (got > (long)sizeof piece || (got < 0 && (!lw_unpack_refuse(unpack, &err) || !err.text[0])))
        abort();
    lw_unpack_close(unpack);
    return 0;
}
