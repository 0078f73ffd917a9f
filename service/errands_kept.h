/* service/errands_kept.h: the errands of the book: services around the stay and ways to get there, for service/runs_plan.h.
 *
 * Own       lw_errands_keep takes a file of errands (exchange/errands.h) into the book, whole; what it says goes before all else.
 * Imported  for what no service of one's own gives, the nearest spots of map files (book/spots.h): the way by air
 *           times 1.3 at 50 km/h, hours as the map has them (exchange/opening.h) or, where it has none, 9 to 17 o'clock, fees by
 *           data/prices.csv: guesses, and said to be. Hours that are not understood are named and never relied on. Shops are there for everybody; dumps, taps and rubbish drop-offs only where the map says so: others are named, and
 *           asked first.
 * Ways      where none are kept: a runabout if rubbish may ride in one, and breaking camp.
 * Errors    LW_E_FULL a file of over 4000 letters; LW_E_MISSING neither services nor spots are known; those of the file.
 * Source    1.3 roads over air: common in rural networks, from memory; 50 km/h on back roads, from memory. */
#ifndef LW_SERVICE_ERRANDS_KEPT_H
#define LW_SERVICE_ERRANDS_KEPT_H

#include "book/book.h"
#include "book/spots.h"
#include "exchange/errands.h"
#include "exchange/scenario.h"

LW_MUST_USE lw_code lw_errands_keep(lw_book *book, const char *path, lw_err *err);
/* The same of a text: name is what refusals call it. */
LW_MUST_USE lw_code lw_errands_keep_text(lw_book *book, const char *name, const char *text, lw_err *err);
/* As it was kept, the caller's (free); those of the demo while the book holds that and nothing was kept; NULL: none. */
LW_MUST_USE lw_code lw_errands_kept(lw_book *book, char **text, lw_err *err);
/* A spot of a map file as a service: hours of a weekday are those of each such day of so many weeks. The way is spot->way_m's. */
LW_MUST_USE lw_code lw_errand_of_spot(const lw_kept_spot *spot, int64_t first_day, int weeks,
                                      lw_errand_service *service, lw_err *err);
LW_MUST_USE lw_code lw_errands_of_book(lw_book *book, const lw_loaded *camp, lw_errands *errands, lw_err *err);

#endif
