/* leeway plan levers: what each change buys, and the least burdensome set that reaches the wished departure. */
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
#include "cli/report.h"
#include "cli/screen.h"
#include "service/levers.h"
#include "service/plan_source.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { SHOWN = 12, COLUMNS = 6, LISTED_ABOVE = 3 };

enum {
    HELP,
    UNTIL,
    CONFIDENCE,
    NUISANCE,
    HOUR_VALUE,
    NUISANCE_VALUE,
    WITHOUT,
    USED,
    ALL,
    DETAILS,
    ASSUMPTIONS,
    JSON,
    UNITS,
    CLOCK,
    DRAWS,
    SETS,
    SEED,
    BOOK,
    NOW,
    ASCII
};

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [UNTIL] = {"until", 0, "WHEN", 0, "when you wish to leave, instead of the scenario's"},
    [CONFIDENCE] = {"confidence", 'c', "SHARE", 0, "how sure that must be: 0.5 to 0.99, or 80%; without it 0.8"},
    [NUISANCE] = {"nuisance", 'n', "LEVER=N", 0,
                  "what a nuisance that lever is to you, from 0 (none) to 10 (hardly to be borne); may be repeated"},
    [HOUR_VALUE] = {"hour-value", 0, "USD", 0, "what an hour of your time is worth; without it 10"},
    [NUISANCE_VALUE] = {"nuisance-value", 0, "USD", 0, "what a nuisance of 1 for a day weighs; without it 1"},
    [WITHOUT] = {"without", 'x', "LEVER", 0, "do not think of that lever; may be repeated"},
    [USED] = {"used", 0, NULL, 0, "prices of used things, where they are sold"},
    [ALL] = {"all", 0, NULL, 0, "also levers that buy nothing here, and those that cannot be tried"},
    [DETAILS] = {"details", 'd', NULL, 0, "each lever in sentences: what changes, what it costs, and its source"},
    [ASSUMPTIONS] = {"assumptions", 'a', NULL, 0,
                     "every price and every value that is not in your file, with its source"},
    [JSON] = {"json", 'j', NULL, 0, "the whole answer as JSON on standard output, amounts in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it those of the scenario"},
    [CLOCK] = {"clock", 0, "12|24", 0, "6:40 pm or 18:40; without it 24"},
    [DRAWS] = {"draws", 0, "N", 0, "possible courses of weather and use for each lever and set; without it 256"},
    [SETS] = {"sets", 0, "N", 0,
              "sets run again at most, until one is told that is not proven the least; without it 100"},
    [SEED] = {"seed", 0, "N", 0, "which draws; without it 1"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway plan levers camp.yaml", "what buys more days, and the least burden that reaches your departure"},
    {"leeway plan levers camp.yaml --until \"2026-06-25 10:00\" --confidence 90%", "another wish"},
    {"leeway plan levers camp.yaml --nuisance shower-basin=9 --without break-camp", "by your own weights"},
    {"leeway plan levers camp.yaml --details", "every figure with its source"},
    {"leeway plan levers camp.yaml --assumptions", "and what it all stands on: prices, levers, values from tables"},
};

typedef struct order {
    lw_plan_source source;
    lw_levers_wish wish;
    lw_lever_weight weight[LW_LEVER_WEIGHTS];
    const char *without[LW_LEVER_WEIGHTS];
    lw_kept_order kept;
    int wants_all, wants_details, wants_assumptions, wants_json, wants_ascii, is_12_hour;
    int units; /* -1: the scenario's */
    uint64_t draws, sets, seed;
} order;

/* ---- the command line ---- */

static lw_code take_number(const char *name, const char *value, double low, double high, double *to, lw_err *err)
{
    double number;
    if (!lw_decimal_parse(value, value + strlen(value), &number) || !(number >= low && number <= high))
        return lw_fail(err, LW_E_RANGE, "--%s %s is no number from %s to %s", name,
                       lw_quoted(value, strlen(value)).text, lw_num(low).text, lw_num(high).text);
    *to = number;
    return LW_OK;
}

static lw_code take_nuisance(const char *value, order *o, lw_err *err)
{
    const size_t n = strcspn(value, "=");
    if (value[n] != '=' || n == 0 || n >= LW_NAME)
        return lw_fail(err, LW_E_SYNTAX, "--nuisance %s is not of the form LEVER=N, such as shower-basin=7",
                       lw_quoted(value, strlen(value)).text);
    if (o->wish.weight_count == LW_LEVER_WEIGHTS)
        return lw_fail(err, LW_E_FULL, "more than %d nuisances", LW_LEVER_WEIGHTS);
    lw_lever_weight *w = &o->weight[o->wish.weight_count];
    snprintf(w->id, sizeof w->id, "%.*s", (int)n, value);
    const lw_code code = take_number("nuisance", value + n + 1, 0.0, 10.0, &w->nuisance, err);
    o->wish.weight_count += code == LW_OK;
    return code;
}

static lw_code take_without(const char *value, order *o, lw_err *err)
{
    if (o->wish.without_count == LW_LEVER_WEIGHTS)
        return lw_fail(err, LW_E_FULL, "more than %d levers left out", LW_LEVER_WEIGHTS);
    o->without[o->wish.without_count++] = value;
    return LW_OK;
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case UNTIL:
        o->source.until = value;
        return LW_OK;
    case CONFIDENCE:
        return lw_args_confidence(value, &o->wish.confidence_frac, err);
    case NUISANCE:
        return take_nuisance(value, o, err);
    case HOUR_VALUE:
        return take_number("hour-value", value, 0.0, 1000.0, &o->wish.hour_usd, err);
    case NUISANCE_VALUE:
        return take_number("nuisance-value", value, 0.0, 1000.0, &o->wish.nuisance_usd, err);
    case WITHOUT:
        return take_without(value, o, err);
    case USED:
        o->wish.is_used = 1;
        return LW_OK;
    case ALL:
        o->wants_all = 1;
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
        return lw_args_clock(value, &o->is_12_hour, err);
    case DRAWS:
        return lw_args_whole("draws", value, 16, 10000, &o->draws, err);
    case SETS:
        return lw_args_whole("sets", value, 1, 3000, &o->sets, err);
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
    if (o->source.path && o->kept.book)
        return lw_fail(err, LW_E_CONFLICT, "a plan is of a FILE or of the book; leave out one of them");
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "plan levers takes one FILE");
    const lw_code code = lw_kept_open_order(&o->kept, err);
    o->source.now_s = o->kept.now_s;
    o->source.seed = o->seed;
    o->wish.draws = (int)o->draws;
    o->wish.sets = (int)o->sets;
    o->wish.weight = o->weight;
    o->wish.without = o->without;
    return code;
}

/* ---- the report ---- */

typedef struct shown {
    const lw_levers *levers;
    int at[LW_LEVERS], count;
} shown;

static int buys(const lw_lever *l)
{
    if (l->why_not[0])
        return 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (l->gain[k].difference_days >= 0.05)
            return 1;
    return l->stay.difference_days >= 0.05;
}

static void others_say(const lw_lever *l, char *buf, size_t n)
{
    size_t used = 0;
    buf[0] = '\0';
    for (int k = 0; k < LW_SUPPLY_COUNT && used < n; k++) {
        const lw_gain *g = &l->gain[k];
        if (g->bound != LW_BOUND_UNKNOWN && fabs(g->difference_days) >= 0.05)
            used += (size_t)snprintf(buf + used, n - used, "%s%s %s", used ? ", " : "", lw_supply_word((lw_supply)k),
                                     g->text);
    }
}

static void table_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[COLUMNS] = {"", "stay", "chance", "USD", "min", ""};
    const shown *s = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_lever *l = &s->levers->lever[s->at[row - 1]];
    char number[LW_DECIMAL_BYTES];
    buf[0] = '\0';
    if (column == 0)
        snprintf(buf, n, "%s", l->is_in_set ? "*" : "");
    else if (column == 1)
        snprintf(buf, n, "%s", l->stay.text);
    else if (column == 2 && s->levers->departure_s && !l->why_not[0]) {
        lw_decimal_print(number, sizeof number, floor(l->stays_frac * 100.0), 0, 0);
        snprintf(buf, n, "%s %%", number);
    } else if (column == 3 && fabs(l->price_usd + l->running_usd) >= 0.5)
        lw_decimal_print(buf, n, nearbyint(l->price_usd + l->running_usd), 0, 0);
    else if (column == 4 && fabs(l->minutes_a_day) >= 0.5)
        lw_decimal_print(buf, n, nearbyint(l->minutes_a_day), 0, 0);
    else if (column == 5) {
        char others[200];
        others_say(l, others, sizeof others);
        snprintf(buf, n, "%s (%s)%s%s", l->title, l->id, others[0] ? ": " : "", others);
    }
}

static void put_table(lw_screen *screen, const shown *s)
{
    lw_put_title(screen, "What each change buys by itself, in days, and takes in money and minutes a day");
    lw_put_table(screen, &(lw_table){.rows = s->count + 1,
                                     .columns = COLUMNS,
                                     .right = 1u << 1 | 1u << 2 | 1u << 3 | 1u << 4,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = s,
                                     .cell = table_cell});
}

static void put_details(lw_screen *screen, const lw_levers *levers, const lw_lever *l)
{
    char line[320], costs[96], burden[LW_DECIMAL_BYTES], running[LW_DECIMAL_BYTES];
    const char *fuel = fabs(l->running_usd) < 0.005 ? NULL
                       : l->running_usd > 0.0       ? "fuel and gas for"
                                                    : "spares fuel and gas for";
    lw_put_end(screen);
    lw_put(screen, LW_PAINT_STRONG, l->id);
    lw_put_end(screen);
    lw_put_blank(screen, 2);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, l->sentence, 2, 2);
    for (int i = 0; i < l->change_count; i++) {
        lw_put_blank(screen, 4);
        lw_put_wrapped(screen, LW_PAINT_FAINT, l->change[i], 4, 6);
    }
    if (l->why_not[0])
        return;
    lw_lever_say_costs(l, costs, sizeof costs);
    lw_decimal_print(running, sizeof running, fabs(l->running_usd), 2, 1);
    lw_decimal_print(burden, sizeof burden, l->burden_usd, 2, 1);
    snprintf(line, sizeof line, "Counted with: %s%s%s%s%s%s. Over the stay a burden of %s USD.", costs,
             fuel ? "; " : "", fuel ? fuel : "", fuel ? " " : "", fuel ? running : "", fuel ? " USD" : "", burden);
    lw_put_blank(screen, 2);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, line, 2, 2);
    if (l->payback[0]) {
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, l->payback, 2, 2);
    }
    if (!l->is_drawn) {
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_FAINT, "It touches nothing that ends here, so no draws were spent on it.", 2,
                       2);
    }
    snprintf(line, sizeof line, "Source: %s (%s).", l->source, l->kind);
    lw_put_blank(screen, 2);
    lw_put_wrapped(screen, LW_PAINT_FAINT, line, 2, 2);
    (void)levers;
}

static void put_weights(lw_screen *screen, const lw_levers *l)
{
    char line[640], proof[240], bound[LW_DECIMAL_BYTES], burden[LW_DECIMAL_BYTES], hour[LW_DECIMAL_BYTES],
        nuisance[LW_DECIMAL_BYTES];
    lw_decimal_print(hour, sizeof hour, l->hour_usd, 2, 0);
    lw_decimal_print(nuisance, sizeof nuisance, l->nuisance_usd, 2, 0);
    lw_decimal_print(bound, sizeof bound, l->bound_usd, 0, 0);
    lw_decimal_print(burden, sizeof burden, l->set_burden_usd, 0, 0);
    if (!l->set_count)
        proof[0] = '\0';
    else if (l->is_least)
        snprintf(proof, sizeof proof, "The set's burden is %s USD; no lesser one does it.", burden);
    else
        snprintf(proof, sizeof proof,
                 "The set's burden is %s USD. After %d sets were run again it is not proven the least: none under %s "
                 "USD does it. "
                 "--sets 1000 looks on.",
                 burden, l->sets_asked, bound);
    snprintf(line, sizeof line,
             "Burden: money as it is, an hour of your time %s USD, a nuisance of 1 a day %s USD; set them with "
             "--hour-value, "
             "--nuisance-value and --nuisance.%s%s",
             hour, nuisance, proof[0] ? " " : "", proof);
    lw_put_wrapped(screen, LW_PAINT_FAINT, line, 0, 0);
}

/* More than a few levers are a list: nobody carries out a sentence of ten. */
static void put_set(lw_screen *screen, const lw_levers *levers)
{
    if (levers->set_count <= LISTED_ABOVE || !levers->set_lead[0]) {
        lw_put_wrapped(screen, LW_PAINT_PLAIN, levers->set_sentence, 0, 0);
        return;
    }
    char line[LW_SENTENCE + 32];
    snprintf(line, sizeof line, "%s these %d changes:", levers->set_lead, levers->set_count);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, line, 0, 0);
    for (int i = 0; i < levers->count; i++) {
        if (!levers->lever[i].is_in_set)
            continue;
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, levers->lever[i].title, 2, 4);
    }
    lw_put_wrapped(screen, LW_PAINT_PLAIN, levers->set_cost, 0, 0);
}

static void put_rows(lw_screen *screen, const order *o, const shown *s, int worthless)
{
    const lw_levers *l = s->levers;
    char more[160];
    if (s->count == 0) {
        lw_put_wrapped(screen, LW_PAINT_PLAIN,
                       l->binding < 0 ? "Nothing ends before that, so no change has a day to buy; a later day with "
                                        "--until shows what each buys."
                                      : "No change buys a day here; --all shows them, and why.",
                       0, 0);
        return;
    }
    put_table(screen, s);
    snprintf(more, sizeof more, "%s%d more buy less and %d nothing here; --all shows them, --details every figure.",
             l->set_count ? "* of the set above. " : "", l->count - worthless - s->count, worthless);
    if (!o->wants_all)
        lw_put_wrapped(screen, LW_PAINT_FAINT, more, 0, 0);
}

/* Of data/levers.csv, with what the household says of its own. */
static void put_sources(lw_screen *screen, const lw_levers *levers, const lw_loaded *loaded)
{
    lw_assumption *rows = calloc((size_t)levers->count + 1, sizeof *rows);
    for (int i = 0; rows && i < levers->count; i++) {
        const lw_lever *l = &levers->lever[i];
        snprintf(rows[i].key, sizeof rows[i].key, "%s", l->id);
        lw_lever_say_costs(l, rows[i].value, sizeof rows[i].value);
        snprintf(rows[i].source, sizeof rows[i].source, "%.159s", l->source);
        snprintf(rows[i].kind, sizeof rows[i].kind, "%s", l->kind);
    }
    lw_report_sources(screen, "The levers, of data/levers.csv", rows, rows ? levers->count : 0);
    lw_report_grounds(screen, &levers->prices, loaded);
    free(rows);
}

static void put_report(const order *o, const lw_levers *levers, const lw_loaded *loaded, lw_sink *sink)
{
    lw_screen screen;
    shown s = {.levers = levers};
    int worthless = 0;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, levers->headline, 0, 0);
    if (levers->set_sentence[0]) {
        lw_put_end(&screen);
        put_set(&screen, levers);
        if (levers->measured[0])
            lw_put_wrapped(&screen, LW_PAINT_PLAIN, levers->measured, 0, 0);
        put_weights(&screen, levers);
    }
    for (int i = 0; i < levers->count; i++) {
        const int is_worth = buys(&levers->lever[i]) || levers->lever[i].is_in_set;
        worthless += !is_worth;
        if (o->wants_all || (is_worth && (s.count < SHOWN || o->wants_details || levers->lever[i].is_in_set)))
            s.at[s.count++] = i;
    }
    if (o->wants_details)
        for (int i = 0; i < s.count; i++)
            put_details(&screen, levers, &levers->lever[s.at[i]]);
    else
        put_rows(&screen, o, &s, worthless);
    if (o->wants_assumptions)
        put_sources(&screen, levers, loaded);
}

static lw_code put_answer(const order *o, const lw_levers *levers, const lw_loaded *loaded, lw_sink *sink, lw_err *err)
{
    if (!o->wants_json) {
        put_report(o, levers, loaded, sink);
        return LW_OK;
    }
    char *text = lw_levers_json(levers, loaded, LW_VERSION);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for JSON");
    lw_sink_text(sink, text);
    free(text);
    return LW_OK;
}

/* The camp as it is and what is asked of it. */
static lw_code find_levers(order *o, lw_loaded *named, lw_levers *levers, lw_err *err)
{
    lw_draw_start *start = NULL;
    uint32_t start_count = 0;
    lw_code code = levers ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for levers");
    if (!code && !o->source.path)
        code = lw_kept_open_for(&o->kept, 1, &o->source.book, err);
    code = code ? code : lw_plan_source_open(&o->source, err);
    if (code)
        return code;
    lw_trials trials = lw_plan_source_trials(&o->source);
    code = trials.load(trials.with, NULL, 0, named, &start, &start_count, err);
    o->wish.choice =
        (lw_words_choice){.units = o->units < 0 ? named->units : (lw_unit_system)o->units, .is_12_hour = o->is_12_hour};
    code = code ? code : lw_levers_make(&trials, &o->wish, levers, err);
    free(start);
    lw_plan_source_close(&o->source);
    return code;
}

static int answer_order(order *o)
{
    lw_err err = {0};
    lw_sink sink;
    lw_loaded named = {0};
    lw_levers *levers = malloc(sizeof *levers);
    int exit_code;
    lw_out_open(&sink);
    const lw_code code = find_levers(o, &named, levers, &err);
    if (code) {
        (void)lw_refuse(&err);
        exit_code = LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    } else if (put_answer(o, levers, &named, &sink, &err))
        exit_code = lw_refuse(&err);
    else
        exit_code = lw_out_close(&sink);
    lw_book_close(o->source.book);
    lw_loaded_clear(&named);
    free(levers);
    return exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.units = -1,
               .seed = 1,
               .draws = LW_LEVER_DRAWS_USUAL,
               .wish = {.confidence_frac = 0.8, .hour_usd = NAN, .nuisance_usd = NAN}};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    return answer_order(&o);
}

const lw_command lw_command_plan_levers = {
    .name = "plan levers",
    .operands = "[FILE]",
    .what = "What each change buys, and the least burden that reaches your departure",
    .about = "Every other habit, generator hour, run, container and purchase of the table of levers is tried by "
             "running the stay "
             "again with it, under the same possible courses of weather and use: days gained by the stay and by each "
             "supply, money, "
             "minutes, nuisance. A gain beyond the days that are looked at reads \">=\".\n\n"
             "With a wished departure the least burdensome set of levers that reaches it with the wished confidence is "
             "found, exactly "
             "for the stated weights: sets are run again, since two levers on one supply do not add. Its chance is "
             "then measured on "
             "10,000 fresh courses. Before you buy or carry: water and full tanks are heavy, keep within what your rig "
             "may weigh; the "
             "maker's manual and local rules come first.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
