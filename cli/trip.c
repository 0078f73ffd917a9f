/* leeway trip plan, show, replan, forget, export, year. */
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "book/trips.h"
#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "cli/screen.h"
#include "cli/trip_report.h"
#include "service/trip.h"
#include "text/moment.h"
#include "text/say.h"

enum { PLANS_USUAL = 3 };

typedef struct order {
    lw_trip_ask ask;
    lw_kept_order kept;
    const char *output, *form_word, *keep_as;
    char candidates[1024]; /* a map as in a trip's file, without its braces; empty: not asked for */
    int is_told;           /* progress stands on the terminal */
    lw_trip_form form;
    int wants_json, wants_ascii, wants_assumptions, units;
    uint64_t plans, draws, fresh, seconds, seed, plan;
} order;

static const char *const FORMS[] = {"calendar", "gpx", "csv", "sheet", "home", "paper"};

static lw_code take_form(const char *value, order *o, lw_err *err)
{
    for (size_t i = 0; i < sizeof FORMS / sizeof FORMS[0]; i++)
        if (strcmp(FORMS[i], value) == 0) {
            o->form = (lw_trip_form)i;
            o->form_word = FORMS[i];
            return LW_OK;
        }
    return lw_fail(err, LW_E_SYNTAX, "--as %s is none of calendar, gpx, csv, sheet, home, paper",
                   lw_quoted(value, strlen(value)).text);
}

/* `near: "Tin Cup"` behind what is there already. */
static lw_code add_candidate(const char *key, const char *value, order *o, lw_err *err)
{
    size_t used = strlen(o->candidates);
    used += (size_t)snprintf(o->candidates + used, sizeof o->candidates - used, "%s%s: \"", used ? ", " : "", key);
    for (; *value && used + 4 < sizeof o->candidates; value++) {
        if (*value == '"' || *value == '\\')
            o->candidates[used++] = '\\';
        o->candidates[used++] = *value;
    }
    if (*value || used + 2 >= sizeof o->candidates)
        return lw_fail(err, LW_E_FULL,
                       "the options that choose places are too long; write them as candidates: into the file");
    o->candidates[used++] = '"';
    o->candidates[used] = '\0';
    return LW_OK;
}

static const char *const CANDIDATES[] = {"near",   "within", "drive",  "manager", "supply",
                                         "signal", "night",  "length", "most"};

static int is_candidate(const char *name)
{
    for (size_t i = 0; i < sizeof CANDIDATES / sizeof CANDIDATES[0]; i++)
        if (strcmp(CANDIDATES[i], name) == 0)
            return 1;
    return 0;
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
    if (strcmp(name, "full") == 0 || strcmp(name, "hold") == 0) {
        int *count = name[0] == 'f' ? &o->ask.full_count : &o->ask.hold_count;
        if (*count == LW_TRIP_CHANGES)
            return lw_fail(err, LW_E_FULL, "--%s is said at most %d times", name, LW_TRIP_CHANGES);
        (name[0] == 'f' ? o->ask.full : o->ask.hold)[(*count)++] = value;
    }
    if (is_candidate(name))
        return add_candidate(name, value, o, err);
    if (strcmp(name, "keep") == 0)
        o->keep_as = value;
    if (strcmp(name, "book") == 0)
        o->kept.book = value;
    if (strcmp(name, "from") == 0)
        o->ask.from = value;
    if (strcmp(name, "at") == 0)
        o->ask.at = value;
    if (strcmp(name, "output") == 0)
        o->output = value;
    if (strcmp(name, "json") == 0)
        o->wants_json = 1;
    if (strcmp(name, "assumptions") == 0)
        o->wants_assumptions = 1;
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
#define HOLD_OPTION                                                                                                    \
    {                                                                                                                  \
        "hold", 0, "STAY", 0, "a stay that is to be: \"PLACE, FIRST NIGHT, LAST MORNING\"; may be repeated"            \
    }
#define KEEP_OPTION                                                                                                    \
    {                                                                                                                  \
        "keep", 0, "NAME", 0, "keep the trips in the book under this name"                                             \
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
#define ASSUMPTIONS_OPTION                                                                                             \
    {                                                                                                                  \
        "assumptions", 0, NULL, 0, "and every number that the trip's file leaves out, with its source"                 \
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
    KEEP_OPTION,
    FROM_OPTION,
    AT_OPTION,
    FULL_OPTION,
    HOLD_OPTION,
    {"near", 0, "PLACE", 0, "and places of the book, nearest to this one or to LAT,LON first"},
    {"within", 0, "LENGTH", 0, "those so near by air"},
    {"drive", 0, "TIME", 0, "those so near by the usual drive"},
    {"manager", 0, "TEXT", 0, "those of this manager"},
    {"supply", 0, "KINDS", 0, "those with these in reach: dump,water"},
    {"signal", 0, "SHARE", 0, "those where a work day goes that well at least"},
    {"night", 0, "RANGE", 0, "those with a mean low of the dates in it: \"32 F to 60 F\""},
    {"length", 0, "LENGTH", 0, "those that fit a rig so long, instead of the book's"},
    {"most", 0, "N", 0, "so many of them at most; without it 60"},
    ASSUMPTIONS_OPTION,
    {"json", 0, NULL, 0, "as JSON"},
    UNITS_OPTION,
    SECONDS_OPTION,
    DRAWS_OPTION,
    FRESH_OPTION,
    SEED_OPTION,
    ASCII_OPTION,
    LW_KEPT_BOOK_OPTION,
    LW_KEPT_NOW_OPTION,
};
static const lw_option REPLAN_OPTIONS[] = {
    HELP_OPTION,
    {"plan", 0, "N", 0, "which of the trips that differ you are on; without it the first"},
    {"plans", 0, "N", 0, "so many trips that differ, 1 to 4; without it 3"},
    {"keep", 0, "NAME", 0, "keep the new ones under this name, and the old as they are"},
    {"from", 0, "DATE", 0, "go on from this night; without it today's"},
    {"at", 0, "PLACE", 0, "and from this place; without it where the plan has you"},
    FULL_OPTION,
    HOLD_OPTION,
    ASSUMPTIONS_OPTION,
    {"json", 0, NULL, 0, "as JSON"},
    UNITS_OPTION,
    SECONDS_OPTION,
    ASCII_OPTION,
    LW_KEPT_BOOK_OPTION,
    LW_KEPT_NOW_OPTION,
};
static const lw_option SHOW_OPTIONS[] = {
    HELP_OPTION,         ASSUMPTIONS_OPTION, {"json", 0, NULL, 0, "as JSON"}, UNITS_OPTION, ASCII_OPTION,
    LW_KEPT_BOOK_OPTION, LW_KEPT_NOW_OPTION,
};
static const lw_option FORGET_OPTIONS[] = {HELP_OPTION, LW_KEPT_BOOK_OPTION, LW_KEPT_NOW_OPTION};
static const lw_option EXPORT_OPTIONS[] = {
    HELP_OPTION,
    {"as", 0, "FORM", 0, "calendar, gpx, csv, sheet, home (to leave with somebody) or paper (a page to print); needed"},
    {"output", 'o', "FILE", 0, "into this file; without it on standard output"},
    {"plan", 0, "N", 0, "which of the trips that differ; without it the first"},
    FROM_OPTION,
    AT_OPTION,
    FULL_OPTION,
    HOLD_OPTION,
    SECONDS_OPTION,
    DRAWS_OPTION,
    FRESH_OPTION,
    SEED_OPTION,
    LW_KEPT_BOOK_OPTION,
    LW_KEPT_NOW_OPTION,
};
static const lw_option YEAR_OPTIONS[] = {HELP_OPTION, UNITS_OPTION, ASCII_OPTION, LW_KEPT_BOOK_OPTION,
                                         LW_KEPT_NOW_OPTION};

static lw_code take_plan(int option, const char *value, void *to, lw_err *err)
{
    return take_named(PLAN_OPTIONS[option].name, value, to, err);
}

static lw_code take_replan(int option, const char *value, void *to, lw_err *err)
{
    return take_named(REPLAN_OPTIONS[option].name, value, to, err);
}

static lw_code take_show(int option, const char *value, void *to, lw_err *err)
{
    return take_named(SHOW_OPTIONS[option].name, value, to, err);
}

static lw_code take_forget(int option, const char *value, void *to, lw_err *err)
{
    return take_named(FORGET_OPTIONS[option].name, value, to, err);
}

static lw_code take_export(int option, const char *value, void *to, lw_err *err)
{
    return take_named(EXPORT_OPTIONS[option].name, value, to, err);
}

static lw_code take_year(int option, const char *value, void *to, lw_err *err)
{
    return take_named(YEAR_OPTIONS[option].name, value, to, err);
}

/* operands 0: one may be left out. */
static lw_code check_order(const lw_command *self, const lw_args *args, int operands, order *o, lw_err *err)
{
    o->ask.path = lw_args_operand(args, 0);
    if ((!o->ask.path && operands > 0) || lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "%s takes one %.*s", self->name, (int)strcspn(self->operands, " "),
                       self->operands);
    if (o->candidates[0]) {
        char map[sizeof o->candidates];
        snprintf(map, sizeof map, "%s", o->candidates);
        snprintf(o->candidates, sizeof o->candidates, "{%.*s}", (int)sizeof o->candidates - 3, map);
        o->ask.candidates = o->candidates;
    }
    o->ask.plans = (int)o->plans;
    o->ask.draws = (int)o->draws;
    o->ask.fresh = (int)o->fresh;
    o->ask.seconds = (double)o->seconds;
    o->ask.seed = o->seed;
    return lw_kept_open_order(&o->kept, err);
}

/* Asked to end once, it is to end with the best so far; a second time ends the program as ever. */
static volatile sig_atomic_t was_asked_to_end;

static void ask_to_end(int number)
{
    was_asked_to_end = 1;
    (void)signal(number, SIG_DFL);
}

static int is_enough(void *with)
{
    (void)with;
    return was_asked_to_end;
}

/* A line on the terminal that is written over. */
static int put_progress(void *with, int done, int of)
{
    order *o = with;
    fprintf(stderr, "\r%3d %%", of > 0 ? (int)(100LL * done / of) : 0);
    o->is_told = 1;
    return 1;
}

static order order_of(void)
{
    return (order){
        .units = -1, .plans = PLANS_USUAL, .plan = 1, .draws = 48, .fresh = LW_TRIP_FRESH, .seconds = 5, .seed = 1};
}

/* ---- which trip ---- */

typedef lw_code maker(order *o, lw_book *book, lw_trip_planned *p, lw_err *err);

static lw_code plan_file(order *o, lw_book *book, lw_trip_planned *p, lw_err *err)
{
    o->ask.book = book;
    const lw_code code = lw_trip_make(&o->ask, p, err);
    return code || !o->keep_as || p->plan_count == 0 ? code
                                                     : lw_trip_keep(book, o->keep_as, &o->ask, p, o->kept.now_s, err);
}

static lw_code show_kept(order *o, lw_book *book, lw_trip_planned *p, lw_err *err)
{
    return lw_trip_show(book, o->ask.path, &o->ask, p, err);
}

static lw_code replan_kept(order *o, lw_book *book, lw_trip_planned *p, lw_err *err)
{
    return lw_trip_replan(book, o->ask.path, (int)o->plan - 1, &o->ask, o->keep_as ? o->keep_as : o->ask.path, p, err);
}

/* A file, or the name of a trip that is kept. */
static lw_code plan_or_kept(order *o, lw_book *book, lw_trip_planned *p, lw_err *err)
{
    return book && access(o->ask.path, F_OK) != 0 ? show_kept(o, book, p, err) : plan_file(o, book, p, err);
}

/* A trip of a file does without a book, but for what it keeps. */
static lw_code open_book(const order *o, int is_needed, lw_book **book, lw_err *err)
{
    lw_err own = {0};
    if (is_needed || o->kept.book || o->keep_as)
        return lw_kept_open(&o->kept, LW_BOOK_WRITE, book, err);
    if (lw_book_open(book, o->kept.path, LW_BOOK_WRITE, &own) &&
        lw_book_open(book, o->kept.path, LW_BOOK_READ_ONLY, &own))
        *book = NULL;
    return LW_OK;
}

/* p is the caller's zeros; cleared by lw_trip_clear. */
static lw_code make(order *o, int needs_book, maker *how, lw_trip_planned *p, lw_err *err)
{
    lw_book *book = NULL;
    lw_code code = open_book(o, needs_book, &book, err);
    o->ask.now_s = o->kept.now_s;
    if (!code && isatty(STDERR_FILENO))
        o->ask.progress = put_progress, o->ask.with = o;
    o->ask.is_enough = is_enough;
    was_asked_to_end = 0;
    (void)signal(SIGINT, ask_to_end);
    code = code ? code : how(o, book, p, err);
    (void)signal(SIGINT, SIG_DFL);
    if (o->is_told)
        fputs("\r\033[K", stderr);
    lw_book_close(book);
    return code;
}

static int answer_report(order *o, int needs_book, maker *how)
{
    lw_err err = {0};
    lw_sink sink;
    lw_screen screen;
    lw_trip_planned *p = calloc(1, sizeof *p);
    lw_out_open(&sink);
    const lw_code code = p ? make(o, needs_book, how, p, &err) : lw_fail(&err, LW_E_FULL, "no memory for a trip");
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
        } else {
            const lw_unit_system units = o->units >= 0 ? (lw_unit_system)o->units : p->units;
            lw_trip_report(&screen, p, (int)o->plans, units);
            if (o->wants_assumptions)
                lw_trip_report_grounds(&screen, p, units);
        }
        exit_code = lw_out_close(&sink);
        lw_trip_clear(p);
    }
    free(p);
    return exit_code;
}

/* Takes the command line and its one operand; 0: go on, else what to end with in *exit_code. */
static int is_done(const lw_command *self, int argc, char **argv, lw_args_taker *take, int operands, order *o,
                   int *exit_code)
{
    lw_args args;
    lw_err err = {0};
    const int taken = lw_args_take(&args, self, argc, argv, take, o, &err);
    *exit_code = 0;
    if (taken == LW_ARGS_HELP)
        *exit_code = lw_help_run(self);
    else if (taken == LW_ARGS_BAD || check_order(self, &args, operands, o, &err))
        *exit_code = lw_refuse(&err);
    else
        return 0;
    return 1;
}

static int run_plan(const lw_command *self, int argc, char **argv)
{
    order o = order_of();
    int code;
    return is_done(self, argc, argv, take_plan, 1, &o, &code) ? code : answer_report(&o, 0, plan_file);
}

static int run_replan(const lw_command *self, int argc, char **argv)
{
    order o = order_of();
    int code;
    return is_done(self, argc, argv, take_replan, 1, &o, &code) ? code : answer_report(&o, 1, replan_kept);
}

/* ---- those that are kept ---- */

typedef struct listed {
    const lw_kept_trips *trips;
} listed;

static void cell(const void *context, int row, int column, char *buf, size_t n)
{
    const lw_kept_trip *t = &((const listed *)context)->trips->trip[row];
    lw_zone utc;
    lw_zone_utc(&utc);
    if (column == 0)
        snprintf(buf, n, "%s", t->name);
    else {
        char day[64];
        snprintf(buf, n, "planned %s", lw_day_print(day, sizeof day, &utc, t->made_s));
    }
}

static int list_kept(const order *o)
{
    lw_err err = {0};
    lw_book *book = NULL;
    lw_kept_trips trips = {0};
    if (lw_kept_open(&o->kept, LW_BOOK_WRITE, &book, &err))
        return lw_refuse(&err);
    const lw_code code = lw_book_list_trips(book, NULL, &trips, &err);
    lw_book_close(book);
    if (code)
        return lw_refuse(&err);
    lw_sink sink;
    lw_screen screen;
    lw_out_open(&sink);
    lw_screen_init(&screen, &sink, STDOUT_FILENO, o->wants_ascii);
    const listed l = {&trips};
    if (trips.count == 0)
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, "No trip is kept; leeway trip plan FILE --keep NAME keeps one.", 0, 0);
    else
        lw_put_table(&screen, &(lw_table){.rows = (int)trips.count,
                                          .columns = 2,
                                          .head = LW_PAINT_PLAIN,
                                          .warm_row = -1,
                                          .context = &l,
                                          .cell = cell});
    lw_kept_trips_clear(&trips);
    return lw_out_close(&sink);
}

static int run_show(const lw_command *self, int argc, char **argv)
{
    order o = order_of();
    int code;
    o.plans = 0; /* as many as there are */
    if (is_done(self, argc, argv, take_show, 0, &o, &code))
        return code;
    return o.ask.path ? answer_report(&o, 1, show_kept) : list_kept(&o);
}

static int run_forget(const lw_command *self, int argc, char **argv)
{
    order o = order_of();
    int exit_code;
    lw_err err = {0};
    lw_book *book = NULL;
    lw_kept_trips trips = {0};
    if (is_done(self, argc, argv, take_forget, 1, &o, &exit_code))
        return exit_code;
    lw_code code = lw_kept_open(&o.kept, LW_BOOK_WRITE, &book, &err);
    code = code ? code : lw_book_list_trips(book, o.ask.path, &trips, &err);
    if (!code && trips.count == 0)
        code = lw_fail(&err, LW_E_MISSING, "no trip is kept as %s; leeway trip show lists them",
                       lw_quoted(o.ask.path, strlen(o.ask.path)).text);
    code = code ? code : lw_book_drop_trip(book, o.ask.path, &err);
    lw_kept_trips_clear(&trips);
    lw_book_close(book);
    return code ? lw_refuse(&err) : LW_EXIT_DONE;
}

/* ---- export ---- */

static lw_code put_text(void *context, lw_sink *sink, lw_err *err)
{
    (void)err;
    lw_sink_text(sink, context);
    return LW_OK;
}

static int answer_export(order *o)
{
    lw_err err = {0};
    lw_trip_planned *p = calloc(1, sizeof *p);
    char *text = NULL;
    lw_code code = p ? make(o, 0, plan_or_kept, p, &err) : lw_fail(&err, LW_E_FULL, "no memory for a trip");
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
    order o = order_of();
    int code;
    if (is_done(self, argc, argv, take_export, 1, &o, &code))
        return code;
    o.ask.plans = (int)o.plan;
    if (!o.form_word) {
        lw_err err = {0};
        (void)lw_fail(&err, LW_E_MISSING, "say the form with --as calendar, gpx, csv, sheet, home or paper");
        return lw_refuse(&err);
    }
    return answer_export(&o);
}

/* ---- the year ---- */

static int run_year(const lw_command *self, int argc, char **argv)
{
    order o = order_of();
    int code;
    lw_err err = {0};
    if (is_done(self, argc, argv, take_year, 0, &o, &code))
        return code;
    lw_trip_year *year = calloc(1, sizeof *year);
    lw_book *book = NULL;
    lw_code made = year ? open_book(&o, !o.ask.path, &book, &err) : lw_fail(&err, LW_E_FULL, "no memory for a year");
    o.ask.book = book;
    o.ask.now_s = o.kept.now_s;
    made = made ? made : lw_trip_year_make(&o.ask, &(lw_trip_year_wish){NAN, NAN, NAN}, year, &err);
    lw_book_close(book);
    if (made) {
        free(year);
        return lw_refuse(&err);
    }
    lw_sink sink;
    lw_screen screen;
    lw_out_open(&sink);
    lw_screen_init(&screen, &sink, STDOUT_FILENO, o.wants_ascii);
    lw_trip_year_report(&screen, year, o.units >= 0 ? (lw_unit_system)o.units : LW_UNITS_US);
    free(year);
    return lw_out_close(&sink);
}

static const lw_example PLAN_EXAMPLES[] = {
    {"leeway trip plan trip.yaml", "three trips that differ, with the chance of each"},
    {"leeway trip plan trip.yaml --keep spring", "and kept in the book"},
    {"leeway trip plan trip.yaml --hold \"Tin Cup, 2027-05-21, 2027-05-26\"",
     "one stay as you want it, the rest around it"},
    {"leeway trip plan trip.yaml --near \"Tin Cup\" --drive \"3 h\" --signal 70%",
     "with places of the book among them"},
    {"leeway trip plan trip.yaml --plans 1 --json", "the best one, for a program"},
};
static const lw_example REPLAN_EXAMPLES[] = {
    {"leeway trip replan spring", "the rest anew, from today on"},
    {"leeway trip replan spring --full \"Tin Cup\"", "it is full"},
    {"leeway trip replan spring --at \"Owl Draw\" --keep \"spring by the river\"",
     "you are elsewhere; the old one stays kept"},
};
static const lw_example SHOW_EXAMPLES[] = {
    {"leeway trip show", "the names"},
    {"leeway trip show spring", "as it was planned"},
};
static const lw_example FORGET_EXAMPLES[] = {{"leeway trip forget spring", "no longer kept"}};
static const lw_example EXPORT_EXAMPLES[] = {
    {"leeway trip export trip.yaml --as calendar -o trip.ics", "for any calendar"},
    {"leeway trip export trip.yaml --as home", "what to leave with somebody at home"},
};
static const lw_example YEAR_EXAMPLES[] = {
    {"leeway trip year trip.yaml", "following mild weather through the year"},
    {"leeway trip year", "among all places of the book"},
};

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

const lw_command lw_command_trip_show = {
    .name = "trip show",
    .operands = "[NAME]",
    .what = "A trip that is kept in the book, or the names of all",
    .about = "As it was planned and measured then, with its plans side by side.",
    .option = SHOW_OPTIONS,
    .option_count = sizeof SHOW_OPTIONS / sizeof SHOW_OPTIONS[0],
    .example = SHOW_EXAMPLES,
    .example_count = sizeof SHOW_EXAMPLES / sizeof SHOW_EXAMPLES[0],
    .run = run_show,
};

const lw_command lw_command_trip_replan = {
    .name = "trip replan",
    .operands = "NAME",
    .what = "The rest of a kept trip anew, when reality differs",
    .about =
        "Goes on from today, from where the plan has you, with the supplies that it has left you, or from --at with "
        "those of the camp's file. Stays until then count for stay rules. What was held or full before stays so.",
    .option = REPLAN_OPTIONS,
    .option_count = sizeof REPLAN_OPTIONS / sizeof REPLAN_OPTIONS[0],
    .example = REPLAN_EXAMPLES,
    .example_count = sizeof REPLAN_EXAMPLES / sizeof REPLAN_EXAMPLES[0],
    .run = run_replan,
};

const lw_command lw_command_trip_forget = {
    .name = "trip forget",
    .operands = "NAME",
    .what = "A kept trip taken out of the book",
    .about = "Its file stays where it is.",
    .option = FORGET_OPTIONS,
    .option_count = sizeof FORGET_OPTIONS / sizeof FORGET_OPTIONS[0],
    .example = FORGET_EXAMPLES,
    .example_count = sizeof FORGET_EXAMPLES / sizeof FORGET_EXAMPLES[0],
    .run = run_forget,
};

const lw_command lw_command_trip_export = {
    .name = "trip export",
    .operands = "FILE|NAME --as=FORM",
    .what = "A trip for a calendar, a navigator, a table, paper, or somebody at home",
    .about = "Plans the trip of FILE as leeway trip plan does, or takes the one kept as NAME, and writes it down. The "
             "sheet has each stop's rules, "
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
    .operands = "[FILE]",
    .what = "Which places have mild nights and days, month by month",
    .about = "By the climate of the places of FILE, and of the book as it asks for them, or without FILE of all places "
             "of the "
             "book: where the chance of a night "
             "at least as warm as `coldest` and a "
             "day at most as hot "
             "as `hottest` is as wished; without them 32 F and 95 F. Last comes a way through the year: the dearest of "
             "these places, "
             "less what the roads between them cost.",
    .option = YEAR_OPTIONS,
    .option_count = sizeof YEAR_OPTIONS / sizeof YEAR_OPTIONS[0],
    .example = YEAR_EXAMPLES,
    .example_count = sizeof YEAR_EXAMPLES / sizeof YEAR_EXAMPLES[0],
    .run = run_year,
};
