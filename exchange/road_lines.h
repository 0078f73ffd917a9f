/* exchange/road_lines.h: roads of maps with open fields: lines, and what their fields tell (core/land/road.h).
 *
 * Reads     GeoJSON features (exchange/features.h) that are LineStrings or MultiLineStrings, rows of a map database as its reader hands them
 *           over: fields as text, the geometry as well-known binary, and ways of OpenStreetMap (exchange/spots.h). What a field says is in
 *           data/road_fields.csv.
 * Results   row after row to `take`; what no field says is unknown, NaN or "". A line without a class is a minor road, but not in
 *           OpenStreetMap's forms, where it is no road. Lines are thinned by up to LW_LINE_M (exchange/rings.h). A street is taken only where
 *           its map says that it is not paved or what it needs: towns are made of the others.
 * Errors    those of exchange/features.h, exchange/wkb.h and `take`. */
#ifndef LW_EXCHANGE_ROAD_LINES_H
#define LW_EXCHANGE_ROAD_LINES_H

#include <stdint.h>

#include "core/land/road.h"
#include "core/land/shape.h"
#include "core/land/spot_kind.h"
#include "exchange/csv.h"
#include "exchange/rings.h"

enum { LW_ROAD_TEXT = 128, LW_ROAD_DETAIL = 256 };

typedef struct lw_road_row {
    char key[LW_ROAD_TEXT], name[LW_ROAD_TEXT], surface[LW_ROAD_TEXT], season[LW_ROAD_TEXT], access[LW_ROAD_TEXT];
    char detail[LW_ROAD_DETAIL]; /* "maxheight=3.2; ford=yes" */
    lw_road_class class;
    lw_paved paved;
    lw_road_needs needs;
    double grade_frac; /* the steepest that is told, up or down; NaN */
    lw_fit dry_only;
    lw_shape shape; /* open lines; borrowed until the next row */
} lw_road_row;

typedef struct lw_road_lines_read {
    long taken, passed_over; /* passed over: no line, no class, a street of which nothing is told */
    long left_out; /* for which there was no room (LW_ROAD_CORNERS): the last classes of core/land/road.h go first */
    int is_openstreetmap;
} lw_road_lines_read;

typedef lw_code lw_road_fn(void *context, const lw_road_row *row, lw_err *err);

typedef struct lw_road_lines lw_road_lines;

LW_MUST_USE lw_code lw_road_lines_open(lw_road_fn *take, void *context, lw_road_lines_read *out, lw_road_lines **roads,
                                       lw_err *err);
LW_MUST_USE lw_code lw_road_lines_geojson(lw_road_lines *roads, lw_read_fn *read, void *source, lw_err *err);
void lw_road_lines_close(lw_road_lines *roads); /* NULL is fine */

/* One row: its fields one by one, then its geometry. */
void lw_road_lines_field(lw_road_lines *roads, const char *field, const char *text);
LW_MUST_USE lw_code lw_road_lines_wkb(lw_road_lines *roads, const unsigned char *bytes, size_t n, lw_err *err);

/* Whether a field of this name tells of roads and of nothing else. */
int lw_road_lines_knows(const lw_road_lines *roads, const char *field);

/* For a reader that hands over corners itself: what its fields have made of the row so far, whether it is one to take, the lines (corner by
 * corner, lw_rings_end_line behind each), then the row's end. */
void lw_road_lines_begin_row(lw_road_lines *roads);
const lw_road_row *lw_road_lines_draft(const lw_road_lines *roads);
int lw_road_lines_is_taken(const lw_road_lines *roads);
lw_rings *lw_road_lines_rings(lw_road_lines *roads);
LW_MUST_USE lw_code lw_road_lines_end_row(lw_road_lines *roads, int is_taken, lw_err *err);
void lw_road_lines_needs_class(lw_road_lines *roads); /* OpenStreetMap's own forms */
void lw_road_lines_leave_out(lw_road_lines *roads, long left_out);

#endif
