/* leeway signal: will the household's lines carry a work day at a place. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "cli/screen.h"
#include "text/spot_typed.h"
#include "book/household.h"
#include "service/camp_sheet.h"
#include "service/household.h"
#include "service/signal.h"
#include "service/terrain_import.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum {
    HELP,
    TOWERS,
    TERRAIN,
    COVERAGE,
    NETWORK,
    HEIGHT,
    GAIN,
    CABLE,
    DOWN,
    UP,
    ALL,
    JSON,
    UNITS,
    BOOK,
    NOW,
    ASCII,
    RUN
};

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [TOWERS] = {"towers", 't', "FILE", 0,
                "a list of masts in place of the scenario's: the form of open cell lists, .csv or .csv.gz"},
    [TERRAIN] = {"terrain", 0, "FOLDER", 0, "terrain tiles (HGT) in place of the scenario's"},
    [COVERAGE] = {"coverage", 0, "FILE", 0, "published coverage as GeoJSON, in place of the scenario's"},
    [NETWORK] = {"network", 'n', "NAME=CODES", 0,
                 "codes of a line's network in the list of masts, such as Anycell=310-260; may stand several times"},
    [HEIGHT] = {"height", 0, "LENGTH", 0, "of your antenna above the ground; without it 1.5 m, a phone in the hand"},
    [GAIN] = {"gain", 'g', "DB", 0, "of your antenna over an isotropic one, dBi; without it 0"},
    [CABLE] = {"cable", 0, "DB", 0, "lost in its cable, or in the vehicle's walls; without it 0"},
    [DOWN] = {"down", 0, "RATE", 0, "what a work day needs down; without it 5 Mbit/s"},
    [UP] = {"up", 0, "RATE", 0, "and up; without it 1 Mbit/s"},
    [ALL] = {"all", 'a', NULL, 0, "carriers that are none of your lines too"},
    [JSON] = {"json", 'j', NULL, 0, "the whole answer as JSON on standard output, in SI units"},
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it those of the scenario, us for a place"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
    [RUN] = {"run", 0, "SHARE", 1,
             "the nearest spot at which each of your lines carries the work day with so much chance; without it 80 %"},
    [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},
};

static const lw_example EXAMPLES[] = {
    {"leeway signal", "where the book says you are"},
    {"leeway signal camp.yaml", "at the place of a scenario, with the files it names"},
    {"leeway signal \"Juniper Bench\"", "at a place of the book"},
    {"leeway signal 38.2,-111.1 --towers cells.csv.gz --terrain tiles", "at a spot you think of"},
    {"leeway signal --run", "the nearest spot where each line works, for a run"},
    {"leeway signal camp.yaml --height \"6 m\" --gain 9 --cable 2", "what an antenna on a mast would do"},
};

typedef struct order {
    lw_kept_order kept;
    const char *what; /* FILE, PLACE or LAT,LON; NULL: the stay of the book */
    const char *towers, *terrain, *coverage;
    lw_signal_line network[LW_LINES_MOST];
    int network_count;
    double height_m, gain_dbi, cable_db;
    lw_link_rate need;
    double run_frac; /* NaN: no run is asked for */
    int wants_all, wants_json, wants_ascii, units;
} order;

/* ---- the command line ---- */

static lw_code take_number(const char *option, const char *value, double low, double high, double *to, lw_err *err)
{
    if (lw_decimal_parse(value, value + strlen(value), to) && *to >= low && *to <= high)
        return LW_OK;
    return lw_fail(err, LW_E_RANGE, "--%s %s is no number of dB from %s to %s", option,
                   lw_quoted(value, strlen(value)).text, lw_num(low).text, lw_num(high).text);
}

static lw_code take_quantity(const char *option, const char *value, lw_dim dim, double *to, lw_err *err)
{
    const lw_code code = lw_quantity_parse(value, dim, to, err);
    return code ? lw_err_at(err, option, 0, NULL) : LW_OK;
}

static lw_code take_network(order *o, const char *value, lw_err *err)
{
    const char *equals = strrchr(value, '=');
    if (!equals || equals == value || strlen(equals + 1) >= LW_NETWORK || !strchr(equals, '-') ||
        (size_t)(equals - value) >= LW_NAME)
        return lw_fail(err, LW_E_SYNTAX, "--network %s is not of the form NAME=CODES, such as Anycell=310-260",
                       lw_quoted(value, strlen(value)).text);
    if (o->network_count == LW_LINES_MOST)
        return lw_fail(err, LW_E_FULL, "--network: at most %d", LW_LINES_MOST);
    lw_signal_line *line = &o->network[o->network_count++];
    snprintf(line->name, sizeof line->name, "%.*s", (int)(equals - value), value);
    snprintf(line->network, sizeof line->network, "%s", equals + 1);
    return LW_OK;
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case TOWERS:
        o->towers = value;
        return LW_OK;
    case TERRAIN:
        o->terrain = value;
        return LW_OK;
    case COVERAGE:
        o->coverage = value;
        return LW_OK;
    case RUN:
        o->run_frac = 0.8;
        if (value && lw_quantity_parse(value, LW_DIM_FRACTION, &o->run_frac, err))
            return lw_err_at(err, "--run", 0, NULL);
        return o->run_frac > 0.0 && o->run_frac < 1.0
                   ? LW_OK
                   : lw_fail(err, LW_E_RANGE, "--run: a chance between 0 and 100 %%, such as 80 %%");
    case NETWORK:
        return take_network(o, value, err);
    case HEIGHT:
        return take_quantity("--height", value, LW_DIM_LENGTH, &o->height_m, err);
    case GAIN:
        return take_number("gain", value, -20.0, 40.0, &o->gain_dbi, err);
    case CABLE:
        return take_number("cable", value, 0.0, 60.0, &o->cable_db, err);
    case DOWN:
        return take_quantity("--down", value, LW_DIM_DATA_RATE, &o->need.down_mbit, err);
    case UP:
        return take_quantity("--up", value, LW_DIM_DATA_RATE, &o->need.up_mbit, err);
    case UNITS:
        return lw_args_units(value, &o->units, err);
    case BOOK:
        o->kept.book = value;
        return LW_OK;
    case NOW:
        return lw_kept_now(value, &o->kept, err);
    default:
        o->wants_all |= option == ALL;
        o->wants_json |= option == JSON;
        o->wants_ascii |= option == ASCII;
    }
    return LW_OK;
}

static int is_file(const char *name)
{
    struct stat st;
    const size_t n = strlen(name);
    return strchr(name, '/') || stat(name, &st) == 0 || (n > 5 && strcmp(name + n - 5, ".yaml") == 0) ||
           (n > 4 && strcmp(name + n - 4, ".yml") == 0) || (n > 5 && strcmp(name + n - 5, ".json") == 0);
}

/* ---- which place ---- */

/* What the question stands on until it is answered. */
typedef struct found {
    lw_signal_ask ask;
    lw_loaded file;       /* of a FILE */
    lw_household home;    /* of the book */
    lw_kept_places place; /* by its name */
    lw_book *book;
    lw_unit_system units;
    char terrain[LW_TERRAIN_PATH]; /* the folder beside the book */
} found;

static lw_code open_book(const order *o, found *f, lw_err *err)
{
    return lw_kept_open_for(&o->kept, 1, &f->book, err);
}

static lw_code find_by_name(const order *o, found *f, lw_err *err)
{
    lw_code code = open_book(o, f, err);
    code = code ? code : lw_book_list_places(f->book, &(lw_kept_key){.name = o->what}, &f->place, err);
    if (!code && f->place.count == 0)
        code = lw_fail(err, LW_E_MISSING, "the book has no place %s; name one, a FILE, or a spot such as 38.2,-111.1",
                       lw_quoted(o->what, strlen(o->what)).text);
    if (code)
        return code;
    const lw_kept_place *place = &f->place.place[0];
    lw_err own = {0};
    if (!lw_household_load(f->book, o->kept.now_s, 0, &f->home,
                           &own)) { /* its lines and files, where there is a stay */
        lw_signal_ask_of(&f->home.loaded, &f->ask);
        f->units = f->home.loaded.units;
    }
    snprintf(f->ask.name, sizeof f->ask.name, "%s", place->name);
    f->ask.spot = (lw_spot){place->latitude_deg, place->longitude_deg};
    return LW_OK;
}

static lw_code find_in_file(const order *o, found *f, lw_err *err)
{
    const lw_code code = lw_scenario_load(&(lw_scenario_from){.path = o->what, .now_s = o->kept.now_s}, &f->file, err);
    if (code)
        return code;
    lw_signal_ask_of(&f->file, &f->ask);
    f->units = f->file.units;
    return o->kept.book ? open_book(o, f, err) : LW_OK;
}

static lw_code find_here(const order *o, found *f, lw_err *err)
{
    lw_code code = open_book(o, f, err);
    code = code ? code : lw_household_load(f->book, o->kept.now_s, 0, &f->home, err);
    if (code)
        return code;
    lw_signal_ask_of(&f->home.loaded, &f->ask);
    f->units = f->home.loaded.units;
    return LW_OK;
}

static lw_code find_place(const order *o, found *f, lw_err *err)
{
    if (!o->what)
        return find_here(o, f, err);
    if (lw_spot_typed(o->what, &f->ask.spot)) {
        lw_err own = {0};
        snprintf(f->ask.name, sizeof f->ask.name, "%s", o->what);
        if (o->kept.book)
            return open_book(o, f, err);
        (void)open_book(o, f, &own); /* the user's own helps where there is one */
        return LW_OK;
    }
    return is_file(o->what) ? find_in_file(o, f, err) : find_by_name(o, f, err);
}

/* What was typed goes before what the scenario says. */
static void lay_over(const order *o, found *f)
{
    lw_signal_ask *ask = &f->ask;
    ask->towers = o->towers ? o->towers : ask->towers;
    ask->terrain = o->terrain ? o->terrain : ask->terrain;
    if ((!ask->terrain || !ask->terrain[0]) && f->book && lw_terrain_folder(lw_book_path(f->book), f->terrain)) {
        ask->terrain = f->terrain;
        ask->is_own_terrain = 1;
    }
    ask->book = f->book;
    ask->coverage = o->coverage ? o->coverage : ask->coverage;
    ask->antenna_m = o->height_m;
    ask->gain_dbi = o->gain_dbi;
    ask->cable_db = o->cable_db;
    ask->need = o->need;
    for (int i = 0; i < o->network_count; i++) {
        int at = 0;
        while (at < ask->line_count && strcmp(ask->line[at].name, o->network[i].name) != 0)
            at++;
        if (at < LW_LINES_MOST)
            ask->line[at] = o->network[i];
        ask->line_count = at >= ask->line_count && at < LW_LINES_MOST ? at + 1 : ask->line_count;
    }
}

static void clear(found *f)
{
    lw_signal_ask_clear(&f->ask);
    lw_loaded_clear(&f->file);
    lw_household_clear(&f->home);
    lw_kept_places_clear(&f->place);
    lw_book_close(f->book);
}

/* ---- the report ---- */

static void put_evidence(lw_screen *screen, const char *what, const char *text)
{
    enum { INDENT = 4, WORDS = 11 };
    lw_put_blank(screen, INDENT);
    lw_put_padded(screen, LW_PAINT_FAINT, what, WORDS, 0);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, text, INDENT + WORDS, INDENT + WORDS);
}

static void put_carrier(lw_screen *screen, const lw_signal_answer *a, const lw_carrier_signal *c, lw_unit_system units)
{
    char text[LW_SIGNAL_TEXT], head[2 * LW_CELL];
    snprintf(head, sizeof head, "%s%s%s%s%s", c->name, c->network[0] && strcmp(c->name, c->network) != 0 ? " (" : "",
             strcmp(c->name, c->network) != 0 ? c->network : "",
             c->network[0] && strcmp(c->name, c->network) != 0 ? ")" : "",
             c->is_line || !a->ask.line_count ? "" : ", no line of yours");
    lw_put_end(screen);
    lw_put_blank(screen, 2);
    lw_put_wrapped(screen, LW_PAINT_STRONG, head, 2, 4);
    put_evidence(screen, "measured", lw_signal_say_own(c, units, text));
    put_evidence(screen, "published", lw_signal_say_published(a, c, text));
    put_evidence(screen, "predicted", lw_signal_say_predicted(a, c, units, text));
    put_evidence(screen, "together", lw_signal_say_together(c, text));
}

static void put_heading(lw_screen *screen, const lw_signal_answer *a, lw_unit_system units)
{
    char text[2 * LW_SIGNAL_TEXT], down[LW_QUANTITY_BYTES], up[LW_QUANTITY_BYTES], height[LW_QUANTITY_BYTES],
        head[LW_SIGNAL_TEXT];
    const lw_signal_ask *ask = &a->ask;
    lw_put_wrapped(screen, LW_PAINT_STRONG, lw_signal_headline(a, head), 0, 0);
    snprintf(text, sizeof text, "At %s. A work day needs %s down and %s up; your antenna is %s up and has %s dBi%s.",
             ask->name, lw_quantity_print(down, sizeof down, ask->need.down_mbit, LW_DIM_DATA_RATE, units),
             lw_quantity_print(up, sizeof up, ask->need.up_mbit, LW_DIM_DATA_RATE, units),
             lw_quantity_print(height, sizeof height, ask->antenna_m, LW_DIM_LENGTH, units),
             lw_num(ask->gain_dbi - ask->cable_db).text, ask->cable_db > 0.0 ? " behind its cable" : "");
    lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 0, 0);
}

static void put_report(const order *o, const lw_signal_answer *a, lw_unit_system units, lw_sink *sink)
{
    lw_screen screen;
    char text[LW_SIGNAL_TEXT];
    int hidden = 0;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    put_heading(&screen, a, units);
    for (int i = 0; i < a->carrier_count; i++)
        if (a->carrier[i].is_line || !a->ask.line_count || o->wants_all)
            put_carrier(&screen, a, &a->carrier[i], units);
        else
            hidden++;
    if (hidden) {
        snprintf(text, sizeof text, "%d more %s none of your lines: --all shows %s.", hidden,
                 hidden == 1 ? "carrier is" : "carriers are", hidden == 1 ? "it" : "them");
        lw_put_end(&screen);
        lw_put_blank(&screen, 2);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, text, 2, 4);
    }
    if (!isnan(a->sky_frac)) {
        char share[LW_DECIMAL_BYTES];
        lw_decimal_print(share, sizeof share, 100.0 * a->sky_frac, 0, 0);
        snprintf(text, sizeof text,
                 "A dish that looks at the sky has %s %% of it above 25 deg free of land; trees apart.", share);
        lw_put_end(&screen);
        lw_put_blank(&screen, 2);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, text, 2, 4);
    }
    if (a->note_count)
        lw_put_title(&screen, "What it stands on");
    for (int i = 0; i < a->note_count; i++) {
        lw_put_blank(&screen, 2);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, a->note[i], 2, 4);
    }
}

static lw_code put_answer(const order *o, const lw_signal_answer *a, lw_unit_system units, lw_sink *sink, lw_err *err)
{
    if (!o->wants_json) {
        put_report(o, a, units, sink);
        return LW_OK;
    }
    char *text = lw_signal_json(a, LW_VERSION);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for this answer");
    lw_sink_text(sink, text);
    free(text);
    return LW_OK;
}

static void put_run(const order *o, const lw_signal_reach *r, const lw_road *road, lw_unit_system units, lw_sink *sink)
{
    static const char *const WINDS[] = {"N", "NE", "E", "SE", "S", "SW", "W", "NW"};
    lw_screen screen;
    char text[600], way[LW_QUANTITY_BYTES], drive[LW_ROADS_SAY], share[LW_DECIMAL_BYTES], spot[64];
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    if (!r->count)
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, "No line is known: name it in rig.data, or by --network.", 0, 0);
    for (int i = 0; i < r->count; i++) {
        const lw_signal_spot *s = &r->spot[i];
        lw_decimal_print(share, sizeof share, s->frac, 2, 1);
        if (!s->is_found)
            snprintf(text, sizeof text, "%s: nowhere within 35 km, as far as masts, terrain and your own tries tell.",
                     s->name);
        else if (!(s->way_m > 0.0))
            snprintf(text, sizeof text, "%s: no run is needed; the chance of a work day at the place itself: %s.",
                     s->name, share);
        else
            snprintf(text, sizeof text, "%s: a run to %s, %s %s by air; by road %s. %s %s.", s->name,
                     lw_camp_spot_say(s->spot, spot, sizeof spot),
                     lw_quantity_print(way, sizeof way, s->way_m, LW_DIM_LENGTH, units),
                     WINDS[(int)floor(s->toward_deg / 45.0 + 0.5) % 8], lw_road_say(&road[i], units, drive),
                     s->is_own ? "It worked there before; the chance that it does again:"
                               : "The chance of a work day there:",
                     share);
        lw_put_wrapped(&screen, LW_PAINT_PLAIN, text, 0, 2);
    }
    if (!r->has_terrain && r->tower_count)
        lw_put_wrapped(&screen, LW_PAINT_FAINT, "No terrain is named: hills may stand in the way.", 0, 2);
    lw_put_wrapped(&screen, LW_PAINT_FAINT,
                   "Whether a road goes there and one may stop, look at the map; measure before you rely on it.", 0, 2);
}

static lw_code answer_run(const order *o, found *f, lw_sink *sink, lw_err *err)
{
    lw_signal_reach *r = calloc(1, sizeof *r);
    lw_road *road = calloc(LW_CARRIERS, sizeof *road);
    lw_code code = r && road ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
    if (r && road) {
        code = lw_signal_reach_make(&f->ask, o->run_frac, r, err);
        code = code ? code : lw_signal_roads(f->book, o->kept.here_s, r, road, err);
        if (!code && o->wants_json) {
            char *text = lw_signal_reach_json(r, road, LW_VERSION);
            code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
            lw_sink_text(sink, text ? text : "");
            free(text);
        } else if (!code)
            put_run(o, r, road, o->units >= 0 ? (lw_unit_system)o->units : f->units, sink);
    }
    free(r);
    free(road);
    return code;
}

static lw_code answer(const order *o, lw_sink *sink, lw_err *err)
{
    found *f = calloc(1, sizeof *f);
    lw_signal_answer *a = calloc(1, sizeof *a);
    lw_code code = f && a ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
    if (f && a) {
        code = find_place(o, f, err);
        if (!code && f->book)
            code = lw_signal_own(f->book, o->kept.now_s, &f->ask, err);
        lay_over(o, f);
        if (!code && !isnan(o->run_frac)) {
            code = answer_run(o, f, sink, err);
            clear(f);
            free(a);
            free(f);
            return code;
        }
        code = code ? code : lw_signal_make(&f->ask, a, err);
        code = code ? code : put_answer(o, a, o->units >= 0 ? (lw_unit_system)o->units : f->units, sink, err);
        clear(f);
    }
    free(a);
    free(f);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    order o = {.height_m = 1.5, .need = {5.0, 1.0}, .units = -1, .run_frac = (double)NAN};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD)
        return lw_refuse(&err);
    o.what = lw_args_operand(&args, 0);
    if (lw_args_operand_count(&args) > 1) {
        (void)lw_fail(&err, LW_E_SYNTAX, "signal takes one PLACE or FILE; a place with blanks needs quotes");
        return lw_refuse(&err);
    }
    if (lw_kept_open_order(&o.kept, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    if (answer(&o, &sink, &err))
        return lw_refuse(&err);
    return lw_out_close(&sink);
}

const lw_command lw_command_signal = {
    .name = "signal",
    .operands = "[PLACE|FILE]",
    .what = "Whether your lines carry a work day at a place, as a chance",
    .about =
        "For each carrier three kinds of evidence apart and together: what you measured yourself here and near "
        "(leeway log signal), what published coverage claims, and what a list of masts gives over the terrain by "
        "ITU-R P.1812. Each has its error: a prediction alone is 12 dB off, a claim is weak, a reading of your own "
        "at the place wins.\n\n"
        "Without an operand it is about the stay that the book follows; else a scenario FILE, the name of a place "
        "of the book, or LAT,LON. What a scenario names (place.terrain, place.towers, place.coverage, network of a "
        "line in rig.data) is used; options go before it. Nothing is downloaded.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
