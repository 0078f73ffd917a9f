/* leeway begin: a stay into the household's book, from a scenario file. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "exchange/yaml_tree.h"
#include "service/begin.h"
#include "service/words.h"
#include "text/say.h"

enum { HELP, BOOK, NOW };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [BOOK] = {"book", 'b', "FILE", 0, "the book; without it leeway/book.sqlite in the data folder of this user"},
    [NOW] = {"now", 0, "TIME", 0, "take this for the time it is, such as 2026-06-18T13:30Z: to try things out"},
};

static const lw_example EXAMPLES[] = {
    {"leeway begin camp.yaml", "the rig, the people, the place and the stay of a scenario into your book"},
    {"leeway log fresh=2/3", "the first reading of that stay"},
};

typedef struct order {
    lw_kept_order kept;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    if (option == BOOK)
        o->kept.book = value;
    return option == NOW ? lw_kept_now(value, &o->kept, err) : LW_OK;
}

/* The whole file, the caller's to free. */
static lw_code read_whole(const char *path, char **bytes, size_t *size, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        return lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
    char *text = malloc(LW_YAML_BYTES + 1);
    lw_code code = text ? LW_OK : lw_fail(err, LW_E_FULL, "not enough memory for this file");
    if (!code)
        *size = fread(text, 1, LW_YAML_BYTES + 1, file);
    if (!code && ferror(file))
        code = lw_fail(err, LW_E_IO, "cannot be read: %s", strerror(errno));
    if (!code && *size > LW_YAML_BYTES)
        code = lw_fail(err, LW_E_FULL, "longer than %d bytes, which no scenario is", LW_YAML_BYTES);
    (void)fclose(file);
    if (code)
        free(text);
    else
        *bytes = text;
    return code;
}

static lw_code begin(const order *o, const char *path, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    char *bytes = NULL, *whole = realpath(path, NULL), when[LW_WHEN];
    size_t size = 0;
    lw_begun begun;
    lw_kept_stay stay;
    lw_loaded loaded = {0};
    lw_code code = read_whole(path, &bytes, &size, err);
    if (code)
        (void)lw_err_at(err, path, 0, NULL);
    if (!code)
        code = lw_book_open(&book, o->kept.path, LW_BOOK_CREATE, err);
    if (!code)
        code = lw_begin(book, whole ? whole : path, bytes, size, o->kept.now_s, &begun, err);
    const int64_t seen_s = code ? 0 : begun.arrival_s > o->kept.now_s ? begun.arrival_s : o->kept.now_s;
    if (!code)
        code = lw_stay_load(book, seen_s, &loaded, &stay, err);
    if (!code) {
        lw_sink_print(sink, "%s at %s, from %s\n", begun.rig, begun.place,
                      lw_when_print(when, sizeof when, &loaded.zone, begun.arrival_s, 0));
        if (begun.ended[0])
            lw_sink_print(sink, "the stay at %s ended with it\n", begun.ended);
    }
    lw_loaded_clear(&loaded);
    lw_book_close(book);
    free(bytes);
    free(whole);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {{0}};
    const int option = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (option == LW_ARGS_HELP)
        return lw_help_run(self);
    if (option == LW_ARGS_BAD)
        return lw_refuse(&err);
    if (lw_args_operand_count(&args) != 1) {
        (void)lw_fail(&err, LW_E_MISSING, "begin takes one FILE.yaml, a scenario");
        return lw_refuse(&err);
    }
    lw_sink sink;
    lw_out_open(&sink);
    lw_code code = lw_kept_open_order(&o.kept, &err);
    if (!code)
        code = begin(&o, lw_args_operand(&args, 0), &sink, &err);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_begin = {
    .name = "begin",
    .operands = "FILE.yaml",
    .what = "Begin a stay in the household's book, from a scenario file",
    .about =
        "The rig, the people, the place, the stay and its weather are kept as they are written in the file, comments "
        "too, after the whole of it was checked. From then on leeway log writes into that stay. A stay that was still "
        "going on ends when the new one begins.\n\n"
        "The file itself is not needed any more, but files of weather that it names are.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
