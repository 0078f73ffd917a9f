/* leeway learn: what the household's own readings say of its use and of what is in the tanks now. */
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
#include "service/learned_json.h"
#include "service/learning.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { HELP, JSON, UNITS, BOOK, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [JSON] = {"json", 'j', NULL, 0, "the whole answer as JSON on standard output, amounts in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it those of the book"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway learn", "what your readings say, and which reading would say most"},
};

typedef struct order {
    lw_kept_order kept;
    int wants_ascii, wants_json;
    int units; /* lw_unit_system; -1: the book's */
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    o->kept.book = option == BOOK ? value : o->kept.book;
    o->wants_ascii |= option == ASCII;
    o->wants_json |= option == JSON;
    if (option != UNITS)
        return option == NOW ? lw_kept_now(value, &o->kept, err) : LW_OK;
    return lw_args_units(value, &o->units, err);
}

/* ---- tables ---- */

typedef struct learned_view {
    const lw_outlook_answer *answer;
    const lw_learning *l;
    lw_unit_system units;
    int row[LW_VESSELS + LW_GROUP_COUNT], count;
} learned_view;

static void put_times(char *buf, size_t n, double factor)
{
    lw_decimal_print(buf, n, factor, 2, 0);
}

static void put_band(char *buf, size_t n, const double q[LW_QUANTILES])
{
    char low[24], high[24];
    put_times(low, sizeof low, q[0]);
    put_times(high, sizeof high, q[2]);
    snprintf(buf, n, "%s to %s", low, high);
}

static void use_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"times the table", "assumed", "learned", "band"};
    const learned_view *v = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const int g = v->row[row - 1];
    const lw_learned_factor *f = &v->l->learned.factor[g];
    if (column == 0)
        snprintf(buf, n, "%s", lw_group_say((lw_group)g));
    else if (column == 1)
        put_band(buf, n, f->prior);
    else if (column == 2)
        put_times(buf, n, f->now[1]);
    else
        put_band(buf, n, f->now);
}

static void level_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"in it now", "about", "from", "to", "readings"};
    const learned_view *v = context;
    const lw_rig *rig = &v->answer->loaded.scenario->rig;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const int vessel = v->row[row - 1], is_battery = vessel < 0;
    const double *q = is_battery ? v->l->learned.battery_frac : v->l->learned.level[vessel];
    if (column == 0)
        snprintf(buf, n, "%s", is_battery ? "battery" : rig->vessel[vessel].name);
    else if (column == 4)
        snprintf(buf, n, "%d", v->l->learned.gauge[is_battery ? LW_LEARN_BATTERY : vessel].readings);
    else if (is_battery)
        snprintf(buf, n, "%.0f %%", 100.0 * q[column == 1 ? 1 : column == 2 ? 0 : 2]);
    else
        lw_amount_print(buf, n, rig->vessel[vessel].supply, q[column == 1 ? 1 : column == 2 ? 0 : 2], v->units);
}

/* Tanks of which something is not sure, a row each thing. */
static int count_unsure(learned_view *v)
{
    const lw_loaded *loaded = &v->answer->loaded;
    v->count = 0;
    for (int i = 0; i < loaded->scenario->rig.vessel_count; i++)
        for (int what = LW_LEARNED_CAPACITY; what <= LW_LEARNED_BIAS; what++)
            if (lw_is_unsure(loaded, i, (lw_learned_what)what) && v->count < (int)(sizeof v->row / sizeof v->row[0]))
                v->row[v->count++] = i * LW_LEARNED_WHATS + what;
    return v->count;
}

static void unsure_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"not sure", "about", "from", "to"};
    const learned_view *v = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const int vessel = v->row[row - 1] / LW_LEARNED_WHATS, what = v->row[row - 1] % LW_LEARNED_WHATS;
    lw_say_unsure(v->answer, v->units, vessel, (lw_learned_what)what, column, buf, n);
}

static void put_table(lw_screen *screen, const learned_view *v, int columns,
                      void (*cell)(const void *context, int row, int column, char *buf, size_t n))
{
    lw_put_end(screen);
    lw_put_table(screen, &(lw_table){.rows = v->count + 1,
                                     .columns = columns,
                                     .right = 0x1Eu,
                                     .indent = 2,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = v,
                                     .cell = cell});
}

/* ---- what would help ---- */

static void put_help(lw_screen *screen, const learned_view *v)
{
    const lw_rig *rig = &v->answer->loaded.scenario->rig;
    char text[320];
    int best = -1;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const lw_learned_help *h = &v->l->learned.help[k];
        if (h->vessel >= 0 && (best < 0 || h->narrows_frac > v->l->learned.help[best].narrows_frac))
            best = k;
    }
    if (best >= 0 && v->l->learned.help[best].narrows_frac >= 0.05) {
        const lw_learned_help *h = &v->l->learned.help[best];
        snprintf(text, sizeof text,
                 "Most would help: an exact look at %s now; it takes %.0f %% off the doubt about %s.",
                 rig->vessel[h->vessel].name, 100.0 * h->narrows_frac, lw_supply_word((lw_supply)best));
        lw_put_end(screen);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 0, 0);
    }
    for (int i = 0; i < rig->vessel_count; i++) {
        lw_say_tie(rig, v->l, i, 0, text, sizeof text);
        if (text[0])
            lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 0, 0);
    }
}

static void put_learned(lw_screen *screen, const lw_outlook_answer *answer, const lw_words *words, lw_unit_system units)
{
    learned_view v = {.answer = answer, .l = answer->learning, .units = units};
    const lw_rig *rig = &answer->loaded.scenario->rig;
    lw_put_wrapped(screen, LW_PAINT_STRONG, words->learned, 0, 0);
    if (words->learned_doubt[0])
        lw_put_wrapped(screen, LW_PAINT_WARM, words->learned_doubt, 0, 0);
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        v.row[v.count++] = g;
    put_table(screen, &v, 4, use_cell);
    v.count = 0;
    if (rig->battery.capacity_ah > 0.0)
        v.row[v.count++] = -1;
    for (int i = 0; i < rig->vessel_count; i++)
        v.row[v.count++] = i;
    put_table(screen, &v, 5, level_cell);
    if (count_unsure(&v) > 0)
        put_table(screen, &v, 4, unsure_cell);
    put_help(screen, &v);
}

/* ---- */

static lw_code put_json(const lw_outlook_answer *answer, const lw_words_choice *choice, lw_sink *sink, lw_err *err)
{
    char *text = NULL;
    const lw_code code = lw_learned_json(answer, choice, LW_VERSION, &text, err);
    if (!code)
        lw_sink_text(sink, text);
    free(text);
    return code;
}

static lw_code put_answer(const order *o, const lw_outlook_answer *answer, lw_sink *sink, lw_err *err)
{
    const lw_unit_system units = o->units < 0 ? answer->loaded.units : (lw_unit_system)o->units;
    if (o->wants_json)
        return put_json(answer, &(lw_words_choice){.units = units}, sink, err);
    lw_words *words = calloc(1, sizeof *words);
    if (!words)
        return lw_fail(err, LW_E_FULL, "no memory for what was learned");
    const lw_code code = lw_words_make(answer, &(lw_words_choice){.units = units}, words, err);
    if (!code) {
        lw_screen screen;
        lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
        put_learned(&screen, answer, words, units);
    }
    lw_words_clear(words);
    free(words);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.units = -1};
    lw_book *book = NULL;
    lw_outlook_answer answer = {0};
    lw_sink sink;
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken != LW_ARGS_BAD && lw_args_operand_count(&args) > 0)
        (void)lw_fail(&err, LW_E_SYNTAX, "learn takes no FILE; it reads the book");
    if (err.code || lw_kept_open_order(&o.kept, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    lw_code code = lw_kept_open(&o.kept, LW_BOOK_WRITE, &book, &err);
    const lw_learning_request request = {.now_s = o.kept.now_s, .draws = {.draws = 1, .seed = 1}};
    code = code ? code : lw_learning_run(book, &request, &answer, &err);
    lw_book_close(book);
    code = code ? code : put_answer(&o, &answer, &sink, &err);
    const int exit_code = code ? lw_refuse(&err) : lw_out_close(&sink);
    lw_outlook_answer_clear(&answer);
    return exit_code;
}

const lw_command lw_command_learn = {
    .name = "learn",
    .operands = "",
    .what = "What your own readings say of your use, and of what is in the tanks now",
    .about =
        "By group of use: how many times the table this household was assumed to use, and what its readings say, with "
        "the "
        "band that eight of ten draws lie in. By vessel: what is in it now, with its band, and how often it was read. "
        "Then a gauge that seems stuck, habits that seem to have changed, which reading would say most now, and what "
        "cannot be told apart until a fill is metered.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
