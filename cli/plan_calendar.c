/* leeway plan calendar: the plans of a stay as a calendar file. */
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
#include "service/learning.h"
#include "service/plan_calendar.h"
#include "service/plan_source.h"
#include "text/say.h"

enum {
    HELP,
    SERVICES,
    UNTIL,
    CONFIDENCE,
    OUTPUT,
    WITHOUT_CHORES,
    WITHOUT_GENERATOR,
    UNITS,
    CLOCK,
    DRAWS,
    FRESH,
    SEED,
    BOOK,
    NOW
};

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [SERVICES] = {"services", 's', "FILE", 0,
                  "services around the place: errands are planned too, as by leeway plan runs"},
    [UNTIL] = {"until", 0, "WHEN", 0, "when you wish to leave, instead of the scenario's"},
    [CONFIDENCE] = {"confidence", 'c', "SHARE", 0,
                    "how sure errands and generator must make it: 0.5 to 0.99; without it 0.8"},
    [OUTPUT] = {"output", 'o', "FILE", 0, "into this file; without it on standard output"},
    [WITHOUT_CHORES] = {"without-chores", 0, NULL, 0, "leave out what leeway today asks for"},
    [WITHOUT_GENERATOR] = {"without-generator", 0, NULL, 0, "leave out the generator's windows"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the texts; without it those of the scenario"},
    [CLOCK] = {"clock", 0, "12|24", 0, "6:40 pm or 18:40 in the texts; without it 24"},
    [DRAWS] = {"draws", 0, "N", 0, "possible courses of weather and use; without it 256"},
    [FRESH] = LW_PLAN_FRESH_OPTION,
    [SEED] = {"seed", 0, "N", 0, "which draws; without it 1"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway plan calendar camp.yaml -o stay.ics", "arrival, departure, limit, chores and generator windows"},
    {"leeway plan calendar camp.yaml --services errands.yaml -o stay.ics", "with errands"},
};

typedef struct order {
    lw_plan_source source;
    lw_kept_order kept;
    const char *services, *output;
    double confidence_frac;
    int has_no_chores, has_no_generator, is_12_hour;
    int units; /* -1: the scenario's */
    uint64_t draws, fresh, seed;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case SERVICES:
        o->services = value;
        return LW_OK;
    case UNTIL:
        o->source.until = value;
        return LW_OK;
    case CONFIDENCE:
        return lw_args_confidence(value, &o->confidence_frac, err);
    case OUTPUT:
        o->output = value;
        return LW_OK;
    case WITHOUT_CHORES:
        o->has_no_chores = 1;
        return LW_OK;
    case WITHOUT_GENERATOR:
        o->has_no_generator = 1;
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
    default:
        return lw_kept_now(value, &o->kept, err);
    }
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "plan calendar takes one FILE at most, a scenario");
    o->source.path = lw_args_operand(args, 0);
    o->source.seed = o->seed;
    const lw_code code = lw_kept_open_order(&o->kept, err);
    o->source.now_s = o->kept.now_s;
    return code;
}

/* ---- the parts ---- */

typedef struct parts {
    lw_loaded named;
    lw_outlook_answer answer;
    lw_today *today;
    lw_generator_plan *generator;
    lw_runs_planned *runs;
    lw_errands errands;
    lw_words_choice choice;
} parts;

static lw_code find_chores(order *o, parts *p, lw_err *err)
{
    const lw_draws_wish draws = {.draws = (int)o->draws, .seed = o->seed, .ends_only = 1};
    lw_code code;
    if (o->source.path)
        code = lw_outlook_run(&(lw_outlook_request){.from = {.path = o->source.path, .now_s = o->kept.now_s},
                                                    .until = o->source.until,
                                                    .wants_series = 1,
                                                    .draws = draws,
                                                    .ahead_days = LW_TODAY_AHEAD_DAYS},
                              &p->answer, err);
    else {
        const lw_learning_request request = {.now_s = o->kept.now_s,
                                             .until = o->source.until,
                                             .wants_series = 1,
                                             .draws = draws,
                                             .ahead_days = LW_TODAY_AHEAD_DAYS};
        code = lw_learning_run(o->source.book, &request, &p->answer, err);
    }
    if (code)
        return code;
    const lw_outlook *outlook = p->answer.outlook;
    const int64_t end_s = outlook->departure_s ? outlook->departure_s : outlook->horizon_s, now_s = o->kept.now_s;
    p->today = calloc(1, sizeof *p->today);
    if (!p->today)
        return lw_fail(err, LW_E_FULL, "no memory for today");
    const lw_today_in in = {.answer = &p->answer,
                            .choice = p->choice,
                            .now_s = now_s > outlook->start_s && now_s < end_s ? now_s : outlook->start_s,
                            .engine_h = p->answer.learning ? p->answer.learning->engine_h : NAN};
    return lw_today_make(&in, p->today, err);
}

static lw_code find_windows(const order *o, lw_trials *trials, parts *p, lw_err *err)
{
    const lw_rig *rig = &p->named.scenario->rig;
    if (rig->generator.window_count > 0) /* a plan that was kept goes before a new one */
        return LW_OK;
    if (!rig->generator.is_present || !(rig->battery.capacity_ah > 0.0) || !(rig->charger.rated_a > 0.0))
        return LW_OK;
    p->generator = calloc(1, sizeof *p->generator);
    if (!p->generator)
        return lw_fail(err, LW_E_FULL, "no memory to plan the generator");
    const lw_generator_wish wish = {
        .confidence_frac = o->confidence_frac, .draws = (int)o->draws, .fresh = (int)o->fresh, .choice = p->choice};
    return lw_generator_plan_make(trials, &wish, p->generator, err);
}

/* Errands that were kept are among the stay's events, and go before new ones. */
static lw_code has_kept_errands(const order *o, int *errands, lw_err *err)
{
    char *others = NULL;
    *errands = 0;
    const lw_code code =
        o->source.book ? lw_runs_without_kept(o->source.book, o->kept.now_s, &others, errands, err) : LW_OK;
    free(others);
    return code;
}

static lw_code find_runs(order *o, parts *p, lw_err *err)
{
    int kept;
    const lw_code code = has_kept_errands(o, &kept, err);
    if (code || kept > 0)
        return code;
    const lw_runs_wish wish = {.confidence_frac = o->confidence_frac,
                               .hour_usd = NAN,
                               .draws = (int)o->draws,
                               .fresh = (int)o->fresh,
                               .choice = p->choice,
                               .has_units = 1};
    p->runs = calloc(1, sizeof *p->runs);
    if (!p->runs)
        return lw_fail(err, LW_E_FULL, "no memory to plan runs");
    return lw_runs_plan_make(&o->source, &wish, &p->errands, p->runs, err);
}

static lw_code find_parts(order *o, parts *p, lw_err *err)
{
    lw_code code = o->services ? lw_errands_load(o->services, &p->errands, err) : LW_OK; /* before any long work */
    if (!code && !o->source.path)
        code = lw_kept_open_for(&o->kept, 1, &o->source.book, err);
    code = code ? code : lw_plan_source_open(&o->source, err);
    if (code)
        return code;
    lw_trials trials = lw_plan_source_trials(&o->source);
    code = lw_plan_source_camp(&o->source, &p->named, err);
    p->choice = (lw_words_choice){.units = o->units < 0 ? p->named.units : (lw_unit_system)o->units,
                                  .is_12_hour = o->is_12_hour};
    if (!code && !o->has_no_generator)
        code = find_windows(o, &trials, p, err);
    if (!code && o->services)
        code = find_runs(o, p, err);
    lw_plan_source_close(&o->source);
    return code || o->has_no_chores ? code : find_chores(o, p, err);
}

static void clear_parts(parts *p)
{
    lw_loaded_clear(&p->named);
    lw_outlook_answer_clear(&p->answer);
    free(p->today);
    free(p->generator);
    free(p->runs);
}

/* ---- out ---- */

static lw_code write_file(const char *path, const char *text, int count, lw_err *err)
{
    FILE *file = fopen(path, "wb");
    if (!file)
        return lw_fail(err, LW_E_IO, "%s cannot be written", path);
    int is_bad = fputs(text, file) < 0;
    is_bad |= fclose(file) != 0;
    if (is_bad)
        return lw_fail(err, LW_E_IO, "%s was not written whole", path);
    printf("%d events in %s; open it with your calendar, best in a calendar of its own.\n", count, path);
    return LW_OK;
}

/* A calendar without errands or windows must not look like one that needs none. */
static void tell_missing(const parts *p)
{
    if (p->runs && !p->runs->out.is_found)
        fprintf(stderr, "leeway: there are no errands in the calendar. %s\n", p->runs->headline);
    if (p->generator && p->generator->is_needed && !p->generator->is_found)
        fprintf(stderr, "leeway: there are no hours of the generator in the calendar. %s\n", p->generator->headline);
}

static int put_calendar(const order *o, const char *text, int count)
{
    lw_err err = {0};
    lw_sink sink;
    if (o->output)
        return write_file(o->output, text, count, &err) ? lw_refuse(&err) : LW_EXIT_DONE;
    lw_out_open(&sink);
    lw_sink_put(&sink, text, strlen(text));
    return lw_out_close(&sink);
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.units = -1, .seed = 1, .draws = LW_GENERATOR_DRAWS_USUAL, .confidence_frac = 0.8};
    parts p = {.today = NULL};
    char *text = NULL;
    int count = 0, exit_code;
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    lw_code code = find_parts(&o, &p, &err);
    const lw_plan_calendar_in in = {.loaded = &p.named,
                                    .today = p.today,
                                    .generator = p.generator,
                                    .without_windows = o.has_no_generator,
                                    .runs = p.runs,
                                    .choice = p.choice,
                                    .now_s = o.kept.now_s,
                                    .version = LW_VERSION};
    code = code ? code : lw_plan_calendar(&in, &text, &count, &err);
    if (code) {
        (void)lw_refuse(&err);
        exit_code = LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    } else {
        exit_code = put_calendar(&o, text, count);
        tell_missing(&p);
    }
    lw_book_close(o.source.book);
    clear_parts(&p);
    free(text);
    return exit_code;
}

const lw_command lw_command_plan_calendar = {
    .name = "plan calendar",
    .operands = "[FILE]",
    .what = "Errands, generator windows, chores, limit and departure for your calendar",
    .about = "Writes the plans of a stay as an iCalendar file (RFC 5545), which phones and computers take into their "
             "calendars: arrival "
             "and departure with their checklists, the last day that the stay limit allows, what leeway today asks "
             "for, the generator's "
             "windows, and with --services the errands. Without FILE: of the stay that your book follows.\n\n"
             "Take it into a calendar of its own, and empty that before you take in a later plan: events that are in "
             "both are moved, but "
             "what the later one no longer has would stay.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
