#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "exchange/scenario_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

/* ---- lists in brief: "2 x 20 lb", "2 adults, 4 children", "laptop, 2 light" ---- */

/* How many, and where the rest of the part begins. A count stands before " x ", or before a word. */
static int count_of(const char *part, size_t n, int is_word, size_t *skip)
{
    size_t at = 0;
    int count = 0;
    while (at < n && at < 3 && part[at] >= '0' && part[at] <= '9')
        count = count * 10 + (part[at++] - '0');
    const size_t digits = at;
    while (at < n && part[at] == ' ')
        at++;
    *skip = 0;
    if (digits == 0 || at >= n)
        return 1;
    if (part[at] == 'x' && at + 1 < n && part[at + 1] == ' ') {
        *skip = at + 2;
        return count;
    }
    const char c = part[at];
    if (is_word && at > digits && ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'))) {
        *skip = at;
        return count;
    }
    return 1;
}

/* The parts of a text in brief, each repeated as often as it says; gives their number, -1: too many, -2: a part too long. */
static int split_brief(const lw_key *key, const char *text, char parts[LW_ITEMS][LW_TEXT_BYTES])
{
    const int is_word = key->kind == LW_KEY_WORD || key->kind == LW_KEY_TEXT;
    int used = 0;
    for (const char *at = text;;) {
        const size_t whole = strcspn(at, ",");
        size_t n = whole, skip;
        const char *part = at;
        while (n && *part == ' ')
            part++, n--;
        while (n && part[n - 1] == ' ')
            n--;
        const int count = count_of(part, n, is_word, &skip);
        part += skip, n -= skip;
        while (n && *part == ' ')
            part++, n--;
        if (n >= LW_TEXT_BYTES)
            return -2;
        for (int i = 0; i < count; i++) {
            if (used == LW_ITEMS)
                return -1;
            snprintf(parts[used++], LW_TEXT_BYTES, "%.*s", (int)n, part);
        }
        if (!at[whole])
            return used;
        at += whole + 1;
    }
}

/* ---- refusing ---- */

static void refuse_at(lw_reader *r, const lw_yaml_node *node)
{
    r->code = lw_yaml_at(node, r->err);
}

static int is_none(const lw_yaml_node *node)
{
    return node && node->kind == LW_YAML_SCALAR && strcmp(node->text, "none") == 0;
}

/* ---- holding the tree to the table ---- */

static void check_node(lw_reader *r, const lw_yaml_node *node, const lw_key *key);

static void check_text(lw_reader *r, const lw_yaml_node *node, const lw_key *key, const char *text)
{
    lw_value value;
    if (!r->code && lw_value_read(key, text, &value, r->err))
        refuse_at(r, node);
}

static void refuse_kind(lw_reader *r, const lw_yaml_node *node, const char *wanted, const char *example)
{
    const char *found = node->kind == LW_YAML_MAP    ? "a map of keys"
                        : node->kind == LW_YAML_LIST ? "a list"
                                                     : "a plain value";
    if (example)
        (void)lw_fail(r->err, LW_E_SYNTAX, "%s stands here; it takes %s, such as %.60s", found, wanted, example);
    else
        (void)lw_fail(r->err, LW_E_SYNTAX, "%s stands here; it takes %s", found, wanted);
    refuse_at(r, node);
}

static void check_plain(lw_reader *r, const lw_yaml_node *node, const lw_key *key)
{
    const int is_many = key->kind == LW_KEY_HOURS || key->kind == LW_KEY_SPANS || key->kind == LW_KEY_WORDS;
    if (node->kind == LW_YAML_SCALAR) {
        check_text(r, node, key, node->text);
        return;
    }
    if (node->kind == LW_YAML_MAP || !is_many) {
        refuse_kind(r, node, "one value", key->example);
        return;
    }
    for (const lw_yaml_node *item = node->first; item && !r->code; item = item->next) {
        if (item->kind == LW_YAML_SCALAR)
            check_text(r, item, key, item->text);
        else
            refuse_kind(r, item, "one value", key->example);
    }
}

static void refuse_unknown(lw_reader *r, const lw_yaml_node *node, const char *under)
{
    enum { SIBLINGS = 64 };
    const char *names[SIBLINGS] = {0};
    size_t count = 0;
    const size_t n = strlen(under);
    for (int i = 0; i < lw_key_count && count < SIBLINGS; i++) {
        const char *path = lw_keys[i].path;
        const char *rest = n == 0 ? path : strncmp(path, under, n) == 0 && path[n] == '.' ? path + n + 1 : "";
        if (*rest && !strchr(rest, '.'))
            names[count++] = rest;
    }
    const char *near = lw_nearest(node->key, names, count);
    char list[200] = "";
    for (size_t i = 0; i < count; i++) {
        const size_t used = strlen(list);
        if (used + strlen(names[i]) + 8 >= sizeof list) {
            snprintf(list + used, sizeof list - used, ", ...");
            break;
        }
        snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", names[i]);
    }
    const lw_quoted_text typed = lw_quoted(node->key, strlen(node->key));
    if (near)
        (void)lw_fail(r->err, LW_E_SYNTAX, "there is no key %s here; did you mean %s?", typed.text, near);
    else
        (void)lw_fail(r->err, LW_E_SYNTAX, "there is no key %s here; the keys are %s", typed.text, list);
    refuse_at(r, node);
}

static void check_required(lw_reader *r, const lw_yaml_node *map, const char *under)
{
    const size_t n = strlen(under);
    for (int i = 0; i < lw_key_count && !r->code; i++) {
        const lw_key *key = &lw_keys[i];
        if (!(key->flags & LW_KEY_REQUIRED) || (n && (strncmp(key->path, under, n) != 0 || key->path[n] != '.')))
            continue;
        const char *rest = n ? key->path + n + 1 : key->path;
        if (strchr(rest, '.') || lw_yaml_child(map, rest))
            continue;
        /* a thing alone may take its size from the rig's row; one of several says its own */
        lw_default given;
        if (map->parent && map->parent->kind != LW_YAML_LIST && lw_default_of(r, key->path, &given))
            continue;
        if (key->example)
            (void)lw_fail(r->err, LW_E_MISSING, "%s is missing (%s); write %s: %s", rest, key->what, rest,
                          key->example);
        else
            (void)lw_fail(r->err, LW_E_MISSING, "%s is missing (%s)", rest, key->what);
        refuse_at(r, map);
    }
}

/* NOLINTNEXTLINE(misc-no-recursion): as deep as the file, at most LW_YAML_DEPTH */
static void check_map(lw_reader *r, const lw_yaml_node *map, const char *under)
{
    for (const lw_yaml_node *child = map->first; child && !r->code; child = child->next) {
        const lw_key *key = lw_key_under(under, child->key);
        if (key)
            check_node(r, child, key);
        else
            refuse_unknown(r, child, under);
    }
    if (!r->code)
        check_required(r, map, under);
}

static void check_brief(lw_reader *r, const lw_yaml_node *node, const lw_key *list)
{
    char under[LW_TEXT_BYTES], parts[LW_ITEMS][LW_TEXT_BYTES];
    lw_key_items(list, under, sizeof under);
    const lw_key *key = list->brief ? lw_key_under(under, list->brief) : NULL;
    if (!key) {
        refuse_kind(r, node, "a list of maps", NULL);
        return;
    }
    const int count = split_brief(key, node->text, parts);
    if (count < 0) {
        (void)lw_fail(r->err, LW_E_FULL,
                      count == -1 ? "more than %d things in one list" : "a part is longer than %d letters",
                      count == -1 ? LW_ITEMS : LW_TEXT_BYTES - 1);
        refuse_at(r, node);
    }
    for (int i = 0; i < count && !r->code; i++)
        check_text(r, node, key, parts[i]);
}

/* NOLINTNEXTLINE(misc-no-recursion): as deep as the file, at most LW_YAML_DEPTH */
static void check_item(lw_reader *r, const lw_yaml_node *item, const lw_key *list)
{
    char under[LW_TEXT_BYTES];
    lw_key_items(list, under, sizeof under);
    if (item->kind == LW_YAML_MAP)
        check_map(r, item, under);
    else if (item->kind == LW_YAML_SCALAR)
        check_brief(r, item, list);
    else
        refuse_kind(r, item, "a map of keys", NULL);
}

/* NOLINTNEXTLINE(misc-no-recursion): as deep as the file, at most LW_YAML_DEPTH */
static void check_list(lw_reader *r, const lw_yaml_node *node, const lw_key *key)
{
    if (node->kind != LW_YAML_LIST) {
        check_item(r, node, key);
        return;
    }
    if (node->count > LW_ITEMS) {
        (void)lw_fail(r->err, LW_E_FULL, "more than %d things in one list", LW_ITEMS);
        refuse_at(r, node);
    }
    for (const lw_yaml_node *item = node->first; item && !r->code; item = item->next)
        check_item(r, item, key);
}

/* What people write for a battery in one word, and what they mean; 0: nothing of that. */
static int refuse_battery(lw_reader *r, const lw_yaml_node *node, const lw_key *key)
{
    if (node->kind != LW_YAML_SCALAR || strcmp(key->path, "rig.battery") != 0)
        return 0;
    const size_t n = strlen(node->text);
    const int is_voltage = n > 1 && node->text[n - 1] == 'V' && strchr("0123456789 ", node->text[n - 2]);
    if (is_none(node))
        (void)lw_fail(r->err, LW_E_CONFLICT,
                      "a camper without any battery is not reckoned; write the smallest there is, such as 20 Ah");
    else if (is_voltage)
        (void)lw_fail(r->err, LW_E_UNIT,
                      "%.20s is its voltage, not how much it holds; write {capacity: 100 Ah, voltage: %.20s}",
                      node->text, node->text);
    else
        return 0;
    refuse_at(r, node);
    return 1;
}

/* NOLINTNEXTLINE(misc-no-recursion): as deep as the file, at most LW_YAML_DEPTH */
static void check_node(lw_reader *r, const lw_yaml_node *node, const lw_key *key)
{
    if (refuse_battery(r, node, key))
        return;
    if (is_none(node) && (key->flags & LW_KEY_NONE_FITS))
        return;
    if (key->kind == LW_KEY_LIST) {
        check_list(r, node, key);
    } else if (key->kind != LW_KEY_MAP) {
        check_plain(r, node, key);
    } else if (node->kind == LW_YAML_MAP) {
        check_map(r, node, key->path);
    } else if (key->brief) {
        check_node(r, node, lw_key_under(key->path, key->brief));
    } else {
        refuse_kind(r, node, "a map of keys", NULL);
    }
}

void lw_read_version(lw_reader *r)
{
    const lw_yaml_node *root = r->tree->root, *version = lw_yaml_child(root, "leeway");
    if (root->kind != LW_YAML_MAP) {
        (void)lw_fail(r->err, LW_E_SYNTAX,
                      "this is no scenario; a scenario is a map of keys and begins with leeway: 1");
        refuse_at(r, root);
    } else if (!version) {
        (void)lw_fail(r->err, LW_E_MISSING, "leeway is missing (version of this form; always first); write leeway: 1");
        refuse_at(r, root);
    } else if (version->kind != LW_YAML_SCALAR || strcmp(version->text, "1") != 0) {
        (void)lw_fail(r->err, LW_E_SYNTAX, "version %.20s of this form is not known; this program reads leeway: 1",
                      version->kind == LW_YAML_SCALAR ? version->text : "?");
        refuse_at(r, version);
    }
}

void lw_read_check(lw_reader *r)
{
    check_map(r, r->tree->root, "");
}

void lw_read_check_key(lw_reader *r, const char *key)
{
    const lw_yaml_node *node = lw_yaml_child(r->tree->root, key);
    if (node) {
        check_node(r, node, lw_key_at(key));
        return;
    }
    (void)lw_fail(r->err, LW_E_MISSING, "%s is missing", key);
    refuse_at(r, r->tree->root);
}

/* ---- scopes ---- */

/* What stands for a key: the child of a map, or the plain value itself where the key is the brief one. */
static const lw_yaml_node *slot(const lw_scope *in, const char *key)
{
    if (!in->node || is_none(in->node))
        return NULL;
    if (in->node->kind == LW_YAML_MAP)
        return lw_yaml_child(in->node, key);
    return in->key && in->key->brief && strcmp(in->key->brief, key) == 0 ? in->node : NULL;
}

static const lw_key *key_of(const lw_scope *in, const char *key)
{
    const lw_key *found = lw_key_under(in->path, key);
    assert(found);
    return found;
}

static void label_of(char *buf, size_t size, const lw_scope *in, const char *key)
{
    snprintf(buf, size, "%.60s%s%.30s", in->label, in->label[0] ? "." : "", key);
}

lw_scope lw_read_root(lw_reader *r)
{
    return (lw_scope){.node = r->tree->root};
}

lw_scope lw_read_map(lw_reader *r, const lw_scope *in, const char *key)
{
    (void)r;
    lw_scope map = {.node = slot(in, key), .key = key_of(in, key)};
    snprintf(map.path, sizeof map.path, "%s", map.key->path);
    label_of(map.label, sizeof map.label, in, key);
    return map;
}

int lw_read_is_given(lw_reader *r, const lw_scope *in, const char *key)
{
    const lw_yaml_node *node = slot(in, key);
    return !r->code &&
           ((node && !is_none(node)) || (in->text[0] && in->key->brief && strcmp(in->key->brief, key) == 0));
}

int lw_read_has(lw_reader *r, const lw_scope *in, const char *key)
{
    const lw_key *row = key_of(in, key);
    if (slot(in, key))
        return lw_read_is_given(r, in, key);
    char path[LW_TEXT_BYTES * 2] = "";
    if (row->kind == LW_KEY_LIST)
        lw_key_items(row, path, sizeof path);
    else
        snprintf(path, sizeof path, "%s", row->path);
    const size_t used = strlen(path);
    snprintf(path + used, sizeof path - used, ".%s", row->brief ? row->brief : "");
    lw_default given;
    return !r->code && (lw_default_of(r, row->path, &given) || lw_default_of(r, path, &given));
}

static void name_item(lw_scope *item, const lw_scope *in, const char *key, int number)
{
    const lw_yaml_node *name = item->node ? lw_yaml_child(item->node, "name") : NULL;
    label_of(item->label, sizeof item->label, in, key);
    const size_t used = strlen(item->label);
    if (name && name->text)
        snprintf(item->label + used, sizeof item->label - used, ".%s", name->text);
    else if (number > 0)
        snprintf(item->label + used, sizeof item->label - used, ".%d", number);
}

static int brief_items(const lw_scope *made, const lw_scope *in, const char *key, const char *text, int is_numbered,
                       int used, lw_scope items[LW_ITEMS])
{
    char parts[LW_ITEMS][LW_TEXT_BYTES];
    const int count = split_brief(lw_key_under(made->path, made->key->brief), text, parts);
    for (int i = 0; i < count && used < LW_ITEMS; i++, used++) {
        items[used] = *made;
        snprintf(items[used].text, sizeof items[used].text, "%.*s", (int)sizeof items[used].text - 1, parts[i]);
        name_item(&items[used], in, key, is_numbered || count > 1 ? used + 1 : 0);
    }
    return used;
}

static int absent_items(lw_reader *r, const lw_scope *made, const lw_scope *in, const char *key,
                        lw_scope items[LW_ITEMS])
{
    lw_default given;
    if (lw_default_of(r, made->key->path, &given)) {
        lw_read_assume(r, in, key, given.value, given.source, given.kind);
        return brief_items(made, in, key, given.value, 0, 0, items);
    }
    if (!lw_read_has(r, in, key))
        return 0;
    items[0] = *made;
    name_item(&items[0], in, key, 0);
    return 1;
}

int lw_read_items(lw_reader *r, const lw_scope *in, const char *key, lw_scope items[LW_ITEMS])
{
    lw_scope made = {.key = key_of(in, key)};
    lw_key_items(made.key, made.path, sizeof made.path);
    const lw_yaml_node *node = slot(in, key);
    if (r->code || is_none(node))
        return 0;
    if (!node)
        return absent_items(r, &made, in, key, items);
    const int is_list = node->kind == LW_YAML_LIST;
    int used = 0;
    for (const lw_yaml_node *item = is_list ? node->first : node; item && used < LW_ITEMS;
         item = is_list ? item->next : NULL) {
        made.node = item;
        if (item->kind == LW_YAML_SCALAR) {
            used = brief_items(&made, in, key, item->text, is_list, used, items);
        } else {
            items[used] = made;
            name_item(&items[used], in, key, is_list ? used + 1 : 0);
            used++;
        }
    }
    return used;
}

/* ---- values ---- */

/* What is written for a key as one plain value; NULL: nothing, or not one value. */
static const char *text_of(const lw_scope *in, const char *key)
{
    if (in->text[0] && in->key->brief && strcmp(in->key->brief, key) == 0)
        return in->text;
    const lw_yaml_node *node = slot(in, key);
    return node && node->kind == LW_YAML_SCALAR ? node->text : NULL;
}

/* A default that the table of keys refuses is a defect of our tables; the tests load every one. */
static int read_default(lw_reader *r, const lw_scope *in, const char *key, const lw_key *row, lw_value *value)
{
    lw_default given;
    if (!lw_default_of(r, row->path, &given))
        return 0;
    lw_err own = {0};
    if (lw_value_read(row, given.value, value, &own)) {
        lw_read_refuse(r, in, key, own.code, "the default of %s cannot be read: %s", row->path, own.text);
        return 0;
    }
    char shown[LW_QUANTITY_BYTES];
    snprintf(shown, sizeof shown, "%s", given.value);
    if (row->kind == LW_KEY_WORD)
        (void)lw_word_at(row->words, value->word, shown, sizeof shown);
    /* our own table is written as people of US units write; figures of the rigs' table are SI */
    if (row->kind == LW_KEY_QUANTITY && value->dim != LW_DIM_NUMBER &&
        (given.is_by_rig || r->out->units == LW_UNITS_SI))
        lw_quantity_print(shown, sizeof shown, value->si, value->dim, r->out->units);
    lw_read_assume(r, in, key, shown, given.source, given.kind);
    return 1;
}

/* Whoever says "unknown" gets what is usual, where there is such a thing; a doubt of nothing is none. */
static int read_unknown(lw_reader *r, const lw_scope *in, const char *key, const lw_key *row, lw_value *value)
{
    if (read_default(r, in, key, row, value)) {
        value->sureness = LW_UNKNOWN;
        return 1;
    }
    if (!(row->low <= 0.0))
        return 0;
    *value = (lw_value){.si = 0.0, .dim = row->dim, .sureness = LW_UNKNOWN};
    return 1;
}

int lw_read_value(lw_reader *r, const lw_scope *in, const char *key, lw_value *value)
{
    const lw_key *row = key_of(in, key);
    *value = (lw_value){.si = NAN};
    if (r->code)
        return 0;
    const char *text = text_of(in, key);
    lw_err own = {0};
    int is_there = 1;
    if (!text && !slot(in, key))
        is_there = read_default(r, in, key, row, value);
    else /* checked before; what is not plain here is a list of several, which others read */
        return text && !lw_value_read(row, text, value, &own) &&
               (value->sureness != LW_UNKNOWN || read_unknown(r, in, key, row, value));
    if (is_there && (row->flags & LW_KEY_UNSURE_FITS))
        value->sureness = LW_UNKNOWN;
    return is_there;
}

double lw_read_unsure(lw_reader *r, const lw_scope *in, const char *key, const char *what, double *sd_frac)
{
    static const char *const HOW[] = {[LW_ABOUT] = "about", [LW_UNKNOWN] = "unknown"};
    lw_value value;
    *sd_frac = 0.0;
    if (!lw_read_value(r, in, key, &value))
        return NAN;
    for (int row = 0; value.sureness != LW_SURE && row < r->unsure.rows && !r->code; row++)
        if (strcmp(lw_table_cell(&r->unsure, row, "what"), what) == 0 &&
            strcmp(lw_table_cell(&r->unsure, row, "how"), HOW[value.sureness]) == 0)
            r->code = lw_table_number(&r->unsure, row, "sd_frac", sd_frac, r->err);
    return value.si;
}

double lw_read_si(lw_reader *r, const lw_scope *in, const char *key)
{
    lw_value value;
    return lw_read_value(r, in, key, &value) ? value.si : NAN;
}

int lw_read_word(lw_reader *r, const lw_scope *in, const char *key)
{
    lw_value value;
    return lw_read_value(r, in, key, &value) ? value.word : -1;
}

int lw_read_yes(lw_reader *r, const lw_scope *in, const char *key)
{
    lw_value value;
    return lw_read_value(r, in, key, &value) && value.word;
}

const char *lw_read_text(lw_reader *r, const lw_scope *in, const char *key)
{
    return r->code ? NULL : text_of(in, key);
}

int lw_read_hours(lw_reader *r, const lw_scope *in, const char *key, uint32_t hours[7])
{
    lw_value value;
    const lw_yaml_node *node = r->code ? NULL : slot(in, key);
    memset(hours, 0, 7 * sizeof *hours);
    if (!node || node->kind == LW_YAML_SCALAR) {
        if (!lw_read_value(r, in, key, &value))
            return 0;
        memcpy(hours, value.hours, sizeof value.hours);
        return 1;
    }
    for (const lw_yaml_node *item = node->first; item; item = item->next) {
        lw_err own = {0};
        if (!lw_value_read(key_of(in, key), item->text, &value, &own))
            for (int day = 0; day < 7; day++)
                hours[day] |= value.hours[day];
    }
    return 1;
}

int64_t lw_read_instant(lw_reader *r, const lw_scope *in, const char *key, const lw_moment *at)
{
    const int64_t utc_s = lw_moment_utc(at, &r->out->zone);
    const lw_shown shown = lw_moment_shown(at, &r->out->zone);
    const lw_clock clock = lw_clock_at(&r->out->zone, utc_s);
    char date[LW_TEXT_BYTES], time[LW_TEXT_BYTES], value[LW_TEXT_BYTES * 2];
    (void)lw_date_print(date, sizeof date, lw_date_of(at->day));
    (void)lw_time_print(time, sizeof time, at->second);
    if (shown == LW_SHOWN_NEVER)
        lw_read_refuse(r, in, key, LW_E_RANGE,
                       "%.12s %.8s does not exist in %.40s: the clock is put forward over it; write a time before or "
                       "after, such as %02d:%02d",
                       date, time, r->out->zone.name, clock.hour, clock.minute);
    if (shown == LW_SHOWN_TWICE) {
        snprintf(value, sizeof value, "%.12s %.8s %.7s, the first", date, time, clock.letters);
        lw_read_assume(r, in, key, value, "the clock is put back then and shows that time twice", "common practice");
    }
    return utc_s;
}

int lw_read_spans(lw_reader *r, const lw_scope *in, const char *key, lw_span *spans, int most)
{
    const lw_yaml_node *node = r->code ? NULL : slot(in, key);
    int used = 0;
    if (!node)
        return 0;
    const int is_list = node->kind == LW_YAML_LIST;
    if (is_list && node->count > most)
        lw_read_refuse(r, in, key, LW_E_FULL, "%d spans; at most %d fit", node->count, most);
    for (const lw_yaml_node *item = is_list ? node->first : node; item && !r->code;
         item = is_list ? item->next : NULL) {
        lw_value value;
        lw_err own = {0};
        if (lw_value_read(key_of(in, key), item->text, &value, &own))
            continue;
        spans[used] = (lw_span){lw_read_instant(r, in, key, &value.at), lw_read_instant(r, in, key, &value.until)};
        if (!r->code && spans[used].to_s <= spans[used].from_s)
            lw_read_refuse(r, in, key, LW_E_CONFLICT, "%s ends before it begins",
                           lw_quoted(item->text, strlen(item->text)).text);
        used++;
    }
    return used;
}

double lw_read_level(lw_reader *r, const lw_scope *in, const char *key, double capacity)
{
    lw_value value;
    if (!lw_read_value(r, in, key, &value))
        return NAN;
    if (value.dim == LW_DIM_FRACTION)
        return value.si * capacity;
    if (value.si <= capacity * (1.0 + 1e-9))
        return value.si < capacity ? value.si : capacity;
    const char *text = text_of(in, key);
    char room[LW_QUANTITY_BYTES];
    lw_quantity_print(room, sizeof room, capacity, value.dim, r->out->units);
    lw_read_refuse(r, in, key, LW_E_CONFLICT, "%.40s is more than it holds (%s)", text ? text : "the default", room);
    return NAN;
}

/* ---- saying ---- */

void lw_read_refuse(lw_reader *r, const lw_scope *in, const char *key, lw_code code, const char *fmt, ...)
{
    char text[sizeof r->err->text];
    if (r->code)
        return;
    va_list args;
    va_start(args, fmt);
    vsnprintf(text, sizeof text, fmt, args);
    va_end(args);
    const lw_yaml_node *node = key ? slot(in, key) : in->node;
    (void)lw_fail(r->err, code, "%s", text);
    r->code = code;
    if (node || in->node)
        refuse_at(r, node ? node : in->node);
    else
        snprintf(r->err->where, sizeof r->err->where, "%.60s %.40s%s%.20s", r->out->file, in->label, key ? "." : "",
                 key ? key : "");
}

void lw_read_note(lw_reader *r, const lw_scope *in, const char *key, const char *fmt, ...)
{
    if (r->code || r->out->note_count == LW_NOTES)
        return;
    lw_note *note = &r->out->note[r->out->note_count++];
    va_list args;
    va_start(args, fmt);
    vsnprintf(note->text, sizeof note->text, fmt, args);
    va_end(args);
    lw_err place = {0};
    const lw_yaml_node *node = key ? slot(in, key) : in->node;
    if (node) {
        (void)lw_yaml_at(node, &place);
        snprintf(note->where, sizeof note->where, "%s", place.where);
    } else {
        if (key)
            label_of(note->where, sizeof note->where, in, key);
        else
            snprintf(note->where, sizeof note->where, "%s", in->label);
    }
}

void lw_read_assume(lw_reader *r, const lw_scope *in, const char *key, const char *value, const char *source,
                    const char *kind)
{
    lw_loaded *out = r->out;
    char label[sizeof out->assumption->key];
    label_of(label, sizeof label, in, key);
    if (r->code)
        return;
    for (int i = 0; i < out->assumption_count; i++)
        if (strcmp(out->assumption[i].key, label) == 0)
            return;
    if (out->assumption_count == LW_ASSUMPTIONS) {
        lw_read_refuse(r, in, key, LW_E_FULL, "more than %d values are left to their defaults", LW_ASSUMPTIONS);
        return;
    }
    lw_assumption *row = &out->assumption[out->assumption_count++];
    *row = (lw_assumption){.order = (int)(key_of(in, key) - lw_keys)};
    snprintf(row->key, sizeof row->key, "%s", label);
    snprintf(row->value, sizeof row->value, "%s", value);
    snprintf(row->source, sizeof row->source, "%s", source);
    snprintf(row->kind, sizeof row->kind, "%s", kind);
}
