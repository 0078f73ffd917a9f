#include "exchange/convoy.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/scenario_internal.h"
#include "exchange/usual_price.h"
#include "exchange/yaml_whole.h"
#include "text/decimal.h"
#include "text/say.h"

static const double KM_PER_MILE = 1.609344; /* international mile, exact */
static const int64_t MOST_S = INT64_C(240) * 86400;

enum { CONVOY, HOUSEHOLD, ZONE, FROM, UNTIL, CONFIDENCE, HOUR_VALUE, FREE, SUPPLIES, LENDS, RIG_KEYS };
enum { SUPPLY, NOW, FULL, USE, COURSES, SUPPLY_KEYS };
enum { THING, NAME, WATER, WASTE_TANK, POWER, READY, POUR, TROUBLE, PER_MILE, THING_KEYS };

static const lw_key RIG[RIG_KEYS] = {
    [CONVOY] = {.path = "convoy", .kind = LW_KEY_TEXT, .example = "1"},
    [HOUSEHOLD] = {.path = "household", .kind = LW_KEY_TEXT, .example = "Snug Harbour"},
    [ZONE] = {.path = "zone", .kind = LW_KEY_TEXT, .example = "America/Denver"},
    [FROM] = {.path = "from", .kind = LW_KEY_TEXT, .example = "2026-06-08T21:00:00Z"},
    [UNTIL] = {.path = "until", .kind = LW_KEY_TEXT, .example = "2026-06-20T16:00:00Z"},
    [CONFIDENCE] = {.path = "confidence",
                    .kind = LW_KEY_QUANTITY,
                    .dim = LW_DIM_FRACTION,
                    .low = 0.5,
                    .high = 0.99,
                    .example = "80 %"},
    [HOUR_VALUE] =
        {.path = "hour_value", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_MONEY, .high = 1000, .example = "10 USD"},
    [FREE] = {.path = "free", .kind = LW_KEY_HOURS, .example = "Mon-Fri 17:00-21:00"},
    [SUPPLIES] = {.path = "supplies", .kind = LW_KEY_LIST, .example = "[{supply: fresh, now: 3 days, full: 4 days}]"},
    [LENDS] = {.path = "lends", .kind = LW_KEY_LIST, .example = "[{thing: bladder, water: 45 gal}]"},
};
static const lw_key ITEM[SUPPLY_KEYS] = {
    [SUPPLY] = {.path = "supply",
                .kind = LW_KEY_WORD,
                .words = "fresh|drinking|grey|black|battery|propane|fuel|rubbish|data|food",
                .example = "fresh"},
    [NOW] = {.path = "now", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_TIME, .high = 86400.0 * 240, .example = "3.2 days"},
    [FULL] =
        {.path = "full", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_TIME, .high = 86400.0 * 240, .example = "4.1 days"},
    [USE] = {.path = "use", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_VOLUME, .high = 5000, .example = "30 L"},
    [COURSES] = {.path = "courses", .kind = LW_KEY_TEXT, .example = "\"3.2/4.1 2.9/3.8\""},
};
static const lw_key LENT[THING_KEYS] = {
    [THING] = {.path = "thing",
               .kind = LW_KEY_WORD,
               .words = "vehicle|bladder|generator|tools|other",
               .example = "vehicle"},
    [NAME] = {.path = "name", .kind = LW_KEY_TEXT, .example = "little car"},
    [WATER] = {.path = "water", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_VOLUME, .high = 2000, .example = "28 gal"},
    [WASTE_TANK] =
        {.path = "waste_tank", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_VOLUME, .high = 2000, .example = "28 gal"},
    [POWER] = {.path = "power", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_POWER, .high = 50000, .example = "2 kW"},
    [READY] = {.path = "ready", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_TIME, .high = 43200, .example = "20 min"},
    [POUR] = {.path = "pour", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_TIME, .high = 43200, .example = "10 min"},
    [TROUBLE] = {.path = "trouble", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_MONEY, .high = 1e4, .example = "3 USD"},
    [PER_MILE] = {.path = "per_mile", .kind = LW_KEY_QUANTITY, .dim = LW_DIM_MONEY, .high = 100, .example = "0.30 USD"},
};

/* In the order of ITEM[SUPPLY].words. */
static const lw_supply SUPPLIES_OF[] = {LW_SUPPLY_FRESH,   LW_SUPPLY_DRINKING, LW_SUPPLY_GREY, LW_SUPPLY_BLACK,
                                        LW_SUPPLY_BATTERY, LW_SUPPLY_PROPANE,  LW_SUPPLY_FUEL, LW_SUPPLY_RUBBISH,
                                        LW_SUPPLY_DATA,    LW_SUPPLY_FOOD};

/* A map whose keys are among those; the first refusal stands. */
typedef struct part {
    const lw_yaml_node *map;
    const lw_key *key;
    int keys;
    lw_err *err;
    lw_code code;
} part;

static void refuse(part *p, const lw_yaml_node *at)
{
    p->code = lw_yaml_at(at, p->err);
}

static void check_keys(part *p)
{
    const char *names[THING_KEYS + RIG_KEYS];
    if (p->map->kind != LW_YAML_MAP) {
        (void)lw_fail(p->err, LW_E_SYNTAX, "a map of keys stands here, such as {%s: %s}", p->key[0].path,
                      p->key[0].example);
        refuse(p, p->map);
        return;
    }
    for (int i = 0; i < p->keys; i++)
        names[i] = p->key[i].path;
    for (const lw_yaml_node *node = p->map->first; node && !p->code; node = node->next) {
        int is_known = 0;
        for (int i = 0; i < p->keys; i++)
            is_known |= strcmp(names[i], node->key) == 0;
        const char *near = is_known ? NULL : lw_nearest(node->key, names, (size_t)p->keys);
        if (is_known)
            continue;
        (void)lw_fail(p->err, LW_E_SYNTAX, "there is no key %s here%s%s%s",
                      lw_quoted(node->key, strlen(node->key)).text, near ? "; did you mean " : "", near ? near : "",
                      near ? "?" : "");
        refuse(p, node);
    }
}

/* The scalar of a key; NULL: it is not said, or something was refused. */
static const lw_yaml_node *scalar(part *p, int at, int is_needed)
{
    const lw_yaml_node *node = p->code ? NULL : lw_yaml_child(p->map, p->key[at].path);
    if (node && node->kind == LW_YAML_SCALAR)
        return node;
    if (p->code || (!node && !is_needed))
        return NULL;
    if (node)
        (void)lw_fail(p->err, LW_E_SYNTAX, "one value stands here, such as %s", p->key[at].example);
    else
        (void)lw_fail(p->err, LW_E_MISSING, "%s is missing; write %s: %s", p->key[at].path, p->key[at].path,
                      p->key[at].example);
    refuse(p, node ? node : p->map);
    return NULL;
}

static int value_of(part *p, int at, int is_needed, lw_value *value)
{
    const lw_yaml_node *node = scalar(p, at, is_needed);
    if (!node)
        return 0;
    if (lw_value_read(&p->key[at], node->text, value, p->err))
        refuse(p, node);
    return !p->code;
}

static double number(part *p, int at, int is_needed, double scale, double instead)
{
    lw_value value = {.si = NAN};
    return value_of(p, at, is_needed, &value) ? value.si * scale : instead;
}

static void text_of(part *p, int at, int is_needed, char *to, size_t n, const char *instead)
{
    const lw_yaml_node *node = scalar(p, at, is_needed);
    snprintf(to, n, "%s", node ? node->text : instead);
    if (node && strlen(node->text) >= n) {
        (void)lw_fail(p->err, LW_E_FULL, "%s is too long; at most %zu letters", p->key[at].path, n - 1);
        refuse(p, node);
    }
}

static int64_t instant(part *p, int at)
{
    double utc_s = 0.0;
    const lw_yaml_node *node = scalar(p, at, 1);
    if (node && lw_instant_parse(node->text, &utc_s, p->err))
        refuse(p, node);
    return (int64_t)utc_s;
}

static lw_code read_thing(const lw_yaml_node *map, lw_convoy_thing *to, lw_err *err)
{
    part p = {.map = map, .key = LENT, .keys = THING_KEYS, .err = err};
    lw_value value = {.word = 0};
    check_keys(&p);
    *to = (lw_convoy_thing){.power_w = NAN};
    if (value_of(&p, THING, 1, &value))
        to->kind = (lw_convoy_kind)value.word;
    text_of(&p, NAME, 0, to->name, sizeof to->name, lw_convoy_kind_word(to->kind));
    to->water_l = number(&p, WATER, to->kind == LW_CONVOY_BLADDER, 1.0, 0.0);
    to->waste_l = number(&p, WASTE_TANK, 0, 1.0, 0.0);
    to->power_w = number(&p, POWER, 0, 1.0, NAN);
    to->ready_h = number(&p, READY, 0, 1.0 / 3600.0, 1.0 / 3.0);
    to->pour_h = number(&p, POUR, 0, 1.0 / 3600.0, 1.0 / 12.0);
    to->trouble_usd = number(&p, TROUBLE, 0, 1.0, 0.0);
    to->km_usd = number(&p, PER_MILE, 0, 1.0 / KM_PER_MILE, NAN);
    if (p.code || !isnan(to->km_usd))
        return p.code;
    lw_usual_price price;
    const lw_code code = lw_usual_price_of("runabout-km", &price, err);
    to->km_usd = code ? NAN : price.usd;
    return code;
}

/* One "now/full" in days; gives what follows it, NULL: it is none. */
static const char *read_course(const char *at, float *now, float *full)
{
    static const double MOST_DAYS = 240.0;
    double days[2];
    for (int i = 0; i < 2; i++) {
        const size_t n = strcspn(at, "/ ");
        if (n == 0 || !lw_decimal_parse(at, at + n, &days[i]) || !(days[i] >= 0.0 && days[i] <= MOST_DAYS) ||
            (i == 0 && at[n] != '/'))
            return NULL;
        at += n + (i == 0);
    }
    *now = (float)days[0];
    *full = (float)days[1];
    return *at == '/' ? NULL : at + strspn(at, " ");
}

/* How many there are; 0: none are said, or something was refused. */
static int read_courses(part *p, lw_convoy_supply *to)
{
    const lw_yaml_node *node = scalar(p, COURSES, 0);
    int count = 0;
    const char *at = node ? node->text : "";
    for (; at && *at && count < LW_CONVOY_COURSES; count++)
        at = read_course(at, &to->now_course[count], &to->full_course[count]);
    if (!at || *at || (node && count == 0)) {
        (void)lw_fail(p->err, LW_E_SYNTAX, "courses are up to %d pairs of days, now/full, such as %s",
                      LW_CONVOY_COURSES, ITEM[COURSES].example);
        refuse(p, node);
        return 0;
    }
    return count;
}

static lw_code read_supply(const lw_yaml_node *map, lw_convoy_rig *to, lw_err *err)
{
    part p = {.map = map, .key = ITEM, .keys = SUPPLY_KEYS, .err = err};
    lw_value value = {.word = 0};
    check_keys(&p);
    if (!value_of(&p, SUPPLY, 1, &value))
        return p.code;
    lw_convoy_supply *supply = &to->supply[SUPPLIES_OF[value.word]];
    if (supply->is_present) {
        (void)lw_fail(err, LW_E_CONFLICT, "this supply stands here twice");
        refuse(&p, map);
    }
    supply->is_present = 1;
    supply->now_days = number(&p, NOW, 1, 1.0 / 86400.0, 0.0);
    supply->full_days = number(&p, FULL, 1, 1.0 / 86400.0, 0.0);
    supply->use_per_day = number(&p, USE, 0, 1.0, NAN);
    const int courses = read_courses(&p, supply);
    if (!p.code && to->supply_count++ > 0 && courses != to->course_count) {
        (void)lw_fail(err, LW_E_CONFLICT, "%d courses, and %d of the supplies before; all have as many, or none has",
                      courses, to->course_count);
        refuse(&p, map);
    }
    to->course_count = courses;
    return p.code;
}

static lw_code list_of(const lw_yaml_node *root, const lw_key *key, int most, const lw_yaml_node **list, lw_err *err)
{
    *list = lw_yaml_child(root, key->path);
    if (!*list)
        return LW_OK;
    if ((*list)->kind != LW_YAML_LIST || (*list)->count > most) {
        (void)lw_fail(err, (*list)->kind != LW_YAML_LIST ? LW_E_SYNTAX : LW_E_FULL,
                      "a list of at most %d stands here, such as %s", most, key->example);
        return lw_yaml_at(*list, err);
    }
    return LW_OK;
}

static lw_code read_span(part *p, lw_convoy_rig *to)
{
    to->from_s = instant(p, FROM);
    to->until_s = instant(p, UNTIL);
    if (!p->code && (to->until_s <= to->from_s || to->until_s - to->from_s > MOST_S)) {
        (void)lw_fail(p->err, LW_E_RANGE, "until must come after from, by at most 240 days");
        refuse(p, lw_yaml_child(p->map, "until"));
    }
    return p->code;
}

static lw_code read_head(const lw_yaml *tree, lw_convoy_rig *to, lw_err *err)
{
    part p = {.map = tree->root, .key = RIG, .keys = RIG_KEYS, .err = err};
    lw_value value = {.word = 0};
    check_keys(&p);
    const lw_yaml_node *version = scalar(&p, CONVOY, 1);
    if (version && strcmp(version->text, "1") != 0) {
        (void)lw_fail(err, LW_E_SYNTAX, "convoy: %s is not known here; this program reads convoy: 1",
                      lw_quoted(version->text, strlen(version->text)).text);
        refuse(&p, version);
    }
    text_of(&p, HOUSEHOLD, 1, to->household, sizeof to->household, "");
    text_of(&p, ZONE, 1, to->zone, sizeof to->zone, "");
    if (read_span(&p, to))
        return p.code;
    to->confidence_frac = number(&p, CONFIDENCE, 0, 1.0, 0.8);
    to->hour_usd = number(&p, HOUR_VALUE, 0, 1.0, 10.0);
    for (int d = 0; d < 7; d++)
        to->free[d] = (UINT32_C(1) << 21) - (UINT32_C(1) << 7);
    if (value_of(&p, FREE, 0, &value))
        memcpy(to->free, value.hours, sizeof to->free);
    return p.code;
}

static lw_code read_tree(const lw_yaml *tree, const char *name, void *into, lw_err *err)
{
    lw_convoy_rig *to = into;
    (void)name;
    const lw_yaml_node *supplies = NULL, *lends = NULL;
    lw_code code = read_head(tree, to, err);
    code = code ? code : list_of(tree->root, &RIG[SUPPLIES], LW_SUPPLY_COUNT, &supplies, err);
    code = code ? code : list_of(tree->root, &RIG[LENDS], LW_CONVOY_THINGS, &lends, err);
    for (const lw_yaml_node *item = supplies ? supplies->first : NULL; item && !code; item = item->next)
        code = read_supply(item, to, err);
    for (const lw_yaml_node *item = lends ? lends->first : NULL; item && !code; item = item->next)
        code = read_thing(item, &to->thing[to->thing_count++], err);
    return code;
}

lw_code lw_convoy_load(const char *path, lw_convoy_rig *rig, lw_err *err)
{
    return lw_yaml_whole(&(lw_yaml_source){.name = path}, read_tree, sizeof *rig, rig, err);
}

lw_code lw_convoy_read(const char *name, const char *bytes, size_t size, lw_convoy_rig *rig, lw_err *err)
{
    const lw_yaml_source from = {.name = name, .bytes = bytes, .size = size};
    return lw_yaml_whole(&from, read_tree, sizeof *rig, rig, err);
}

lw_code lw_convoy_thing_read(const char *name, const char *text, lw_convoy_thing *thing, lw_err *err)
{
    lw_yaml tree = {0};
    lw_convoy_thing made;
    lw_code code = lw_yaml_read(&tree, name, text, strlen(text), err);
    code = code ? code : read_thing(tree.root, &made, err);
    lw_yaml_clear(&tree);
    if (!code)
        *thing = made;
    return code;
}

const char *lw_convoy_kind_word(lw_convoy_kind kind)
{
    static const char *const WORD[] = {
#define LW_CONVOY_WORD(id, word) word,
        LW_CONVOY_KINDS(LW_CONVOY_WORD)
#undef LW_CONVOY_WORD
    };
    return WORD[kind];
}
