#include "exchange/raster.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <jansson.h>

#include "exchange/child.h"
#include "exchange/limits.h"
#include "text/decimal.h"
#include "text/say.h"

enum { PATH_BYTES = 4200, ANSWER_BYTES = 4 << 20 };

static lw_code say_missing(lw_code code, lw_err *err)
{
    if (code != LW_E_MISSING)
        return code;
    *err = (lw_err){0};
    return lw_fail(err, code, "needs the programs of GDAL, which are not installed; on Debian: apt install gdal-bin");
}

/* A name that begins with a dash is a name all the same. */
static lw_code plain_path(const char *path, char to[PATH_BYTES], lw_err *err)
{
    const int n = snprintf(to, PATH_BYTES, "%s%s", path[0] == '-' ? "./" : "", path);
    return n > 0 && n < PATH_BYTES ? LW_OK : lw_fail(err, LW_E_FULL, "the path is too long");
}

static lw_code take_extent(const json_t *root, lw_raster *raster, lw_err *err)
{
    const json_t *ring = json_array_get(json_object_get(json_object_get(root, "wgs84Extent"), "coordinates"), 0);
    const double rows = json_number_value(json_array_get(json_object_get(root, "size"), 1));
    *raster = (lw_raster){INFINITY, INFINITY, -INFINITY, -INFINITY, 0.0};
    for (size_t i = 0; i < json_array_size(ring); i++) {
        const json_t *pair = json_array_get(ring, i);
        const double x = json_number_value(json_array_get(pair, 0)), y = json_number_value(json_array_get(pair, 1));
        raster->west_deg = fmin(raster->west_deg, x);
        raster->east_deg = fmax(raster->east_deg, x);
        raster->south_deg = fmin(raster->south_deg, y);
        raster->north_deg = fmax(raster->north_deg, y);
    }
    if (!(rows >= 2.0 && raster->west_deg >= -180.01 && raster->east_deg <= 180.01 && raster->south_deg >= -90.01 &&
          raster->north_deg <= 90.01 && raster->east_deg > raster->west_deg && raster->north_deg > raster->south_deg))
        return lw_fail(err, LW_E_SYNTAX, "does not say where on earth it lies");
    raster->step_deg = (raster->north_deg - raster->south_deg) / rows;
    return LW_OK;
}

lw_code lw_raster_said(const char *text, size_t n, lw_raster *raster, lw_err *err)
{
    json_t *root = json_loadb(text, n, 0, NULL);
    const lw_code code =
        root ? take_extent(root, raster, err) : lw_fail(err, LW_E_SYNTAX, "gdalinfo gave no answer that is JSON");
    json_decref(root);
    return code;
}

lw_code lw_raster_look(const char *path, lw_raster *raster, lw_err *err)
{
    char plain[PATH_BYTES], *text = NULL;
    size_t n = 0;
    const char *argv[] = {"gdalinfo", "-json", "-nomd", "-norat", "-noct", plain, NULL};
    lw_code code = plain_path(path, plain, err);
    code = code ? code : say_missing(lw_child_run(argv, LW_CHILD_WAIT_S, ANSWER_BYTES, &text, &n, err), err);
    if (code)
        return code;
    code = lw_raster_said(text, n, raster, err);
    free(text);
    return code;
}

/* ---- a tile ---- */

static void put_degrees(char to[LW_DECIMAL_BYTES], double degrees)
{
    lw_decimal_print(to, LW_DECIMAL_BYTES, degrees, 12, 0);
}

/* Samples lie on the degree lines: the cells around them reach half a step beyond. */
static lw_code warp(const char *path, int south_deg, int west_deg, int side, const char *to, lw_err *err)
{
    char plain[PATH_BYTES], bound[4][LW_DECIMAL_BYTES], size[16], *text = NULL;
    size_t n = 0;
    const double half_deg = 0.5 / (side - 1);
    put_degrees(bound[0], west_deg - half_deg);
    put_degrees(bound[1], south_deg - half_deg);
    put_degrees(bound[2], west_deg + 1 + half_deg);
    put_degrees(bound[3], south_deg + 1 + half_deg);
    snprintf(size, sizeof size, "%d", side);
    const char *argv[] = {"gdalwarp", "-q",         "-overwrite", "-t_srs", "EPSG:4326", "-te", bound[0],   bound[1],
                          bound[2],   bound[3],     "-ts",        size,     size,        "-r",  "bilinear", "-ot",
                          "Int16",    "-dstnodata", "-32768",     "-of",    "ENVI",      plain, to,         NULL};
    lw_code code = plain_path(path, plain, err);
    code = code ? code : say_missing(lw_child_run(argv, LW_RASTER_WAIT_S, ANSWER_BYTES, &text, &n, err), err);
    free(text);
    return code;
}

/* The bare numbers come with the low byte first, HGT has the high one first. */
static long read_turned(void *file, char *buf, size_t n)
{
    const long got = lw_read_file(file, buf, n - n % 2);
    for (long i = 0; i + 1 < got; i += 2) {
        const char low = buf[i];
        buf[i] = buf[i + 1];
        buf[i + 1] = low;
    }
    return got;
}

static lw_code read_bare(const char *path, int south_deg, int west_deg, lw_hgt *out, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        return lw_fail(err, LW_E_IO, "gdalwarp wrote no heights");
    const lw_code code = lw_hgt_read(read_turned, file, south_deg, west_deg, out, err);
    (void)fclose(file);
    return code;
}

lw_code lw_raster_tile(const char *path, int south_deg, int west_deg, int side, lw_hgt *out, lw_err *err)
{
    static const char *const ENDS[] = {".bin", ".hdr", ".bin.aux.xml"};
    const char *tmp = getenv("TMPDIR");
    char folder[512], name[600];
    snprintf(folder, sizeof folder, "%.400s/leeway-heights-XXXXXX", tmp && *tmp ? tmp : "/tmp");
    if (!mkdtemp(folder))
        return lw_fail(err, LW_E_IO, "no folder for a passing file can be made in %.300s", tmp && *tmp ? tmp : "/tmp");
    snprintf(name, sizeof name, "%s/tile.bin", folder);
    lw_code code = warp(path, south_deg, west_deg, side, name, err);
    code = code ? code : read_bare(name, south_deg, west_deg, out, err);
    for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0]; i++) {
        snprintf(name, sizeof name, "%s/tile%s", folder, ENDS[i]);
        (void)unlink(name);
    }
    (void)rmdir(folder);
    return code;
}
