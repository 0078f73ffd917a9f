/* service/terrain_import.h: terrain into the folder of tiles beside the book.
 *
 * Takes     HGT tiles, plain or gzipped, by their names; any other map of heights (GeoTIFF and so on) cut into tiles of 90 m, or of 30 m
 *           where it is fine enough, through the programs of GDAL (exchange/raster.h). A tile that is there already is replaced.
 * Uses      leeway signal looks there where nothing else is named; `place.terrain` of a scenario may name the folder.
 * Errors    those of exchange/hgt.h and exchange/raster.h with the path; LW_E_FULL a map over more than LW_RASTER_TILES degrees. Tiles are
 *           whole or not there; those before a failure stay. */
#ifndef LW_SERVICE_TERRAIN_IMPORT_H
#define LW_SERVICE_TERRAIN_IMPORT_H

#include "book/book.h"

enum { LW_TERRAIN_PATH = LW_BOOK_PATH_BYTES + 32 };

typedef struct lw_terrain_done {
    int tiles, side; /* of each tile */
    double lowest_m, highest_m, unknown_frac;
    char folder[LW_TERRAIN_PATH];
} lw_terrain_done;

int lw_terrain_is(const char *path); /* by the ending of its name */
LW_MUST_USE lw_code lw_terrain_import(const lw_book *book, const char *path, lw_terrain_done *done, lw_err *err);

/* Of a book's own folder; 0: there is none yet. */
int lw_terrain_folder(const char *book_path, char folder[LW_TERRAIN_PATH]);

#endif
