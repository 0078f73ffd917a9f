/* Places into the book, changed, out of it, to friends and from them. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/land/distance.h"
#include "exchange/yaml_tree.h"
#include "service/ask_internal.h"
#include "service/camp_sheet.h"
#include "service/hand.h"
#include "text/say.h"

/* ---- into the book ---- */

typedef struct order {
    json_t *root;
    lw_camp_order camp;
    const char *change[LW_PLACE_CHANGES];
} order;

/* Keys whose value names a file of this machine. */
static int names_file(const char *change)
{
    static const char *const KEYS[] = {"photos",   "terrain", "towers",
                                       "coverage", "about",   "place"}; /* these two may hold them */
    for (size_t i = 0; i < sizeof KEYS / sizeof KEYS[0]; i++) {
        const size_t n = strlen(KEYS[i]);
        if (strncmp(change, KEYS[i], n) == 0 && !(change[n] >= 'a' && change[n] <= 'z') && change[n] != '_')
            return 1;
    }
    return 0;
}

static lw_code take_changes(lw_asked *a, order *o, lw_err *err)
{
    const json_t *list = json_object_get(o->root, "change");
    const size_t count = json_array_size(list);
    a->reply->status = 400;
    if (list && !json_is_array(list))
        return lw_fail(err, LW_E_SYNTAX, "change is to be a list of texts, such as [\"fee=0 USD\"]");
    if (count > LW_PLACE_CHANGES)
        return lw_fail(err, LW_E_FULL, "at most %d changes at once", LW_PLACE_CHANGES);
    for (size_t i = 0; i < count; i++) {
        const json_t *item = json_array_get(list, i);
        const char *text = json_string_value(item);
        if (!text || strlen(text) != json_string_length(item))
            return lw_fail(err, LW_E_SYNTAX, "change is to be a list of texts, such as [\"fee=0 USD\"]");
        if (a->ask->device && names_file(text)) {
            a->reply->status = 409;
            return lw_fail(err, LW_E_CONFLICT, "%s names a file of the camper's computer; do it there",
                           lw_quoted(text, strlen(text)).text);
        }
        o->change[o->camp.change_count++] = text;
    }
    o->camp.change = o->change;
    a->reply->status = 0;
    return LW_OK;
}

static lw_code take_number(lw_asked *a, const json_t *root, const char *key, int is_needed, double *to, lw_err *err)
{
    const json_t *value = json_object_get(root, key);
    if ((!value || json_is_null(value)) && !is_needed)
        return LW_OK;
    if (json_is_number(value)) {
        *to = json_number_value(value);
        return LW_OK;
    }
    a->reply->status = 400;
    return lw_fail(err, LW_E_SYNTAX, "%s is to be a number", key);
}

static lw_code take_order(lw_asked *a, order *o, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    o->camp = (lw_camp_order){.elevation_m = (double)NAN, .now_s = a->ask->now_s};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_body(a, &o->root, err);
    code = code ? code : lw_asked_text(a, o->root, "name", &o->camp.name, err);
    if (!code && (!o->camp.name || !*o->camp.name)) {
        a->reply->status = 400;
        code = lw_fail(err, LW_E_MISSING, "name is to name a place");
    }
    return code ? code : take_changes(a, o, err);
}

/* The place as it is now, with what may be the same. */
static lw_code reply_place(lw_asked *a, const char *name, const lw_camp_put *put, lw_err *err)
{
    lw_camps camps = {0};
    const lw_camp *camp = NULL;
    lw_code code = lw_camps_load(a->book, &camps, err);
    code = code ? code : lw_camps_find(&camps, name, &camp, err);
    char *text = code ? NULL : lw_camp_json(camp, put, a->ask->version);
    lw_camps_clear(&camps);
    return code ? code : lw_asked_reply(a, text, err);
}

lw_code lw_ask_add_place(lw_asked *a, lw_err *err)
{
    order o = {.root = NULL};
    lw_camp_put put = {0};
    lw_fault fault;
    lw_code code = take_order(a, &o, err);
    code = code ? code : take_number(a, o.root, "latitude_deg", 1, &o.camp.spot.latitude_deg, err);
    code = code ? code : take_number(a, o.root, "longitude_deg", 1, &o.camp.spot.longitude_deg, err);
    code = code ? code : take_number(a, o.root, "elevation_m", 0, &o.camp.elevation_m, err);
    if (!code && lw_spot_check(&o.camp.spot, &fault))
        code = lw_fault_say(&fault, err);
    code = code ? code : lw_camp_add(a->book, &o.camp, &put, err);
    code = code ? code : reply_place(a, o.camp.name, &put, err);
    json_decref(o.root);
    return code;
}

lw_code lw_ask_edit_place(lw_asked *a, lw_err *err)
{
    order o = {.root = NULL};
    lw_camp_put put = {0};
    lw_code code = take_order(a, &o, err);
    if (!code && !o.camp.change_count) {
        a->reply->status = 400;
        code = lw_fail(err, LW_E_MISSING, "say what is new, such as change: [\"confirmed=2026-05-30\"]");
    }
    code = code ? code : lw_asked_missing(a, lw_camp_edit(a->book, &o.camp, &put, err));
    code = code ? code : reply_place(a, o.camp.name, &put, err);
    json_decref(o.root);
    return code;
}

lw_code lw_ask_forget_place(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", NULL};
    const char *name = NULL;
    lw_json j = {.zone = NULL};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_want(a, "name", &name, err);
    code = code ? code : lw_asked_missing(a, lw_camp_forget(a->book, name, err));
    if (code)
        return code;
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.forgotten/1");
    lw_json_text(&j, root, "name", name);
    return lw_asked_reply_json(a, &j, root, err);
}

lw_code lw_ask_recall_place(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    json_t *body = NULL;
    const char *name = NULL;
    lw_camp_put put = {0};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_body(a, &body, err);
    code = code ? code : lw_asked_text(a, body, "name", &name, err);
    if (!code && !name) {
        a->reply->status = 400;
        code = lw_fail(err, LW_E_MISSING, "name is to be the place that was forgotten last");
    }
    code = code ? code : lw_asked_missing(a, lw_camp_recall(a->book, name, &put, err));
    code = code ? code : reply_place(a, name, &put, err);
    json_decref(body);
    return code;
}

/* ---- to friends, and from them ---- */

enum { SQUARE_BYTES = 1200 };

/* Rows of 0 and 1, dark is 1; null: too much for a camera. */
static json_t *square_json(lw_asked *a, lw_json *j, const char *text)
{
    int side = 0;
    unsigned char *modules = a->ask->square && strlen(text) <= SQUARE_BYTES ? a->ask->square(text, &side) : NULL;
    json_t *rows = modules ? lw_json_array(j) : json_null();
    for (int y = 0; modules && y < side; y++) {
        char row[256] = "";
        for (int x = 0; x < side && x < (int)sizeof row - 1; x++) {
            row[x] = modules[y * side + x] ? '1' : '0';
            row[x + 1] = '\0';
        }
        lw_json_add(j, rows, json_string(row));
    }
    free(modules);
    return rows;
}

lw_code lw_ask_give_places(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", "as", NULL};
    const char *names[LW_ASK_PARAMS];
    char *text = NULL;
    lw_json j = {.zone = NULL};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    const int count = lw_asked_values(a, "name", names);
    code = code ? code : lw_asked_want(a, "name", &names[0], err);
    code = code ? code
                : lw_asked_missing(
                      a, lw_hand_over(a->book, names, count, lw_asked_param(a, "as"), a->ask->now_s, &text, err));
    if (code)
        return code;
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.handed/1");
    lw_json_text(&j, root, "text", text);
    lw_json_put(&j, root, "square", square_json(a, &j, text));
    free(text);
    return lw_asked_reply_json(a, &j, root, err);
}

static json_t *handed_json(lw_json *j, const lw_handed *handed)
{
    json_t *rows = lw_json_array(j);
    for (int i = 0; i < handed->count; i++) {
        const lw_handed_place *p = &handed->place[i];
        json_t *o = lw_json_object(j), *same = lw_json_array(j);
        lw_json_text(j, o, "name", p->name);
        lw_json_flag(j, o, "is_there", p->is_there);
        for (int k = 0; k < p->put.same_count; k++) {
            json_t *one = lw_json_object(j);
            lw_json_text(j, one, "name", p->put.same[k].name);
            lw_json_text(j, one, "source", p->put.same[k].source);
            lw_json_number(j, one, "way_m", p->put.same[k].way_m, 0);
            lw_json_add(j, same, one);
        }
        lw_json_put(j, o, "same", same);
        lw_json_add(j, rows, o);
    }
    return rows;
}

lw_code lw_ask_take_places(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    json_t *body = NULL;
    const char *text = NULL;
    lw_json j = {.zone = NULL};
    lw_handed *handed = calloc(1, sizeof *handed);
    lw_code code = handed ? lw_asked_want_params(a, KEYS, err) : lw_fail(err, LW_E_FULL, "no memory to take places in");
    code = code ? code : lw_asked_body(a, &body, err);
    code = code ? code : lw_asked_text(a, body, "text", &text, err);
    if (!code && !text) {
        a->reply->status = 400;
        code = lw_fail(err, LW_E_MISSING, "text is to be what a friend's Leeway handed over");
    }
    if (!code && handed && text)
        code = lw_hand_take(a->book, "what was handed over", text, strlen(text), a->ask->now_s, handed, err);
    json_t *root = code || !handed ? NULL : lw_json_object(&j);
    if (root && handed) {
        lw_json_text(&j, root, "schema", "leeway.taken/1");
        lw_json_text(&j, root, "from", handed->from);
        lw_json_count(&j, root, "taken", handed->taken);
        lw_json_put(&j, root, "places", handed_json(&j, handed));
        code = lw_asked_reply_json(a, &j, root, err);
    }
    free(handed);
    json_decref(body);
    return code;
}
