/* service/signal_kept.h: the predicted chance of a work day at many spots, for the lines of the last stay, kept in the book.
 *
 * Results   frac, one a spot: what lw_signal_predict (service/signal.h) says for a phone 1.5 m up and 5 Mbit down, 1 up, by the book's masts and
 *           published coverage over the terrain that the last stay names or that lies beside the book; NaN: nothing is known. What
 *           was reckoned before with the same lines, maps and tiles is taken from the book. Own readings are not in it.
 *           While it works, what is through is kept every LW_SIGNAL_KEEP_EVERY spots: whoever stops it, or ends the program, does not lose it.
 * Progress  `tell`, unless NULL, hears of the spots that have to be reckoned, and gives 0 to stop: LW_E_CONFLICT, and what is through is kept.
 * Errors    those of the book. A book without a stay, or without masts and coverage, gives NaN. */
#ifndef LW_SERVICE_SIGNAL_KEPT_H
#define LW_SERVICE_SIGNAL_KEPT_H

#include "book/book.h"
#include "core/land/distance.h"

enum { LW_SIGNAL_KEEP_EVERY = 256 };

typedef struct lw_signal_spots {
    const lw_spot *spot;
    int count;
    int (*tell)(void *with, int done, int of);
    void *with;
} lw_signal_spots;

LW_MUST_USE lw_code lw_signal_kept(lw_book *book, int64_t now_s, const lw_signal_spots *spots, double *frac,
                                   lw_err *err);

#endif
