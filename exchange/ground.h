/* exchange/ground.h: what terrain tiles say of a place: its height and the skyline around it.
 *
 * Computes  lw_ground_find: from a folder of tiles or one tile (exchange/terrain.h), looked at from a camper's roof, 3 m
 *           above the ground, as far as 50 km. lw_ground_print and lw_ground_parse: the same as a text of some 2 kB, so that
 *           the book need not open the tiles again.
 * Results   lw_ground. lw_ground_is_of: is it of that path and spot.
 * Errors    those of exchange/terrain.h; LW_E_SYNTAX a text that is none.
 * Limits    mountains beyond 50 km (1 deg of sky at 900 m above the place) are not seen. */
#ifndef LW_EXCHANGE_GROUND_H
#define LW_EXCHANGE_GROUND_H

#include "core/land/skyline.h"

enum { LW_GROUND_BYTES = 4096 };

typedef struct lw_ground {
    char path[512];
    lw_spot spot;
    lw_skyline skyline; /* tenths of a degree once it has been a text */
} lw_ground;

LW_MUST_USE lw_code lw_ground_find(const char *path, lw_spot spot, lw_ground *out, lw_err *err);
int lw_ground_is_of(const lw_ground *ground, const char *path, lw_spot spot);

/* 0: it does not fit. */
int lw_ground_print(const lw_ground *ground, char *buf, size_t size);
LW_MUST_USE lw_code lw_ground_parse(const char *text, lw_ground *out, lw_err *err);

#endif
