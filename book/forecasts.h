/* book/forecasts.h: outlooks that were given, with all that repeats them, so that they can be scored when the stay is over.
 *
 * Keep      once; an id that is there already changes nothing. At most LW_FORECASTS_OF_STAY of one stay: beyond that the one
 *           goes that lies closest between its neighbours, never the first or the last. At most LW_FORECASTS_KEPT in all: the
 *           oldest goes.
 * Errors    as book/book.h. */
#ifndef LW_BOOK_FORECASTS_H
#define LW_BOOK_FORECASTS_H

#include <stddef.h>
#include <stdint.h>

#include "book/book.h"
#include "book/id.h"
#include "core/base/err.h"

enum { LW_FORECASTS_OF_STAY = 32, LW_FORECASTS_KEPT = 512 };

typedef struct lw_kept_forecast {
    lw_id id; /* none: made */
    int64_t made_s;
    int64_t stay;                /* 0: of no stay */
    const char *program_version; /* of Leeway */
    const char *table_hash;      /* of data/ */
    uint64_t seed;
    int64_t draws;
    const char *input;  /* the scenario, as YAML */
    const char *result; /* the answer, as JSON */
} lw_kept_forecast;

typedef struct lw_kept_forecasts {
    lw_kept_forecast *forecast;
    size_t count;
    struct lw_texts *texts;
} lw_kept_forecasts;

void lw_kept_forecasts_clear(lw_kept_forecasts *forecasts);

LW_MUST_USE lw_code lw_book_keep_forecast(lw_book *book, lw_kept_forecast *forecast, lw_err *err);

/* In the order they were made. stay 0: of any. */
LW_MUST_USE lw_code lw_book_list_forecasts(lw_book *book, int64_t stay, lw_kept_forecasts *forecasts, lw_err *err);

/* The last that was made of a stay up to now_s (--now may have been further on), with id, made_s and draws alone; *is_there 0: none. */
LW_MUST_USE lw_code lw_book_newest_forecast(lw_book *book, int64_t stay, int64_t now_s, lw_kept_forecast *forecast,
                                            int *is_there, lw_err *err);
/* Takes one away, so that a better one of the same day stands in its place; one that is not there is no failure. */
LW_MUST_USE lw_code lw_book_drop_forecast(lw_book *book, const lw_id *id, lw_err *err);

#endif
