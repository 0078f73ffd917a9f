#include "exchange/hgt.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/unpack.h"
#include "text/say.h"

enum { PIECE = 65536, BYTES_MOST = 2 * LW_TERRAIN_SIDE_MOST * LW_TERRAIN_SIDE_MOST };
static const int LOWEST_M = -500, HIGHEST_M = 9000;

static int digits(const char *text, int count, int *value)
{
    *value = 0;
    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return 0;
        *value = 10 * *value + (text[i] - '0');
    }
    return 1;
}

int lw_hgt_corner(const char *name, int *south_deg, int *west_deg)
{
    if (strlen(name) < 7)
        return 0;
    const char up = name[0] | 0x20, across = name[3] | 0x20; /* to lower case */
    if ((up != 'n' && up != 's') || (across != 'w' && across != 'e'))
        return 0;
    if (!digits(name + 1, 2, south_deg) || !digits(name + 4, 3, west_deg))
        return 0;
    *south_deg = up == 's' ? -*south_deg : *south_deg;
    *west_deg = across == 'w' ? -*west_deg : *west_deg;
    return *south_deg >= -90 && *south_deg < 90 && *west_deg >= -180 && *west_deg < 180;
}

/* All of it, and not a byte more than the largest tile. */
static lw_code take_all(lw_unpack *from, unsigned char **bytes, size_t *size, lw_err *err)
{
    size_t room = 0;
    long n;
    *size = 0;
    do {
        if (*size == room) {
            room = room ? 2 * room : PIECE;
            room = room > BYTES_MOST + 1 ? BYTES_MOST + 1 : room;
            unsigned char *more = realloc(*bytes, room);
            if (!more)
                return lw_fail(err, LW_E_FULL, "no memory for a tile");
            memset(more + *size, 0, room - *size); /* the analyser cannot see that all of it is filled */
            *bytes = more;
        }
        n = lw_unpack_read(from, (char *)*bytes + *size, room - *size);
        if (n < 0)
            return lw_unpack_refuse(from, err);
        *size += (size_t)n;
        if (*size > BYTES_MOST)
            return lw_fail(err, LW_E_FULL,
                           "is larger than a tile of %d x %d heights; HGT tiles are 1201 or 3601 a side",
                           LW_TERRAIN_SIDE_MOST, LW_TERRAIN_SIDE_MOST);
    } while (n > 0);
    return LW_OK;
}

static int side_of(size_t size)
{
    for (int side = 2; side <= LW_TERRAIN_SIDE_MOST; side++)
        if ((size_t)side * (size_t)side * 2 == size)
            return 3600 % (side - 1) == 0 ? side : 0;
    return 0;
}

static lw_code turn(const unsigned char *bytes, size_t size, int south_deg, int west_deg, lw_hgt *out, lw_err *err)
{
    const int side = side_of(size);
    if (side < 2)
        return lw_fail(err, LW_E_SYNTAX,
                       "%zu bytes are no HGT tile; one has 2,884,802 (1201 x 1201 heights) or 25,934,402 (3601 x 3601)",
                       size);
    const size_t count = (size_t)side * (size_t)side;
    int16_t *h_m = malloc(count * sizeof *h_m);
    long odd = 0;
    if (!h_m)
        return lw_fail(err, LW_E_FULL, "no memory for a tile");
    for (size_t i = 0; i < count; i++) {
        const int raw = bytes[2 * i] << 8 | bytes[2 * i + 1], value = raw >= 32768 ? raw - 65536 : raw;
        const int is_land = value >= LOWEST_M && value <= HIGHEST_M;
        odd += !is_land && value != LW_TERRAIN_VOID;
        h_m[i] = (int16_t)(is_land ? value : LW_TERRAIN_VOID);
    }
    if ((size_t)odd * 100 > count) {
        free(h_m);
        return lw_fail(err, LW_E_SYNTAX, "%ld of %zu heights are below %d or above %d m; this is no HGT tile", odd,
                       count, LOWEST_M, HIGHEST_M);
    }
    *out = (lw_hgt){
        .tile = {.south_deg = south_deg, .west_deg = west_deg, .side = side, .h_m = h_m}, .owned = h_m, .odd = odd};
    out->tile.highest_m = lw_tile_highest_m(&out->tile);
    return LW_OK;
}

lw_code lw_hgt_read(lw_read_fn *read, void *context, int south_deg, int west_deg, lw_hgt *out, lw_err *err)
{
    lw_unpack *from;
    unsigned char *bytes = NULL;
    size_t size = 0;
    lw_code code = lw_unpack_open(read, context, &from, err);
    if (code)
        return code;
    code = take_all(from, &bytes, &size, err);
    if (!code && bytes)
        code = turn(bytes, size, south_deg, west_deg, out, err);
    free(bytes);
    lw_unpack_close(from);
    return code;
}

void lw_hgt_clear(lw_hgt *hgt)
{
    free(hgt->owned);
    *hgt = (lw_hgt){0};
}
