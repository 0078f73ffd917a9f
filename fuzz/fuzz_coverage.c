#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/coverage.h"
#include "tests/exchange/drip.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* First byte: piece size. Every name that comes out is ended and not empty. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    drip source = {{(const char *)bytes + 1, n - 1}, (size_t)bytes[0] * 17 + 1};
    lw_coverages c;
    lw_err err = {0};
    if (lw_coverages_read(read_drip, &source, (lw_spot){38.2, -111.1}, &c, &err)) {
        if (!err.text[0])
            abort();
        return 0;
    }
    for (int i = 0; i < c.count; i++)
        if (!c.of[i].who[0] || strlen(c.of[i].who) >= LW_COVERAGE_NAME)
            abort();
    return 0;
}
