/* leeway ledger: nights, what rules leave, money. */
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
#include "service/ledger_json.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

enum { HELP, BOOK, SINCE, STAY, CSV, JSON, NOW, ASCII, CIVIL = 24 };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [SINCE] = {"since", 's', "TIME", 0,
               "nights and money from then on: 2026-06-12, or how long ago: \"30 days\"; rules look at all stays"},
    [STAY] = {"stay", 0, "NUMBER", 0, "of one stay alone, by its number in the list of stays"},
    [CSV] = {"csv", 0, NULL, 0, "a line a stay and currency, as CSV with a header line"},
    [JSON] = {"json", 'j', NULL, 0, "all of it as JSON"},
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway ledger", "nights, what the rules leave, money"},
    {"leeway ledger --since 2026-01-01", "of this year"},
    {"leeway ledger --csv", "a line a stay for a spreadsheet"},
};

typedef struct order {
    lw_kept_order kept;
    const char *since;
    uint64_t stay;
    int is_csv, is_json, wants_ascii;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case BOOK:
        o->kept.book = value;
        break;
    case SINCE:
        o->since = value;
        break;
    case STAY:
        return lw_args_whole("stay", value, 1, INT64_MAX, &o->stay, err);
    case CSV:
        o->is_csv = 1;
        break;
    case JSON:
        o->is_json = 1;
        break;
    case NOW:
        return lw_kept_now(value, &o->kept, err);
    default:
        o->wants_ascii = 1;
    }
    return LW_OK;
}

/* ---- tables ---- */

/* "23.50 USD, 4.00 CAD"; empty without any. Divided by nights where that is above zero. */
static void say_money(const lw_money money[LW_CURRENCY_COUNT], int nights, char *buf, size_t n)
{
    char text[LW_MONEY_TEXT];
    buf[0] = '\0';
    for (int c = 0; c < LW_CURRENCY_COUNT; c++) {
        const size_t used = strlen(buf);
        const int64_t cents = lw_cents_a_night(money[c].all_cents, nights);
        if (lw_has_money(&money[c]))
            snprintf(buf + used, n - used, "%s%s", used ? ", " : "",
                     lw_money_print(text, sizeof text, cents, (lw_currency)c));
    }
}

static void put_table(lw_screen *screen, const lw_book_ledger *l, int rows, int columns, unsigned right,
                      void (*cell)(const void *, int, int, char *, size_t))
{
    lw_put_table(screen, &(lw_table){.rows = rows + 1,
                                     .columns = columns,
                                     .right = right,
                                     .indent = 2,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = l,
                                     .cell = cell});
}

static void stay_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"no", "place", "from", "until", "nights", "spent", "a night"};
    const lw_book_ledger *l = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_stay_sum *s = &l->stay[row - 1];
    buf[0] = '\0';
    switch (column) {
    case 0:
        snprintf(buf, n, "%lld", (long long)s->stay.id);
        break;
    case 1:
        snprintf(buf, n, "%s", s->stay.place_name);
        break;
    case 2:
        lw_date_print(buf, n, lw_date_of(s->stay.arrival_day));
        break;
    case 3:
        if (s->stay.left_s == LW_NO_TIME)
            snprintf(buf, n, "now");
        else
            lw_date_print(buf, n, lw_date_of(s->stay.departure_day));
        break;
    case 4:
        snprintf(buf, n, "%d", s->nights);
        break;
    case 5:
        say_money(s->money, 0, buf, n);
        break;
    default:
        if (s->nights > 0)
            say_money(s->money, s->nights, buf, n);
    }
}

static void sum_cell(const lw_nights_sum *sum, const char *second, int column, char *buf, size_t n)
{
    if (column == 0)
        snprintf(buf, n, "%s", sum->name);
    else if (column == 1)
        snprintf(buf, n, "%d", sum->nights);
    else if (column == 2)
        snprintf(buf, n, "%d", sum->stays);
    else if (column == 3)
        lw_date_print(buf, n, lw_date_of(sum->last_day));
    else
        snprintf(buf, n, "%s", second);
}

static void place_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"place", "nights", "stays", "last", "manager"};
    const lw_book_ledger *l = context;
    if (row == 0)
        snprintf(buf, n, "%s", HEAD[column]);
    else
        sum_cell(&l->place[row - 1], l->place[row - 1].manager, column, buf, n);
}

static void manager_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"manager", "nights", "stays", "last"};
    const lw_book_ledger *l = context;
    if (row == 0)
        snprintf(buf, n, "%s", HEAD[column]);
    else
        sum_cell(&l->manager[row - 1], "", column, buf, n);
}

/* Kinds that have money, and then the sum. */
typedef struct kinds {
    const lw_book_ledger *ledger;
    int kind[LW_EXPENSE_COUNT + 1];
    int currency[LW_CURRENCY_COUNT];
    int kind_count, currency_count;
} kinds;

static kinds kinds_of(const lw_book_ledger *l)
{
    kinds k = {.ledger = l};
    for (int c = 0; c < LW_CURRENCY_COUNT; c++)
        if (lw_has_money(&l->money[c]))
            k.currency[k.currency_count++] = c;
    for (int i = 0; i < LW_EXPENSE_COUNT; i++) {
        int is_any = 0;
        for (int c = 0; c < LW_CURRENCY_COUNT; c++)
            is_any |= l->money[c].cents[i] != 0;
        if (is_any)
            k.kind[k.kind_count++] = i;
    }
    k.kind[k.kind_count++] = LW_EXPENSE_COUNT;
    return k;
}

static void kind_cell(const void *context, int row, int column, char *buf, size_t n)
{
    const kinds *k = context;
    const int kind = row > 0 ? k->kind[row - 1] : 0;
    buf[0] = '\0';
    if (column == 0) {
        if (row > 0)
            snprintf(buf, n, "%s", kind == LW_EXPENSE_COUNT ? "in all" : lw_expense_word((lw_expense_kind)kind));
        return;
    }
    const int currency = k->currency[column - 1];
    char text[LW_MONEY_TEXT];
    if (row == 0) {
        snprintf(buf, n, "%s", lw_currency_word((lw_currency)currency));
        return;
    }
    const lw_money *money = &k->ledger->money[currency];
    const int64_t cents = kind == LW_EXPENSE_COUNT ? money->all_cents : money->cents[kind];
    lw_money_print(text, sizeof text, cents, (lw_currency)currency);
    if (cents != 0 || kind == LW_EXPENSE_COUNT)
        snprintf(buf, n, "%.*s", (int)strcspn(text, " "), text);
}

static void month_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"month", "spent"};
    const lw_book_ledger *l = context;
    if (row == 0)
        snprintf(buf, n, "%s", HEAD[column]);
    else if (column == 0)
        snprintf(buf, n, "%04d-%02d", l->month[row - 1].year, l->month[row - 1].month);
    else
        say_money(l->month[row - 1].money, 0, buf, n);
}

/* ---- the report ---- */

static void put_limits(lw_screen *screen, const lw_book_ledger *l)
{
    char text[LW_SENTENCE], head[320];
    if (l->limit_count == 0)
        return;
    lw_put_title(screen, "What the rules leave");
    for (int i = 0; i < l->limit_count; i++) {
        const lw_place_limit *limit = &l->limit[i];
        snprintf(head, sizeof head, "%s%s: %s", limit->place, limit->is_here ? ", where you are" : "", limit->rule);
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_STRONG, head, 2, 4);
        lw_put_blank(screen, 4);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, lw_limit_say(limit, text, sizeof text), 4, 4);
    }
    lw_put_blank(screen, 2);
    lw_put_wrapped(screen, LW_PAINT_FAINT, "The sign at the place and its office win.", 2, 2);
}

static void put_permits(lw_screen *screen, const lw_book_ledger *l)
{
    char text[LW_SENTENCE], line[LW_SENTENCE + LW_NAME];
    if (l->permit_count == 0)
        return;
    lw_put_title(screen, "Permits");
    for (int i = 0; i < l->permit_count; i++) {
        snprintf(line, sizeof line, "%s, %s", l->permit[i].permit.name,
                 lw_permit_say(&l->permit[i], l->today, text, sizeof text));
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, line, 2, 4);
    }
}

static void put_money(lw_screen *screen, const lw_book_ledger *l)
{
    const kinds k = kinds_of(l);
    char night[LW_CELL], line[LW_CELL + 32];
    if (k.currency_count == 0)
        return;
    lw_put_title(screen, "Money");
    lw_put_table(screen, &(lw_table){.rows = k.kind_count + 1,
                                     .columns = 1 + k.currency_count,
                                     .right = ~1u,
                                     .indent = 2,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = &k,
                                     .cell = kind_cell});
    if (l->nights > 0) {
        say_money(l->money, l->nights, night, sizeof night);
        snprintf(line, sizeof line, "That is %s a night.", night);
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, line, 2, 2);
    }
    if (l->month_count > 1) {
        lw_put_end(screen);
        put_table(screen, l, l->month_count, 2, 0, month_cell);
    }
}

static void score_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"", "readings inside", "off by", "ends inside", "off by, days", "not seen"};
    const lw_book_ledger *l = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_supply_score *s = &l->score[row - 1];
    buf[0] = '\0';
    if (column == 0)
        snprintf(buf, n, "%s", lw_supply_name(s->supply));
    else if (column == 1 && s->compared > 0)
        snprintf(buf, n, "%d of %d", s->inside, s->compared);
    else if (column == 2 && s->compared > 0)
        snprintf(buf, n, "%d %%", (int)lround(100.0 * s->off_frac));
    else if (column == 3 && s->ends.scored > 0)
        snprintf(buf, n, "%d of %d", s->ends.inside, s->ends.scored);
    else if (column == 4 && s->ends.with_error > 0)
        lw_decimal_print(buf, n, s->ends.median_off_days, 1, 0);
    else if (column == 5 && s->ends.unscored > 0)
        snprintf(buf, n, "%d", s->ends.unscored);
}

static void put_scores(lw_screen *screen, const lw_book_ledger *l)
{
    char title[64];
    if (l->score_count == 0)
        return;
    snprintf(title, sizeof title, "How good the forecasts were, of %d %s", l->scored_stays,
             l->scored_stays == 1 ? "stay" : "stays");
    lw_put_title(screen, title);
    put_table(screen, l, l->score_count, 6, ~1u, score_cell);
    lw_put_blank(screen, 2);
    lw_put_wrapped(screen, LW_PAINT_FAINT,
                   "Of the first forecast of each stay that is over. Eight of ten should be inside its band; a supply "
                   "that was filled, emptied or left before it ended was not seen to end.",
                   2, 2);
}

static void put_report(const order *o, const lw_book_ledger *l, lw_sink *sink)
{
    lw_screen screen;
    char head[128], since[CIVIL], from[CIVIL + 8] = "";
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    if (l->since_day != INT64_MIN)
        snprintf(from, sizeof from, " since %s", lw_civil_say(since, sizeof since, l->since_day));
    snprintf(head, sizeof head, "%d %s in %d %s%s.", l->nights, l->nights == 1 ? "night" : "nights", l->stay_count,
             l->stay_count == 1 ? "stay" : "stays", from);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, head, 0, 0);
    if (l->stay_count > 0) {
        lw_put_end(&screen);
        put_table(&screen, l, l->stay_count, 7, 1u << 0 | 1u << 4, stay_cell);
    }
    if (!l->only_stay && l->stay_count > 0) {
        lw_put_title(&screen, "Nights");
        put_table(&screen, l, l->place_count, 5, 1u << 1 | 1u << 2, place_cell);
        if (l->manager_count > 0) {
            lw_put_end(&screen);
            put_table(&screen, l, l->manager_count, 4, 1u << 1 | 1u << 2, manager_cell);
        }
    }
    put_limits(&screen, l);
    put_permits(&screen, l);
    put_money(&screen, l);
    put_scores(&screen, l);
    if (l->unread > 0) {
        snprintf(head, sizeof head, "%d earlier %s cannot be read by this version: its rule and permits are not here.",
                 l->unread, l->unread == 1 ? "stay" : "stays");
        lw_put_end(&screen);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, head, 0, 0);
    }
}

static lw_code answer(const order *o, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    lw_book_ledger ledger = {0};
    const lw_ledger_request request = {.now_s = o->kept.now_s, .since = o->since, .stay = (int64_t)o->stay};
    lw_code code = lw_kept_open(&o->kept, LW_BOOK_WRITE, &book, err);
    code = code ? code : lw_book_ledger_make(book, &request, &ledger, err);
    lw_book_close(book);
    if (!code && o->is_json) {
        char *text = lw_ledger_json(&ledger, LW_VERSION);
        code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for JSON");
        lw_sink_text(sink, text ? text : "");
        free(text);
    } else if (!code && o->is_csv)
        lw_ledger_csv(&ledger, sink);
    else if (!code)
        put_report(o, &ledger, sink);
    lw_book_ledger_clear(&ledger);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.since = NULL};
    lw_sink sink;
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken != LW_ARGS_BAD && lw_args_operand_count(&args) > 0)
        (void)lw_fail(&err, LW_E_SYNTAX, "ledger takes no words; --since and --stay say of what");
    if (taken != LW_ARGS_BAD && o.is_csv && o.is_json)
        (void)lw_fail(&err, LW_E_CONFLICT, "--csv and --json are two forms of one answer; choose one");
    if (err.code || lw_kept_open_order(&o.kept, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code = answer(&o, &sink, &err);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_ledger = {
    .name = "ledger",
    .operands = "",
    .what = "Nights, what stay rules and permits leave, and money, over all stays of the book",
    .about =
        "Every stay with its nights and what was spent; nights by place and by manager; for each place of the last 400 "
        "days with a stay rule how many of its days are used, how many are left and when days come free again. "
        "Leaving and coming back starts no limit anew: all stays on the land of the same manager within the rule's "
        "radius count.\n\n"
        "Money is what leeway log spent has kept, by kind, stay and month, each currency by itself. What permits cost "
        "by their terms stands with the permits and is not added.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
