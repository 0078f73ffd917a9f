/* exchange/opening.h: opening hours as map files write them, into rules (core/land/opening.h).
 *
 * Reads     the common part of OpenStreetMap's opening_hours: "24/7"; rules with ; or , between them, each of months or days of the year
 *           ("May-Sep", "Apr 15-Oct 31", "Dec 25"), weekdays ("Mo-Fr", "Sa,Su", "PH"), times ("08:00-12:00,13:00-18:00", past
 *           midnight too) and "off", "closed" or "open".
 * Results   is_understood 0 where any of it is anything else: weeks, years, the second Saturday, sunrise, open ends, school holidays, comments,
 *           "unknown": then it is told as it is written, and never taken as open.
 * Errors    none.
 * Source    OpenStreetMap wiki, "Key:opening_hours/specification". */
#ifndef LW_EXCHANGE_OPENING_H
#define LW_EXCHANGE_OPENING_H

#include <stddef.h>

#include "core/land/opening.h"

void lw_opening_read(const char *text, lw_opening *out);

#endif
