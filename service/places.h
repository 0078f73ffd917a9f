/* service/places.h: places and services of map files, into the book and out of it.
 *
 * Import    lw_places_import: a file (exchange/spots.h) into the book under the name of its source, all or nothing; the same source
 *           again updates. Rows of OpenStreetMap bring its credit with them where none is given.
 * Says      of a row what it is good for, and what is known of it, in a line; JSON as docs/places.schema.json.
 * Errors    those of exchange/spots.h and book/spots.h. */
#ifndef LW_SERVICE_PLACES_H
#define LW_SERVICE_PLACES_H

#include "book/spots.h"
#include "core/base/units.h"
#include "core/land/distance.h"
#include "exchange/spots.h"

enum { LW_PLACE_LINE = 1024, LW_PLACE_KINDS = 160 };

typedef struct lw_places_import_ask {
    const char *path, *source; /* source NULL: the file's own name */
    const char *credit;        /* NULL: none is said */
    int64_t now_s;
    const lw_watch *watch; /* NULL: nobody waits */
} lw_places_import_ask;

typedef struct lw_places_imported {
    lw_spots_imported book;
    lw_spots_read read;
} lw_places_imported;

LW_MUST_USE lw_code lw_places_import(lw_book *book, const lw_places_import_ask *ask, lw_places_imported *done,
                                     lw_err *err);

char *lw_place_kinds_say(unsigned kinds, char buf[LW_PLACE_KINDS]);    /* "dump, water" */
char *lw_place_say(const lw_kept_spot *spot, char buf[LW_PLACE_LINE]); /* name, what is known; without the way */
const char *lw_place_toward(lw_spot from, const lw_kept_spot *spot);   /* "NE" */

/* from NULL: no way was asked. The caller's text (free), NULL: no memory. */
char *lw_places_json(const lw_kept_spots *spots, const lw_spot *from, const char *version);

#endif
