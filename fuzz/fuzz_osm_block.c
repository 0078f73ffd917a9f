#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/spots.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

enum { MOST = 4096 };

typedef struct file {
    lw_bytes left;
    size_t n;
    char bytes[MOST + 64];
} file;

static int begin_again(void *context)
{
    file *f = context;
    f->left = (lw_bytes){f->bytes, f->n};
    return 0;
}

static void put(file *f, const char *bytes, size_t n)
{
    memcpy(f->bytes + f->n, bytes, n);
    f->n += n;
}

static void put_varint(file *f, size_t value)
{
    const char two[2] = {(char)((value & 0x7F) | 0x80), (char)(value >> 7)};
    put(f, two, 2);
}

/* Rows that are handed over are on earth, good for something and have a key. */
static lw_code take(void *context, const lw_spot_row *row, lw_err *err)
{
    lw_fault fault;
    (void)context;
    (void)err;
    if (lw_spot_check(&row->spot, &fault) || !row->kinds || row->kinds >> LW_SPOT_KIND_COUNT || !row->key[0])
        abort();
    return LW_OK;
}

/* The bytes are what is in a block of a PBF, unpacked: from outside the packing would hide it. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    static const char HEAD[] = "\0\0\0\x0d\x0a\x09OSMHeader\x18", DATA[] = "\0\0\0\x0c\x0a\x07OSMData\x18";
    file f = {.n = 0};
    lw_spots_read read;
    lw_err err = {0};
    n = n < MOST ? n : MOST;
    put(&f, HEAD, sizeof HEAD); /* with its NUL: a block of no bytes */
    f.bytes[f.n - 1] = 2;
    put(&f, "\x0a", 2); /* that is an empty one */
    put(&f, DATA, sizeof DATA - 1);
    put_varint(&f, n + 3);
    put(&f, "\x0a", 1);
    put_varint(&f, n);
    put(&f, (const char *)bytes, n);
    f.left = (lw_bytes){f.bytes, f.n};
    if (lw_spots_read_from(lw_read_bytes, begin_again, &f, take, NULL, &read, &err) && !err.text[0])
        abort();
    return 0;
}
