/* book/map_database.h: rows with geometry of a GeoPackage, which is a database as the book is; read only, and held for a stranger's.
 *
 * Reads     the feature tables named in gpkg_contents and gpkg_geometry_columns, row by row: each field as text, then the geometry
 *           as it stands. Longitude and latitude of WGS 84 only (reference systems 4326, and 4269, which is within 2 m of it).
 * Errors    LW_E_SYNTAX no GeoPackage, damaged; LW_E_UNIT another reference system, to be turned first; LW_E_MISSING no table of
 *           features; LW_E_FULL it asks for more work than it has rows; those of the callbacks. One sentence with the path.
 * Source    OGC 12-128r15, GeoPackage 1.2, clauses 1.1 and 2.1. */
#ifndef LW_BOOK_MAP_DATABASE_H
#define LW_BOOK_MAP_DATABASE_H

#include <stddef.h>

#include "core/base/err.h"

typedef struct lw_map_rows {
    void (*field)(void *context, const char *name, const char *text);
    lw_code (*geometry)(void *context, const unsigned char *blob, size_t n, lw_err *err); /* ends the row */
    void (*tell)(void *context, double share); /* of the rows; NULL: nobody waits */
    void *context;
} lw_map_rows;

LW_MUST_USE lw_code lw_map_database_read(const char *path, const lw_map_rows *rows, lw_err *err);

/* The names of its fields, so that it shows what kind of map it is; LW_E_UNIT after all of them. */
LW_MUST_USE lw_code lw_map_database_fields(const char *path, void (*field)(void *context, const char *name),
                                           void *context, lw_err *err);

#endif
