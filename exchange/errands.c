#include "exchange/errands.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/keyed_internal.h"
#include "text/say.h"

static const double KM_PER_MILE = 1.609344; /* international mile, exact */

enum { NAME, GIVES, DISTANCE, ROAD, TIME, FEE, OPEN, FROM, UNTIL, FOR, SERVICE_KEYS };
enum { KIND, RUN_NAME, CANS, WASTE_TANK, READY, POUR, TROUBLE, PER_MILE, RUN_KEYS };

static const lw_key SERVICE[SERVICE_KEYS] = {
    [NAME] = {.path = "name", .kind = LW_KEY_TEXT, .example = "Ranger station"},
    [GIVES] = {.path = "gives",
               .kind = LW_KEY_WORDS,
               .words = "water|drinking|dump|rubbish|propane|fuel|groceries",
               .example = "water, dump"},
    [DISTANCE] = {.path = "distance", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_LENGTH, .high = 2e6, .example = "12 mi"},
    [ROAD] = {.path = "road", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_TIME, .high = 43200, .example = "25 min"},
    [TIME] = {.path = "time", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_TIME, .high = 43200, .example = "20 min"},
    [FEE] = {.path = "fee", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_MONEY, .high = 1e4, .example = "10 USD"},
    [OPEN] = {.path = "open", .kind = LW_KEY_HOURS, .example = "8:00-17:00"},
    [FROM] = {.path = "from", .kind = LW_KEY_DATE, .example = "2026-05-01"},
    [UNTIL] = {.path = "until", .kind = LW_KEY_DATE, .example = "2026-10-15"},
    [FOR] = {.path = "for", .kind = LW_KEY_WORD, .words = "public|asked|customers|unknown", .example = "public"},
};
static const lw_key RUN[RUN_KEYS] = {
    [KIND] = {.path = "kind", .kind = LW_KEY_WORD, .words = "runabout|break-camp", .example = "runabout"},
    [RUN_NAME] = {.path = "name", .kind = LW_KEY_TEXT, .example = "little car"},
    [CANS] = {.path = "cans", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_VOLUME, .high = 2000, .example = "20 gal"},
    [WASTE_TANK] =
        {.path = "waste_tank", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_VOLUME, .high = 2000, .example = "15 gal"},
    [READY] = {.path = "ready", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_TIME, .high = 43200, .example = "20 min"},
    [POUR] = {.path = "pour", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_TIME, .high = 43200, .example = "10 min"},
    [TROUBLE] = {.path = "trouble", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_MONEY, .high = 1e4, .example = "5 USD"},
    [PER_MILE] = {.path = "per_mile", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_MONEY, .high = 100, .example = "0.30 USD"},
};

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

static void read_service(lw_keyed *r, lw_errand_service *to)
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
    to->fee_usd = lw_keyed_number(r, FEE, 1.0, 0.0);
    for (int d = 0; d < 7; d++)
        to->open[d] = (UINT32_C(1) << 24) - 1u;
    if (lw_keyed_get(r, OPEN, &value))
        memcpy(to->open, value.hours, sizeof to->open);
    if (lw_keyed_get(r, FROM, &value))
        to->from_day = (int32_t)value.at.day;
    if (lw_keyed_get(r, UNTIL, &value))
        to->until_day = (int32_t)value.at.day;
    if (lw_keyed_get(r, FOR, &value))
        to->users = (lw_errand_users)value.word;
}

static void read_run(lw_keyed *r, lw_errand_type *to)
{
    lw_value value = {.si = NAN};
    lw_keyed_want(r, KIND);
    *to = (lw_errand_type){.cans_l = NAN};
    if (lw_keyed_get(r, KIND, &value))
        to->is_break_camp = value.word == 1;
    lw_keyed_text(r, RUN_NAME, to->name, sizeof to->name, to->is_break_camp ? "breaking camp" : "runabout");
    to->cans_l = lw_keyed_number(r, CANS, 1.0, NAN);
    to->waste_l = lw_keyed_number(r, WASTE_TANK, 1.0, NAN);
    to->ready_h = lw_keyed_number(r, READY, 1.0 / 3600.0, to->is_break_camp ? 1.5 : 1.0 / 3.0);
    to->pour_h = lw_keyed_number(r, POUR, 1.0 / 3600.0, to->is_break_camp ? 0.0 : 1.0 / 12.0);
    to->trouble_usd = lw_keyed_number(r, TROUBLE, 1.0, 0.0);
    to->km_usd = lw_keyed_number(r, PER_MILE, 1.0 / KM_PER_MILE, (to->is_break_camp ? 0.6 : 0.3) / KM_PER_MILE);
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

static lw_code read_tree(const lw_yaml *tree, lw_errands *to, lw_err *err)
{
    const lw_yaml_node *services = NULL, *runs = NULL;
    lw_code code = list_of(tree, "services", LW_ERRAND_SERVICES, &services, err);
    code = code ? code : list_of(tree, "runs", LW_ERRAND_TYPES, &runs, err);
    if (code || !services || !runs)
        return code;
    for (const lw_yaml_node *item = services->first; item && !code; item = item->next) {
        lw_keyed r = lw_keyed_item(item, SERVICE, SERVICE_KEYS, err);
        read_service(&r, &to->service[to->service_count++]);
        code = r.code;
    }
    for (const lw_yaml_node *item = runs->first; item && !code; item = item->next) {
        lw_keyed r = lw_keyed_item(item, RUN, RUN_KEYS, err);
        read_run(&r, &to->type[to->type_count++]);
        code = r.code;
    }
    return code;
}

static lw_code finish(lw_yaml *tree, lw_code code, lw_errands *errands, lw_err *err)
{
    lw_errands made = {.service_count = 0};
    code = code ? code : read_tree(tree, &made, err);
    lw_yaml_clear(tree);
    if (!code)
        *errands = made;
    return code;
}

lw_code lw_errands_load(const char *path, lw_errands *errands, lw_err *err)
{
    lw_yaml tree = {0};
    const lw_code code = lw_yaml_load(&tree, path, err);
    return finish(&tree, code, errands, err);
}

lw_code lw_errands_read(const char *name, const char *bytes, size_t size, lw_errands *errands, lw_err *err)
{
    lw_yaml tree = {0};
    const lw_code code = lw_yaml_read(&tree, name, bytes, size, err);
    return finish(&tree, code, errands, err);
}
