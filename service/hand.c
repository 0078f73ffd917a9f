#include "service/hand.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/household.h"
#include "exchange/yaml_print.h"
#include "exchange/yaml_tree.h"
#include "service/json.h"
#include "text/moment.h"
#include "text/say.h"

/* Of this machine or this household alone. */
static const char *const OWN[] = {"terrain=", "towers=", "coverage=", "photos=", "permits=", "deadline="};
enum { OWN_COUNT = sizeof OWN / sizeof OWN[0] };

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "no memory to hand places over");
}

/* ---- giving ---- */

/* "place:\n  name: x\n" as an item of a list: its lines two blanks deeper behind a dash. */
static void put_item(FILE *to, const char *section)
{
    const char *line = strchr(section, '\n');
    fputs("  -\n", to);
    for (line = line ? line + 1 : ""; *line;) {
        const size_t n = strcspn(line, "\n");
        fprintf(to, "  %.*s\n", (int)n, line);
        line += n + (line[n] == '\n');
    }
}

static const lw_kept_place *kept_named(const lw_kept_places *places, int64_t id)
{
    for (size_t i = 0; i < places->count; i++)
        if (places->place[i].id == id)
            return &places->place[i];
    return NULL;
}

static lw_code give_one(const lw_kept_places *places, const lw_camps *camps, const char *name, int64_t now_s, FILE *to,
                        lw_err *err)
{
    const lw_camp *camp;
    char *section = NULL;
    lw_code code = lw_camps_find(camps, name, &camp, err);
    const lw_kept_place *kept = code ? NULL : kept_named(places, camp->id);
    if (!kept)
        return code ? code : lw_fail(err, LW_E_MISSING, "%s has gone meanwhile", lw_quoted(name, strlen(name)).text);
    code = lw_place_change(kept->doc, OWN, OWN_COUNT, now_s, &section, err);
    if (!code)
        put_item(to, section);
    free(section);
    return code;
}

lw_code lw_hand_over(lw_book *book, const char *const *names, int count, const char *from, int64_t now_s, char **text,
                     lw_err *err)
{
    lw_camps camps = {0};
    lw_kept_places places = {0};
    size_t size = 0;
    *text = NULL;
    FILE *to = open_memstream(text, &size);
    if (!to)
        return no_memory(err);
    if (count > LW_HAND_PLACES)
        (void)lw_fail(err, LW_E_FULL, "more than %d places in one file", LW_HAND_PLACES);
    lw_code code = err->code ? err->code : lw_camps_load(book, &camps, err);
    code = code ? code : lw_book_list_places(book, NULL, &places, err);
    fputs("leeway_places: 1\n", to);
    if (from && !code) {
        fputs("from: \"", to);
        for (const char *c = from; *c; c++)
            fprintf(to, *c == '"' || *c == '\\' ? "\\%c" : "%c", *c);
        fputs("\"\n", to);
    }
    fputs("places:\n", to);
    for (int i = 0; i < count && !code; i++)
        code = give_one(&places, &camps, names[i], now_s, to, err);
    if (fclose(to) != 0 && !code)
        code = no_memory(err);
    lw_kept_places_clear(&places);
    lw_camps_clear(&camps);
    if (code) {
        free(*text);
        *text = NULL;
    }
    return code;
}

static json_t *feature(lw_json *j, const lw_place_facts *f)
{
    json_t *o = lw_json_object(j), *geometry = lw_json_object(j), *at = lw_json_array(j), *p = lw_json_object(j);
    lw_json_text(j, o, "type", "Feature");
    lw_json_text(j, geometry, "type", "Point");
    lw_json_add(j, at, lw_json_real(f->spot.longitude_deg, 6));
    lw_json_add(j, at, lw_json_real(f->spot.latitude_deg, 6));
    lw_json_put(j, geometry, "coordinates", at);
    lw_json_put(j, o, "geometry", geometry);
    lw_json_text(j, p, "name", f->name);
    lw_json_text(j, p, "kind", "camp");
    lw_json_text(j, p, "operator", f->manager);
    if (!isnan(f->about.fee_usd))
        lw_json_text(j, p, "fee", f->about.fee_usd > 0.0 ? "yes" : "no");
    lw_json_text(j, p, "note", f->about.notes);
    lw_json_put(j, o, "properties", p);
    return o;
}

lw_code lw_hand_geojson(lw_book *book, const char *const *names, int count, char **text, lw_err *err)
{
    lw_camps camps = {0};
    lw_json j = {.zone = NULL};
    lw_code code = lw_camps_load(book, &camps, err);
    json_t *root = lw_json_object(&j), *list = lw_json_array(&j);
    lw_json_text(&j, root, "type", "FeatureCollection");
    for (int i = 0; i < count && !code; i++) {
        const lw_camp *camp;
        code = lw_camps_find(&camps, names[i], &camp, err);
        if (!code)
            lw_json_add(&j, list, feature(&j, &camp->facts));
    }
    lw_json_put(&j, root, "features", list);
    *text = lw_json_finish(&j, root, 0);
    if (!code && !*text)
        code = no_memory(err);
    if (code) {
        free(*text);
        *text = NULL;
    }
    lw_camps_clear(&camps);
    return code;
}

/* ---- taking ---- */

static lw_code refuse(const lw_yaml_node *node, lw_code code, const char *text, lw_err *err)
{
    (void)lw_fail(err, code, "%s", text);
    return lw_yaml_at(node, err);
}

/* The head of the file; *list the places of it. */
static lw_code read_head(const lw_yaml *tree, lw_handed *handed, const lw_yaml_node **list, lw_err *err)
{
    static const char FORM[] = "this is no file of places; it begins with leeway_places: 1 and has a list places";
    const lw_yaml_node *version = lw_yaml_child(tree->root, "leeway_places"), *from = lw_yaml_child(tree->root, "from");
    *list = lw_yaml_child(tree->root, "places");
    if (!version || !*list || (*list)->kind != LW_YAML_LIST)
        return refuse(tree->root, LW_E_SYNTAX, FORM, err);
    if (version->kind != LW_YAML_SCALAR || strcmp(version->text, "1") != 0)
        return refuse(version, LW_E_SYNTAX,
                      "this version of the form is not known; this program reads leeway_places: 1", err);
    for (const lw_yaml_node *key = tree->root->first; key; key = key->next)
        if (key != version && key != from && key != *list)
            return refuse(key, LW_E_SYNTAX, "there is no such key here; the keys are leeway_places, from and places",
                          err);
    if (from && (from->kind != LW_YAML_SCALAR || strlen(from->text) >= LW_ABOUT_WORDS - 4))
        return refuse(from, LW_E_SYNTAX, "from is a name of up to 59 letters", err);
    snprintf(handed->from, sizeof handed->from, "%s", from ? from->text : "");
    if ((*list)->count == 0)
        return refuse(*list, LW_E_MISSING, "there is no place in it", err);
    return (*list)->count > LW_HAND_PLACES ? refuse(*list, LW_E_FULL, "more places than fit in one file", err) : LW_OK;
}

/* Who handed it over told of it, unless it says who did. */
static lw_code sign(char **section, const char *from, int64_t now_s, lw_err *err)
{
    char who[LW_ABOUT_WORDS + 24], when[40], day[40];
    const char *change[OWN_COUNT + 2];
    char *made = NULL;
    int count = OWN_COUNT;
    lw_place_facts *facts = malloc(sizeof *facts);
    if (!facts)
        return no_memory(err);
    for (int i = 0; i < OWN_COUNT; i++)
        change[i] = OWN[i];
    lw_code code = lw_place_read(*section, facts, err);
    if (!code && from[0] && !facts->about.recommended_by[0]) {
        snprintf(who, sizeof who, "recommended_by=%s", from);
        change[count++] = who;
        snprintf(when, sizeof when, "recommended=%.12s",
                 lw_date_print(day, sizeof day, lw_date_of(now_s / 86400))); /* of the day it was taken in */
        if (facts->about.recommended_day == LW_NO_DAY)
            change[count++] = when;
    }
    free(facts);
    code = code ? code : lw_place_change(*section, change, count, now_s, &made, err);
    if (!code) {
        free(*section);
        *section = made;
    }
    return code;
}

static lw_code take_one(lw_book *book, const lw_yaml_node *item, int64_t now_s, lw_handed *handed, lw_err *err)
{
    lw_handed_place *place = &handed->place[handed->count];
    lw_yaml_node keyed = *item;
    char *section = NULL;
    lw_err own = {0};
    keyed.key = "place";
    if (item->kind != LW_YAML_MAP)
        return refuse(item, LW_E_SYNTAX, "a place is a map of keys: name, latitude, longitude and what is known of it",
                      err);
    const lw_yaml_node *name = lw_yaml_child(item, "name");
    if (!name || name->kind != LW_YAML_SCALAR || !name->text[0] || strlen(name->text) >= LW_NAME)
        return refuse(item, LW_E_MISSING, "a place needs a name of up to 31 letters", err);
    snprintf(place->name, sizeof place->name, "%s", name->text);
    lw_code code = lw_camp_is_there(book, place->name, &place->is_there, err);
    if (!code && !place->is_there) {
        code = lw_yaml_print(&keyed, NULL, &section, &own);
        code = code ? code : sign(&section, handed->from, now_s, &own);
        code = code ? code : lw_camp_take(book, section, now_s, &place->put, &own);
        handed->taken += !code;
        if (code) {
            (void)lw_fail(err, code, "%s: %s%s%.200s", place->name, own.where, own.where[0] ? ": " : "", own.text);
            (void)lw_yaml_at(item, err);
        }
    }
    handed->count += !code;
    free(section);
    return code;
}

lw_code lw_hand_take(lw_book *book, const char *name, const char *bytes, size_t size, int64_t now_s, lw_handed *handed,
                     lw_err *err)
{
    lw_yaml tree = {0};
    const lw_yaml_node *list = NULL;
    lw_handed *made = calloc(1, sizeof *made);
    if (!made)
        return no_memory(err);
    lw_code code = lw_yaml_read(&tree, name, bytes, size, err);
    code = code ? code : read_head(&tree, made, &list, err);
    code = code ? code : lw_book_begin(book, err);
    if (!code) {
        for (const lw_yaml_node *item = list->first; item && !code; item = item->next)
            code = take_one(book, item, now_s, made, err);
        code = lw_book_end(book, code, err);
    }
    lw_yaml_clear(&tree);
    if (!code)
        *handed = *made;
    free(made);
    return code;
}
