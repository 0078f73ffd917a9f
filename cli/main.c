/* The command `leeway`: finds the subcommand in its table and hands over. */
#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/out.h"
#include "text/say.h"

enum { COMMANDS = 80 };

/* A line each, so that they are found and merged. */
/* clang-format off */
const lw_command *const lw_commands[] = {
    &lw_command_outlook,
    &lw_command_today,
    &lw_command_plan_levers,
    &lw_command_plan_runs,
    &lw_command_plan_provisions,
    &lw_command_plan_generator,
    &lw_command_plan_rhythm,
    &lw_command_plan_convoy,
    &lw_command_plan_calendar,
    &lw_command_plan_buy,
    &lw_command_plan_cost,
    &lw_command_trip_plan,
    &lw_command_trip_show,
    &lw_command_trip_replan,
    &lw_command_trip_forget,
    &lw_command_trip_export,
    &lw_command_trip_year,
    &lw_command_begin,
    &lw_command_end,
    &lw_command_log,
    &lw_command_history,
    &lw_command_learn,
    &lw_command_checklist,
    &lw_command_clock,
    &lw_command_ledger,
    &lw_command_signal,
    &lw_command_places_near,
    &lw_command_places_search,
    &lw_command_places_add,
    &lw_command_places_edit,
    &lw_command_places_show,
    &lw_command_places_forget,
    &lw_command_places_list,
    &lw_command_places_rank,
    &lw_command_places_compare,
    &lw_command_places_give,
    &lw_command_places_take,
    &lw_command_sun,
    &lw_command_drive,
    &lw_command_places_at,
    &lw_command_import,
    &lw_command_serve,
    &lw_command_weather_show,
    &lw_command_weather_fetch,
    &lw_command_batch,
    &lw_command_model,
    &lw_command_book_info,
    &lw_command_book_check,
    &lw_command_book_backup,
    &lw_command_book_restore,
    &lw_command_book_export,
    &lw_command_book_import,
    NULL,
};
/* clang-format on */

int lw_refuse(const lw_err *err)
{
    fprintf(stderr, "leeway: %s%s%s%s%s\n", err->where, err->where[0] ? ": " : "", err->text, err->typed[0] ? "; " : "",
            err->typed);
    return err->code == LW_E_IO ? LW_EXIT_SYSTEM : LW_EXIT_INPUT;
}

static const lw_command *command_named(const char *name)
{
    for (int i = 0; lw_commands[i]; i++)
        if (strcmp(lw_commands[i]->name, name) == 0)
            return lw_commands[i];
    return NULL;
}

/* By one word or by two; *words says how many it took. NULL: there is none. */
static const lw_command *command_of(int count, char **word, int *words)
{
    char both[64];
    *words = 2;
    if (count > 1) {
        snprintf(both, sizeof both, "%.30s %.30s", word[0], word[1]);
        const lw_command *command = command_named(both);
        if (command)
            return command;
    }
    *words = 1;
    return count > 0 ? command_named(word[0]) : NULL;
}

static int ends_in(const char *text, const char *end)
{
    const size_t n = strlen(text), m = strlen(end);
    return n >= m && strcmp(text + n - m, end) == 0;
}

/* "leeway weather" alone, or with another second word. */
static int refuse_half(const char *name)
{
    lw_err err = {0};
    lw_fail(&err, LW_E_SYNTAX, "a second word belongs here, such as leeway %s; leeway --help lists all", name);
    return lw_refuse(&err);
}

static int refuse_word(const char *word)
{
    const char *names[COMMANDS] = {"help"};
    size_t count = 1;
    for (int i = 0; lw_commands[i] && count < COMMANDS; i++)
        names[count++] = lw_commands[i]->name;
    for (size_t i = 0; i < count; i++)
        if (strncmp(names[i], word, strlen(word)) == 0 && names[i][strlen(word)] == ' ')
            return refuse_half(names[i]);
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
static int help(int count, char **word)
{
    int words;
    const lw_command *command = command_of(count, word, &words);
    return count > 0 && !command ? refuse_word(word[0]) : lw_help_run(command);
}

int main(int argc, char **argv)
{
    (void)signal(SIGPIPE, SIG_IGN); /* a reader that has had enough ends the run, not the process */
    const char *word = argc > 1 ? argv[1] : "--help";
    if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0)
        return help(0, NULL);
    if (strcmp(word, "help") == 0)
        return help(argc - 2, argv + 2);
    if (strcmp(word, "--version") == 0 || strcmp(word, "-V") == 0)
        return put_text(put_version);
    if (strcmp(word, "--man") == 0)
        return put_text(lw_help_man);
    int words;
    const lw_command *command = command_of(argc - 1, argv + 1, &words);
    return command ? command->run(command, argc - words, argv + words) : refuse_word(word);
}
