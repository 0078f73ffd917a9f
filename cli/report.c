#include "cli/report.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/chart_text.h"
#include "cli/report_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { WARNINGS_SHORT = 12, CAUTION_LEAST = 50, INDENT = 2 };

static const char *const UNNAMED = "here"; /* a place that the scenario gives no name */

/* ---- what runs down ---- */

typedef struct run_down {
    const lw_report *report;
    int row[LW_SUPPLY_COUNT], count;
} run_down;

static double unusable_of(const lw_scenario *scenario, lw_supply supply)
{
    double sum = 0.0;
    for (int i = 0; i < scenario->rig.vessel_count; i++)
        sum += scenario->rig.vessel[i].supply == supply ? scenario->rig.vessel[i].unusable : 0.0;
    return sum;
}

/* Rubbish is counted in bags of the household's own size. */
static void amount_words(const lw_report *r, lw_supply supply, double amount, char *buf, size_t n)
{
    if (supply != LW_SUPPLY_RUBBISH || !(r->loaded->bag_l > 0.0)) {
        lw_amount_print(buf, n, supply, amount, r->choice.units);
        return;
    }
    char number[LW_DECIMAL_BYTES];
    lw_decimal_print(number, sizeof number, amount / r->loaded->bag_l, 1, 0);
    snprintf(buf, n, "%s %s", number, strcmp(number, "1") == 0 ? "bag" : "bags");
}

/* What can still be drawn, or the room, when the household leaves. */
static void leftover_words(const lw_report *r, lw_supply supply, char *buf, size_t n)
{
    const lw_leeway *l = &r->outlook->leeway[supply];
    const int fills = lw_supply_fills(supply);
    buf[0] = '\0';
    if (supply == LW_SUPPLY_STAY) {
        const double left = (double)(l->q[1].at_s - r->outlook->departure_s) / 86400.0;
        if (left >= 0.05)
            amount_words(r, supply, left, buf, n);
        else
            snprintf(buf, n, "none");
        return;
    }
    if (isnan(l->at_departure))
        return;
    if (supply == LW_SUPPLY_BATTERY) {
        snprintf(buf, n, "%.0f %%", l->capacity > 0.0 ? 100.0 * l->at_departure / l->capacity : 0.0);
        return;
    }
    const double unusable = unusable_of(r->scenario, supply);
    const double left = fills ? l->capacity - unusable - l->at_departure : l->at_departure - unusable;
    if (!(left > 0.005 * l->capacity)) {
        snprintf(buf, n, "%s", fills ? "full" : "none");
        return;
    }
    char amount[LW_QUANTITY_BYTES];
    amount_words(r, supply, left, amount, sizeof amount);
    snprintf(buf, n, "%s%s", amount, fills ? " of room" : "");
}

static void run_down_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"", "used a day", "out or full", "when you leave"};
    const run_down *table = context;
    const lw_report *r = table->report;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_supply supply = (lw_supply)table->row[row - 1];
    const lw_supply_words *words = &r->words->supply[supply];
    buf[0] = '\0';
    switch (column) {
    case 0:
        snprintf(buf, n, "%s", words->name);
        break;
    case 1:
        if (supply != LW_SUPPLY_STAY)
            amount_words(r, supply, r->outlook->leeway[supply].use_per_day, buf, n);
        break;
    case 2:
        snprintf(buf, n, "%s", words->ends);
        break;
    default:
        leftover_words(r, supply, buf, n);
    }
}

/* Something that by itself would end before the departure has some left then. */
static int is_held_back(const lw_report *r, const run_down *table)
{
    char left[LW_CELL];
    for (int i = 0; i < table->count; i++) {
        const lw_supply supply = (lw_supply)table->row[i];
        leftover_words(r, supply, left, sizeof left);
        if (supply != LW_SUPPLY_BATTERY && r->outlook->leeway[supply].q[1].at_s < r->outlook->departure_s &&
            strcmp(left, "none") != 0 && strcmp(left, "full") != 0)
            return 1;
    }
    return 0;
}

static void put_run_down(const lw_report *r)
{
    run_down table = {.report = r};
    int warm = -1;
    for (int i = 0; i < r->outlook->order_count; i++) {
        const int supply = r->outlook->order[i];
        if (!r->words->supply[supply].is_shown)
            continue;
        table.row[table.count++] = supply;
        warm = supply == r->outlook->binding ? table.count : warm;
    }
    if (table.count == 0)
        return;
    lw_put_title(r->screen, "What runs down");
    lw_put_table(r->screen, &(lw_table){.rows = table.count + 1,
                                        .columns = r->outlook->departure_s ? 4 : 3,
                                        .right = 1u << 1,
                                        .indent = INDENT,
                                        .head = LW_PAINT_FAINT,
                                        .warm_row = warm,
                                        .context = &table,
                                        .cell = run_down_cell});
    if (is_held_back(r, &table))
        lw_put_item(r, LW_PAINT_FAINT,
                    "\"Out or full\" counts every other supply as topped up, \"when you leave\" does not: what has run "
                    "out by then "
                    "stops what would use or fill the rest, so a tank may have some left.");
    const lw_supply_words *rubbish = &r->words->supply[LW_SUPPLY_RUBBISH];
    if (rubbish->is_shown && rubbish->age_sentence[0])
        lw_put_item(r, LW_PAINT_PLAIN, rubbish->age_sentence);
    const lw_supply_words *data = &r->words->supply[LW_SUPPLY_DATA];
    if (data->leisure_sentence[0])
        lw_put_item(r, LW_PAINT_PLAIN, data->leisure_sentence);
    if (data->plan_sentence[0])
        lw_put_item(r, LW_PAINT_PLAIN, data->plan_sentence);
}

/* ---- sentences ---- */

void lw_put_item(const lw_report *r, lw_paint paint, const char *text)
{
    lw_put_blank(r->screen, INDENT);
    lw_put_wrapped(r->screen, paint, text, INDENT, INDENT + 2);
}

static void put_head(const lw_report *r, const lw_chart *chart)
{
    const char *place = strcmp(chart->place, UNNAMED) == 0 ? "" : chart->place;
    if (place[0] || chart->span[0]) {
        char where[LW_NAME + sizeof chart->span + 4];
        snprintf(where, sizeof where, "%s%s%s", place, place[0] && chart->span[0] ? ", " : "", chart->span);
        lw_put_wrapped(r->screen, LW_PAINT_FAINT, where, 0, 0);
        lw_put_end(r->screen);
    }
    /* What somebody's life may hang on stands above all else. */
    for (int i = 0; i < r->words->warning_count; i++)
        if (r->words->warning[i].is_vital)
            lw_put_wrapped(r->screen, LW_PAINT_STRONG, r->words->warning[i].sentence, 0, 0);
    lw_put_wrapped(r->screen, LW_PAINT_STRONG, r->words->stay, 0, 0);
    if (r->words->departure[0])
        lw_put_wrapped(r->screen, LW_PAINT_PLAIN, r->words->departure, 0, 0);
    if (r->words->why[0])
        lw_put_wrapped(r->screen, LW_PAINT_PLAIN, r->words->why, 0, 0);
    for (int i = 0; i < r->words->vital_count; i++)
        if (r->words->vital[i].lasts)
            lw_put_wrapped(r->screen, LW_PAINT_PLAIN, r->words->vital[i].sentence, 0, 2);
    if (r->words->vital_note[0])
        lw_put_wrapped(r->screen, LW_PAINT_PLAIN, r->words->vital_note, 0, 0);
}

static void put_happens(const lw_report *r)
{
    int count = 0, shown = 0;
    for (int i = 0; i < r->words->warning_count; i++) {
        const lw_warning *warning = &r->words->warning[i];
        if (warning->is_vital)
            continue; /* stands at the head of the report */
        if (count++ == 0)
            lw_put_title(r->screen, "What happens");
        if (!r->wants_details && shown == WARNINGS_SHORT)
            continue;
        lw_put_item(r, LW_PAINT_PLAIN, warning->sentence);
        shown++;
    }
    if (r->words->possible[0]) {
        if (count++ == 0)
            lw_put_title(r->screen, "What happens");
        lw_put_item(r, LW_PAINT_PLAIN, r->words->possible);
        shown++;
    }
    const int hidden = count - shown + r->words->warning_lost;
    if (count > 0 && hidden > 0) {
        char text[96];
        snprintf(text, sizeof text, "and %d more%s", hidden, r->wants_details ? "" : "; --details tells all");
        lw_put_item(r, LW_PAINT_FAINT, text);
    }
}

/* The whole text of a caution is long; how it begins says what to do. */
static size_t first_sentences(const char *text)
{
    for (const char *at = text; (at = strstr(at, ". ")) != NULL; at++)
        if (at[2] >= 'A' && at[2] <= 'Z' && at - text >= CAUTION_LEAST)
            return (size_t)(at + 1 - text);
    return strlen(text);
}

static void put_cautions(const lw_report *r)
{
    if (r->words->caution_count == 0)
        return;
    lw_put_title(r->screen, "Take care");
    for (int i = 0; i < r->words->caution_count; i++) {
        const lw_caution *caution = &r->words->caution[i];
        char text[sizeof caution->title + sizeof caution->text + sizeof caution->source + 16];
        if (r->wants_details)
            snprintf(text, sizeof text, "%s. %s (%s)", caution->title, caution->text, caution->source);
        else
            snprintf(text, sizeof text, "%s. %.*s", caution->title, (int)first_sentences(caution->text), caution->text);
        lw_put_item(r, LW_PAINT_PLAIN, text);
    }
    if (!r->wants_details)
        lw_put_item(r, LW_PAINT_FAINT,
                    "The maker's manual, local rules and licensed people come first; --details gives each in full.");
}

static int assumptions_from_memory(const lw_loaded *loaded)
{
    int count = 0;
    for (int i = 0; i < loaded->assumption_count; i++)
        count += strcmp(loaded->assumption[i].kind, "from memory") == 0;
    return count;
}

static void put_grounds(const lw_report *r)
{
    const lw_loaded *loaded = r->loaded;
    char text[sizeof loaded->note->where + sizeof loaded->note->text + 4];
    lw_put_title(r->screen, "What this stands on");
    if (r->words->learned[0])
        lw_put_item(r, LW_PAINT_PLAIN, r->words->learned);
    if (r->words->learned_doubt[0])
        lw_put_item(r, LW_PAINT_PLAIN, r->words->learned_doubt);
    if (r->words->weather[0])
        lw_put_item(r, LW_PAINT_PLAIN, r->words->weather);
    if (r->words->stay_rule[0])
        lw_put_item(r, LW_PAINT_PLAIN, r->words->stay_rule);
    for (int i = 0; i < loaded->note_count; i++) {
        snprintf(text, sizeof text, "%s%s%s", loaded->note[i].where, loaded->note[i].where[0] ? ": " : "",
                 loaded->note[i].text);
        lw_put_item(r, LW_PAINT_PLAIN, text);
    }
    if (loaded->assumption_count > 0) {
        const int memory = assumptions_from_memory(loaded);
        char share[64] = "";
        if (memory > 0)
            snprintf(share, sizeof share, ", %d of them from memory without a source", memory);
        snprintf(text, sizeof text, "%d value%s not in your file %s taken from tables%s; --assumptions lists them.",
                 loaded->assumption_count, loaded->assumption_count == 1 ? "" : "s",
                 loaded->assumption_count == 1 ? "was" : "were", share);
        lw_put_item(r, LW_PAINT_PLAIN, text);
    }
}

/* ---- the whole ---- */

static void put_report(const lw_report *r, const lw_chart *chart)
{
    put_head(r, chart);
    lw_put_end(r->screen);
    lw_chart_text(r->screen, chart);
    put_run_down(r);
    lw_report_power(r);
    lw_report_warmth(r);
    put_happens(r);
    if (r->wants_details) {
        lw_report_spread(r);
        lw_report_events(r);
        lw_report_flows(r);
    }
    put_cautions(r);
    put_grounds(r);
}

static lw_report report_of(lw_screen *screen, const lw_outlook_answer *answer, const lw_report_options *options,
                           const lw_words *words)
{
    return (lw_report){.screen = screen,
                       .answer = answer,
                       .outlook = answer->outlook,
                       .loaded = &answer->loaded,
                       .scenario = answer->loaded.scenario,
                       .words = words,
                       .choice = options->choice,
                       .wants_details = options->wants_details};
}

lw_code lw_report_put(lw_screen *screen, const lw_outlook_answer *answer, const lw_report_options *options, lw_err *err)
{
    lw_words *words = calloc(1, sizeof *words);
    lw_chart *chart = malloc(sizeof *chart);
    lw_code code = words && chart ? lw_words_make(answer, &options->choice, words, err)
                                  : lw_fail(err, LW_E_FULL, "no memory for a report");
    if (!code && words && chart) {
        lw_chart_make(answer, words, &options->choice, 0, chart);
        const lw_report r = report_of(screen, answer, options, words);
        put_report(&r, chart);
    }
    if (words)
        lw_words_clear(words);
    free(words);
    free(chart);
    return code;
}

/* ---- what if ---- */

static void what_if_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"days", "as it is", "then", "gained"};
    const lw_what_if_row *at = row > 0 ? &((const lw_what_if *)context)->row[row - 1] : NULL;
    snprintf(buf, n, "%s",
             !at                             ? HEAD[column]
             : column == 0                   ? lw_supply_name(at->supply)
             : column == 1                   ? at->before
             : column == 2                   ? at->after
             : at->bound == LW_BOUND_UNKNOWN ? ""
                                             : at->difference);
}

static int is_warned(const lw_words *words, lw_event_kind kind)
{
    for (int i = 0; i < words->warning_count; i++)
        if (words->warning[i].kind == kind)
            return 1;
    return 0;
}

/* Warnings of a kind that the other outlook does not have. */
static void put_warnings_of(lw_screen *screen, const char *title, const lw_words *words, const lw_words *other)
{
    int has_title = 0;
    for (int i = 0; i < words->warning_count; i++) {
        if (is_warned(other, words->warning[i].kind))
            continue;
        if (!has_title)
            lw_put_title(screen, title);
        has_title = 1;
        lw_put_blank(screen, INDENT);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, words->warning[i].sentence, INDENT, INDENT + 2);
    }
}

static void put_what_if(lw_screen *screen, const lw_what_if *what_if, const lw_words *before, const lw_words *after,
                        const char *const *change, int change_count)
{
    char text[LW_SENTENCE + 160];
    lw_put_wrapped(screen, LW_PAINT_STRONG, what_if->headline, 0, 0);
    lw_put_title(screen, "As it is");
    lw_put_blank(screen, INDENT);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, before->headline, INDENT, INDENT);
    lw_put_title(screen, "Then, with");
    for (int i = 0; i < change_count; i++) {
        lw_put_blank(screen, INDENT);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, change[i], INDENT, INDENT);
    }
    snprintf(text, sizeof text, "%s", after->headline);
    lw_put_blank(screen, INDENT);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, text, INDENT, INDENT);
    int warm = -1;
    for (int i = 0; i < what_if->row_count; i++)
        warm = (int)what_if->row[i].supply == what_if->binding_after ? i + 1 : warm;
    lw_put_end(screen);
    lw_put_table(screen, &(lw_table){.rows = what_if->row_count + 1,
                                     .columns = 4,
                                     .right = 7u << 1,
                                     .indent = INDENT,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = warm,
                                     .context = what_if,
                                     .cell = what_if_cell});
    put_warnings_of(screen, "What no longer happens", before, after);
    put_warnings_of(screen, "What happens then", after, before);
}

lw_code lw_report_what_if(lw_screen *screen, const lw_outlook_answer *before, const lw_outlook_answer *after,
                          const char *const *change, int change_count, const lw_report_options *options, lw_err *err)
{
    lw_words *words = calloc(2, sizeof *words);
    lw_what_if *what_if = malloc(sizeof *what_if);
    lw_code code = words && what_if ? lw_words_make(before, &options->choice, &words[0], err)
                                    : lw_fail(err, LW_E_FULL, "no memory for a report");
    code = code ? code : lw_words_make(after, &options->choice, &words[1], err);
    if (!code && words && what_if) {
        lw_what_if_make(before, after, &options->choice, what_if);
        put_what_if(screen, what_if, &words[0], &words[1], change, change_count);
    }
    if (words) {
        lw_words_clear(&words[0]);
        lw_words_clear(&words[1]);
    }
    free(words);
    free(what_if);
    return code;
}

/* ---- assumptions ---- */

typedef struct assumption_rows {
    const lw_assumption *row[LW_ASSUMPTIONS];
    int count;
} assumption_rows;

static void assumption_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"key", "value", "kind: source"};
    const assumption_rows *rows = context;
    const lw_assumption *at = row > 0 ? rows->row[row - 1] : NULL;
    if (at && column == 2)
        snprintf(buf, n, "%s: %s", at->kind, at->source);
    else
        snprintf(buf, n, "%s", !at ? HEAD[column] : column == 0 ? at->key : at->value);
}

static void put_rows(lw_screen *screen, const assumption_rows *rows)
{
    if (rows->count == 0)
        lw_put_wrapped(screen, LW_PAINT_PLAIN, "none", 0, 0);
    else
        lw_put_table(screen, &(lw_table){.rows = rows->count + 1,
                                         .columns = 3,
                                         .head = LW_PAINT_FAINT,
                                         .warm_row = -1,
                                         .context = rows,
                                         .cell = assumption_cell});
}

/* All of them, or only those that `other` does not make. */
static void put_assumptions(lw_screen *screen, const lw_loaded *loaded, const lw_loaded *other)
{
    assumption_rows rows = {.count = 0};
    for (int i = 0; i < loaded->assumption_count; i++)
        if (!other || lw_is_assumed_only_in(loaded, i, other))
            rows.row[rows.count++] = &loaded->assumption[i];
    put_rows(screen, &rows);
}

void lw_report_sources(lw_screen *screen, const char *title, const lw_assumption *of, int count)
{
    assumption_rows rows = {.count = 0};
    for (int i = 0; i < count && i < LW_ASSUMPTIONS; i++)
        rows.row[rows.count++] = &of[i];
    if (count == 0)
        return;
    lw_put_title(screen, title);
    put_rows(screen, &rows);
}

void lw_report_grounds(lw_screen *screen, const lw_price_list *prices, const lw_loaded *loaded)
{
    if (prices)
        lw_report_sources(screen, "Prices that it counts with", prices->of, prices->count);
    lw_put_end(screen);
    lw_report_assumptions(screen, &(lw_outlook_answer){.loaded = *loaded}, NULL);
}

void lw_report_assumptions(lw_screen *screen, const lw_outlook_answer *answer, const lw_outlook_answer *before)
{
    const lw_loaded *loaded = &answer->loaded;
    char text[192];
    if (loaded->assumption_count == 0 && !before) {
        lw_put_wrapped(screen, LW_PAINT_PLAIN, "Nothing was assumed: the file says everything.", 0, 0);
        return;
    }
    snprintf(text, sizeof text, "%d value%s taken from tables%s; write a key into your file to say it yourself.",
             loaded->assumption_count, loaded->assumption_count == 1 ? "" : "s",
             before ? " once the change is made" : "");
    lw_put_wrapped(screen, LW_PAINT_STRONG, text, 0, 0);
    lw_put_end(screen);
    put_assumptions(screen, loaded, NULL);
    if (!before)
        return;
    lw_put_title(screen, "Assumed only without the change");
    put_assumptions(screen, &before->loaded, loaded);
    lw_put_title(screen, "Assumed only with it");
    put_assumptions(screen, loaded, &before->loaded);
}
