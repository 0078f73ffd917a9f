/* leeway model: one model of the core over a table, so that anybody can check any formula against any source. */
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/options.h"
#include "cli/out.h"
#include "core/models.h"
#include "service/model_run.h"
#include "text/say.h"

enum { HELP, LIST };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text; behind a model's NAME: its columns, results and source"},
    [LIST] = {"list", 'l', NULL, 0, "list every model with its columns, results and source, as without a NAME"},
};

static const lw_example EXAMPLES[] = {
    {"leeway model", "lists the models"},
    {"leeway model air --help", "what one of them needs and gives"},
    {"leeway model air table.csv", "runs it over a table"},
    {"printf 'elevation_m,air_c\\n1900,15\\n' | leeway model air", "the same from a pipe"},
};

static int refuse_words(const char *text)
{
    lw_err err = {0};
    lw_fail(&err, LW_E_SYNTAX, "%s", text);
    return lw_refuse(&err);
}

static int list(void)
{
    lw_sink sink;
    lw_out_open(&sink);
    lw_model_list(lw_models, &sink);
    return lw_out_close(&sink);
}

static int describe(const lw_model *model)
{
    lw_sink sink;
    lw_out_open(&sink);
    lw_model_describe(model, &sink);
    return lw_out_close(&sink);
}

static int run_table(const lw_model *model, const char *path)
{
    lw_err err = {0};
    const int is_pipe = !path || strcmp(path, "-") == 0;
    FILE *file = is_pipe ? stdin : fopen(path, "rb");
    if (!file) {
        lw_fail(&err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
        lw_err_at(&err, path, 0, NULL);
        return lw_refuse(&err);
    }
    char folder[4096];
    const char *slash = is_pipe ? NULL : strrchr(path, '/');
    snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - path) : 0, slash ? path : "");
    lw_sink sink;
    lw_out_open(&sink);
    const lw_model_source source = {.read = lw_read_file,
                                    .context = file,
                                    .name = is_pipe ? "standard input" : path,
                                    .folder = slash ? (folder[0] ? folder : "/") : NULL};
    const lw_code code = lw_model_run(model, &source, &sink, &err);
    if (!is_pipe)
        (void)fclose(file);
    return code ? lw_refuse(&err) : LW_EXIT_DONE;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    const char *value;
    int option, is_help = 0, is_list = 0;
    lw_args_init(&args, self, argc, argv);
    while ((option = lw_args_next(&args, &value, &err)) >= 0) {
        is_help |= option == HELP;
        is_list |= option == LIST;
    }
    if (option == LW_ARGS_BAD)
        return lw_refuse(&err);
    const char *name = lw_args_operand(&args, 0), *path = lw_args_operand(&args, 1);
    if (is_help && !name)
        return lw_help_run(self);
    if (is_list || !name)
        return list();
    if (lw_args_operand_count(&args) > 2)
        return refuse_words("model takes a NAME and one FILE; put the lines of several files into one");
    const lw_model *model;
    if (lw_model_want(name, &model, &err))
        return lw_refuse(&err);
    return is_help || (!path && isatty(STDIN_FILENO)) ? describe(model) : run_table(model, path);
}

const lw_command lw_command_model = {
    .name = "model",
    .operands = "[NAME [FILE.csv]]",
    .what = "Run one formula over a table, to check it against any source",
    .about =
        "Without a NAME every model is listed with what it computes, its columns with their units, its results and "
        "its source.\n\n"
        "The table is CSV with a header line; columns are found by name, in any order, among any others; lines that "
        "begin with # are passed over. Every line comes out as it went in, with the results appended as columns "
        "named out_... Without a FILE, or with -, the table is read from standard input; at a terminal the model "
        "is described instead.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
