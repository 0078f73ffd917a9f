#include "cli/options.h"

#include <assert.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/units.h"
#include "text/quantity.h"
#include "text/say.h"

enum { FIRST_LONG = 256 }; /* beyond every letter */

void lw_args_init(lw_args *args, const lw_command *command, int argc, char **argv)
{
    assert(command->option_count <= LW_OPTIONS);
    *args = (lw_args){.command = command, .argc = argc, .argv = argv};
    size_t n = 0;
    args->letters[n++] = ':'; /* a missing value is told apart from an unknown option */
    for (size_t i = 0; i < command->option_count; i++) {
        const lw_option *option = &command->option[i];
        const int takes = !option->argument              ? no_argument
                          : option->is_argument_optional ? optional_argument
                                                         : required_argument;
        args->longs[i] = (struct option){.name = option->name, .has_arg = takes, .val = FIRST_LONG + (int)i};
        if (!option->letter)
            continue;
        args->letters[n++] = option->letter;
        if (takes == required_argument)
            args->letters[n++] = ':';
    }
    opterr = 0;
    optind = 1;
}

static int fits_several(const lw_args *args, const char *word, size_t n)
{
    int count = 0;
    for (size_t i = 0; i < args->command->option_count; i++)
        count += strncmp(args->longs[i].name, word, n) == 0;
    return count > 1;
}

static lw_code refuse_unknown_word(const lw_args *args, const char *word, lw_err *err)
{
    const size_t n = strcspn(word, "=");
    const lw_quoted_text quoted = lw_quoted(word, n);
    if (fits_several(args, word, n))
        return lw_fail(err, LW_E_SYNTAX, "--%s may mean several options; write more of it", quoted.text);
    const char *names[LW_OPTIONS];
    for (size_t i = 0; i < args->command->option_count; i++)
        names[i] = args->longs[i].name;
    char start[64];
    snprintf(start, sizeof start, "%.*s", (int)(n < sizeof start ? n : sizeof start - 1), word);
    const char *near = lw_nearest(start, names, args->command->option_count);
    if (near)
        return lw_fail(err, LW_E_SYNTAX, "there is no option --%s; did you mean --%s?", quoted.text, near);
    return lw_fail(err, LW_E_SYNTAX, "there is no option --%s; leeway %s --help lists them", quoted.text,
                   args->command->name);
}

static lw_code refuse_unknown(const lw_args *args, lw_err *err)
{
    if (optopt >= FIRST_LONG)
        return lw_fail(err, LW_E_SYNTAX, "--%s takes no value", args->longs[optopt - FIRST_LONG].name);
    if (optopt != 0) {
        const char letter = (char)optopt;
        return lw_fail(err, LW_E_SYNTAX, "there is no option -%s; leeway %s --help lists them",
                       lw_quoted(&letter, 1).text, args->command->name);
    }
    return refuse_unknown_word(args, args->argv[optind - 1] + 2, err);
}

static lw_code refuse_missing(const lw_args *args, lw_err *err)
{
    for (size_t i = 0; i < args->command->option_count; i++) {
        const lw_option *option = &args->command->option[i];
        if (optopt == FIRST_LONG + (int)i || optopt == option->letter)
            return lw_fail(err, LW_E_SYNTAX, "--%s needs a value: --%s=%s", option->name, option->name,
                           option->argument);
    }
    return lw_fail(err, LW_E_SYNTAX, "an option needs a value");
}

int lw_args_next(lw_args *args, const char **value, lw_err *err)
{
    const int found = getopt_long(args->argc, args->argv, args->letters, args->longs, NULL);
    *value = optarg;
    if (found == -1)
        return LW_ARGS_END;
    if (found == ':')
        return (void)refuse_missing(args, err), LW_ARGS_BAD;
    if (found == '?')
        return (void)refuse_unknown(args, err), LW_ARGS_BAD;
    if (found >= FIRST_LONG)
        return found - FIRST_LONG;
    int at = 0;
    while (args->command->option[at].letter != (char)found)
        at++;
    return at;
}

int lw_args_take(lw_args *args, const lw_command *command, int argc, char **argv, lw_args_taker *take, void *to,
                 lw_err *err)
{
    const char *value;
    int option;
    lw_args_init(args, command, argc, argv);
    while ((option = lw_args_next(args, &value, err)) >= 0) {
        if (strcmp(command->option[option].name, "help") == 0)
            return LW_ARGS_HELP;
        if (take(option, value, to, err))
            return LW_ARGS_BAD;
    }
    return option;
}

const char *lw_args_operand(const lw_args *args, int at)
{
    return at < lw_args_operand_count(args) ? args->argv[optind + at] : NULL;
}

int lw_args_operand_count(const lw_args *args)
{
    return args->argc - optind;
}

/* Which of two words it is: 0 the first, 1 the second. */
static lw_code take_one_of(const char *name, const char *value, const char *const two[2], int *which, lw_err *err)
{
    for (int i = 0; i < 2; i++)
        if (strcmp(value, two[i]) == 0) {
            *which = i;
            return LW_OK;
        }
    return lw_fail(err, LW_E_SYNTAX, "--%s %s is none of %s, %s", name, lw_quoted(value, strlen(value)).text, two[0],
                   two[1]);
}

lw_code lw_args_units(const char *value, int *to, lw_err *err)
{
    int which = 0;
    const lw_code code = take_one_of("units", value, (const char *const[]){"us", "si"}, &which, err);
    if (!code)
        *to = which == 0 ? LW_UNITS_US : LW_UNITS_SI;
    return code;
}

lw_code lw_args_clock(const char *value, int *is_12_hour, lw_err *err)
{
    int which = 0;
    const lw_code code = take_one_of("clock", value, (const char *const[]){"12", "24"}, &which, err);
    if (!code)
        *is_12_hour = which == 0;
    return code;
}

lw_code lw_args_whole(const char *name, const char *value, uint64_t least, uint64_t most, uint64_t *to, lw_err *err)
{
    char *end = NULL;
    errno = 0;
    const unsigned long long number = strtoull(value, &end, 10);
    if (value[0] < '0' || value[0] > '9' || *end != '\0' || errno || number < least || number > most)
        return lw_fail(err, LW_E_RANGE, "--%s %s is no whole number from %llu to %llu", name,
                       lw_quoted(value, strlen(value)).text, (unsigned long long)least, (unsigned long long)most);
    *to = number;
    return LW_OK;
}

lw_code lw_args_confidence(const char *value, double *to, lw_err *err)
{
    lw_err own = {0};
    if (lw_quantity_parse(value, LW_DIM_FRACTION, to, &own) || !(*to >= 0.5 && *to <= 0.99))
        return lw_fail(err, LW_E_RANGE, "--confidence %s is no share from 0.5 to 0.99, such as 0.8 or 80%%",
                       lw_quoted(value, strlen(value)).text);
    return LW_OK;
}
