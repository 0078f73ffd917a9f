/* cli/options.h: the words of a command line, by the table of its command.
 *
 * Reads     GNU forms: --name, --name=VALUE, --name VALUE, -n, abbreviations that fit one name only, "--" ends the
 *           options; operands may stand between. An optional value is taken in the form --name=VALUE only.
 * Errors    LW_E_SYNTAX with one sentence: unknown (with the nearest name), ambiguous, a value missing or too many.
 * Limits    LW_OPTIONS options a command. getopt_long keeps state: one command line a process. */
#ifndef LW_CLI_OPTIONS_H
#define LW_CLI_OPTIONS_H

#include <getopt.h>
#include <stdint.h>

#include "cli/command.h"

enum { LW_OPTIONS = 32, LW_ARGS_END = -1, LW_ARGS_BAD = -2, LW_ARGS_HELP = -3 };

typedef struct lw_args {
    const lw_command *command;
    int argc;
    char **argv;
    char letters[2 * LW_OPTIONS + 3];
    struct option longs[LW_OPTIONS + 1];
} lw_args;

void lw_args_init(lw_args *args, const lw_command *command, int argc, char **argv);

/* Index into the command's options, LW_ARGS_END or LW_ARGS_BAD. *value is NULL where none was given. */
int lw_args_next(lw_args *args, const char **value, lw_err *err);

/* Hands every option to `take`, into `to`: LW_ARGS_END when all are taken, LW_ARGS_HELP at the option named help, LW_ARGS_BAD
 * with the sentence in err. */
typedef lw_code lw_args_taker(int option, const char *value, void *to, lw_err *err);
int lw_args_take(lw_args *args, const lw_command *command, int argc, char **argv, lw_args_taker *take, void *to,
                 lw_err *err);

/* --units: us or si, as lw_unit_system; --clock: 12 or 24. LW_E_SYNTAX with one sentence; *to is as it was then. */
lw_code lw_args_units(const char *value, int *to, lw_err *err);
lw_code lw_args_clock(const char *value, int *is_12_hour, lw_err *err);
lw_code lw_args_confidence(const char *value, double *to, lw_err *err); /* a share from 0.5 to 0.99 */

/* The value of --name as a whole number from least to most; LW_E_RANGE with one sentence. */
lw_code lw_args_whole(const char *name, const char *value, uint64_t least, uint64_t most, uint64_t *to, lw_err *err);

/* After LW_ARGS_END: what is no option, in order; NULL past the last. */
const char *lw_args_operand(const lw_args *args, int at);
int lw_args_operand_count(const lw_args *args);

#endif
