/* leeway plan buy: what to buy, by the days it gains over the household's own year. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/out.h"
#include "cli/plan_order.h"
#include "cli/report.h"
#include "cli/screen.h"
#include "cli/waiting.h"

#include "service/buy.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"
#include "text/spot_typed.h"

enum { SHOWN = 12, BAR = 30, WITHOUT_MOST = 32, COLUMNS = 6 };

static const lw_option OPTIONS[] = {
    LW_PLAN_HELP_OPTION,
    {"stay", 's', "STAY", 0,
     "a stay of your year: \"38.2,-111.1; 6200 ft; 2026-06-08; 14\" is place, height, arrival, nights; may be "
     "repeated"},
    {"year", 'y', "FILE", 0, "your year from a file: a list of place, from, to (docs/use/plan.md)"},
    {"budget", 0, "USD", 0, "nothing and no set that costs more"},
    {"used", 0, NULL, 0, "prices of used things, where they are sold"},
    {"without", 'x', "THING", 0, "do not think of that; may be repeated"},
    {"run-price", 0, "USD", 0, "what a run to dump and fill costs you; without it 12"},
    {"night-price", 0, "USD", 0, "what a night with hookups costs; without it 45"},
    {"fuel-price", 0, "PRICE", 0, "of generator fuel, such as \"3.89 USD/gal\"; without it 1 USD/L"},
    {"all", 0, NULL, 0, "also what gains nothing here, and what cannot be tried"},
    {"details", 'd', NULL, 0, "each in sentences: what it gains, when it is paid back, mass and roof, its source"},
    {"svg", 0, "FILE", 0, "price against days gained as a picture into FILE; - for standard output"},
    LW_PLAN_WHAT_IF_OPTION,
    LW_PLAN_ASSUMPTIONS_OPTION,
    LW_PLAN_JSON_OPTION,
    LW_PLAN_UNITS_OPTION,
    {"draws", 0, "N", 0, "possible courses of weather and use for each stay; without it 48"},
    LW_PLAN_SEED_OPTION,
    LW_KEPT_BOOK_OPTION,
    LW_KEPT_NOW_OPTION,
    LW_PLAN_ASCII_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway plan buy camp.yaml", "what gains most days a dollar, and the front of price against days"},
    {"leeway plan buy camp.yaml --stay \"38.2,-111.1; 6200 ft; 2026-06-08; 14\" --stay \"33.1,-115.0; 200 ft; "
     "2026-01-04; 30\"",
     "over a year of two stays"},
    {"leeway plan buy camp.yaml --year our-year.yaml", "over your own year of places and seasons"},
    {"leeway plan buy camp.yaml --used --budget 500 --svg front.svg", "used things up to 500 USD, with a picture"},
    {"leeway plan buy camp.yaml --details", "payback, mass, roof and sources"},
};

typedef struct order {
    lw_plan_order plan;
    lw_year year;
    lw_buy_wish wish;
    const char *without[WITHOUT_MOST];
    const char *svg, *year_file;
    int wants_all;
} order;

/* ---- the command line ---- */

static lw_code bad_stay(const char *value, const char *what, lw_err *err)
{
    return lw_fail(err, LW_E_SYNTAX,
                   "--stay %s: %s; write place, height, arrival and nights, such as \"38.2,-111.1; 6200 ft; "
                   "2026-06-08; 14\"",
                   lw_quoted(value, strlen(value)).text, what);
}

/* The n-th part between semicolons, without blanks around it. */
static int part_of(const char *value, int n, char *to, size_t size)
{
    for (; n > 0 && value; n--) {
        value = strchr(value, ';');
        value = value ? value + 1 : NULL;
    }
    if (!value)
        return 0;
    value += strspn(value, " ");
    size_t length = strcspn(value, ";");
    while (length > 0 && value[length - 1] == ' ')
        length--;
    snprintf(to, size, "%.*s", (int)length, value);
    return length > 0;
}

static lw_code take_stay(order *o, const char *value, lw_err *err)
{
    char spot[64], height[32], day[32], nights[16];
    lw_err own = {0};
    lw_spot at;
    lw_moment arrival;
    uint64_t count;
    if (o->year.count == LW_BUY_STAYS)
        return lw_fail(err, LW_E_FULL, "more than %d stays", LW_BUY_STAYS);
    if (!part_of(value, 0, spot, sizeof spot) || !part_of(value, 1, height, sizeof height) ||
        !part_of(value, 2, day, sizeof day) || !part_of(value, 3, nights, sizeof nights))
        return bad_stay(value, "a part is missing", err);
    lw_year_stay *s = &o->year.stay[o->year.count];
    if (!lw_spot_typed(spot, &at))
        return bad_stay(value, "that is no place", err);
    if (lw_quantity_parse(height, LW_DIM_LENGTH, &s->elevation_m, &own))
        return bad_stay(value, own.text, err);
    if (lw_moment_parse(day, &arrival, &own))
        return bad_stay(value, own.text, err);
    if (lw_args_whole("stay", nights, 1, LW_BUY_NIGHTS, &count, &own))
        return bad_stay(value, "its nights are a whole number from 1 to 60", err);
    s->latitude_deg = at.latitude_deg;
    s->longitude_deg = at.longitude_deg;
    s->day = arrival.day;
    s->nights = (int)count;
    snprintf(s->name, sizeof s->name, "%.31s", spot);
    o->year.count++;
    return LW_OK;
}

static lw_code take_without(order *o, const char *value, lw_err *err)
{
    if (o->wish.without_count == WITHOUT_MOST)
        return lw_fail(err, LW_E_FULL, "more than %d things left out", WITHOUT_MOST);
    o->without[o->wish.without_count++] = value;
    return LW_OK;
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    const char *name = OPTIONS[option].name;
    lw_code code;
    if (strcmp(name, "stay") == 0)
        return take_stay(o, value, err);
    if (strcmp(name, "without") == 0)
        return take_without(o, value, err);
    if (strcmp(name, "budget") == 0)
        return lw_plan_number(name, value, 0.0, 1e6, &o->wish.budget_usd, err);
    if (strcmp(name, "run-price") == 0)
        return lw_plan_number(name, value, 0.0, 10000.0, &o->wish.run_usd, err);
    if (strcmp(name, "night-price") == 0)
        return lw_plan_number(name, value, 0.0, 10000.0, &o->wish.night_usd, err);
    if (strcmp(name, "fuel-price") == 0)
        return lw_plan_price(name, value, LW_DIM_PRICE_PER_VOLUME, &o->wish.fuel_usd_l, err);
    if (strcmp(name, "year") == 0)
        o->year_file = value;
    else if (strcmp(name, "svg") == 0)
        o->svg = value;
    else if (strcmp(name, "used") == 0)
        o->wish.is_used = 1;
    else if (strcmp(name, "all") == 0)
        o->wants_all = 1;
    else {
        (void)lw_plan_order_take(&o->plan, name, value, &code, err);
        return code;
    }
    return LW_OK;
}

/* ---- the report ---- */

typedef struct shown {
    const lw_bought *bought;
    int at[LW_BUY_SETS], count;
} shown;

static void years_cell(const lw_buy_set *s, char *buf, size_t n)
{
    const double years = fmin(s->payback_fuel_years, s->payback_runs_years);
    char number[LW_DECIMAL_BYTES];
    if (isinf(years)) {
        snprintf(buf, n, "never");
        return;
    }
    lw_decimal_print(number, sizeof number, years, years < 10.0, 0);
    snprintf(buf, n, "%s %s", number, nearbyint(years * 10.0) == 10.0 ? "year" : "years");
}

static void cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[COLUMNS] = {"", "USD", "days a year", "USD a day", "paid back", ""};
    const shown *s = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_buy_set *set = &s->bought->set[s->at[row - 1]];
    char number[LW_DECIMAL_BYTES];
    const int is_tried = !set->why_not[0];
    buf[0] = '\0';
    if (column == 0)
        snprintf(buf, n, "%s", set->is_on_front ? "*" : "");
    else if (column == 1)
        lw_decimal_print(buf, n, nearbyint(set->price_usd), 0, 0);
    else if (column == 2 && is_tried) {
        lw_decimal_print(number, sizeof number, nearbyint(set->gained_days * 10.0) / 10.0, 1, 1);
        snprintf(buf, n, "%s%s", set->gained_days >= 0.05 ? "+" : "", number);
    } else if (column == 3 && is_tried && !isinf(set->usd_a_day))
        lw_decimal_print(buf, n, nearbyint(set->usd_a_day * 10.0) / 10.0, set->usd_a_day < 100.0, 0);
    else if (column == 4 && is_tried)
        years_cell(set, buf, n);
    else if (column == 5)
        snprintf(buf, n, "%.230s%s", set->title, set->fits_roof ? "" : " (no roof for it)");
}

static void put_table(lw_screen *screen, const shown *s)
{
    lw_put_title(screen, "What each buys over the year");
    lw_put_table(screen, &(lw_table){.rows = s->count + 1,
                                     .columns = COLUMNS,
                                     .right = 0x1e,
                                     .indent = 1,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = s,
                                     .cell = cell});
}

/* The front as bars: what each further sum of money buys. */
static void put_front(lw_screen *screen, const lw_bought *b)
{
    char text[400], usd[LW_DECIMAL_BYTES], days[LW_DECIMAL_BYTES], bar[BAR + 1];
    const double most = b->front_count > 0 ? b->set[b->front[b->front_count - 1]].gained_days : 1.0;
    if (b->front_count == 0)
        return;
    lw_put_title(screen, "Days gained for the money: no cheaper one gains as much");
    for (int i = 0; i < b->front_count; i++) {
        const lw_buy_set *s = &b->set[b->front[i]];
        const int length = (int)fmax(1.0, nearbyint(BAR * s->gained_days / most));
        memset(bar, '=', (size_t)length);
        bar[length] = '\0';
        lw_decimal_print(usd, sizeof usd, nearbyint(s->price_usd), 0, 0);
        lw_decimal_print(days, sizeof days, nearbyint(s->gained_days * 10.0) / 10.0, 1, 1);
        snprintf(text, sizeof text, "%6s USD  %-*s +%s", usd, BAR, bar, days);
        lw_put(screen, LW_PAINT_PLAIN, text);
        lw_put_end(screen);
        lw_put_blank(screen, 12);
        lw_put_wrapped(screen, LW_PAINT_FAINT, s->title, 12, 12);
    }
}

static void put_details(lw_screen *screen, const shown *s)
{
    char line[400];
    for (int i = 0; i < s->count; i++) {
        const lw_buy_set *set = &s->bought->set[s->at[i]];
        const char *const text[] = {set->payback, set->load};
        lw_put_end(screen);
        lw_put_wrapped(screen, LW_PAINT_STRONG, set->sentence, 0, 2);
        for (size_t t = 0; t < 2 && !set->why_not[0]; t++) {
            lw_put_blank(screen, 2);
            lw_put_wrapped(screen, LW_PAINT_PLAIN, text[t], 2, 2);
        }
        for (int n = 0; n < set->count; n++) {
            const lw_buy_item *item = &s->bought->item[set->item[n]];
            snprintf(line, sizeof line, "%s: %.190s (%.23s).", item->id, item->source, item->kind);
            lw_put_blank(screen, 2);
            lw_put_wrapped(screen, LW_PAINT_FAINT, line, 2, 4);
        }
    }
}

static void put_sources(lw_screen *screen, const lw_bought *b)
{
    lw_assumption row[LW_BUY_ITEMS];
    for (int i = 0; i < b->item_count; i++) {
        const lw_buy_item *item = &b->item[i];
        row[i] = (lw_assumption){.order = 0};
        snprintf(row[i].key, sizeof row[i].key, "%s", item->id);
        snprintf(row[i].value, sizeof row[i].value, "%.0f USD%s", item->price_usd, b->wish.is_used ? ", used" : "");
        snprintf(row[i].source, sizeof row[i].source, "%.159s", item->source);
        snprintf(row[i].kind, sizeof row[i].kind, "%s", item->kind);
    }
    lw_report_sources(screen, "What can be bought, of data/levers.csv", row, b->item_count);
    lw_report_sources(screen, "What the rig may carry", b->cargo.assumption, b->cargo.assumption_count);
}

static void put_report(const order *o, const lw_bought *b, lw_sink *sink)
{
    lw_screen screen;
    shown s = {.bought = b};
    char more[200];
    int worthless = 0;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->plan.wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, b->headline, 0, 0);
    lw_put_wrapped(&screen, LW_PAINT_PLAIN, b->advice, 0, 0);
    lw_put_wrapped(&screen, LW_PAINT_FAINT, b->year_words, 0, 0);
    for (int i = 0; i < b->set_count; i++) {
        const int is_worth = b->set[i].gained_days > 0.05 && !b->set[i].why_not[0];
        worthless += !is_worth;
        if (o->wants_all || (is_worth && (s.count < SHOWN || o->plan.wants_details || b->set[i].is_on_front)))
            s.at[s.count++] = i;
    }
    if (o->plan.wants_details)
        put_details(&screen, &s);
    else if (s.count > 0) {
        put_table(&screen, &s);
        put_front(&screen, b);
    }
    lw_put_end(&screen);
    snprintf(more, sizeof more, "%s%d more gain less and %d nothing here; --all shows them, --details why.",
             b->front_count > 0 ? "* on the front. " : "", b->set_count - worthless - s.count, worthless);
    if (!o->wants_all)
        lw_put_wrapped(&screen, LW_PAINT_FAINT, more, 0, 0);
    lw_put_wrapped(&screen, LW_PAINT_FAINT, lw_buy_caution, 0, 0);
    if (o->plan.wants_assumptions) {
        put_sources(&screen, b);
        lw_report_grounds(&screen, &b->prices, &o->plan.loaded);
    }
}

static lw_code put_picture(void *context, lw_sink *sink, lw_err *err)
{
    (void)err;
    lw_buy_svg(context, 0, sink);
    return LW_OK;
}

static lw_code put_answer(const order *o, lw_bought *b, lw_sink *sink, lw_err *err)
{
    if (o->svg && strcmp(o->svg, "-") == 0)
        return put_picture(b, sink, err);
    if (o->plan.wants_json) {
        char *text = lw_buy_json(b, &o->plan.loaded, LW_VERSION);
        if (!text)
            return lw_fail(err, LW_E_FULL, "no memory for JSON");
        lw_sink_text(sink, text);
        free(text);
    } else
        put_report(o, b, sink);
    return o->svg ? lw_out_file(o->svg, put_picture, b, err) : LW_OK;
}

static lw_code find_year(order *o, lw_err *err)
{
    if (o->year_file && o->year.count > 0)
        return lw_fail(err, LW_E_CONFLICT, "your year is that of --year or that of --stay; leave out one of them");
    if (o->year_file)
        return lw_year_of_file(o->year_file, o->plan.source.book, &o->plan.loaded, &o->year, err);
    return o->year.count > 0 ? LW_OK
                             : lw_year_known(o->plan.source.book, o->plan.kept.now_s, &o->plan.loaded, &o->year, err);
}

static int answer_order(order *o)
{
    lw_err err = {0};
    lw_sink sink;
    lw_bought *b = malloc(sizeof *b);
    int exit_code;
    lw_out_open(&sink);
    o->plan.source.is_anew = 1;
    lw_code code = b ? lw_plan_order_open(&o->plan, &err) : lw_fail(&err, LW_E_FULL, "no memory for what to buy");
    code = code ? code : find_year(o, &err);
    if (!code) {
        o->wish.choice = lw_plan_choice(&o->plan);
        o->wish.draws = (int)o->plan.draws;
        o->wish.without = o->without;
        lw_waiting waiting;
        lw_waiting_begin(&waiting);
        o->wish.progress = lw_waiting_tell;
        o->wish.with = &waiting;
        code = lw_buy_make(&o->plan.trials, &o->year, &o->wish, b, &err);
        lw_waiting_end(&waiting);
    }
    if (code || !b) {
        (void)lw_refuse(&err);
        exit_code = LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    } else if (put_answer(o, b, &sink, &err))
        exit_code = lw_refuse(&err);
    else
        exit_code = lw_out_close(&sink);
    lw_plan_order_close(&o->plan);
    free(b);
    return exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {
        .plan = LW_PLAN_ORDER_USUAL,
        .wish = {.run_usd = NAN, .night_usd = NAN, .fuel_usd_l = NAN, .propane_usd_kg = NAN, .budget_usd = INFINITY}};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || lw_plan_order_check(&args, self->name, &o.plan, &err))
        return lw_refuse(&err);
    return answer_order(&o);
}

const lw_command lw_command_plan_buy = {
    .name = "plan buy",
    .operands = "[FILE]",
    .what = "What to buy: days gained over your year, payback, mass and roof",
    .about =
        "Every container and purchase of the table of levers that makes sense for your rig, and small sets of them, "
        "are tried "
        "over a year of stays: days gained before something ends, money a gained day, and when it has paid itself back "
        "in "
        "fuel and gas, in runs to town, or in nights with hookups. Where it never does, the answer says never. Two "
        "things on "
        "one supply do not add, so sets are run again. The front is what no cheaper one gains as much as.\n\n"
        "The year is the stays of the last twelve months in your book; or those that you name with --stay or --year; "
        "without "
        "any "
        "twelve stays of a fortnight at the place of FILE, one a month. The weather is what is usual there.\n\n"
        "Mass is held against rig.payload, panels against rig.roof. Electric work and gas are for licensed people.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
