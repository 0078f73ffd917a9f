#include "exchange/errands.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/keyed_internal.h"
#include "exchange/usual_price.h"
#include "exchange/yaml_whole.h"
#include "text/decimal.h"
#include "text/say.h"

static const double KM_PER_MILE = 1.609344;    /* international mile, exact */
static const double CAN_L = 5.0 * 3.785411784; /* the usual can of 5 US gallons (NIST SP 811) */

static const double KG_PER_L = 1.0; /* water, near enough at any temperature it is carried at */

enum {
    NAME,
    GIVES,
    DISTANCE,
    ROAD,
    TIME,
    FEE,
    FEES,
    PASS,
    PASS_FEE,
    BUY,
    BAG,
    OPEN,
    FROM,
    UNTIL,
    CLOSED_FROM,
    CLOSED_UNTIL,
    FOR,
    CONFIRMED,
    SERVICE_KEYS
};
enum {
    KIND,
    RUN_NAME,
    CANS,
    CAN,
    CAN_TIME,
    LIFT,
    PAYLOAD,
    WASTE_TANK,
    WASTE_TIME,
    READY,
    POUR,
    TROUBLE,
    PER_MILE,
    LOSE,
    RUN_KEYS
};
enum { PLACE, PLACE_DISTANCE, PLACE_ROAD, PLACE_TROUBLE, NIGHT, FALLBACK_KEYS };

#define MONEY(key, high_usd, shown)                                                                                    \
    {                                                                                                                  \
        .path = key, .kind = LW_KEY_QUANTITY, .dim = LW_DIM_MONEY, .high = high_usd, .example = shown                  \
    }
#define TIME_OF(key, shown)                                                                                            \
    {                                                                                                                  \
        .path = key, .kind = LW_KEY_QUANTITY, .dim = LW_DIM_TIME, .high = 43200, .example = shown                      \
    }
#define LITRES(key, shown)                                                                                             \
    {                                                                                                                  \
        .path = key, .kind = LW_KEY_QUANTITY, .dim = LW_DIM_VOLUME, .high = 2000, .example = shown                     \
    }
#define KILOS(key, most, shown)                                                                                        \
    {                                                                                                                  \
        .path = key, .kind = LW_KEY_QUANTITY, .dim = LW_DIM_MASS, .high = most, .example = shown                       \
    }
#define WAY(key)                                                                                                       \
    {                                                                                                                  \
        .path = key, .kind = LW_KEY_QUANTITY, .dim = LW_DIM_LENGTH, .high = 2e6, .example = "12 mi"                    \
    }
#define DAY(key, shown)                                                                                                \
    {                                                                                                                  \
        .path = key, .kind = LW_KEY_DATE, .example = shown                                                             \
    }

static const char GIVEN[] = "water|drinking|dump|rubbish|propane|fuel|groceries";

static const lw_key SERVICE[SERVICE_KEYS] = {
    [NAME] = {.path = "name", .kind = LW_KEY_TEXT, .example = "Ranger station"},
    [GIVES] = {.path = "gives", .kind = LW_KEY_WORDS, .words = GIVEN, .example = "water, dump"},
    [DISTANCE] = WAY("distance"),
    [ROAD] = TIME_OF("road", "25 min"),
    [TIME] = TIME_OF("time", "20 min"),
    [FEE] = MONEY("fee", 1e4, "10 USD"),
    [FEES] = {.path = "fees", .kind = LW_KEY_MAP, .example = "{dump: 10 USD}"},
    [PASS] = {.path = "pass", .kind = LW_KEY_TEXT, .example = "county pass"},
    [PASS_FEE] = MONEY("pass_fee", 1e4, "5 USD"),
    [BUY] = MONEY("buy", 1e4, "10 USD"),
    [BAG] = LITRES("bag", "13 gal"),
    [OPEN] = {.path = "open", .kind = LW_KEY_HOURS, .example = "8:00-17:00"},
    [FROM] = DAY("from", "2026-05-01"),
    [UNTIL] = DAY("until", "2026-10-15"),
    [CLOSED_FROM] = DAY("closed_from", "2026-07-03"),
    [CLOSED_UNTIL] = DAY("closed_until", "2026-07-05"),
    [FOR] = {.path = "for", .kind = LW_KEY_WORD, .words = "public|asked|customers|unknown", .example = "public"},
    [CONFIRMED] = DAY("confirmed", "2026-05-20"),
};
static const lw_key RUN[RUN_KEYS] = {
    [KIND] = {.path = "kind", .kind = LW_KEY_WORD, .words = "runabout|break-camp", .example = "runabout"},
    [RUN_NAME] = {.path = "name", .kind = LW_KEY_TEXT, .example = "little car"},
    [CANS] = LITRES("cans", "20 gal"),
    [CAN] = LITRES("can", "5 gal"),
    [CAN_TIME] = TIME_OF("can_time", "4 min"),
    [LIFT] = KILOS("lift", 200, "45 lb"),
    [PAYLOAD] = KILOS("payload", 5000, "400 lb"),
    [WASTE_TANK] = LITRES("waste_tank", "15 gal"),
    [WASTE_TIME] = TIME_OF("waste_time", "15 min"),
    [READY] = TIME_OF("ready", "20 min"),
    [POUR] = TIME_OF("pour", "10 min"),
    [TROUBLE] = MONEY("trouble", 1e4, "5 USD"),
    [PER_MILE] = MONEY("per_mile", 100, "0.30 USD"),
    [LOSE] = {.path = "lose", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_FRACTION, .high = 1, .example = "20 %"},
};
static const lw_key FALLBACK[FALLBACK_KEYS] = {
    [PLACE] = {.path = "name", .kind = LW_KEY_TEXT, .example = "the next wash"},
    [PLACE_DISTANCE] = WAY("distance"),
    [PLACE_ROAD] = TIME_OF("road", "25 min"),
    [PLACE_TROUBLE] = MONEY("trouble", 1e4, "10 USD"),
    [NIGHT] = MONEY("night", 1e4, "15 USD"),
};
static const lw_key PASS_NAME = {.path = "passes", .kind = LW_KEY_TEXT, .example = "county pass"};

/* What each word of `gives` serves. */
static const uint32_t SERVES[] = {
    UINT32_C(1) << LW_SUPPLY_FRESH,
    UINT32_C(1) << LW_SUPPLY_DRINKING,
    UINT32_C(1) << LW_SUPPLY_GREY | UINT32_C(1) << LW_SUPPLY_BLACK,
    UINT32_C(1) << LW_SUPPLY_RUBBISH,
    UINT32_C(1) << LW_SUPPLY_PROPANE,
    UINT32_C(1) << LW_SUPPLY_FUEL,
    UINT32_C(1) << LW_SUPPLY_FOOD,
};

uint32_t lw_errand_supplies(const char *word)
{
    char buf[LW_NAME];
    for (int i = 0; lw_word_at(GIVEN, i, buf, sizeof buf); i++)
        if (strcmp(buf, word) == 0)
            return SERVES[i];
    return 0;
}

void lw_errands_assume(lw_errands *errands, const char *of, const char *key, const char *value, const char *source,
                       const char *kind)
{
    if (errands->assumed_count == LW_ERRAND_ASSUMED)
        return;
    lw_assumption *a = &errands->assumed[errands->assumed_count++];
    snprintf(a->key, sizeof a->key, "%.47s: %.40s", of, key);
    snprintf(a->value, sizeof a->value, "%.63s", value);
    snprintf(a->source, sizeof a->source, "%.159s", source);
    snprintf(a->kind, sizeof a->kind, "%.23s", kind ? kind : "from memory");
}

lw_code lw_errands_usual_way(lw_errands *errands, lw_errand_type *type, lw_err *err)
{
    lw_usual_price price;
    char value[LW_DECIMAL_BYTES + 8];
    const lw_code code = lw_usual_price_of(type->is_break_camp ? "rig-road-km" : "runabout-km", &price, err);
    if (code)
        return code;
    lw_decimal_print(value, sizeof value, price.usd * KM_PER_MILE, 3, 1);
    snprintf(value + strlen(value), sizeof value - strlen(value), " USD");
    lw_errands_assume(errands, type->name, RUN[PER_MILE].path, value, price.source, price.kind);
    type->km_usd = price.usd;
    snprintf(type->km_source, sizeof type->km_source, "%.*s", LW_ERRAND_SOURCE - 1, price.source);
    return LW_OK;
}

/* What a file leaves out of one of its items. */
typedef struct usual {
    int key;
    const char *value, *source;
} usual;

static void assume(const lw_keyed *r, const char *of, const usual *row, size_t rows, lw_errands *to)
{
    for (size_t i = 0; i < rows && !r->code; i++)
        if (!lw_yaml_child(r->item, r->key[row[i].key].path))
            lw_errands_assume(to, of, r->key[row[i].key].path, row[i].value, row[i].source, NULL);
}

static void assume_of_service(const lw_keyed *r, const lw_errand_service *s, lw_errands *to)
{
    static const usual USUAL[] = {{TIME, "20 min", "parking, waiting and doing it"},
                                  {FEE, "0 USD", "none is said"},
                                  {OPEN, "always", "no hours are said"},
                                  {FOR, "unknown", "nobody said who may use it: never relied on"}};
    assume(r, s->name, USUAL, sizeof USUAL / sizeof USUAL[0], to);
}

static void assume_of_run(const lw_keyed *r, const lw_errand_type *t, lw_errands *to)
{
    static const usual CAR[] = {{READY, "20 min", "packing and unpacking, there and back"},
                                {POUR, "0 min", "none is said"}};
    static const usual CAMP[] = {{READY, "90 min", "tearing down and setting up"},
                                 {LOSE, "0 %", "that the spot is gone: none is said"}};
    static const usual CANS_TOO[] = {{CAN, "5 gal", "a usual can"}, {CAN_TIME, "0 min", "none is said"}};
    static const usual TANK_TOO[] = {{WASTE_TIME, "0 min", "none is said"}};
    if (t->is_break_camp)
        assume(r, t->name, CAMP, sizeof CAMP / sizeof CAMP[0], to);
    else
        assume(r, t->name, CAR, sizeof CAR / sizeof CAR[0], to);
    if (!isnan(t->cans_said_l))
        assume(r, t->name, CANS_TOO, sizeof CANS_TOO / sizeof CANS_TOO[0], to);
    if (!isnan(t->waste_said_l))
        assume(r, t->name, TANK_TOO, sizeof TANK_TOO / sizeof TANK_TOO[0], to);
}

static lw_code read_fee(const lw_keyed *r, const lw_yaml_node *node, lw_value *value)
{
    return node->kind == LW_YAML_SCALAR
               ? lw_value_read(&r->key[FEE], node->text, value, r->err)
               : lw_fail(r->err, LW_E_SYNTAX, "one price stands here, such as %s", r->key[FEE].example);
}

/* What is paid for one thing alone: of the dump grey pays it and black goes with it, unless the rig has black only. */
static void read_fees(lw_keyed *r, lw_errand_service *to)
{
    const lw_yaml_node *fees = r->code ? NULL : lw_yaml_child(r->item, r->key[FEES].path);
    if (fees && fees->kind != LW_YAML_MAP) {
        (void)lw_fail(r->err, LW_E_SYNTAX, "a map of prices stands here, such as %s", r->key[FEES].example);
        lw_keyed_refuse(r, fees);
        return;
    }
    for (const lw_yaml_node *node = fees ? fees->first : NULL; node && !r->code; node = node->next) {
        const uint32_t supplies = lw_errand_supplies(node->key);
        lw_value value = {.si = NAN};
        if (!supplies || !(supplies & to->supplies)) {
            (void)lw_fail(r->err, LW_E_SYNTAX, "%s is not among what it gives",
                          lw_quoted(node->key, strlen(node->key)).text);
            lw_keyed_refuse(r, node);
        } else if (read_fee(r, node, &value))
            lw_keyed_refuse(r, node);
        for (int k = 0; k < LW_SUPPLY_COUNT && !r->code; k++)
            if (supplies >> k & 1u) {
                to->each_usd[k] = value.si;
                break;
            }
    }
}

static int32_t day_or_none(lw_keyed *r, int at)
{
    lw_value value = {.si = NAN};
    return lw_keyed_get(r, at, &value) ? (int32_t)value.at.day : 0;
}

static int is_at_hand(const lw_yaml_node *passes, const char *pass)
{
    const lw_yaml_node *node = !passes ? NULL : passes->kind == LW_YAML_LIST ? passes->first : passes;
    for (; node; node = passes->kind == LW_YAML_LIST ? node->next : NULL)
        if (node->text && strcmp(node->text, pass) == 0)
            return 1;
    return 0;
}

static void read_terms(lw_keyed *r, const lw_yaml_node *passes, lw_errand_service *to)
{
    lw_value value = {.si = NAN};
    to->fee_usd = lw_keyed_number(r, FEE, 1.0, 0.0);
    read_fees(r, to);
    lw_keyed_text(r, PASS, to->pass, sizeof to->pass, "");
    to->is_cut = to->pass[0] && is_at_hand(passes, to->pass);
    const double with_pass_usd = lw_keyed_number(r, PASS_FEE, 1.0, 0.0);
    to->fee_usd = to->is_cut ? with_pass_usd : to->fee_usd;
    to->buy_usd = lw_keyed_number(r, BUY, 1.0, 0.0);
    if (lw_keyed_get(r, FOR, &value))
        to->users = (lw_errand_users)value.word;
    to->confirmed_day = day_or_none(r, CONFIRMED);
}

static void read_service(lw_keyed *r, const lw_yaml_node *passes, lw_errand_service *to)
{
    lw_value value = {.si = NAN};
    lw_keyed_want(r, NAME), lw_keyed_want(r, GIVES), lw_keyed_want(r, DISTANCE), lw_keyed_want(r, ROAD);
    *to = (lw_errand_service){.users = LW_ERRAND_UNKNOWN};
    lw_keyed_text(r, NAME, to->name, sizeof to->name, "");
    if (lw_keyed_get(r, GIVES, &value))
        for (size_t i = 0; i < sizeof SERVES / sizeof SERVES[0]; i++)
            to->supplies |= value.words >> i & 1u ? SERVES[i] : 0u;
    to->road_km = lw_keyed_number(r, DISTANCE, 1e-3, 0.0);
    to->road_h = lw_keyed_number(r, ROAD, 1.0 / 3600.0, 0.0);
    to->time_h = lw_keyed_number(r, TIME, 1.0 / 3600.0, 1.0 / 3.0);
    to->bag_l = lw_keyed_number(r, BAG, 1.0, 0.0);
    for (int d = 0; d < 7; d++)
        to->open[d] = (UINT32_C(1) << 24) - 1u;
    if (lw_keyed_get(r, OPEN, &value))
        memcpy(to->open, value.hours, sizeof to->open);
    to->from_day = day_or_none(r, FROM);
    to->until_day = day_or_none(r, UNTIL);
    to->closed_from = day_or_none(r, CLOSED_FROM);
    to->closed_until = day_or_none(r, CLOSED_UNTIL);
    if (to->closed_from && !to->closed_until)
        to->closed_until = to->closed_from;
    read_terms(r, passes, to);
    snprintf(to->source, sizeof to->source, "%.79s:%d", r->item->from, r->item->line);
}

/* What may be carried: one can no heavier than may be lifted, all of it no heavier than the vehicle takes. */
static void hold_to_mass(lw_errand_type *to)
{
    to->cans_l = to->cans_said_l, to->waste_l = to->waste_said_l;
    if (!isnan(to->lift_kg) && to->can_l * KG_PER_L > to->lift_kg)
        to->cans_l *= to->lift_kg / (to->can_l * KG_PER_L);
    if (!isnan(to->payload_kg)) {
        to->cans_l = isnan(to->cans_l) ? NAN : fmin(to->cans_l, to->payload_kg / KG_PER_L);
        to->waste_l = isnan(to->waste_l) ? NAN : fmin(to->waste_l, to->payload_kg / KG_PER_L);
    }
}

static void read_run(lw_keyed *r, lw_errand_type *to)
{
    lw_value value = {.si = NAN};
    lw_keyed_want(r, KIND);
    *to = (lw_errand_type){.cans_l = NAN};
    if (lw_keyed_get(r, KIND, &value))
        to->is_break_camp = value.word == 1;
    lw_keyed_text(r, RUN_NAME, to->name, sizeof to->name, to->is_break_camp ? "breaking camp" : "runabout");
    to->cans_said_l = lw_keyed_number(r, CANS, 1.0, NAN);
    to->waste_said_l = lw_keyed_number(r, WASTE_TANK, 1.0, NAN);
    to->can_l = lw_keyed_number(r, CAN, 1.0, CAN_L);
    to->can_h = lw_keyed_number(r, CAN_TIME, 1.0 / 3600.0, 0.0);
    to->waste_h = lw_keyed_number(r, WASTE_TIME, 1.0 / 3600.0, 0.0);
    to->lift_kg = lw_keyed_number(r, LIFT, 1.0, NAN);
    to->payload_kg = lw_keyed_number(r, PAYLOAD, 1.0, NAN);
    to->ready_h = lw_keyed_number(r, READY, 1.0 / 3600.0, to->is_break_camp ? 1.5 : 1.0 / 3.0);
    to->pour_h = lw_keyed_number(r, POUR, 1.0 / 3600.0, 0.0);
    to->trouble_usd = lw_keyed_number(r, TROUBLE, 1.0, 0.0);
    to->km_usd = lw_keyed_number(r, PER_MILE, 1.0 / KM_PER_MILE, NAN);
    snprintf(to->km_source, sizeof to->km_source, "per_mile of the way, yours");
    to->lose_frac = lw_keyed_number(r, LOSE, 1.0, 0.0);
    if (to->can_l > 0.0)
        hold_to_mass(to);
}

static void read_fallback(lw_keyed *r, lw_errand_fallback *to)
{
    lw_keyed_want(r, PLACE), lw_keyed_want(r, PLACE_DISTANCE), lw_keyed_want(r, PLACE_ROAD);
    lw_keyed_text(r, PLACE, to->name, sizeof to->name, "");
    to->road_km = lw_keyed_number(r, PLACE_DISTANCE, 1e-3, 0.0);
    to->road_h = lw_keyed_number(r, PLACE_ROAD, 1.0 / 3600.0, 0.0);
    to->trouble_usd = lw_keyed_number(r, PLACE_TROUBLE, 1.0, 0.0);
    to->night_usd = lw_keyed_number(r, NIGHT, 1.0, 0.0);
}

static lw_code list_of(const lw_yaml *tree, const char *key, int most, const lw_yaml_node **list, lw_err *err)
{
    *list = tree->root->kind == LW_YAML_MAP ? lw_yaml_child(tree->root, key) : NULL;
    if (!*list || (*list)->kind != LW_YAML_LIST) {
        (void)lw_fail(err, LW_E_MISSING, "there is no list %s; a file of errands has services: and runs:", key);
        return lw_yaml_at(tree->root, err);
    }
    if ((*list)->count > most) {
        (void)lw_fail(err, LW_E_FULL, "%d of %s; at most %d fit", (*list)->count, key, most);
        return lw_yaml_at(*list, err);
    }
    return LW_OK;
}

static lw_code check_passes(const lw_yaml_node *passes, lw_err *err)
{
    int count = 0;
    if (!passes)
        return LW_OK;
    for (const lw_yaml_node *node = passes->kind == LW_YAML_LIST ? passes->first : passes; node;
         node = passes->kind == LW_YAML_LIST ? node->next : NULL) {
        if (node->kind != LW_YAML_SCALAR) {
            (void)lw_fail(err, LW_E_SYNTAX, "names of passes stand here, such as %s", PASS_NAME.example);
            return lw_yaml_at(node, err);
        }
        if (++count > LW_ERRAND_PASSES) {
            (void)lw_fail(err, LW_E_FULL, "at most %d passes fit", LW_ERRAND_PASSES);
            return lw_yaml_at(node, err);
        }
    }
    return LW_OK;
}

static lw_code check_top(const lw_yaml *tree, lw_err *err)
{
    static const char *const KEYS[] = {"services", "runs", "passes", "fallback"};
    const size_t count = sizeof KEYS / sizeof KEYS[0];
    for (const lw_yaml_node *node = tree->root->kind == LW_YAML_MAP ? tree->root->first : NULL; node;
         node = node->next) {
        int is_known = 0;
        for (size_t i = 0; i < count; i++)
            is_known |= strcmp(KEYS[i], node->key) == 0;
        if (is_known)
            continue;
        const char *near = lw_nearest(node->key, KEYS, count);
        (void)lw_fail(err, LW_E_SYNTAX,
                      near ? "there is no key %s here; did you mean %s?" : "there is no key %s here%s",
                      lw_quoted(node->key, strlen(node->key)).text, near ? near : "");
        return lw_yaml_at(node, err);
    }
    return LW_OK;
}

static lw_code read_tree(const lw_yaml *tree, const char *name, void *into, lw_err *err)
{
    lw_errands *to = into;
    (void)name;
    const lw_yaml_node *services = NULL, *runs = NULL;
    lw_code code = list_of(tree, "services", LW_ERRAND_SERVICES, &services, err);
    code = code ? code : list_of(tree, "runs", LW_ERRAND_TYPES, &runs, err);
    code = code ? code : check_top(tree, err);
    if (code || !services || !runs)
        return code;
    const lw_yaml_node *passes = lw_yaml_child(tree->root, "passes"), *fallback = lw_yaml_child(tree->root, "fallback");
    code = check_passes(passes, err);
    for (const lw_yaml_node *item = services->first; item && !code; item = item->next) {
        lw_keyed r = lw_keyed_item(item, SERVICE, SERVICE_KEYS, err);
        read_service(&r, passes, &to->service[to->service_count]);
        assume_of_service(&r, &to->service[to->service_count++], to);
        code = r.code;
    }
    for (const lw_yaml_node *item = runs->first; item && !code; item = item->next) {
        lw_keyed r = lw_keyed_item(item, RUN, RUN_KEYS, err);
        lw_errand_type *type = &to->type[to->type_count++];
        read_run(&r, type);
        assume_of_run(&r, type, to);
        code = r.code || !isnan(type->km_usd) ? r.code : lw_errands_usual_way(to, type, err);
    }
    if (fallback && !code) {
        lw_keyed r = lw_keyed_item(fallback, FALLBACK, FALLBACK_KEYS, err);
        read_fallback(&r, &to->fallback);
        code = r.code;
    }
    return code;
}

lw_code lw_errands_load(const char *path, lw_errands *errands, lw_err *err)
{
    return lw_yaml_whole(&(lw_yaml_source){.name = path}, read_tree, sizeof *errands, errands, err);
}

lw_code lw_errands_read(const char *name, const char *bytes, size_t size, lw_errands *errands, lw_err *err)
{
    const lw_yaml_source from = {.name = name, .bytes = bytes, .size = size};
    return lw_yaml_whole(&from, read_tree, sizeof *errands, errands, err);
}

lw_code lw_errands_text(const char *path, char *buf, size_t n, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        return lw_fail(err, LW_E_IO, "%s cannot be read: %s", path, strerror(errno));
    const size_t size = fread(buf, 1, n, file);
    const int is_broken = ferror(file);
    (void)fclose(file);
    if (is_broken)
        return lw_fail(err, LW_E_IO, "%s cannot be read to its end", path);
    if (size == n)
        return lw_fail(err, LW_E_FULL, "%s is longer than the %d letters that the book keeps of it", path, (int)n - 1);
    buf[size] = '\0';
    return LW_OK;
}
