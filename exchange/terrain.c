#include "exchange/terrain.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "text/decimal.h"
#include "text/say.h"

static const double DEGREE_M = 111194.9; /* of latitude, on a sphere of 6,371 km */

lw_code lw_terrain_files_open(const char *path, lw_terrain_files *files, lw_err *err)
{
    struct stat st;
    *files = (lw_terrain_files){0};
    if (strlen(path) >= sizeof files->path - 24) /* room for a tile's name */
        return lw_fail(err, LW_E_FULL, "the path of the terrain is longer than %zu letters", sizeof files->path - 25);
    if (stat(path, &st) != 0) {
        lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
        return lw_err_at(err, path, 0, NULL);
    }
    snprintf(files->path, sizeof files->path, "%s", path);
    files->is_folder = S_ISDIR(st.st_mode);
    files->terrain.tile = files->tile;
    return LW_OK;
}

static int is_loaded(const lw_terrain_files *files, int south_deg, int west_deg)
{
    for (int i = 0; i < files->terrain.count; i++)
        if (files->tile[i].south_deg == south_deg && files->tile[i].west_deg == west_deg)
            return 1;
    return 0;
}

/* Makes room by letting go of all: the tiles of one question never fill it. */
static void make_room(lw_terrain_files *files)
{
    if (files->terrain.count < LW_TERRAIN_TILES)
        return;
    for (int i = 0; i < files->terrain.count; i++)
        lw_hgt_clear(&files->hgt[i]);
    files->terrain.count = 0;
}

static lw_code load(lw_terrain_files *files, const char *path, int south_deg, int west_deg, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, errno == ENOENT ? LW_E_MISSING : LW_E_IO, "cannot be opened: %s", strerror(errno));
        return lw_err_at(err, path, 0, NULL);
    }
    make_room(files);
    const int at = files->terrain.count;
    const lw_code code = lw_hgt_read(lw_read_file, file, south_deg, west_deg, &files->hgt[at], err);
    (void)fclose(file);
    if (code)
        return lw_err_at(err, path, 0, NULL);
    files->tile[at] = files->hgt[at].tile;
    files->terrain.count++;
    return LW_OK;
}

enum { NAME_BYTES = 32 };

/* As they are given out: N44W072.hgt, also n44w072.hgt, with .gz behind or not. 0: none of them is there. */
static int find_named(const char *folder, int south_deg, int west_deg, char *path, size_t n)
{
    static const char *const ENDS[] = {".hgt", ".hgt.gz"};
    struct stat st;
    for (int lower = 0; lower < 2; lower++)
        for (size_t e = 0; e < sizeof ENDS / sizeof ENDS[0]; e++) {
            snprintf(path, n, "%s/%c%02d%c%03d%s", folder, (south_deg < 0 ? 'S' : 'N') | 0x20 * lower, abs(south_deg),
                     (west_deg < 0 ? 'W' : 'E') | 0x20 * lower, abs(west_deg), ENDS[e]);
            if (stat(path, &st) == 0)
                return 1;
        }
    return 0;
}

/* LW_E_MISSING: it is not there. */
static lw_code load_named(lw_terrain_files *files, int south_deg, int west_deg, lw_err *err)
{
    char path[sizeof files->path + NAME_BYTES];
    return find_named(files->path, south_deg, west_deg, path, sizeof path) ? load(files, path, south_deg, west_deg, err)
                                                                           : LW_E_MISSING;
}

int lw_terrain_has(const char *folder, lw_spot at)
{
    char path[sizeof((lw_terrain_files *)0)->path + NAME_BYTES];
    return find_named(folder, (int)floor(at.latitude_deg), (int)floor(at.longitude_deg), path, sizeof path);
}

static lw_code load_only(lw_terrain_files *files, lw_err *err)
{
    const char *slash = strrchr(files->path, '/'), *name = slash ? slash + 1 : files->path;
    int south_deg, west_deg;
    if (!lw_hgt_corner(name, &south_deg, &west_deg)) {
        lw_fail(err, LW_E_SYNTAX, "the name of a tile says its south-west corner, such as N44W072.hgt");
        return lw_err_at(err, files->path, 0, NULL);
    }
    return is_loaded(files, south_deg, west_deg) ? LW_OK : load(files, files->path, south_deg, west_deg, err);
}

static lw_code refuse_point(const lw_terrain_files *files, lw_spot at, lw_err *err)
{
    const int south = (int)floor(at.latitude_deg), west = (int)floor(at.longitude_deg);
    lw_fail(err, LW_E_MISSING, "there is no tile %c%02d%c%03d for %s, %s; put its .hgt or .hgt.gz there",
            south < 0 ? 'S' : 'N', abs(south), west < 0 ? 'W' : 'E', abs(west), lw_num(at.latitude_deg).text,
            lw_num(at.longitude_deg).text);
    return lw_err_at(err, files->path, 0, NULL);
}

lw_code lw_terrain_files_around(lw_terrain_files *files, lw_spot at, double reach_m, lw_err *err)
{
    const double up_deg = reach_m / DEGREE_M,
                 across_deg = up_deg / fmax(0.05, cos(at.latitude_deg * 0.017453292519943295));
    const int south = (int)floor(at.latitude_deg - up_deg), north = (int)floor(at.latitude_deg + up_deg);
    const int west = (int)floor(at.longitude_deg - across_deg), east = (int)floor(at.longitude_deg + across_deg);
    files->missing_count = 0;
    lw_code code = files->is_folder ? LW_OK : load_only(files, err);
    if (files->is_folder && files->terrain.count + (north - south + 1) * (east - west + 1) > LW_TERRAIN_TILES) {
        for (int i = 0; i < files->terrain.count; i++)
            lw_hgt_clear(&files->hgt[i]);
        files->terrain.count = 0;
    }
    for (int s = south; s <= north && files->is_folder && !code; s++)
        for (int w = west; w <= east && !code; w++) {
            const int turned = (w + 540) % 360 - 180;
            if (s < -90 || s > 89 || is_loaded(files, s, turned))
                continue;
            code = load_named(files, s, turned, err);
            if (code == LW_E_MISSING && !err->code) {
                files->missing_count++;
                code = LW_OK;
            }
        }
    if (!code && isnan(lw_terrain_m(&files->terrain, at)))
        return refuse_point(files, at, err);
    return code;
}

void lw_terrain_files_clear(lw_terrain_files *files)
{
    for (int i = 0; i < LW_TERRAIN_TILES; i++)
        lw_hgt_clear(&files->hgt[i]);
    files->terrain.count = 0;
}
