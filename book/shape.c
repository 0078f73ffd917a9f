#include <stdlib.h>

#include "book/shape_internal.h"

static unsigned char *put_word(unsigned char *to, uint32_t word)
{
    for (int i = 0; i < 4; i++)
        *to++ = (unsigned char)(word >> (8 * i));
    return to;
}

static uint32_t word_at(const unsigned char *from)
{
    return (uint32_t)from[0] | (uint32_t)from[1] << 8 | (uint32_t)from[2] << 16 | (uint32_t)from[3] << 24;
}

unsigned char *lw_shape_pack(const lw_shape *shape, size_t *bytes)
{
    size_t corners = 0;
    for (size_t r = 0; r < shape->rings; r++)
        corners += shape->ring[r];
    *bytes = 4 * (1 + shape->rings + 2 * corners);
    unsigned char *blob = malloc(*bytes), *to = blob;
    if (!blob)
        return NULL;
    to = put_word(to, (uint32_t)shape->rings);
    for (size_t r = 0; r < shape->rings; r++)
        to = put_word(to, shape->ring[r]);
    for (size_t c = 0; c < corners; c++) {
        to = put_word(to, (uint32_t)shape->corner[c].longitude_e6);
        to = put_word(to, (uint32_t)shape->corner[c].latitude_e6);
    }
    return blob;
}

void *lw_shape_unpack(const unsigned char *blob, size_t bytes, lw_shape *shape)
{
    const size_t words = bytes / 4, rings = words ? word_at(blob) : 0;
    uint64_t corners = 0;
    if (bytes % 4 || rings == 0 || rings > words - 1)
        return NULL;
    for (size_t r = 0; r < rings; r++)
        corners += word_at(blob + 4 * (1 + r));
    if (corners * 2 != words - 1 - rings)
        return NULL;
    uint32_t *ring = malloc(rings * sizeof *ring + (size_t)corners * sizeof(lw_corner));
    if (!ring)
        return NULL;
    lw_corner *corner = (lw_corner *)(void *)(ring + rings);
    const unsigned char *from = blob + 4;
    for (size_t r = 0; r < rings; r++, from += 4)
        ring[r] = word_at(from);
    for (size_t c = 0; c < corners; c++, from += 8)
        corner[c] = (lw_corner){(int32_t)word_at(from), (int32_t)word_at(from + 4)};
    *shape = (lw_shape){corner, ring, rings};
    return ring;
}
