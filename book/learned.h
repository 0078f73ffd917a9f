/* book/learned.h: what was learned of a stay, kept so that it is not found again at every question.
 *
 * Keep      one at a time: another stay's goes. What it says is the caller's business; `key` names all that it was learned
 *           from, and it is of no use where that is another now.
 * Cache     it may be lost at any time: an export leaves it out, and nothing else in the book refers to it.
 * Errors    as book/book.h; LW_E_FULL for more than LW_LEARNED_BYTES. */
#ifndef LW_BOOK_LEARNED_H
#define LW_BOOK_LEARNED_H

#include <stddef.h>
#include <stdint.h>

#include "book/book.h"
#include "core/base/err.h"

enum { LW_LEARNED_BYTES = 8 << 20 };

typedef struct lw_kept_learned {
    int64_t stay;
    uint64_t key;
    int64_t moment_s;     /* of the state that was learned */
    unsigned char *bytes; /* owned where the book gave it */
    size_t count;
} lw_kept_learned;

void lw_kept_learned_clear(lw_kept_learned *learned); /* twice is fine, and so are zeros */

LW_MUST_USE lw_code lw_book_keep_learned(lw_book *book, const lw_kept_learned *learned, lw_err *err);

/* *is_there 0: nothing is kept of this stay, *learned is zeros. */
LW_MUST_USE lw_code lw_book_learned(lw_book *book, int64_t stay, lw_kept_learned *learned, int *is_there, lw_err *err);

#endif
