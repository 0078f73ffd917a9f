/* cli/waiting.h: how far long work is, on the terminal and once the wait is over a second; Ctrl-C ends the work as it does any program.
 *
 * Use       lw_waiting_begin before the work, lw_waiting_tell as its progress, lw_waiting_end before the answer: the line goes away. */
#ifndef LW_CLI_WAITING_H
#define LW_CLI_WAITING_H

#include <time.h>

typedef struct lw_waiting {
    struct timespec began;
    int is_on_screen, is_told;
} lw_waiting;

void lw_waiting_begin(lw_waiting *waiting);
void lw_waiting_tell(void *waiting, int done, int of);
void lw_waiting_end(lw_waiting *waiting);

#endif
