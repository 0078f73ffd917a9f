/* leeway book ...: care of the household's file: what it holds, whether it is whole, copies of it, and all of it as text. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/book.h"
#include "cli/command.h"
#include "cli/help.h"
#include "cli/options.h"
#include "cli/out.h"
#include "service/book_yaml.h"
#include "service/json.h"
#include "text/moment.h"
#include "text/say.h"

enum { HELP, BOOK, JSON };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [BOOK] = {"book", 'b', "FILE", 0, "the book; without it leeway/book.sqlite in the data folder of this user"},
    [JSON] = {"json", 'j', NULL, 0, "the answer as JSON on standard output"},
};

typedef struct order {
    const char *book, *operand;
    int wants_json;
    char path[LW_BOOK_PATH_BYTES];
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    (void)err;
    if (option == BOOK)
        o->book = value;
    o->wants_json |= option == JSON;
    return LW_OK;
}

static lw_code check_order(const lw_command *self, const lw_args *args, order *o, lw_err *err)
{
    const int wanted = self->operands[0] != 0, given = lw_args_operand_count(args);
    o->operand = lw_args_operand(args, 0);
    if (given < wanted)
        return lw_fail(err, LW_E_MISSING, "%s needs %s", self->name, self->operands);
    if (given > wanted)
        return lw_fail(err, LW_E_SYNTAX, "%s takes %s; a name with blanks needs quotes", self->name,
                       wanted ? "one FILE" : "no FILE; the book is named by --book FILE");
    if (!o->book)
        return lw_book_default_path(o->path, sizeof o->path, err);
    if (strlen(o->book) >= sizeof o->path)
        return lw_fail(err, LW_E_SYNTAX, "--book: a path of 1 to 4095 bytes is needed");
    snprintf(o->path, sizeof o->path, "%s", o->book);
    return LW_OK;
}

/* ---- info and check ---- */

static void put_count(lw_sink *sink, const char *what, int64_t count)
{
    lw_sink_print(sink, "%-18s %lld\n", what, (long long)count);
}

static void put_info_text(lw_sink *sink, const order *o, const lw_book_info *i, const char *why)
{
    char first[40], last[40];
    lw_sink_print(sink, "%-18s %.900s\n", "file", o->path);
    put_count(sink, "bytes", i->bytes);
    put_count(sink, "schema", i->schema);
    if (why[0])
        lw_sink_print(sink, "%-18s %s\n", "only read", why);
    put_count(sink, "rigs", i->rigs);
    put_count(sink, "crews", i->crews);
    put_count(sink, "places", i->places);
    put_count(sink, "stays", i->stays);
    put_count(sink, "entries", i->entries);
    put_count(sink, "  of them undone", i->undone);
    if (i->first_s != LW_NO_TIME)
        lw_sink_print(sink, "%-18s %s\n%-18s %s\n", "  first",
                      lw_instant_print(first, sizeof first, (double)i->first_s, 0), "  last",
                      lw_instant_print(last, sizeof last, (double)i->last_s, 0));
    put_count(sink, "hours of weather", i->weather_hours);
    put_count(sink, "kept outlooks", i->forecasts);
    put_count(sink, "kept learning", i->learned);
    put_count(sink, "spots of maps", i->spots);
    put_count(sink, "settings", i->settings);
}

static void put_instant(lw_json *j, json_t *root, const char *key, int64_t at_s)
{
    char text[40];
    lw_json_text(j, root, key, at_s == LW_NO_TIME ? NULL : lw_instant_print(text, sizeof text, (double)at_s, 0));
}

static lw_code put_json(lw_sink *sink, lw_json *j, json_t *root, lw_err *err)
{
    char *text = lw_json_finish(j, root, 0);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for this answer");
    lw_sink_text(sink, text);
    free(text);
    return LW_OK;
}

static lw_code put_info_json(lw_sink *sink, const order *o, const lw_book_info *i, lw_err *err)
{
    lw_json j = {0};
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.book-info/1");
    lw_json_text(&j, root, "file", o->path);
    lw_json_count(&j, root, "bytes", i->bytes);
    lw_json_count(&j, root, "book_schema", i->schema);
    lw_json_flag(&j, root, "is_read_only", i->mode == LW_BOOK_READ_ONLY);
    lw_json_count(&j, root, "rigs", i->rigs);
    lw_json_count(&j, root, "crews", i->crews);
    lw_json_count(&j, root, "places", i->places);
    lw_json_count(&j, root, "stays", i->stays);
    lw_json_count(&j, root, "entries", i->entries);
    lw_json_count(&j, root, "undone", i->undone);
    put_instant(&j, root, "first", i->first_s);
    put_instant(&j, root, "last", i->last_s);
    lw_json_count(&j, root, "weather_hours", i->weather_hours);
    lw_json_count(&j, root, "forecasts", i->forecasts);
    lw_json_count(&j, root, "learned", i->learned);
    lw_json_count(&j, root, "spots", i->spots);
    lw_json_count(&j, root, "settings", i->settings);
    return put_json(sink, &j, root, err);
}

static lw_code answer_info(const order *o, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    lw_book_info info = {0};
    lw_code code = lw_book_open(&book, o->path, LW_BOOK_WRITE, err);
    code = code ? code : lw_book_info_of(book, &info, err);
    if (!code && o->wants_json)
        code = put_info_json(sink, o, &info, err);
    else if (!code)
        put_info_text(sink, o, &info, lw_book_why_read_only(book));
    lw_book_close(book);
    return code;
}

static lw_code answer_check(const order *o, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    lw_code code = lw_book_open(&book, o->path, LW_BOOK_WRITE, err);
    code = code ? code : lw_book_check(book, err);
    if (!code && o->wants_json) {
        lw_json j = {0};
        json_t *root = lw_json_object(&j);
        lw_json_text(&j, root, "schema", "leeway.book-check/1");
        lw_json_text(&j, root, "file", o->path);
        lw_json_flag(&j, root, "is_whole", 1);
        code = put_json(sink, &j, root, err);
    } else if (!code) {
        lw_sink_print(sink, "%.900s is whole.\n", o->path);
    }
    lw_book_close(book);
    return code;
}

/* ---- copies ---- */

static lw_code answer_backup(const order *o, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    lw_code code = lw_book_open(&book, o->path, LW_BOOK_WRITE, err);
    code = code ? code : lw_book_backup(book, o->operand, err);
    if (!code)
        lw_sink_print(sink, "%.900s holds all of the book.\n", o->operand);
    lw_book_close(book);
    return code;
}

static lw_code answer_restore(const order *o, lw_sink *sink, lw_err *err)
{
    const lw_code code = lw_book_restore(o->path, o->operand, err);
    if (!code)
        lw_sink_print(sink,
                      "%.900s is restored; what it held before, if anything, is beside it with the ending .before\n",
                      o->path);
    return code;
}

static lw_code answer_export(const order *o, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    lw_code code = lw_book_open(&book, o->path, LW_BOOK_WRITE, err);
    code = code ? code : lw_book_export(book, LW_VERSION, sink, err);
    lw_book_close(book);
    return code;
}

static lw_code open_file(const char *path, FILE **file, lw_err *err)
{
    *file = strcmp(path, "-") == 0 ? stdin : fopen(path, "r");
    if (*file)
        return LW_OK;
    /* A file that is not there is a wrong name, typed. */
    lw_fail(err, errno == ENOENT ? LW_E_MISSING : LW_E_IO, "cannot be read: %s", strerror(errno));
    return lw_err_at(err, path, 0, NULL);
}

static lw_code answer_import(const order *o, lw_sink *sink, lw_err *err)
{
    FILE *file = NULL;
    lw_book *book = NULL;
    lw_imported imported = {0};
    lw_code code = open_file(o->operand, &file, err);
    code = code ? code : lw_book_open(&book, o->path, LW_BOOK_CREATE, err);
    code = code ? code : lw_book_import(book, o->operand, file, &imported, err);
    if (!code)
        lw_sink_print(sink, "%lld rows added, %lld were there already.\n", (long long)imported.added,
                      (long long)imported.known);
    lw_book_close(book);
    if (file && file != stdin)
        (void)fclose(file); /* was read only */
    return code;
}

/* ---- the commands ---- */

typedef lw_code answer_fn(const order *o, lw_sink *sink, lw_err *err);

static int run(const lw_command *self, int argc, char **argv, answer_fn *answer)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    order o = {0};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(self, &args, &o, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code = answer(&o, &sink, &err);
    return code ? lw_refuse(&err) : lw_out_close(&sink);
}

static int run_info(const lw_command *self, int argc, char **argv)
{
    return run(self, argc, argv, answer_info);
}

static int run_check(const lw_command *self, int argc, char **argv)
{
    return run(self, argc, argv, answer_check);
}

static int run_backup(const lw_command *self, int argc, char **argv)
{
    return run(self, argc, argv, answer_backup);
}

static int run_restore(const lw_command *self, int argc, char **argv)
{
    return run(self, argc, argv, answer_restore);
}

static int run_export(const lw_command *self, int argc, char **argv)
{
    return run(self, argc, argv, answer_export);
}

static int run_import(const lw_command *self, int argc, char **argv)
{
    return run(self, argc, argv, answer_import);
}

enum { WITH_JSON = JSON + 1, WITHOUT_JSON = JSON };

const lw_command lw_command_book_info = {
    .name = "book info",
    .operands = "",
    .what = "What the book of your household holds",
    .about = "The book is one file with your rig, crew, places, stays and everything you entered. This tells where it "
             "is and "
             "how much is in it.",
    .option = OPTIONS,
    .option_count = WITH_JSON,
    .run = run_info,
};

const lw_command lw_command_book_check = {
    .name = "book check",
    .operands = "",
    .what = "Whether the book is whole",
    .about = "Looks through the whole file, its indexes and every reference between its tables.",
    .option = OPTIONS,
    .option_count = WITH_JSON,
    .run = run_check,
};

static const lw_example BACKUP[] = {{"leeway book backup /media/stick/book.sqlite", "onto a memory stick"}};

const lw_command lw_command_book_backup = {
    .name = "book backup",
    .operands = "FILE",
    .what = "A copy of the book, also while it is in use",
    .about = "FILE is a whole copy as of one moment, or stays as it was.",
    .option = OPTIONS,
    .option_count = WITHOUT_JSON,
    .example = BACKUP,
    .example_count = 1,
    .run = run_backup,
};

static const lw_example RESTORE[] = {{"leeway book restore /media/stick/book.sqlite", "from a memory stick"}};

const lw_command lw_command_book_restore = {
    .name = "book restore",
    .operands = "FILE",
    .what = "Puts a backup in the place of the book",
    .about = "FILE is checked first; one that is damaged, foreign or of a newer Leeway is refused and nothing changes. "
             "What the "
             "book held before is kept beside it, with the ending .before.",
    .option = OPTIONS,
    .option_count = WITHOUT_JSON,
    .example = RESTORE,
    .example_count = 1,
    .run = run_restore,
};

static const lw_example EXPORT[] = {{"leeway book export > book.yaml", "everything, as text"}};

const lw_command lw_command_book_export = {
    .name = "book export",
    .operands = "",
    .what = "The whole book as YAML on standard output",
    .about = "Everything that the book holds, as text that people and other programs can read. leeway book import "
             "reads it back "
             "without loss.",
    .option = OPTIONS,
    .option_count = WITHOUT_JSON,
    .example = EXPORT,
    .example_count = 1,
    .run = run_export,
};

static const lw_example IMPORT[] = {{"leeway book import book.yaml --book new.sqlite", "into a new book"}};

const lw_command lw_command_book_import = {
    .name = "book import",
    .operands = "FILE",
    .what = "Takes an exported book in",
    .about = "All of FILE or nothing of it; - is standard input. What is in the book already is passed over, so the "
             "same file "
             "may be imported twice; a row that says something else than the book's is refused.",
    .option = OPTIONS,
    .option_count = WITHOUT_JSON,
    .example = IMPORT,
    .example_count = 1,
    .run = run_import,
};
