/* service/place_known.h: what the maps in the book say of a spot, for what nobody said of the place.
 *
 * Results    the folder of terrain beside the book, where it has the tile of the spot; the stay rule that is usual on the land of its
 *            manager, where a map of managers has the spot clear of a border and the rule has a number. Nothing is no error.
 * Rule       is what is usual, not what holds: its source says by which map, and to ask the office. */
#ifndef LW_SERVICE_PLACE_KNOWN_H
#define LW_SERVICE_PLACE_KNOWN_H

#include "book/book.h"
#include "exchange/scenario.h"

void lw_place_known_find(lw_book *book, lw_spot spot, lw_place_known *known);

#endif
