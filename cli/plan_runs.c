/* leeway plan runs: when to go on errands, and what to combine. */
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
#include "cli/report.h"
#include "cli/screen.h"
#include "service/errands_kept.h"
#include "service/runs_plan.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum {
    HELP,
    SERVICES,
    KEEP,
    KEEP_PLAN,
    UNTIL,
    CONFIDENCE,
    HOUR_VALUE,
    WHY,
    DETAILS,
    ASSUMPTIONS,
    JSON,
    UNITS,
    CLOCK,
    DRAWS,
    FRESH,
    SEED,
    BOOK,
    NOW,
    ASCII
};

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [SERVICES] =
        {"services", 's', "FILE", 0,
         "services around the place and ways to get there; without it those that the book keeps, and spots of imported "
         "maps"},
    [KEEP] = {"keep", 'k', NULL, 0, "keep the file of services in the book"},
    [KEEP_PLAN] = {"keep-plan", 0, NULL, 0,
                   "the stay of your book goes by these runs from now on, in place of those kept before"},
    [UNTIL] = {"until", 0, "WHEN", 0, "when you wish to leave, instead of the scenario's"},
    [CONFIDENCE] = {"confidence", 'c', "SHARE", 0,
                    "how sure it must be that nothing runs short: 0.5 to 0.99; without it 0.8"},
    [HOUR_VALUE] = {"hour-value", 0, "USD", 0, "what an hour of your time is worth; without it 10"},
    [WHY] = {"why", 'w', NULL, 0, "what each run costs, part by part, each with its source"},
    [DETAILS] = {"details", 'd', NULL, 0, "how long each supply was counted to last after each kind of run"},
    [ASSUMPTIONS] = {"assumptions", 'a', NULL, 0, "every price and every value that you did not say, with its source"},
    [JSON] = {"json", 'j', NULL, 0, "the whole answer as JSON on standard output, amounts in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it those of the scenario"},
    [CLOCK] = {"clock", 0, "12|24", 0, "6:40 pm or 18:40; without it 24"},
    [DRAWS] = {"draws", 0, "N", 0, "possible courses of weather and use behind the tables; without it 256"},
    [FRESH] = LW_PLAN_FRESH_OPTION,
    [SEED] = {"seed", 0, "N", 0, "which draws; without it 1"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway plan runs camp.yaml --services errands.yaml", "when to go, where to, and what to combine"},
    {"leeway plan runs --services errands.yaml --keep", "the same of your book's stay; the services are kept"},
    {"leeway plan runs --keep-plan", "the outlook, today and the calendar go by it afterwards"},
    {"leeway plan runs --why", "from what the book keeps, every cost with its source"},
    {"leeway plan runs camp.yaml -s errands.yaml --confidence 90% --hour-value 20", "surer, and with dearer hours"},
};

typedef struct order {
    lw_plan_source source;
    lw_runs_wish wish;
    const char *services;
    lw_kept_order kept;
    int wants_keep, wants_keep_plan, wants_why, wants_details, wants_assumptions, wants_json, wants_ascii, units;
    uint64_t draws, fresh, seed;
    lw_loaded camp; /* as it is */
    char *without_kept;
    const char *change;
    int kept_errands;
} order;

static lw_code take_usd(const char *value, double *to, lw_err *err)
{
    double usd;
    if (!lw_decimal_parse(value, value + strlen(value), &usd) || !(usd >= 0.0 && usd <= 1000.0))
        return lw_fail(err, LW_E_RANGE, "--hour-value %s is no number from 0 to 1000",
                       lw_quoted(value, strlen(value)).text);
    *to = usd;
    return LW_OK;
}

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
        return lw_args_confidence(value, &o->wish.confidence_frac, err);
    case HOUR_VALUE:
        return take_usd(value, &o->wish.hour_usd, err);
    case KEEP:
        o->wants_keep = 1;
        return LW_OK;
    case KEEP_PLAN:
        o->wants_keep_plan = 1;
        return LW_OK;
    case WHY:
        o->wants_why = 1;
        return LW_OK;
    case DETAILS:
        o->wants_details = 1;
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
        return lw_args_clock(value, &o->wish.choice.is_12_hour, err);
    case DRAWS:
        return lw_args_whole("draws", value, 16, 10000, &o->draws, err);
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
    o->source.path = lw_args_operand(args, 0);
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "plan runs takes one FILE, a scenario");
    if (o->source.path && (o->kept.book || o->wants_keep))
        return lw_fail(err, LW_E_CONFLICT, "a plan is of a FILE or of the book; leave out one of them");
    if (o->source.path && o->wants_keep_plan)
        return lw_fail(err, LW_E_CONFLICT, "--keep-plan is for the stay of your book; leave out FILE");
    if (o->wants_keep && !o->services)
        return lw_fail(err, LW_E_MISSING, "name the file that is to be kept with --services FILE");
    if (o->source.path && !o->services)
        return lw_fail(err, LW_E_MISSING, "name the file of services with --services FILE; docs/use/plan.md shows one");
    o->wish.draws = (int)o->draws;
    o->wish.fresh = (int)o->fresh;
    o->wish.has_units = o->units >= 0;
    o->wish.choice.units = o->units >= 0 ? (lw_unit_system)o->units : LW_UNITS_US;
    const lw_code code = lw_kept_open_order(&o->kept, err);
    o->source.now_s = o->kept.now_s;
    o->source.seed = o->seed;
    return code;
}

/* ---- the report ---- */

static void lasts_cell(const void *context, int row, int column, char *buf, size_t n)
{
    const lw_runs_planned *p = context;
    const lw_runs_in *in = &p->in;
    if (row == 0) {
        snprintf(buf, n, "%s", column == 0 ? "" : column == 1 ? "as it is" : p->errands.type[column - 2].name);
        return;
    }
    const int k = row - 1;
    if (column == 0) {
        snprintf(buf, n, "%s", lw_supply_name((lw_supply)p->supply[k]));
        return;
    }
    if (column > 1 && !(in->type[column - 2].carries >> k & 1u)) {
        snprintf(buf, n, "not served");
        return;
    }
    const double ticks = column == 1 ? in->first[k] : in->full[k][column - 2][2] - in->midnight_h[2] / in->tick_h;
    const int is_beyond = (column == 1 ? in->first[k] : in->full[k][column - 2][2]) >= in->end;
    const int start = (int)((p->start_s - p->tick0_s) / 3600);
    char number[LW_DECIMAL_BYTES];
    lw_decimal_print(number, sizeof number, (ticks * p->tick_h - (column == 1 ? start : 0)) / 24.0, 1, 0);
    snprintf(buf, n, "%s", is_beyond ? "to the end" : number);
}

static void put_lasts(lw_screen *screen, const lw_runs_planned *p)
{
    char title[160], frac[LW_DECIMAL_BYTES];
    lw_decimal_print(frac, sizeof frac, 100.0 * (p->aimed_frac > 0.0 ? p->aimed_frac : p->confidence_frac), 1, 0);
    snprintf(
        title, sizeof title,
        "Days that each supply lasts in %s %% of the courses: as it is, and filled or emptied on the first morning",
        frac);
    lw_put_title(screen, title);
    lw_put_table(screen, &(lw_table){.rows = p->in.supply_count + 1,
                                     .columns = 2 + p->in.type_count,
                                     .indent = 2,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = p,
                                     .cell = lasts_cell});
}

static void put_parts(lw_screen *screen, const lw_planned_run *run)
{
    char line[320], usd[LW_DECIMAL_BYTES];
    for (int i = 0; i < run->part_count; i++) {
        lw_decimal_print(usd, sizeof usd, run->part[i].usd, 2, 1);
        snprintf(line, sizeof line, "%s USD: %s (%s)", usd, run->part[i].what, run->part[i].source);
        lw_put_blank(screen, 6);
        lw_put_wrapped(screen, LW_PAINT_FAINT, line, 6, 8);
    }
}

static void put_report(const order *o, const lw_runs_planned *p, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, p->headline, 0, 0);
    for (int i = 0; i < p->out.count; i++) {
        char number[16];
        snprintf(number, sizeof number, "%2d  ", i + 1);
        lw_put(&screen, LW_PAINT_PLAIN, number);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, p->run[i].sentence, 4, 4);
        if (o->wants_why)
            put_parts(&screen, &p->run[i]);
    }
    const char *const below[] = {p->measured, p->spot, p->driving, p->notes, p->ask};
    for (size_t i = 0; i < sizeof below / sizeof below[0]; i++)
        if (below[i][0])
            lw_put_wrapped(&screen, LW_PAINT_PLAIN, below[i], 0, 0);
    if (o->kept_errands > 0 && !o->wants_keep_plan)
        lw_put_wrapped(&screen, LW_PAINT_PLAIN,
                       "The errands of your stay from now on are not counted: --keep-plan puts this plan in their "
                       "place.",
                       0, 0);
    if (o->wants_keep_plan)
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, "Kept: outlook, today and the calendar go by it.", 0, 0);
    if (o->wants_details && p->in.supply_count > 0)
        put_lasts(&screen, p);
    if (o->wants_assumptions) {
        lw_report_sources(&screen, "Services and ways, where nothing is said", p->errands.assumed,
                          p->errands.assumed_count);
        lw_report_grounds(&screen, &p->prices, &o->camp);
    }
}

/* The errands that were named, or those of the book around its stay. */
static lw_code find_errands(order *o, lw_errands *errands, lw_err *err)
{
    if (!o->services)
        return lw_errands_of_book(o->source.book, &o->camp, errands, err);
    const lw_code code = lw_errands_load(o->services, errands, err);
    return code || !o->wants_keep ? code : lw_errands_keep(o->source.book, o->services, err);
}

/* Errands of the stay that were planned before are no part of a new plan. */
static lw_code open_book(order *o, lw_err *err)
{
    lw_code code = lw_kept_open_for(&o->kept, 1, &o->source.book, err);
    code = code ? code : lw_runs_without_kept(o->source.book, o->kept.now_s, &o->without_kept, &o->kept_errands, err);
    o->change = o->without_kept;
    o->source.change = &o->change;
    o->source.change_count = o->change != NULL;
    return code;
}

static lw_code find_plan(order *o, lw_errands *errands, lw_runs_planned *plan, lw_err *err)
{
    lw_code code = errands && plan ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a plan");
    if (!code && !o->source.path)
        code = open_book(o, err);
    code = code ? code : lw_plan_source_open(&o->source, err);
    if (code)
        return code;
    code = lw_plan_source_camp(&o->source, &o->camp, err);
    code = code ? code : find_errands(o, errands, err);
    code = code ? code : lw_runs_plan_make(&o->source, &o->wish, errands, plan, err);
    lw_plan_source_close(&o->source);
    return code || !o->wants_keep_plan ? code : lw_runs_keep(o->source.book, o->kept.now_s, plan, err);
}

static lw_code put_answer(const order *o, const lw_runs_planned *plan, lw_sink *sink, lw_err *err)
{
    if (!o->wants_json) {
        put_report(o, plan, sink);
        return LW_OK;
    }
    char *text = lw_runs_json(plan, &o->camp, LW_VERSION);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for JSON");
    lw_sink_text(sink, text);
    free(text);
    return LW_OK;
}

static int answer_order(order *o)
{
    lw_err err = {0};
    lw_sink sink;
    lw_errands *errands = calloc(1, sizeof *errands);
    lw_runs_planned *plan = calloc(1, sizeof *plan);
    int exit_code;
    lw_out_open(&sink);
    if (find_plan(o, errands, plan, &err)) {
        (void)lw_refuse(&err);
        exit_code = LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    } else if (put_answer(o, plan, &sink, &err))
        exit_code = lw_refuse(&err);
    else
        exit_code = lw_out_close(&sink);
    lw_book_close(o->source.book);
    lw_loaded_clear(&o->camp);
    free(o->without_kept);
    free(errands);
    free(plan);
    return exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.units = -1, .draws = LW_RUNS_DRAWS_USUAL, .seed = 1, .wish = {.confidence_frac = 0.8, .hour_usd = NAN}};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    return answer_order(&o);
}

const lw_command lw_command_plan_runs = {
    .name = "plan runs",
    .operands = "[FILE]",
    .what = "When to go on errands until you leave, and what to combine",
    .about =
        "FILE is a scenario with a wished departure; without it, it is the stay that your book follows, from now on. "
        "The services say what lies around the place, at what "
        "distance, hours and fees, and by what you get there: a runabout with cans and a waste tank, or breaking camp. "
        "Of all "
        "sequences of runs, one in a half day at most, in hours that the driver is free and the services open, the "
        "cheapest is found "
        "that keeps every supply going: money, hours at their value, the trouble you state.\n\n"
        "How long a supply lasts comes from possible courses of weather and use. The chance that nothing runs short is "
        "measured on 10,000 fresh ones; the plan is made anew with more or less to spare until it is the cheapest that "
        "is as "
        "sure as you wish. "
        "Services that nobody said you may use are named, and never relied on. Full cans and tanks are heavy: mind "
        "what your "
        "vehicles may carry and you may lift; dump only where it is allowed.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
