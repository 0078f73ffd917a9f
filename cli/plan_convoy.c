/* leeway plan convoy: several rigs at one place, one plan of errands for all. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/options.h"
#include "cli/out.h"
#include "cli/plan_order.h"
#include "cli/screen.h"
#include "service/convoy.h"
#include "text/say.h"

enum { HELP, SERVICES, SHARE, LEND, HOUSEHOLD, HOUR_VALUE, UNTIL, CHANCE, JSON, UNITS, CLOCK, SEED, BOOK, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = LW_PLAN_HELP_OPTION,
    [SERVICES] = {"services", 's', "FILE", 0, "services around the place; needed, but for --share"},
    [SHARE] = {"share", 0, NULL, 0, "write your own share file from FILE, a scenario, or from your book"},
    [LEND] = {"lend", 'l', "THING", 0,
              "with --share: a thing you lend, such as \"{thing: bladder, water: 45 gal}\"; may be repeated"},
    [HOUSEHOLD] = {"household", 0, "NAME", 0, "with --share: your name in the convoy; without it your rig's"},
    [HOUR_VALUE] = {"hour-value", 0, "USD", 0, "with --share: what an hour of your time is worth; without it 10"},
    [UNTIL] = LW_PLAN_UNTIL_OPTION,
    [CHANCE] = {"chance", 'c', "SHARE", 0, "with --share: how sure each supply must last: 0.5 to 0.99; without it 0.8"},
    [JSON] = LW_PLAN_JSON_OPTION,
    [UNITS] = LW_PLAN_UNITS_OPTION,
    [CLOCK] = LW_PLAN_CLOCK_OPTION,
    [SEED] = LW_PLAN_SEED_OPTION,
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = LW_PLAN_ASCII_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway plan convoy --share camp.yaml --lend \"{thing: vehicle, name: truck, water: 60 gal}\" > ours.json",
     "what your household tells the others"},
    {"leeway plan convoy ours.json theirs.json --services errands.yaml", "one plan of errands for all"},
};

typedef struct order {
    lw_plan_order plan;
    lw_convoy_thing thing[LW_CONVOY_THINGS];
    lw_convoy_share_wish share;
    const char *services;
    int wants_share;
} order;

static lw_code take_thing(const char *value, order *o, lw_err *err)
{
    if (o->share.thing_count == LW_CONVOY_THINGS)
        return lw_fail(err, LW_E_FULL, "at most %d things are lent", LW_CONVOY_THINGS);
    return lw_convoy_thing_read("--lend", value, &o->thing[o->share.thing_count++], err);
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    lw_code code = LW_OK;
    switch (option) {
    case SERVICES:
        o->services = value;
        return LW_OK;
    case SHARE:
        o->wants_share = 1;
        return LW_OK;
    case LEND:
        return take_thing(value, o, err);
    case HOUSEHOLD:
        o->share.household = value;
        return LW_OK;
    case HOUR_VALUE:
        return lw_plan_number("hour-value", value, 0.0, 1000.0, &o->share.hour_usd, err);
    default:
        (void)lw_plan_order_take(&o->plan, OPTIONS[option].name, value, &code, err);
        return code;
    }
}

/* ---- one household ---- */

static lw_code share(const lw_args *args, order *o, lw_sink *sink, lw_err *err)
{
    char *text = NULL;
    o->share.thing = o->thing;
    o->share.draws = LW_CONVOY_SHARE_DRAWS;
    lw_code code = lw_plan_order_check(args, "plan convoy --share", &o->plan, err);
    code = code ? code : lw_plan_order_open(&o->plan, err);
    if (code)
        return code;
    o->share.confidence_frac = o->plan.confidence_frac;
    code = lw_convoy_share(&o->plan.trials, &o->share, &text, err);
    if (!code)
        lw_sink_text(sink, text);
    free(text);
    return code;
}

/* ---- all of them ---- */

static void put_report(const order *o, const lw_convoy *c, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->plan.wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, c->headline, 0, 0);
    for (int i = 0; i < c->run_count; i++) {
        char number[16];
        snprintf(number, sizeof number, "%2d  ", i + 1);
        lw_put(&screen, LW_PAINT_PLAIN, number);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, c->run[i].sentence, 4, 4);
    }
    lw_put_end(&screen);
    for (int i = 0; i < c->count; i++)
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, c->member[i].sentence, 0, 2);
    for (int i = 0; i < c->loan_count; i++)
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, c->loan[i], 0, 2);
    if (c->ask[0])
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, c->ask, 0, 0);
    lw_put_wrapped(&screen, LW_PAINT_FAINT, c->rule, 0, 0);
}

static lw_code plan(const lw_args *args, const order *o, lw_sink *sink, lw_err *err)
{
    lw_convoy_rig rig[LW_CONVOY_RIGS];
    lw_errands errands;
    lw_code code = LW_OK;
    const int count = lw_args_operand_count(args);
    if (!o->services)
        return lw_fail(err, LW_E_MISSING,
                       "name the file of services with --services FILE; docs/use/convoy.md shows one");
    if (count < 2 || count > LW_CONVOY_RIGS)
        return lw_fail(err, LW_E_SYNTAX, "plan convoy takes 2 to %d share files; --share writes one", LW_CONVOY_RIGS);
    for (int i = 0; i < count && !code; i++)
        code = lw_convoy_load(lw_args_operand(args, i), &rig[i], err);
    code = code ? code : lw_errands_load(o->services, &errands, err);
    if (code)
        return code;
    lw_convoy *convoy = calloc(1, sizeof *convoy);
    if (!convoy)
        return lw_fail(err, LW_E_FULL, "no memory to plan for a convoy");
    const lw_words_choice choice = {.units = o->plan.units < 0 ? LW_UNITS_US : (lw_unit_system)o->plan.units,
                                    .is_12_hour = o->plan.is_12_hour};
    code = lw_convoy_plan(rig, count, &errands, &choice, convoy, err);
    if (!code && o->plan.wants_json) {
        char *json = lw_convoy_json(convoy, LW_VERSION);
        code = json ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for JSON");
        if (json)
            lw_sink_text(sink, json);
        free(json);
    } else if (!code)
        put_report(o, convoy, sink);
    free(convoy);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    order o = {.plan = LW_PLAN_ORDER_USUAL, .share = {.hour_usd = NAN}};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD)
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code = o.wants_share ? share(&args, &o, &sink, &err) : plan(&args, &o, &sink, &err);
    lw_plan_order_close(&o.plan);
    if (code) {
        (void)lw_refuse(&err);
        return LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    }
    return lw_out_close(&sink);
}

const lw_command lw_command_plan_convoy = {
    .name = "plan convoy",
    .operands = "[FILE]...",
    .what = "Several rigs at one place: one plan of errands for all",
    .about =
        "Each household writes a share file: how long its supplies last, when its driver is free, and which things it "
        "lends, a vehicle, a water "
        "bladder, a generator, tools; nothing else of it is in there. From 2 to 6 of them and a file of services comes "
        "one plan of "
        "errands: who drives when, what is brought for whom, how each would fare by itself, and what each pays.\n\n"
        "With --share FILE is a scenario, or without FILE the stay that your book follows, and the share file goes to "
        "standard output. "
        "Carry drinking water in clean vessels of its own, and no more than vehicle and tyres may bear.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
