#include "cli/stoppable.h"

#include <signal.h>

static volatile sig_atomic_t was_asked_to_stop;

static void ask_to_stop(int number)
{
    was_asked_to_stop = 1;
    (void)signal(number, SIG_DFL);
}

void lw_stoppable_begin(lw_waiting *w, int is_quiet)
{
    lw_waiting_begin(w);
    w->is_on_screen = w->is_on_screen && !is_quiet;
    was_asked_to_stop = 0;
    (void)signal(SIGINT, ask_to_stop);
}

int lw_stoppable_tell(void *waiting, int done, int of)
{
    lw_waiting_tell(waiting, done, of);
    return !was_asked_to_stop;
}

void lw_stoppable_end(lw_waiting *w)
{
    (void)signal(SIGINT, SIG_DFL);
    lw_waiting_end(w);
}
