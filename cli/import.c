/* leeway import: places and services from map files into the book. */
#include <stdio.h>
#include <string.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "service/places.h"
#include "text/say.h"

enum { HELP, SOURCE, CREDIT, BOOK, NOW };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [SOURCE] = {"source", 's', "NAME", 0,
                "name of the source; without it the file's own. The same source again updates its rows"},
    [CREDIT] = {"credit", 'c', "TEXT", 0, "whose data it is and under which licence; shown with every row"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [NOW] = LW_KEPT_NOW_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway import services.geojson", "from a map program"},
    {"leeway import friends.gpx --source \"Ada's spots\"", "waypoints of a friend"},
    {"leeway import mine.csv --credit \"own notes\"", "a table with lat, lon, name, kind"},
};

typedef struct order {
    lw_kept_order kept;
    const char *source, *credit;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    if (option == NOW)
        return lw_kept_now(value, &o->kept, err);
    o->source = option == SOURCE ? value : o->source;
    o->credit = option == CREDIT ? value : o->credit;
    o->kept.book = option == BOOK ? value : o->kept.book;
    return LW_OK;
}

static lw_code import_file(lw_book *book, const order *o, const char *path, lw_sink *sink, lw_err *err)
{
    lw_places_imported done;
    const lw_places_import_ask ask = {path, o->source, o->credit, o->kept.now_s};
    const lw_code code = lw_places_import(book, &ask, &done, err);
    if (code)
        return code;
    lw_sink_print(sink, "%s: %lld new, %lld updated, %lld gone; %ld without a kind or a name passed over.\n", path,
                  (long long)done.book.added, (long long)done.book.updated, (long long)done.book.removed,
                  done.passed_over);
    if (done.is_openstreetmap && !o->credit)
        lw_sink_text(sink, "Its rows are of OpenStreetMap: its credit is kept with them and shown.\n");
    return LW_OK;
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
        (void)lw_fail(&err, LW_E_MISSING, "import needs a FILE: GeoJSON, GPX or CSV");
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
    .what = "Take places and services from map files into the book",
    .about =
        "GeoJSON (points, and polygons by their middle), GPX (waypoints) and CSV (lat, lon, name, kind), plain or "
        "gzipped. "
        "Kinds are camp, dump, water, propane, fuel, rubbish, groceries, laundry, rest and place, or come from the "
        "tags "
        "that OpenStreetMap uses. A file goes in whole or not at all; the same source again updates its rows and takes "
        "out "
        "those that are gone.\n\n"
        "leeway places near and leeway places search find them. They are not part of leeway book export: the files are "
        "the originals.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
