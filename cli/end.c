/* leeway end: the stay that goes on is left; what was forecast against what happened. */
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
#include "service/household.h"
#include "service/ledger.h"
#include "service/log.h"
#include "service/stay_end.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/say.h"

enum { HELP, BOOK, AT, UNDO, JSON, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [AT] = {"at", 'a', "TIME", 0, "when you left, by the clock of the place: \"2026-06-18 7:30\", or 7:30 of today"},
    [UNDO] = {"undo", 'u', NULL, 0, "the stay that ended last goes on again"},
    [JSON] = {"json", 'j', NULL, 0, "the summary as JSON"},
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway end", "you leave now"},
    {"leeway end --at \"2026-06-18 10:30\"", "you left then"},
    {"leeway end --undo", "you have not left, or a stay was begun by mistake"},
};

typedef struct order {
    lw_kept_order kept;
    const char *at;
    int is_undo, wants_json, wants_ascii;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    if (option == BOOK)
        o->kept.book = value;
    if (option == AT)
        o->at = value;
    o->is_undo |= option == UNDO;
    o->wants_json |= option == JSON;
    o->wants_ascii |= option == ASCII;
    return option == NOW ? lw_kept_now(value, &o->kept, err) : LW_OK;
}

/* ---- the summary ---- */

static void say_share(double low, double high, char *buf, size_t n)
{
    if (isnan(low))
        buf[0] = '\0';
    else if (high - low < 0.005)
        snprintf(buf, n, "%d %%", (int)lround(100.0 * low));
    else
        snprintf(buf, n, "%d-%d %%", (int)lround(100.0 * low), (int)lround(100.0 * high));
}

static void summary_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"",          "forecast, days", "what happened", "level forecast",
                                       "last read", "inside",         "off by"};
    const lw_stay_summary *s = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_supply_summary *of = &s->supply[row - 1];
    buf[0] = '\0';
    switch (column) {
    case 0:
        snprintf(buf, n, "%s", lw_supply_name(of->supply));
        break;
    case 1:
        (void)lw_left_say_days(of, buf, n);
        break;
    case 2:
        (void)lw_happened_say(s, of, 0, buf, n);
        break;
    case 3:
        say_share(of->band[0], of->band[2], buf, n);
        break;
    case 4:
        say_share(of->read_low, of->read_high, buf, n);
        break;
    case 5:
        if (of->compared > 0)
            snprintf(buf, n, "%d of %d", of->inside, of->compared);
        break;
    default:
        if (of->compared > 0)
            snprintf(buf, n, "%d %%", (int)lround(100.0 * of->off_frac));
    }
}

static void put_forecast(lw_screen *screen, const lw_stay_summary *s)
{
    char line[LW_SENTENCE], when[LW_WHEN];
    if (s->supply_count == 0) {
        lw_put_wrapped(screen, LW_PAINT_PLAIN, "No forecast was kept of this stay, so there is nothing to compare.", 0,
                       0);
        return;
    }
    snprintf(line, sizeof line, "The forecast of %s against what was logged",
             lw_when_print(when, sizeof when, &s->zone, s->forecast_s, 0));
    lw_put_title(screen, line);
    lw_put_table(screen, &(lw_table){.rows = s->supply_count + 1,
                                     .columns = 7,
                                     .indent = 2,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = s,
                                     .cell = summary_cell});
    lw_put_end(screen);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, lw_left_say_first(s, 0, line, sizeof line), 0, 0);
    lw_put_wrapped(screen, LW_PAINT_FAINT,
                   "Inside: readings that touch the band in which eight of ten should lie, until the supply was filled "
                   "or emptied. Off by: their mean distance from the middle, of what the tank holds.",
                   0, 0);
}

static void put_summary(const order *o, const lw_stay_summary *s, lw_sink *sink)
{
    lw_screen screen;
    char line[LW_SENTENCE];
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, lw_left_say_nights(s, 0, line, sizeof line), 0, 0);
    if (lw_left_say_wish(s, 0, line, sizeof line)[0])
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, line, 0, 0);
    put_forecast(&screen, s);
    if (lw_left_say_money(s, line, sizeof line)[0]) {
        lw_put_end(&screen);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, line, 0, 0);
    }
}

/* ---- the command ---- */

/* "7:30" is by the clock of the place. */
static lw_code time_of(lw_book *book, const order *o, int64_t *at_s, lw_err *err)
{
    lw_household home = {0};
    int is_twice;
    *at_s = o->kept.now_s;
    if (!o->at)
        return LW_OK;
    lw_code code = lw_household_load(book, o->kept.now_s, 0, &home, err);
    if (!code && lw_log_time(&home.loaded.zone, o->at, o->kept.now_s, home.arrival_s, at_s, &is_twice, err))
        code = lw_err_at(err, "--at", 0, NULL);
    lw_household_clear(&home);
    return code;
}

static lw_code put_json(lw_book *book, const lw_stay_summary *s, lw_sink *sink, lw_err *err)
{
    lw_kept_stays stays = {0};
    const lw_code code = lw_book_list_stays(book, &(lw_kept_key){.id = s->stay}, &stays, err);
    if (!code && stays.count > 0)
        lw_sink_text(sink, stays.stay[0].summary);
    lw_kept_stays_clear(&stays);
    return code;
}

static lw_code end(lw_book *book, const order *o, lw_sink *sink, lw_err *err)
{
    lw_stay_summary *s = malloc(sizeof *s);
    int64_t at_s = 0;
    lw_code code = s ? time_of(book, o, &at_s, err) : lw_fail(err, LW_E_FULL, "no memory for a summary");
    if (!code && s)
        code = lw_stay_end(book, at_s, o->kept.now_s, s, err);
    if (!code && s && o->wants_json)
        code = put_json(book, s, sink, err);
    else if (!code && s)
        put_summary(o, s, sink);
    free(s);
    return code;
}

static lw_code undo(lw_book *book, const order *o, lw_sink *sink, lw_err *err)
{
    lw_gone_on gone;
    char when[LW_WHEN];
    const lw_code code = lw_stay_go_on(book, o->kept.now_s, &gone, err);
    if (code)
        return code;
    lw_sink_print(sink, "taken back: your stay at %s goes on; it had ended %s.\n", gone.place,
                  lw_when_print(when, sizeof when, &gone.zone, gone.left_s, 0));
    if (gone.dropped[0])
        lw_sink_print(sink, "The stay at %s, begun since, is out of the book: nothing was logged in it.\n",
                      gone.dropped);
    return LW_OK;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.at = NULL};
    lw_book *book = NULL;
    lw_sink sink;
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken != LW_ARGS_BAD && lw_args_operand_count(&args) > 0)
        (void)lw_fail(&err, LW_E_SYNTAX, "end takes no words; --at says when");
    if (taken != LW_ARGS_BAD && o.is_undo && (o.at || o.wants_json))
        (void)lw_fail(&err, LW_E_SYNTAX, "--undo stands alone: the stay that ended last goes on again");
    if (err.code || lw_kept_open_order(&o.kept, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    lw_code code = lw_kept_open(&o.kept, LW_BOOK_WRITE, &book, &err);
    code = code ? code : (o.is_undo ? undo : end)(book, &o, &sink, &err);
    lw_book_close(book);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_end = {
    .name = "end",
    .operands = "",
    .what = "Leave: the stay that goes on is over, and what was forecast is compared with what happened",
    .about =
        "Closes the stay now, or when --at says, and shows its summary: nights, money, and for each supply what the "
        "first "
        "forecast of the stay said and what was logged, until it was filled or emptied for the first time. The summary "
        "is kept; leeway ledger shows how good the forecasts were over all stays. leeway begin of another stay ends "
        "this one in the same way.\n\n"
        "--undo lets the stay that ended last go on. A stay that was begun since is taken out of the book if nothing "
        "was logged in it; otherwise this is refused.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
