#include "exchange/ground.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/terrain.h"
#include "text/decimal.h"
#include "text/say.h"

static const double ROOF_M = 3.0, REACH_M = 50000.0;

lw_code lw_ground_find(const char *path, lw_spot spot, lw_ground *out, lw_err *err)
{
    lw_terrain_files *files = malloc(sizeof *files);
    if (!files)
        return lw_fail(err, LW_E_FULL, "no memory for terrain");
    lw_code code = lw_terrain_files_open(path, files, err);
    if (!code) {
        code = lw_terrain_files_around(files, spot, REACH_M, err);
        if (!code) {
            snprintf(out->path, sizeof out->path, "%s", path);
            out->spot = spot;
            (void)lw_terrain_skyline(&files->terrain, spot, ROOF_M, REACH_M, &out->skyline);
        }
        lw_terrain_files_clear(files);
    }
    free(files);
    return code;
}

int lw_ground_is_of(const lw_ground *ground, const char *path, lw_spot spot)
{
    return strcmp(ground->path, path) == 0 && fabs(ground->spot.latitude_deg - spot.latitude_deg) < 1e-9 &&
           fabs(ground->spot.longitude_deg - spot.longitude_deg) < 1e-9;
}

/* "latitude longitude ground known", then 360 angles, then the path: numbers apart by blanks, the path last as it may hold
 * anything but a line end. */
int lw_ground_print(const lw_ground *ground, char *buf, size_t size)
{
    const lw_skyline *s = &ground->skyline;
    const double head[] = {ground->spot.latitude_deg, ground->spot.longitude_deg, s->ground_m, s->known_frac};
    size_t used = 0;
    for (size_t i = 0; i < 4 + LW_SKYLINE_POINTS; i++) {
        char number[LW_DECIMAL_BYTES];
        const size_t n = i < 4 ? lw_decimal_print(number, sizeof number, head[i], i < 2 ? 12 : 3, 0)
                               : lw_decimal_print(number, sizeof number, s->seen_deg[i - 4], 1, 0);
        if (used + n + 2 > size)
            return 0;
        memcpy(buf + used, number, n);
        buf[used + n] = ' ';
        used += n + 1;
    }
    const size_t n = strlen(ground->path);
    if (used + n + 1 > size)
        return 0;
    memcpy(buf + used, ground->path, n + 1);
    return 1;
}

lw_code lw_ground_parse(const char *text, lw_ground *out, lw_err *err)
{
    double value[4 + LW_SKYLINE_POINTS];
    const char *at = text, *end = text + strlen(text);
    for (size_t i = 0; i < sizeof value / sizeof value[0]; i++) {
        at = lw_decimal_scan(at, end, &value[i]);
        if (!at || *at != ' ')
            return lw_fail(err, LW_E_SYNTAX, "what was kept of the terrain is damaged");
        at++;
    }
    lw_fault fault;
    lw_ground made = {.spot = {value[0], value[1]}, .skyline = {.ground_m = value[2], .known_frac = value[3]}};
    if (strlen(at) >= sizeof made.path || lw_spot_check(&made.spot, &fault))
        return lw_fail(err, LW_E_SYNTAX, "what was kept of the terrain is damaged");
    for (int i = 0; i < LW_SKYLINE_POINTS; i++) {
        if (!(value[4 + i] >= 0.0 && value[4 + i] <= 89.9))
            return lw_fail(err, LW_E_SYNTAX, "what was kept of the terrain is damaged");
        made.skyline.seen_deg[i] = value[4 + i];
    }
    memcpy(made.path, at, strlen(at) + 1);
    *out = made;
    return LW_OK;
}
