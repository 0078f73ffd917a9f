/* leeway weather show: what weather a place usually has, and what a scenario was loaded with. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/options.h"
#include "cli/out.h"
#include "cli/report_weather.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { HELP, AT, MONTHS, JSON, UNITS, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [AT] =
        {"at", 0, "LAT,LON[,ELEV]", 0,
         "a place in degrees, north and east positive or with N, S, E, W, and its elevation with its unit; sea level "
         "where it is not said"},
    [MONTHS] = {"months", 'm', NULL, 0,
                "of a FILE: the climate of its place by month, drawn to the station it names, not its weather by day"},
    [JSON] = {"json", 'j', NULL, 0, "the whole answer as JSON on standard output, in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it those of the scenario, us for a place"},
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway weather show --at \"38.57 N, 109.55 W, 4035 ft\"", "the climate of a place by month"},
    {"leeway weather show --at=38.57,-109.55,1230m --units si", "the same"},
    {"leeway weather show camp.yaml", "the weather a scenario is computed with, by day"},
    {"leeway weather show camp.yaml --months", "the climate of its place, drawn to the station it names"},
};

typedef struct order {
    const char *path, *at;
    int wants_months, wants_json, wants_ascii;
    int units; /* lw_unit_system; -1: not said */
} order;

/* ---- the command line ---- */

static const char *skip_blanks(const char *at)
{
    while (*at == ' ')
        at++;
    return at;
}

/* "38.57", "38.57 N", "109.55W". NULL: neither. */
static const char *read_degrees(const char *at, const char *sides, double *degrees)
{
    at = skip_blanks(at);
    at = lw_decimal_scan(at, at + strlen(at), degrees);
    if (!at)
        return NULL;
    at = skip_blanks(at);
    if (*at && strchr(sides, *at)) {
        if (*degrees < 0.0)
            return NULL; /* "-109 W" is which of the two? */
        *degrees = *at == sides[1] ? -*degrees : *degrees;
        at = skip_blanks(at + 1);
    }
    return at;
}

static lw_code read_place(const char *text, lw_climate_place *place, lw_err *err)
{
    const char *at = read_degrees(text, "NS", &place->latitude_deg);
    if (at && *at == ',')
        at = read_degrees(at + 1, "EW", &place->longitude_deg);
    else
        at = NULL;
    if (!at || (*at && *at != ','))
        return lw_fail(err, LW_E_SYNTAX, "--at %s is not of the form LAT,LON[,ELEV], such as 38.57,-109.55,4035ft",
                       lw_quoted(text, strlen(text)).text);
    place->elevation_m = NAN;
    if (*at == ',') {
        const lw_code code = lw_quantity_parse(skip_blanks(at + 1), LW_DIM_LENGTH, &place->elevation_m, err);
        return code ? lw_err_at(err, NULL, 0, "--at, elevation") : LW_OK;
    }
    return LW_OK;
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    o->at = option == AT ? value : o->at;
    o->wants_months |= option == MONTHS;
    o->wants_json |= option == JSON;
    o->wants_ascii |= option == ASCII;
    if (option != UNITS)
        return LW_OK;
    return lw_args_units(value, &o->units, err);
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    o->path = lw_args_operand(args, 0);
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "weather show takes one FILE; a place with blanks needs quotes");
    if (!o->path == !o->at)
        return lw_fail(err, o->path ? LW_E_CONFLICT : LW_E_MISSING,
                       o->path ? "a FILE has its own place; leave out --at"
                               : "name a scenario file, or a place with --at LAT,LON,ELEV");
    return LW_OK;
}

/* ---- the answer ---- */

static lw_code make_answer(const order *o, lw_weather_answer *answer, lw_err *err)
{
    const lw_scenario_from from = {.path = o->path, .now_s = (int64_t)time(NULL)};
    if (!o->at)
        return o->wants_months ? lw_weather_of_scenario_by_month(&from, answer, err)
                               : lw_weather_of_scenario(&from, answer, err);
    lw_climate_place place;
    const lw_code code = read_place(o->at, &place, err);
    if (code)
        return code;
    const lw_unit_system units = o->units < 0 ? LW_UNITS_US : (lw_unit_system)o->units;
    return lw_weather_of_place(&place, units, answer, err);
}

static lw_code put_answer(const order *o, const lw_weather_answer *answer, lw_sink *sink, lw_err *err)
{
    if (o->wants_json) {
        char *text = NULL;
        const lw_code code = lw_weather_json(answer, LW_VERSION, &text, err);
        if (!code)
            lw_sink_text(sink, text);
        free(text);
        return code;
    }
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_report_weather(&screen, answer, o->units >= 0 ? (lw_unit_system)o->units : answer->loaded.units);
    return LW_OK;
}

static int answer_order(const order *o)
{
    lw_err err = {0};
    lw_sink sink;
    lw_weather_answer *answer = calloc(1, sizeof *answer);
    int exit_code = LW_EXIT_DONE;
    lw_out_open(&sink);
    if (!answer) {
        (void)lw_fail(&err, LW_E_FULL, "no memory for this weather");
        exit_code = lw_refuse(&err);
    } else if (make_answer(o, answer, &err)) {
        (void)lw_refuse(&err);
        exit_code = LW_EXIT_INPUT; /* a file that is not there is a wrong name, typed */
    } else if (put_answer(o, answer, &sink, &err)) {
        exit_code = lw_refuse(&err);
    } else {
        exit_code = lw_out_close(&sink);
    }
    if (answer)
        lw_weather_answer_clear(answer);
    free(answer);
    return exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.units = -1};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    return answer_order(&o);
}

const lw_command lw_command_weather_show = {
    .name = "weather show",
    .operands = "[FILE]",
    .what = "The climate of a place by month, or the weather of a scenario by day",
    .about =
        "With --at: the mean weather of any place in North America, with nothing downloaded: highs and lows with what "
        "they may "
        "be off by, sun, wet days, rain and wind by month, and what to beware of. It is our own fit to stations; "
        "leeway model "
        "climate gives its figures.\n\n"
        "With FILE, a scenario: the weather it is computed with, day by day until departure, whatever it comes from. A "
        "scenario that says nothing of weather has the climate of its place; one that names a station's record has it "
        "drawn to that station.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
