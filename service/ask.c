#include "service/ask.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/devices.h"
#include "book/household.h"
#include "exchange/csv.h"
#include "exchange/json_tree.h"
#include "service/ask_internal.h"
#include "text/decimal.h"
#include "text/say.h"

static const char JSON_TYPE[] = "application/json";

/* Answers are kept no longer than this, so that what the book does not know of (a fresh forecast file) shows too. */
static const int64_t KEPT_S = 600;

/* MOVES: the outlook is another afterwards. */
/* TOLD: what else stands in the query stands in the body. */
typedef enum route_flag { QUICK = 0, SLOW = 1, HERE_ONLY = 2, HAS_REST = 4, MOVES = 8, TOLD = 16 } route_flag;

typedef struct route {
    const char *method, *path;
    lw_ask_fn *answer;
    int flags;
} route;

static const route ROUTES[] = {
    {"GET", "/api/1/state", lw_ask_state, QUICK},
    {"POST", "/api/1/clock", lw_ask_clock, MOVES},
    {"GET", "/api/1/outlook", lw_ask_outlook, SLOW},
    {"POST", "/api/1/outlook", lw_ask_outlook, SLOW | TOLD},
    {"GET", "/api/1/today", lw_ask_today, SLOW},
    {"GET", "/api/1/learned", lw_ask_learned, SLOW},
    {"GET", "/api/1/plan/levers", lw_ask_levers, SLOW},
    {"GET", "/api/1/plan/generator", lw_ask_generator, SLOW},
    {"GET", "/api/1/plan/runs", lw_ask_runs, SLOW},
    {"GET", "/api/1/plan/provisions", lw_ask_provisions, SLOW},
    {"GET", "/api/1/plan/buy", lw_ask_buy, SLOW},
    {"GET", "/api/1/plan/cost", lw_ask_cost, SLOW},
    {"GET", "/api/1/plan/rhythm", lw_ask_rhythm, SLOW},
    {"GET", "/api/1/plan/share", lw_ask_share, SLOW},
    {"POST", "/api/1/plan/convoy", lw_ask_convoy, SLOW},
    {"GET", "/api/1/services", lw_ask_services, QUICK},
    {"PUT", "/api/1/services", lw_ask_put_services, QUICK},
    {"GET", "/api/1/calendar", lw_ask_calendar, SLOW},
    {"GET", "/api/1/weather", lw_ask_weather, QUICK},
    {"GET", "/api/1/history", lw_ask_history, QUICK},
    {"GET", "/api/1/foreseen", lw_ask_foreseen, QUICK},
    {"GET", "/api/1/gauges", lw_ask_gauges, QUICK},
    {"GET", "/api/1/people", lw_ask_people, QUICK},
    {"POST", "/api/1/entries", lw_ask_entries, MOVES},
    {"POST", "/api/1/undo", lw_ask_undo, MOVES},
    {"GET", "/api/1/checklists", lw_ask_checklists, QUICK},
    {"POST", "/api/1/ticks", lw_ask_ticks, QUICK},
    {"GET", "/api/1/ledger", lw_ask_ledger, QUICK},
    {"GET", "/api/1/places", lw_ask_places, SLOW},
    {"POST", "/api/1/places", lw_ask_add_place, QUICK},
    {"GET", "/api/1/places/rank", lw_ask_rank, SLOW},
    {"GET", "/api/1/places/compare", lw_ask_compare, SLOW},
    {"GET", "/api/1/places/give", lw_ask_give_places, QUICK},
    {"POST", "/api/1/places/take", lw_ask_take_places, QUICK},
    {"GET", "/api/1/progress", lw_ask_progress, QUICK},
    {"POST", "/api/1/progress", lw_ask_progress, QUICK},
    {"GET", "/api/1/map", lw_ask_map, QUICK},
    {"GET", "/api/1/place", lw_ask_place, QUICK},
    {"PUT", "/api/1/place", lw_ask_edit_place, MOVES},
    {"DELETE", "/api/1/place", lw_ask_forget_place, QUICK},
    {"POST", "/api/1/place/recall", lw_ask_recall_place, QUICK},
    {"GET", "/api/1/place/sheet", lw_ask_place_sheet, QUICK},
    {"GET", "/api/1/place/around", lw_ask_place_around, SLOW},
    {"GET", "/api/1/place/climate", lw_ask_place_climate, QUICK},
    {"GET", "/api/1/place/sun", lw_ask_place_sun, SLOW},
    {"GET", "/api/1/place/signal", lw_ask_place_signal, SLOW},
    {"GET", "/api/1/place/signal/run", lw_ask_place_signal_run, SLOW},
    {"GET", "/api/1/drive", lw_ask_drive, SLOW},
    {"POST", "/api/1/trip", lw_ask_trip, SLOW},
    {"GET", "/api/1/trip/export", lw_ask_trip_export, SLOW},
    {"GET", "/plain", lw_ask_plain, SLOW},
    {"GET", "/plain.svg", lw_ask_plain_svg, SLOW},
    {"GET", "/plain.css", lw_ask_plain_css, QUICK},
    {"POST", "/plain", lw_ask_plain_form, MOVES},
    {"POST", "/api/1/begin", lw_ask_begin, MOVES},
    {"GET", "/api/1/left", lw_ask_left, QUICK},
    {"POST", "/api/1/left", lw_ask_leave, MOVES},
    {"DELETE", "/api/1/left", lw_ask_go_on, MOVES},
    {"POST", "/api/1/check", lw_ask_check, QUICK},
    {"GET", "/api/1/scenario", lw_ask_scenario, QUICK},
    {"GET", "/api/1/starts", lw_ask_starts, QUICK},
    {"POST", "/api/1/demo", lw_ask_demo, MOVES},
    {"DELETE", "/api/1/demo", lw_ask_end_demo, QUICK},
    {"GET", "/api/1/settings", lw_ask_settings, QUICK},
    {"PUT", "/api/1/settings", lw_ask_put_settings, QUICK},
    {"GET", "/api/1/devices", lw_ask_devices, HERE_ONLY},
    {"DELETE", "/api/1/devices/", lw_ask_revoke, HERE_ONLY | HAS_REST},
};

enum { ROUTE_COUNT = sizeof ROUTES / sizeof ROUTES[0] };

/* ---- replies ---- */

void lw_reply_clear(lw_reply *reply)
{
    free(reply->body);
    *reply = (lw_reply){0};
}

/* text: the sentence without its place, which a form has beside it anyway; NULL: it has none. */
static void refuse(lw_reply *reply, int status, const char *says, const char *text)
{
    lw_json j = {0};
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.refusal/1");
    lw_json_text(&j, root, "says", says);
    lw_json_text(&j, root, "text", text ? text : says);
    free(reply->body);
    reply->status = status;
    reply->type = JSON_TYPE;
    reply->body = lw_json_finish(&j, root, 1);
    reply->size = reply->body ? strlen(reply->body) : 0;
}

void lw_reply_refuse(lw_reply *reply, int status, const char *says)
{
    refuse(reply, status, says, NULL);
}

static void err_text(const lw_err *err, char *buf, size_t n)
{
    snprintf(buf, n, "%s%s%s", err->where, err->where[0] ? ": " : "", err->text);
}

void lw_reply_refuse_err(lw_reply *reply, int status, const lw_err *err)
{
    char says[sizeof err->where + sizeof err->text + 4];
    err_text(err, says, sizeof says);
    refuse(reply, status, says, err->text);
}

static int status_of(lw_code code)
{
    switch (code) {
    case LW_E_IO:
        return 503;
    case LW_E_CONFLICT:
        return 409;
    default:
        return 422;
    }
}

int lw_asked_goes_on(void *ask, int done, int of)
{
    const lw_ask *asked = ask;
    (void)done;
    (void)of;
    return !asked->is_over || !asked->is_over(asked->with);
}

int lw_asked_tells(void *ask, int done, int of)
{
    const lw_ask *asked = ask;
    if (asked->tell)
        asked->tell(asked->with, done, of);
    return lw_asked_goes_on(ask, done, of);
}

int lw_asked_is_enough(void *ask)
{
    const lw_ask *asked = ask;
    return asked->is_enough && asked->is_enough(asked->with);
}

lw_code lw_asked_reply(lw_asked *a, char *text, lw_err *err)
{
    if (!text) {
        a->reply->status = 503;
        return lw_fail(err, LW_E_FULL, "not enough memory for this answer; try again");
    }
    *a->reply = (lw_reply){.status = 200, .type = JSON_TYPE, .body = text, .size = strlen(text)};
    return LW_OK;
}

lw_code lw_asked_reply_json(lw_asked *a, lw_json *j, json_t *root, lw_err *err)
{
    return lw_asked_reply(a, lw_json_finish(j, root, 1), err);
}

/* ---- the target ---- */

static int digit(char c)
{
    return c >= '0' && c <= '9'   ? c - '0'
           : c >= 'a' && c <= 'f' ? c - 'a' + 10
           : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                  : -1;
}

/* In place; 0: not of its form, or a control character. */
static int decode(char *text)
{
    char *to = text;
    for (const char *at = text; *at; at++) {
        int c = (unsigned char)*at;
        if (c == '+')
            c = ' ';
        if (c == '%') {
            const int high = digit(at[1]), low = high < 0 ? -1 : digit(at[2]);
            if (low < 0)
                return 0;
            c = 16 * high + low;
            at += 2;
        }
        if (c < 0x20 || c == 0x7F)
            return 0;
        *to++ = (char)c;
    }
    *to = '\0';
    return 1;
}

static lw_code take_query(lw_asked *a, char *query, lw_err *err)
{
    a->reply->status = 400;
    while (query && *query) {
        char *next = strchr(query, '&');
        if (next)
            *next++ = '\0';
        if (*query) {
            char *value = strchr(query, '=');
            if (value)
                *value++ = '\0';
            if (a->param_count == LW_ASK_PARAMS)
                return lw_fail(err, LW_E_FULL, "more than %d parts in one query", LW_ASK_PARAMS);
            if (!decode(query) || (value && !decode(value)))
                return lw_fail(err, LW_E_SYNTAX,
                               "the query is not of the form key=value&key=value in percent-encoding");
            a->key[a->param_count] = query;
            a->value[a->param_count++] = value ? value : query + strlen(query);
        }
        query = next;
    }
    a->reply->status = 0;
    return LW_OK;
}

lw_code lw_asked_form(lw_asked *a, lw_err *err)
{
    if (!a->ask->body || a->ask->size == 0 || a->ask->size >= sizeof a->text) {
        a->reply->status = 400;
        return lw_fail(err, LW_E_SYNTAX, "a form of at most %zu bytes is wanted", sizeof a->text - 1);
    }
    snprintf(a->text, sizeof a->text, "%s", a->ask->body);
    a->param_count = 0;
    return take_query(a, a->text, err);
}

void lw_ask_form_field(const char *body, size_t size, const char *key, char *buf, size_t n)
{
    char field[LW_ASK_FIELD_BYTES];
    buf[0] = '\0';
    if (!body)
        return;
    for (const char *at = body, *end = body + size; at < end && !buf[0]; at++) {
        const char *next = memchr(at, '&', (size_t)(end - at));
        const size_t m = (size_t)((next ? next : end) - at), k = strlen(key);
        if (m > k && m < sizeof field && memcmp(at, key, k) == 0 && at[k] == '=') {
            snprintf(field, sizeof field, "%.*s", (int)(m - k - 1), at + k + 1);
            if (decode(field))
                snprintf(buf, n, "%s", field);
        }
        at += m;
    }
}

static lw_code take_target(lw_asked *a, lw_err *err)
{
    if (strlen(a->ask->target) >= sizeof a->text) {
        a->reply->status = 414;
        return lw_fail(err, LW_E_FULL, "the address is longer than %zu bytes", sizeof a->text - 1);
    }
    snprintf(a->text, sizeof a->text, "%s", a->ask->target);
    char *query = strchr(a->text, '?');
    if (query)
        *query++ = '\0';
    return take_query(a, query, err);
}

/* ---- routes ---- */

static int fits(const route *r, const char *path, size_t n)
{
    const size_t m = strlen(r->path);
    return r->flags & HAS_REST ? n > m && strncmp(path, r->path, m) == 0 : n == m && strncmp(path, r->path, n) == 0;
}

static int is_method(const route *r, const char *method)
{
    return strcmp(r->method, method) == 0 || (strcmp(r->method, "GET") == 0 && strcmp(method, "HEAD") == 0);
}

/* All methods of a path; empty: there is no such path. */
static void put_allow(const char *path, size_t n, char *allow, size_t size)
{
    allow[0] = '\0';
    for (int i = 0; i < ROUTE_COUNT; i++)
        if (fits(&ROUTES[i], path, n)) {
            const size_t used = strlen(allow);
            snprintf(allow + used, size - used, "%s%s%s", used ? ", " : "", ROUTES[i].method,
                     strcmp(ROUTES[i].method, "GET") == 0 ? ", HEAD" : "");
        }
}

static const route *route_of(const char *method, const char *path, size_t n)
{
    for (int i = 0; i < ROUTE_COUNT; i++)
        if (fits(&ROUTES[i], path, n) && is_method(&ROUTES[i], method))
            return &ROUTES[i];
    return NULL;
}

static size_t path_size(const char *target)
{
    return strcspn(target, "?");
}

int lw_ask_is_slow(const lw_ask *ask)
{
    const route *r = route_of(ask->method, ask->target, path_size(ask->target));
    return r && (r->flags & SLOW);
}

const char *const *lw_ask_ahead(const lw_ask *ask)
{
    static const char *const FIRST[] = {"/api/1/outlook", "/api/1/today", NULL};
    const route *r = route_of(ask->method, ask->target, path_size(ask->target));
    return r && (r->flags & MOVES) ? FIRST : NULL;
}

static lw_code find_route(lw_asked *a, const route **r, lw_err *err)
{
    const size_t n = strlen(a->text);
    *r = route_of(a->ask->method, a->text, n);
    if (*r && (*r)->flags & HERE_ONLY && a->ask->device) {
        a->reply->status = 403;
        return lw_fail(err, LW_E_CONFLICT, "only the machine that Leeway runs on may do this");
    }
    if (*r) {
        a->rest = a->text + strlen((*r)->path);
        return LW_OK;
    }
    put_allow(a->text, n, a->reply->allow, sizeof a->reply->allow);
    a->reply->status = a->reply->allow[0] ? 405 : 404;
    if (a->reply->allow[0])
        return lw_fail(err, LW_E_SYNTAX, "here one may %s", a->reply->allow);
    return lw_fail(err, LW_E_MISSING, "there is nothing at this address");
}

static lw_code take_told(lw_asked *a, const char *key, const json_t *value, lw_err *err)
{
    if (!json_is_string(value) || a->param_count == LW_ASK_PARAMS) {
        a->reply->status = 400;
        return json_is_string(value) ? lw_fail(err, LW_E_FULL, "more than %d parts in one question", LW_ASK_PARAMS)
                                     : lw_fail(err, LW_E_SYNTAX, "body: %.40s is to be a text or a list of texts", key);
    }
    a->key[a->param_count] = key;
    a->value[a->param_count++] = json_string_value(value);
    return LW_OK;
}

/* {"set": ["KEY=VALUE", ..], "draws": "48"} as the query set=..&draws=48: an address has no room for much. */
static lw_code take_body(lw_asked *a, lw_err *err)
{
    const char *key;
    json_t *value;
    lw_code code = lw_asked_body(a, &a->told, err);
    if (code)
        return code;
    json_object_foreach(a->told, key, value)
    {
        const size_t count = json_is_array(value) ? json_array_size(value) : 1;
        for (size_t i = 0; i < count && !code; i++)
            code = take_told(a, key, json_is_array(value) ? json_array_get(value, i) : value, err);
        if (code)
            return code;
    }
    return LW_OK;
}

void lw_ask_answer(lw_book *book, const lw_ask *ask, lw_reply *reply)
{
    lw_err err = {0};
    lw_asked *a = calloc(1, sizeof *a);
    const route *r = NULL;
    *reply = (lw_reply){0};
    if (!a) {
        lw_reply_refuse(reply, 503, "not enough memory for this answer; try again");
        return;
    }
    a->book = book;
    a->ask = ask;
    a->reply = reply;
    lw_code code = take_target(a, &err);
    code = code ? code : find_route(a, &r, &err);
    if (!code && r && r->flags & TOLD)
        code = take_body(a, &err);
    if (!code && r)
        code = r->answer(a, &err);
    if (code) {
        char says[sizeof err.where + sizeof err.text + 4];
        const int status = reply->status ? reply->status : status_of(code);
        err_text(&err, says, sizeof says);
        if (lw_ask_is_plain(ask->target))
            lw_plain_refuse(reply, status, says);
        else
            refuse(reply, status, says, err.text);
    }
    json_decref(a->told);
    free(a);
}

/* ---- what an answer hangs on ---- */

lw_code lw_ask_mark(lw_book *book, const lw_ask *ask, char mark[LW_ASK_MARK], lw_err *err)
{
    lw_kept_stays stays = {0};
    int64_t changes = 0;
    lw_code code = lw_book_changes(book, &changes, err);
    code = code ? code : lw_book_current_stay(book, ask->now_s, &stays, err);
    if (!code)
        snprintf(mark, LW_ASK_MARK, "%.32s-%lld-%lld-%lld", ask->version, (long long)changes,
                 (long long)(stays.count ? stays.stay[0].id : 0), (long long)(ask->now_s / KEPT_S));
    lw_kept_stays_clear(&stays);
    return code;
}

/* ---- helpers ---- */

const char *lw_asked_param(const lw_asked *a, const char *key)
{
    for (int i = 0; i < a->param_count; i++)
        if (strcmp(a->key[i], key) == 0)
            return a->value[i];
    return NULL;
}

lw_code lw_asked_want_params(lw_asked *a, const char *const *keys, lw_err *err)
{
    for (int i = 0; i < a->param_count; i++) {
        int is_known = 0;
        for (int k = 0; keys[k] && !is_known; k++)
            is_known = strcmp(a->key[i], keys[k]) == 0;
        if (is_known)
            continue;
        a->reply->status = 400;
        return lw_fail(err, LW_E_SYNTAX, "the query has no %s here", lw_quoted(a->key[i], strlen(a->key[i])).text);
    }
    return LW_OK;
}

lw_code lw_asked_whole(lw_asked *a, const char *key, int least, int most, int *to, lw_err *err)
{
    const char *text = lw_asked_param(a, key);
    double value;
    if (!text)
        return LW_OK;
    if (lw_decimal_parse(text, text + strlen(text), &value) && value >= least && value <= most && value == (int)value) {
        *to = (int)value;
        return LW_OK;
    }
    a->reply->status = 400;
    return lw_fail(err, LW_E_RANGE, "%s is a whole number from %d to %d, not %s", key, least, most,
                   lw_quoted(text, strlen(text)).text);
}

lw_code lw_asked_real(lw_asked *a, const char *key, double least, double most, double *to, lw_err *err)
{
    const char *text = lw_asked_param(a, key);
    double value;
    if (!text || !*text)
        return LW_OK;
    if (lw_decimal_parse(text, text + strlen(text), &value) && value >= least && value <= most) {
        *to = value;
        return LW_OK;
    }
    a->reply->status = 400;
    return lw_fail(err, LW_E_RANGE, "%s is a number from %s to %s, not %s", key, lw_num(least).text, lw_num(most).text,
                   lw_quoted(text, strlen(text)).text);
}

lw_code lw_asked_want(lw_asked *a, const char *key, const char **value, lw_err *err)
{
    *value = lw_asked_param(a, key);
    if (*value)
        return LW_OK;
    a->reply->status = 400;
    return lw_fail(err, LW_E_MISSING, "%s is to name a place", key);
}

lw_code lw_asked_missing(lw_asked *a, lw_code code)
{
    if (code == LW_E_MISSING && !a->reply->status)
        a->reply->status = 404;
    return code;
}

lw_code lw_asked_body(lw_asked *a, json_t **root, lw_err *err)
{
    lw_bytes bytes = {a->ask->body, a->ask->size};
    json_t *made = NULL;
    a->reply->status = 400;
    if (!a->ask->body || a->ask->size == 0)
        return lw_fail(err, LW_E_MISSING, "a JSON object is wanted as the body, and there is none");
    if (lw_json_tree_read(lw_read_bytes, &bytes, &made, err))
        return lw_err_at(err, "body", 0, NULL);
    if (!json_is_object(made)) {
        json_decref(made);
        return lw_fail(err, LW_E_SYNTAX, "a JSON object is wanted as the body");
    }
    a->reply->status = 0;
    *root = made;
    return LW_OK;
}

lw_code lw_asked_text(lw_asked *a, const json_t *root, const char *key, const char **text, lw_err *err)
{
    const json_t *value = json_object_get(root, key);
    *text = NULL;
    if (!value || json_is_null(value))
        return LW_OK;
    *text = json_string_value(value);
    if (*text && strlen(*text) == json_string_length(value))
        return LW_OK;
    a->reply->status = 400;
    return lw_fail(err, LW_E_SYNTAX, "%s is to be a text", key);
}

lw_code lw_asked_id(lw_asked *a, const json_t *root, const char *key, lw_id *id, lw_err *err)
{
    const char *text;
    lw_err unread = {0};
    const lw_code code = lw_asked_text(a, root, key, &text, err);
    if (code || (text && !lw_id_parse(text, id, &unread) && !lw_id_is_none(id)))
        return code;
    a->reply->status = 400;
    return lw_fail(err, LW_E_SYNTAX, "%s is to be 32 hexadecimal digits, made by the device at random", key);
}

lw_code lw_asked_choice(lw_asked *a, lw_words_choice *choice, lw_err *err)
{
    char units[8] = "", clock[8] = "";
    int is_there;
    lw_code code = lw_book_get(a->book, "units", units, sizeof units, &is_there, err);
    code = code ? code : lw_book_get(a->book, "clock", clock, sizeof clock, &is_there, err);
    if (!code)
        *choice = (lw_words_choice){.units = strcmp(units, "si") == 0 ? LW_UNITS_SI : LW_UNITS_US,
                                    .is_12_hour = strcmp(clock, "12") == 0,
                                    .is_page = 1};
    return code;
}

const char *lw_asked_device(const lw_asked *a, const char *said)
{
    return a->ask->device ? a->ask->device : said && *said ? said : "page";
}
