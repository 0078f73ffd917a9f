/* leeway plan provisions: what to bring to a stay, and which room to have empty. */
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
#include "service/provisions.h"
#include "text/decimal.h"
#include "text/say.h"

static const lw_option OPTIONS[] = {
    LW_PLAN_HELP_OPTION,
    {"place", 0, "LAT,LON", 0, "another place, as LAT,LON or LAT,LON,ELEVATION, with the weather it usually has"},
    {"arrive", 0, "WHEN", 0, "another arrival, such as \"2026-09-12 15:00\""},
    LW_PLAN_UNTIL_OPTION,
    {"people", 0, "WHO", 0, "other people, such as \"2 adults, 1 dog\""},
    {"chance", 'c', "SHARE", 0, "how sure it must be that all is enough: 0.5 to 0.99, or 80%; without it 0.8"},
    LW_PLAN_WHAT_IF_OPTION,
    {"details", 'd', NULL, 0, "how each figure was found, and what the masses stand on"},
    LW_PLAN_ASSUMPTIONS_OPTION,
    LW_PLAN_JSON_OPTION,
    LW_PLAN_UNITS_OPTION,
    LW_PLAN_CLOCK_OPTION,
    {"draws", 0, "N", 0, "possible courses of weather and use that amounts are chosen by; without it 1000"},
    LW_PLAN_SEED_OPTION,
    LW_KEPT_BOOK_OPTION,
    LW_KEPT_NOW_OPTION,
    LW_PLAN_ASCII_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway plan provisions camp.yaml", "what to fill, empty and buy before the stay of that file"},
    {"leeway plan provisions camp.yaml --place \"43.9,-113.6,6200 ft\" --arrive \"2026-10-02 14:00\" --until "
     "\"2026-10-09 10:00\" --chance 90%",
     "the same household elsewhere, later, and surer"},
    {"leeway plan provisions camp.yaml --details", "how each figure was found"},
};

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    lw_code code;
    (void)lw_plan_order_take(to, OPTIONS[option].name, value, &code, err);
    return code;
}

/* ---- the report ---- */

typedef struct shown {
    const lw_provisions *provisions;
    double bag_l;
    int at[LW_SUPPLY_COUNT], count;
} shown;

static void amount(const shown *s, int supply, double value, char *buf, size_t n)
{
    if (supply == LW_SUPPLY_RUBBISH && s->bag_l > 0.0) {
        char number[LW_DECIMAL_BYTES];
        lw_decimal_print(number, sizeof number, value / s->bag_l, 1, 0);
        snprintf(buf, n, "%s %s", number, strcmp(number, "1") == 0 ? "bag" : "bags");
    } else
        lw_amount_print(buf, n, (lw_supply)supply, value, s->provisions->wish.choice.units);
}

static void cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"", "likely use", "plan for", "room", "short"};
    const shown *s = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const int k = s->at[row - 1];
    const lw_provision *p = &s->provisions->supply[k];
    if (column == 0)
        snprintf(buf, n, "%s", lw_supply_name((lw_supply)k));
    else if (column == 4 && !(p->more > 0.0))
        snprintf(buf, n, "%s", "");
    else
        amount(s, k, column == 1 ? p->middle : column == 2 ? p->sure : column == 3 ? p->capacity : p->more, buf, n);
}

static void put_list(lw_screen *screen, const lw_provisions *p, const char *title, int fills)
{
    int told = 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!p->supply[k].list[0] || lw_supply_fills((lw_supply)k) != fills)
            continue;
        if (!told++)
            lw_put_title(screen, title);
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, p->supply[k].list, 2, 4);
    }
}

static void put_carry(lw_screen *screen, const lw_provisions *p)
{
    int told = 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!p->supply[k].carry[0])
            continue;
        if (!told++)
            lw_put_title(screen, "What does not fit");
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_WARM, p->supply[k].carry, 2, 4);
    }
}

static void put_given(lw_screen *screen, const lw_provisions *p)
{
    int told = 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!p->supply[k].given[0])
            continue;
        if (!told++)
            lw_put_title(screen, "What is not a matter of bringing it");
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, p->supply[k].given, 2, 4);
    }
}

static void put_details(lw_screen *screen, const lw_provisions *p, double bag_l)
{
    shown s = {.provisions = p, .bag_l = bag_l};
    char text[LW_SENTENCE];
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (p->supply[k].is_counted && p->supply[k].sure > 0.0)
            s.at[s.count++] = k;
    lw_put_title(screen, "The figures");
    lw_put_table(screen, &(lw_table){.rows = s.count + 1,
                                     .columns = 5,
                                     .right = 0x1e,
                                     .indent = 2,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = &s,
                                     .cell = cell});
    for (int i = 0; i < s.count; i++) {
        snprintf(text, sizeof text, "%.31s: %.440s", lw_supply_name((lw_supply)s.at[i]), p->supply[s.at[i]].why);
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_FAINT, text, 2, 4);
    }
    for (int i = 0; i < p->cargo.assumption_count; i++) {
        const lw_assumption *a = &p->cargo.assumption[i];
        snprintf(text, sizeof text, "%s: %s; %s (%s).", a->key, a->value, a->source, a->kind);
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_FAINT, text, 2, 4);
    }
}

static void put_report(const lw_plan_order *o, const lw_provisions *p, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, p->headline, 0, 0);
    put_list(&screen, p, "Bring", 0);
    put_list(&screen, p, "Empty", 1);
    put_carry(&screen, p);
    put_given(&screen, p);
    lw_put_end(&screen);
    lw_put_wrapped(&screen, p->is_reached ? LW_PAINT_PLAIN : LW_PAINT_WARM, p->measured, 0, 0);
    lw_put_wrapped(&screen, p->over_kg > 0.5 ? LW_PAINT_WARM : LW_PAINT_PLAIN, p->mass, 0, 0);
    lw_put_wrapped(&screen, LW_PAINT_FAINT, lw_cargo_caution, 0, 0);
    if (o->wants_details)
        put_details(&screen, p, o->loaded.bag_l);
    if (o->wants_assumptions) {
        lw_report_sources(&screen, "What the rig may carry", p->cargo.assumption, p->cargo.assumption_count);
        lw_report_grounds(&screen, NULL, &o->loaded);
    }
}

static lw_code put_answer(const lw_plan_order *o, const lw_provisions *p, lw_sink *sink, lw_err *err)
{
    if (!o->wants_json) {
        put_report(o, p, sink);
        return LW_OK;
    }
    char *text = lw_provisions_json(p, &o->loaded, LW_VERSION);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for JSON");
    lw_sink_text(sink, text);
    free(text);
    return LW_OK;
}

static int answer_order(lw_plan_order *o)
{
    lw_err err = {0};
    lw_sink sink;
    lw_provisions *p = malloc(sizeof *p);
    int exit_code;
    lw_out_open(&sink);
    lw_code code = p ? lw_plan_order_open(o, &err) : lw_fail(&err, LW_E_FULL, "no memory for provisions");
    if (!code) {
        const lw_provisions_wish wish = {
            .confidence_frac = o->confidence_frac, .draws = (int)o->draws, .choice = lw_plan_choice(o)};
        code = lw_provisions_make(&o->trials, &wish, p, &err);
    }
    if (code || !p) {
        (void)lw_refuse(&err);
        exit_code = LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    } else if (put_answer(o, p, &sink, &err))
        exit_code = lw_refuse(&err);
    else
        exit_code = lw_out_close(&sink);
    lw_plan_order_close(o);
    free(p);
    return exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_plan_order o = LW_PLAN_ORDER_USUAL;
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || lw_plan_order_check(&args, self->name, &o, &err))
        return lw_refuse(&err);
    return answer_order(&o);
}

const lw_command lw_command_plan_provisions = {
    .name = "plan provisions",
    .operands = "[FILE]",
    .what = "What to bring to a stay, and which room to have empty",
    .about =
        "For the stay of FILE (without it, of the book), or for another place, other dates and people: how much fresh "
        "and drinking water, gas, fuel, food, data and bags to bring, and how much room to have in the grey and black "
        "tanks and for rubbish, so that all of it is enough with the chance you wish. The amounts come from possible "
        "courses of weather and use, run hour by hour; the chance is then measured on 10,000 fresh courses that begin "
        "with exactly these amounts, and where it falls short more is planned for.\n\n"
        "What your tanks cannot hold is named, and the load is held against what the rig may carry (rig.payload and "
        "rig.gear in the scenario; what is usual for its kind where they are not said). Masses are estimates: weigh "
        "the rig, "
        "loaded, by each axle. Fill gas by its legal limit, carry fuel in approved cans outside.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
