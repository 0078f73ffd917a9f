/* leeway log: a reading or an event into the book, in the words people type, answered with what was understood. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "book/id.h"
#include "service/entries_apply.h"
#include "service/household.h"
#include "service/learning.h"
#include "service/signal_log.h"
#include "service/words.h"
#include "text/say.h"

enum { HELP, BOOK, AT, UNDO, NOW, WORDS = 256, ANSWER = 4096 };

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

/* What was written into, where, and in which time. */
typedef struct desk {
    lw_book *book;
    lw_household home;
    int64_t at_s;
    int is_twice;
    char answer[ANSWER];
    lw_logged logged;
    lw_entry entry[LW_LOG_RECORDS];
    lw_entry_room room[LW_LOG_RECORDS];
} desk;

static void say(desk *d, const char *text)
{
    const size_t used = strlen(d->answer);
    snprintf(d->answer + used, sizeof d->answer - used, "%s%s", used ? "; " : "", text);
}

/* How many are at the table, as said last or as the crew has it. */
static lw_code people_before(desk *d, int *people, lw_err *err)
{
    lw_entries newest = {0};
    const lw_history last = {.stay = d->home.stay,
                             .kinds = 1u << LW_ENTRY_PEOPLE,
                             .limit = 1,
                             .to_s = d->at_s + 1,
                             .from_s = d->home.arrival_s};
    const lw_code code = lw_book_history(d->book, &last, &newest, err);
    *people = !code && newest.count && !isnan(newest.entry[0].amount) ? (int)newest.entry[0].amount
                                                                      : lw_people_at(&d->home.loaded, d->at_s);
    lw_entries_clear(&newest);
    return code;
}

static lw_code log_records(desk *d, const order *o, lw_err *err)
{
    lw_logged *logged = &d->logged;
    lw_entry *entry = d->entry;
    lw_id first = {{0}};
    char line[LW_ID_TEXT];
    lw_code code = lw_log_read(&d->home.loaded, d->at_s, o->word, o->count, logged, err);
    if (!code && logged->count > 1)
        code = lw_id_make(&first, err);
    (void)lw_id_print(line, sizeof line, &first);
    for (int i = 0; i < logged->count && !code; i++) {
        const lw_log_record *record = &logged->record[i];
        char text[LW_LOG_SAID];
        int people = 0;
        if (record->kind == LW_LOG_PEOPLE) {
            code = people_before(d, &people, err);
            if (!code && people + record->people < 0)
                code = lw_fail(err, LW_E_RANGE, "%d cannot leave: there are %d", -record->people, people);
            people += record->people;
        }
        lw_entry_of_record(&d->home.loaded, record, people, logged->count > 1 ? line : NULL, &d->room[i], &entry[i]);
        say(d, lw_log_say(&d->home.loaded, record, d->home.loaded.units, text, sizeof text));
        if (record->kind == LW_LOG_PEOPLE) {
            snprintf(text, sizeof text, "%d %s here", people, people == 1 ? "is" : "are");
            say(d, text);
        }
        entry[i].stay = d->home.stay;
        entry[i].device = o->kept.device;
        entry[i].device_s = o->kept.now_s;
        entry[i].is_clock_doubted = o->kept.is_doubted;
    }
    if (logged->count > 1)
        entry[0].id = first;
    for (int i = 0; i < logged->unknown_count && !code; i++) {
        char text[LW_NAME + 40];
        snprintf(text, sizeof text, "%s not known, nothing kept", logged->unknown[i]);
        say(d, text);
    }
    return code || logged->count == 0 ? code : lw_book_append(d->book, entry, (size_t)logged->count, err);
}

static lw_code log_signal(desk *d, const order *o, lw_err *err)
{
    lw_signal signal;
    lw_entry entry;
    char target[LW_SIGNAL_TARGET], detail[LW_SIGNAL_DETAIL], said[LW_SIGNAL_SAID], text[LW_SIGNAL_SAID] = "";
    lw_code code = lw_signal_read(o->word + 1, o->count - 1, &signal, err);
    if (code)
        return code;
    for (int i = 0; i < o->count; i++) {
        const size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "%s%s", i ? " " : "", o->word[i]);
    }
    lw_entry_of_signal(&signal, target, detail, &entry);
    entry.stay = d->home.stay;
    entry.device = o->kept.device;
    entry.device_s = o->kept.now_s;
    entry.is_clock_doubted = o->kept.is_doubted;
    entry.stated_s = d->at_s;
    entry.said = text;
    say(d, lw_signal_say(&signal, said, sizeof said));
    return lw_book_append(d->book, &entry, 1, err);
}

static void say_undone(desk *d, const lw_entry *entry)
{
    lw_log_record record;
    char text[LW_LOG_SAID];
    if (lw_record_of_entry(&d->home.loaded, entry, &record))
        say(d, lw_log_say(&d->home.loaded, &record, d->home.loaded.units, text, sizeof text));
    else
        say(d, entry->said ? entry->said : lw_entry_word(entry->kind));
}

/* What was typed in the same line as an entry that is taken back already. */
static lw_code undo_line(desk *d, const order *o, const lw_entry *of, lw_err *err)
{
    char line[LW_ID_TEXT], other[LW_ID_TEXT];
    lw_entries same_time = {0};
    const lw_history which = {.from_s = of->stated_s, .to_s = of->stated_s + 1};
    if (!*lw_entry_line(of, line, sizeof line))
        return LW_OK;
    lw_code code = lw_book_history(d->book, &which, &same_time, err);
    for (size_t i = 0; i < same_time.count && !code; i++) {
        const lw_entry *entry = &same_time.entry[i];
        if (strcmp(lw_entry_line(entry, other, sizeof other), line) != 0)
            continue;
        code = lw_book_undo(d->book, &entry->id, entry->device, o->kept.here_s, NULL, err);
        say_undone(d, entry);
    }
    lw_entries_clear(&same_time);
    return code;
}

static lw_code undo(desk *d, const order *o, lw_err *err)
{
    lw_entries undone = {0};
    lw_code code = lw_book_begin(d->book, err);
    if (code)
        return code;
    code = lw_book_undo(d->book, NULL, LW_KEPT_DEVICE, o->kept.here_s, &undone, err);
    if (!code && undone.count) {
        d->at_s = undone.entry[0].stated_s;
        say_undone(d, &undone.entry[0]);
        code = undo_line(d, o, &undone.entry[0], err);
    }
    lw_entries_clear(&undone);
    return lw_book_end(d->book, code, err);
}

/* What is paid or taken back after the stay is over belongs to it all the same. */
static int is_for_the_last(const order *o)
{
    const char *word = o->count > 0 ? o->word[0] : "";
    return o->is_undo || strncmp(word, "spent", 5) == 0 || strncmp(word, "paid", 4) == 0;
}

static lw_code work(desk *d, const order *o, lw_err *err)
{
    lw_code code = lw_kept_open(&o->kept, LW_BOOK_WRITE, &d->book, err);
    if (!code)
        code = is_for_the_last(o) ? lw_household_load_last(d->book, o->kept.here_s, &d->home, err)
                                  : lw_household_load(d->book, o->kept.here_s, 0, &d->home, err);
    if (code)
        return code;
    if (o->is_undo)
        return undo(d, o, err);
    if (o->kept.is_doubted && o->at) {
        (void)lw_fail(err, LW_E_CONFLICT, "%s", o->kept.ask);
        return lw_err_at(err, "--at", 0, NULL);
    }
    if (lw_log_time(&d->home.loaded.zone, o->at, o->kept.now_s, d->home.arrival_s, &d->at_s, &d->is_twice, err))
        return lw_err_at(err, "--at", 0, NULL);
    const int is_signal = o->count > 0 && strcmp(o->word[0], "signal") == 0;
    return is_signal ? log_signal(d, o, err) : log_records(d, o, err);
}

/* "-1" of "people -1" is no option: it is handed to the options' reader with a blank before it. */
static char **shielded(int argc, char **argv)
{
    char **copy = calloc((size_t)argc + 1, sizeof *copy);
    for (int i = 0; copy && i < argc; i++) {
        const int is_number = argv[i][0] == '-' && argv[i][1] >= '0' && argv[i][1] <= '9';
        const size_t n = strlen(argv[i]) + 2;
        copy[i] = malloc(n);
        if (copy[i])
            snprintf(copy[i], n, "%s%s", is_number && i > 0 ? " " : "", argv[i]);
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
static void learn_ahead(const desk *d, const order *o)
{
    lw_err ignored = {0};
    if (isatty(STDOUT_FILENO))
        (void)(lw_learning_keep(d->book, o->kept.now_s, &ignored) == LW_OK);
}

static int answer(order *o, lw_err *err)
{
    desk *d = calloc(1, sizeof *d);
    char when[LW_WHEN];
    lw_sink sink;
    if (!d) {
        (void)lw_fail(err, LW_E_FULL, "not enough memory");
        return lw_refuse(err);
    }
    lw_out_open(&sink);
    lw_code code = lw_kept_open_order(&o->kept, err);
    code = code ? code : work(d, o, err);
    if (!code) {
        lw_sink_text(&sink, o->is_undo ? "taken back: " : "");
        lw_sink_text(&sink, d->answer);
        if (o->kept.is_doubted && !o->is_undo)
            lw_sink_print(&sink, ", time not known\n%s; what is kept until then moves with it\n", o->kept.ask);
        else
            lw_sink_print(&sink, ", %s\n", lw_when_print(when, sizeof when, &d->home.loaded.zone, d->at_s, 0));
        if (d->is_twice)
            lw_sink_text(&sink, "the clock shows that time twice; the first was taken\n");
    }
    const int exit_code = lw_out_close(&sink);
    if (!code)
        learn_ahead(d, o);
    lw_household_clear(&d->home);
    lw_book_close(d->book);
    free(d);
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
        "people +2 (came), people -1 (left), moved PLACE, spent 23.50 USD propane, habits changed.\n\n"
        "Signal by thumb: signal carrier=NAME with any of bars=3, dbm=-98, down=\"12 Mbit/s\", up=, call=yes, device=, "
        "antenna=; leeway history --signal shows it by hour of day.\n\n"
        "One line says what was understood. It is in the book then, and stays there through a power cut.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
