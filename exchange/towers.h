/* exchange/towers.h: mobile masts near a point, from a list of cells.
 *
 * Reads     CSV, plain or gzipped, with the columns radio, mcc, net, area, cell, unit, lon, lat, range, samples, changeable,
 *           created, updated, averageSignal: the form in which open crowd-sourced lists are given out. A first line with these
 *           names may be there, in any order; without one they stand in this order.
 * Results   sites: rows of one network, radio and mast become one, at the mean of its cells by their samples, or where the
 *           operator says it is (changeable 0). LTE masts by cell / 256; others by their place, to 0.01 degree. Only
 *           LTE and NR, and only up to reach_m from the point, the nearest LW_TOWERS; `rows` and `skipped` count the rest.
 * Errors    LW_E_SYNTAX a bad number or a missing field, LW_E_MISSING a column, LW_E_FULL; one sentence with file and line.
 * Source    project pages of the open cell lists; eNodeB id = cell / 256: 3GPP TS 36.413 (not seen).
 * Limits    places of crowd-sourced cells are where phones heard them: hundreds of metres to kilometres off the mast. */
#ifndef LW_EXCHANGE_TOWERS_H
#define LW_EXCHANGE_TOWERS_H

#include <stdint.h>

#include "core/land/distance.h"
#include "exchange/csv.h"

enum { LW_TOWERS = 512 };

typedef enum lw_radio_kind { LW_RADIO_LTE = 0, LW_RADIO_NR } lw_radio_kind;

typedef struct lw_tower {
    int mcc, net;
    lw_radio_kind radio;
    int64_t mast; /* number of it in its network */
    int64_t cell; /* of a single row */
    lw_spot spot;
    double way_m;
    double samples;
    int is_exact; /* the operator says where it is */
    int cells;
} lw_tower;

typedef struct lw_towers {
    lw_tower tower[LW_TOWERS];
    int count;
    long rows, skipped; /* of the list; of them other radio or too far */
} lw_towers;

/* Each row of the list as a mast of one cell; NULL: one of another radio. way_m is not set. */
typedef lw_code lw_tower_fn(void *context, const lw_tower *row, lw_err *err);
LW_MUST_USE lw_code lw_towers_each(lw_read_fn *read, void *source, lw_tower_fn *take, void *context, lw_err *err);
/* A row, with its way, goes to its mast, or becomes one. */
void lw_towers_add(lw_towers *towers, lw_spot from, const lw_tower *row);

LW_MUST_USE lw_code lw_towers_read(lw_read_fn *read, void *context, lw_spot at, double reach_m, lw_towers *out,
                                   lw_err *err);
LW_MUST_USE lw_code lw_towers_load(const char *path, lw_spot at, double reach_m, lw_towers *out, lw_err *err);

#endif
