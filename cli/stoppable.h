/* cli/stoppable.h: long work that tells how far it is (cli/waiting.h) and that the first Ctrl-C ends in good order; a second one ends the program
 * as ever. */
#ifndef LW_CLI_STOPPABLE_H
#define LW_CLI_STOPPABLE_H

#include "cli/waiting.h"

void lw_stoppable_begin(lw_waiting *w, int is_quiet);
int lw_stoppable_tell(void *waiting, int done,
                      int of); /* 0: asked to stop. A progress of service/draws.h and its like */
void lw_stoppable_end(lw_waiting *w);

#endif
