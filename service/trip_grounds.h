/* service/trip_grounds.h: what a trip counts with that its file does not say.
 *
 * Results   a row for each number that was left out and matters: its key in the file, what it was taken for, in `units`, and where that comes
 *           from. What the camp leaves out is the outlook's to tell. */
#ifndef LW_SERVICE_TRIP_GROUNDS_H
#define LW_SERVICE_TRIP_GROUNDS_H

#include "exchange/scenario.h"
#include "service/trip.h"

int lw_trip_grounds(const lw_trip_planned *planned, lw_unit_system units, lw_assumption to[LW_TRIP_USUAL_COUNT]);

#endif
