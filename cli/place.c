/* leeway places add, edit, show, forget: what the household knows of its own places. */
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
#include "service/camp_sheet.h"
#include "service/land_at.h"
#include "text/quantity.h"
#include "text/say.h"
#include "text/spot_typed.h"

enum { HELP, BOOK, NOW, JSON, UNITS, ASCII, UNDO = JSON };

#define SHARED [HELP] = {"help", 'h', NULL, 0, "this text"}, [BOOK] = LW_KEPT_BOOK_OPTION, [NOW] = LW_KEPT_NOW_OPTION

static const lw_option PUT_OPTIONS[] = {SHARED};
static const lw_option FORGET_OPTIONS[] = {
    SHARED, [UNDO] = {"undo", 'u', NULL, 0, "the place that was forgotten last comes back whole"}};
static const lw_option SHOW_OPTIONS[] = {
    SHARED,
    [JSON] = {"json", 'j', NULL, 0, "as JSON on standard output, in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it us"},
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example ADD_EXAMPLES[] = {
    {"leeway places add \"Larkspur Flat\" 38.1,-112.4", "a name and a spot"},
    {"leeway places add \"Larkspur Flat\" 38.1,-112.4 manager=\"BLM Juniper\" stay_rule=blm-usual fee=\"0 USD\" "
     "road.surface=gravel road.dry_only=yes",
     "with what is known of it"},
};
static const lw_example EDIT_EXAMPLES[] = {
    {"leeway places edit \"Larkspur Flat\" confirmed=2026-05-30 confirmed_by=Ottilie", "somebody was there"},
    {"leeway places edit \"Larkspur Flat\" \"room+={chance: 40 %, days: Fri-Sun}\"", "one more item of a list"},
    {"leeway places edit \"Larkspur Flat\" \"drives+={to: Cottonwood Wash, distance: 96 mi, time: 2 h 10 min}\"",
     "a drive you know"},
    {"leeway places edit \"Larkspur Flat\" fee=", "nothing behind the sign takes it out"},
};
static const lw_example SHOW_EXAMPLES[] = {{"leeway places show \"Larkspur Flat\"", "its sheet"},
                                           {"leeway places show \"Larkspur Flat\" --json", "as JSON"}};
static const lw_example FORGET_EXAMPLES[] = {{"leeway places forget \"Larkspur Flat\"", "out of the book"},
                                             {"leeway places forget \"Larkspur Flat\" --undo", "and back"}};

typedef struct order {
    lw_kept_order kept;
    const lw_command *self;
    int wants_json, wants_ascii, wants_undo, units;
    const char *name;
    const char *change[LW_PLACE_CHANGES];
    int change_count;
    lw_spot spot;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case BOOK:
        o->kept.book = value;
        return LW_OK;
    case NOW:
        return lw_kept_now(value, &o->kept, err);
    case UNITS:
        return lw_args_units(value, &o->units, err);
    default:
        o->wants_json |= option == JSON && o->self != &lw_command_places_forget;
        o->wants_undo |= option == UNDO && o->self == &lw_command_places_forget;
        o->wants_ascii |= option == ASCII;
    }
    return LW_OK;
}

static int is_put(const order *o)
{
    return o->self == &lw_command_places_add || o->self == &lw_command_places_edit;
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    const int is_add = o->self == &lw_command_places_add, first = is_add ? 2 : 1;
    o->name = lw_args_operand(args, 0);
    if (!o->name)
        return lw_fail(err, LW_E_MISSING, "name a place, such as leeway %s \"Larkspur Flat\"%s", o->self->name,
                       is_add ? " 38.1,-112.4" : "");
    const char *spot = lw_args_operand(args, 1);
    if (is_add && (!spot || !lw_spot_typed(spot, &o->spot)))
        return lw_fail(err, LW_E_SYNTAX,
                       "behind the name belongs a spot such as 38.1,-112.4: degrees north, degrees east");
    for (int i = first; i < lw_args_operand_count(args); i++) {
        if (!is_put(o))
            return lw_fail(err, LW_E_SYNTAX, "%s takes one PLACE; one with blanks needs quotes", o->self->name);
        if (o->change_count == LW_PLACE_CHANGES)
            return lw_fail(err, LW_E_FULL, "at most %d changes at once", LW_PLACE_CHANGES);
        o->change[o->change_count++] = lw_args_operand(args, i);
    }
    if (o->self == &lw_command_places_edit && !o->change_count)
        return lw_fail(err, LW_E_MISSING, "say what is new, such as confirmed=2026-05-30");
    return LW_OK;
}

/* ---- answers ---- */

static void put_same(const lw_camp_put *put, lw_unit_system units, lw_sink *sink)
{
    char way[LW_QUANTITY_BYTES];
    for (int i = 0; i < put->same_count; i++)
        lw_sink_print(sink, "%s%s%s%s is %s off: perhaps the same place; both stay as they are.\n", put->same[i].name,
                      put->same[i].source[0] ? " (of " : "", put->same[i].source, put->same[i].source[0] ? ")" : "",
                      lw_quantity_print(way, sizeof way, put->same[i].way_m, LW_DIM_LENGTH, units));
}

/* Whose land it is by the maps in the book; nothing where they do not say. */
static lw_code put_land(lw_book *book, const char *name, lw_spot spot, lw_sink *sink, lw_err *err)
{
    lw_land_here here = {.known = 0};
    char text[LW_LAND_LINE];
    const lw_code code = lw_land_at(book, spot, &here, err);
    for (size_t i = 0; !code && i < here.lands.count; i++)
        lw_sink_print(sink, "By %s it is of %s.\n", here.lands.land[i].source, lw_land_say(&here, i, text));
    if (!code && here.lands.count)
        lw_sink_print(sink, "leeway places at \"%s\" has the usual rule; ask the local office.\n", name);
    lw_land_here_clear(&here);
    return code;
}

static lw_code put_place(lw_book *book, const order *o, lw_sink *sink, lw_err *err)
{
    lw_camp_put put = {0};
    const lw_camp_order ask = {.name = o->name,
                               .spot = o->spot,
                               .elevation_m = (double)NAN,
                               .change = o->change,
                               .change_count = o->change_count,
                               .now_s = o->kept.now_s};
    const int is_add = o->self == &lw_command_places_add;
    const lw_code code = is_add ? lw_camp_add(book, &ask, &put, err) : lw_camp_edit(book, &ask, &put, err);
    if (code)
        return code;
    lw_sink_print(sink, "%s is %s the book; leeway places show \"%s\" has its sheet.\n", o->name,
                  is_add ? "in" : "changed in", o->name);
    if (is_add && !isnan(put.elevation_m)) {
        char height[LW_QUANTITY_BYTES];
        lw_sink_print(sink, "Height by the terrain tiles: %s.\n",
                      lw_camp_height_say(put.elevation_m, LW_UNITS_US, height, sizeof height));
    }
    if (is_add && put.manager[0])
        lw_sink_print(sink, "Land of %s: ask the local office.\n", put.manager);
    put_same(&put, LW_UNITS_US, sink);
    return is_add ? put_land(book, o->name, o->spot, sink, err) : LW_OK;
}

typedef struct table {
    const lw_camp_sheet *sheet;
} table;

static void cell(const void *context, int row, int column, char *buf, size_t n)
{
    const table *t = context;
    snprintf(buf, n, "%s", column == 0 ? t->sheet->line[row].what : t->sheet->line[row].text);
}

static lw_code put_sheet(lw_book *book, const lw_camp *camp, const lw_road_rig *rig, const order *o, lw_sink *sink,
                         lw_err *err)
{
    lw_screen screen;
    lw_camp_sheet *sheet = malloc(sizeof *sheet);
    const lw_unit_system units = o->units == LW_UNITS_SI ? LW_UNITS_SI : LW_UNITS_US;
    if (!sheet)
        return lw_fail(err, LW_E_FULL, "no memory for this answer");
    lw_camp_sheet_make(camp, rig, units, sheet);
    const lw_code code = lw_camp_sheet_around(book, camp, o->kept.here_s, units, sheet, err);
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    lw_put_wrapped(&screen, LW_PAINT_STRONG, camp->facts.name, 0, 0);
    const table t = {sheet};
    lw_put_table(&screen, &(lw_table){.rows = sheet->count,
                                      .columns = 2,
                                      .indent = 2,
                                      .head = LW_PAINT_PLAIN,
                                      .warm_row = -1,
                                      .context = &t,
                                      .cell = cell});
    free(sheet);
    return code;
}

static lw_code show_place(lw_book *book, const order *o, lw_sink *sink, lw_err *err)
{
    lw_camps camps = {0};
    lw_roads roads = {0};
    const lw_camp *camp = NULL;
    lw_camp_put put = {0};
    lw_code code = lw_camps_load(book, &camps, err);
    code = code ? code : lw_camps_find(&camps, o->name, &camp, err);
    code = code ? code : lw_roads_open(book, &camps, o->kept.here_s, &roads, err);
    code = code ? code : lw_camp_look_for_same(book, camp, &put, err);
    if (!code && o->wants_json) {
        char *text = lw_camp_json(camp, &put, LW_VERSION);
        code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
        lw_sink_text(sink, text ? text : "");
        free(text);
    } else if (!code) {
        code = put_sheet(book, camp, &roads.rig, o, sink, err);
        put_same(&put, o->units == LW_UNITS_SI ? LW_UNITS_SI : LW_UNITS_US, sink);
        code = code ? code : put_land(book, camp->facts.name, camp->facts.spot, sink, err);
    }
    lw_roads_clear(&roads);
    lw_camps_clear(&camps);
    return code;
}

static lw_code forget_place(lw_book *book, const order *o, lw_sink *sink, lw_err *err)
{
    lw_camp_put put;
    const lw_code code = o->wants_undo ? lw_camp_recall(book, o->name, &put, err) : lw_camp_forget(book, o->name, err);
    if (!code)
        lw_sink_print(sink, o->wants_undo ? "%s is in the book again.\n" : "%s is out of the book.\n", o->name);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    lw_book *book = NULL;
    order o = {.self = self, .units = -1};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err) || lw_kept_open_order(&o.kept, &err) ||
        lw_kept_open(&o.kept, self == &lw_command_places_add ? LW_BOOK_CREATE : LW_BOOK_WRITE, &book, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code = is_put(&o)                        ? put_place(book, &o, &sink, &err)
                         : self == &lw_command_places_show ? show_place(book, &o, &sink, &err)
                                                           : forget_place(book, &o, &sink, &err);
    lw_book_close(book);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_places_add = {
    .name = "places add",
    .operands = "PLACE LAT,LON [KEY=VALUE...]",
    .what = "Put a place of your own into the book",
    .about = "KEYs are those under place.about and place in docs/use/scenario.md: fee, services, water, rigs, length, "
             "road.surface, "
             "road.clearance, road.season, road.dry_only, room, closed, rules.water_distance, rules.unattended, "
             "rules.food_storage, rules.fire, rules.office, signal, "
             "nearby, "
             "drives, notes, photos, confirmed, recommended_by, and manager, stay_rule, quiet, outdoor_water, zone, "
             "elevation. "
             "Quantities carry their unit.\n\n"
             "What may be the same place is told; nothing is merged. A rule of a place goes before the table of stay "
             "rules, and "
             "the local office's order before both: ask it.",
    .option = PUT_OPTIONS,
    .option_count = sizeof PUT_OPTIONS / sizeof PUT_OPTIONS[0],
    .example = ADD_EXAMPLES,
    .example_count = sizeof ADD_EXAMPLES / sizeof ADD_EXAMPLES[0],
    .run = run,
};

const lw_command lw_command_places_edit = {
    .name = "places edit",
    .operands = "PLACE KEY=VALUE...",
    .what = "Change what the book knows of a place",
    .about = "KEYs as for leeway places add. KEY+=VALUE adds an item to a list or to a quantity, KEY= takes it out. "
             "All changes or "
             "none. The stay that goes on there goes by what is new; earlier stays keep what they were.",
    .option = PUT_OPTIONS,
    .option_count = sizeof PUT_OPTIONS / sizeof PUT_OPTIONS[0],
    .example = EDIT_EXAMPLES,
    .example_count = sizeof EDIT_EXAMPLES / sizeof EDIT_EXAMPLES[0],
    .run = run,
};

const lw_command lw_command_places_show = {
    .name = "places show",
    .operands = "PLACE",
    .what = "The sheet of a place: the way in, what is there, room, rules, what is nearby",
    .about =
        "What the book knows of it, and whether your rig fits. How long one may stay over all your stays is in leeway "
        "ledger; the local office's order and the signs win.",
    .option = SHOW_OPTIONS,
    .option_count = sizeof SHOW_OPTIONS / sizeof SHOW_OPTIONS[0],
    .example = SHOW_EXAMPLES,
    .example_count = sizeof SHOW_EXAMPLES / sizeof SHOW_EXAMPLES[0],
    .run = run,
};

const lw_command lw_command_places_forget = {
    .name = "places forget",
    .operands = "PLACE",
    .what = "Take a place out of the book",
    .about = "A place where a stay was remains: the ledger counts it.",
    .option = FORGET_OPTIONS,
    .option_count = sizeof FORGET_OPTIONS / sizeof FORGET_OPTIONS[0],
    .example = FORGET_EXAMPLES,
    .example_count = sizeof FORGET_EXAMPLES / sizeof FORGET_EXAMPLES[0],
    .run = run,
};
