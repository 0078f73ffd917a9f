#include <stdio.h>
#include <string.h>

#include "exchange/scenario_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

/* What a change "KEY+=VALUE" consists of. */
typedef struct added {
    char path[LW_YAML_PATH_BYTES];
    const char *value;
    const lw_key *key;
    const lw_yaml_node *node; /* what stands there; NULL: nothing */
} added;

int lw_change_is_added(const char *change)
{
    const size_t n = strcspn(change, "=");
    return n > 0 && change[n] == '=' && change[n - 1] == '+';
}

const lw_key *lw_key_of_path(const lw_yaml *tree, const char *path)
{
    char under[LW_TEXT_BYTES] = "", part[LW_TEXT_BYTES];
    const lw_yaml_node *node = tree->root;
    const lw_key *key = NULL;
    for (const char *at = path; *at;) {
        const size_t n = strcspn(at, ".");
        if (n == 0 || n >= sizeof part)
            return NULL;
        snprintf(part, sizeof part, "%.*s", (int)n, at);
        if (!(key && key->kind == LW_KEY_LIST && node && node->kind == LW_YAML_LIST)) {
            key = lw_key_under(under, part);
            if (!key)
                return NULL;
            if (key->kind == LW_KEY_LIST)
                lw_key_items(key, under, sizeof under);
            else
                snprintf(under, sizeof under, "%s", key->path);
            node = node ? lw_yaml_child(node, part) : NULL;
        } else {
            node = lw_yaml_item(node, part);
            key = NULL;
        }
        at += n + (at[n] == '.');
    }
    return key;
}

/* The kind of rig as the file has it, so that what it does not say is known. */
static void find_rig(const lw_yaml *tree, lw_reader *r)
{
    const lw_yaml_node *rig = lw_yaml_child(tree->root, "rig");
    const lw_yaml_node *kind = rig && rig->kind == LW_YAML_MAP ? lw_yaml_child(rig, "kind") : rig;
    lw_default usual = {0};
    r->rig_row = -1;
    if (kind && kind->kind == LW_YAML_SCALAR)
        r->rig_row = lw_table_row(&r->rigs, "id", kind->text);
    else if (lw_default_of(r, "rig.kind", &usual))
        r->rig_row = lw_table_row(&r->rigs, "id", usual.value);
}

/* The value of a key that the file does not say; 0: there is none. */
static int default_of(const lw_yaml *tree, const lw_key *key, lw_default *out, lw_err *err)
{
    lw_reader r = {.tree = tree, .err = err};
    char path[LW_TEXT_BYTES * 2];
    int is_there = 0;
    lw_read_open_tables(&r);
    if (!r.code) {
        find_rig(tree, &r);
        is_there = lw_default_of(&r, key->path, out);
        if (!is_there && key->kind == LW_KEY_LIST && key->brief) {
            char items[LW_TEXT_BYTES];
            lw_key_items(key, items, sizeof items);
            snprintf(path, sizeof path, "%s.%s", items, key->brief);
            is_there = lw_default_of(&r, path, out);
        }
    }
    lw_read_close_tables(&r);
    return is_there;
}

static lw_code set_text(lw_yaml *tree, const char *path, const char *text, lw_err *err)
{
    char change[LW_YAML_PATH_BYTES + LW_TEXT_BYTES * 2];
    snprintf(change, sizeof change, "%s=%s", path, text);
    return lw_yaml_set(tree, change, err);
}

/* ---- a list: one more ---- */

static lw_code add_item(lw_yaml *tree, const added *a, const char *change, lw_err *err)
{
    const int is_none = a->node && a->node->kind == LW_YAML_SCALAR && strcmp(a->node->text, "none") == 0;
    lw_default usual;
    lw_code code = LW_OK;
    if (is_none)
        code = set_text(tree, a->path, "[]", err);
    else if (!a->node && default_of(tree, a->key, &usual, err))
        code = set_text(tree, a->path, usual.value, err);
    return code ? code : lw_yaml_append(tree, change, err);
}

/* ---- a quantity: so much more ---- */

/* Of a temperature a difference is meant: "-3 C" is three degrees less. */
static lw_code read_difference(const added *a, lw_value *value, lw_err *err)
{
    char zero[LW_TEXT_BYTES];
    double from_c = 0.0;
    snprintf(zero, sizeof zero, "0%.60s", a->value + strspn(a->value, "+-0123456789. "));
    lw_code code = lw_quantity_parse(a->value, LW_DIM_TEMPERATURE, &value->si, err);
    code = code ? code : lw_quantity_parse(zero, LW_DIM_TEMPERATURE, &from_c, err);
    value->dim = LW_DIM_TEMPERATURE;
    value->si -= from_c;
    return code;
}

static lw_code read_part(const added *a, const char *text, lw_value *value, lw_err *err)
{
    const lw_code code = lw_value_read(a->key, text, value, err);
    return code ? lw_err_at(err, NULL, 0, a->path) : LW_OK;
}

/* In a unit of its kind without a loss that shows: fifteen digits. */
static void print_sum(double si, lw_dim dim, char *buf, size_t n)
{
    if (dim == LW_DIM_NUMBER)
        (void)lw_decimal_print_digits(buf, n, si, 15);
    else
        lw_quantity_print_in(buf, n, si, lw_quantity_unit(si, dim, LW_UNITS_SI), 15);
}

static lw_code add_quantity(lw_yaml *tree, const added *a, lw_err *err)
{
    lw_default usual = {.value = ""};
    lw_value had, more;
    char sum[LW_QUANTITY_BYTES];
    const char *text = a->node ? a->node->text : default_of(tree, a->key, &usual, err) ? usual.value : NULL;
    if (!text)
        return lw_fail(err, LW_E_MISSING,
                       "%s is not said and has no default, so nothing can be added to it; write %s=%s", a->path,
                       a->path, lw_quoted(a->value, strlen(a->value)).text);
    lw_code code = read_part(a, text, &had, err);
    if (!code)
        code = a->key->dim == LW_DIM_TEMPERATURE ? read_difference(a, &more, err) : read_part(a, a->value, &more, err);
    if (code)
        return code;
    if (had.dim != more.dim)
        return lw_fail(err, LW_E_UNIT, "%s is %.40s; add to it in the same kind of unit", a->path, text);
    print_sum(had.si + more.si, had.dim, sum, sizeof sum);
    return set_text(tree, a->path, sum, err);
}

lw_code lw_change_add(lw_yaml *tree, const char *change, lw_err *err)
{
    added a = {.value = strchr(change, '=') + 1};
    const size_t n = strcspn(change, "=") - 1;
    lw_code code;
    if (n >= sizeof a.path || !tree->root || tree->root->kind != LW_YAML_MAP)
        return lw_yaml_set(tree, change, err); /* which says what is wrong with it */
    snprintf(a.path, sizeof a.path, "%.*s", (int)n, change);
    a.key = lw_key_of_path(tree, a.path);
    a.node = lw_yaml_find(tree, a.path);
    if (!a.key)
        return set_text(tree, a.path, "added", err); /* the table of keys then refuses it, with its nearest name */
    if (a.key->kind == LW_KEY_LIST)
        return add_item(tree, &a, change, err);
    if (a.key->kind == LW_KEY_QUANTITY && (!a.node || a.node->kind == LW_YAML_SCALAR))
        code = add_quantity(tree, &a, err);
    else
        code = lw_fail(err, LW_E_SYNTAX, "+= adds to a list or to a quantity, and %s is neither; write %s=...", a.path,
                       a.path);
    if (code && !err->where[0])
        (void)lw_err_at(err, NULL, 0, change);
    return code;
}
