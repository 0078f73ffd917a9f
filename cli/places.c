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
#include "service/camp_sheet.h"
#include "service/opening_now.h"
#include "service/places.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { HELP, KIND, LIMIT, JSON, UNITS, BOOK, NOW, ASCII, SIGNAL, WITHIN };

/* With a wish for signal so many times the rows are looked at. */
enum { LOOKED_AT = 20, LOOKED_AT_MOST = 10000 };

#define SHARED                                                                                                         \
    [HELP] = {"help", 'h', NULL, 0, "this text"},                                                                      \
    [KIND] = {"kind", 'k', "KINDS", 0, LW_SPOT_KINDS_SAID "or several with commas between"},                           \
    [LIMIT] = {"limit", 'n', "N", 0, "so many at most; without it 10"},                                                \
    [JSON] = {"json", 'j', NULL, 0, "as JSON on standard output, in SI units"},                                        \
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it us"}, [BOOK] = LW_KEPT_BOOK_OPTION,          \
    [NOW] = LW_KEPT_NOW_OPTION, [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},                              \
    [SIGNAL] = {"signal", 0, "SHARE", 0, "predicted chance of a work day at least, such as 70 %"}

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
    double within_m, signal_frac;
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
    case SIGNAL:
        return lw_quantity_parse(value, LW_DIM_FRACTION, &o->signal_frac, err) ? lw_err_at(err, "--signal", 0, NULL)
                                                                               : LW_OK;
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
    const lw_place_more *more; /* one a spot */
    const lw_spot *from;       /* NULL: none */
    lw_unit_system units;
    const lw_zone *zone;
    int64_t now_s;
    int has_signal; /* of any */
} listed;

static void say_signal(double frac, char *buf, size_t n)
{
    buf[0] = '\0';
    if (!isnan(frac))
        snprintf(buf, n, "work day ~%.0f %%", 100.0 * frac);
}

static void cell(const void *context, int row, int column, char *buf, size_t n)
{
    const listed *l = context;
    const lw_kept_spot *spot = &l->spots->spot[row];
    char text[LW_PLACE_LINE], way[LW_PLACE_WAY], open[LW_OPENING_SAID], road[LW_ROAD_LINE];
    if (column == 0 && l->from)
        snprintf(buf, n, "%s", lw_place_way_say(*l->from, spot, l->units, way));
    else if (column == 0)
        (void)lw_camp_spot_say((lw_spot){spot->latitude_deg, spot->longitude_deg}, buf, n);
    else if (column == 1)
        snprintf(buf, n, "%s", lw_place_kinds_say(spot->kinds, text));
    else if (column == 2 && l->has_signal)
        say_signal(l->more[row].signal_frac, buf, n);
    else
        snprintf(buf, n, "%s%s%s", lw_place_say(spot, lw_opening_now_say(spot->detail, l->zone, l->now_s, open), text),
                 l->more[row].road.is_known ? "; by " : "", lw_road_near_say(&l->more[row].road, l->units, road));
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
static void put_credits(lw_screen *screen, const lw_kept_spots *spots, const lw_place_more *more)
{
    for (size_t i = 0; i < spots->count; i++) {
        size_t other = 0;
        int is_told = !more[i].road.is_known;
        for (; other < spots->count && !is_told; other++)
            is_told = strcmp(spots->spot[other].source, road_source(&more[i].road)) == 0 ||
                      (other < i && strcmp(road_source(&more[other].road), road_source(&more[i].road)) == 0);
        const lw_kept_road *r = more[i].road.roads.road;
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

static void put_list(const order *o, const lw_kept_spots *spots, const lw_place_more *more, const lw_spot *from,
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
    listed l = {spots, more, from, o->units == LW_UNITS_SI ? LW_UNITS_SI : LW_UNITS_US, zone, o->kept.now_s, 0};
    for (size_t i = 0; i < spots->count; i++)
        l.has_signal |= !isnan(more[i].signal_frac);
    lw_put_table(&screen, &(lw_table){.rows = (int)spots->count,
                                      .columns = l.has_signal ? 4 : 3,
                                      .head = LW_PAINT_PLAIN,
                                      .warm_row = -1,
                                      .context = &l,
                                      .cell = cell});
    lw_put_end(&screen);
    put_credits(&screen, spots, more);
    if (l.has_signal)
        lw_put_wrapped(
            &screen, LW_PAINT_FAINT,
            "Work day: the chance by prediction from masts and published coverage of the book, for your lines.", 0, 2);
}

/* Those with too little signal go out; the rest moves up. */
static void keep_with_signal(const order *o, lw_kept_spots *spots, lw_place_more *more)
{
    size_t kept = 0;
    for (size_t i = 0; i < spots->count; i++) {
        if (kept < o->limit && (isnan(o->signal_frac) || more[i].signal_frac >= o->signal_frac)) {
            const lw_place_more moved = more[i];
            more[i] = more[kept];
            more[kept] = moved;
            spots->spot[kept++] = spots->spot[i];
        }
    }
    spots->count = kept;
}

static size_t rows_wanted(const order *o)
{
    const uint64_t many = isnan(o->signal_frac) ? o->limit : LOOKED_AT * o->limit;
    return (size_t)(many < LOOKED_AT_MOST ? many : LOOKED_AT_MOST);
}

static lw_code answer(lw_book *book, const order *o, lw_sink *sink, lw_err *err)
{
    lw_kept_spots spots = {0};
    lw_spot from = {0.0, 0.0};
    lw_zone *zone = malloc(sizeof *zone);
    lw_code code = zone ? lw_zone_here(book, NULL, o->kept.now_s, zone, err)
                        : lw_fail(err, LW_E_FULL, "no memory for this answer");
    if (!code && o->is_search) {
        code = lw_book_spots_named(book, o->what, o->kinds, rows_wanted(o), &spots, err);
    } else if (!code) {
        code = lw_place_typed(book, o->what, o->kept.now_s, &from, err);
        const lw_spots_near near = {from.latitude_deg, from.longitude_deg, o->within_m, o->kinds, rows_wanted(o)};
        code = code ? code : lw_book_spots_near(book, &near, &spots, err);
    }
    const size_t found = spots.count;
    lw_place_more *more = NULL;
    code = code ? code : lw_place_more_of(book, &spots, o->kept.here_s, &more, err);
    if (!code)
        keep_with_signal(o, &spots, more);
    if (!code && o->wants_json) {
        char *text = lw_places_json(&spots, more, o->is_search ? NULL : &from, zone, o->kept.now_s, LW_VERSION);
        code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
        lw_sink_text(sink, text ? text : "");
        free(text);
    } else if (!code) {
        put_list(o, &spots, more, o->is_search ? NULL : &from, zone, sink);
    }
    lw_place_more_free(more, found);
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
    order o = {.is_search = self == &lw_command_places_search,
               .limit = 10,
               .within_m = 80467.2,
               .signal_frac = (double)NAN,
               .units = -1};
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
