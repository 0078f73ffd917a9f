#include "service/model_beside.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "text/say.h"

/* The folder, or terrain/ in it where there is one. */
static lw_code open_terrain(lw_beside_files *files)
{
    char path[4096];
    struct stat st;
    snprintf(path, sizeof path, "%s/terrain", files->folder);
    return lw_terrain_files_open(stat(path, &st) == 0 ? path : files->folder, &files->terrain, files->err);
}

static const lw_terrain *terrain_around(void *context, double latitude_deg, double longitude_deg, double reach_m)
{
    lw_beside_files *files = context;
    if (!files->terrain.path[0] && open_terrain(files))
        return NULL;
    if (lw_terrain_files_around(&files->terrain, (lw_spot){latitude_deg, longitude_deg}, reach_m, files->err))
        return NULL;
    return &files->terrain.terrain;
}

void lw_beside_init(lw_beside_files *files, const char *folder, lw_err *err)
{
    *files = (lw_beside_files){.folder = folder ? folder : ".", .err = err};
    lw_beside_next_line(files);
}

void lw_beside_next_line(lw_beside_files *files)
{
    files->now = (lw_beside){.terrain = terrain_around, .files = files};
}

static lw_code check_name(const char *name, const char *what, lw_err *err)
{
    const size_t n = strlen(name);
    if (n < sizeof((lw_beside_files *)0)->profile_name && !strpbrk(name, "/\\") && name[0] != '.')
        return LW_OK;
    return lw_fail(err, LW_E_SYNTAX, "'%s' is no name; NAME is the file %s beside the table", lw_quoted(name, n).text,
                   what);
}

static lw_code take_profile(lw_beside_files *files, const char *name, lw_err *err)
{
    char path[4096];
    if (files->profile.numbers && strcmp(files->profile_name, name) == 0)
        return LW_OK;
    lw_profile_file_clear(&files->profile);
    lw_code code = check_name(name, "profiles/NAME.csv", err);
    if (code)
        return code;
    snprintf(path, sizeof path, "%s/profiles/%s.csv", files->folder, name);
    code = lw_profile_load(path, &files->profile, err);
    if (!code)
        memcpy(files->profile_name, name, strlen(name) + 1);
    return code;
}

static lw_code take_grid(lw_beside_files *files, const char *name, lw_err *err)
{
    char path[4096];
    if (files->grid.owned && strcmp(files->grid_name, name) == 0)
        return LW_OK;
    lw_ascii_grid_clear(&files->grid);
    lw_code code = check_name(name, "NAME.asc", err);
    if (code)
        return code;
    snprintf(path, sizeof path, "%s/%s.asc", files->folder, name);
    code = lw_ascii_grid_load(path, &files->grid, err);
    if (!code)
        memcpy(files->grid_name, name, strlen(name) + 1);
    return code;
}

lw_code lw_beside_take(lw_beside_files *files, lw_column_kind kind, const char *name, lw_err *err)
{
    const lw_code code = kind == LW_COLUMN_GRID ? take_grid(files, name, err) : take_profile(files, name, err);
    if (!code && kind == LW_COLUMN_GRID)
        files->now.grid = &files->grid.grid;
    else if (!code)
        files->now.profile = &files->profile.profile;
    return code;
}

void lw_beside_clear(lw_beside_files *files)
{
    lw_profile_file_clear(&files->profile);
    lw_ascii_grid_clear(&files->grid);
    lw_terrain_files_clear(&files->terrain);
    files->now = (lw_beside){0};
}
