/* exchange/raster.h: heights of any map of them (GeoTIFF and what else GDAL reads) as terrain tiles, through its programs gdalinfo and
 * gdalwarp where they are installed.
 *
 * Looks     lw_raster_look: which stretch of the earth it covers, in degrees, and how fine it is.
 * Turns     lw_raster_tile: a tile of one degree as exchange/hgt.h has them, straight between the heights of the map, which are taken for
 *           metres; what it does not cover is not known.
 * Errors    LW_E_MISSING the programs are not installed; LW_E_IO one of them failed, with its last words; LW_E_SYNTAX an answer that is
 *           not understood; those of exchange/hgt.h.
 * Memory    a file of 26 MB at most in the folder for passing files, taken away again. */
#ifndef LW_EXCHANGE_RASTER_H
#define LW_EXCHANGE_RASTER_H

#include "exchange/hgt.h"

typedef struct lw_raster {
    double west_deg, south_deg, east_deg, north_deg;
    double step_deg; /* between two heights, from south to north */
} lw_raster;

LW_MUST_USE lw_code lw_raster_look(const char *path, lw_raster *raster, lw_err *err);
LW_MUST_USE lw_code lw_raster_said(const char *text, size_t n, lw_raster *raster, lw_err *err); /* gdalinfo's answer */
LW_MUST_USE lw_code lw_raster_tile(const char *path, int south_deg, int west_deg, int side, lw_hgt *out, lw_err *err);

#endif
