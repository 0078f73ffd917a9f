/* cli/help.h: --help and the man page, both from the rows of lw_commands. */
#ifndef LW_CLI_HELP_H
#define LW_CLI_HELP_H

#include "cli/command.h"
#include "cli/screen.h"

/* `leeway` alone: what to type first. */
void lw_help_first(lw_screen *screen);

void lw_help_command(lw_screen *screen, const lw_command *command);

/* The same as roff for `man`; docs/man/leeway.1 is this text, held by tests/cli. */
void lw_help_man(lw_sink *sink);

/* A whole --help on standard output; gives the exit code. */
int lw_help_run(const lw_command *command);

#endif
