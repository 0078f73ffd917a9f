/* service/map_seen.h: what a map shows of a window: services and camps of map files, whose land it is and its roads, thinned to what can be seen.
 *
 * Asks      a window in degrees (west > east: over the seam at 180), how many pixels wide it is drawn, kinds of spots (0: none).
 * Answers   JSON of docs/map.schema.json. Spots: each by itself up to LW_SEEN_SPOTS, more of them as cells of a grid with their number. Lands: the
 *           largest first, of 3 pixels or more, their borders to half a pixel. Roads: the great ones of a wide window, all of a narrow one.
 *           What does not fit is told as is_more.
 * Errors    LW_E_RANGE a window that is none; those of the book.
 * Limits    those of the enum, so that an answer takes tens of milliseconds whatever the book holds; lands that reach over the seam are
 *           shown on the side on which their map has them. */
#ifndef LW_SERVICE_MAP_SEEN_H
#define LW_SERVICE_MAP_SEEN_H

#include "book/spots.h"

enum {
    LW_SEEN_SPOTS = 300,
    LW_SEEN_SPOTS_READ = 5000,
    LW_SEEN_LANDS = 250,
    LW_SEEN_ROADS = 1500,
    LW_SEEN_ROAD_CORNERS = 20000,
    LW_SEEN_CORNERS = 20000,       /* written */
    LW_SEEN_CORNERS_READ = 400000, /* of borders as the book has them */
    LW_SEEN_GRID = 16,             /* cells a side */
};

typedef struct lw_map_seen_ask {
    lw_map_window window;
    int width_px;
    unsigned kinds;
    int wants_lands, wants_roads;
} lw_map_seen_ask;

/* The caller's text (free). */
LW_MUST_USE lw_code lw_map_seen_json(lw_book *book, const lw_map_seen_ask *ask, const char *version, char **text,
                                     lw_err *err);

#endif
