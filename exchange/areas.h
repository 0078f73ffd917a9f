/* exchange/areas.h: areas of a land manager, from maps with open fields.
 *
 * Reads     GeoJSON features (exchange/features.h) that are Polygons or MultiPolygons, or collections with some, and rows of a map database as its reader hands
 *           them over: fields as text, the geometry as well-known binary. What a field says is in data/land_fields.csv, which
 *           manager a value means in data/land_managers.csv.
 * Results   row after row to `take`: manager is an id of data/land_managers.csv or "" where the words are not known, said those
 *           words; key the map's own number, or the row's. Borders are thinned by up to LW_BORDER_M (exchange/rings.h).
 * Errors    those of exchange/features.h, exchange/wkb.h and `take`. */
#ifndef LW_EXCHANGE_AREAS_H
#define LW_EXCHANGE_AREAS_H

#include "core/land/shape.h"
#include "exchange/csv.h"

enum { LW_AREA_TEXT = 128, LW_MANAGER_ID = 16 };

typedef struct lw_area_row {
    char key[LW_AREA_TEXT], name[LW_AREA_TEXT], said[LW_AREA_TEXT], access[LW_AREA_TEXT], designation[LW_AREA_TEXT];
    char manager[LW_MANAGER_ID];
    lw_shape shape; /* borrowed until the next row */
} lw_area_row;

typedef struct lw_areas_read {
    long taken, passed_over; /* passed over: no area */
    long unknown;            /* of the taken: a manager that the table does not know */
    int is_openstreetmap;    /* rows carry ids of it: its credit is due */
} lw_areas_read;

typedef lw_code lw_area_fn(void *context, const lw_area_row *row, lw_err *err);

typedef struct lw_areas lw_areas;

LW_MUST_USE lw_code lw_areas_open(lw_area_fn *take, void *context, lw_areas_read *out, lw_areas **areas, lw_err *err);
LW_MUST_USE lw_code lw_areas_geojson(lw_areas *areas, lw_read_fn *read, void *source, lw_err *err);
void lw_areas_close(lw_areas *areas); /* NULL is fine */

/* One row of a map database: its fields one by one, then its geometry. */
void lw_areas_field(lw_areas *areas, const char *field, const char *text);
LW_MUST_USE lw_code lw_areas_wkb(lw_areas *areas, const unsigned char *bytes, size_t n, lw_err *err);

/* Whether a field of this name tells who manages land: such a map is one of land. */
int lw_areas_knows_manager(const lw_areas *areas, const char *field);

#endif
