#include "exchange/unpack.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <zlib.h>

#include "exchange/limits.h"
#include "text/say.h"

enum { PIECE = 65536, ZIP_HEAD = 30, ZIP_NAME = 4096 };
typedef enum form { PLAIN, GZIP, ZIP } form;

struct lw_unpack {
    lw_read_fn *read;
    void *context;
    int is_begun, is_end;
    int has_inflate; /* z is begun and wants its end */
    form form;
    lw_code code;
    const char *wrong;    /* NULL: nothing is */
    double packed, given; /* bytes so far */
    int is_stored, is_crc_behind;
    uint32_t stored_left, crc, crc_said;
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
    (*out)->z.next_in = (*out)->piece;
    return LW_OK;
}

static int fail(lw_unpack *u, lw_code code, const char *wrong)
{
    u->code = code;
    u->wrong = wrong;
    return -1;
}

/* 1: there are n bytes or more in the piece; 0: the file ends before; -1: a failed read. */
static int want(lw_unpack *u, size_t n)
{
    while (u->z.avail_in < n) {
        memmove(u->piece, u->z.next_in, u->z.avail_in);
        u->z.next_in = u->piece;
        const long got = u->read(u->context, (char *)u->piece + u->z.avail_in, PIECE - u->z.avail_in);
        if (got < 0)
            return fail(u, LW_E_IO, "cannot be read");
        if (got == 0)
            return 0;
        u->packed += (double)got;
        u->z.avail_in += (uInt)got;
    }
    return 1;
}

static void pass(lw_unpack *u, size_t n)
{
    u->z.next_in += n;
    u->z.avail_in -= (uInt)n;
}

static int begin_inflate(lw_unpack *u, int window)
{
    if (inflateInit2(&u->z, window) != Z_OK)
        return fail(u, LW_E_FULL, "there is no memory to unpack it");
    u->has_inflate = 1;
    return 0;
}

/* A gzip may be several, one behind the other (RFC 1952, 2.2). */
static int end_member(lw_unpack *u)
{
    const int state = u->form == GZIP ? want(u, 2) : 0;
    u->is_end = state == 0 || (state > 0 && (u->z.next_in[0] != 0x1f || u->z.next_in[1] != 0x8b));
    if (state > 0 && !u->is_end && inflateReset(&u->z) != Z_OK)
        return fail(u, LW_E_SYNTAX, "the gzip is damaged");
    return state < 0 ? -1 : 0;
}

/* Up to n bytes of what is packed; 0 at its end. */
static long inflate_some(lw_unpack *u, unsigned char *buf, size_t n)
{
    u->z.next_out = buf;
    u->z.avail_out = (uInt)n;
    while (!u->is_end && u->z.avail_out > 0) {
        const int state = want(u, 1);
        if (state < 0)
            return -1;
        if (state == 0)
            return fail(u, LW_E_SYNTAX,
                        u->form == ZIP ? "the zip ends early; the file is cut"
                                       : "the gzip ends early; the file is cut");
        const int done = inflate(&u->z, Z_NO_FLUSH);
        if (done != Z_OK && done != Z_STREAM_END)
            return fail(u, LW_E_SYNTAX, u->form == ZIP ? "the zip is damaged" : "the gzip is damaged");
        if (done == Z_STREAM_END && end_member(u))
            return -1;
    }
    const size_t got = n - u->z.avail_out;
    u->given += (double)got;
    if (u->given > LW_UNPACKED_FREE && u->given > LW_UNPACKED_TIMES * (u->packed - (double)u->z.avail_in))
        return fail(u, LW_E_FULL, "unpacks to hundreds of times its size, which no map does");
    return (long)got;
}

/* ---- the map in a zip ---- */

static uint32_t little(const unsigned char *b, int bytes)
{
    uint32_t value = 0;
    for (int i = bytes - 1; i >= 0; i--)
        value = value << 8 | b[i];
    return value;
}

static int skip(lw_unpack *u, uint32_t n)
{
    while (n > 0) {
        const int state = want(u, 1);
        if (state <= 0)
            return state < 0 ? -1 : fail(u, LW_E_SYNTAX, "the zip ends early; the file is cut");
        const uint32_t take = u->z.avail_in < n ? u->z.avail_in : n;
        pass(u, take);
        n -= take;
    }
    return 0;
}

/* Sum and sizes stand behind the bytes where the packer did not know them before, with a mark or without. */
static int read_behind(lw_unpack *u)
{
    int state = want(u, 4);
    if (state > 0 && little(u->z.next_in, 4) == 0x08074b50u)
        pass(u, 4);
    state = state > 0 ? want(u, 12) : state;
    if (state <= 0)
        return state < 0 ? -1 : fail(u, LW_E_SYNTAX, "the zip ends early; the file is cut");
    u->crc_said = little(u->z.next_in, 4);
    pass(u, 12);
    return 0;
}

/* A file before the map whose size is not told can only be unpacked to find its end. */
static int pass_over(lw_unpack *u, int is_packed)
{
    unsigned char thrown_away[4096];
    long got = 1;
    if (!is_packed)
        return fail(u, LW_E_SYNTAX, "is a zip of a kind that is not read; unzip it and import what is in it");
    if (begin_inflate(u, -MAX_WBITS))
        return -1;
    while (got > 0)
        got = inflate_some(u, thrown_away, sizeof thrown_away);
    (void)inflateEnd(&u->z);
    u->has_inflate = u->is_end = 0;
    return got < 0 ? -1 : read_behind(u);
}

static int begin_map(lw_unpack *u, uint32_t method, uint32_t bytes)
{
    u->is_stored = method == 0 && !u->is_crc_behind;
    u->stored_left = bytes;
    u->crc = (uint32_t)crc32(0, NULL, 0);
    if (!u->is_stored && method != 8)
        return fail(u, LW_E_SYNTAX, "is a zip of a kind that is not read; unzip it and import what is in it");
    return u->is_stored ? 0 : begin_inflate(u, -MAX_WBITS);
}

static int ends_as_map(const char *name, size_t n)
{
    static const char *const ENDS[] = {".kml", ".geojson", ".json", ".gpx", ".csv", ".osm"};
    for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0]; i++) {
        const size_t m = strlen(ENDS[i]);
        if (n > m && strncasecmp(name + n - m, ENDS[i], m) == 0)
            return n < 9 || strncmp(name, "__MACOSX/", 9) != 0;
    }
    return 0;
}

/* To the first file whose name ends as that of a map; a KMZ has its KML first. */
static int begin_zip(lw_unpack *u)
{
    for (int i = 0; i < LW_ZIP_FILES; i++) {
        int state = want(u, ZIP_HEAD);
        if (state < 0)
            return -1;
        if (state == 0 || little(u->z.next_in, 4) != 0x04034b50u)
            break;
        const unsigned char *head = u->z.next_in;
        const uint32_t flags = little(head + 6, 2), method = little(head + 8, 2), packed = little(head + 18, 4),
                       bytes = little(head + 22, 4), name = little(head + 26, 2), more = little(head + 28, 2);
        u->crc_said = little(head + 14, 4);
        u->is_crc_behind = (flags & 8) != 0;
        state = name <= ZIP_NAME ? want(u, ZIP_HEAD + name) : 0;
        if (state <= 0)
            return state < 0 ? -1 : fail(u, LW_E_SYNTAX, "the zip is damaged");
        const int is_map = ends_as_map((const char *)u->z.next_in + ZIP_HEAD, name);
        pass(u, ZIP_HEAD + name);
        if (flags & 1)
            return fail(u, LW_E_SYNTAX, "is a zip with a password; unzip it and import what is in it");
        if (packed == UINT32_MAX)
            return fail(u, LW_E_SYNTAX, "is a zip of a kind that is not read; unzip it and import what is in it");
        if (skip(u, more))
            return -1;
        if (is_map)
            return begin_map(u, method, bytes);
        if (u->is_crc_behind ? pass_over(u, method == 8) : skip(u, packed))
            return -1;
    }
    return fail(
        u, LW_E_SYNTAX,
        "is a zip without a map that is read in it (.kml, .geojson, .gpx, .csv, .osm); unzip it and import what "
        "is in it");
}

static long read_map(lw_unpack *u, char *buf, size_t n)
{
    long got;
    if (u->is_stored) {
        n = u->stored_left < n ? u->stored_left : n;
        const int state = n ? want(u, 1) : 1;
        if (state <= 0)
            return state < 0 ? -1 : fail(u, LW_E_SYNTAX, "the zip ends early; the file is cut");
        got = (long)(u->z.avail_in < n ? u->z.avail_in : n);
        memcpy(buf, u->z.next_in, (size_t)got);
        pass(u, (size_t)got);
        u->stored_left -= (uint32_t)got;
        u->is_end = u->stored_left == 0;
    } else {
        got = inflate_some(u, (unsigned char *)buf, n);
    }
    if (got < 0)
        return -1;
    u->crc = (uint32_t)crc32(u->crc, (const unsigned char *)buf, (uInt)got);
    if (!u->is_end)
        return got;
    if (u->is_crc_behind && got > 0 && read_behind(u))
        return -1;
    u->is_crc_behind = 0;
    return u->crc == u->crc_said ? got : fail(u, LW_E_SYNTAX, "the zip is damaged");
}

/* ---- any of them ---- */

static int begin(lw_unpack *u)
{
    u->is_begun = 1;
    const int state = want(u, 4);
    const size_t n = u->z.avail_in;
    if (state < 0)
        return -1;
    if (n >= 2 && u->piece[0] == 0x1f && u->piece[1] == 0x8b) {
        u->form = GZIP;
        return begin_inflate(u, 16 + MAX_WBITS);
    }
    if (n < 4 || little(u->piece, 4) != 0x04034b50u)
        return 0;
    u->form = ZIP;
    return begin_zip(u);
}

static long read_plain(lw_unpack *u, char *buf, size_t n)
{
    const int state = want(u, 1);
    if (state <= 0)
        return state;
    const size_t take = u->z.avail_in < n ? u->z.avail_in : n;
    memcpy(buf, u->z.next_in, take);
    pass(u, take);
    return (long)take;
}

long lw_unpack_read(void *unpack, char *buf, size_t n)
{
    lw_unpack *u = unpack;
    if (u->wrong || (!u->is_begun && begin(u) < 0))
        return -1;
    n = n < PIECE ? n : PIECE;
    switch (u->form) {
    case GZIP:
        return inflate_some(u, (unsigned char *)buf, n);
    case ZIP:
        return read_map(u, buf, n);
    default:
        return read_plain(u, buf, n);
    }
}

lw_code lw_unpack_refuse(const lw_unpack *u, lw_err *err)
{
    if (!u->wrong || u->code == LW_E_IO)
        return lw_fail(err, LW_E_IO, "cannot be read");
    *err = (lw_err){0}; /* a reader behind it has only seen that a read failed */
    return lw_fail(err, u->code, "%s", u->wrong);
}

void lw_unpack_close(lw_unpack *u)
{
    if (u && u->has_inflate)
        (void)inflateEnd(&u->z);
    free(u);
}
