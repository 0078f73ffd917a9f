/* leeway sun: hours of direct sun by date at a spot, and which corner of a small area has most of it. */
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
#include "exchange/terrain.h"
#include "exchange/tzif.h"
#include "service/camp_sheet.h"
#include "service/household.h"
#include "service/ledger.h"
#include "service/place_known.h"
#include "service/sun_map.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"
#include "text/spot_typed.h"

enum { HELP, TERRAIN, ON, DAYS, EVERY, MAP, CELLS, SVG, ZONE, JSON, BOOK, NOW, ASCII };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [TERRAIN] =
        {"terrain", 0, "PATH", 0,
         "folder of terrain tiles, or one tile; without it what the stay of the book names, else what was imported"},
    [ON] = {"on", 0, "DATE", 0, "the first day; without it today"},
    [DAYS] = {"days", 0, "N", 0, "how many rows; without it 7"},
    [EVERY] = {"every", 0, "N", 0, "days between rows; without it 1; 30 shows a year in 12"},
    [MAP] = {"map", 0, "LENGTH", 0, "a map of the area so far around the spot, such as \"300 m\", for the first day"},
    [CELLS] = {"cells", 0, "N", 0, "cells a side of the map, odd, up to 41; without it 21"},
    [SVG] = {"svg", 0, NULL, 0, "the map as SVG on standard output"},
    [ZONE] = {"zone", 0, "ZONE", 0, "time zone by its tz name; without it the place's, else this machine's"},
    [JSON] = {"json", 'j', NULL, 0, "as JSON on standard output"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway sun \"Larkspur Flat\"", "the week ahead at a place of the book"},
    {"leeway sun 38.1,-112.4 --terrain tiles --on 2026-12-21 --days 12 --every 30", "through the year"},
    {"leeway sun 38.1,-112.4 --terrain tiles --map \"300 m\"", "where to park for the sun"},
};

typedef struct order {
    lw_kept_order kept;
    const char *what, *terrain, *on, *zone;
    uint64_t days, every, cells;
    double half_m;
    int wants_svg, wants_json, wants_ascii;
    int is_clock_elsewhere; /* the zone is of the stay or of this machine, not of the spot */
    char terrain_kept[512];
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case TERRAIN:
        o->terrain = value;
        return LW_OK;
    case ON:
        o->on = value;
        return LW_OK;
    case ZONE:
        o->zone = value;
        return LW_OK;
    case DAYS:
        return lw_args_whole("days", value, 1, LW_SUN_DAYS, &o->days, err);
    case EVERY:
        return lw_args_whole("every", value, 1, 366, &o->every, err);
    case CELLS:
        return lw_args_whole("cells", value, 3, LW_SUN_SIDE, &o->cells, err);
    case MAP:
        return lw_quantity_parse(value, LW_DIM_LENGTH, &o->half_m, err) ? lw_err_at(err, "--map", 0, NULL) : LW_OK;
    case BOOK:
        o->kept.book = value;
        return LW_OK;
    case NOW:
        return lw_kept_now(value, &o->kept, err);
    default:
        o->wants_svg |= option == SVG;
        o->wants_json |= option == JSON;
        o->wants_ascii |= option == ASCII;
    }
    return LW_OK;
}

/* ---- which spot ---- */

/* What the stay of the book says, where there is a book with a stay. */
static void take_stay(lw_book *book, order *o, lw_sun_ask *ask, char zone[48])
{
    lw_household home = {0};
    lw_err own = {0};
    if (lw_household_load_last(book, o->kept.here_s, &home, &own))
        return;
    const lw_place *at = &home.loaded.scenario->place;
    if (!o->what)
        ask->spot = (lw_spot){at->latitude_deg, at->longitude_deg};
    snprintf(o->terrain_kept, sizeof o->terrain_kept, "%s", home.loaded.terrain_path);
    snprintf(zone, 48, "%s", home.loaded.zone.name);
    lw_household_clear(&home);
}

static lw_code find_camp(lw_book *book, const order *o, lw_sun_ask *ask, char zone[48], lw_err *err)
{
    lw_camps camps = {0};
    const lw_camp *camp;
    lw_code code = lw_camps_load(book, &camps, err);
    code = code ? code : lw_camps_find(&camps, o->what, &camp, err);
    if (!code) {
        ask->spot = camp->facts.spot;
        if (camp->zone[0])
            snprintf(zone, 48, "%s", camp->zone);
    }
    lw_camps_clear(&camps);
    return code;
}

/* The tiles beside the book, where the stay names none that hold the spot. */
static void take_tiles(lw_book *book, lw_spot spot, order *o)
{
    lw_place_known known;
    if (lw_terrain_has(o->terrain_kept, spot))
        return;
    lw_place_known_find(book, spot, &known);
    if (known.terrain[0])
        snprintf(o->terrain_kept, sizeof o->terrain_kept, "%s", known.terrain);
}

static lw_code find_spot(order *o, lw_sun_ask *ask, lw_err *err)
{
    lw_book *book = NULL;
    lw_err own = {0};
    char zone[48] = "";
    const int is_typed = o->what && lw_spot_typed(o->what, &ask->spot);
    lw_code code = LW_OK;
    if (!is_typed)
        code = lw_kept_open(&o->kept, LW_BOOK_WRITE, &book, err);
    else if (lw_book_open(&book, o->kept.path, LW_BOOK_READ_ONLY, &own))
        book = NULL; /* a spot needs none */
    if (!is_typed && !code && !o->what)
        ask->spot.latitude_deg = (double)NAN;
    if (!code && book)
        take_stay(book, o, ask, zone);
    if (!code && !is_typed && o->what)
        code = find_camp(book, o, ask, zone, err);
    if (!code && !o->what && isnan(ask->spot.latitude_deg))
        code = lw_fail(err, LW_E_MISSING, "the book has no stay; name a place, or a spot such as 38.1,-112.4");
    if (!code && book)
        take_tiles(book, ask->spot, o);
    lw_book_close(book);
    if (code)
        return code;
    if (o->zone)
        snprintf(zone, sizeof zone, "%.47s", o->zone);
    o->is_clock_elsewhere = !o->zone && (is_typed || !zone[0]);
    if (!zone[0])
        lw_zone_machine(zone, sizeof zone);
    return lw_zone_load(zone, o->kept.now_s - 800 * INT64_C(86400), o->kept.now_s + 800 * INT64_C(86400), &ask->zone,
                        err);
}

static lw_code fill_ask(order *o, lw_sun_ask *ask, lw_err *err)
{
    lw_date date;
    const lw_code code = find_spot(o, ask, err);
    if (code)
        return code;
    ask->terrain = o->terrain ? o->terrain : o->terrain_kept;
    ask->days = (int)o->days;
    ask->step_days = (int)o->every;
    ask->half_m = isnan(o->half_m) ? 0.0 : o->half_m;
    ask->side = (int)o->cells | 1;
    ask->first_day = lw_clock_at(&ask->zone, o->kept.now_s).day;
    if (o->on && lw_date_parse(o->on, &date, err))
        return lw_err_at(err, "--on", 0, NULL);
    if (o->on)
        ask->first_day = lw_day_of(date);
    return LW_OK;
}

/* ---- the report ---- */

typedef struct shown {
    const lw_sun_ask *ask;
    const lw_sun_day *day;
} shown;

static void hours(double value, char *buf, size_t n)
{
    char text[LW_DECIMAL_BYTES];
    lw_decimal_print(text, sizeof text, value, 1, 1);
    snprintf(buf, n, "%s h", text);
}

static void cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"day", "direct sun", "from", "until", "level land"};
    const shown *s = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_sun_day *d = &s->day[row - 1];
    const int64_t at_s = column == 2 ? d->first_s : d->last_s;
    if (column == 0)
        lw_civil_say(buf, n, d->day);
    else if (column == 1 || column == 4)
        hours(column == 1 ? d->direct_h : d->level_h, buf, n);
    else if (at_s)
        lw_time_print(
            buf, n,
            (int32_t)(lw_clock_at(&s->ask->zone, at_s).hour * 3600 + lw_clock_at(&s->ask->zone, at_s).minute * 60));
    else
        snprintf(buf, n, "-");
}

static void put_days(const order *o, const lw_sun_ask *ask, const lw_sun_day *day, lw_sink *sink)
{
    lw_screen screen;
    const shown s = {ask, day};
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_put_table(&screen, &(lw_table){.rows = ask->days + 1,
                                      .columns = 5,
                                      .right = 1u << 1 | 1u << 4,
                                      .head = LW_PAINT_STRONG,
                                      .warm_row = -1,
                                      .context = &s,
                                      .cell = cell});
    lw_put_wrapped(
        &screen, LW_PAINT_FAINT,
        ask->terrain[0]
            ? "Sun over the skyline of the terrain tiles; trees and clouds apart."
            : "No terrain is known here, so the skyline is taken as level; trees and clouds apart. Import its "
              "tiles, or name them (--terrain).",
        0, 2);
    if (o->is_clock_elsewhere) {
        char text[128];
        snprintf(text, sizeof text, "Times are by the clock of %s; --zone names another.", ask->zone.name);
        lw_put_wrapped(&screen, LW_PAINT_FAINT, text, 0, 2);
    }
}

/* Ten steps from least to most; two letters a cell, since letters are twice as high as wide. */
static void put_map(const order *o, const lw_sun_map *map, lw_sink *sink)
{
    static const char STEPS[] = " .:-=+*o#@";
    lw_screen screen;
    char text[320], least[32], most[32], spot[64], size[LW_QUANTITY_BYTES], day[LW_WHEN];
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    if (map->best < 0) {
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, "The tiles say nothing of this area.", 0, 0);
        return;
    }
    for (int r = 0; r < map->side; r++) {
        char line[2 * LW_SUN_SIDE + 1];
        size_t used = 0;
        for (int k = 0; k < map->side; k++) {
            const int i = r * map->side + k;
            const double share = (map->hours[i] - map->least_h) / fmax(map->most_h - map->least_h, 0.1);
            const char c = i == map->best ? 'P' : isnan(map->hours[i]) ? '?' : STEPS[(int)fmin(9.0, share * 10.0)];
            line[used++] = c;
            line[used++] = c;
        }
        line[used] = '\0';
        lw_put(&screen, LW_PAINT_PLAIN, line);
        lw_put_end(&screen);
    }
    hours(map->least_h, least, sizeof least);
    hours(map->most_h, most, sizeof most);
    snprintf(text, sizeof text,
             "%s: %s (blank) to %s (@) of direct sun; most at P, %s. North is up, a cell is %s wide.",
             lw_civil_say(day, sizeof day, map->day), least, most, lw_camp_spot_say(map->best_spot, spot, sizeof spot),
             lw_quantity_print(size, sizeof size, map->cell_m, LW_DIM_LENGTH, LW_UNITS_US));
    lw_put_wrapped(&screen, LW_PAINT_PLAIN, text, 0, 0);
    lw_put_wrapped(
        &screen, LW_PAINT_FAINT,
        "Tiles are 30 or 90 m apart and know no trees: walk there and look. Not in a wash, not under dead trees.", 0,
        2);
}

static lw_code answer(order *o, lw_sink *sink, lw_err *err)
{
    lw_sun_ask *ask = calloc(1, sizeof *ask);
    lw_sun_day *day = calloc(LW_SUN_DAYS, sizeof *day);
    lw_sun_map *map = calloc(1, sizeof *map);
    const int wants_map = !isnan(o->half_m);
    lw_code code = ask && day && map ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for the sun");
    if (ask && day && map) {
        code = fill_ask(o, ask, err);
        if (!code && (!wants_map || o->wants_json))
            code = lw_sun_days_make(ask, day, err);
        if (!code && wants_map)
            code = lw_sun_map_make(ask, map, err);
        if (!code && (o->wants_json || o->wants_svg)) {
            char *text =
                o->wants_json ? lw_sun_json(ask, day, wants_map ? map : NULL, LW_VERSION) : lw_sun_svg(ask, map);
            code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
            lw_sink_text(sink, text ? text : "");
            free(text);
        } else if (!code && wants_map)
            put_map(o, map, sink);
        else if (!code)
            put_days(o, ask, day, sink);
    }
    free(ask);
    free(day);
    free(map);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    order o = {.days = 7, .every = 1, .cells = 21, .half_m = (double)NAN};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken != LW_ARGS_BAD) {
        o.what = lw_args_operand(&args, 0);
        if (lw_args_operand_count(&args) > 1)
            (void)lw_fail(&err, LW_E_SYNTAX, "sun takes one PLACE; one with blanks needs quotes");
        else if (o.wants_svg && isnan(o.half_m))
            (void)lw_fail(&err, LW_E_MISSING, "--svg is of a map: --map \"300 m\"");
    }
    if (err.code || lw_kept_open_order(&o.kept, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code = answer(&o, &sink, &err);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_sun = {
    .name = "sun",
    .operands = "[PLACE]",
    .what = "Hours of direct sun by date at a spot, and where in a small area there is most",
    .about = "For the stay of the book, a place of it, or LAT,LON: how long the sun stands over the skyline of terrain "
             "tiles, "
             "day by day. --map looks at the area around for one day: where to park for the panels in winter, or out "
             "of the sun "
             "in summer. Trees are not in the tiles.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
