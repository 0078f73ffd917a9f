/* leeway begin: takes a scenario file into the book as the stay that is going on. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "service/household.h"
#include "service/learning.h"
#include "service/place_known.h"
#include "service/ledger.h"
#include "service/words.h"
#include "text/say.h"

enum { HELP, BOOK, NOW };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway begin camp.yaml", "from now on leeway outlook and leeway today need no file"},
};

typedef struct order {
    lw_kept_order kept;
    const char *path;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    o->kept.book = option == BOOK ? value : o->kept.book;
    return option == NOW ? lw_kept_now(value, &o->kept, err) : LW_OK;
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    o->path = lw_args_operand(args, 0);
    if (!o->path)
        return lw_fail(err, LW_E_MISSING, "name a scenario file, such as leeway begin camp.yaml");
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "begin takes one FILE");
    return lw_kept_open_order(&o->kept, err);
}

/* Where nobody said a rule and a map did. */
static void put_map_rule(lw_book *book, const lw_loaded *loaded, lw_sink *sink)
{
    lw_place_known known;
    const lw_place *at = &loaded->scenario->place;
    lw_place_known_find(book, (lw_spot){at->latitude_deg, at->longitude_deg}, &known);
    if (known.rule[0] && strcmp(known.rule_source, loaded->rule_source) == 0)
        lw_sink_print(sink, "Stay rule: %s; %s.\n", loaded->rule_words, loaded->rule_source);
}

/* How long one may stay, with all stays of the book. Nothing where no rule or permit says so. */
static void put_limit(lw_book *book, const lw_begun *begun, int64_t now_s, lw_sink *sink)
{
    lw_household home = {0};
    lw_err ignored = {0};
    char day[LW_WHEN];
    if (lw_household_load(book, now_s > begun->arrival_s ? now_s : begun->arrival_s, 0, &home, &ignored))
        return;
    const lw_ledger_left *left = &home.loaded.left;
    put_map_rule(book, &home.loaded, sink);
    if (left->is_limited && left->left_days == 0)
        lw_sink_text(sink, "By the rule here no day is left");
    else if (left->is_limited)
        lw_sink_print(sink, "By the rule here you may stay until %s", lw_civil_say(day, sizeof day, left->leave_day));
    if (left->is_limited && left->used_days > 0)
        lw_sink_print(sink, "; earlier stays have used %d of its days", left->used_days);
    if (left->is_limited)
        lw_sink_text(sink, ".\n");
    lw_household_clear(&home);
}

static void put_begun(const lw_begun *begun, lw_sink *sink)
{
    char when[LW_WHEN];
    lw_sink_print(sink, "The book now follows your stay at %s with %s, from %s", begun->place_name, begun->rig_name,
                  lw_when_print(when, sizeof when, &begun->zone, begun->arrival_s, 0));
    if (begun->departure_s)
        lw_sink_print(sink, " until %s", lw_when_print(when, sizeof when, &begun->zone, begun->departure_s, 0));
    lw_sink_text(sink, ".\n");
    if (begun->is_same)
        lw_sink_text(sink, "It is the stay that was going on: what you have read stays with it.\n");
    if (begun->ended_stay)
        lw_sink_text(sink, "The stay that was going on has ended there; leeway end --undo takes that back.\n");
}

/* The stay has begun whether there is a forecast or not. */
static void keep_forecast(lw_book *book, int64_t now_s)
{
    lw_err ignored = {0};
    (void)(lw_learning_first_forecast(book, now_s, &ignored) == LW_OK);
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.path = NULL};
    lw_book *book = NULL;
    lw_begun begun;
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    lw_sink sink;
    lw_out_open(&sink);
    lw_code code = lw_kept_open(&o.kept, LW_BOOK_CREATE, &book, &err);
    code = code ? code : lw_household_begin(book, o.path, o.kept.now_s, &begun, &err);
    if (!code) {
        put_begun(&begun, &sink);
        put_limit(book, &begun, o.kept.now_s, &sink);
    }
    if (!code && begun.arrival_s <= o.kept.now_s)
        keep_forecast(book, o.kept.now_s);
    lw_book_close(book);
    if (code) {
        const int exit_code = lw_refuse(&err);
        return access(o.path, R_OK) == 0 ? exit_code
                                         : LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    }
    return lw_out_close(&sink);
}

const lw_command lw_command_begin = {
    .name = "begin",
    .operands = "FILE",
    .what = "Take a scenario into the book as the stay that is going on",
    .about =
        "FILE is a scenario, as for leeway outlook. Its rig, crew and place go into the book, which is made where "
        "there "
        "is none, and its stay is the one that readings belong to from now on; leeway outlook and leeway today then "
        "need no FILE. A stay that was going on ends where this one begins. Beginning anew with a changed FILE "
        "describes rig, crew and place of the same names anew; earlier stays keep what they were begun with.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
