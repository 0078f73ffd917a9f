#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/spots.h"
#include "tests/exchange/drip.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* Rows that are handed over are on earth, good for something and have a key. */
static lw_code take(void *context, const lw_spot_row *row, lw_err *err)
{
    lw_fault fault;
    (void)context;
    (void)err;
    if (lw_spot_check(&row->spot, &fault) || !row->kinds || row->kinds >> LW_SPOT_KIND_COUNT || !row->key[0] ||
        strlen(row->name) >= LW_SPOT_NAME || strlen(row->detail) >= LW_SPOT_DETAIL)
        abort();
    return LW_OK;
}

typedef struct again {
    drip drip;
    const uint8_t *bytes;
    size_t n;
} again;

static int begin_again(void *context)
{
    again *a = context;
    a->drip.bytes = (lw_bytes){(const char *)a->bytes, a->n};
    return 0;
}

/* First byte: piece size. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    again source = {{{(const char *)bytes + 1, n - 1}, (size_t)bytes[0] * 17 + 1}, bytes + 1, n - 1};
    lw_spots_read read;
    lw_err err = {0};
    if (lw_spots_read_from(read_drip, begin_again, &source, take, NULL, &read, &err) && !err.text[0])
        abort();
    return 0;
}
