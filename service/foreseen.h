/* service/foreseen.h: what was foreseen of the days of a stay that are over, from the forecasts that the book kept.
 *
 * Computes   each forecast of the stay counts from its start until the next one begins: its band (P10, P50, P90) of every supply's level as
 *            a share of what it holds, every LW_FORECAST_MARK_H hours and at both ends of its time.
 * Inputs     an open book, a stay, the span of time.
 * Results    lw_foreseen: points by time; two at one moment where a forecast takes over from another. NaN: not looked at. Allocated by the
 *            caller; nothing owned.
 * Errors     those of book/book.h. A forecast of a form that this version cannot read is passed over.
 * Limits     LW_FORESEEN_POINTS, the newest; a forecast reaches a fortnight. */
#ifndef LW_SERVICE_FORESEEN_H
#define LW_SERVICE_FORESEEN_H

#include "book/book.h"
#include "service/forecast.h"

enum { LW_FORESEEN_POINTS = 400 };

typedef struct lw_foreseen {
    int count;
    int64_t at_s[LW_FORESEEN_POINTS];
    float level[LW_FORESEEN_POINTS][LW_SUPPLY_COUNT][LW_QUANTILES];
} lw_foreseen;

LW_MUST_USE lw_code lw_foreseen_make(lw_book *book, int64_t stay, int64_t from_s, int64_t to_s, lw_foreseen *foreseen,
                                     lw_err *err);
/* "leeway.foreseen/1"; the caller's (free), NULL: no memory. */
char *lw_foreseen_json(const lw_foreseen *foreseen);

#endif
