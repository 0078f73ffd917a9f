/* cli/kept.h: which book a command is about, and what time it is: what begin, log, history, learn and the outlook share.
 *
 * Time   --now, or this machine's clock with what people said of it (service/clock.h). Where it is doubted, opening the book is
 *        refused with the sentence that asks for the time, but for commands that set keeps_doubt: log and checklist, which mark what
 *        they keep, and history. */
#ifndef LW_CLI_KEPT_H
#define LW_CLI_KEPT_H

#include <stdint.h>

#include "book/book.h"
#include "service/clock.h"

typedef struct lw_kept_order {
    const char *book; /* as it was asked for; NULL: the user's own */
    char path[LW_BOOK_PATH_BYTES];
    int64_t now_s;   /* 0: the clock's */
    int64_t here_s;  /* which stay goes on: now, but for a doubted clock, which has the newest entry's */
    int keeps_doubt; /* asked: a doubted clock is no reason to refuse */
    int is_doubted;
    char ask[224];   /* the sentence */
    char device[32]; /* under which entries are kept */
    lw_machine_clock machine;
    lw_clock_view view;
} lw_kept_order;

#define LW_KEPT_DEVICE LW_CLOCK_TERMINAL

#define LW_KEPT_BOOK_OPTION                                                                                            \
    {                                                                                                                  \
        "book", 'b', "FILE", 0, "the book; without it leeway/book.sqlite in the data folder of this user"              \
    }
#define LW_KEPT_NOW_OPTION                                                                                             \
    {                                                                                                                  \
        "now", 0, "TIME", 0, "take this for the time it is, such as 2026-06-18T13:30Z: to try things out"              \
    }

LW_MUST_USE lw_code lw_kept_now(const char *value, lw_kept_order *order, lw_err *err); /* --now */

/* Fills path, device and the time where they are not said. */
LW_MUST_USE lw_code lw_kept_open_order(lw_kept_order *order, lw_err *err);

/* Of an order that is filled. Where there is no book yet it says how to begin one. */
/* takes_file: the command has a FILE of its own to name instead. */
LW_MUST_USE lw_code lw_kept_open_for(const lw_kept_order *order, int takes_file, lw_book **book, lw_err *err);
LW_MUST_USE lw_code lw_kept_open(const lw_kept_order *order, lw_book_mode mode, lw_book **book, lw_err *err);

#endif
