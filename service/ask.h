/* service/ask.h: request to response without sockets: what the page asks for, whoever carries it (docs/openapi.yaml).
 *
 * Inputs    lw_ask: method, target (path and query as sent), body, who asks, the moment. An open book.
 * Results   lw_reply: status, type and body, always filled, refusals too ("leeway.refusal/1": one sentence). Owned until
 *           lw_reply_clear.
 * Ahead     lw_ask_ahead: after an entry, an undo, a stay begun: the outlook, which learns of it and is kept as the day's forecast.
 * Kept      lw_ask_is_slow: an answer that takes seconds and may be kept. lw_ask_mark names what it hangs on: as long as
 *           the mark of a target is the same, so is the answer.
 * Threads   no state: as many calls at once as there are open books.
 * Limits    the enum. A scenario or a change from another device cannot name files of this machine. */
#ifndef LW_SERVICE_ASK_H
#define LW_SERVICE_ASK_H

#include <stddef.h>
#include <stdint.h>

#include "book/book.h"
#include "service/clock.h"

enum {
    LW_ASK_BODY_BYTES = 256 << 10,
    LW_ASK_TARGET_BYTES = 8 << 10,
    LW_ASK_PARAMS = 80,
    LW_ASK_WORDS = 64,
    LW_ASK_DRAWS_MOST = 4000, /* of one answer: a guest must not keep the machine busy for minutes */
    LW_ASK_FIELD_BYTES = 256,
    LW_ASK_MARK = 96,
};

typedef struct lw_ask {
    const char *method, *target;
    const char *body; /* size bytes, and a 0 behind them; NULL: none */
    size_t size;
    const char *device; /* the name it was paired by; NULL: on this machine */
    int64_t now_s;
    lw_machine_clock machine; /* these two by lw_ask_look_at_clock; zeros: now_s is right */
    lw_clock_view clock;
    const char *version;
    int (*is_over)(void *with); /* asked now and then in a long answer: nobody waits for it any more; NULL: never */
    void (*tell)(void *with, int done, int of); /* how far a long answer is; NULL: nobody looks */
    int (*is_enough)(void *with);               /* somebody will do with the best that is found so far; NULL: never */
    void (*cut_short)(void *with); /* says so to the long answer that is being worked out; NULL: there is none */
    void *with;
    const char *work_target; /* the long answer that is being worked out meanwhile, and how far; NULL: none */
    int work_done, work_of;
    /* A text as a square for a camera: its modules, side * side of 0 and 1, row by row, the caller's (free); NULL: it does
     * not fit. The pointer itself NULL: nobody can draw one. */
    unsigned char *(*square)(const char *text, int *side);
} lw_ask;

typedef struct lw_reply {
    int status;
    const char *type; /* of the body; borrowed for ever */
    char allow[40];   /* methods, with status 405 */
    char *body;       /* owned */
    size_t size;
} lw_reply;

/* now_s by this clock and what was said of it. Where it is doubted, now_s is that of the newest entry, nothing is planned, and
 * the first device that says its own time sets it (POST /api/1/clock, or an entry with `sent`). */
LW_MUST_USE lw_code lw_ask_look_at_clock(lw_book *book, const lw_machine_clock *machine, lw_ask *ask, lw_err *err);
void lw_ask_answer(lw_book *book, const lw_ask *ask, lw_reply *reply);
void lw_reply_refuse(lw_reply *reply, int status, const char *says); /* body NULL where there is no memory */
void lw_reply_refuse_err(lw_reply *reply, int status, const lw_err *err);
void lw_reply_clear(lw_reply *reply); /* twice is fine, and so are zeros */

/* For a browser without scripts (paths under /plain): a sentence as a page; and what lets a device in, with what went wrong before (NULL: nothing).
 * Status 200: it is let in. */
int lw_ask_is_plain(const char *target);
void lw_plain_refuse(lw_reply *reply, int status, const char *says);
void lw_plain_pairing(lw_reply *reply, int status, const char *says);

/* A field of a form's body (key=value&key=value, percent-encoded), cut to n; empty: there is none. */
void lw_ask_form_field(const char *body, size_t size, const char *key, char *buf, size_t n);

/* What everybody will ask for once this was answered well, NULL-ended; NULL: nothing new. Worked out ahead, it is there at once. */
const char *const *lw_ask_ahead(const lw_ask *ask);
int lw_ask_is_slow(const lw_ask *ask);
LW_MUST_USE lw_code lw_ask_mark(lw_book *book, const lw_ask *ask, char mark[LW_ASK_MARK], lw_err *err);

#endif
