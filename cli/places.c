/* leeway places near, leeway places search: what map files brought into the book. */
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
#include "cli/place_typed.h"
#include "cli/screen.h"
#include "exchange/spots.h"
#include "service/opening_now.h"
#include "service/places.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { HELP, KIND, LIMIT, JSON, UNITS, BOOK, NOW, ASCII, WITHIN };

#define SHARED                                                                                                         \
    [HELP] = {"help", 'h', NULL, 0, "this text"},                                                                      \
    [KIND] = {"kind", 'k', "KINDS", 0, LW_SPOT_KINDS_SAID "or several with commas between"},                           \
    [LIMIT] = {"limit", 'n', "N", 0, "so many at most; without it 10"},                                                \
    [JSON] = {"json", 'j', NULL, 0, "as JSON on standard output, in SI units"},                                        \
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it us"}, [BOOK] = LW_KEPT_BOOK_OPTION,          \
    [NOW] = LW_KEPT_NOW_OPTION, [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"}

static const lw_option NEAR_OPTIONS[] = {SHARED, [WITHIN] = {"within", 'w', "LENGTH", 0, "by air; without it 50 mi"}};
static const lw_option SEARCH_OPTIONS[] = {SHARED};

static const lw_example NEAR_EXAMPLES[] = {
    {"leeway places near --kind dump", "from where the book says you are"},
    {"leeway places near 38.2,-111.1 --kind dump,water --within 30mi", "from a spot"},
    {"leeway places near \"Juniper Bench\" --kind propane --limit 3", "from a place of the book"},
};
static const lw_example SEARCH_EXAMPLES[] = {
    {"leeway places search larkspur", "whatever has it in its name"},
    {"leeway places search fork --kind camp --json", "camps only, as JSON"},
};

typedef struct order {
    lw_kept_order kept;
    const char *what;
    int is_search, wants_json, wants_ascii, units;
    unsigned kinds;
    uint64_t limit;
    double within_m;
} order;

/* ---- the command line ---- */

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case KIND:
        o->kinds |= lw_spot_kinds_of(value);
        return lw_spot_kinds_of(value)
                   ? LW_OK
                   : lw_fail(err, LW_E_SYNTAX, "--kind %s: " LW_SPOT_KINDS_SAID "and no others are kinds",
                             lw_quoted(value, strlen(value)).text);
    case LIMIT:
        return lw_args_whole("limit", value, 1, 10000, &o->limit, err);
    case UNITS:
        return lw_args_units(value, &o->units, err);
    case WITHIN:
        if (lw_quantity_parse(value, LW_DIM_LENGTH, &o->within_m, err))
            return lw_err_at(err, "--within", 0, NULL);
        return o->within_m > 0.0 && o->within_m <= 2e6 ? LW_OK
                                                       : lw_fail(err, LW_E_RANGE, "--within: a way up to 2000 km fits");
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

/* ---- the list ---- */

typedef struct listed {
    const lw_kept_spots *spots;
    const lw_road_near *road; /* one a spot */
    const lw_spot *from;      /* NULL: none */
    lw_unit_system units;
    const lw_zone *zone;
    int64_t now_s;
} listed;

static void cell(const void *context, int row, int column, char *buf, size_t n)
{
    const listed *l = context;
    const lw_kept_spot *spot = &l->spots->spot[row];
    char text[LW_PLACE_LINE], way[LW_QUANTITY_BYTES], open[LW_OPENING_SAID], road[LW_ROAD_LINE];
    if (column == 0 && l->from)
        snprintf(buf, n, "%s %s", lw_quantity_print(way, sizeof way, spot->way_m, LW_DIM_LENGTH, l->units),
                 lw_place_toward(*l->from, spot));
    else if (column == 0)
        snprintf(buf, n, "%s, %s", lw_num(spot->latitude_deg).text, lw_num(spot->longitude_deg).text);
    else if (column == 1)
        snprintf(buf, n, "%s", lw_place_kinds_say(spot->kinds, text));
    else
        snprintf(buf, n, "%s%s%s", lw_place_say(spot, lw_opening_now_say(spot->detail, l->zone, l->now_s, open), text),
                 l->road[row].is_known ? "; by " : "", lw_road_near_say(&l->road[row], l->units, road));
}

static void put_credit(lw_screen *screen, const char *source, const char *credit, int64_t imported_s, int64_t data_s)
{
    char text[LW_CREDIT_LINE];
    lw_put_wrapped(screen, LW_PAINT_FAINT, lw_credit_say(source, credit, imported_s, data_s, text), 0, 2);
}

static const char *road_source(const lw_road_near *road)
{
    return road->is_known ? road->roads.road->source : "";
}

/* Each source once, with its credit; those of roads that are no source of a place. */
static void put_credits(lw_screen *screen, const lw_kept_spots *spots, const lw_road_near *road)
{
    for (size_t i = 0; i < spots->count; i++) {
        size_t other = 0;
        int is_told = !road[i].is_known;
        for (; other < spots->count && !is_told; other++)
            is_told = strcmp(spots->spot[other].source, road_source(&road[i])) == 0 ||
                      (other < i && strcmp(road_source(&road[other]), road_source(&road[i])) == 0);
        const lw_kept_road *r = road[i].roads.road;
        if (!is_told)
            put_credit(screen, r->source, r->credit, r->imported_s, r->data_s);
    }
    for (size_t i = 0; i < spots->count; i++) {
        size_t before = 0;
        while (before < i && strcmp(spots->spot[before].source, spots->spot[i].source) != 0)
            before++;
        if (before < i)
            continue;
        const lw_kept_spot *s = &spots->spot[i];
        put_credit(screen, s->source, s->credit, s->imported_s, s->data_s);
    }
}

static void put_list(const order *o, const lw_kept_spots *spots, const lw_road_near *road, const lw_spot *from,
                     const lw_zone *zone, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    if (spots->count == 0) {
        lw_put_wrapped(
            &screen, LW_PAINT_PLAIN,
            from ? "Nothing of this is known so near; leeway import brings in map files, --within looks farther."
                 : "Nothing of this name is known; leeway import brings in map files.",
            0, 0);
        return;
    }
    const listed l = {spots, road, from, o->units == LW_UNITS_SI ? LW_UNITS_SI : LW_UNITS_US, zone, o->kept.now_s};
    lw_put_table(&screen, &(lw_table){.rows = (int)spots->count,
                                      .columns = 3,
                                      .head = LW_PAINT_PLAIN,
                                      .warm_row = -1,
                                      .context = &l,
                                      .cell = cell});
    lw_put_end(&screen);
    put_credits(&screen, spots, road);
}

static lw_code find_roads(lw_book *book, const lw_kept_spots *spots, lw_road_near *road, lw_err *err)
{
    lw_code code = road ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
    for (size_t i = 0; i < spots->count && !code; i++) {
        const lw_kept_spot *spot = &spots->spot[i];
        code = lw_road_near_of(book, (lw_spot){spot->latitude_deg, spot->longitude_deg}, &road[i], err);
    }
    return code;
}

static void free_roads(lw_road_near *road, size_t count)
{
    for (size_t i = 0; road && i < count; i++)
        lw_road_near_clear(&road[i]);
    free(road);
}

static lw_code answer(lw_book *book, const order *o, lw_sink *sink, lw_err *err)
{
    lw_kept_spots spots = {0};
    lw_spot from = {0.0, 0.0};
    lw_zone *zone = malloc(sizeof *zone);
    lw_code code = zone ? lw_zone_here(book, NULL, o->kept.now_s, zone, err)
                        : lw_fail(err, LW_E_FULL, "no memory for this answer");
    if (!code && o->is_search) {
        code = lw_book_spots_named(book, o->what, o->kinds, (size_t)o->limit, &spots, err);
    } else if (!code) {
        code = lw_place_typed(book, o->what, o->kept.now_s, &from, err);
        const lw_spots_near near = {from.latitude_deg, from.longitude_deg, o->within_m, o->kinds, (size_t)o->limit};
        code = code ? code : lw_book_spots_near(book, &near, &spots, err);
    }
    lw_road_near *road = calloc(spots.count + 1, sizeof *road);
    code = code ? code : find_roads(book, &spots, road, err);
    if (!code && o->wants_json) {
        char *text = lw_places_json(&spots, road, o->is_search ? NULL : &from, zone, o->kept.now_s, LW_VERSION);
        code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
        lw_sink_text(sink, text ? text : "");
        free(text);
    } else if (!code) {
        put_list(o, &spots, road, o->is_search ? NULL : &from, zone, sink);
    }
    free_roads(road, spots.count);
    lw_kept_spots_clear(&spots);
    free(zone);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    lw_book *book = NULL;
    order o = {.is_search = self == &lw_command_places_search, .limit = 10, .within_m = 80467.2, .units = -1};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken != LW_ARGS_BAD) {
        o.what = lw_args_operand(&args, 0);
        if (lw_args_operand_count(&args) > 1)
            (void)lw_fail(&err, LW_E_SYNTAX, "%s takes one %s; one with blanks needs quotes", self->name,
                          o.is_search ? "TEXT" : "PLACE");
        else if (o.is_search && !o.what)
            (void)lw_fail(&err, LW_E_MISSING, "say what is in the name, such as leeway places search larkspur");
    }
    if (err.code || lw_kept_open_order(&o.kept, &err) || lw_kept_open(&o.kept, LW_BOOK_WRITE, &book, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code = answer(book, &o, &sink, &err);
    lw_book_close(book);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_places_near = {
    .name = "places near",
    .operands = "[PLACE]",
    .what = "Places and services near a spot, nearest first",
    .about =
        "From the stay that the book follows, a place of the book, or LAT,LON. Distances are by air; whose data it is "
        "stands below. What is open, paid or closed is as the map file says: look before you drive.",
    .option = NEAR_OPTIONS,
    .option_count = sizeof NEAR_OPTIONS / sizeof NEAR_OPTIONS[0],
    .example = NEAR_EXAMPLES,
    .example_count = sizeof NEAR_EXAMPLES / sizeof NEAR_EXAMPLES[0],
    .run = run,
};

const lw_command lw_command_places_search = {
    .name = "places search",
    .operands = "TEXT",
    .what = "Places and services by what is in their name",
    .about = "Upper and lower case are alike. What map files brought into the book (leeway import) is looked through.",
    .option = SEARCH_OPTIONS,
    .option_count = sizeof SEARCH_OPTIONS / sizeof SEARCH_OPTIONS[0],
    .example = SEARCH_EXAMPLES,
    .example_count = sizeof SEARCH_EXAMPLES / sizeof SEARCH_EXAMPLES[0],
    .run = run,
};
