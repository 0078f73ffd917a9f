/* service/rank_land.h: how long the stay rules leave at many places, over all stays of the book, as the ledger and an outlook have it.
 *
 * Rule       the place's own, else what is usual on land of its manager by the maps of the book (service/place_known.h), else none. Stays
 *            that by the maps were on somebody else's land do not count (service/stays.h).
 * Opens      for some of the places; the present stay is taken to go on until first_day. lw_rank_land_left may be called by many threads.
 * Errors     those of the book. */
#ifndef LW_SERVICE_RANK_LAND_H
#define LW_SERVICE_RANK_LAND_H

#include "book/book.h"
#include "core/land/ledger.h"
#include "service/camps.h"

typedef struct lw_rank_lands lw_rank_lands;

typedef enum lw_rule_by { LW_RULE_NONE = 0, LW_RULE_YOURS, LW_RULE_MAP } lw_rule_by;

/* camps: kept, not owned; camp: count numbers of them. */
LW_MUST_USE lw_code lw_rank_lands_open(lw_book *book, int64_t now_s, int64_t first_day, const lw_camps *camps,
                                       const int *camp, int count, lw_rank_lands **lands, lw_err *err);
/* of: which of the count. The result is set where there is a rule. */
lw_rule_by lw_rank_lands_left(const lw_rank_lands *lands, int of, lw_ledger_left *left);
void lw_rank_lands_close(lw_rank_lands *lands); /* NULL is fine */

#endif
