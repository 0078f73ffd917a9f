#include "exchange/unpack.h"

#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#include "text/say.h"

enum { PIECE = 65536 };

struct lw_unpack {
    lw_read_fn *read;
    void *context;
    int is_begun, is_gzip, is_end;
    const char *wrong; /* NULL: nothing is */
    z_stream z;
    unsigned char piece[PIECE];
};

lw_code lw_unpack_open(lw_read_fn *read, void *context, lw_unpack **out, lw_err *err)
{
    *out = calloc(1, sizeof **out);
    if (!*out)
        return lw_fail(err, LW_E_FULL, "no memory to read a file");
    (*out)->read = read;
    (*out)->context = context;
    return LW_OK;
}

static int fail(lw_unpack *u, const char *wrong)
{
    u->wrong = wrong;
    return -1;
}

/* 1: there is something in the piece; 0: the end; -1: a failed read. */
static int fill(lw_unpack *u)
{
    if (u->z.avail_in > 0)
        return 1;
    const long n = u->read(u->context, (char *)u->piece, PIECE);
    if (n < 0)
        return fail(u, "cannot be read");
    u->z.next_in = u->piece;
    u->z.avail_in = (uInt)n;
    return n > 0;
}

static int begin(lw_unpack *u)
{
    const int state = fill(u);
    u->is_begun = 1;
    u->is_gzip = u->z.avail_in >= 2 && u->piece[0] == 0x1f && u->piece[1] == 0x8b;
    if (state >= 0 && u->is_gzip && inflateInit2(&u->z, 16 + MAX_WBITS) != Z_OK) {
        u->is_gzip = 0;
        return fail(u, "there is no memory to unpack it");
    }
    return state;
}

static long read_plain(lw_unpack *u, char *buf, size_t n)
{
    const int state = fill(u);
    if (state <= 0)
        return state;
    const size_t take = u->z.avail_in < n ? u->z.avail_in : n;
    memcpy(buf, u->z.next_in, take);
    u->z.next_in += take;
    u->z.avail_in -= (uInt)take;
    return (long)take;
}

static long read_packed(lw_unpack *u, char *buf, size_t n)
{
    u->z.next_out = (unsigned char *)buf;
    u->z.avail_out = (uInt)n;
    while (!u->is_end && u->z.avail_out > 0) {
        const int state = fill(u);
        if (state < 0)
            return -1;
        if (state == 0)
            return fail(u, "the gzip ends early; the file is cut");
        const int done = inflate(&u->z, Z_NO_FLUSH);
        u->is_end = done == Z_STREAM_END;
        if (done != Z_OK && done != Z_STREAM_END)
            return fail(u, "the gzip is damaged");
    }
    return (long)(n - u->z.avail_out);
}

long lw_unpack_read(void *unpack, char *buf, size_t n)
{
    lw_unpack *u = unpack;
    if (u->wrong || (!u->is_begun && begin(u) < 0))
        return -1;
    n = n < PIECE ? n : PIECE;
    return u->is_gzip ? read_packed(u, buf, n) : read_plain(u, buf, n);
}

lw_code lw_unpack_refuse(const lw_unpack *u, lw_err *err)
{
    const char *wrong = u->wrong ? u->wrong : "cannot be read";
    if (strncmp(wrong, "the gzip", 8) != 0)
        return lw_fail(err, LW_E_IO, "%s", wrong);
    *err = (lw_err){0}; /* a reader behind it has only seen that a read failed */
    return lw_fail(err, LW_E_SYNTAX, "%s", wrong);
}

void lw_unpack_close(lw_unpack *u)
{
    if (u && u->is_gzip)
        (void)inflateEnd(&u->z);
    free(u);
}
