/* leeway today: the few things to do now, and what may be spent today. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "cli/screen.h"
#include "service/allowance.h"
#include "service/learning.h"
#include "service/today.h"
#include "service/today_json.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

enum { HELP, AT, UNTIL, ALL, HOURS, JSON, UNITS, CLOCK, DRAWS, SEED, BOOK, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [AT] = {"at", 0, "WHEN", 0,
            "another moment of the stay, such as \"2026-06-12 7:30\"; without it now, or the arrival when that is "
            "still to come"},
    [UNTIL] = {"until", 0, "WHEN", 0, "when you wish to leave, instead of the scenario's"},
    [ALL] = {"all", 0, NULL, 0, "also what can wait past tomorrow"},
    [HOURS] = {"engine-hours", 0, "H", 0, "what the generator's counter shows, for its upkeep"},
    [JSON] = {"json", 'j', NULL, 0, "the whole answer as JSON on standard output, amounts in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it those of the scenario"},
    [CLOCK] = {"clock", 0, "12|24", 0, "6:40 pm or 18:40; without it 24"},
    [DRAWS] = {"draws", 0, "N", 0, "possible courses of weather and use; without it 1000"},
    [SEED] = {"seed", 0, "N", 0, "which draws; without it 1"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway today camp.yaml", "what to do, and what may be spent today"},
    {"leeway today", "of the stay that the book follows"},
    {"leeway today camp.yaml --at \"2026-06-12 7:30\"", "on another morning of the stay"},
    {"leeway today camp.yaml --json | jq '.todo[0].what'", "for programs"},
};

typedef struct order {
    const char *path, *at, *until; /* path NULL: from the book */
    lw_kept_order kept;
    int wants_all, wants_json, wants_ascii, is_12_hour;
    int units; /* lw_unit_system; -1: the scenario's */
    double engine_h;
    uint64_t draws, seed;
} order;

/* ---- the command line ---- */

static lw_code take_hours(const char *value, double *hours, lw_err *err)
{
    if (!lw_decimal_parse(value, value + strlen(value), hours) || !(*hours >= 0.0 && *hours <= 1e6))
        return lw_fail(err, LW_E_RANGE, "--engine-hours %s is no number of hours, such as 412.3",
                       lw_quoted(value, strlen(value)).text);
    return LW_OK;
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case AT:
        o->at = value;
        break;
    case UNTIL:
        o->until = value;
        break;
    case ALL:
        o->wants_all = 1;
        break;
    case HOURS:
        return take_hours(value, &o->engine_h, err);
    case JSON:
        o->wants_json = 1;
        break;
    case UNITS:
        return lw_args_units(value, &o->units, err);
    case CLOCK:
        return lw_args_clock(value, &o->is_12_hour, err);
    case DRAWS:
        return lw_args_whole("draws", value, 1, LW_DRAWS_MOST, &o->draws, err);
    case SEED:
        return lw_args_whole("seed", value, 0, UINT64_MAX, &o->seed, err);
    case BOOK:
        o->kept.book = value;
        break;
    case NOW:
        return lw_kept_now(value, &o->kept, err);
    default:
        o->wants_ascii = 1;
    }
    return LW_OK;
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    o->path = lw_args_operand(args, 0);
    if (o->path && o->kept.book)
        return lw_fail(err, LW_E_CONFLICT, "today is of a FILE or of the book; leave out one of them");
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "today takes one FILE");
    return lw_kept_open_order(&o->kept, err);
}

/* ---- the answer ---- */

static lw_code find_now(const order *o, const lw_outlook_answer *answer, int64_t *now_s, lw_err *err)
{
    const lw_outlook *outlook = answer->outlook;
    if (!o->at) {
        const int64_t clock_s = o->kept.now_s;
        const int64_t end_s = outlook->departure_s ? outlook->departure_s : outlook->horizon_s;
        *now_s = clock_s > outlook->start_s && clock_s < end_s ? clock_s : outlook->start_s;
        return LW_OK;
    }
    lw_moment moment;
    const lw_code code = lw_moment_parse(o->at, &moment, err);
    if (code)
        return lw_err_at(err, NULL, 0, "--at");
    *now_s = lw_moment_utc(&moment, &answer->loaded.zone);
    return LW_OK;
}

static void put_todo(lw_screen *screen, const lw_todo *item, int number)
{
    char head[16];
    snprintf(head, sizeof head, "%2d  ", number);
    lw_put(screen, LW_PAINT_PLAIN, head);
    lw_put_wrapped(screen, item->kind == LW_TODO_VITAL ? LW_PAINT_WARM : LW_PAINT_STRONG, item->what, 4, 4);
    lw_put_blank(screen, 4);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, item->why, 4, 4);
    lw_put_blank(screen, 4);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, item->otherwise, 4, 4);
}

typedef struct allowance_table {
    const lw_allowance *row;
    lw_words_choice choice;
    double bag_l;
} allowance_table;

static void say_amount(const allowance_table *t, lw_supply supply, double amount, char *buf, size_t n)
{
    if (supply == LW_SUPPLY_RUBBISH && t->bag_l > 0.0) {
        char number[LW_DECIMAL_BYTES];
        lw_decimal_print(number, sizeof number, amount / t->bag_l, 1, 0);
        snprintf(buf, n, "%s %s", number, strcmp(number, "1") == 0 ? "bag" : "bags");
    } else
        lw_amount_print(buf, n, supply, amount, t->choice.units);
}

static void allowance_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"", "may go a day", "goes a day", "one more"};
    const allowance_table *t = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_allowance *a = &t->row[row - 1];
    char amount[LW_QUANTITY_BYTES], hours[LW_DECIMAL_BYTES];
    buf[0] = '\0';
    if (column == 0)
        snprintf(buf, n, "%s", lw_supply_name(a->supply));
    else if (column == 1)
        say_amount(t, a->supply, a->per_day, buf, n);
    else if (column == 2)
        say_amount(t, a->supply, a->use_per_day, buf, n);
    else if (a->one[0] && a->one_costs_h >= 0.05) {
        say_amount(t, a->supply, a->one_amount, amount, sizeof amount);
        lw_decimal_print(hours, sizeof hours, a->one_costs_h, a->one_costs_h < 10.0 ? 1 : 0, 0);
        snprintf(buf, n, "%s: %s, ends it %s h sooner", a->one, amount, hours);
    }
}

static void put_allowance(lw_screen *screen, const lw_outlook_answer *answer, const lw_allowance *row, int count,
                          const lw_words_choice *choice)
{
    char title[96], when[LW_WHEN];
    const allowance_table table = {.row = row, .choice = *choice, .bag_l = answer->loaded.bag_l};
    snprintf(title, sizeof title, "To stay until %s",
             lw_when_print(when, sizeof when, &answer->loaded.zone, answer->outlook->departure_s, choice->is_12_hour));
    lw_put_title(screen, title);
    lw_put_table(screen, &(lw_table){.rows = count + 1,
                                     .columns = 4,
                                     .indent = 2,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = &table,
                                     .cell = allowance_cell});
}

static void put_report(const order *o, const lw_today_in *in, const lw_today *today, const lw_allowance *row,
                       int row_count, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, today->headline, 0, 0);
    if (today->due > 0)
        lw_put_end(&screen);
    const int shown = o->wants_all ? today->count : today->due < LW_TODOS_SHOWN ? today->due : LW_TODOS_SHOWN;
    for (int i = 0; i < shown; i++) {
        if (i == today->due)
            lw_put_title(&screen, "Later");
        put_todo(&screen, &today->item[i], i + 1);
    }
    if (today->count > shown) {
        char more[64];
        snprintf(more, sizeof more, "%d more can wait; --all shows %s.", today->count - shown,
                 today->count - shown == 1 ? "it" : "them");
        lw_put_wrapped(&screen, LW_PAINT_FAINT, more, 0, 0);
    }
    for (int i = 0; i < today->list_count; i++) {
        char text[160];
        snprintf(text, sizeof text, "%sleeway checklist %s: %s.", i ? "" : "See also ",
                 lw_checklist_name(today->list[i].id), today->list[i].why);
        lw_put_wrapped(&screen, LW_PAINT_FAINT, text, 0, 0);
    }
    if (row_count > 0)
        put_allowance(&screen, in->answer, row, row_count, &in->choice);
}

static lw_code put_answer(const order *o, const lw_outlook_answer *answer, lw_sink *sink, lw_err *err)
{
    lw_today_in in = {.answer = answer,
                      .choice = {.units = o->units < 0 ? answer->loaded.units : (lw_unit_system)o->units,
                                 .is_12_hour = o->is_12_hour},
                      .engine_h = isnan(o->engine_h) && answer->learning ? answer->learning->engine_h : o->engine_h};
    lw_today *today = malloc(sizeof *today);
    lw_allowance row[LW_SUPPLY_COUNT];
    if (!today)
        return lw_fail(err, LW_E_FULL, "no memory for today");
    lw_code code = find_now(o, answer, &in.now_s, err);
    code = code ? code : lw_today_make(&in, today, err);
    if (!code) {
        const int count = lw_allowance_make(answer, in.now_s, row);
        if (o->wants_json) {
            char *text = lw_today_json(&in, today, row, count, LW_VERSION);
            code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for JSON");
            if (text)
                lw_sink_text(sink, text);
            free(text);
        } else
            put_report(o, &in, today, row, count, sink);
    }
    free(today);
    return code;
}

static lw_code run_outlook(const order *o, lw_outlook_answer *answer, lw_err *err)
{
    const lw_draws_wish draws = {.draws = (int)o->draws, .seed = o->seed, .ends_only = 1};
    const int64_t now_s = o->kept.now_s;
    const int ahead_days = o->at ? 0 : LW_TODAY_AHEAD_DAYS; /* another moment may lie anywhere in the stay */
    if (o->path)
        return lw_outlook_run(&(lw_outlook_request){.from = {.path = o->path, .now_s = now_s},
                                                    .until = o->until,
                                                    .wants_series = 1,
                                                    .draws = draws,
                                                    .ahead_days = ahead_days},
                              answer, err);
    lw_book *book = NULL;
    lw_code code = lw_kept_open_for(&o->kept, 1, &book, err);
    const lw_learning_request request = {
        .now_s = now_s, .until = o->until, .wants_series = 1, .draws = draws, .ahead_days = ahead_days};
    code = code ? code : lw_learning_run(book, &request, answer, err);
    lw_book_close(book);
    return code;
}

static int answer_order(const order *o)
{
    lw_err err = {0};
    lw_sink sink;
    lw_outlook_answer answer = {0};
    int exit_code;
    lw_out_open(&sink);
    if (run_outlook(o, &answer, &err)) {
        (void)lw_refuse(&err);
        exit_code = LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    } else if (put_answer(o, &answer, &sink, &err))
        exit_code = lw_refuse(&err);
    else
        exit_code = lw_out_close(&sink);
    lw_outlook_answer_clear(&answer);
    return exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.units = -1, .engine_h = NAN, .draws = LW_DRAWS_USUAL, .seed = 1};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    return answer_order(&o);
}

const lw_command lw_command_today = {
    .name = "today",
    .operands = "[FILE]",
    .what = "The few things to do now, and what may be spent today",
    .about =
        "FILE is a scenario, as for leeway outlook; without it the stay that the book follows. What cannot wait past "
        "the end of tomorrow is told in the order of "
        "its "
        "latest times, each with its reason and what happens otherwise; what a life hangs on comes first. Supplies "
        "that "
        "are due within three days of each other are one run. A generator window is the fewest hours that keep the "
        "battery above your floor, begun as late as that works.\n\n"
        "With a wished departure a table says what each supply may spend a day to last until then, what it does spend, "
        "and what one more of its largest single use costs.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
