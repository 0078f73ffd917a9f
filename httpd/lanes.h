/* httpd/lanes.h: the threads that work, so that the one with the sockets never does.
 *
 * Quick     one thread for what takes milliseconds: it looks who asks, writes into the book, and knows of a long answer
 *           whether it is kept already.
 * Slow      one thread for what takes seconds. What several ask for at the same time is worked out once, and what nobody
 *           waits for any more is given up.
 *           A question with a body (POST) is worked out by itself, and its answer not kept.
 * Ahead     what everybody asks for after a change (lw_ask_ahead) is worked out as soon as the change is answered; given up where
 *           another change or another question comes and nobody has asked for it.
 * Kept      up to LW_KEPT_ANSWERS long answers, by target and mark (service/ask.h); the one used longest ago goes first.
 * Idle      both threads sleep until there is a request; nothing ticks.
 * Book      each thread has it open, and opens it anew when another file stands in its place. */
#ifndef LW_HTTPD_LANES_H
#define LW_HTTPD_LANES_H

#include <stdint.h>

#include "httpd/answer.h"
#include "httpd/pairing.h"

enum { LW_KEPT_ANSWERS = 24, LW_KEPT_BYTES = 3 << 20, LW_COOKIE = 160 };

/* One request on its way. What it points to stays until it is done. */
typedef struct lw_job lw_job;
struct lw_job {
    lw_job *next;
    void *owner; /* whoever asked */
    const char *method, *target, *body;
    size_t size;
    int is_here;               /* from this machine */
    char token[LW_TOKEN_TEXT]; /* what a device showed; empty: nothing */
    const char *known_mark;    /* If-None-Match; NULL: none */
    lw_answer *answer;         /* result, this job's share of it; NULL: no memory */
    char cookie[LW_COOKIE];    /* result of pairing: a token to be set; else empty */
    char device[LW_DEVICE_NAME];
    int row;        /* of what is kept, that it is worked out for; -1: none */
    uint64_t ahead; /* of a job without owner, the lanes' own: the change that it is worked out ahead for */
};

typedef struct lw_lanes_order {
    const char *book_path, *version;
    int64_t shift_s; /* of the clock: to try things out */
    int is_lan;
    void (*done)(void *with, lw_job *job);          /* from either thread */
    int (*is_gone)(void *with, const lw_job *job);  /* whoever asked has hung up */
    void (*new_code)(void *with, const char *code); /* the terminal is to show it */
    void *with;
} lw_lanes_order;

typedef struct lw_lanes lw_lanes;

/* order is copied; its texts must last. */
LW_MUST_USE lw_code lw_lanes_open(lw_lanes **lanes, const lw_lanes_order *order, lw_err *err);
void lw_lanes_put(lw_lanes *lanes, lw_job *job);
/* Long work is given up, the rest is answered; then the threads end. Every job has been done afterwards. */
void lw_lanes_close(lw_lanes *lanes);

const char *lw_lanes_code(const lw_lanes *lanes); /* the first one, before any request */

#endif
