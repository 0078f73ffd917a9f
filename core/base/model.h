/* core/base/model.h: how a model shows itself, so that anybody can check it.
 *
 * A model is one row of this kind, registered once in its room's `<room>_models.c` and listed in core/models.h.
 * `leeway model`, the docs page and the tests derive from that table: columns, units, source, check and apply.
 * Values travel as doubles: NUMBER as it is, TIME as seconds since 1970 UTC (text "2026-01-20T06:36:48Z" at the edge,
 * one decimal of a second kept), DATE as days since 1970-01-01 (text "2026-06-01"), CHOICE as the index into `choices`.
 * NaN as an input means "empty field" and reaches only columns marked optional; NaN as an output means "not defined
 * here" and is printed as an empty field. What is no number (a PROFILE, a GRID) is named by its column, lies in a file beside the
 * table and is handed over apart; its number is 1, NaN where the field is empty. */
#ifndef LW_CORE_BASE_MODEL_H
#define LW_CORE_BASE_MODEL_H

#include "core/base/err.h"

typedef enum lw_column_kind {
    LW_COLUMN_NUMBER = 0,
    LW_COLUMN_TIME,
    LW_COLUMN_DATE,
    LW_COLUMN_CHOICE,
    LW_COLUMN_PROFILE, /* input only: NAME is profiles/NAME.csv beside the table */
    LW_COLUMN_GRID,    /* input only: NAME is NAME.asc beside the table */
} lw_column_kind;

typedef struct lw_column {
    const char *name;    /* with its unit as the last part; results are printed as "out_" + name */
    const char *what;    /* a few words */
    lw_column_kind kind; /* NUMBER unless said */
    int is_optional;     /* input only: an empty field or absent column gives NaN */
    const char *choices; /* CHOICE only: "flooded|agm|lfp" */
    int decimals;        /* results only: digits after the point; 0 means 6 */
} lw_column;

/* What a line names beside its numbers; NULL where it names none. */
struct lw_profile;   /* core/land/profile.h */
struct lw_flat_grid; /* core/land/flat_grid.h */
struct lw_terrain;   /* core/land/terrain.h */
typedef struct lw_beside {
    const struct lw_profile *profile;
    const struct lw_flat_grid *grid;
    /* The terrain tiles beside the table, or in the folder terrain/ there, around a point; NULL: none for it. */
    const struct lw_terrain *(*terrain)(void *files, double latitude_deg, double longitude_deg, double reach_m);
    void *files;
} lw_beside;

typedef struct lw_model {
    const char *name, *what, *source;
    const lw_column *in;
    size_t in_count;
    const lw_column *out;
    size_t out_count;
    /* in[in_count] -> out[out_count], every result set each time. Bad input: fault filled, its code returned. */
    lw_code (*apply)(const double *in, double *out, lw_fault *fault);
    /* In place of apply, for a model with a column of a file. */
    lw_code (*apply_beside)(const double *in, const lw_beside *beside, double *out, lw_fault *fault);
} lw_model;

#define LW_COLUMNS(table) (table), sizeof(table) / sizeof((table)[0])

#endif
