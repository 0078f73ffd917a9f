/* leeway places at: whose land a point is. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "cli/place_typed.h"
#include "cli/screen.h"
#include "service/land_at.h"
#include "service/places.h"
#include "text/quantity.h"
#include "text/say.h"

enum { HELP, JSON, UNITS, BOOK, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [JSON] = {"json", 'j', NULL, 0, "as JSON on standard output, in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it us"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway places at", "where the book says you are"},
    {"leeway places at 38.2,-111.1", "a spot"},
    {"leeway places at \"Juniper Bench\" --json", "a place of the book"},
};

typedef struct order {
    lw_kept_order kept;
    int wants_json, wants_ascii, units;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    if (option == NOW)
        return lw_kept_now(value, &o->kept, err);
    if (option == UNITS)
        return lw_args_units(value, &o->units, err);
    o->kept.book = option == BOOK ? value : o->kept.book;
    o->wants_json |= option == JSON;
    o->wants_ascii |= option == ASCII;
    return LW_OK;
}

static void put_land(lw_screen *screen, const order *o, const lw_land_here *here, size_t i)
{
    const lw_kept_land *land = &here->lands.land[i];
    const lw_land_told *told = &here->told[i];
    char text[LW_LAND_LINE + 64], way[LW_QUANTITY_BYTES];
    lw_put_wrapped(screen, LW_PAINT_STRONG, lw_land_say(here, i, text), 0, 2);
    if (*lw_land_access_say(land)) {
        snprintf(text, sizeof text, "  Access as the map has it: %.200s.", lw_land_access_say(land));
        lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 0, 2);
    }
    if (*told->rule) {
        snprintf(text, sizeof text, "  Usual rule: %.160s (%.40s). %.120s; %.40s.", told->rule_title, told->rule,
                 told->rule_source, told->rule_kind);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 0, 2);
    }
    if (*told->note) {
        snprintf(text, sizeof text, "  %.200s.", told->note);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 0, 2);
    }
    if (land->border_m < LW_LAND_NEAR_M) {
        snprintf(text, sizeof text, "  Its border is %s away: look which side you are on.",
                 lw_quantity_print(way, sizeof way, land->border_m, LW_DIM_LENGTH,
                                   o->units == LW_UNITS_SI ? LW_UNITS_SI : LW_UNITS_US));
        lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 0, 2);
    }
}

static void put_credits(lw_screen *screen, const lw_kept_lands *lands)
{
    for (size_t i = 0; i < lands->count; i++) {
        const lw_kept_land *land = &lands->land[i];
        size_t before = 0;
        while (before < i && strcmp(lands->land[before].source, land->source) != 0)
            before++;
        char text[LW_CREDIT_LINE];
        if (before == i)
            lw_put_wrapped(screen, LW_PAINT_FAINT,
                           lw_credit_say(land->source, land->credit, land->imported_s, land->data_s, text), 0, 2);
    }
}

static lw_code answer(lw_book *book, const order *o, const char *what, lw_sink *sink, lw_err *err)
{
    lw_land_here here = {.known = 0};
    lw_spot spot = {0.0, 0.0};
    lw_code code = lw_place_typed(book, what, o->kept.now_s, &spot, err);
    code = code ? code : lw_land_at(book, spot, &here, err);
    if (!code && o->wants_json) {
        char *text = lw_land_json(&here, LW_VERSION);
        code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
        lw_sink_text(sink, text ? text : "");
        free(text);
    } else if (!code) {
        lw_screen screen;
        lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
        for (size_t i = 0; i < here.lands.count; i++)
            put_land(&screen, o, &here, i);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, lw_land_ask(&here), 0, 0);
        put_credits(&screen, &here.lands);
    }
    lw_land_here_clear(&here);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    lw_book *book = NULL;
    order o = {.units = -1};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken != LW_ARGS_BAD && lw_args_operand_count(&args) > 1)
        (void)lw_fail(&err, LW_E_SYNTAX, "places at takes one PLACE; one with blanks needs quotes");
    if (err.code || lw_kept_open_order(&o.kept, &err) || lw_kept_open(&o.kept, LW_BOOK_WRITE, &book, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code = answer(book, &o, lw_args_operand(&args, 0), &sink, &err);
    lw_book_close(book);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_places_at = {
    .name = "places at",
    .operands = "[PLACE]",
    .what = "Whose land a spot is, and how long one may usually stay there",
    .about = "Of the stay that the book follows, a place of the book, or LAT,LON, by the maps of land managers in the "
             "book (leeway import). "
             "A map says who manages the land, not whether or how long you may stay: ask the local office.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
