/* leeway places list, rank, compare: which of the household's places fit, and what a stay there is expected to be. */
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
#include "cli/stoppable.h"
#include "exchange/spots.h"
#include "service/camp_sheet.h"
#include "service/household.h"
#include "service/ledger.h"
#include "service/rank.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

enum {
    HELP,
    JSON,
    UNITS,
    BOOK,
    NOW,
    ASCII,
    FROM,
    UNTIL,
    NEAR,
    DRAWS,
    SEED,
    LIMIT,
    MANAGER,
    WITHIN,
    DRIVE,
    SUPPLY,
    NIGHT,
    SIGNAL,
    ANY_SIZE,
    LENGTH,
    BEST
};

#define SHARED                                                                                                         \
    [HELP] = {"help", 'h', NULL, 0, "this text"},                                                                      \
    [JSON] = {"json", 'j', NULL, 0, "as JSON on standard output, in SI units"},                                        \
    [UNITS] = {"units", 'u', "us|si", 0, "units of the answer; without it us"}, [BOOK] = LW_KEPT_BOOK_OPTION,          \
    [NOW] = LW_KEPT_NOW_OPTION, [ASCII] = {"ascii", 0, NULL, 0, "plain characters only"},                              \
    [FROM] = {"from", 0, "WHEN", 0, "arrival there, such as 2026-06-20 or \"2026-06-20 15:00\""},                      \
    [UNTIL] = {"until", 0, "WHEN", 0, "when you wish to leave again"},                                                 \
    [NEAR] = {"near", 0, "PLACE", 0, "drives begin here: a place of the book, or LAT,LON; without it where you are"},  \
    [DRAWS] = {"draws", 'd', "N", 0, "draws of weather and use for each; without it 500"},                             \
    [SEED] = {"seed", 0, "N", 0, "of the draws; without it 1"}

#define WISHES                                                                                                         \
    [LIMIT] = {"limit", 'n', "N", 0, "so many lines at most; without it 20"},                                          \
    [MANAGER] = {"manager", 'm', "TEXT", 0, "on the land of this manager; a part of the name"},                        \
    [WITHIN] = {"within", 'w', "LENGTH", 0, "no farther by air"},                                                      \
    [DRIVE] = {"drive", 0, "TIME", 0, "no longer to drive, such as \"2 h\""},                                          \
    [SUPPLY] = {"supply", 'k', "KINDS", 0,                                                                             \
                "there or within 15 miles by air: dump, water, propane, rubbish, fuel, groceries, laundry"},           \
    [NIGHT] = {"night", 0, "RANGE", 0, "mean low of the dates, such as \"32 F to 60 F\""},                             \
    [SIGNAL] = {"signal", 0, "SHARE", 0, "chance of a work day at least, such as 70 %"},                               \
    [ANY_SIZE] = {"any-size", 0, NULL, 0, "places that are too small for the rig too"},                                \
    [LENGTH] = {"length", 0, "LENGTH", 0, "of a rig, with what it tows, instead of yours"}

static const lw_option LIST_OPTIONS[] = {SHARED, WISHES};
static const lw_option RANK_OPTIONS[] = {
    SHARED, WISHES, [BEST] = {"best", 0, "N", 0, "so many of the best are drawn; without it 50"}};
static const lw_option COMPARE_OPTIONS[] = {SHARED};

static const lw_example LIST_EXAMPLES[] = {
    {"leeway places list", "all of your places, nearest by drive first"},
    {"leeway places list --drive \"2 h\" --supply dump,water --manager BLM", "those that fit"},
    {"leeway places list --from 2026-10-01 --until 2026-10-08 --night \"32 F to 60 F\"",
     "by the usual nights of the dates"},
};
static const lw_example RANK_EXAMPLES[] = {
    {"leeway places rank --from 2026-06-20 --until 2026-07-04", "where a fortnight holds best"},
    {"leeway places rank --from 2026-06-20 --until 2026-07-04 --drive \"4 h\" --signal 70%", "of those that fit"},
};
static const lw_example COMPARE_EXAMPLES[] = {
    {"leeway places compare \"Larkspur Flat\" \"Cottonwood Wash\" --from 2026-06-20 --until 2026-07-04",
     "side by side"},
};

typedef struct order {
    lw_kept_order kept;
    const lw_command *self;
    int wants_json, wants_ascii, units;
    const char *from, *until, *near;
    lw_pick_wish wish;
    uint64_t limit, draws, seed, best;
    const char *named[LW_RANK_NAMED];
    int named_count;
} order;

/* ---- the command line ---- */

static lw_code take_range(const char *value, order *o, lw_err *err)
{
    const char *to = strstr(value, " to ");
    char low[40];
    lw_code code = to && (size_t)(to - value) < sizeof low ? LW_OK : LW_E_SYNTAX;
    if (!code) {
        snprintf(low, sizeof low, "%.*s", (int)(to - value), value);
        code = lw_quantity_parse(low, LW_DIM_TEMPERATURE, &o->wish.night_low_c, err);
        code = code ? code : lw_quantity_parse(to + 4, LW_DIM_TEMPERATURE, &o->wish.night_high_c, err);
    }
    if (code == LW_E_SYNTAX && !err->code)
        return lw_fail(err, LW_E_SYNTAX, "--night %s is no range such as \"32 F to 60 F\"",
                       lw_quoted(value, strlen(value)).text);
    return code ? lw_err_at(err, "--night", 0, NULL) : LW_OK;
}

static lw_code take_quantity(const char *name, const char *value, lw_dim dim, double most, double *to, lw_err *err)
{
    if (lw_quantity_parse(value, dim, to, err))
        return lw_err_at(err, name, 0, NULL);
    return *to >= 0.0 && *to <= most ? LW_OK : lw_fail(err, LW_E_RANGE, "%s %.40s does not fit", name, value);
}

static lw_code take_wish(int option, const char *value, order *o, lw_err *err)
{
    switch (option) {
    case LIMIT:
        return lw_args_whole("limit", value, 1, 100000, &o->limit, err);
    case MANAGER:
        o->wish.manager = value;
        return LW_OK;
    case WITHIN:
        return take_quantity("--within", value, LW_DIM_LENGTH, 2e7, &o->wish.within_m, err);
    case DRIVE:
        return take_quantity("--drive", value, LW_DIM_TIME, 1e7, &o->wish.within_s, err);
    case SUPPLY:
        o->wish.services |= lw_spot_kinds_of(value);
        return o->wish.services
                   ? LW_OK
                   : lw_fail(err, LW_E_SYNTAX,
                             "--supply %s: dump, water, propane, rubbish, fuel, groceries and laundry are kinds",
                             lw_quoted(value, strlen(value)).text);
    case LENGTH:
        return take_quantity("--length", value, LW_DIM_LENGTH, 60.0, &o->wish.length_m, err);
    case NIGHT:
        return take_range(value, o, err);
    case SIGNAL:
        return take_quantity("--signal", value, LW_DIM_FRACTION, 1.0, &o->wish.signal_frac, err);
    case BEST:
        return lw_args_whole("best", value, 1, 1000, &o->best, err);
    default:
        o->wish.is_any_size = 1;
        return LW_OK;
    }
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case UNITS:
        return lw_args_units(value, &o->units, err);
    case BOOK:
        o->kept.book = value;
        return LW_OK;
    case NOW:
        return lw_kept_now(value, &o->kept, err);
    case FROM:
        o->from = value;
        return LW_OK;
    case UNTIL:
        o->until = value;
        return LW_OK;
    case NEAR:
        o->near = value;
        return LW_OK;
    case DRAWS:
        return lw_args_whole("draws", value, 1, 100000, &o->draws, err);
    case SEED:
        return lw_args_whole("seed", value, 0, UINT32_MAX, &o->seed, err);
    case JSON:
    case ASCII:
        o->wants_json |= option == JSON;
        o->wants_ascii |= option == ASCII;
        return LW_OK;
    default:
        return take_wish(option, value, o, err);
    }
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    const int is_compare = o->self == &lw_command_places_compare, is_list = o->self == &lw_command_places_list;
    const int count = lw_args_operand_count(args);
    if (!is_compare && count > 1)
        return lw_fail(err, LW_E_SYNTAX, "%s takes one TEXT, a part of the name; one with blanks needs quotes",
                       o->self->name);
    if (is_compare && (count < 2 || count > LW_RANK_NAMED))
        return lw_fail(err, LW_E_SYNTAX, "compare takes 2 to %d places", LW_RANK_NAMED);
    for (int i = 0; is_compare && i < count; i++)
        o->named[o->named_count++] = lw_args_operand(args, i);
    if (!is_compare)
        o->wish.name = lw_args_operand(args, 0);
    if (!is_list && (!o->from || !o->until))
        return lw_fail(err, LW_E_MISSING, "say from when until when, such as --from 2026-06-20 --until 2026-07-04");
    if (is_list && !o->from != !o->until)
        return lw_fail(err, LW_E_MISSING, "dates are a pair: --from 2026-06-20 --until 2026-07-04");
    if (is_list && !isnan(o->wish.night_low_c) && !o->from)
        return lw_fail(err, LW_E_MISSING, "--night needs the dates: --from 2026-06-20 --until 2026-07-04");
    return LW_OK;
}

/* Where drives begin: as said, else where the book says the household is; without either nowhere. */
static lw_code find_start(lw_book *book, const lw_camps *camps, order *o, lw_err *err)
{
    lw_household home = {0};
    lw_err own = {0};
    o->wish.has_from = 1;
    if (o->near)
        return lw_roads_end(camps, o->near, &o->wish.from, &o->wish.from_m, err);
    o->wish.has_from = lw_household_load_last(book, o->kept.here_s, &home, &own) == LW_OK;
    if (o->wish.has_from) {
        const lw_place *at = &home.loaded.scenario->place;
        o->wish.from = (lw_spot){at->latitude_deg, at->longitude_deg};
        o->wish.from_m = at->elevation_m;
    }
    lw_household_clear(&home);
    if (!o->wish.has_from && (!isnan(o->wish.within_m) || !isnan(o->wish.within_s)))
        return lw_fail(err, LW_E_MISSING, "the book has no stay, so say from where: --near PLACE");
    return LW_OK;
}

/* ---- cells ---- */

typedef struct shown {
    const lw_camps *camps;
    const lw_picks *picks;
    const lw_rank *rank;
    lw_unit_system units;
    int has_dates;
} shown;

static void say_quantity(double value, lw_dim dim, lw_unit_system units, char *buf, size_t n)
{
    if (isnan(value))
        snprintf(buf, n, "?");
    else
        lw_quantity_print_in(buf, n, value, lw_quantity_unit(value, dim, units), 2);
}

static void say_frac(double frac, char *buf, size_t n)
{
    char text[LW_DECIMAL_BYTES];
    lw_decimal_print(text, sizeof text, 100.0 * frac, 0, 0);
    snprintf(buf, n, "%s%s", isnan(frac) ? "?" : text, isnan(frac) ? "" : " %");
}

/* What is predicted bears a ~, as a guessed drive does. */
static void say_signal(const lw_pick *pick, char *buf, size_t n)
{
    char text[32];
    say_frac(pick->signal_frac, text, sizeof text);
    snprintf(buf, n, "%s%s", pick->signal_by == LW_CHANCE_PREDICTED ? "~" : "", text);
}

static void say_drive(const lw_road *road, char *buf, size_t n)
{
    char time[32];
    if (road->time_s.middle > 0.0)
        snprintf(buf, n, "%s%s", road->by == LW_ROAD_GUESS ? "~ " : "",
                 lw_road_time_say(road->time_s.middle, time, sizeof time));
    else
        snprintf(buf, n, "?");
}

static void say_fee(const lw_about *about, char *buf, size_t n)
{
    if (about->fee_usd > 0.0)
        lw_quantity_print(buf, n, about->fee_usd, LW_DIM_MONEY, LW_UNITS_US);
    else
        snprintf(buf, n, "%s", isnan(about->fee_usd) ? "?" : "free");
}

static void say_days(double days, int is_beyond, char *buf, size_t n)
{
    char text[LW_DECIMAL_BYTES];
    lw_decimal_print(text, sizeof text, days, 1, 0);
    snprintf(buf, n, "%s%s d", is_beyond ? ">= " : "", text);
}

static void list_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"place", "drive", "fee", "signal", "manager", "night", "day"};
    const shown *s = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_pick *p = &s->picks->pick[row - 1];
    const lw_place_facts *f = &s->camps->camp[p->camp].facts;
    switch (column) {
    case 0:
        snprintf(buf, n, "%s", f->name);
        return;
    case 1:
        say_drive(&p->road, buf, n);
        return;
    case 2:
        say_fee(&f->about, buf, n);
        return;
    case 3:
        say_signal(p, buf, n);
        return;
    case 4:
        snprintf(buf, n, "%s", f->manager[0] ? f->manager : "?");
        return;
    default:
        say_quantity(column == 5 ? p->night_c : p->day_c, LW_DIM_TEMPERATURE, s->units, buf, n);
    }
}

static void rank_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"place", "chance", "holds", "ends by", "night", "drive", "signal", "fee"};
    const shown *s = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_ranked *r = &s->rank->row[row - 1];
    const lw_place_facts *f = &s->camps->camp[r->pick.camp].facts;
    switch (column) {
    case 0:
        snprintf(buf, n, "%s", f->name);
        return;
    case 1:
        say_frac(r->is_drawn ? r->stays_frac : (double)NAN, buf, n);
        return;
    case 2:
        if (r->is_reckoned)
            say_days(r->is_drawn ? r->p50_days : r->days, r->is_drawn ? r->p50_is_beyond : r->is_beyond, buf, n);
        else
            snprintf(buf, n, "?");
        return;
    case 3:
        snprintf(buf, n, "%s", r->binding >= 0 ? lw_supply_word((lw_supply)r->binding) : "");
        return;
    case 4:
        say_quantity(r->pick.night_c, LW_DIM_TEMPERATURE, s->units, buf, n);
        return;
    case 5:
        say_drive(&r->pick.road, buf, n);
        return;
    case 6:
        say_signal(&r->pick, buf, n);
        return;
    default:
        say_fee(&f->about, buf, n);
    }
}

/* Rows that do not hang on which supplies there are; behind them one a supply that any of the places has. */
enum { NAME, CHANCE, HOLDS, RULE, NIGHTS, DAYS, WAY, SIGNAL_ROW, ROOM, FEE, ROAD, FIXED };

static int supply_row(const lw_rank *rank, int at)
{
    for (int s = 0; s < LW_SUPPLY_COUNT; s++) {
        int is_there = 0;
        for (int i = 0; i < rank->count; i++)
            is_there |= rank->row[i].is_reckoned && !isnan(rank->row[i].supply_days[s]);
        if (is_there && at-- == 0)
            return s;
    }
    return -1;
}

static void say_rule(const lw_ranked *r, char *buf, size_t n)
{
    const char *by = r->rule_by == LW_RULE_MAP ? "usual there: " : "";
    if (r->rule_by == LW_RULE_NONE)
        snprintf(buf, n, "not known: ask");
    else if (r->left.is_limited)
        snprintf(buf, n, "%s%d days left", by, r->left.left_days);
    else
        snprintf(buf, n, "%sno limit binds", by);
}

static void compare_place(const shown *s, const lw_ranked *r, int row, char *buf, size_t n)
{
    const lw_place_facts *f = &s->camps->camp[r->pick.camp].facts;
    switch (row) {
    case NAME:
        snprintf(buf, n, "%s", f->name);
        return;
    case CHANCE:
        say_frac(r->is_drawn ? r->stays_frac : (double)NAN, buf, n);
        return;
    case HOLDS:
        rank_cell(s, (int)(r - s->rank->row) + 1, 2, buf, n);
        return;
    case RULE:
        say_rule(r, buf, n);
        return;
    case NIGHTS:
    case DAYS:
        say_quantity(row == NIGHTS ? r->pick.night_c : r->pick.day_c, LW_DIM_TEMPERATURE, s->units, buf, n);
        return;
    case WAY:
        say_drive(&r->pick.road, buf, n);
        return;
    case SIGNAL_ROW:
        say_signal(&r->pick, buf, n);
        return;
    case ROOM:
        say_frac(r->pick.room_frac, buf, n);
        return;
    case FEE:
        say_fee(&f->about, buf, n);
        return;
    case ROAD:
        snprintf(buf, n, "%s%s",
                 f->about.road.surface == LW_SURFACE_UNKNOWN ? "?" : lw_surface_word(f->about.road.surface),
                 f->about.road.is_dry_only ? ", dry only" : "");
        return;
    default: {
        const int supply = supply_row(s->rank, row - FIXED);
        if (supply < 0 || !r->is_reckoned || isnan(r->supply_days[supply]))
            snprintf(buf, n, "?");
        else
            say_days(r->supply_days[supply], r->supply_is_beyond[supply], buf, n);
    }
    }
}

static void compare_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {
        "", "chance that it holds", "holds", "stay rule", "nights", "days", "drive", "signal", "room", "fee", "road"};
    const shown *s = context;
    if (column > 0)
        compare_place(s, &s->rank->row[column - 1], row, buf, n);
    else if (row < FIXED)
        snprintf(buf, n, "%s", HEAD[row]);
    else
        snprintf(buf, n, "%s", lw_supply_word((lw_supply)supply_row(s->rank, row - FIXED)));
}

/* ---- answers ---- */

static void put_away(lw_screen *screen, const int sent_away[LW_PICK_REASON_COUNT])
{
    char text[512];
    lw_picks picks = {0};
    memcpy(picks.sent_away, sent_away, sizeof picks.sent_away);
    if (*lw_picks_say_away(&picks, text, sizeof text)) {
        lw_put_end(screen);
        lw_put_wrapped(screen, LW_PAINT_FAINT, text, 0, 2);
    }
}

static void put_table(lw_screen *screen, const shown *s, int rows, int columns,
                      void (*cell)(const void *, int, int, char *, size_t))
{
    lw_put_table(
        screen,
        &(lw_table){
            .rows = rows, .columns = columns, .head = LW_PAINT_STRONG, .warm_row = -1, .context = s, .cell = cell});
}

static lw_code put_json(char *text, lw_sink *sink, lw_err *err)
{
    const lw_code code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for this answer");
    lw_sink_text(sink, text ? text : "");
    free(text);
    return code;
}

static lw_code parse_day(const char *text, int64_t *day, lw_err *err)
{
    lw_moment at;
    const lw_code code = lw_moment_parse(text, &at, err);
    if (!code)
        *day = at.day;
    return code;
}

static lw_code list_places(lw_book *book, order *o, lw_sink *sink, lw_err *err)
{
    lw_camps camps = {0};
    lw_roads roads = {0};
    lw_picks picks = {0};
    lw_screen screen;
    lw_waiting waiting;
    lw_code code = lw_camps_load(book, &camps, err);
    code = code ? code : find_start(book, &camps, o, err);
    if (!code && o->from) {
        code = parse_day(o->from, &o->wish.first_day, err);
        code = code ? code : parse_day(o->until, &o->wish.until_day, err);
        if (!code && (o->wish.until_day <= o->wish.first_day || o->wish.until_day > o->wish.first_day + 366))
            code = lw_fail(err, LW_E_RANGE, "--until is a day after --from, within a year");
    }
    code = code ? code : lw_roads_open(book, &camps, o->kept.here_s, &roads, err);
    lw_stoppable_begin(&waiting, o->wants_json);
    o->wish.tell = lw_stoppable_tell;
    o->wish.with = &waiting;
    code = code ? code : lw_picks_make(book, &camps, &roads, &o->wish, &picks, err);
    lw_stoppable_end(&waiting);
    if (!code && o->wants_json)
        code = put_json(lw_picks_json(&camps, &picks, LW_VERSION), sink, err);
    else if (!code) {
        const shown s = {
            .camps = &camps, .picks = &picks, .units = o->units == LW_UNITS_SI ? LW_UNITS_SI : LW_UNITS_US};
        const int rows = picks.count < (int)o->limit ? picks.count : (int)o->limit;
        lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
        if (picks.count)
            put_table(&screen, &s, rows + 1, o->from ? 7 : 5, list_cell);
        else
            lw_put_wrapped(&screen, LW_PAINT_PLAIN,
                           camps.count ? "No place of the book fits."
                                       : "The book has no places; leeway places add makes one.",
                           0, 0);
        put_away(&screen, picks.sent_away);
        if (roads.note[0])
            lw_put_wrapped(&screen, LW_PAINT_FAINT, roads.note, 0, 2);
    }
    lw_picks_clear(&picks);
    lw_roads_clear(&roads);
    lw_camps_clear(&camps);
    return code;
}

static void put_rank(const order *o, const lw_rank *rank, lw_sink *sink)
{
    lw_screen screen;
    char head[256], from[LW_WHEN], until[LW_WHEN];
    const int is_compare = o->named_count > 0;
    const shown s = {
        .camps = &rank->camps, .rank = rank, .units = o->units >= 0 ? (lw_unit_system)o->units : rank->units};
    int supplies = 0, unreckoned = 0;
    lw_screen_init(&screen, sink, STDOUT_FILENO, o->wants_ascii);
    snprintf(head, sizeof head, "A stay from %s until %s, with the rig as its description says it arrives.",
             lw_when_print(from, sizeof from, &rank->zone, rank->arrival_s, 0),
             lw_when_print(until, sizeof until, &rank->zone, rank->departure_s, 0));
    lw_put_wrapped(&screen, LW_PAINT_STRONG, head, 0, 0);
    if (!rank->count)
        lw_put_wrapped(&screen, LW_PAINT_PLAIN,
                       rank->camps.count ? "No place of the book fits."
                                         : "The book has no places; leeway places add makes one.",
                       0, 0);
    while (supply_row(rank, supplies) >= 0)
        supplies++;
    const int rows = rank->count < (int)o->limit ? rank->count : (int)o->limit;
    if (rank->count && is_compare)
        put_table(&screen, &s, FIXED + supplies,
                  rank->count + 1 < LW_TABLE_COLUMNS ? rank->count + 1 : LW_TABLE_COLUMNS, compare_cell);
    else if (rank->count)
        put_table(&screen, &s, rows + 1, 8, rank_cell);
    for (int i = 0; i < rank->count; i++)
        unreckoned += !rank->row[i].is_reckoned;
    if (unreckoned) {
        snprintf(head, sizeof head,
                 "%d could not be reckoned: their height is not said (elevation=...), or they lie outside the climate.",
                 unreckoned);
        lw_put_wrapped(&screen, LW_PAINT_FAINT, head, 0, 2);
    }
    put_away(&screen, rank->sent_away);
    if (rank->note[0])
        lw_put_wrapped(&screen, LW_PAINT_FAINT, rank->note, 0, 2);
    lw_put_wrapped(&screen, LW_PAINT_FAINT,
                   "Chance: that nothing ends the stay before you leave, by the climate of the place and your rig's "
                   "usual use. Stay rules "
                   "are as the book knows them: ask the local office.",
                   0, 2);
}

static lw_code rank_places(lw_book *book, order *o, lw_sink *sink, lw_err *err)
{
    lw_camps camps = {0};
    lw_rank rank = {0};
    lw_waiting waiting;
    lw_code code = lw_camps_load(book, &camps, err);
    code = code ? code : find_start(book, &camps, o, err);
    lw_camps_clear(&camps);
    lw_rank_ask ask = {.wish = o->wish,
                       .named_count = o->named_count,
                       .from = o->from,
                       .until = o->until,
                       .now_s = o->kept.here_s,
                       .best = (int)o->best,
                       .draws = (int)o->draws,
                       .seed = o->seed,
                       .progress = lw_stoppable_tell,
                       .with = &waiting};
    memcpy(ask.named, o->named, sizeof ask.named);
    lw_stoppable_begin(&waiting, o->wants_json);
    code = code ? code : lw_rank_make(book, &ask, &rank, err);
    lw_stoppable_end(&waiting);
    if (!code && o->wants_json)
        code = put_json(lw_rank_json(&rank, LW_VERSION), sink, err);
    else if (!code)
        put_rank(o, &rank, sink);
    lw_rank_clear(&rank);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    lw_book *book = NULL;
    order o = {.self = self, .units = -1, .limit = 20, .seed = 1, .wish = lw_pick_wish_none()};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken == LW_ARGS_BAD || check_order(&args, &o, &err) || lw_kept_open_order(&o.kept, &err) ||
        lw_kept_open(&o.kept, LW_BOOK_WRITE, &book, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code =
        self == &lw_command_places_list ? list_places(book, &o, &sink, &err) : rank_places(book, &o, &sink, &err);
    lw_book_close(book);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_places_list = {
    .name = "places list",
    .operands = "[TEXT]",
    .what = "Your places that fit a wish: drive, supplies, nights, signal, manager, rig",
    .about = "TEXT is a part of the name. What a wish sends away is counted below the list. Drives that are guessed "
             "bear a ~. "
             "Nights are the mean low of the dates by the climate of the place; signal is what you say of it or tried "
             "there, else, with a ~, what is predicted by masts and published coverage of the book.",
    .option = LIST_OPTIONS,
    .option_count = sizeof LIST_OPTIONS / sizeof LIST_OPTIONS[0],
    .example = LIST_EXAMPLES,
    .example_count = sizeof LIST_EXAMPLES / sizeof LIST_EXAMPLES[0],
    .run = run,
};

const lw_command lw_command_places_rank = {
    .name = "places rank",
    .operands = "[TEXT]",
    .what = "Your places by how well a stay there is expected to hold",
    .about = "Every place that fits gets a plain outlook for the dates, with the rig and crew of the book as "
             "described, under the "
             "climate of the place and its stay rule over all your stays; the best are drawn for the chance that "
             "nothing ends the "
             "stay before you leave. Ordered by that chance, then by days, then by drive.",
    .option = RANK_OPTIONS,
    .option_count = sizeof RANK_OPTIONS / sizeof RANK_OPTIONS[0],
    .example = RANK_EXAMPLES,
    .example_count = sizeof RANK_EXAMPLES / sizeof RANK_EXAMPLES[0],
    .run = run,
};

const lw_command lw_command_places_compare = {
    .name = "places compare",
    .operands = "PLACE PLACE...",
    .what = "Two to seven of your places side by side for given dates",
    .about =
        "As leeway places rank, for the places you name: how long each supply holds at each, nights and days, drive, "
        "rule, room, signal, road.",
    .option = COMPARE_OPTIONS,
    .option_count = sizeof COMPARE_OPTIONS / sizeof COMPARE_OPTIONS[0],
    .example = COMPARE_EXAMPLES,
    .example_count = sizeof COMPARE_EXAMPLES / sizeof COMPARE_EXAMPLES[0],
    .run = run,
};
