/* leeway plan cost: what a stay costs, a month of such stays, and nights with hookups beside it. */
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
#include "service/cost.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { COLUMNS = 4 };

static const lw_option OPTIONS[] = {
    LW_PLAN_HELP_OPTION,
    LW_PLAN_UNTIL_OPTION,
    {"fee", 0, "USD", 0, "of the site, a night; without it place.about.fee"},
    {"drive", 0, "WAY", 0, "the way there, such as \"120 mi\"; without it the drive is not counted"},
    {"run", 0, "WAY", 0, "the way of a run to town, there alone, such as \"14 mi\""},
    {"run-price", 0, "USD", 0, "dumping and filling, each time; without it 12"},
    {"hookups", 0, "USD", 0, "a night with hookups, to compare with; without it 45"},
    {"fuel-price", 0, "PRICE", 0, "such as \"3.89 USD/gal\"; without it 1 USD/L"},
    {"propane-price", 0, "PRICE", 0, "such as \"0.80 USD/lb\"; without it 1.75 USD/kg"},
    LW_PLAN_WHAT_IF_OPTION,
    {"details", 'd', NULL, 0, "how each line comes about, and its source"},
    LW_PLAN_ASSUMPTIONS_OPTION,
    LW_PLAN_JSON_OPTION,
    LW_PLAN_UNITS_OPTION,
    LW_PLAN_CLOCK_OPTION,
    {"draws", 0, "N", 0, "possible courses of weather and use; without it 400"},
    LW_PLAN_SEED_OPTION,
    LW_KEPT_BOOK_OPTION,
    LW_KEPT_NOW_OPTION,
    LW_PLAN_ASCII_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway plan cost camp.yaml --drive \"120 mi\" --run \"14 mi\"", "the stay, with the way there and runs to town"},
    {"leeway plan cost camp.yaml --hookups 55 --fee 10", "against a site with hookups at 55 USD"},
    {"leeway plan cost", "of the stay that the book follows, with what was spent"},
};

typedef struct order {
    lw_plan_order plan;
    lw_cost_wish wish;
    lw_cost_spent spent;
} order;

static lw_code take_way(const char *name, const char *value, double *to, lw_err *err)
{
    lw_err own = {0};
    double way_m;
    if (lw_quantity_parse(value, LW_DIM_LENGTH, &way_m, &own))
        return lw_fail(err, own.code, "--%s %s", name, own.text);
    if (!(way_m >= 0.0 && way_m <= 1e7))
        return lw_fail(err, LW_E_RANGE, "--%s %s is no way from 0 to 6000 mi", name,
                       lw_quoted(value, strlen(value)).text);
    *to = way_m;
    return LW_OK;
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    const char *name = OPTIONS[option].name;
    lw_code code;
    if (strcmp(name, "drive") == 0)
        return take_way(name, value, &o->wish.drive_m, err);
    if (strcmp(name, "run") == 0)
        return take_way(name, value, &o->wish.run_m, err);
    if (strcmp(name, "fee") == 0)
        return lw_plan_number(name, value, 0.0, 10000.0, &o->wish.fee_usd, err);
    if (strcmp(name, "run-price") == 0)
        return lw_plan_number(name, value, 0.0, 10000.0, &o->wish.run_usd, err);
    if (strcmp(name, "hookups") == 0)
        return lw_plan_number(name, value, 0.0, 10000.0, &o->wish.hookup_usd, err);
    if (strcmp(name, "fuel-price") == 0)
        return lw_plan_price(name, value, LW_DIM_PRICE_PER_VOLUME, &o->wish.fuel_usd_l, err);
    if (strcmp(name, "propane-price") == 0)
        return lw_plan_price(name, value, LW_DIM_PRICE_PER_MASS, &o->wish.propane_usd_kg, err);
    (void)lw_plan_order_take(&o->plan, name, value, &code, err);
    return code;
}

/* ---- the report ---- */

typedef struct shown {
    const lw_costed *costed;
    int at[LW_COST_COUNT], count;
} shown;

static void cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[COLUMNS] = {"", "USD", "from-to", ""};
    const shown *s = context;
    char low[LW_DECIMAL_BYTES], high[LW_DECIMAL_BYTES];
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_cost_line *line = &s->costed->line[s->at[row - 1]];
    buf[0] = '\0';
    if (column == 0)
        snprintf(buf, n, "%s", line->title);
    else if (column == 1)
        lw_decimal_print(buf, n, line->usd, 2, 1);
    else if (column == 2 && line->high_usd - line->low_usd >= 0.5) {
        lw_decimal_print(low, sizeof low, nearbyint(line->low_usd), 0, 0);
        lw_decimal_print(high, sizeof high, nearbyint(line->high_usd), 0, 0);
        snprintf(buf, n, "%s-%s", low, high);
    } else if (column == 3)
        snprintf(buf, n, "%s", line->how);
}

static void put_sources(lw_screen *screen, const lw_costed *c)
{
    char text[400];
    lw_put_title(screen, "Where the prices come from");
    for (int i = 0; i < LW_COST_COUNT; i++) {
        if (!c->line[i].is_counted)
            continue;
        snprintf(text, sizeof text, "%s: %.191s (%.23s).", c->line[i].title, c->line[i].source, c->line[i].kind);
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_FAINT, text, 2, 4);
    }
}

static void put_report(const order *o, const lw_costed *c, lw_sink *sink)
{
    lw_screen screen;
    shown s = {.costed = c};
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->plan.wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, c->headline, 0, 0);
    lw_put_wrapped(&screen, LW_PAINT_PLAIN, c->month, 0, 0);
    lw_put_wrapped(&screen, LW_PAINT_PLAIN, c->hookups, 0, 0);
    if (c->spent[0])
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, c->spent, 0, 0);
    for (int i = 0; i < LW_COST_COUNT; i++)
        if (c->line[i].is_counted)
            s.at[s.count++] = i;
    lw_put_title(&screen, "What it is made of");
    lw_put_table(&screen, &(lw_table){.rows = s.count + 1,
                                      .columns = COLUMNS,
                                      .right = 0x6,
                                      .indent = 2,
                                      .head = LW_PAINT_FAINT,
                                      .warm_row = -1,
                                      .context = &s,
                                      .cell = cell});
    if (o->plan.wants_details)
        put_sources(&screen, c);
    lw_put_end(&screen);
    lw_put_wrapped(&screen, LW_PAINT_FAINT, c->left_out, 0, 0);
    if (o->plan.wants_assumptions) {
        lw_report_grounds(&screen, &c->prices, &o->plan.loaded);
    }
}

static lw_code put_answer(const order *o, const lw_costed *c, lw_sink *sink, lw_err *err)
{
    if (!o->plan.wants_json) {
        put_report(o, c, sink);
        return LW_OK;
    }
    char *text = lw_cost_json(c, &o->plan.loaded, LW_VERSION);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for JSON");
    lw_sink_text(sink, text);
    free(text);
    return LW_OK;
}

/* What was logged as spent on the stay that goes on. */
static lw_code find_spent(order *o, lw_err *err)
{
    lw_book *book = o->plan.source.book;
    const lw_code code = book ? lw_cost_spent_of(book, o->plan.kept.now_s, &o->spent, err) : LW_OK;
    if (!code && o->spent.is_known) {
        o->wish.spent = &o->spent.money;
        o->wish.spent_nights = o->spent.nights;
    }
    return code;
}

static int answer_order(order *o)
{
    lw_err err = {0};
    lw_sink sink;
    lw_costed *c = malloc(sizeof *c);
    int exit_code;
    lw_out_open(&sink);
    lw_code code = c ? lw_plan_order_open(&o->plan, &err) : lw_fail(&err, LW_E_FULL, "no memory for a cost");
    code = code ? code : find_spent(o, &err);
    if (!code) {
        o->wish.choice = lw_plan_choice(&o->plan);
        o->wish.draws = (int)o->plan.draws;
        code = lw_cost_make(&o->plan.trials, &o->wish, c, &err);
    }
    if (code || !c) {
        (void)lw_refuse(&err);
        exit_code = LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    } else if (put_answer(o, c, &sink, &err))
        exit_code = lw_refuse(&err);
    else
        exit_code = lw_out_close(&sink);
    lw_plan_order_close(&o->plan);
    free(c);
    return exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.plan = LW_PLAN_ORDER_USUAL,
               .wish = {.fee_usd = NAN,
                        .drive_m = NAN,
                        .run_m = NAN,
                        .hookup_usd = NAN,
                        .fuel_usd_l = NAN,
                        .propane_usd_kg = NAN,
                        .run_usd = NAN}};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || lw_plan_order_check(&args, self->name, &o.plan, &err))
        return lw_refuse(&err);
    return answer_order(&o);
}

const lw_command lw_command_plan_cost = {
    .name = "plan cost",
    .operands = "[FILE]",
    .what = "What a stay costs, a month of such stays, and nights with hookups beside it",
    .about =
        "For the stay of FILE, or what is left of the one that the book follows: site and permits, fuel for the drive "
        "by "
        "the forces on the rig, tyres and upkeep, gas, generator fuel and wear, data, dumping and water, runs to town "
        "and "
        "rubbish; the mean of possible courses of weather and use, with its band; a night, a month of such stays, and "
        "the "
        "same nights with hookups. With the book it says what was really spent so far.\n\n"
        "Prices are yours where you say them, else usual ones from a table, with their sources under --details. Food, "
        "laundry, insurance and what the rig loses in value are not counted.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
