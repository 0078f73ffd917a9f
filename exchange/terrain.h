/* exchange/terrain.h: terrain tiles of a folder, or one tile, loaded as they are needed.
 *
 * Reads     HGT tiles (exchange/hgt.h), plain or gzipped, found by their names, which say the south-west corner.
 * Results   lw_terrain_files_around: the tiles that touch a circle; what was loaded before stays loaded. `files->terrain` is
 *           what the core is given.
 * Errors    LW_E_MISSING no such file or folder, or no tile for the point itself; those of the tile. One sentence with its
 *           path. Tiles of the neighbourhood that are not there are no error: missing_count.
 * Memory    lw_terrain_files_clear, twice is fine. A tile of 90 m takes 3 MB, one of 30 m 26 MB; at most LW_TERRAIN_TILES. */
#ifndef LW_EXCHANGE_TERRAIN_H
#define LW_EXCHANGE_TERRAIN_H

#include "exchange/hgt.h"

typedef struct lw_terrain_files {
    char path[512];
    int is_folder;
    int missing_count; /* of the last question */
    lw_hgt hgt[LW_TERRAIN_TILES];
    lw_tile tile[LW_TERRAIN_TILES];
    lw_terrain terrain;
} lw_terrain_files;

LW_MUST_USE lw_code lw_terrain_files_open(const char *path, lw_terrain_files *files, lw_err *err);
LW_MUST_USE lw_code lw_terrain_files_around(lw_terrain_files *files, lw_spot at, double reach_m, lw_err *err);
/* Whether a folder has the tile of a spot, without opening it. */
int lw_terrain_has(const char *folder, lw_spot at);
void lw_terrain_files_clear(lw_terrain_files *files);

#endif
