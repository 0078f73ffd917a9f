#include "cli/help.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "cli/out.h"

enum { READABLE = 100, INDENT = 2 };

static const char *const PURPOSE =
    "Leeway tells a household that lives in a camper, without water tap, sewer, power post or signal, how long it can "
    "stay where it is and what will end the stay. It computes every supply hour by hour: fresh and drinking water, "
    "room in the grey and black tanks, battery, propane, fuel, rubbish, data, food and the days the place allows.";

static const lw_example FIRST[] = {
    {"leeway outlook examples/ten-lines.yaml", "how long a household of four can stay, from ten lines of text"},
    {"leeway outlook FILE --assumptions", "what was taken from tables because your file does not say it"},
    {"leeway model", "every formula by name, to check it against any source"},
};

static const struct {
    const char *code, *what;
} EXITS[] = {
    {"0", "The answer was given. Warnings in it do not change that."},
    {"1", "The system failed: a full disk, a file that cannot be written."},
    {"2",
     "What was typed or what stands in a file cannot be used; one sentence on standard error says what and where."},
};

static const struct {
    const char *name, *what;
} VARIABLES[] = {
    {"COLUMNS", "Width of the report where it is not the terminal's own."},
    {"NO_COLOR", "With any text in it: no colour, not even on a terminal."},
    {"LC_ALL, LC_CTYPE, LANG", "Where these do not name UTF-8, reports are plain ASCII. Numbers always have a point."},
    {"TZ", "The zone of this machine, which a place without a zone of its own is given."},
    {"TZDIR", "Folder of the time zone tables."},
};

/* "-a, --name=VALUE" */
static void option_words(const lw_option *option, char *buf, size_t n)
{
    snprintf(buf, n, "%s%c%s--%s%s%s%s%s", option->letter ? "-" : " ", option->letter ? option->letter : ' ',
             option->letter ? ", " : "  ", option->name, option->is_argument_optional ? "[" : "",
             option->argument ? "=" : "", option->argument ? option->argument : "",
             option->is_argument_optional ? "]" : "");
}

static void option_cell(const void *context, int row, int column, char *buf, size_t n)
{
    const lw_option *option = &((const lw_command *)context)->option[row];
    if (column == 0)
        option_words(option, buf, n);
    else
        snprintf(buf, n, "%s", option->what);
}

static void command_cell(const void *context, int row, int column, char *buf, size_t n)
{
    const lw_command *command = ((const lw_command *const *)context)[row];
    snprintf(buf, n, "%s", column == 0 ? command->name : command->what);
}

static void example_cell(const void *context, int row, int column, char *buf, size_t n)
{
    const lw_example *example = &((const lw_example *)context)[row];
    snprintf(buf, n, "%s", column == 0 ? example->command : example->what);
}

static void put_examples(lw_screen *screen, const lw_example *example, size_t count)
{
    lw_put_table(screen, &(lw_table){.rows = (int)count,
                                     .columns = 2,
                                     .indent = INDENT,
                                     .warm_row = -1,
                                     .context = example,
                                     .cell = example_cell});
}

static int command_count(void)
{
    int count = 0;
    while (lw_commands[count])
        count++;
    return count;
}

void lw_help_first(lw_screen *screen)
{
    screen->width = screen->width > READABLE ? READABLE : screen->width;
    lw_put_wrapped(screen, LW_PAINT_PLAIN, PURPOSE, 0, 0);
    lw_put_title(screen, "Type first");
    put_examples(screen, FIRST, sizeof FIRST / sizeof FIRST[0]);
    lw_put_title(screen, "Commands");
    lw_put_table(screen, &(lw_table){.rows = command_count(),
                                     .columns = 2,
                                     .indent = INDENT,
                                     .warm_row = -1,
                                     .context = lw_commands,
                                     .cell = command_cell});
    lw_put_end(screen);
    lw_put_wrapped(screen, LW_PAINT_PLAIN,
                   "leeway COMMAND --help says how each is used; leeway --version names this one.", 0, 0);
}

static void put_paragraphs(lw_screen *screen, const char *text)
{
    char paragraph[2048];
    while (*text) {
        const char *end = strstr(text, "\n\n");
        const size_t n = end ? (size_t)(end - text) : strlen(text);
        snprintf(paragraph, sizeof paragraph, "%.*s", (int)n, text);
        lw_put_end(screen);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, paragraph, 0, 0);
        text += n + (end ? 2 : 0);
    }
}

void lw_help_command(lw_screen *screen, const lw_command *command)
{
    char usage[128];
    screen->width = screen->width > READABLE ? READABLE : screen->width;
    snprintf(usage, sizeof usage, "Usage: leeway %s [OPTION]... %s", command->name, command->operands);
    lw_put(screen, LW_PAINT_STRONG, usage);
    lw_put_end(screen);
    snprintf(usage, sizeof usage, "%s.", command->what);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, usage, 0, 0);
    put_paragraphs(screen, command->about);
    lw_put_title(screen, "Options");
    lw_put_table(screen, &(lw_table){.rows = (int)command->option_count,
                                     .columns = 2,
                                     .indent = INDENT,
                                     .warm_row = -1,
                                     .context = command,
                                     .cell = option_cell});
    lw_put_title(screen, "Examples");
    put_examples(screen, command->example, command->example_count);
    lw_put_title(screen, "Exit status");
    for (size_t i = 0; i < sizeof EXITS / sizeof EXITS[0]; i++) {
        lw_put_blank(screen, INDENT);
        lw_put(screen, LW_PAINT_PLAIN, EXITS[i].code);
        lw_put_blank(screen, INDENT);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, EXITS[i].what, 2 * INDENT + 1, 2 * INDENT + 1);
    }
}

int lw_help_run(const lw_command *command)
{
    lw_sink sink;
    lw_screen screen;
    lw_out_open(&sink);
    lw_screen_init(&screen, &sink, STDOUT_FILENO, 0);
    if (command)
        lw_help_command(&screen, command);
    else
        lw_help_first(&screen);
    return lw_out_close(&sink);
}

/* A line of text as roff: nothing at its start or inside may be read as a request. */
static void put_roff(lw_sink *sink, const char *text)
{
    if (*text == '.' || *text == '\'')
        lw_sink_text(sink, "\\&");
    for (; *text; text++) {
        if (*text == '\\')
            lw_sink_text(sink, "\\e");
        else if (*text == '-')
            lw_sink_text(sink, "\\-");
        else if (*text == '"')
            lw_sink_text(sink, "\\(dq");
        else if (text[0] == '\n' && text[1] == '\n') {
            lw_sink_text(sink, "\n.PP\n");
            text++;
        } else
            lw_sink_put(sink, text, 1);
    }
    lw_sink_put(sink, "\n", 1);
}

static void put_roff_pair(lw_sink *sink, const char *term, const char *what)
{
    lw_sink_text(sink, ".TP\n.B ");
    put_roff(sink, term);
    put_roff(sink, what);
}

static void put_roff_command(lw_sink *sink, const lw_command *command)
{
    lw_sink_print(sink, ".SS \"leeway %s [OPTION]... %s\"\n", command->name, command->operands);
    lw_sink_print(sink, "%s.\n.PP\n", command->what);
    put_roff(sink, command->about);
    for (size_t i = 0; i < command->option_count; i++) {
        char words[128];
        option_words(&command->option[i], words, sizeof words);
        put_roff_pair(sink, words + strspn(words, " "), command->option[i].what);
    }
    for (size_t i = 0; i < command->example_count; i++) {
        lw_sink_text(sink, i == 0 ? ".PP\nExamples:\n" : "");
        put_roff_pair(sink, command->example[i].command, command->example[i].what);
    }
}

void lw_help_man(lw_sink *sink)
{
    lw_sink_text(sink, ".\\\" Made by leeway --man from the tables behind --help; change those.\n");
    lw_sink_text(sink, ".TH LEEWAY 1 \"\" \"Leeway " LW_VERSION "\" \"User Commands\"\n");
    lw_sink_text(sink, ".SH NAME\nleeway \\- how long a camper can stay off the grid, and what ends the stay\n");
    lw_sink_text(sink, ".SH SYNOPSIS\n.B leeway\n.I COMMAND\n[\\fIOPTION\\fR]...\n[\\fIFILE\\fR]\n.SH DESCRIPTION\n");
    put_roff(sink, PURPOSE);
    lw_sink_text(sink, ".SH COMMANDS\n");
    for (int i = 0; lw_commands[i]; i++)
        put_roff_command(sink, lw_commands[i]);
    lw_sink_text(sink, ".SH EXIT STATUS\n");
    for (size_t i = 0; i < sizeof EXITS / sizeof EXITS[0]; i++)
        put_roff_pair(sink, EXITS[i].code, EXITS[i].what);
    lw_sink_text(sink, ".SH ENVIRONMENT\n");
    for (size_t i = 0; i < sizeof VARIABLES / sizeof VARIABLES[0]; i++)
        put_roff_pair(sink, VARIABLES[i].name, VARIABLES[i].what);
}
