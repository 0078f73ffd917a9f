/* Lists: checklists with their ticks, and the ledger of nights and money. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "service/ask_internal.h"
#include "service/checklist.h"
#include "service/household.h"
#include "service/ledger_json.h"
#include "text/decimal.h"
#include "text/say.h"

/* A checklist of the stay that goes on. */
typedef struct camp_list {
    lw_household home;
    lw_words_choice choice;
    lw_checklist list;
} camp_list;

static lw_code open_list(lw_asked *a, const char *name, double bleach_pct, camp_list *c, lw_err *err)
{
    lw_checklist_in in = {.loaded = &c->home.loaded, .bleach_pct = bleach_pct};
    lw_code code = lw_checklist_find(name, &in.id, err);
    if (code == LW_E_MISSING)
        a->reply->status = 404;
    code = code ? code : lw_asked_choice(a, &c->choice, err);
    if (code)
        return code;
    code = lw_household_load(a->book, a->ask->now_s, 0, &c->home, err);
    if (code == LW_E_MISSING)
        a->reply->status = 409;
    in.units = c->choice.units;
    code = code ? code : lw_checklist_make(&in, &c->list, err);
    return code ? code : lw_checklist_take_ticks(a->book, c->home.stay, &c->list, err);
}

static lw_code reply_list(lw_asked *a, const camp_list *c, lw_err *err)
{
    return lw_asked_reply(a, lw_checklist_json(&c->home.loaded, &c->list, c->choice.is_12_hour, a->ask->version), err);
}

static void close_list(camp_list *c)
{
    lw_household_clear(&c->home);
    free(c);
}

static lw_code reply_names(lw_asked *a, lw_err *err)
{
    lw_json j = {0};
    json_t *root = lw_json_object(&j), *lists = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.checklists/1");
    for (int i = 0; i < LW_CHECKLIST_COUNT; i++) {
        json_t *o = lw_json_object(&j);
        lw_json_text(&j, o, "name", lw_checklist_name((lw_checklist_id)i));
        lw_json_text(&j, o, "title", lw_checklist_title((lw_checklist_id)i));
        lw_json_add(&j, lists, o);
    }
    lw_json_put(&j, root, "checklists", lists);
    return lw_asked_reply_json(a, &j, root, err);
}

lw_code lw_ask_checklists(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", "bleach", NULL};
    const char *name = lw_asked_param(a, "name"), *bleach = lw_asked_param(a, "bleach");
    double bleach_pct = (double)NAN;
    lw_code code = lw_asked_want_params(a, KEYS, err);
    if (code)
        return code;
    if (!name)
        return reply_names(a, err);
    if (bleach && !lw_decimal_parse(bleach, bleach + strlen(bleach), &bleach_pct)) {
        a->reply->status = 400;
        return lw_fail(err, LW_E_SYNTAX, "bleach is the strength on the label in percent, such as 8.25");
    }
    camp_list *c = calloc(1, sizeof *c);
    if (!c)
        return lw_fail(err, LW_E_FULL, "not enough memory");
    code = open_list(a, name, bleach_pct, c, err);
    code = code ? code : reply_list(a, c, err);
    close_list(c);
    return code;
}

/* Ids of items under a key, as bits. */
static lw_code take_bits(lw_asked *a, const json_t *root, const char *key, const lw_checklist *list, uint64_t *bits,
                         lw_err *err)
{
    const json_t *ids = json_object_get(root, key);
    for (size_t i = 0; i < json_array_size(ids); i++) {
        const char *id = json_string_value(json_array_get(ids, i));
        int at = 0;
        while (at < list->count && (!id || strcmp(list->item[at].id, id) != 0))
            at++;
        if (at == list->count) {
            a->reply->status = 404;
            return lw_fail(err, LW_E_MISSING, "this list has no item %s",
                           id ? lw_quoted(id, strlen(id)).text : "of that kind");
        }
        *bits |= UINT64_C(1) << at;
    }
    return LW_OK;
}

/* Setting a tick again changes nothing, so a message that comes twice does no harm. */
lw_code lw_ask_ticks(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    json_t *root = NULL;
    const char *name = NULL, *device = NULL;
    camp_list *c = calloc(1, sizeof *c);
    lw_code code = c ? lw_asked_want_params(a, KEYS, err) : lw_fail(err, LW_E_FULL, "not enough memory");
    code = code ? code : lw_asked_body(a, &root, err);
    code = code ? code : lw_asked_text(a, root, "list", &name, err);
    code = code ? code : lw_asked_text(a, root, "device", &device, err);
    if (!code && !name) {
        a->reply->status = 400;
        code = lw_fail(err, LW_E_MISSING, "list is to name a checklist, such as leaving");
    }
    if (!code && c) {
        code = open_list(a, name, (double)NAN, c, err);
        lw_checklist_marks marks = {.is_fresh_start = json_is_true(json_object_get(root, "fresh")),
                                    .stay = c->home.stay,
                                    .stated_s = a->ask->now_s,
                                    .device_s = a->ask->now_s,
                                    .device = lw_asked_device(a, device)};
        code = code ? code : take_bits(a, root, "tick", &c->list, &marks.ticked, err);
        code = code ? code : take_bits(a, root, "untick", &c->list, &marks.unticked, err);
        if (!code && marks.ticked & marks.unticked)
            code = lw_fail(err, LW_E_CONFLICT, "an item is ticked or it is not; it stands in both");
        code = code ? code : lw_checklist_mark(a->book, &marks, &c->list, err);
        code = code ? code : reply_list(a, c, err);
    }
    json_decref(root);
    if (c)
        close_list(c);
    return code;
}

lw_code lw_ask_ledger(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"since", NULL};
    lw_book_ledger ledger = {0};
    const lw_ledger_request request = {.now_s = a->ask->now_s, .since = lw_asked_param(a, "since")};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_book_ledger_make(a->book, &request, &ledger, err);
    char *text = code ? NULL : lw_ledger_json(&ledger, a->ask->version);
    lw_book_ledger_clear(&ledger);
    return code ? code : lw_asked_reply(a, text, err);
}
