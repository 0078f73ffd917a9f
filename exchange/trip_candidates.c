#include "exchange/trip_candidates.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/keyed_internal.h"
#include "exchange/spots.h"
#include "text/quantity.h"
#include "text/say.h"

enum { NAMED, NEAR, WITHIN, DRIVE, MANAGER, SUPPLY, SIGNAL, NIGHT, LENGTH, MOST, WORTH, KEYS };

static const double WORTH_USUAL_USD = 40.0; /* as of a place of the file */

#define TEXT(word, sample)                                                                                             \
    {                                                                                                                  \
        .path = word, .kind = LW_KEY_TEXT, .example = sample                                                           \
    }
#define QUANTITY(word, d, l, h, sample)                                                                                \
    {                                                                                                                  \
        .path = word, .kind = LW_KEY_QUANTITY, .dim = LW_DIM_##d, .low = l, .high = h, .example = sample               \
    }

static const lw_key CANDIDATES[KEYS] = {
    [NAMED] = TEXT("named", "[Juniper Bench, Tin Cup]"),
    [NEAR] = TEXT("near", "Juniper Bench"),
    [WITHIN] = QUANTITY("within", LENGTH, 0, 2e7, "120 mi"),
    [DRIVE] = QUANTITY("drive", TIME, 0, 1e6, "5 h"),
    [MANAGER] = TEXT("manager", "BLM"),
    [SUPPLY] = TEXT("supply", "\"dump,water\""),
    [SIGNAL] = QUANTITY("signal", FRACTION, 0, 1, "70 %"),
    [NIGHT] = TEXT("night", "25 F to 60 F"),
    [LENGTH] = QUANTITY("length", LENGTH, 1, 60, "32 ft"),
    [MOST] = QUANTITY("most", NUMBER, 1, LW_TRIP_FILE_PLACES, "40"),
    [WORTH] = QUANTITY("worth", MONEY, 0, 300, "40 USD"),
};
static const lw_key DATE = {.path = "from", .kind = LW_KEY_DATE, .example = "2027-05-15"};

static void refuse_at(lw_keyed *r, int key)
{
    lw_keyed_refuse(r, lw_yaml_child(r->item, CANDIDATES[key].path));
}

static void put_name(lw_keyed *r, const lw_yaml_node *node, lw_trip_candidates *to)
{
    if (!node->text || !node->text[0] || to->named_count == LW_TRIP_NAMED) {
        if (to->named_count == LW_TRIP_NAMED)
            (void)lw_fail(r->err, LW_E_FULL, "at most %d places are named one by one", LW_TRIP_NAMED);
        else
            (void)lw_fail(r->err, LW_E_SYNTAX, "the name of a place of the book stands here, such as Juniper Bench");
        lw_keyed_refuse(r, node);
        return;
    }
    snprintf(to->named[to->named_count++], LW_TRIP_FILE_NAME, "%.*s", LW_TRIP_FILE_NAME - 1, node->text);
}

static void read_names(lw_keyed *r, lw_trip_candidates *to)
{
    const lw_yaml_node *node = r->code ? NULL : lw_yaml_child(r->item, CANDIDATES[NAMED].path);
    if (node && node->kind == LW_YAML_LIST)
        for (const lw_yaml_node *one = node->first; one && !r->code; one = one->next)
            put_name(r, one, to);
    else if (node)
        put_name(r, node, to);
}

static void read_night(lw_keyed *r, lw_trip_candidates *to)
{
    char text[64], low[40];
    lw_keyed_text(r, NIGHT, text, sizeof text, "");
    const char *between = strstr(text, " to ");
    if (r->code || !text[0])
        return;
    lw_code code = between && (size_t)(between - text) < sizeof low ? LW_OK : LW_E_SYNTAX;
    if (!code) {
        snprintf(low, sizeof low, "%.*s", (int)(between - text), text);
        code = lw_quantity_parse(low, LW_DIM_TEMPERATURE, &to->night_low_c, r->err);
        code = code ? code : lw_quantity_parse(between + 4, LW_DIM_TEMPERATURE, &to->night_high_c, r->err);
    } else
        (void)lw_fail(r->err, LW_E_SYNTAX, "%s is no range such as 25 F to 60 F", lw_quoted(text, strlen(text)).text);
    if (code)
        refuse_at(r, NIGHT);
}

static void read_supply(lw_keyed *r, lw_trip_candidates *to)
{
    char text[96];
    lw_keyed_text(r, SUPPLY, text, sizeof text, "");
    if (r->code || !text[0])
        return;
    to->supplies = lw_spot_kinds_of(text);
    if (to->supplies)
        return;
    (void)lw_fail(r->err, LW_E_SYNTAX, "%s: kinds are dump, water, propane, rubbish, fuel, groceries and laundry",
                  lw_quoted(text, strlen(text)).text);
    refuse_at(r, SUPPLY);
}

static void read_dates(const lw_yaml *tree, lw_trip_candidates *to)
{
    const lw_yaml_node *trip = lw_yaml_child(tree->root, "trip");
    const lw_yaml_node *from = lw_yaml_child(trip, "from"), *until = lw_yaml_child(trip, "until");
    lw_value value = {.si = NAN};
    lw_err own = {0}; /* a bad date is told when the trip itself is read */
    if (!from || !until || !from->text || !until->text || lw_value_read(&DATE, from->text, &value, &own))
        return;
    to->from_day = value.at.day;
    if (lw_value_read(&DATE, until->text, &value, &own) == LW_OK)
        to->until_day = value.at.day;
}

static lw_code read_map(const lw_yaml_node *map, lw_trip_candidates *to, lw_err *err)
{
    static const int FILTER[] = {NEAR, WITHIN, DRIVE, MANAGER, SUPPLY, SIGNAL, NIGHT, LENGTH, MOST};
    lw_keyed r = lw_keyed_item(map, CANDIDATES, KEYS, err);
    lw_value value = {.si = NAN};
    to->is_asked = 1;
    read_names(&r, to);
    lw_keyed_text(&r, NEAR, to->near, sizeof to->near, "");
    lw_keyed_text(&r, MANAGER, to->manager, sizeof to->manager, "");
    to->within_m = lw_keyed_number(&r, WITHIN, 1.0, NAN);
    to->drive_s = lw_keyed_number(&r, DRIVE, 1.0, NAN);
    to->signal_frac = lw_keyed_number(&r, SIGNAL, 1.0, NAN);
    to->length_m = lw_keyed_number(&r, LENGTH, 1.0, NAN);
    to->worth_usd = lw_keyed_number(&r, WORTH, 1.0, WORTH_USUAL_USD);
    to->most = (int)lw_keyed_number(&r, MOST, 1.0, 0.0);
    read_supply(&r, to);
    read_night(&r, to);
    to->has_filter = to->named_count == 0;
    for (size_t i = 0; i < sizeof FILTER / sizeof FILTER[0] && !r.code; i++)
        to->has_filter |= lw_keyed_get(&r, FILTER[i], &value);
    return r.code;
}

lw_code lw_trip_candidates_read(const char *name, const char *bytes, size_t size, lw_trip_candidates *to, lw_err *err)
{
    lw_yaml tree = {0};
    *to = (lw_trip_candidates){.within_m = NAN,
                               .drive_s = NAN,
                               .signal_frac = NAN,
                               .night_low_c = NAN,
                               .night_high_c = NAN,
                               .length_m = NAN,
                               .worth_usd = WORTH_USUAL_USD};
    lw_code code = lw_yaml_read(&tree, name, bytes, size, err);
    const lw_yaml_node *map = code ? NULL : lw_yaml_child(tree.root, "candidates");
    const lw_yaml_node *places = code ? NULL : lw_yaml_child(tree.root, "places");
    to->has_places = places && places->count > 0;
    if (!code) {
        read_dates(&tree, to);
        code = map ? read_map(map, to, err) : LW_OK;
    }
    lw_yaml_clear(&tree);
    return code;
}
