/* exchange/spots.h: places and services from map files: OpenStreetMap, GeoJSON, KML, GPX, CSV.
 *
 * Reads     OpenStreetMap as XML and as PBF (zlib). GeoJSON (RFC 7946): a FeatureCollection of points and polygons. KML 2.2 (also as KMZ):
 *           placemarks that are points or polygons. GPX 1.1: waypoints. CSV: columns lat and lon (or latitude, longitude,
 *           latitude_deg, longitude_deg), name, kind, and any others. Plain or gzipped; which of them it is shows at the
 *           first bytes. An area stands for the middle of the box around it, a collection for
 *           its first point; lines are passed over.
 * Kinds     from a property `kind` or `kinds` in our words (core/land/spot_kind.h; several by ; or ,), or from the tags that
 *           OpenStreetMap uses (amenity=sanitary_dump_station and so on). What is closed (disused) is not taken. A point
 *           without either that has a name is a place, but not in OpenStreetMap's own forms, where all the world has a name;
 *           one without a name is passed over.
 * Results   row after row to `take`; detail: the tags that tell of access, fee, hours, season and the like, "fee=yes; access=...".
 *           key: the file's own id where it has one, else name and position: the same row of a later file is the same.
 * Errors    LW_E_SYNTAX, LW_E_MISSING, LW_E_FULL, LW_E_RANGE: one sentence with file and, where it is known, line. What was taken
 *           before it is the caller's to throw away. Entities in XML are refused.
 * Memory    OpenStreetMap's forms are gone through several times (exchange/osm_internal.h): 16 bytes a corner of the areas that are
 *           places; the others as they come, GeoJSON whole.
 * Source    RFC 7946; GPX 1.1 schema; OGC KML 2.2; tags and both forms: OpenStreetMap wiki, as gathered in the project's notes. */
#ifndef LW_EXCHANGE_SPOTS_H
#define LW_EXCHANGE_SPOTS_H

#include <stdint.h>

#include "core/land/distance.h"
#include "core/land/spot_kind.h"
#include "exchange/road_lines.h"
#include "exchange/watched.h"

enum { LW_SPOT_KEY = 128, LW_SPOT_NAME = 128, LW_SPOT_DETAIL = 512 };

typedef struct lw_spot_row {
    char key[LW_SPOT_KEY], name[LW_SPOT_NAME], detail[LW_SPOT_DETAIL];
    unsigned kinds; /* bits 1u << lw_spot_kind */
    lw_fit fit;
    lw_spot spot;
} lw_spot_row;

#define LW_SPOTS_NO_DATE INT64_MIN

typedef struct lw_spots_read {
    long taken, passed_over;
    long without_corners; /* areas of which the file has no corner: they are left out */
    int is_openstreetmap; /* rows carry ids of it: its credit is due */
    int64_t data_s;       /* when the data is of, as the file says; LW_SPOTS_NO_DATE */
} lw_spots_read;

typedef lw_code lw_spot_fn(void *context, const lw_spot_row *row, lw_err *err);

/* To the beginning of what is read; other than 0: it cannot be read again. */
typedef int lw_again_fn(void *source);

/* again NULL: OpenStreetMap's forms are refused. */
LW_MUST_USE lw_code lw_spots_read_from(lw_read_fn *read, lw_again_fn *again, void *source, lw_spot_fn *take,
                                       void *context, lw_spots_read *out, lw_err *err);
/* Roads of OpenStreetMap's forms as well, or, with `take` NULL, alone; roads are in no other form of these. */
typedef struct lw_spots_takers {
    lw_spot_fn *take;
    void *context;
    lw_road_lines *roads; /* NULL: only places */
} lw_spots_takers;
LW_MUST_USE lw_code lw_spots_read_both(lw_read_fn *read, lw_again_fn *again, void *source, const lw_spots_takers *to,
                                       lw_spots_read *out, lw_err *err);
LW_MUST_USE lw_code lw_spots_load(const char *path, const lw_watch *watch, lw_spot_fn *take, void *context,
                                  lw_spots_read *out, lw_err *err);

const char *lw_spot_kind_word(lw_spot_kind kind);
/* "dump,water" to bits; 0: one of the words is none. */
unsigned lw_spot_kinds_of(const char *words);

#endif
