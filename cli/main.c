/* The command `leeway`: finds the subcommand in its table and hands over. */
#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/out.h"
#include "text/say.h"

enum { COMMANDS = 16 };

const lw_command *const lw_commands[] = {&lw_command_outlook, &lw_command_weather, &lw_command_model, NULL};

int lw_refuse(const lw_err *err)
{
    fprintf(stderr, "leeway: %s%s%s\n", err->where, err->where[0] ? ": " : "", err->text);
    return err->code == LW_E_IO ? LW_EXIT_SYSTEM : LW_EXIT_INPUT;
}

static const lw_command *command_named(const char *name)
{
    for (int i = 0; lw_commands[i]; i++)
        if (strcmp(lw_commands[i]->name, name) == 0)
            return lw_commands[i];
    return NULL;
}

static int ends_in(const char *text, const char *end)
{
    const size_t n = strlen(text), m = strlen(end);
    return n >= m && strcmp(text + n - m, end) == 0;
}

static int refuse_word(const char *word)
{
    const char *names[COMMANDS] = {"help"};
    size_t count = 1;
    for (int i = 0; lw_commands[i] && count < COMMANDS; i++)
        names[count++] = lw_commands[i]->name;
    const lw_quoted_text quoted = lw_quoted(word, strlen(word));
    const char *near = lw_nearest(word, names, count);
    lw_err err = {0};
    if (word[0] == '-')
        lw_fail(&err, LW_E_SYNTAX, "there is no option %s here; leeway --help says what to type", quoted.text);
    else if (near)
        lw_fail(&err, LW_E_SYNTAX, "there is no command %s; did you mean leeway %s?", quoted.text, near);
    else if (ends_in(word, ".yaml") || ends_in(word, ".yml") || ends_in(word, ".json"))
        lw_fail(&err, LW_E_SYNTAX, "%s is no command; did you mean leeway outlook %s?", quoted.text, quoted.text);
    else
        lw_fail(&err, LW_E_SYNTAX, "there is no command %s; leeway --help lists them", quoted.text);
    return lw_refuse(&err);
}

static int put_text(void (*put)(lw_sink *sink))
{
    lw_sink sink;
    lw_out_open(&sink);
    put(&sink);
    return lw_out_close(&sink);
}

static void put_version(lw_sink *sink)
{
    lw_sink_text(sink, "leeway " LW_VERSION "\n");
}

/* `leeway help outlook` is `leeway outlook --help`. */
static int help(const char *name)
{
    const lw_command *command = name ? command_named(name) : NULL;
    return name && !command ? refuse_word(name) : lw_help_run(command);
}

int main(int argc, char **argv)
{
    (void)signal(SIGPIPE, SIG_IGN); /* a reader that has had enough ends the run, not the process */
    const char *word = argc > 1 ? argv[1] : "--help";
    if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0)
        return help(NULL);
    if (strcmp(word, "help") == 0)
        return help(argc > 2 ? argv[2] : NULL);
    if (strcmp(word, "--version") == 0 || strcmp(word, "-V") == 0)
        return put_text(put_version);
    if (strcmp(word, "--man") == 0)
        return put_text(lw_help_man);
    const lw_command *command = command_named(word);
    return command ? command->run(command, argc - 1, argv + 1) : refuse_word(word);
}
