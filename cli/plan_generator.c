/* leeway plan generator: when to run the generator in the coming days. */
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
#include "cli/report.h"
#include "cli/screen.h"
#include "service/generator_plan.h"
#include "service/plan_source.h"
#include "text/say.h"

enum { HELP, UNTIL, CONFIDENCE, KEEP, ASSUMPTIONS, JSON, UNITS, CLOCK, DRAWS, FRESH, SEED, BOOK, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [UNTIL] = {"until", 0, "WHEN", 0, "plan until then, instead of the departure; 14 days at most"},
    [CONFIDENCE] = {"confidence", 'c', "SHARE", 0,
                    "how sure it must be that the battery stays above its floor: 0.5 to 0.99; without it 0.8"},
    [KEEP] = {"keep-plan", 'k', NULL, 0,
              "the stay of your book goes by these windows from now on, in place of those kept before"},
    [ASSUMPTIONS] = {"assumptions", 'a', NULL, 0,
                     "every price and every value that is not in your file, with its source"},
    [JSON] = {"json", 'j', NULL, 0, "the whole answer as JSON on standard output, amounts in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it those of the scenario"},
    [CLOCK] = {"clock", 0, "12|24", 0, "6:40 pm or 18:40; without it 24"},
    [DRAWS] = {"draws", 0, "N", 0, "possible courses that say how poor a day can be; without it 256"},
    [FRESH] = LW_PLAN_FRESH_OPTION,
    [SEED] = {"seed", 0, "N", 0, "which draws; without it 1"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway plan generator camp.yaml", "when to run it until you leave, and when it can be left out"},
    {"leeway plan generator camp.yaml --confidence 90% --until \"2026-06-14 10:00\"", "surer, and for a few days"},
    {"leeway plan generator --keep-plan", "the outlook, today and the calendar go by it afterwards"},
};

typedef struct order {
    lw_plan_source source;
    lw_generator_wish wish;
    lw_kept_order kept;
    int wants_keep, wants_assumptions, wants_json, wants_ascii, is_12_hour;
    int units; /* -1: the scenario's */
    uint64_t draws, fresh, seed;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case UNTIL:
        o->source.until = value;
        return LW_OK;
    case CONFIDENCE:
        return lw_args_confidence(value, &o->wish.confidence_frac, err);
    case KEEP:
        o->wants_keep = 1;
        return LW_OK;
    case ASSUMPTIONS:
        o->wants_assumptions = 1;
        return LW_OK;
    case JSON:
        o->wants_json = 1;
        return LW_OK;
    case UNITS:
        return lw_args_units(value, &o->units, err);
    case CLOCK:
        return lw_args_clock(value, &o->is_12_hour, err);
    case DRAWS:
        return lw_args_whole("draws", value, 16, 4096, &o->draws, err);
    case FRESH:
        return lw_args_whole("fresh", value, LW_PLAN_FRESH_LEAST, LW_PLAN_FRESH_MOST, &o->fresh, err);
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

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "plan generator takes one FILE at most, a scenario");
    o->source.path = lw_args_operand(args, 0);
    if (o->source.path && o->wants_keep)
        return lw_fail(err, LW_E_CONFLICT, "--keep-plan is for the stay of your book; leave out FILE");
    o->wish.draws = (int)o->draws;
    o->wish.fresh = (int)o->fresh;
    o->source.seed = o->seed;
    const lw_code code = lw_kept_open_order(&o->kept, err);
    o->source.now_s = o->kept.now_s;
    return code;
}

static void put_report(const order *o, const lw_generator_plan *p, const lw_loaded *named, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, p->headline, 0, 0);
    for (int i = 0; i < p->run_count; i++) {
        char number[16];
        snprintf(number, sizeof number, "%2d  ", i + 1);
        lw_put(&screen, LW_PAINT_PLAIN, number);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, p->run[i].sentence, 4, 4);
    }
    if (p->measured[0])
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, p->measured, 0, 0);
    if (p->work_count > 0)
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, p->work[0].sentence, 0, 0);
    if (p->fuel_sentence[0])
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, p->fuel_sentence, 0, 0);
    if (p->note[0])
        lw_put_wrapped(&screen, LW_PAINT_FAINT, p->note, 0, 0);
    if (p->is_needed) {
        lw_put_end(&screen);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, p->caution.text, 0, 0);
    }
    if (o->wants_keep)
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, "Kept: outlook, today and the calendar go by it.", 0, 0);
    if (o->wants_assumptions)
        lw_report_grounds(&screen, &p->prices, named);
}

static lw_code put_answer(const order *o, const lw_generator_plan *p, const lw_loaded *named, lw_sink *sink,
                          lw_err *err)
{
    if (!o->wants_json) {
        put_report(o, p, named, sink);
        return LW_OK;
    }
    char *text = lw_generator_plan_json(p, named, LW_VERSION);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for JSON");
    lw_sink_text(sink, text);
    free(text);
    return LW_OK;
}

static lw_code find_plan(order *o, lw_loaded *named, lw_generator_plan *plan, lw_err *err)
{
    lw_draw_start *start = NULL;
    uint32_t start_count = 0;
    lw_code code = plan ? LW_OK : lw_fail(err, LW_E_FULL, "no memory to plan the generator");
    if (!code && !o->source.path)
        code = lw_kept_open_for(&o->kept, 1, &o->source.book, err);
    code = code ? code : lw_plan_source_open(&o->source, err);
    if (code)
        return code;
    lw_trials trials = lw_plan_source_trials(&o->source);
    code = trials.load(trials.with, NULL, 0, named, &start, &start_count, err);
    o->wish.choice =
        (lw_words_choice){.units = o->units < 0 ? named->units : (lw_unit_system)o->units, .is_12_hour = o->is_12_hour};
    code = code ? code : lw_generator_plan_make(&trials, &o->wish, plan, err);
    free(start);
    lw_plan_source_close(&o->source);
    return code || !o->wants_keep ? code : lw_generator_plan_keep(o->source.book, o->kept.now_s, plan, err);
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    lw_loaded named = {0};
    order o = {.units = -1, .seed = 1, .draws = LW_GENERATOR_DRAWS_USUAL, .wish = {.confidence_frac = 0.8}};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    lw_generator_plan *plan = malloc(sizeof *plan);
    int exit_code;
    lw_out_open(&sink);
    if (find_plan(&o, &named, plan, &err)) {
        (void)lw_refuse(&err);
        exit_code = LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    } else if (put_answer(&o, plan, &named, &sink, &err))
        exit_code = lw_refuse(&err);
    else
        exit_code = lw_out_close(&sink);
    lw_book_close(o.source.book);
    lw_loaded_clear(&named);
    free(plan);
    return exit_code;
}

const lw_command lw_command_plan_generator = {
    .name = "plan generator",
    .operands = "[FILE]",
    .what = "When to run the generator, and when it can be left out",
    .about = "The windows of whole hours, inside the hours it may run, that keep the battery above its floor until you "
             "leave (14 days at "
             "most) with the wished confidence, for the least fuel, running time and bother. A battery takes less the "
             "fuller it is, so "
             "short hours from low come out, not long ones near full. Calls, lessons, naps and neighbours cost what "
             "rig.generator.bother says; what needs the current anyway (rig.generator.needs) is met in the same "
             "windows. Without FILE: "
             "the stay that your book follows.\n\n"
             "Each window says from which battery level on it can be left out. Days in the choice are as poor as they "
             "are in an aimed "
             "share of possible courses; the chance you read is then measured on 10,000 fresh ones, and the aim is the "
             "lowest that "
             "reaches your wish.\n\n"
             "Exhaust kills: the caution under the plan comes before it, and so do the place's rules and the maker's "
             "manual.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
