#include "exchange/wkb.h"

#include <string.h>

#include "text/say.h"

enum { LINE = 2, POLYGON = 3, MULTI_LINE = 5, MULTI_POLYGON = 6, COLLECTION = 7 };

/* Bits that some programs set in the kind: heights, measures, the number of a reference system behind it. */
#define HAS_Z         ((uint64_t)1 << 31)
#define HAS_M         ((uint64_t)1 << 30)
#define HAS_REFERENCE ((uint64_t)1 << 29)

typedef struct scan {
    const unsigned char *at, *end;
    int is_little, wants_lines;
    lw_rings *rings;
    lw_err *err;
} scan;

static lw_code damaged(const scan *s)
{
    return lw_fail(s->err, LW_E_SYNTAX, "a geometry is damaged");
}

static uint64_t take_word(scan *s, int bytes)
{
    uint64_t word = 0;
    for (int i = 0; i < bytes; i++)
        word |= (uint64_t)s->at[s->is_little ? i : bytes - 1 - i] << (8 * i);
    s->at += bytes;
    return word;
}

static int is_left(const scan *s, size_t bytes)
{
    return (size_t)(s->end - s->at) >= bytes;
}

static double take_double(scan *s)
{
    const uint64_t word = take_word(s, 8);
    double value;
    memcpy(&value, &word, sizeof value);
    return value;
}

static lw_code take_corners(scan *s, int dimensions)
{
    if (!is_left(s, 4))
        return damaged(s);
    lw_code code = LW_OK;
    const uint64_t corners = take_word(s, 4);
    if (corners > (uint64_t)(s->end - s->at) / (8 * (uint64_t)dimensions))
        return damaged(s);
    for (uint64_t i = 0; i < corners && !code; i++) {
        const double longitude_deg = take_double(s), latitude_deg = take_double(s);
        code = lw_rings_corner(s->rings, longitude_deg, latitude_deg, s->err);
        s->at += (ptrdiff_t)8 * (dimensions - 2);
    }
    return code;
}

static lw_code take_polygon(scan *s, int dimensions)
{
    if (!is_left(s, 4))
        return damaged(s);
    lw_code code = LW_OK;
    for (uint64_t rings = take_word(s, 4); rings > 0 && !code; rings--) {
        code = take_corners(s, dimensions);
        code = code ? code : lw_rings_close(s->rings, s->err);
    }
    return code;
}

static lw_code take_line(scan *s, int dimensions)
{
    const lw_code code = take_corners(s, dimensions);
    return code ? code : lw_rings_end_line(s->rings, s->err);
}

/* *kind 0: not one that is read. */
static lw_code take_head(scan *s, uint64_t *kind, int *dimensions)
{
    if (!is_left(s, 5) || s->at[0] > 1)
        return damaged(s);
    s->is_little = *s->at++;
    uint64_t word = take_word(s, 4);
    *dimensions = 2;
    *dimensions += ((word & HAS_Z) != 0) + ((word & HAS_M) != 0);
    if (word & HAS_REFERENCE) {
        if (!is_left(s, 4))
            return damaged(s);
        s->at += 4;
    }
    word &= HAS_REFERENCE - 1;
    *dimensions += word >= 3000 ? 2 : word >= 1000 ? 1 : 0;
    *kind = word % 1000;
    return word < 4000 ? LW_OK : damaged(s);
}

/* Parts of parts lie one behind the other, so a count of those to come is all that is needed. Behind what is not wanted nothing is
 * read: where it ends is not known. */
static lw_code take_geometries(scan *s)
{
    lw_code code = LW_OK;
    for (uint64_t left = 1; left > 0 && !code; left--) {
        uint64_t kind = 0;
        int dimensions = 0;
        code = take_head(s, &kind, &dimensions);
        const uint64_t one = s->wants_lines ? LINE : POLYGON, many = s->wants_lines ? MULTI_LINE : MULTI_POLYGON;
        if (code || (kind != one && kind != many && kind != COLLECTION))
            return code;
        if (kind == one) {
            code = s->wants_lines ? take_line(s, dimensions) : take_polygon(s, dimensions);
            continue;
        }
        const uint64_t parts = is_left(s, 4) ? take_word(s, 4) : UINT32_MAX;
        if (parts > (uint64_t)(s->end - s->at) / 5)
            return damaged(s);
        left += parts;
    }
    return code;
}

/* Bytes of none have no end to reckon with either. */
static lw_code read_any(const unsigned char *bytes, size_t n, scan *s, int *is_any)
{
    lw_code code = LW_OK;
    lw_rings_begin(s->rings);
    if (n) {
        s->at = bytes;
        s->end = bytes + n;
        code = take_geometries(s);
    }
    *is_any = !code && s->rings->rings > 0;
    return code;
}

lw_code lw_wkb_read(const unsigned char *bytes, size_t n, lw_rings *rings, int *is_any, lw_err *err)
{
    return read_any(bytes, n, &(scan){.rings = rings, .err = err}, is_any);
}

lw_code lw_wkb_lines(const unsigned char *bytes, size_t n, lw_rings *rings, int *is_any, lw_err *err)
{
    return read_any(bytes, n, &(scan){.wants_lines = 1, .rings = rings, .err = err}, is_any);
}

const unsigned char *lw_wkb_of_geopackage(const unsigned char *bytes, size_t n, size_t *wkb_n)
{
    static const size_t ENVELOPE[8] = {0, 32, 48, 48, 64, 0, 0, 0};
    if (n < 8 || bytes[0] != 'G' || bytes[1] != 'P')
        return NULL;
    const unsigned flags = bytes[3], kind = flags >> 1 & 7;
    const size_t head = 8 + ENVELOPE[kind];
    if (kind > 4 || n < head)
        return NULL;
    *wkb_n = flags >> 4 & 1 ? 0 : n - head;
    return bytes + head;
}
