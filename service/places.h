/* service/places.h: places and services that map files brought into the book (service/map_import.h).
 *
 * Says      of a row what it is good for, and what is known of it, in a line; JSON as docs/places.schema.json.
 * Errors    none but of memory. */
#ifndef LW_SERVICE_PLACES_H
#define LW_SERVICE_PLACES_H

#include "book/spots.h"
#include "core/base/units.h"
#include "core/land/distance.h"
#include "core/base/civil.h"
#include "exchange/spots.h"
#include "service/road_near.h"

enum { LW_PLACE_LINE = 1024, LW_PLACE_KINDS = 160 };

char *lw_place_kinds_say(unsigned kinds, char buf[LW_PLACE_KINDS]); /* "dump, water" */
/* Name, whether it is open now ("": not said), what is known; without the way. */
char *lw_place_say(const lw_kept_spot *spot, const char *open, char buf[LW_PLACE_LINE]);
/* "From nevada.osm.pbf (data of 2026-05-04): (c) ..."; the day of the import where the data's own is not known. credit may be NULL. */
enum { LW_CREDIT_LINE = 1024 };
char *lw_credit_say(const char *source, const char *credit, int64_t imported_s, int64_t data_s,
                    char buf[LW_CREDIT_LINE]);
const char *lw_place_toward(lw_spot from, const lw_kept_spot *spot); /* "NE" */
enum { LW_PLACE_WAY = 32 };
char *lw_place_way_say(lw_spot from, const lw_kept_spot *spot, lw_unit_system units,
                       char buf[LW_PLACE_WAY]); /* "2.1 mi NE", "here" */

/* What other maps say of a spot. */
typedef struct lw_place_more {
    lw_road_near road;
    double signal_frac; /* predicted chance of a work day (service/signal_kept.h); NaN */
} lw_place_more;
/* One a spot, the caller's (lw_place_more_free). */
LW_MUST_USE lw_code lw_place_more_of(lw_book *book, const lw_kept_spots *spots, int64_t now_s, lw_place_more **more,
                                     lw_err *err);
void lw_place_more_free(lw_place_more *more, size_t count); /* NULL is fine */

/* from NULL: no way was asked; more: one a spot. Whether it is open: at that moment by the clock of the zone. The caller's text (free), NULL: no memory. */
char *lw_places_json(const lw_kept_spots *spots, const lw_place_more *more, const lw_spot *from, const lw_zone *zone,
                     int64_t now_s, const char *version);

#endif
