/* leeway trip plan, trip export, trip year. */
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
#include "cli/screen.h"
#include "service/trip.h"
#include "text/quantity.h"
#include "text/say.h"

enum { PLANS_USUAL = 3 };

typedef struct order {
    lw_trip_ask ask;
    lw_kept_order kept;
    const char *output, *form_word;
    lw_trip_form form;
    int wants_json, wants_ascii, units;
    uint64_t plans, draws, fresh, seconds, seed, plan;
} order;

static const char *const FORMS[] = {"calendar", "gpx", "csv", "sheet", "home"};

static lw_code take_form(const char *value, order *o, lw_err *err)
{
    for (size_t i = 0; i < sizeof FORMS / sizeof FORMS[0]; i++)
        if (strcmp(FORMS[i], value) == 0) {
            o->form = (lw_trip_form)i;
            o->form_word = FORMS[i];
            return LW_OK;
        }
    return lw_fail(err, LW_E_SYNTAX, "--as %s is none of calendar, gpx, csv, sheet, home",
                   lw_quoted(value, strlen(value)).text);
}

/* One table of words for all three commands. */
static lw_code take_named(const char *name, const char *value, order *o, lw_err *err)
{
    if (strcmp(name, "plans") == 0)
        return lw_args_whole(name, value, 1, LW_TRIP_PLANS, &o->plans, err);
    if (strcmp(name, "plan") == 0)
        return lw_args_whole(name, value, 1, LW_TRIP_PLANS, &o->plan, err);
    if (strcmp(name, "draws") == 0)
        return lw_args_whole(name, value, 16, 1024, &o->draws, err);
    if (strcmp(name, "fresh") == 0)
        return lw_args_whole(name, value, 100, 100000, &o->fresh, err);
    if (strcmp(name, "seconds") == 0)
        return lw_args_whole(name, value, 1, 3600, &o->seconds, err);
    if (strcmp(name, "seed") == 0)
        return lw_args_whole(name, value, 0, UINT64_MAX, &o->seed, err);
    if (strcmp(name, "units") == 0)
        return lw_args_units(value, &o->units, err);
    if (strcmp(name, "as") == 0)
        return take_form(value, o, err);
    if (strcmp(name, "now") == 0)
        return lw_kept_now(value, &o->kept, err);
    if (strcmp(name, "full") == 0 || strcmp(name, "keep") == 0) {
        int *count = name[0] == 'f' ? &o->ask.full_count : &o->ask.keep_count;
        if (*count == LW_TRIP_CHANGES)
            return lw_fail(err, LW_E_FULL, "--%s is said at most %d times", name, LW_TRIP_CHANGES);
        (name[0] == 'f' ? o->ask.full : o->ask.keep)[(*count)++] = value;
    }
    if (strcmp(name, "from") == 0)
        o->ask.from = value;
    if (strcmp(name, "at") == 0)
        o->ask.at = value;
    if (strcmp(name, "output") == 0)
        o->output = value;
    if (strcmp(name, "json") == 0)
        o->wants_json = 1;
    if (strcmp(name, "ascii") == 0)
        o->wants_ascii = 1;
    return LW_OK;
}

#define FROM_OPTION                                                                                                    \
    {                                                                                                                  \
        "from", 0, "DATE", 0, "go on from this night, instead of the file's first"                                     \
    }
#define AT_OPTION                                                                                                      \
    {                                                                                                                  \
        "at", 0, "PLACE", 0, "and from this place; stays since then belong to the camp's earlier ones"                 \
    }
#define FULL_OPTION                                                                                                    \
    {                                                                                                                  \
        "full", 0, "PLACE", 0, "no room there for a week; may be repeated"                                             \
    }
#define KEEP_OPTION                                                                                                    \
    {                                                                                                                  \
        "keep", 0, "STAY", 0, "a stay that is to be: \"PLACE, FIRST NIGHT, LAST MORNING\"; may be repeated"            \
    }
#define HELP_OPTION                                                                                                    \
    {                                                                                                                  \
        "help", 'h', NULL, 0, "this text"                                                                              \
    }
#define DRAWS_OPTION                                                                                                   \
    {                                                                                                                  \
        "draws", 0, "N", 0, "possible courses of weather and use behind the tables; without it 48"                     \
    }
#define FRESH_OPTION                                                                                                   \
    {                                                                                                                  \
        "fresh", 0, "N", 0, "fresh ones that the trip is measured on; without it 10000"                                \
    }
#define SECONDS_OPTION                                                                                                 \
    {                                                                                                                  \
        "seconds", 0, "N", 0, "look for a better trip for so long, each; without it 5"                                 \
    }
#define SEED_OPTION                                                                                                    \
    {                                                                                                                  \
        "seed", 0, "N", 0, "which draws; without it 1"                                                                 \
    }
#define UNITS_OPTION                                                                                                   \
    {                                                                                                                  \
        "units", 'u', "us|si", 0, "units of the answer; without it those of the camp's file"                           \
    }
#define ASCII_OPTION                                                                                                   \
    {                                                                                                                  \
        "ascii", 0, NULL, 0, "plain characters only"                                                                   \
    }

static const lw_option PLAN_OPTIONS[] = {
    HELP_OPTION,
    {"plans", 0, "N", 0, "so many trips that differ, 1 to 4; without it 3"},
    FROM_OPTION,
    AT_OPTION,
    FULL_OPTION,
    KEEP_OPTION,
    {"json", 0, NULL, 0, "as JSON"},
    UNITS_OPTION,
    SECONDS_OPTION,
    DRAWS_OPTION,
    FRESH_OPTION,
    SEED_OPTION,
    ASCII_OPTION,
};
static const lw_option EXPORT_OPTIONS[] = {
    HELP_OPTION,
    {"as", 0, "FORM", 0, "calendar, gpx, csv, sheet (to print) or home (to leave with somebody); needed"},
    {"output", 'o', "FILE", 0, "into this file; without it on standard output"},
    {"plan", 0, "N", 0, "which of the trips that differ; without it the first"},
    FROM_OPTION,
    AT_OPTION,
    FULL_OPTION,
    KEEP_OPTION,
    SECONDS_OPTION,
    DRAWS_OPTION,
    FRESH_OPTION,
    SEED_OPTION,
    LW_KEPT_NOW_OPTION,
};
static const lw_option YEAR_OPTIONS[] = {HELP_OPTION, UNITS_OPTION, ASCII_OPTION};

static lw_code take_plan(int option, const char *value, void *to, lw_err *err)
{
    return take_named(PLAN_OPTIONS[option].name, value, to, err);
}

static lw_code take_export(int option, const char *value, void *to, lw_err *err)
{
    return take_named(EXPORT_OPTIONS[option].name, value, to, err);
}

static lw_code take_year(int option, const char *value, void *to, lw_err *err)
{
    return take_named(YEAR_OPTIONS[option].name, value, to, err);
}

static lw_code check_order(const lw_command *self, const lw_args *args, order *o, lw_err *err)
{
    o->ask.path = lw_args_operand(args, 0);
    if (!o->ask.path || lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "%s takes one FILE, a trip; docs/use/trip.md shows one", self->name);
    o->ask.plans = (int)o->plans;
    o->ask.draws = (int)o->draws;
    o->ask.fresh = (int)o->fresh;
    o->ask.seconds = (double)o->seconds;
    o->ask.seed = o->seed;
    return lw_kept_open_order(&o->kept, err);
}

static order order_of(void)
{
    return (order){
        .units = -1, .plans = PLANS_USUAL, .plan = 1, .draws = 48, .fresh = LW_TRIP_FRESH, .seconds = 5, .seed = 1};
}

/* ---- the report ---- */

static void put_plan(lw_screen *screen, const order *o, const lw_trip_planned *p, int at)
{
    const lw_trip_made *plan = &p->plan[at];
    const lw_unit_system units = o->units >= 0 ? (lw_unit_system)o->units : p->units;
    char text[LW_SENTENCE], number[16];
    if (p->plan_count > 1) {
        snprintf(text, sizeof text, "Trip %d", at + 1);
        lw_put_title(screen, text);
    }
    lw_put_wrapped(screen, LW_PAINT_STRONG, lw_trip_say_plan(p, at, text, sizeof text), 0, 0);
    for (int i = 0; i < plan->stop_count; i++) {
        snprintf(number, sizeof number, "%2d  ", i + 1);
        lw_put(screen, LW_PAINT_PLAIN, number);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, lw_trip_say_stop(p, plan, i, units, text, sizeof text), 4, 4);
        for (int k = 0; k < plan->stop[i].note_count; k++) {
            lw_put_blank(screen, 4);
            lw_put_wrapped(screen, LW_PAINT_FAINT, plan->stop[i].note[k], 4, 4);
        }
    }
    lw_put_wrapped(screen, LW_PAINT_PLAIN, lw_trip_say_measured(p, at, text, sizeof text), 0, 0);
}

static void put_none(lw_screen *screen, const lw_trip_planned *p)
{
    lw_put_wrapped(screen, LW_PAINT_STRONG, p->why, 0, 0);
    if (p->relax_count == 0)
        lw_put_wrapped(screen, LW_PAINT_PLAIN, "No three wishes relaxed make one either; look at dates and places.", 0,
                       0);
    else
        lw_put_wrapped(screen, LW_PAINT_PLAIN,
                       p->relax_count > 1 ? "There is a trip with any of these:" : "There is a trip with this:", 0, 0);
    for (int i = 0; i < p->relax_count; i++) {
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, p->relax[i], 2, 4);
    }
}

static int answer_plan(const order *o)
{
    lw_err err = {0};
    lw_sink sink;
    lw_screen screen;
    lw_trip_planned *p = calloc(1, sizeof *p);
    lw_out_open(&sink);
    const lw_code code = p ? lw_trip_make(&o->ask, p, &err) : lw_fail(&err, LW_E_FULL, "no memory for a trip");
    int exit_code = LW_EXIT_INPUT;
    if (code || !p)
        (void)lw_refuse(&err);
    else {
        lw_screen_init(&screen, &sink, STDOUT_FILENO, o->wants_ascii);
        if (o->wants_json) {
            char *text = lw_trip_json(p, LW_VERSION);
            lw_sink_text(&sink, text ? text : "");
            lw_sink_text(&sink, "\n");
            free(text);
        } else if (p->plan_count == 0)
            put_none(&screen, p);
        for (int i = 0; i < p->plan_count && !o->wants_json; i++)
            put_plan(&screen, o, p, i);
        exit_code = lw_out_close(&sink);
        lw_trip_clear(p);
    }
    free(p);
    return exit_code;
}

static int run_plan(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = order_of();
    const int taken = lw_args_take(&args, self, argc, argv, take_plan, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(self, &args, &o, &err))
        return lw_refuse(&err);
    return answer_plan(&o);
}

/* ---- export ---- */

static lw_code put_text(void *context, lw_sink *sink, lw_err *err)
{
    (void)err;
    lw_sink_text(sink, context);
    return LW_OK;
}

static int answer_export(const order *o)
{
    lw_err err = {0};
    lw_trip_planned *p = calloc(1, sizeof *p);
    char *text = NULL;
    lw_code code = p ? lw_trip_make(&o->ask, p, &err) : lw_fail(&err, LW_E_FULL, "no memory for a trip");
    if (!code && p) {
        if (p->plan_count == 0)
            code = lw_fail(&err, LW_E_MISSING, "%s leeway trip plan says what to relax", p->why);
        else
            code = lw_trip_export(p, (int)o->plan - 1, o->form, o->kept.now_s, LW_VERSION, &text, &err);
        lw_trip_clear(p);
    }
    int exit_code = LW_EXIT_INPUT;
    if (!code && o->output)
        code = lw_out_file(o->output, put_text, text, &err);
    if (code)
        exit_code = lw_refuse(&err);
    else if (o->output)
        exit_code = LW_EXIT_DONE;
    else {
        lw_sink sink;
        lw_out_open(&sink);
        lw_sink_text(&sink, text);
        exit_code = lw_out_close(&sink);
    }
    free(text);
    free(p);
    return exit_code;
}

static int run_export(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = order_of();
    const int taken = lw_args_take(&args, self, argc, argv, take_export, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(self, &args, &o, &err))
        return lw_refuse(&err);
    o.ask.plans = (int)o.plan;
    if (!o.form_word) {
        (void)lw_fail(&err, LW_E_MISSING, "say the form with --as calendar, gpx, csv, sheet or home");
        return lw_refuse(&err);
    }
    return answer_export(&o);
}

/* ---- the year ---- */

static void put_month(lw_screen *screen, const lw_trip_year *year, int m, lw_unit_system units)
{
    static const char *const MONTH[] = {"January", "February", "March",     "April",   "May",      "June",
                                        "July",    "August",   "September", "October", "November", "December"};
    const lw_trip_month *month = &year->month[m];
    char text[LW_SENTENCE], low[64], high[64];
    lw_put_padded(screen, LW_PAINT_STRONG, MONTH[m], 11, 0);
    if (month->fit_count == 0) {
        lw_put_wrapped(screen, LW_PAINT_PLAIN, "none of these places", 11, 11);
        return;
    }
    size_t used = 0;
    for (int i = 0; i < month->fit_count && i < 3; i++) {
        const int p = month->fit[i];
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s (%s to %s)", i ? "; " : "",
                                 year->file.place[p].name,
                                 lw_quantity_print(low, sizeof low, month->low_c[p], LW_DIM_TEMPERATURE, units),
                                 lw_quantity_print(high, sizeof high, month->high_c[p], LW_DIM_TEMPERATURE, units));
    }
    if (month->fit_count > 3)
        snprintf(text + used, sizeof text - used, "; and %d more", month->fit_count - 3);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 11, 11);
}

static int run_year(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = order_of();
    const int taken = lw_args_take(&args, self, argc, argv, take_year, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(self, &args, &o, &err))
        return lw_refuse(&err);
    lw_trip_year *year = calloc(1, sizeof *year);
    if (!year || lw_trip_year_make(o.ask.path, year, &err)) {
        if (!year)
            (void)lw_fail(&err, LW_E_FULL, "no memory for a year");
        free(year);
        return lw_refuse(&err);
    }
    lw_sink sink;
    lw_screen screen;
    lw_out_open(&sink);
    lw_screen_init(&screen, &sink, STDOUT_FILENO, o.wants_ascii);
    lw_put_wrapped(
        &screen, LW_PAINT_PLAIN,
        "Where nights and days are as wished by the climate of a usual year, dearest first; lows and highs are means.",
        0, 0);
    for (int m = 0; m < 12; m++)
        put_month(&screen, year, m, o.units >= 0 ? (lw_unit_system)o.units : LW_UNITS_US);
    free(year);
    return lw_out_close(&sink);
}

static const lw_example PLAN_EXAMPLES[] = {
    {"leeway trip plan trip.yaml", "three trips that differ, with the chance of each"},
    {"leeway trip plan trip.yaml --from 2027-05-21 --at \"Sage Hollow\" --full \"Tin Cup\"",
     "it is full: the rest planned anew"},
    {"leeway trip plan trip.yaml --keep \"Tin Cup, 2027-05-21, 2027-05-26\"",
     "one stay as you want it, the rest around it"},
    {"leeway trip plan trip.yaml --plans 1 --json", "the best one, for a program"},
};
static const lw_example EXPORT_EXAMPLES[] = {
    {"leeway trip export trip.yaml --as calendar -o trip.ics", "for any calendar"},
    {"leeway trip export trip.yaml --as home", "what to leave with somebody at home"},
};
static const lw_example YEAR_EXAMPLES[] = {{"leeway trip year trip.yaml", "following mild weather through the year"}};

const lw_command lw_command_trip_plan = {
    .name = "trip plan",
    .operands = "FILE",
    .what = "Where next, in which order, for how long",
    .about = "FILE says the dates, the places you would stay at and what you wish for: work days with signal, hours at "
             "the wheel, nights "
             "not too cold, a budget, places to see. Stay rules are kept over all stays, those before the trip too. "
             "How long supplies "
             "last at each place comes from possible courses of its weather and your use.\n\n"
             "Of all trips that keep every rule the one worth most is looked for, and how much better any other could "
             "be is told. The "
             "chance that no supply runs short is then measured on fresh courses. Where no trip keeps all wishes, the "
             "fewest to relax "
             "are named.\n\n"
             "Roads are guessed from the distance: ask a map what your rig may drive. Signs and the local office win.",
    .option = PLAN_OPTIONS,
    .option_count = sizeof PLAN_OPTIONS / sizeof PLAN_OPTIONS[0],
    .example = PLAN_EXAMPLES,
    .example_count = sizeof PLAN_EXAMPLES / sizeof PLAN_EXAMPLES[0],
    .run = run_plan,
};

const lw_command lw_command_trip_export = {
    .name = "trip export",
    .operands = "FILE --as=FORM",
    .what = "A trip for a calendar, a navigator, a table, paper, or somebody at home",
    .about = "Plans the trip of FILE as leeway trip plan does, and writes it down. The sheet has each stop's rules, "
             "services and "
             "cautions. The one for home says where you are until when, and when to call for help.",
    .option = EXPORT_OPTIONS,
    .option_count = sizeof EXPORT_OPTIONS / sizeof EXPORT_OPTIONS[0],
    .example = EXPORT_EXAMPLES,
    .example_count = sizeof EXPORT_EXAMPLES / sizeof EXPORT_EXAMPLES[0],
    .run = run_export,
};

const lw_command lw_command_trip_year = {
    .name = "trip year",
    .operands = "FILE",
    .what = "Which places have mild nights and days, month by month",
    .about = "By the climate of the places of FILE: where the chance of a night at least as warm as `coldest` and a "
             "day at most as hot "
             "as `hottest` is as wished; without them 32 F and 95 F.",
    .option = YEAR_OPTIONS,
    .option_count = sizeof YEAR_OPTIONS / sizeof YEAR_OPTIONS[0],
    .example = YEAR_EXAMPLES,
    .example_count = sizeof YEAR_EXAMPLES / sizeof YEAR_EXAMPLES[0],
    .run = run_year,
};
