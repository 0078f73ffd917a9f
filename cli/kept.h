/* cli/kept.h: which book a command is about, and what time it is: what begin, log and history share. */
#ifndef LW_CLI_KEPT_H
#define LW_CLI_KEPT_H

#include <stdint.h>

#include "book/book.h"

typedef struct lw_kept_order {
    const char *book; /* as it was asked for; NULL: the user's own */
    char path[LW_BOOK_PATH_BYTES];
    int64_t now_s; /* 0: the clock's */
} lw_kept_order;

LW_MUST_USE lw_code lw_kept_now(const char *value, lw_kept_order *order, lw_err *err); /* --now */

/* Fills path and now_s where they are not said. */
LW_MUST_USE lw_code lw_kept_open_order(lw_kept_order *order, lw_err *err);

#endif
