/* exchange/watched.h: a file that tells how far it has been read, to whoever waits. */
#ifndef LW_EXCHANGE_WATCHED_H
#define LW_EXCHANGE_WATCHED_H

#include <stdio.h>

#include "exchange/csv.h"

/* Called often: how often the file was gone through before, and what share of it has gone by, NaN where its size is not known. */
typedef struct lw_watch {
    void (*tell)(void *with, int rounds, double share);
    void *with;
} lw_watch;

typedef struct lw_watched {
    FILE *file;
    const lw_watch *watch; /* NULL: nobody waits */
    double bytes, size;
    int rounds;
} lw_watched;

LW_MUST_USE lw_code lw_watched_open(lw_watched *watched, const char *path, const lw_watch *watch, lw_err *err);
long lw_watched_read(void *watched, char *buf, size_t n); /* a lw_read_fn */
int lw_watched_again(void *watched);                      /* to the beginning; other than 0: it cannot be read again */
void lw_watched_close(lw_watched *watched);

#endif
