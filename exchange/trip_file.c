#include "exchange/trip_file.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/errands.h"
#include "exchange/keyed_internal.h"
#include "exchange/usual_price.h"
#include "text/say.h"

static const double KM_PER_MILE = 1.609344; /* international mile, exact */

enum {
    CAMP,
    FROM,
    UNTIL,
    START,
    END,
    WORK_CHANCE,
    DRIVE_DAY,
    DRIVE_WEEK,
    DRIVE_DAYS,
    COLDEST,
    HOTTEST,
    NIGHTS_CHANCE,
    SUPPLIES_CHANCE,
    BUDGET,
    PER_MILE,
    HOUR,
    MOVE,
    TRIP_KEYS
};
enum {
    NAME,
    LATITUDE,
    LONGITUDE,
    ELEVATION,
    WORTH,
    FEE,
    RULE,
    MANAGER,
    SIGNAL,
    LENGTH,
    HEIGHT,
    ROOM,
    OPENS,
    CLOSES,
    EVERYTHING,
    ROAD,
    SERVICE_FEE,
    DRY_ONLY,
    ADDRESS,
    CAUTION,
    PLACE_KEYS
};
enum { WHAT, AT, NIGHTS, WISH_FROM, WISH_UNTIL, MUST, WISH_WORTH, WISH_DRIVE, WISH_KEYS };
enum { SERVICE_NAME, SERVICE_LATITUDE, SERVICE_LONGITUDE, GIVES, SERVICE_USD, SERVICE_DAYS, SERVICE_KEYS };
enum { WHO, FRIENDS_FROM, FRIENDS_UNTIL, RIGS, FRIENDS_LENGTH, FRIENDS_KEYS };
enum { PASS_WHAT, BEYOND, PASS_CLOSES, PASS_OPENS, PASS_KEYS };

#define TEXT(word, sample)                                                                                             \
    {                                                                                                                  \
        .path = word, .kind = LW_KEY_TEXT, .example = sample                                                           \
    }
#define DATE(word, sample)                                                                                             \
    {                                                                                                                  \
        .path = word, .kind = LW_KEY_DATE, .example = sample                                                           \
    }
#define YES(word)                                                                                                      \
    {                                                                                                                  \
        .path = word, .kind = LW_KEY_YESNO, .example = "yes"                                                           \
    }
#define QUANTITY(word, d, l, h, sample)                                                                                \
    {                                                                                                                  \
        .path = word, .kind = LW_KEY_QUANTITY, .dim = LW_DIM_##d, .low = l, .high = h, .example = sample               \
    }

static const lw_key TRIP[TRIP_KEYS] = {
    [CAMP] = TEXT("camp", "family.yaml"),
    [FROM] = DATE("from", "2027-06-01"),
    [UNTIL] = DATE("until", "2027-07-01"),
    [START] = TEXT("start", "Juniper Bench"),
    [END] = TEXT("end", "Home"),
    [WORK_CHANCE] = QUANTITY("work_chance", FRACTION, 0, 1, "80 %"),
    [DRIVE_DAY] = QUANTITY("drive_day", TIME, 0, 86400, "4 h"),
    [DRIVE_WEEK] = QUANTITY("drive_week", TIME, 0, 600000, "12 h"),
    [DRIVE_DAYS] = TEXT("drive_days", "Fri-Sun"),
    [COLDEST] = QUANTITY("coldest", TEMPERATURE, -60, 40, "28 F"),
    [HOTTEST] = QUANTITY("hottest", TEMPERATURE, 0, 60, "95 F"),
    [NIGHTS_CHANCE] = QUANTITY("nights_chance", FRACTION, 0, 1, "80 %"),
    [SUPPLIES_CHANCE] = QUANTITY("supplies_chance", FRACTION, 0.5, 0.99, "80 %"),
    [BUDGET] = QUANTITY("budget", MONEY, 0, 20000, "900 USD"),
    [PER_MILE] = QUANTITY("per_mile", MONEY, 0, 10, "0.45 USD"),
    [HOUR] = QUANTITY("hour", MONEY, 0, 200, "8 USD"),
    [MOVE] = QUANTITY("move", MONEY, 0, 200, "12 USD"),
};
static const lw_key PLACE[PLACE_KEYS] = {
    [NAME] = TEXT("name", "Juniper Bench"),
    [LATITUDE] = {.path = "latitude", .kind = LW_KEY_LATITUDE, .example = "38.2 N"},
    [LONGITUDE] = {.path = "longitude", .kind = LW_KEY_LONGITUDE, .example = "111.1 W"},
    [ELEVATION] = QUANTITY("elevation", LENGTH, -430, 6000, "6200 ft"),
    [WORTH] = QUANTITY("worth", MONEY, 0, 300, "40 USD"),
    [FEE] = QUANTITY("fee", MONEY, 0, 300, "12 USD"),
    [RULE] = TEXT("rule", "blm-usual"),
    [MANAGER] = TEXT("manager", "BLM Kanab"),
    [SIGNAL] = QUANTITY("signal", FRACTION, 0, 1, "85 %"),
    [LENGTH] = QUANTITY("length", LENGTH, 1, 100, "32 ft"),
    [HEIGHT] = QUANTITY("height", LENGTH, 1, 20, "13 ft"),
    [ROOM] = QUANTITY("room", NUMBER, 1, 99, "2"),
    [OPENS] = DATE("from", "2027-05-15"),
    [CLOSES] = DATE("until", "2027-10-15"),
    [EVERYTHING] = YES("everything"),
    [ROAD] = QUANTITY("road", TIME, 0, 43200, "35 min"),
    [SERVICE_FEE] = QUANTITY("service_fee", MONEY, 0, 200, "15 USD"),
    [DRY_ONLY] = YES("dry_only"),
    [ADDRESS] = TEXT("address", "mile 14, Bench Road"),
    [CAUTION] = TEXT("caution", "washes run after storms"),
};
static const lw_key WISH[WISH_KEYS] = {
    [WHAT] = TEXT("what", "hot springs"),
    [AT] = TEXT("at", "[Steam Creek, Ash Flat]"),
    [NIGHTS] = QUANTITY("nights", NUMBER, 1, 60, "2"),
    [WISH_FROM] = DATE("from", "2027-06-05"),
    [WISH_UNTIL] = DATE("until", "2027-06-20"),
    [MUST] = YES("must"),
    [WISH_WORTH] = QUANTITY("worth", MONEY, 0, 3000, "80 USD"),
    [WISH_DRIVE] = QUANTITY("drive", TIME, 0, 21600, "40 min"),
};
static const lw_key SERVICE[SERVICE_KEYS] = {
    [SERVICE_NAME] = TEXT("name", "county dump"),
    [SERVICE_LATITUDE] = {.path = "latitude", .kind = LW_KEY_LATITUDE, .example = "38.2 N"},
    [SERVICE_LONGITUDE] = {.path = "longitude", .kind = LW_KEY_LONGITUDE, .example = "111.1 W"},
    [GIVES] = TEXT("gives", "[dump, water, drinking, rubbish, propane]"),
    [SERVICE_USD] = QUANTITY("fee", MONEY, 0, 300, "12 USD"),
    [SERVICE_DAYS] = TEXT("days", "Mon-Sat"),
};
static const lw_key FRIENDS[FRIENDS_KEYS] = {
    [WHO] = TEXT("who", "the Larks"),
    [FRIENDS_FROM] = DATE("from", "2027-06-05"),
    [FRIENDS_UNTIL] = DATE("until", "2027-06-12"),
    [RIGS] = QUANTITY("rigs", NUMBER, 1, 20, "1"),
    [FRIENDS_LENGTH] = QUANTITY("length", LENGTH, 1, 100, "28 ft"),
};

static const lw_key PASS[PASS_KEYS] = {
    [PASS_WHAT] = TEXT("what", "Windy Gap"),
    [BEYOND] = TEXT("beyond", "[Larkspur Bench]"),
    [PASS_CLOSES] = DATE("closes", "2027-11-01"),
    [PASS_OPENS] = DATE("opens", "2027-05-28"),
};

static int place_named(const lw_trip_file *file, const char *name)
{
    for (int p = 0; p < file->place_count; p++)
        if (strcmp(file->place[p].name, name) == 0)
            return p;
    return -1;
}

static lw_code no_such_place(const lw_trip_file *file, const lw_yaml_node *node, lw_err *err)
{
    const char *names[LW_TRIP_FILE_PLACES];
    for (int p = 0; p < file->place_count; p++)
        names[p] = file->place[p].name;
    const char *near = lw_nearest(node->text ? node->text : "", names, (size_t)file->place_count);
    const lw_quoted_text said = lw_quoted(node->text ? node->text : "", node->text ? strlen(node->text) : 0);
    (void)lw_fail(err, LW_E_MISSING,
                  near ? "no place is named %s; did you mean %s?"
                       : "no place is named %s%s; the places are those of the list places:",
                  said.text, near ? near : "");
    return lw_yaml_at(node, err);
}

/* Dates that are said have to be in their order; 0: not said. */
static void want_order(lw_keyed *r, int64_t first, int64_t last, const char *first_key, const char *last_key)
{
    char a[40], b[40];
    if (r->code || !first || !last || first < last)
        return;
    (void)lw_fail(r->err, LW_E_RANGE, "%s %s is not before %s %s", first_key,
                  lw_date_print(a, sizeof a, lw_date_of(first)), last_key,
                  lw_date_print(b, sizeof b, lw_date_of(last)));
    lw_keyed_refuse(r, r->item);
}

static void read_place(lw_keyed *r, lw_trip_file_place *to)
{
    lw_value value = {.si = NAN};
    *to = (lw_trip_file_place){.worth_usd = LW_TRIP_WORTH_USD};
    lw_keyed_want(r, NAME), lw_keyed_want(r, LATITUDE), lw_keyed_want(r, LONGITUDE), lw_keyed_want(r, ELEVATION);
    lw_keyed_text(r, NAME, to->name, sizeof to->name, "");
    lw_keyed_text(r, RULE, to->rule, sizeof to->rule, "");
    lw_keyed_text(r, MANAGER, to->manager, sizeof to->manager, "");
    lw_keyed_text(r, ADDRESS, to->address, sizeof to->address, "");
    lw_keyed_text(r, CAUTION, to->caution, sizeof to->caution, "");
    to->spot.latitude_deg = lw_keyed_number(r, LATITUDE, 1.0, 0.0);
    to->spot.longitude_deg = lw_keyed_number(r, LONGITUDE, 1.0, 0.0);
    to->elevation_m = lw_keyed_number(r, ELEVATION, 1.0, 0.0);
    to->worth_usd = lw_keyed_number(r, WORTH, 1.0, LW_TRIP_WORTH_USD);
    to->fee_usd = lw_keyed_number(r, FEE, 1.0, 0.0);
    to->signal_frac = lw_keyed_number(r, SIGNAL, 1.0, NAN);
    to->length_m = lw_keyed_number(r, LENGTH, 1.0, NAN);
    to->height_m = lw_keyed_number(r, HEIGHT, 1.0, NAN);
    to->room = (int)lw_keyed_number(r, ROOM, 1.0, 0.0);
    to->road_s = lw_keyed_number(r, ROAD, 1.0, NAN);
    to->service_usd = lw_keyed_number(r, SERVICE_FEE, 1.0, 0.0);
    if (lw_keyed_get(r, OPENS, &value))
        to->from_day = value.at.day;
    if (lw_keyed_get(r, CLOSES, &value))
        to->until_day = value.at.day;
    want_order(r, to->from_day, to->until_day, PLACE[OPENS].path, PLACE[CLOSES].path);
    if (lw_keyed_get(r, EVERYTHING, &value))
        to->has_everything = value.word;
    if (lw_keyed_get(r, DRY_ONLY, &value))
        to->is_dry_only = value.word;
}

static void put_gives(lw_keyed *r, const lw_yaml_node *node, lw_trip_file_service *to)
{
    const char *word = node->text ? node->text : "";
    const uint32_t supplies = lw_errand_supplies(word);
    to->supplies |= supplies;
    if (supplies)
        return;
    (void)lw_fail(r->err, LW_E_SYNTAX, "%s is none of water, drinking, dump, rubbish, propane, fuel, groceries",
                  lw_quoted(word, strlen(word)).text);
    lw_keyed_refuse(r, node);
}

static void read_service(lw_keyed *r, lw_trip_file_service *to)
{
    char days[64];
    *to = (lw_trip_file_service){.days = 127};
    lw_keyed_want(r, SERVICE_NAME), lw_keyed_want(r, SERVICE_LATITUDE), lw_keyed_want(r, SERVICE_LONGITUDE);
    lw_keyed_want(r, GIVES);
    lw_keyed_text(r, SERVICE_NAME, to->name, sizeof to->name, "");
    to->spot.latitude_deg = lw_keyed_number(r, SERVICE_LATITUDE, 1.0, 0.0);
    to->spot.longitude_deg = lw_keyed_number(r, SERVICE_LONGITUDE, 1.0, 0.0);
    to->fee_usd = lw_keyed_number(r, SERVICE_USD, 1.0, 0.0);
    const lw_yaml_node *gives = r->code ? NULL : lw_yaml_child(r->item, SERVICE[GIVES].path);
    if (gives && gives->kind == LW_YAML_LIST)
        for (const lw_yaml_node *one = gives->first; one && !r->code; one = one->next)
            put_gives(r, one, to);
    else if (gives)
        put_gives(r, gives, to);
    lw_keyed_text(r, SERVICE_DAYS, days, sizeof days, "");
    if (!r->code && days[0] && lw_weekdays_parse(days, &to->days, r->err))
        lw_keyed_refuse(r, lw_yaml_child(r->item, SERVICE[SERVICE_DAYS].path));
}

static void put_place(lw_keyed *r, const lw_trip_file *file, const lw_yaml_node *node, lw_trip_places of)
{
    const int at = node->kind == LW_YAML_SCALAR ? place_named(file, node->text) : -1;
    if (at < 0)
        r->code = no_such_place(file, node, r->err);
    else
        of[at / 64] |= UINT64_C(1) << (at % 64);
}

/* One name, or a list of them. */
static void put_places(lw_keyed *r, const lw_trip_file *file, const char *key, lw_trip_places of)
{
    const lw_yaml_node *at = r->code ? NULL : lw_yaml_child(r->item, key);
    if (at && at->kind == LW_YAML_LIST)
        for (const lw_yaml_node *one = at->first; one && !r->code; one = one->next)
            put_place(r, file, one, of);
    else if (at)
        put_place(r, file, at, of);
}

static void read_wish(lw_keyed *r, const lw_trip_file *file, lw_trip_file_wish *to)
{
    lw_value value = {.si = NAN};
    *to = (lw_trip_file_wish){.nights = 1};
    lw_keyed_want(r, WHAT), lw_keyed_want(r, AT);
    lw_keyed_text(r, WHAT, to->what, sizeof to->what, "");
    to->nights = (int)lw_keyed_number(r, NIGHTS, 1.0, 1.0);
    to->worth_usd = lw_keyed_number(r, WISH_WORTH, 1.0, 40.0);
    to->drive_s = lw_keyed_number(r, WISH_DRIVE, 1.0, 0.0);
    if (lw_keyed_get(r, MUST, &value))
        to->is_must = value.word;
    if (lw_keyed_get(r, WISH_FROM, &value))
        to->from_day = value.at.day;
    if (lw_keyed_get(r, WISH_UNTIL, &value))
        to->until_day = value.at.day;
    want_order(r, to->from_day, to->until_day, WISH[WISH_FROM].path, WISH[WISH_UNTIL].path);
    put_places(r, file, WISH[AT].path, to->of);
    const int64_t from = to->from_day > file->from_day ? to->from_day : file->from_day;
    const int64_t until = to->until_day && to->until_day < file->until_day ? to->until_day : file->until_day;
    if (r->code || until - from >= to->nights)
        return;
    (void)lw_fail(r->err, LW_E_RANGE, "%s wants %d %s between its dates, and the trip has %d there",
                  lw_quoted(to->what, strlen(to->what)).text, to->nights, to->nights == 1 ? "night" : "nights",
                  (int)(until > from ? until - from : 0));
    lw_keyed_refuse(r, r->item);
}

static void read_friends(lw_keyed *r, lw_trip_file_friends *to)
{
    lw_value value = {.si = NAN};
    *to = (lw_trip_file_friends){.rigs = 1};
    lw_keyed_want(r, WHO);
    lw_keyed_text(r, WHO, to->who, sizeof to->who, "");
    to->rigs = (int)lw_keyed_number(r, RIGS, 1.0, 1.0);
    to->length_m = lw_keyed_number(r, FRIENDS_LENGTH, 1.0, NAN);
    if (lw_keyed_get(r, FRIENDS_FROM, &value))
        to->from_day = value.at.day;
    if (lw_keyed_get(r, FRIENDS_UNTIL, &value))
        to->until_day = value.at.day;
    want_order(r, to->from_day, to->until_day, FRIENDS[FRIENDS_FROM].path, FRIENDS[FRIENDS_UNTIL].path);
}

static void read_pass(lw_keyed *r, const lw_trip_file *file, lw_trip_file_pass *to)
{
    lw_value value = {.si = NAN};
    *to = (lw_trip_file_pass){.closes_day = 0};
    lw_keyed_want(r, PASS_WHAT), lw_keyed_want(r, BEYOND);
    lw_keyed_text(r, PASS_WHAT, to->what, sizeof to->what, "");
    put_places(r, file, PASS[BEYOND].path, to->beyond);
    if (lw_keyed_get(r, PASS_CLOSES, &value))
        to->closes_day = value.at.day;
    if (lw_keyed_get(r, PASS_OPENS, &value))
        to->opens_day = value.at.day;
    if (!r->code && !to->closes_day && !to->opens_day) {
        (void)lw_fail(r->err, LW_E_MISSING, "say when %s closes or opens, closes: 2027-11-01 or opens: 2027-05-28",
                      lw_quoted(to->what, strlen(to->what)).text);
        lw_keyed_refuse(r, r->item);
    }
}

int lw_trip_file_is_shut(const lw_trip_file_pass *pass, int64_t day)
{
    const int is_after = pass->closes_day && day >= pass->closes_day,
              is_before = pass->opens_day && day < pass->opens_day;
    return pass->closes_day && pass->opens_day && pass->closes_day < pass->opens_day ? is_after && is_before
                                                                                     : is_after || is_before;
}

static int read_named(lw_keyed *r, int key, const lw_trip_file *file, int instead)
{
    const lw_yaml_node *node = r->code ? NULL : lw_yaml_child(r->item, TRIP[key].path);
    if (!node)
        return instead;
    const int at = node->text ? place_named(file, node->text) : -1;
    if (at < 0)
        r->code = no_such_place(file, node, r->err);
    return at;
}

static double usual_km_usd(lw_keyed *r)
{
    lw_usual_price price = {.usd = 0.0};
    if (!r->code)
        r->code = lw_usual_price_of("rig-road-km", &price, r->err);
    return price.usd;
}

/* A number, or what it usually is: then it is noted that the file does not say. */
static double number_or_usual(lw_keyed *r, int at, double scale, double instead, lw_trip_usual which, lw_trip_file *to)
{
    if (!lw_yaml_child(r->item, r->key[at].path))
        to->usual |= UINT32_C(1) << which;
    return lw_keyed_number(r, at, scale, instead);
}

static void read_trip(lw_keyed *r, const char *name, lw_trip_file *to)
{
    lw_value value = {.si = NAN};
    char camp[256], days[64];
    lw_keyed_want(r, FROM), lw_keyed_want(r, UNTIL), lw_keyed_want(r, START);
    lw_keyed_text(r, CAMP, camp, sizeof camp, "");
    if (camp[0] && strcmp(camp, "book") != 0)
        lw_scenario_beside(to->camp, sizeof to->camp, name, camp);
    if (lw_keyed_get(r, FROM, &value))
        to->from_day = value.at.day;
    if (lw_keyed_get(r, UNTIL, &value))
        to->until_day = value.at.day;
    to->start = read_named(r, START, to, 0);
    to->end = read_named(r, END, to, -1);
    to->work_frac = number_or_usual(r, WORK_CHANCE, 1.0, 0.8, LW_TRIP_USUAL_WORK, to);
    to->drive_day_s = number_or_usual(r, DRIVE_DAY, 1.0, 5.0 * 3600.0, LW_TRIP_USUAL_DRIVE_DAY, to);
    to->drive_week_s = number_or_usual(r, DRIVE_WEEK, 1.0, 14.0 * 3600.0, LW_TRIP_USUAL_DRIVE_WEEK, to);
    to->coldest_c = lw_keyed_number(r, COLDEST, 1.0, NAN);
    to->hottest_c = lw_keyed_number(r, HOTTEST, 1.0, NAN);
    to->nights_frac = number_or_usual(r, NIGHTS_CHANCE, 1.0, 0.8, LW_TRIP_USUAL_NIGHTS, to);
    to->supplies_frac = number_or_usual(r, SUPPLIES_CHANCE, 1.0, 0.8, LW_TRIP_USUAL_SUPPLIES, to);
    to->budget_usd = lw_keyed_number(r, BUDGET, 1.0, NAN);
    to->km_usd = number_or_usual(r, PER_MILE, 1.0 / KM_PER_MILE, usual_km_usd(r), LW_TRIP_USUAL_PER_MILE, to);
    to->hour_usd = number_or_usual(r, HOUR, 1.0, 8.0, LW_TRIP_USUAL_HOUR, to);
    to->move_usd = number_or_usual(r, MOVE, 1.0, 12.0, LW_TRIP_USUAL_MOVE, to);
    lw_keyed_text(r, DRIVE_DAYS, days, sizeof days, "");
    if (!r->code && days[0] && lw_weekdays_parse(days, &to->drive_days, r->err))
        lw_keyed_refuse(r, lw_yaml_child(r->item, TRIP[DRIVE_DAYS].path));
    const int64_t nights = to->until_day - to->from_day;
    want_order(r, to->from_day, to->until_day, "from", TRIP[UNTIL].path);
    if (!r->code && (nights < 1 || nights > LW_TRIP_DAYS)) {
        (void)lw_fail(r->err, LW_E_RANGE, "a trip has from 1 to %d nights; this one has %lld", LW_TRIP_DAYS,
                      (long long)nights);
        lw_keyed_refuse(r, lw_yaml_child(r->item, TRIP[UNTIL].path));
    }
}

static lw_code list_of(const lw_yaml *tree, const char *key, int most, int is_needed, const lw_yaml_node **list,
                       lw_err *err)
{
    *list = lw_yaml_child(tree->root, key);
    if (*list ? (*list)->kind != LW_YAML_LIST : is_needed) {
        (void)lw_fail(err, LW_E_MISSING,
                      "there is no list %s; a trip has trip:, places: or candidates:, and perhaps wishes:", key);
        return lw_yaml_at(*list ? *list : tree->root, err);
    }
    if (*list && (*list)->count > most) {
        (void)lw_fail(err, LW_E_FULL, "%d of %s; at most %d fit", (*list)->count, key, most);
        return lw_yaml_at(*list, err);
    }
    return LW_OK;
}

/* Those from elsewhere, as far as there is room. */
static void add_more(const lw_trip_file_more *more, lw_trip_file *to)
{
    for (int i = 0; more && i < more->place_count && to->place_count < LW_TRIP_FILE_PLACES; i++)
        if (place_named(to, more->place[i].name) < 0)
            to->place[to->place_count++] = more->place[i];
    for (int i = 0; more && i < more->service_count && to->service_count < LW_TRIP_FILE_SERVICES; i++)
        to->service[to->service_count++] = more->service[i];
}

static lw_code read_places(const lw_yaml *tree, const lw_trip_file_more *more, lw_trip_file *to, lw_err *err)
{
    const lw_yaml_node *list = NULL;
    lw_code code = list_of(tree, "places", LW_TRIP_FILE_PLACES, !more || more->place_count == 0, &list, err);
    for (const lw_yaml_node *item = list ? list->first : NULL; item && !code; item = item->next) {
        lw_keyed r = lw_keyed_item(item, PLACE, PLACE_KEYS, err);
        lw_trip_file_place *place = &to->place[to->place_count];
        read_place(&r, place);
        if (!lw_yaml_child(r.item, PLACE[WORTH].path))
            to->usual |= UINT32_C(1) << LW_TRIP_USUAL_WORTH;
        if (!r.code && place_named(to, place->name) >= 0) {
            (void)lw_fail(err, LW_E_CONFLICT, "two places are named %s",
                          lw_quoted(place->name, strlen(place->name)).text);
            lw_keyed_refuse(&r, item);
        }
        to->place_count++;
        code = r.code;
    }
    list = NULL;
    code = code ? code : list_of(tree, "services", LW_TRIP_FILE_SERVICES, 0, &list, err);
    for (const lw_yaml_node *item = list ? list->first : NULL; item && !code; item = item->next) {
        lw_keyed r = lw_keyed_item(item, SERVICE, SERVICE_KEYS, err);
        read_service(&r, &to->service[to->service_count++]);
        code = r.code;
    }
    if (!code)
        add_more(more, to);
    return code;
}

/* A part that is mistyped would be left out without a word. */
static lw_code want_parts(const lw_yaml_node *root, lw_err *err)
{
    static const char *const PART[] = {"leeway",   "trip",   "places",  "candidates",
                                       "services", "wishes", "friends", "passes"};
    enum { PARTS = sizeof PART / sizeof PART[0] };
    for (const lw_yaml_node *one = root ? root->first : NULL; one && root->kind == LW_YAML_MAP; one = one->next) {
        int at = 0;
        while (at < PARTS && strcmp(PART[at], one->key) != 0)
            at++;
        if (at < PARTS)
            continue;
        const char *near = lw_nearest(one->key, PART, PARTS);
        (void)lw_fail(err, LW_E_SYNTAX,
                      near ? "a trip has no part %s; did you mean %s?"
                           : "a trip has no part %s%s; it has trip, places, "
                             "candidates, services, wishes, friends, passes",
                      lw_quoted(one->key, strlen(one->key)).text, near ? near : "");
        return lw_yaml_at(one, err);
    }
    return LW_OK;
}

static lw_code read_tree(const lw_yaml *tree, const char *name, const lw_trip_file_more *more, lw_trip_file *to,
                         lw_err *err)
{
    const lw_yaml_node *version = lw_yaml_child(tree->root, "leeway"), *trip = lw_yaml_child(tree->root, "trip"),
                       *list = NULL;
    if (!version || !version->text || strcmp(version->text, "1") != 0 || !trip) {
        (void)lw_fail(err, LW_E_MISSING, "a trip begins with leeway: 1 and has a part trip:");
        return lw_yaml_at(tree->root, err);
    }
    lw_code code = want_parts(tree->root, err);
    code = code ? code : read_places(tree, more, to, err);
    if (code)
        return code;
    lw_keyed r = lw_keyed_item(trip, TRIP, TRIP_KEYS, err);
    read_trip(&r, name, to);
    code = r.code ? r.code : list_of(tree, "wishes", LW_TRIP_FILE_WISHES, 0, &list, err);
    for (const lw_yaml_node *item = list ? list->first : NULL; item && !code; item = item->next) {
        lw_keyed w = lw_keyed_item(item, WISH, WISH_KEYS, err);
        read_wish(&w, to, &to->wish[to->wish_count++]);
        code = w.code;
    }
    list = NULL;
    code = code ? code : list_of(tree, "friends", LW_TRIP_FILE_FRIENDS, 0, &list, err);
    for (const lw_yaml_node *item = list ? list->first : NULL; item && !code; item = item->next) {
        lw_keyed f = lw_keyed_item(item, FRIENDS, FRIENDS_KEYS, err);
        read_friends(&f, &to->friends[to->friends_count++]);
        code = f.code;
    }
    list = NULL;
    code = code ? code : list_of(tree, "passes", LW_TRIP_FILE_PASSES, 0, &list, err);
    for (const lw_yaml_node *item = list ? list->first : NULL; item && !code; item = item->next) {
        lw_keyed f = lw_keyed_item(item, PASS, PASS_KEYS, err);
        read_pass(&f, to, &to->pass[to->pass_count++]);
        code = f.code;
    }
    return code;
}

static lw_code finish(lw_yaml *tree, lw_code code, const char *name, const lw_trip_file_more *more, lw_trip_file *file,
                      lw_err *err)
{
    lw_trip_file *made = code ? NULL : calloc(1, sizeof *made);
    if (!code && !made)
        code = lw_fail(err, LW_E_FULL, "no memory for a trip");
    if (made) {
        code = read_tree(tree, name, more, made, err);
        if (!code)
            *file = *made;
    }
    lw_yaml_clear(tree);
    free(made);
    return code;
}

lw_code lw_trip_file_load(const char *path, lw_trip_file *file, lw_err *err)
{
    lw_yaml tree = {0};
    return finish(&tree, lw_yaml_load(&tree, path, err), path, NULL, file, err);
}

lw_code lw_trip_file_read(const char *name, const char *bytes, size_t size, const lw_trip_file_more *more,
                          lw_trip_file *file, lw_err *err)
{
    lw_yaml tree = {0};
    return finish(&tree, lw_yaml_read(&tree, name, bytes, size, err), name, more, file, err);
}
