#include "cli/waiting.h"

#include <stdio.h>
#include <unistd.h>

void lw_waiting_begin(lw_waiting *w)
{
    *w = (lw_waiting){.is_on_screen = isatty(STDERR_FILENO)};
    clock_gettime(CLOCK_MONOTONIC, &w->began);
}

void lw_waiting_tell(void *waiting, int done, int of)
{
    lw_waiting *w = waiting;
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    if (!w->is_on_screen || now.tv_sec - w->began.tv_sec < 1)
        return;
    fprintf(stderr, "\r%3d %%", of > 0 ? (int)(100LL * done / of) : 0);
    w->is_told = 1;
}

void lw_waiting_end(lw_waiting *w)
{
    if (w->is_told)
        fprintf(stderr, "\r     \r");
    w->is_told = 0;
}
