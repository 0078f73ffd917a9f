/* leeway outlook: how long every supply of a stay lasts, and what ends the stay. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "cli/report.h"
#include "service/chart_svg.h"
#include "service/learning.h"
#include "service/outlook_csv.h"
#include "service/outlook_json.h"
#include "text/decimal.h"
#include "text/say.h"

enum { CHANGES = 64, STDIN_BYTES = 1 << 20 };

enum { HELP, JSON, CSV, SVG, UNITS, CLOCK, UNTIL, WHAT_IF, ASSUMPTIONS, DETAILS, STEP, DRAWS, SEED, BOOK, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [JSON] = {"json", 'j', NULL, 0, "the whole answer as JSON on standard output, instead of the report"},
    [CSV] = {"csv", 0, "FILE", 1,
             "hour by hour as CSV into FILE; without FILE on standard output, instead of the report"},
    [SVG] = {"svg", 0, "FILE", 0,
             "the leeway chart as a picture into FILE; - for standard output, instead of the report"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it those of the scenario"},
    [CLOCK] = {"clock", 0, "12|24", 0, "6:40 pm or 18:40; without it 24"},
    [UNTIL] = {"until", 0, "WHEN", 0,
               "when you wish to leave, such as \"2026-06-28 11:00\", instead of the scenario's"},
    [WHAT_IF] =
        {"what-if", 'w', "CHANGE", 0,
         "compare with a changed scenario, such as \"rig.solar=400 W\", or of the book with something done now, "
         "such as \"filled fresh 20 gal\", \"dumped grey\", \"people +2\"; may be repeated, the changes then hold "
         "together"},
    [ASSUMPTIONS] = {"assumptions", 'a', NULL, 0,
                     "list every value that is not in the scenario, with its source; with --json added to it; with "
                     "--what-if those of the changed scenario, then those that only the unchanged one needs"},
    [DETAILS] = {"details", 'd', NULL, 0,
                 "add every event, every flow and the cautions in full; with --json every hour"},
    [STEP] = {"step", 0, "MIN", 0, "step of the simulation: 60, 30, 20, 15, 12, 10, 6 or 5 minutes; without it 60"},
    [DRAWS] = {"draws", 0, "N", 0,
               "possible courses of weather and use that the answer is made of; without it 1000, or 1 with --step; 1 "
               "is one course, "
               "weather and use just as given"},
    [SEED] = {"seed", 0, "N", 0, "which draws: the same number gives the same answer; without it 1"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway outlook camp.yaml", "the report"},
    {"leeway outlook", "of the stay that the book follows, from now on"},
    {"leeway outlook camp.yaml --what-if \"rig.solar=400 W\"", "what more sun would change"},
    {"leeway outlook --what-if \"dumped grey\"", "what a dump today would buy"},
    {"leeway outlook camp.yaml --svg chart.svg", "the report, and its chart as a picture"},
    {"leeway outlook camp.yaml --json | jq .binding", "for programs"},
};

typedef struct order {
    const char *path, *csv, *svg, *until; /* path NULL: from the book */
    lw_kept_order kept;
    int wants_json, wants_csv, wants_assumptions, wants_details, wants_ascii;
    int units; /* lw_unit_system; -1: the scenario's */
    int is_12_hour, steps_per_hour;
    uint64_t draws, seed;                                        /* draws 0: not said */
    const char *said[CHANGES], *change[CHANGES], *done[CHANGES]; /* as typed: all of them, KEY=VALUE, events */
    int said_count, change_count, done_count;
    char *bytes; /* of standard input; NULL when a path is read */
    size_t size;
} order;

/* ---- the command line ---- */

static lw_code take_step(const char *value, order *o, lw_err *err)
{
    double minutes;
    if (!lw_decimal_parse(value, value + strlen(value), &minutes) || !(minutes >= 5.0 && minutes <= 60.0) ||
        60.0 / minutes != (int)(60.0 / minutes))
        return lw_fail(err, LW_E_RANGE, "--step %s is none of 60, 30, 20, 15, 12, 10, 6, 5 minutes",
                       lw_quoted(value, strlen(value)).text);
    o->steps_per_hour = (int)(60.0 / minutes);
    return LW_OK;
}

static lw_code take_change(const char *value, order *o, lw_err *err)
{
    const lw_quoted_text quoted = lw_quoted(value, strlen(value));
    if (value[0] == '=' || (!strchr(value, '=') && !strchr(value, ' ')))
        return lw_fail(err, LW_E_SYNTAX,
                       "--what-if %s is neither KEY=VALUE, such as \"rig.solar=400 W\", nor an event, such as \"dumped "
                       "grey\"",
                       quoted.text);
    if (o->said_count == CHANGES)
        return lw_fail(err, LW_E_FULL, "more than %d changes at once; put them into a scenario file", CHANGES);
    o->said[o->said_count++] = value;
    if (strchr(value, '='))
        o->change[o->change_count++] = value;
    else
        o->done[o->done_count++] = value;
    return LW_OK;
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case JSON:
        o->wants_json = 1;
        return LW_OK;
    case CSV:
        o->wants_csv = 1;
        o->csv = value && strcmp(value, "-") != 0 ? value : NULL;
        return LW_OK;
    case SVG:
        o->svg = value;
        return LW_OK;
    case UNITS:
        return lw_args_units(value, &o->units, err);
    case CLOCK:
        return lw_args_clock(value, &o->is_12_hour, err);
    case UNTIL:
        o->until = value;
        return LW_OK;
    case WHAT_IF:
        return take_change(value, o, err);
    case ASSUMPTIONS:
        o->wants_assumptions = 1;
        return LW_OK;
    case DETAILS:
        o->wants_details = 1;
        return LW_OK;
    case STEP:
        return take_step(value, o, err);
    case DRAWS:
        return lw_args_whole("draws", value, 1, LW_DRAWS_MOST, &o->draws, err);
    case SEED:
        return lw_args_whole("seed", value, 0, UINT64_MAX, &o->seed, err);
    case BOOK:
        o->kept.book = value;
        return LW_OK;
    case NOW:
        return lw_kept_now(value, &o->kept, err);
    default:
        o->wants_ascii = 1;
        return LW_OK;
    }
}

static int is_svg_out(const order *o)
{
    return o->svg && strcmp(o->svg, "-") == 0;
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    o->path = lw_args_operand(args, 0);
    if (o->path && o->kept.book)
        return lw_fail(err, LW_E_CONFLICT, "an outlook is of a FILE or of the book; leave out one of them");
    if (o->path && o->done_count > 0)
        return lw_fail(err, LW_E_CONFLICT,
                       "--what-if %s is tried on the stay of the book; in a FILE change stay.levels instead",
                       lw_quoted(o->done[0], strlen(o->done[0])).text);
    if (!o->path && o->steps_per_hour > 1)
        return lw_fail(err, LW_E_CONFLICT, "the book's outlook is made in steps of an hour; leave out --step");
    if (lw_args_operand_count(args) > 1) {
        const char *more = lw_args_operand(args, 1);
        return lw_fail(err, LW_E_SYNTAX,
                       "outlook takes one FILE, found %s as well; write --csv=FILE with its equals sign",
                       lw_quoted(more, strlen(more)).text);
    }
    if (o->draws > 1 && o->steps_per_hour > 1)
        return lw_fail(err, LW_E_CONFLICT, "draws are made in steps of an hour; leave out --step or give --draws 1");
    if (!o->draws)
        o->draws = o->steps_per_hour > 1 ? 1 : LW_DRAWS_USUAL;
    if (o->wants_json + (o->wants_csv && !o->csv) + is_svg_out(o) > 1)
        return lw_fail(err, LW_E_CONFLICT,
                       "only one of --json, --csv and --svg can go to standard output; give the "
                       "others a FILE");
    return lw_kept_open_order(&o->kept, err);
}

/* ---- the answer ---- */

static lw_code read_stdin(order *o, lw_err *err)
{
    o->bytes = malloc(STDIN_BYTES);
    if (!o->bytes)
        return lw_fail(err, LW_E_FULL, "no memory to read a scenario");
    o->size = fread(o->bytes, 1, STDIN_BYTES, stdin);
    if (ferror(stdin)) {
        lw_fail(err, LW_E_IO, "cannot be read: %s", strerror(errno));
        return lw_err_at(err, "standard input", 0, NULL);
    }
    if (o->size == STDIN_BYTES) {
        lw_fail(err, LW_E_FULL, "the scenario is longer than %d bytes", STDIN_BYTES - 1);
        return lw_err_at(err, "standard input", 0, NULL);
    }
    return LW_OK;
}

/* On a terminal, once the wait is over a second. */
typedef struct waiting {
    struct timespec began;
    int is_told, is_on_screen;
} waiting;

static int tell_progress(void *with, int done, int of)
{
    waiting *w = with;
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    if (w->is_on_screen && now.tv_sec - w->began.tv_sec >= 1) {
        fprintf(stderr, "\r%d of %d draws", done, of);
        w->is_told = 1;
    }
    return 1;
}

static lw_code run_book(const order *o, int is_changed, waiting *progress, lw_outlook_answer *answer, lw_err *err)
{
    lw_book *book = NULL;
    lw_code code = lw_kept_open_for(&o->kept, 1, &book, err);
    const lw_learning_request request = {
        .now_s = o->kept.now_s,
        .until = o->until,
        .change = o->change,
        .change_count = is_changed ? o->change_count : 0,
        .done = o->done,
        .done_count = is_changed ? o->done_count : 0,
        .wants_series = o->wants_csv || (o->wants_json && o->wants_details),
        .draws = {.draws = (int)o->draws, .seed = o->seed, .progress = tell_progress, .with = progress},
    };
    code = code ? code : lw_learning_run(book, &request, answer, err);
    lw_book_close(book);
    if (progress->is_told)
        fputs("\r\033[K", stderr);
    return code;
}

static lw_code run_outlook(const order *o, int is_changed, lw_outlook_answer *answer, lw_err *err)
{
    waiting progress = {.is_on_screen = isatty(STDERR_FILENO)};
    clock_gettime(CLOCK_MONOTONIC, &progress.began);
    if (!o->path)
        return run_book(o, is_changed, &progress, answer, err);
    const lw_outlook_request request = {
        .from = {.path = o->bytes ? "standard input" : o->path,
                 .bytes = o->bytes,
                 .size = o->size,
                 .change = o->change,
                 .change_count = is_changed ? o->change_count : 0,
                 .now_s = o->kept.now_s},
        .until = o->until,
        .steps_per_hour = o->steps_per_hour,
        .wants_series = o->wants_csv || (o->wants_json && o->wants_details),
        .draws = {.draws = (int)o->draws, .seed = o->seed, .progress = tell_progress, .with = &progress},
    };
    const lw_code code = lw_outlook_run(&request, answer, err);
    if (progress.is_told)
        fputs("\r\033[K", stderr);
    return code;
}

typedef struct drawing {
    const lw_outlook_answer *answer;
    lw_words_choice choice;
} drawing;

static lw_code put_svg(void *context, lw_sink *sink, lw_err *err)
{
    const drawing *d = context;
    lw_words *words = calloc(1, sizeof *words);
    lw_chart *chart = malloc(sizeof *chart);
    lw_code code = words && chart ? lw_words_make(d->answer, &d->choice, words, err)
                                  : lw_fail(err, LW_E_FULL, "no memory for a chart");
    if (!code && words && chart) {
        lw_chart_make(d->answer, words, &d->choice, 0, chart);
        lw_chart_svg(chart, &(lw_svg_options){0}, sink);
    }
    if (words)
        lw_words_clear(words);
    free(words);
    free(chart);
    return code;
}

static lw_code put_csv(void *context, lw_sink *sink, lw_err *err)
{
    return lw_outlook_csv(((const drawing *)context)->answer, sink, err);
}

static lw_code put_json(const order *o, const lw_outlook_answer *before, const lw_outlook_answer *after,
                        const lw_words_choice *choice, lw_sink *sink, lw_err *err)
{
    char *text = NULL;
    lw_code code = LW_OK;
    if (o->said_count > 0) {
        lw_what_if *what_if = malloc(sizeof *what_if);
        if (what_if) {
            lw_what_if_make(before, after, choice, what_if);
            text = lw_what_if_json(what_if, &(lw_what_if_json_options){.before = before,
                                                                       .after = after,
                                                                       .change = o->said,
                                                                       .change_count = o->said_count,
                                                                       .wants_assumptions = o->wants_assumptions,
                                                                       .version = LW_VERSION});
        }
        free(what_if);
        code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for JSON");
    } else
        code = lw_outlook_json(after,
                               &(lw_json_options){.choice = *choice,
                                                  .wants_assumptions = o->wants_assumptions,
                                                  .wants_series = o->wants_details,
                                                  .version = LW_VERSION},
                               &text, err);
    if (!code)
        lw_sink_text(sink, text);
    free(text);
    return code;
}

static lw_code put_report(const order *o, const lw_outlook_answer *before, const lw_outlook_answer *after,
                          const lw_words_choice *choice, lw_sink *sink, lw_err *err)
{
    const lw_report_options options = {.choice = *choice, .wants_details = o->wants_details};
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    if (o->wants_assumptions) {
        lw_report_assumptions(&screen, after, o->said_count > 0 ? before : NULL);
        return LW_OK;
    }
    if (o->said_count > 0)
        return lw_report_what_if(&screen, before, after, o->said, o->said_count, &options, err);
    return lw_report_put(&screen, after, &options, err);
}

/* Files first: when one cannot be written, nothing else is said than that. */
static lw_code put_answers(const order *o, const lw_outlook_answer *before, const lw_outlook_answer *after,
                           lw_sink *sink, lw_err *err)
{
    drawing d = {.answer = after,
                 .choice = {.units = o->units < 0 ? after->loaded.units : (lw_unit_system)o->units,
                            .is_12_hour = o->is_12_hour}};
    lw_code code = LW_OK;
    if (o->svg && !is_svg_out(o))
        code = lw_out_file(o->svg, put_svg, &d, err);
    if (!code && o->csv)
        code = lw_out_file(o->csv, put_csv, &d, err);
    if (code)
        return code;
    if (o->wants_json)
        return put_json(o, before, after, &d.choice, sink, err);
    if (o->wants_csv && !o->csv)
        return put_csv(&d, sink, err);
    if (is_svg_out(o))
        return put_svg(&d, sink, err);
    return put_report(o, before, after, &d.choice, sink, err);
}

/* A scenario that is not there is a wrong name, typed: no failure of the system. */
static int refuse_scenario(const lw_err *err)
{
    (void)lw_refuse(err);
    return LW_EXIT_INPUT;
}

static int answer_order(order *o)
{
    lw_err err = {0};
    lw_outlook_answer before = {0}, after = {0};
    lw_sink sink;
    lw_out_open(&sink);
    lw_code code = o->path && strcmp(o->path, "-") == 0 ? read_stdin(o, &err) : LW_OK;
    if (!code && o->said_count > 0)
        code = run_outlook(o, 0, &before, &err);
    code = code ? code : run_outlook(o, 1, &after, &err);
    int exit_code = LW_EXIT_DONE;
    if (code)
        exit_code = refuse_scenario(&err);
    else if (put_answers(o, &before, &after, &sink, &err))
        exit_code = lw_refuse(&err);
    else
        exit_code = lw_out_close(&sink);
    lw_outlook_answer_clear(&before);
    lw_outlook_answer_clear(&after);
    free(o->bytes);
    return exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.units = -1, .seed = 1};
    const int end = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (end == LW_ARGS_HELP)
        return lw_help_run(self);
    if (end == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    return answer_order(&o);
}

const lw_command lw_command_outlook = {
    .name = "outlook",
    .operands = "[FILE]",
    .what = "How long every supply of a stay lasts, and what ends the stay",
    .about =
        "FILE is a scenario, YAML or JSON: rig, crew, place, stay and weather, ten lines at the least; - reads it from "
        "standard input. What it leaves out comes from tables with their sources, and is listed by --assumptions. "
        "Without FILE the outlook is of the stay that the book follows (leeway begin), from the next full "
        "hour on, with levels and habits learned from its readings.\n\n"
        "The report names the supply that ends the stay and when, in the place's own time; then a line a supply, what "
        "ends first on top. Every supply's own leeway counts the others as topped up; what happens when shortages "
        "feed into one another is told apart from that.\n\n"
        "With --what-if the report and the JSON compare two scenarios; --svg and --csv are of the changed one, and "
        "--details "
        "adds nothing. For the whole answer of the changed one change a copy of FILE.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
