/* leeway drive: the way between two places, its time and fuel; and which routing engine is asked. */
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
#include "service/drive.h"
#include "text/say.h"

enum { HELP, ENGINE, JSON, UNITS, BOOK, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [ENGINE] = {"engine", 0, "HOW", 0,
                "from now on ask this routing engine of yours: http://127.0.0.1:PORT, or a command; none: no more"},
    [JSON] = {"json", 'j', NULL, 0, "as JSON on standard output, in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it us"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway drive \"Juniper Bench\" \"Cottonwood Wash\"", "between places of the book"},
    {"leeway drive \"Juniper Bench\" 38.57,-109.55", "to a spot"},
    {"leeway drive --engine http://127.0.0.1:8002", "ask the engine that runs on this machine"},
};

typedef struct order {
    lw_kept_order kept;
    const char *from, *to, *engine;
    int wants_json, wants_ascii, units;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case ENGINE:
        o->engine = value;
        return LW_OK;
    case UNITS:
        return lw_args_units(value, &o->units, err);
    case BOOK:
        o->kept.book = value;
        return LW_OK;
    case NOW:
        return lw_kept_now(value, &o->kept, err);
    default:
        o->wants_json |= option == JSON;
        o->wants_ascii |= option == ASCII;
    }
    return LW_OK;
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    o->from = lw_args_operand(args, 0);
    o->to = lw_args_operand(args, 1);
    if (lw_args_operand_count(args) > 2 || (o->from && !o->to))
        return lw_fail(err, LW_E_SYNTAX, "drive takes two places, FROM and TO; one with blanks needs quotes");
    if (!o->from && !o->engine)
        return lw_fail(err, LW_E_MISSING,
                       "say from where to where, such as leeway drive \"Juniper Bench\" 38.57,-109.55");
    return LW_OK;
}

static lw_code answer(lw_book *book, const order *o, lw_sink *sink, lw_err *err)
{
    lw_drive_answer a = {0};
    lw_screen screen;
    if (o->engine && lw_drive_engine_set(book, o->engine, err))
        return err->code;
    if (o->engine && !o->from)
        lw_sink_text(sink, strcmp(o->engine, "none") == 0 ? "No routing engine is asked any more.\n"
                                                          : "That routing engine is asked from now on.\n");
    if (!o->from)
        return LW_OK;
    lw_code code = lw_drive_make(book, &(lw_drive_ask){o->from, o->to, o->kept.here_s}, &a, err);
    if (code)
        return code;
    if (o->wants_json) {
        char *text = lw_drive_json(&a, LW_VERSION);
        code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
        lw_sink_text(sink, text ? text : "");
        free(text);
        return code;
    }
    char line[LW_DRIVE_LINES][LW_ROADS_NOTE];
    const int count = lw_drive_say(&a, o->units == LW_UNITS_SI ? LW_UNITS_SI : LW_UNITS_US, line);
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    for (int i = 0; i < count; i++)
        lw_put_wrapped(&screen, i ? LW_PAINT_PLAIN : LW_PAINT_STRONG, line[i], 0, 0);
    return LW_OK;
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
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err) || lw_kept_open_order(&o.kept, &err) ||
        lw_kept_open(&o.kept, LW_BOOK_WRITE, &book, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code = answer(book, &o, &sink, &err);
    lw_book_close(book);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_drive = {
    .name = "drive",
    .operands = "FROM TO",
    .what = "The way between two places: distance, time, fuel, and what thin air takes from the engine",
    .about =
        "Your own figure goes first (leeway places edit PLACE \"drives+={to: OTHER, distance: 96 mi, time: 2 h}\"); "
        "then a "
        "routing engine that you have installed with a road map of your own, which is told the rig's height, width, "
        "length "
        "and weight; else a guess from the distance by air, with a wide band. FROM and TO are places of the book or "
        "LAT,LON.\n\n"
        "A routing engine is a server on this machine or a command, which answers matrices of sources and targets in "
        "JSON "
        "as Valhalla does. Nothing leaves this machine. Fuel comes from the rig's weight, drag and tyres (rig.travel, "
        "else "
        "what is usual for its kind). Low bridges, closures and signs are yours to look for.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
