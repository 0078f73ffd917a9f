/* leeway plan rhythm: a long stay, how often each service comes round. */
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
#include "cli/plan_order.h"
#include "cli/screen.h"
#include "cli/waiting.h"
#include "service/household.h"
#include "service/rhythm.h"
#include "text/say.h"

enum { HELP, DAYS, SERVICES, CONFIDENCE, HOUR_VALUE, JSON, CLOCK, DRAWS, FRESH, SEED, BOOK, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = LW_PLAN_HELP_OPTION,
    [DAYS] = {"days", 0, "N", 0, "how long the stay is, 1 to 240 days; without it until the scenario's departure"},
    [SERVICES] = {"services", 's', "FILE", 0,
                  "services around the place and ways to get there: ways and costs of runs"},
    [CONFIDENCE] = {"confidence", 'c', "SHARE", 0,
                    "how sure each supply must last to its next turn: 0.5 to 0.99; without it 0.8"},
    [HOUR_VALUE] = {"hour-value", 0, "USD", 0, "what an hour of your time is worth; without it 10"},
    [JSON] = LW_PLAN_JSON_OPTION,
    [CLOCK] = LW_PLAN_CLOCK_OPTION,
    [DRAWS] = {"draws", 0, "N", 0, "possible courses of each month; without it 128"},
    [FRESH] = LW_PLAN_FRESH_OPTION,
    [SEED] = LW_PLAN_SEED_OPTION,
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = LW_PLAN_ASCII_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway plan rhythm camp.yaml --days 180", "how often each service comes round, month by month"},
    {"leeway plan rhythm camp.yaml --days 180 --services errands.yaml", "with ways and costs"},
};

typedef struct order {
    lw_rhythm_wish wish;
    const char *services;
    lw_kept_order kept;
    int wants_json, wants_ascii;
    uint64_t days, draws, fresh;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case DAYS:
        return lw_args_whole("days", value, 1, LW_RHYTHM_DAYS, &o->days, err);
    case SERVICES:
        o->services = value;
        return LW_OK;
    case CONFIDENCE:
        return lw_args_confidence(value, &o->wish.confidence_frac, err);
    case HOUR_VALUE:
        return lw_plan_number("hour-value", value, 0.0, 1000.0, &o->wish.hour_usd, err);
    case JSON:
        o->wants_json = 1;
        return LW_OK;
    case CLOCK:
        return lw_args_clock(value, &o->wish.choice.is_12_hour, err);
    case DRAWS:
        return lw_args_whole("draws", value, 16, 4096, &o->draws, err);
    case FRESH:
        return lw_args_whole("fresh", value, LW_PLAN_FRESH_LEAST, LW_PLAN_FRESH_MOST, &o->fresh, err);
    case SEED:
        return lw_args_whole("seed", value, 0, UINT64_MAX, &o->wish.seed, err);
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

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "plan rhythm takes one FILE at most, a scenario");
    o->wish.path = lw_args_operand(args, 0);
    o->wish.days = (int)o->days;
    o->wish.draws = (int)o->draws;
    o->wish.fresh = (int)o->fresh;
    const lw_code code = lw_kept_open_order(&o->kept, err);
    o->wish.now_s = o->kept.now_s;
    return code;
}

static void put_report(const order *o, const lw_long_stay *r, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, r->headline, 0, 0);
    if (r->limit[0])
        lw_put_wrapped(&screen, LW_PAINT_WARM, r->limit, 0, 0);
    for (int i = 0; i < r->month_count; i++) {
        lw_put_end(&screen);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, r->month[i].sentence, 0, 2);
        lw_put_blank(&screen, 2);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, r->month[i].cost_sentence, 2, 2);
    }
    lw_put_end(&screen);
    if (r->ask[0])
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, r->ask, 0, 0);
    lw_put_wrapped(&screen, LW_PAINT_FAINT, r->note, 0, 0);
}

/* Of the book: the scenario of its stay as text. */
static lw_code take_stay(order *o, char **text, lw_err *err)
{
    lw_book *book = NULL;
    if (o->wish.path)
        return LW_OK;
    lw_code code = lw_kept_open_for(&o->kept, 1, &book, err);
    code = code ? code : lw_household_scenario(book, o->kept.now_s, text, err);
    lw_book_close(book);
    if (code)
        return code;
    o->wish.path = "the book's stay";
    o->wish.bytes = *text;
    o->wish.size = strlen(*text);
    return LW_OK;
}

static lw_code answer_order(order *o, lw_sink *sink, lw_err *err)
{
    lw_errands errands;
    char *text = NULL;
    lw_long_stay *rhythm = calloc(1, sizeof *rhythm);
    if (!rhythm)
        return lw_fail(err, LW_E_FULL, "no memory for a rhythm");
    lw_code code = take_stay(o, &text, err);
    if (!code && o->services)
        code = lw_errands_load(o->services, &errands, err);
    lw_waiting waiting;
    lw_waiting_begin(&waiting);
    o->wish.progress = lw_waiting_tell;
    o->wish.with = &waiting;
    code = code ? code : lw_rhythm_make(&o->wish, o->services ? &errands : NULL, rhythm, err);
    lw_waiting_end(&waiting);
    o->wish.progress = NULL;
    o->wish.with = NULL;
    if (!code && o->wants_json) {
        char *json = lw_rhythm_json(rhythm, o->services ? &errands : NULL, LW_VERSION);
        code = json ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for JSON");
        if (json)
            lw_sink_text(sink, json);
        free(json);
    } else if (!code)
        put_report(o, rhythm, sink);
    free(text);
    free(rhythm);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    order o = {.draws = LW_RHYTHM_DRAWS_USUAL, .wish = {.confidence_frac = 0.8, .hour_usd = NAN, .seed = 1}};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    if (answer_order(&o, &sink, &err)) {
        (void)lw_refuse(&err);
        return LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    }
    return lw_out_close(&sink);
}

const lw_command lw_command_plan_rhythm = {
    .name = "plan rhythm",
    .operands = "[FILE]",
    .what = "A long stay: how often each service comes round, and what a month costs",
    .about = "For stays of up to 240 days, as under a seasonal permit, where nothing ends but things come round: for "
             "each month the run that "
             "is due every so many days, what is served with each of them and what with every second or third, and the "
             "money it takes in "
             "runs, gas and generator fuel. It comes from the climate of each month. Without FILE: the stay that your "
             "book follows.\n\n"
             "Days and hours of the next runs are for leeway plan runs. What a place allows counts more than any "
             "rhythm: long stays take a "
             "permit nearly everywhere.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
