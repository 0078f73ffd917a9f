/* service/model_beside.h: the files that the lines of a model's table name.
 *
 * Computes  lw_beside_take: what a field names, loaded; the last file of each kind is kept, since lines mostly name the same
 *           one again.
 * Errors    LW_E_SYNTAX a name with a folder in it; those of the file's reader. */
#ifndef LW_SERVICE_MODEL_BESIDE_H
#define LW_SERVICE_MODEL_BESIDE_H

#include "core/base/model.h"
#include "exchange/ascii_grid.h"
#include "exchange/profile.h"
#include "exchange/terrain.h"

typedef struct lw_beside_files {
    const char *folder; /* borrowed; NULL: the current one */
    char profile_name[128], grid_name[128];
    lw_profile_file profile;
    lw_ascii_grid grid;
    lw_terrain_files terrain;
    lw_beside now; /* what the current line names */
    lw_err *err;   /* of a tile that could not be taken */
} lw_beside_files;

/* Nothing is named yet, nothing loaded. */
void lw_beside_init(lw_beside_files *files, const char *folder, lw_err *err);
void lw_beside_next_line(lw_beside_files *files);
LW_MUST_USE lw_code lw_beside_take(lw_beside_files *files, lw_column_kind kind, const char *name, lw_err *err);
void lw_beside_clear(lw_beside_files *files);

#endif
