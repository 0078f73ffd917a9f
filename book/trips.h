/* book/trips.h: trips kept by name; and, as a cache, how long a load lasts at places and dates.
 *
 * Keep      a trip of the same name is replaced. What camp, input and result say is the caller's business: each is a text. At most
 *           LW_TRIPS_KEPT.
 * Cache     rows by key, each of the same number of floats. `form` names what made them: rows of another form go with the next that are
 *           kept, and of all no more than LW_LASTING_KEPT stay, the newest. It may be lost at any time: an export leaves it out.
 * Errors    as book/book.h; LW_E_FULL for one trip too many. */
#ifndef LW_BOOK_TRIPS_H
#define LW_BOOK_TRIPS_H

#include <stddef.h>
#include <stdint.h>

#include "book/book.h"

enum { LW_TRIPS_KEPT = 64, LW_LASTING_KEPT = 6000 };

typedef struct lw_kept_trip {
    const char *name;
    int64_t made_s;
    const char *camp, *input, *result;
} lw_kept_trip;

typedef struct lw_kept_trips {
    lw_kept_trip *trip;
    size_t count;
    struct lw_texts *texts;
} lw_kept_trips;

void lw_kept_trips_clear(lw_kept_trips *trips); /* twice is fine, and so are zeros */

LW_MUST_USE lw_code lw_book_keep_trip(lw_book *book, const lw_kept_trip *trip, lw_err *err);
/* By name; NULL: all, the newest first. One that is not there is no failure. */
LW_MUST_USE lw_code lw_book_list_trips(lw_book *book, const char *name, lw_kept_trips *trips, lw_err *err);
/* One that is not there is no failure. */
LW_MUST_USE lw_code lw_book_drop_trip(lw_book *book, const char *name, lw_err *err);

typedef struct lw_lasting {
    int64_t form;
    const uint64_t *key; /* count of them */
    size_t count, each;  /* floats of a row */
    float *nights;       /* [row * each] */
    char *is_there;      /* of each row */
} lw_lasting;

/* Fills rows that are kept, with as many floats as asked for, and says which. */
LW_MUST_USE lw_code lw_book_lasting(lw_book *book, lw_lasting *rows, lw_err *err);
/* Keeps those that were not there. */
LW_MUST_USE lw_code lw_book_keep_lasting(lw_book *book, const lw_lasting *rows, lw_err *err);

#endif
