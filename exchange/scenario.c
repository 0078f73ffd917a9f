#include "exchange/scenario.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/scenario_internal.h"
#include "exchange/yaml_print.h"
#include "text/say.h"

static lw_code take_space(lw_loaded *out, lw_err *err)
{
    out->scenario = calloc(1, sizeof *out->scenario);
    out->assumption = calloc(LW_ASSUMPTIONS, sizeof *out->assumption);
    out->note = calloc(LW_NOTES, sizeof *out->note);
    if (out->scenario && out->assumption && out->note)
        return LW_OK;
    return lw_fail(err, LW_E_FULL, "not enough memory for a scenario");
}

void lw_loaded_clear(lw_loaded *loaded)
{
    free(loaded->scenario);
    free(loaded->assumption);
    free(loaded->note);
    free(loaded->before_forecast);
    free(loaded->ground);
    *loaded = (lw_loaded){0};
}

/* "2 x 20 lb" and "alarms, router" stand for several things; only what stands for one can be opened into a map. */
static int is_one(const lw_yaml_node *node)
{
    return node->kind == LW_YAML_SCALAR && !strchr(node->text, ',') && !strstr(node->text, " x ");
}

/* A change below a short form: "crew: 2 adults" is opened to "crew: {people: 2 adults}", so that crew.habits can be set. */
static lw_code open_briefs(lw_yaml *tree, const char *change, lw_err *err)
{
    char schema[LW_TEXT_BYTES] = "", part[LW_TEXT_BYTES];
    const lw_yaml_node *node = tree->root;
    for (const char *at = change; node;) {
        const size_t n = strcspn(at, ".+=");
        if (at[n] != '.' || n >= sizeof part)
            return LW_OK;
        snprintf(part, sizeof part, "%.*s", (int)n, at);
        const int is_item = node->kind == LW_YAML_LIST;
        const lw_key *key = is_item ? NULL : lw_key_under(schema, part);
        node = lw_yaml_find_n(tree, change, (size_t)(at - change) + n);
        at += n + 1;
        if (!node || (!key && !is_item))
            return LW_OK;
        if (key && key->kind == LW_KEY_LIST)
            lw_key_items(key, schema, sizeof schema);
        else if (key)
            snprintf(schema, sizeof schema, "%s", key->path);
        if (key && key->brief && (key->kind == LW_KEY_MAP || is_one(node)) && node->kind != LW_YAML_MAP) {
            const lw_code code = lw_yaml_wrap(tree, change, (size_t)(at - change) - 1, key->brief, err);
            if (code)
                return code;
        }
    }
    return LW_OK;
}

lw_code lw_scenario_apply(lw_yaml *tree, const char *change, lw_err *err)
{
    const lw_code code = open_briefs(tree, change, err);
    if (code)
        return code;
    return lw_change_is_added(change) ? lw_change_add(tree, change, err) : lw_yaml_set(tree, change, err);
}

static lw_code read_tree(const lw_scenario_from *from, lw_yaml *tree, lw_err *err)
{
    lw_code code = from->bytes ? lw_yaml_read(tree, from->path ? from->path : "scenario", from->bytes, from->size, err)
                               : lw_yaml_load(tree, from->path, err);
    for (int i = 0; i < from->change_count && !code; i++)
        code = lw_scenario_apply(tree, from->change[i], err);
    return code;
}

/* Units and the kind of rig come before all else: defaults are looked up and printed by them. */
static void read_first(lw_reader *r, const lw_scope *root)
{
    lw_loaded *out = r->out;
    const char *units = lw_read_text(r, root, "units");
    out->units = units && strcmp(units, "si") == 0 ? LW_UNITS_SI : LW_UNITS_US;
    const lw_scope rig = lw_read_map(r, root, "rig");
    const char *kind = lw_read_text(r, &rig, "kind");
    lw_default usual = {0};
    if (!kind && lw_default_of(r, "rig.kind", &usual)) {
        kind = usual.value;
        lw_read_assume(r, &rig, "kind", usual.value, usual.source, usual.kind);
    }
    r->rig_row = kind ? lw_table_row(&r->rigs, "id", kind) : -1;
    if (r->rig_row >= 0) {
        snprintf(out->rig_kind, sizeof out->rig_kind, "%.31s", kind);
        return;
    }
    enum { MOST = 32 };
    const char *names[MOST];
    const size_t count = lw_table_names(&r->rigs, "id", names, MOST);
    char list[200] = "";
    for (size_t i = 0; i < count; i++) {
        const size_t used = strlen(list);
        snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", names[i]);
    }
    lw_read_refuse(r, &rig, "kind", LW_E_SYNTAX, "%s is no kind of rig; there are %s",
                   lw_quoted(kind ? kind : "", kind ? strlen(kind) : 0).text, list);
}

static int by_order(const void *a, const void *b)
{
    const lw_assumption *x = a, *y = b;
    return x->order != y->order ? (x->order > y->order) - (x->order < y->order) : strcmp(x->key, y->key);
}

typedef void read_section(lw_reader *r, const lw_scope *root);

static void read_sections(lw_reader *r, read_section *const *section, size_t count)
{
    const lw_scope root = lw_read_root(r);
    for (size_t i = 0; i < count && !r->code; i++)
        section[i](r, &root);
}

static void read_place(lw_reader *r)
{
    static read_section *const SECTIONS[] = {lw_read_zone, lw_read_place, lw_read_stay, lw_read_land, lw_read_about};
    read_sections(r, SECTIONS, sizeof SECTIONS / sizeof SECTIONS[0]);
}

static void read_camp(lw_reader *r)
{
    static read_section *const SECTIONS[] = {lw_read_zone, lw_read_place, lw_read_stay, lw_read_crew, lw_read_rig};
    read_sections(r, SECTIONS, sizeof SECTIONS / sizeof SECTIONS[0]);
}

static void read_all(lw_reader *r)
{
    static read_section *const SECTIONS[] = {
        lw_read_zone,   lw_read_place,  lw_read_terrain, lw_read_stay,    lw_read_crew,  lw_read_rig,
        lw_read_habits, lw_read_course, lw_read_limits,  lw_read_weather, lw_read_about, lw_read_travel,
    };
    read_sections(r, SECTIONS, sizeof SECTIONS / sizeof SECTIONS[0]);
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        r->out->scenario->factor[g] = 1.0;
    qsort(r->out->assumption, (size_t)r->out->assumption_count, sizeof *r->out->assumption, by_order);
}

static lw_code read_scenario(const lw_yaml *tree, const lw_scenario_from *from, void (*read)(lw_reader *),
                             lw_loaded *out, lw_err *err)
{
    lw_reader r = {.from = from,
                   .tree = tree,
                   .out = out,
                   .err = err,
                   .rig_row = -1,
                   .now_s = from->now_s,
                   .begin_s = from->begin_s};
    r.code = lw_table_open("defaults", &r.defaults, err);
    r.code = r.code ? r.code : lw_table_open("unsure", &r.unsure, err);
    if (!r.code)
        r.code = lw_table_open("rigs", &r.rigs, err);
    if (!r.code)
        r.code = lw_table_open("rig_columns", &r.rig_columns, err);
    /* whether the version is known is said before anything about the rest */
    if (!r.code)
        lw_read_version(&r);
    if (!r.code) {
        const lw_scope root = lw_read_root(&r);
        read_first(&r, &root);
    }
    if (!r.code)
        lw_read_check(&r);
    if (!r.code)
        read(&r);
    lw_table_clear(&r.defaults);
    lw_table_clear(&r.unsure);
    lw_table_clear(&r.rigs);
    lw_table_clear(&r.rig_columns);
    return r.code;
}

static lw_code load(const lw_scenario_from *from, void (*read)(lw_reader *), lw_loaded *out, lw_err *err)
{
    lw_yaml tree = {0};
    *out = (lw_loaded){.weather_elevation_m = NAN};
    lw_code code = take_space(out, err);
    snprintf(out->file, sizeof out->file, "%.255s", from->path ? from->path : "scenario");
    if (!code)
        code = read_tree(from, &tree, err);
    if (!code)
        code = read_scenario(&tree, from, read, out, err);
    lw_yaml_clear(&tree);
    if (code)
        lw_loaded_clear(out);
    return code;
}

lw_code lw_scenario_section(const lw_yaml *tree, const lw_scenario_from *from, const char *key, char **text,
                            lw_err *err)
{
    lw_loaded out = {.weather_elevation_m = NAN};
    lw_code code = take_space(&out, err);
    code = code ? code : read_scenario(tree, from, read_place, &out, err);
    code = code ? code : lw_yaml_print(lw_yaml_child(tree->root, key), NULL, text, err);
    lw_loaded_clear(&out);
    return code;
}

lw_code lw_scenario_load(const lw_scenario_from *from, lw_loaded *out, lw_err *err)
{
    return load(from, read_all, out, err);
}

lw_code lw_scenario_land(const lw_scenario_from *from, lw_loaded *out, lw_err *err)
{
    return load(from, read_place, out, err);
}

lw_code lw_scenario_camp(const lw_scenario_from *from, lw_loaded *out, lw_err *err)
{
    return load(from, read_camp, out, err);
}

const char *lw_scenario_key(int at)
{
    return at >= 0 && at < lw_key_count ? lw_keys[at].path : NULL;
}
