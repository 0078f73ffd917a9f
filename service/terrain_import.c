#include "service/terrain_import.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "exchange/limits.h"
#include "exchange/raster.h"
#include "exchange/whole_file.h"
#include "text/say.h"

static const double FINE_DEG = 2.0 / 3600.0, LEAST_KNOWN = 0.01;
enum { FINE_SIDE = 3601, COARSE_SIDE = 1201 };

int lw_terrain_is(const char *path)
{
    static const char *const ENDS[] = {".hgt", ".hgt.gz", ".tif", ".tiff", ".img", ".dem", ".adf", ".asc"};
    const size_t n = strlen(path);
    for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0]; i++) {
        const size_t m = strlen(ENDS[i]);
        if (n > m && strcasecmp(path + n - m, ENDS[i]) == 0)
            return 1;
    }
    return 0;
}

int lw_terrain_folder(const char *book_path, char folder[LW_TERRAIN_PATH])
{
    struct stat st;
    const char *slash = strrchr(book_path, '/');
    snprintf(folder, LW_TERRAIN_PATH, "%.*sterrain", slash ? (int)(slash - book_path) + 1 : 0, book_path);
    return stat(folder, &st) == 0 && S_ISDIR(st.st_mode);
}

static void count_tile(lw_terrain_done *done, const lw_tile *tile)
{
    const size_t count = (size_t)tile->side * (size_t)tile->side;
    double unknown = 0.0;
    for (size_t i = 0; i < count; i++) {
        unknown += tile->h_m[i] == LW_TERRAIN_VOID;
        if (tile->h_m[i] != LW_TERRAIN_VOID)
            done->lowest_m = fmin(done->lowest_m, tile->h_m[i]);
    }
    done->highest_m = fmax(done->highest_m, tile->highest_m);
    done->unknown_frac += (unknown / (double)count - done->unknown_frac) / (done->tiles + 1);
    done->side = tile->side;
    done->tiles++;
}

static lw_code write_tile(const lw_tile *tile, lw_terrain_done *done, lw_err *err)
{
    char path[LW_TERRAIN_PATH + 32];
    lw_whole_file file;
    const size_t count = (size_t)tile->side * (size_t)tile->side;
    snprintf(path, sizeof path, "%s/%c%02d%c%03d.hgt", done->folder, tile->south_deg < 0 ? 'S' : 'N',
             abs(tile->south_deg), tile->west_deg < 0 ? 'W' : 'E', abs(tile->west_deg));
    if (mkdir(done->folder, 0700) != 0 && errno != EEXIST) {
        (void)lw_fail(err, LW_E_IO, "cannot be made: %s", strerror(errno));
        return lw_err_at(err, done->folder, 0, NULL);
    }
    lw_code code = lw_whole_file_open(&file, path, err);
    if (code)
        return code;
    int has_failed = 0;
    for (size_t i = 0; i < count && !has_failed; i++) {
        const unsigned value = (uint16_t)tile->h_m[i];
        has_failed = putc((int)(value >> 8), file.stream) == EOF || putc((int)(value & 0xFF), file.stream) == EOF;
    }
    if (has_failed)
        code = lw_fail(err, LW_E_IO, "%s cannot be written: %s", path, strerror(errno));
    code = lw_whole_file_close(&file, code, err);
    if (!code)
        count_tile(done, tile);
    return code;
}

static lw_code import_hgt(const char *path, const char *name, lw_terrain_done *done, lw_err *err)
{
    int south_deg, west_deg;
    lw_hgt hgt = {.owned = NULL};
    if (!lw_hgt_corner(name, &south_deg, &west_deg))
        return lw_fail(err, LW_E_SYNTAX, "the name of a tile says its south-west corner, such as N44W072.hgt");
    FILE *file = fopen(path, "rb");
    if (!file)
        return lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
    lw_code code = lw_hgt_read(lw_read_file, file, south_deg, west_deg, &hgt, err);
    (void)fclose(file);
    code = code ? code : write_tile(&hgt.tile, done, err);
    lw_hgt_clear(&hgt);
    return code;
}

static double unknown_of(const lw_tile *tile)
{
    lw_terrain_done alone = {.tiles = 0};
    count_tile(&alone, tile);
    return alone.unknown_frac;
}

/* A tile of which the map has but an edge is left out: it would stand in the way of a whole one. */
static lw_code import_raster(const char *path, lw_terrain_done *done, lw_err *err)
{
    lw_raster raster;
    lw_code code = lw_raster_look(path, &raster, err);
    if (code)
        return code;
    const int south = (int)floor(raster.south_deg + 0.01), north = (int)ceil(raster.north_deg - 0.01),
              west = (int)floor(raster.west_deg + 0.01), east = (int)ceil(raster.east_deg - 0.01);
    if ((north - south) * (east - west) > LW_RASTER_TILES)
        return lw_fail(err, LW_E_FULL, "covers %d degrees of the earth; cut it to %d or fewer",
                       (north - south) * (east - west), LW_RASTER_TILES);
    for (int s = south; s < north && !code; s++)
        for (int w = west; w < east && !code; w++) {
            lw_hgt hgt = {.owned = NULL};
            code = lw_raster_tile(path, s, w, raster.step_deg < FINE_DEG ? FINE_SIDE : COARSE_SIDE, &hgt, err);
            if (!code && unknown_of(&hgt.tile) < 1.0 - LEAST_KNOWN)
                code = write_tile(&hgt.tile, done, err);
            lw_hgt_clear(&hgt);
        }
    return code || done->tiles ? code : lw_fail(err, LW_E_MISSING, "there are no heights in it");
}

lw_code lw_terrain_import(const lw_book *book, const char *path, lw_terrain_done *done, lw_err *err)
{
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path, *dot = strchr(name, '.');
    *done = (lw_terrain_done){.lowest_m = INFINITY, .highest_m = -INFINITY};
    (void)lw_terrain_folder(lw_book_path(book), done->folder);
    const int is_hgt = dot && strncasecmp(dot, ".hgt", 4) == 0;
    const lw_code code = is_hgt ? import_hgt(path, name, done, err) : import_raster(path, done, err);
    return code ? lw_err_at(err, path, 0, NULL) : LW_OK;
}
