/* httpd/answer.h: the bytes of one answer, shared by all who wait for them, as they are and packed (RFC 1952, gzip).
 *
 * lw_answer_take  takes a reply over; with is_kept a packed form too, where that is smaller.
 * Ownership       counted: each holder gives its share back by lw_answer_drop; any thread may. */
#ifndef LW_HTTPD_ANSWER_H
#define LW_HTTPD_ANSWER_H

#include <stdatomic.h>

#include "service/ask.h"

typedef struct lw_answer {
    atomic_int holders;
    int status;
    const char *type;
    char allow[40];
    char mark[LW_ASK_MARK]; /* of what is kept; empty: it is not */
    char *bytes;
    size_t size;
    unsigned char *packed; /* NULL: not smaller, or not tried */
    size_t packed_size;
} lw_answer;

/* Leaves the reply empty. NULL: no memory. */
lw_answer *lw_answer_take(lw_reply *reply, int is_kept);
lw_answer *lw_answer_hold(lw_answer *answer);
void lw_answer_drop(lw_answer *answer); /* NULL is fine */

#endif
