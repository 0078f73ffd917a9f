/* leeway checklist: what is gone through on arrival, on leaving, at the dump, for sanitising the tank, before a winter night. */
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
#include "service/checklist.h"
#include "service/household.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/say.h"

enum { HELP, TICK, UNTICK, FRESH_START, BLEACH, SOURCES, JSON, UNITS, CLOCK, BOOK, NOW, ASCII, TYPED = 512 };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [TICK] = {"tick", 't', "ITEMS", 0, "done: numbers or names of items, such as 3 or 1,4-6 or gas-off"},
    [UNTICK] = {"untick", 0, "ITEMS", 0, "not done after all"},
    [FRESH_START] = {"fresh-start", 0, NULL, 0, "begin the list again, nothing ticked"},
    [BLEACH] = {"bleach", 0, "%", 0, "strength on the bottle's label, such as 8.25%, for sanitising"},
    [SOURCES] = {"sources", 0, NULL, 0, "where each item comes from"},
    [JSON] = {"json", 'j', NULL, 0, "the list as JSON on standard output, amounts in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it those of the scenario"},
    [CLOCK] = {"clock", 0, "12|24", 0, "6:40 pm or 18:40; without it 24"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway checklist", "which lists there are, and how far each is"},
    {"leeway checklist leaving", "what is to do before you drive"},
    {"leeway checklist leaving --tick 1,4-6", "these are done"},
    {"leeway checklist sanitising --bleach 8.25%", "with the dose for your tank"},
    {"leeway checklist arriving camp.yaml", "of a scenario, without the book"},
};

typedef struct order {
    lw_kept_order kept;
    const char *name, *path;
    char tick[TYPED], untick[TYPED];
    int is_fresh_start, has_sources, is_json, is_ascii, is_12_hour;
    int units; /* lw_unit_system; -1: the scenario's */
    double bleach_pct;
} order;

/* ---- the command line ---- */

static lw_code join(char *to, const char *value, const char *option, lw_err *err)
{
    const size_t used = strlen(to);
    if (used + strlen(value) + 2 > TYPED)
        return lw_fail(err, LW_E_FULL, "--%s: this is too long", option);
    snprintf(to + used, TYPED - used, "%s%s", used ? "," : "", value);
    return LW_OK;
}

static lw_code take_bleach(const char *value, double *pct, lw_err *err)
{
    size_t n = strlen(value);
    while (n && (value[n - 1] == '%' || value[n - 1] == ' '))
        n--;
    if (!lw_decimal_parse(value, value + n, pct) || !(*pct >= 0.5 && *pct <= 15.0))
        return lw_fail(err, LW_E_RANGE,
                       "--bleach %s is no strength of bleach; the label says it, such as 6%% or 8.25%%",
                       lw_quoted(value, strlen(value)).text);
    return LW_OK;
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case TICK:
        return join(o->tick, value, "tick", err);
    case UNTICK:
        return join(o->untick, value, "untick", err);
    case FRESH_START:
        o->is_fresh_start = 1;
        break;
    case BLEACH:
        return take_bleach(value, &o->bleach_pct, err);
    case SOURCES:
        o->has_sources = 1;
        break;
    case JSON:
        o->is_json = 1;
        break;
    case UNITS:
        return lw_args_units(value, &o->units, err);
    case CLOCK:
        return lw_args_clock(value, &o->is_12_hour, err);
    case BOOK:
        o->kept.book = value;
        break;
    case NOW:
        return lw_kept_now(value, &o->kept, err);
    default:
        o->is_ascii = 1;
    }
    return LW_OK;
}

static int has_marks(const order *o)
{
    return o->tick[0] || o->untick[0] || o->is_fresh_start;
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    o->name = lw_args_operand(args, 0);
    o->path = lw_args_operand(args, 1);
    if (lw_args_operand_count(args) > 2)
        return lw_fail(err, LW_E_SYNTAX, "checklist takes a NAME and one FILE");
    if (!o->name && (has_marks(o) || o->is_json))
        return lw_fail(err, LW_E_MISSING, "say of which checklist, such as leeway checklist leaving");
    if (o->path && (o->kept.book || has_marks(o)))
        return lw_fail(err, LW_E_CONFLICT, "ticks are kept in the book; leave out FILE");
    return lw_kept_open_order(&o->kept, err);
}

/* ---- which items ---- */

static lw_code refuse_item(const lw_checklist *list, const char *typed, size_t n, lw_err *err)
{
    const char *ids[LW_CHECK_ITEMS];
    for (int i = 0; i < list->count; i++)
        ids[i] = list->item[i].id;
    const lw_quoted_text quoted = lw_quoted(typed, n);
    const char *near = lw_nearest(quoted.text, ids, (size_t)list->count);
    if (near)
        return lw_fail(err, LW_E_MISSING, "there is no item %s in %s; did you mean %s?", quoted.text,
                       lw_checklist_name(list->id), near);
    return lw_fail(err, LW_E_MISSING, "there is no item %s in %s; its items are 1 to %d", quoted.text,
                   lw_checklist_name(list->id), list->count);
}

static int number_of(const char *text, const char **end)
{
    char *behind;
    const long number = *text >= '0' && *text <= '9' ? strtol(text, &behind, 10) : 0;
    *end = number > 0 ? behind : text;
    return number > 0 && number <= LW_CHECK_ITEMS ? (int)number : 0;
}

/* "3", "4-6", "gas-off" */
static lw_code take_item(const lw_checklist *list, const char *text, size_t n, uint64_t *bits, lw_err *err)
{
    const char *end;
    for (int i = 0; i < list->count; i++)
        if (strlen(list->item[i].id) == n && memcmp(list->item[i].id, text, n) == 0) {
            *bits |= UINT64_C(1) << i;
            return LW_OK;
        }
    const int first = number_of(text, &end);
    int last = first;
    if (first && end < text + n && *end == '-')
        last = number_of(end + 1, &end);
    if (end != text + n || first < 1 || last < first || last > list->count)
        return refuse_item(list, text, n, err);
    for (int i = first; i <= last; i++)
        *bits |= UINT64_C(1) << (i - 1);
    return LW_OK;
}

static lw_code take_items(const lw_checklist *list, const char *typed, uint64_t *bits, lw_err *err)
{
    lw_code code = LW_OK;
    for (const char *at = typed; *at && !code;) {
        const size_t n = strcspn(at, ",");
        const char *word = at + strspn(at, " ");
        size_t letters = n - (size_t)(word - at);
        while (letters && word[letters - 1] == ' ')
            letters--;
        code = take_item(list, word, letters, bits, err);
        at += n + (at[n] == ',');
    }
    return code;
}

static lw_code mark(lw_book *book, const order *o, const lw_household *home, lw_checklist *list, lw_err *err)
{
    lw_checklist_marks marks = {.is_fresh_start = o->is_fresh_start,
                                .stay = home->stay,
                                .stated_s = o->kept.now_s,
                                .device_s = o->kept.now_s,
                                .device = o->kept.device,
                                .is_clock_doubted = o->kept.is_doubted};
    lw_code code = take_items(list, o->tick, &marks.ticked, err);
    code = code ? code : take_items(list, o->untick, &marks.unticked, err);
    if (!code && marks.ticked & marks.unticked)
        code = lw_fail(err, LW_E_CONFLICT, "an item is ticked or it is not; it stands in both");
    return code ? code : lw_checklist_mark(book, &marks, list, err);
}

/* ---- the answer ---- */

static void put_item(const order *o, const lw_loaded *loaded, lw_screen *screen, const lw_check_item *item, int number)
{
    char head[24], text[LW_CHECK_TEXT + 120], when[LW_WHEN];
    snprintf(head, sizeof head, "[%c] %2d  ", item->is_ticked ? 'x' : ' ', number);
    lw_put(screen, LW_PAINT_PLAIN, head);
    snprintf(text, sizeof text, "%s%s%s%s", item->text, item->is_unsure ? " (If your rig has it.)" : "",
             item->is_ticked ? " - " : "",
             item->is_ticked ? lw_when_print(when, sizeof when, &loaded->zone, item->ticked_s, o->is_12_hour) : "");
    lw_put_wrapped(screen, item->is_ticked ? LW_PAINT_FAINT : LW_PAINT_PLAIN, text, 8, 8);
    if (!o->has_sources)
        return;
    snprintf(text, sizeof text, "%s: %s", item->kind, item->source);
    lw_put_blank(screen, 8);
    lw_put_wrapped(screen, LW_PAINT_FAINT, text, 8, 8);
}

static int is_any_unsure(const lw_checklist *list)
{
    for (int i = 0; i < list->count; i++)
        if (list->item[i].is_unsure)
            return 1;
    return 0;
}

static void put_list(const order *o, const lw_loaded *loaded, const lw_checklist *list, lw_sink *sink)
{
    lw_screen screen;
    char title[160], when[LW_WHEN];
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->is_ascii);
    if (list->count == 0) {
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, "Your rig has nothing that this list is about.", 0, 0);
        return;
    }
    snprintf(title, sizeof title, "%s: %d of %d ticked%s%s.", lw_checklist_title(list->id), list->ticked, list->count,
             list->since_s == LW_NO_TIME ? "" : ", begun again ",
             list->since_s == LW_NO_TIME
                 ? ""
                 : lw_when_print(when, sizeof when, &loaded->zone, list->since_s, o->is_12_hour));
    lw_put_wrapped(&screen, LW_PAINT_STRONG, title, 0, 0);
    lw_put_end(&screen);
    for (int i = 0; i < list->count; i++)
        put_item(o, loaded, &screen, &list->item[i], i + 1);
    lw_put_title(&screen, "Take care");
    for (int i = 0; i < list->caution_count; i++) {
        char text[LW_CHECK_TEXT + 80];
        snprintf(text, sizeof text, "%s. %s", list->caution[i].title, list->caution[i].text);
        lw_put_blank(&screen, 2);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, text, 2, 2);
    }
    if (is_any_unsure(list))
        lw_put_wrapped(&screen, LW_PAINT_FAINT,
                       "Your scenario does not say whether there are slide-outs and an awning: rig.slides and "
                       "rig.awning say it, or none.",
                       0, 0);
    if (list->dose_count && list->is_bleach_assumed)
        lw_put_wrapped(&screen, LW_PAINT_FAINT, "--bleach 8.25% reckons with the strength on your label.", 0, 0);
}

typedef struct overview {
    const lw_loaded *loaded;
    lw_checklist list[LW_CHECKLIST_COUNT];
    int has_ticks;
} overview;

static void overview_cell(const void *context, int row, int column, char *buf, size_t n)
{
    const overview *all = context;
    const lw_checklist *list = &all->list[row];
    if (column == 0)
        snprintf(buf, n, "%s", lw_checklist_name(list->id));
    else if (column == 1)
        snprintf(buf, n, "%s", lw_checklist_title(list->id));
    else if (all->has_ticks)
        snprintf(buf, n, "%d of %d ticked", list->ticked, list->count);
    else
        snprintf(buf, n, "%d items", list->count);
}

static void put_overview(const order *o, const overview *all, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->is_ascii);
    lw_put_table(&screen, &(lw_table){.rows = LW_CHECKLIST_COUNT,
                                      .columns = 3,
                                      .head = LW_PAINT_PLAIN,
                                      .warm_row = -1,
                                      .context = all,
                                      .cell = overview_cell});
}

static lw_code make(const order *o, lw_book *book, const lw_household *home, lw_checklist_id id, lw_checklist *list,
                    lw_err *err)
{
    const lw_loaded *loaded = &home->loaded;
    const lw_checklist_in in = {.loaded = loaded,
                                .id = id,
                                .bleach_pct = o->bleach_pct,
                                .units = o->units < 0 ? loaded->units : (lw_unit_system)o->units};
    const lw_code code = lw_checklist_make(&in, list, err);
    return code || !book ? code : lw_checklist_take_ticks(book, home->stay, list, err);
}

static lw_code answer_all(const order *o, lw_book *book, const lw_household *home, lw_sink *sink, lw_err *err)
{
    overview *all = calloc(1, sizeof *all);
    lw_code code = LW_OK;
    if (!all)
        return lw_fail(err, LW_E_FULL, "not enough memory");
    for (int i = 0; i < LW_CHECKLIST_COUNT && !code; i++)
        code = make(o, book, home, (lw_checklist_id)i, &all->list[i], err);
    if (!code) {
        all->has_ticks = book != NULL;
        put_overview(o, all, sink);
    }
    free(all);
    return code;
}

static lw_code answer_one(const order *o, lw_book *book, const lw_household *home, lw_checklist_id id, lw_sink *sink,
                          lw_err *err)
{
    lw_checklist *list = calloc(1, sizeof *list);
    if (!list)
        return lw_fail(err, LW_E_FULL, "not enough memory");
    lw_code code = make(o, book, home, id, list, err);
    if (!code && has_marks(o))
        code = mark(book, o, home, list, err);
    if (!code && o->is_json) {
        char *text = lw_checklist_json(&home->loaded, list, o->is_12_hour, LW_VERSION);
        code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for JSON");
        if (text)
            lw_sink_text(sink, text);
        free(text);
    } else if (!code) {
        put_list(o, &home->loaded, list, sink);
    }
    free(list);
    return code;
}

static lw_code answer(const order *o, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    lw_household home = {0};
    lw_checklist_id id = LW_CHECKLIST_ARRIVING;
    lw_code code = o->name ? lw_checklist_find(o->name, &id, err) : LW_OK;
    if (!code && o->path) {
        code = lw_scenario_load(&(lw_scenario_from){.path = o->path, .now_s = o->kept.now_s}, &home.loaded, err);
    } else if (!code) {
        code = lw_kept_open_for(&o->kept, 1, &book, err);
        code = code ? code : lw_household_load(book, o->kept.here_s, 0, &home, err);
    }
    if (!code)
        code = o->name ? answer_one(o, book, &home, id, sink, err) : answer_all(o, book, &home, sink, err);
    lw_household_clear(&home);
    lw_book_close(book);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    order o = {.kept = {.keeps_doubt = 1}, .units = -1, .bleach_pct = NAN};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    if (answer(&o, &sink, &err)) {
        const int exit_code = lw_refuse(&err);
        return o.path && access(o.path, R_OK) != 0 ? LW_EXIT_INPUT : exit_code;
    }
    return lw_out_close(&sink);
}

const lw_command lw_command_checklist = {
    .name = "checklist",
    .operands = "[NAME [FILE]]",
    .what = "What is gone through on arrival, on leaving, at the dump, and when",
    .about =
        "NAME is arriving, leaving, dumping, sanitising or winter-night; its beginning is enough. Without it, which "
        "lists there are and how far each is. Items of what your rig has not are left out. Ticks are kept in the "
        "book, for this stay and until the list is begun again with --fresh-start. With FILE the list is of a "
        "scenario, without ticks.\n\n"
        "Sanitising says how much bleach your tank takes. Look at the label for its strength. The bottle's label and "
        "the makers' manuals go before all of it.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
