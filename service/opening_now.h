/* service/opening_now.h: whether a service of a map file is open now, by the hours that its row keeps.
 *
 * Says      "open until 17:00", "closed until Monday 8:00", "open", by the clock of a zone; "" where the row has no hours or they are not
 *           understood (exchange/opening.h): then they are shown as they are written, and nothing is said of now.
 * Zone      lw_zone_here: of the place where the book is, else of this machine.
 * Limits    public holidays are not known: the caution is the caller's. */
#ifndef LW_SERVICE_OPENING_NOW_H
#define LW_SERVICE_OPENING_NOW_H

#include <stddef.h>

#include "book/book.h"
#include "core/base/civil.h"

enum { LW_OPENING_SAID = 64 };

/* Gives buf. detail may be NULL. */
char *lw_opening_now_say(const char *detail, const lw_zone *zone, int64_t now_s, char buf[LW_OPENING_SAID]);

/* Around the moment; name NULL or empty: as above. */
LW_MUST_USE lw_code lw_zone_here(lw_book *book, const char *name, int64_t now_s, lw_zone *zone, lw_err *err);

#endif
