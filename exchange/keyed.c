#include <stdio.h>
#include <string.h>

#include "exchange/keyed_internal.h"
#include "text/say.h"

void lw_keyed_refuse(lw_keyed *r, const lw_yaml_node *node)
{
    r->code = lw_yaml_at(node, r->err);
}

/* A list of words may be written as a list. */
static lw_code value_of(const lw_key *key, const lw_yaml_node *node, lw_value *value, lw_err *err)
{
    if (node->kind == LW_YAML_SCALAR)
        return lw_value_read(key, node->text, value, err);
    if (node->kind != LW_YAML_LIST || key->kind != LW_KEY_WORDS)
        return lw_fail(err, LW_E_SYNTAX, "one value stands here, such as %s", key->example);
    *value = (lw_value){0};
    for (const lw_yaml_node *part = node->first; part; part = part->next) {
        lw_value one = {.words = 0};
        const lw_code code = part->kind == LW_YAML_SCALAR ? lw_value_read(key, part->text, &one, err)
                                                          : lw_fail(err, LW_E_SYNTAX, "words stand here");
        if (code)
            return code;
        value->words |= one.words;
    }
    return LW_OK;
}

int lw_keyed_get(lw_keyed *r, int at, lw_value *value)
{
    const lw_yaml_node *node = r->code ? NULL : lw_yaml_child(r->item, r->key[at].path);
    if (!node)
        return 0;
    if (value_of(&r->key[at], node, value, r->err))
        lw_keyed_refuse(r, node);
    return !r->code;
}

double lw_keyed_number(lw_keyed *r, int at, double scale, double instead)
{
    lw_value value = {.si = instead};
    return lw_keyed_get(r, at, &value) ? value.si * scale : instead;
}

void lw_keyed_want(lw_keyed *r, int at)
{
    if (r->code || lw_yaml_child(r->item, r->key[at].path))
        return;
    (void)lw_fail(r->err, LW_E_MISSING, "%s is missing; write %s: %s", r->key[at].path, r->key[at].path,
                  r->key[at].example);
    lw_keyed_refuse(r, r->item);
}

void lw_keyed_text(lw_keyed *r, int at, char *to, size_t size, const char *instead)
{
    const lw_yaml_node *node = r->code ? NULL : lw_yaml_child(r->item, r->key[at].path);
    snprintf(to, size, "%s", node && node->text ? node->text : instead);
}

lw_keyed lw_keyed_item(const lw_yaml_node *item, const lw_key *key, int keys, lw_err *err)
{
    lw_keyed r = {.item = item, .key = key, .keys = keys, .err = err};
    if (item->kind != LW_YAML_MAP) {
        (void)lw_fail(err, LW_E_SYNTAX, "a map of keys stands here, such as {%s: %s}", key[0].path, key[0].example);
        lw_keyed_refuse(&r, item);
        return r;
    }
    for (const lw_yaml_node *node = item->first; node && !r.code; node = node->next) {
        const char *names[LW_KEYED_MOST];
        int is_known = 0;
        for (int i = 0; i < keys; i++) {
            names[i] = key[i].path;
            is_known |= strcmp(names[i], node->key) == 0;
        }
        if (is_known)
            continue;
        const char *near = lw_nearest(node->key, names, (size_t)keys);
        (void)lw_fail(err, LW_E_SYNTAX,
                      near ? "there is no key %s here; did you mean %s?" : "there is no key %s here%s",
                      lw_quoted(node->key, strlen(node->key)).text, near ? near : "");
        lw_keyed_refuse(&r, node);
    }
    return r;
}
