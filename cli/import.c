/* leeway import: places and services from map files into the book. */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "service/map_import.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

enum { HELP, SOURCE, CREDIT, AS, LAYER, BOOK, NOW };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [SOURCE] = {"source", 's', "NAME", 0,
                "name of the source; without it the file's own. The same source again updates its rows"},
    [CREDIT] = {"credit", 'c', "TEXT", 0, "whose data it is and under which licence; shown with every row"},
    [AS] = {"as", 'a', "KIND", 0,
            "what the map is of: places, roads, land, terrain, coverage or masts; without it that shows"},
    [LAYER] = {"layer", 'l', "NAME", 0, "of a file with several, which one (through ogr2ogr)"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway import nevada.osm.pbf", "what an extract of OpenStreetMap has for campers"},
    {"leeway import services.geojson", "from a map program"},
    {"leeway import PADUS4.gpkg --credit \"USGS, PAD-US 4\"", "who manages which land"},
    {"leeway import friends.gpx --source \"Ada's spots\"", "waypoints of a friend"},
    {"leeway import mine.csv --credit \"own notes\"", "a table with lat, lon, name, kind"},
};

typedef struct order {
    lw_kept_order kept;
    const char *source, *credit, *layer;
    lw_map_kind kind;
} order;

static lw_code take_kind(const char *value, lw_map_kind *kind, lw_err *err)
{
#define WORD(id, word) word,
    static const char *const WORDS[] = {LW_MAP_KINDS(WORD)};
#undef WORD
    for (int k = LW_MAP_PLACES; k < LW_MAP_KIND_COUNT; k++)
        if (strcmp(value, WORDS[k]) == 0) {
            *kind = (lw_map_kind)k;
            return LW_OK;
        }
    return lw_fail(err, LW_E_SYNTAX, "--as %s: places, roads, land, terrain, coverage or masts",
                   lw_quoted(value, strlen(value)).text);
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    if (option == NOW)
        return lw_kept_now(value, &o->kept, err);
    if (option == AS)
        return take_kind(value, &o->kind, err);
    o->layer = option == LAYER ? value : o->layer;
    o->source = option == SOURCE ? value : o->source;
    o->credit = option == CREDIT ? value : o->credit;
    o->kept.book = option == BOOK ? value : o->kept.book;
    return LW_OK;
}

/* On a terminal, once the wait is over a second. */
typedef struct waiting {
    time_t began_s;
    int is_on_screen, is_told, percent;
} waiting;

static void tell(void *with, int rounds, double share)
{
    waiting *w = with;
    const int percent = isnan(share) ? 0 : (int)(100.0 * share);
    if (!w->is_on_screen || time(NULL) - w->began_s < 2 || (w->is_told && percent == w->percent))
        return;
    fprintf(stderr, rounds ? "\rread %d %%, time %d  " : "\rread %d %%  ", percent, rounds + 1);
    w->percent = percent;
    w->is_told = 1;
}

static void say_land(const lw_map_done *done, lw_sink *sink)
{
    lw_sink_print(sink, "; areas of land, rows without an area passed over: %ld.\n", done->areas.passed_over);
    if (done->areas.unknown)
        lw_sink_print(sink, "Of %ld the manager is not known by its name: it is shown as the map has it.\n",
                      done->areas.unknown);
}

static void say_roads(const lw_road_lines_read *roads, lw_sink *sink)
{
    if (roads->left_out)
        lw_sink_print(
            sink,
            "%ld roads are left out, streets and tracks first: there are too many; cut the extract to the region "
            "of your trip.\n",
            roads->left_out);
}

static void say_places(const lw_map_done *done, lw_sink *sink)
{
    char date[40];
    lw_sink_print(sink, "; %ld without a kind or a name passed over.\n", done->spots.passed_over);
    if (done->roads.taken)
        lw_sink_print(sink, "Roads: %lld new, %lld updated, %lld gone.\n", (long long)done->road_book.added,
                      (long long)done->road_book.updated, (long long)done->road_book.removed);
    say_roads(&done->roads, sink);
    if (done->spots.without_corners)
        lw_sink_print(sink, "Areas left out, since the file has none of their corners: %ld.\n",
                      done->spots.without_corners);
    if (done->spots.data_s != LW_SPOTS_NO_DATE)
        lw_sink_print(sink, "The data is of %.10s.\n",
                      lw_instant_print(date, sizeof date, (double)done->spots.data_s, 0));
}

static void say_terrain(const char *path, const lw_terrain_done *t, lw_sink *sink)
{
    lw_sink_print(sink, "%s: %d tile%s of %d x %d heights, %s to %s m, %.0f %% not known, in %s.\n", path, t->tiles,
                  t->tiles == 1 ? "" : "s", t->side, t->side, lw_num(t->lowest_m).text, lw_num(t->highest_m).text,
                  100.0 * t->unknown_frac, t->folder);
}

static void say_done(const order *o, const char *path, const lw_map_done *done, lw_sink *sink)
{
    if (done->kind == LW_MAP_TERRAIN) {
        say_terrain(path, &done->terrain, sink);
        return;
    }
    lw_sink_print(sink, "%s: %lld new, %lld updated, %lld gone", path, (long long)done->book.added,
                  (long long)done->book.updated, (long long)done->book.removed);
    if (done->kind == LW_MAP_COVERAGE)
        lw_sink_print(sink, "; areas of coverage, rows without one passed over: %ld.\n", done->passed_over);
    else if (done->kind == LW_MAP_ROADS) {
        lw_sink_print(sink, "; roads, rows without one passed over: %ld.\n", done->roads.passed_over);
        say_roads(&done->roads, sink);
    } else if (done->kind == LW_MAP_MASTS)
        lw_sink_print(sink, "; cells of LTE and NR, %ld of other radios passed over.\n", done->passed_over);
    else
        (done->kind == LW_MAP_LAND ? say_land : say_places)(done, sink);
    if (done->is_openstreetmap && !o->credit)
        lw_sink_text(sink, "Its rows are of OpenStreetMap: its credit is kept with them and shown.\n");
}

static lw_code import_file(lw_book *book, const order *o, const char *path, lw_sink *sink, lw_err *err)
{
    lw_map_done done;
    waiting wait = {.began_s = time(NULL), .is_on_screen = isatty(STDERR_FILENO)};
    const lw_watch watch = {tell, &wait};
    const lw_map_ask ask = {.path = path,
                            .source = o->source,
                            .credit = o->credit,
                            .layer = o->layer,
                            .kind = o->kind,
                            .now_s = o->kept.now_s,
                            .watch = &watch};
    const lw_code code = lw_map_import(book, &ask, &done, err);
    if (wait.is_told)
        fputs("\r\033[K", stderr);
    if (!code)
        say_done(o, path, &done, sink);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    lw_book *book = NULL;
    order o = {.source = NULL};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    const int count = taken == LW_ARGS_BAD ? 0 : lw_args_operand_count(&args);
    if (taken != LW_ARGS_BAD && count == 0)
        (void)lw_fail(&err, LW_E_MISSING,
                      "import needs a FILE: OpenStreetMap (.osm, .osm.pbf), GeoJSON, KML, GPX or CSV");
    else if (taken != LW_ARGS_BAD && o.source && count > 1)
        (void)lw_fail(&err, LW_E_CONFLICT, "--source names one FILE; import them one by one");
    if (err.code || lw_kept_open_order(&o.kept, &err) || lw_kept_open(&o.kept, LW_BOOK_CREATE, &book, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    lw_code code = LW_OK;
    for (int i = 0; i < count && !code; i++)
        code = import_file(book, &o, lw_args_operand(&args, i), &sink, &err);
    lw_book_close(book);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_import = {
    .name = "import",
    .operands = "FILE...",
    .what = "Take places, roads, land, terrain, coverage and masts from map files into the book",
    .about =
        "Extracts of OpenStreetMap (.osm.pbf, .osm, .osm.gz), GeoJSON, KML, KMZ, GPX (waypoints) and CSV (lat, lon, "
        "name, "
        "kind); all but PBF may be gzipped. An area stands for its middle. "
        "Kinds are " LW_SPOT_KINDS_SAID
        "or come from the tags that OpenStreetMap uses. A file goes in whole or not at all; the "
        "same source again updates its rows and takes "
        "out "
        "those that are gone.\n\n"
        "Roads come from an extract of OpenStreetMap beside its places (--as places or --as roads: one of them), and "
        "from "
        "GeoJSON and GeoPackage whose first geometry is a line or whose fields tell of roads; with surface, clearance, "
        "grade, season and "
        "access as the map has them. Streets of towns are left out, but for those that are not paved.\n\n"
        "A map whose fields name who manages land is one of land: GeoJSON and GeoPackage in longitude and latitude, "
        "shapefiles and other forms where ogr2ogr is installed (Debian: gdal-bin). leeway places at tells of it. "
        "Published mobile coverage (GeoJSON, and other forms through ogr2ogr) and lists of "
        "cells (CSV) are what leeway signal looks at where nothing else is named, and so is terrain: HGT tiles, and "
        "GeoTIFF and other maps of heights through GDAL, go into the folder terrain beside the book.\n\n"
        "leeway places near and leeway places search find places. They are not part of leeway book export: the files "
        "are "
        "the originals.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
