/* leeway log: a reading or an event into the book, in the words people type, answered with what was understood. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "service/learning.h"
#include "service/logbook.h"
#include "text/say.h"

enum { HELP, BOOK, AT, UNDO, NOW, WORDS = 256 };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [BOOK] = {"book", 'b', "FILE", 0, "the book; without it leeway/book.sqlite in the data folder of this user"},
    [AT] = {"at", 'a', "TIME", 0, "when it was so, by the clock of the place: \"2026-06-18 7:30\", or 7:30 of today"},
    [UNDO] = {"undo", 'u', NULL, 0, "take back what was logged last; again for what was logged before it"},
    [NOW] = {"now", 0, "TIME", 0, "take this for the time it is, such as 2026-06-18T13:30Z: to try things out"},
};

static const lw_example EXAMPLES[] = {
    {"leeway log fresh=2/3 grey=1/3 battery=12.4V", "what the gauges show now"},
    {"leeway log \"kitchen grey=1/3\" propane=\"14 lb\" --at 7:30", "names and values with blanks, earlier today"},
    {"leeway log fresh=\"2/3 to 1/3\"", "the light changed just now: the best reading there is"},
    {"leeway log dumped grey black", "an event: verb first, then what it was done to"},
    {"leeway log gave fresh 5 gal to Marlow", "so much, to whom"},
    {"leeway log spent 23.50 USD propane", "money: how much, in USD, CAD or MXN, and what for"},
    {"leeway log signal carrier=Anycell bars=3 down=\"12 Mbit/s\" call=yes", "signal by thumb, kept with its hour"},
};

typedef struct order {
    lw_kept_order kept;
    const char *at;
    int is_undo;
    const char *word[WORDS];
    int count;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    if (option == BOOK)
        o->kept.book = value;
    if (option == AT)
        o->at = value;
    o->is_undo |= option == UNDO;
    return option == NOW ? lw_kept_now(value, &o->kept, err) : LW_OK;
}

/* "-1" of "people -1" and "-Ada" are no options: they are handed to the options' reader with a blank before it. Behind
 * "people" a small letter begins a name too, unless it stands alone. */
static char **shielded(int argc, char **argv)
{
    char **copy = calloc((size_t)argc + 1, sizeof *copy);
    int is_people = 0;
    for (int i = 0; copy && i < argc; i++) {
        const char second = argv[i][0] == '-' ? argv[i][1] : '\0';
        const int is_name = second && second != '-' && argv[i][2] && is_people;
        const int is_word = is_name || (second >= '0' && second <= '9') || (second >= 'A' && second <= 'Z');
        const size_t n = strlen(argv[i]) + 2;
        copy[i] = malloc(n);
        if (copy[i])
            snprintf(copy[i], n, "%s%s", is_word && i > 0 ? " " : "", argv[i]);
        is_people |= strcmp(argv[i], "people") == 0;
    }
    return copy;
}

static lw_code take_words(const lw_args *args, order *o, lw_err *err)
{
    o->count = lw_args_operand_count(args);
    if (o->count > WORDS)
        return lw_fail(err, LW_E_FULL, "this line is too long");
    for (int i = 0; i < o->count; i++) {
        const char *word = lw_args_operand(args, i);
        o->word[i] = word + strspn(word, " ");
    }
    if (o->is_undo && (o->count || o->at))
        return lw_fail(err, LW_E_SYNTAX, "--undo stands alone: it takes back what was logged last");
    return LW_OK;
}

/* The line is in the book and its answer is out: while a person reads it, what it says is learned, so that the next question
 * need not wait. A script would only wait for it; and when it fails or is broken off, the next question learns for itself. */
static void learn_ahead(lw_book *book, const order *o)
{
    lw_err ignored = {0};
    if (isatty(STDOUT_FILENO))
        (void)(lw_learning_keep(book, o->kept.now_s, &ignored) == LW_OK);
}

static lw_code work(lw_book *book, const order *o, lw_log_answer *answer, lw_err *err)
{
    if (o->is_undo)
        return lw_logbook_undo(book, &(lw_log_undo){.device = LW_KEPT_DEVICE, .now_s = o->kept.here_s}, answer, err);
    if (o->kept.is_doubted && o->at) {
        (void)lw_fail(err, LW_E_CONFLICT, "%s", o->kept.ask);
        return lw_err_at(err, "--at", 0, NULL);
    }
    return lw_logbook_log(book,
                          &(lw_log_line){.word = o->word,
                                         .count = o->count,
                                         .at = o->at,
                                         .now_s = o->kept.now_s,
                                         .here_s = o->kept.here_s,
                                         .is_clock_doubted = o->kept.is_doubted,
                                         .device = o->kept.device},
                          answer, err);
}

static void put_answer(const order *o, const lw_log_answer *answer, lw_sink *sink)
{
    lw_sink_text(sink, o->is_undo ? "taken back: " : "");
    for (int i = 0; i < answer->count; i++) {
        lw_sink_text(sink, i ? "; " : "");
        lw_sink_text(sink, answer->said[i]);
    }
    if (o->kept.is_doubted && !o->is_undo)
        lw_sink_print(sink, ", time not known\n%s; what is kept until then moves with it\n", o->kept.ask);
    else
        lw_sink_print(sink, ", %s\n", answer->when);
    if (answer->is_twice)
        lw_sink_text(sink, "the clock shows that time twice; the first was taken\n");
}

static int answer(order *o, lw_err *err)
{
    lw_log_answer *said = calloc(1, sizeof *said);
    lw_book *book = NULL;
    lw_sink sink;
    if (!said) {
        (void)lw_fail(err, LW_E_FULL, "not enough memory");
        return lw_refuse(err);
    }
    lw_out_open(&sink);
    lw_code code = lw_kept_open_order(&o->kept, err);
    code = code ? code : lw_kept_open(&o->kept, LW_BOOK_WRITE, &book, err);
    code = code ? code : work(book, o, said, err);
    if (!code)
        put_answer(o, said, &sink);
    free(said);
    const int exit_code = lw_out_close(&sink);
    if (!code)
        learn_ahead(book, o);
    lw_book_close(book);
    return code ? lw_refuse(err) : exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    order o = {.kept = {.keeps_doubt = 1}};
    lw_args args;
    lw_err err = {0};
    char **words = shielded(argc, argv);
    const int option = words ? lw_args_take(&args, self, argc, words, take_option, &o, &err) : LW_ARGS_BAD;
    int exit_code;
    if (option == LW_ARGS_HELP)
        exit_code = lw_help_run(self);
    else if (option == LW_ARGS_BAD || take_words(&args, &o, &err))
        exit_code = lw_refuse(&err);
    else
        exit_code = answer(&o, &err);
    for (int i = 0; words && i < argc; i++)
        free(words[i]);
    free(words);
    return exit_code;
}

const lw_command lw_command_log = {
    .name = "log",
    .operands = "NAME=VALUE... | EVENT",
    .what = "Log what a gauge shows or what was done, into the current stay",
    .about =
        "A reading is NAME=VALUE, as many as you like in one line. NAME is what you call a tank, a cylinder or a plan "
        "in "
        "your rig, or its supply where there is only one of it (fresh, grey, black, drinking, propane, fuel, rubbish, "
        "data, food), battery or generator; its beginning is enough. VALUE is what the gauge shows: 2/3, full, empty, "
        "40 %, 12.4V, \"12.4V at rest\", \"14 lb\", 2bags, \"12 GB\" (what is left), 412.3h. ? is \"I do not know\" "
        "and is "
        "kept as nothing. By eye, whatever the gauge: \"about 1/2\". The light changed just now: \"2/3 to 1/3\". What "
        "the "
        "gauge cannot show is refused with what it can.\n\n"
        "An event is a verb and what it was done to, one in a line: filled fresh (to the brim), filled fresh 20 gal, "
        "filled fresh 20 gal to the brim (metered: it tells what was missing), "
        "refuelled 12 gal, dumped grey black, dropped rubbish, gave fresh 5 gal to NAME, received fuel 2 gal from "
        "NAME, sanitised fresh, "
        "people +2 (came), people -1 (left), people -NAME, people +1 child until 2026-06-20, moved PLACE, spent 23.50 "
        "USD propane, habits changed.\n\n"
        "Signal by thumb: signal carrier=NAME with any of bars=3, dbm=-98, down=\"12 Mbit/s\", up=, call=yes, device=, "
        "antenna=; leeway history --signal shows it by hour of day.\n\n"
        "One line says what was understood. It is in the book then, and stays there through a power cut.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
