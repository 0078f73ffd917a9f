/* service/road_near.h: the road that leads to a spot, by the maps in the book (book/road_map.h), and what it says of itself.
 *
 * Results   the nearest road within LW_ROAD_NEAR_M; is_known 0: none is so near, which tells nothing where no roads were imported. line:
 *           "track: gravel; high clearance; up to 12 %; dry weather only; 120 m off". What a map does not say is left out: it is not good
 *           news. Maps of roads do not tell whether a road may be driven, nor what it is like today.
 * Errors    those of book/road_map.h. */
#ifndef LW_SERVICE_ROAD_NEAR_H
#define LW_SERVICE_ROAD_NEAR_H

#include "book/road_map.h"
#include "core/base/units.h"
#include "service/json.h"

/* Camps lie off their road; in 300 m it is seldom another's (ours). */
#define LW_ROAD_NEAR_M 300.0
#define LW_ROAD_AT_M   30.0 /* nearer, it is said to be at it: lines are kept to 10 m, positions to as much */
enum { LW_ROAD_LINE = 1024, LW_ROAD_WORDS = 512 };

/* What it is like: "track: gravel; high clearance", without name and way. */
char *lw_road_like(const lw_kept_road *road, char buf[LW_ROAD_WORDS]);

typedef struct lw_road_near {
    int is_known;
    lw_kept_roads roads; /* one */
} lw_road_near;

LW_MUST_USE lw_code lw_road_near_of(lw_book *book, lw_spot spot, lw_road_near *near, lw_err *err);
char *lw_road_near_say(const lw_road_near *near, lw_unit_system units, char buf[LW_ROAD_LINE]); /* "": none is known */
json_t *lw_road_near_json(lw_json *j, const lw_road_near *near); /* null: none is known */
void lw_road_near_clear(lw_road_near *near);                     /* twice is fine, and so are zeros */

/* Words of the classes and of what a road needs; NULL: not known. */
const char *lw_road_class_word(lw_road_class class);
const char *lw_road_needs_word(lw_road_needs needs);

#endif
