#include "service/trip_request.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "book/trips.h"
#include "service/json.h"
#include "text/decimal.h"
#include "text/say.h"

enum { PLANS_USUAL = 3 };

typedef struct request {
    lw_book *book;
    json_t *root;
    const char *what, *name, *keep, *version;
    lw_trip_ask ask;
    char *candidates;
    int plan;
    lw_trip_year_wish year;
} request;

static lw_code take_text(const request *r, const char *key, const char **to, lw_err *err)
{
    const json_t *value = json_object_get(r->root, key);
    if (!value || json_is_null(value))
        return LW_OK;
    if (!json_is_string(value) || !*json_string_value(value))
        return lw_fail(err, LW_E_SYNTAX, "%s is no text", key);
    *to = json_string_value(value);
    return LW_OK;
}

static lw_code take_whole(const request *r, const char *key, int least, int most, int *to, lw_err *err)
{
    const json_t *value = json_object_get(r->root, key);
    if (!value || json_is_null(value))
        return LW_OK;
    if (!json_is_integer(value) || json_integer_value(value) < least || json_integer_value(value) > most)
        return lw_fail(err, LW_E_RANGE, "%s is a whole number from %d to %d", key, least, most);
    *to = (int)json_integer_value(value);
    return LW_OK;
}

static lw_code take_real(const request *r, const char *key, double least, double most, double *to, lw_err *err)
{
    const json_t *value = json_object_get(r->root, key);
    *to = (double)NAN;
    if (!value || json_is_null(value))
        return LW_OK;
    if (!json_is_number(value) || !(json_number_value(value) >= least && json_number_value(value) <= most))
        return lw_fail(err, LW_E_RANGE, "%s is a number from %s to %s", key, lw_num(least).text, lw_num(most).text);
    *to = json_number_value(value);
    return LW_OK;
}

static lw_code take_texts(const request *r, const char *key, const char **to, int *count, lw_err *err)
{
    const json_t *list = json_object_get(r->root, key);
    if (!list || json_is_null(list))
        return LW_OK;
    if (!json_is_array(list) || json_array_size(list) > LW_TRIP_CHANGES)
        return lw_fail(err, LW_E_SYNTAX, "%s is a list of at most %d texts", key, LW_TRIP_CHANGES);
    for (size_t i = 0; i < json_array_size(list); i++) {
        const char *text = json_string_value(json_array_get(list, i));
        if (!text)
            return lw_fail(err, LW_E_SYNTAX, "%s is a list of at most %d texts", key, LW_TRIP_CHANGES);
        to[(*count)++] = text;
    }
    return LW_OK;
}

/* A map as text: it is read as the one of a trip's file. */
static lw_code take_candidates(request *r, lw_err *err)
{
    const json_t *value = json_object_get(r->root, "candidates");
    if (!value || json_is_null(value))
        return LW_OK;
    if (!json_is_object(value))
        return lw_fail(err, LW_E_SYNTAX,
                       "candidates is an object, such as {\"near\": \"Tin Cup\", \"drive\": \"4 h\"}");
    r->candidates = json_dumps(value, JSON_COMPACT);
    r->ask.candidates = r->candidates;
    return r->candidates ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a trip's request");
}

static lw_code want_keys(const request *r, lw_err *err)
{
    static const char *const KEYS[] = {"do",    "name", "keep",      "trip",      "candidates",
                                       "plans", "plan", "seconds",   "from",      "at",
                                       "full",  "hold", "coldest_c", "hottest_c", "chance_frac"};
    const char *key;
    json_t *value;
    json_object_foreach(r->root, key, value)
    {
        size_t i = 0;
        while (i < sizeof KEYS / sizeof KEYS[0] && strcmp(KEYS[i], key) != 0)
            i++;
        if (i == sizeof KEYS / sizeof KEYS[0])
            return lw_fail(err, LW_E_SYNTAX, "%s is no key of a trip's request", lw_quoted(key, strlen(key)).text);
    }
    return LW_OK;
}

static lw_code take(request *r, const char *json, size_t size, const lw_trip_ask *how, lw_err *err)
{
    json_error_t said;
    int seconds = 0;
    r->ask = (lw_trip_ask){.path = "the trip",
                           .book = r->book,
                           .now_s = how->now_s,
                           .threads = how->threads,
                           .progress = how->progress,
                           .is_enough = how->is_enough,
                           .with = how->with,
                           .plans = PLANS_USUAL,
                           .seed = 1,
                           .has_no_files = 1};
    r->root = json_loadb(json, size, JSON_REJECT_DUPLICATES, &said);
    if (!json_is_object(r->root))
        return lw_fail(err, LW_E_SYNTAX, "a trip's request is a JSON object%s%.120s", r->root ? "" : ": ",
                       r->root ? "" : said.text);
    lw_code code = want_keys(r, err);
    code = code ? code : take_text(r, "do", &r->what, err);
    code = code ? code : take_text(r, "name", &r->name, err);
    code = code ? code : take_text(r, "keep", &r->keep, err);
    code = code ? code : take_text(r, "trip", &r->ask.text, err);
    code = code ? code : take_text(r, "from", &r->ask.from, err);
    code = code ? code : take_text(r, "at", &r->ask.at, err);
    code = code ? code : take_candidates(r, err);
    code = code ? code : take_texts(r, "full", r->ask.full, &r->ask.full_count, err);
    code = code ? code : take_texts(r, "hold", r->ask.hold, &r->ask.hold_count, err);
    code = code ? code : take_whole(r, "plans", 1, LW_TRIP_PLANS, &r->ask.plans, err);
    code = code ? code : take_whole(r, "plan", 1, LW_TRIP_PLANS, &r->plan, err);
    code = code ? code : take_whole(r, "seconds", 1, LW_TRIP_REQUEST_SECONDS, &seconds, err);
    r->ask.seconds = seconds;
    code = code ? code : take_real(r, "coldest_c", -60.0, 60.0, &r->year.coldest_c, err);
    code = code ? code : take_real(r, "hottest_c", -60.0, 60.0, &r->year.hottest_c, err);
    return code ? code : take_real(r, "chance_frac", 0.01, 0.99, &r->year.nights_frac, err);
}

static lw_code want_name(const request *r, lw_err *err)
{
    return r->name ? LW_OK : lw_fail(err, LW_E_MISSING, "say which trip with name");
}

static lw_code plan(request *r, lw_trip_planned *to, lw_err *err)
{
    if (!r->ask.text)
        return lw_fail(err, LW_E_MISSING, "a plan needs trip, the text of a trip's file");
    const lw_code code = lw_trip_make(&r->ask, to, err);
    return code || !r->keep || to->plan_count == 0 ? code
                                                   : lw_trip_keep(r->book, r->keep, &r->ask, to, r->ask.now_s, err);
}

static lw_code replan(request *r, lw_trip_planned *to, lw_err *err)
{
    const lw_code code = want_name(r, err);
    return code ? code : lw_trip_replan(r->book, r->name, r->plan - 1, &r->ask, r->keep ? r->keep : r->name, to, err);
}

static lw_code show(request *r, lw_trip_planned *to, lw_err *err)
{
    const lw_code code = want_name(r, err);
    return code ? code : lw_trip_show(r->book, r->name, &r->ask, to, err);
}

static lw_code tell(request *r, lw_code (*make)(request *, lw_trip_planned *, lw_err *), char **answer, lw_err *err)
{
    lw_trip_planned *p = calloc(1, sizeof *p);
    lw_code code = p ? make(r, p, err) : lw_fail(err, LW_E_FULL, "no memory for a trip");
    if (!code && p) {
        *answer = lw_trip_json(p, r->version);
        if (!*answer)
            code = lw_fail(err, LW_E_FULL, "no memory for a trip");
        lw_trip_clear(p);
    }
    free(p);
    return code;
}

static lw_code list(const request *r, char **answer, lw_err *err)
{
    lw_kept_trips trips = {0};
    lw_zone utc;
    lw_zone_utc(&utc);
    const lw_code code = lw_book_list_trips(r->book, NULL, &trips, err);
    if (code)
        return code;
    lw_json j = {.zone = &utc};
    json_t *root = lw_json_object(&j), *rows = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.trips/1");
    for (size_t i = 0; i < trips.count; i++) {
        json_t *o = lw_json_object(&j);
        lw_json_text(&j, o, "name", trips.trip[i].name);
        lw_json_time(&j, o, "made", trips.trip[i].made_s);
        lw_json_text(&j, o, "trip", trips.trip[i].input);
        lw_json_add(&j, rows, o);
    }
    lw_json_put(&j, root, "trips", rows);
    lw_kept_trips_clear(&trips);
    *answer = lw_json_finish(&j, root, 0);
    return *answer ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a list of trips");
}

static lw_code forget(const request *r, char **answer, lw_err *err)
{
    lw_code code = want_name(r, err);
    code = code ? code : lw_book_drop_trip(r->book, r->name, err);
    return code ? code : list(r, answer, err);
}

/* Of a kept trip, of one that is still a text, or of places of the book. */
static lw_code year(request *r, char **answer, lw_err *err)
{
    char units[8] = "";
    int is_there = 0;
    lw_trip_year *y = calloc(1, sizeof *y);
    lw_code code = y ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a year");
    code = code ? code : lw_book_get(r->book, "units", units, sizeof units, &is_there, err);
    if (!code && y && r->name)
        code = lw_trip_year_of_kept(r->book, r->name, &r->ask, &r->year, y, err);
    else if (!code && y) {
        r->ask.path = r->ask.text ? r->ask.path : NULL;
        code = lw_trip_year_make(&r->ask, &r->year, y, err);
    }
    if (!code && y) {
        *answer = lw_trip_year_json(y, strcmp(units, "si") == 0 ? LW_UNITS_SI : LW_UNITS_US, r->version);
        code = *answer ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a year");
    }
    free(y);
    return code;
}

static lw_code answer_it(request *r, char **answer, lw_err *err)
{
    if (r->what && strcmp(r->what, "plan") == 0)
        return tell(r, plan, answer, err);
    if (r->what && strcmp(r->what, "show") == 0)
        return tell(r, show, answer, err);
    if (r->what && strcmp(r->what, "replan") == 0)
        return tell(r, replan, answer, err);
    if (r->what && strcmp(r->what, "list") == 0)
        return list(r, answer, err);
    if (r->what && strcmp(r->what, "forget") == 0)
        return forget(r, answer, err);
    if (r->what && strcmp(r->what, "year") == 0)
        return year(r, answer, err);
    return lw_fail(err, LW_E_SYNTAX, "do is one of plan, show, replan, list, forget, year");
}

lw_code lw_trip_request(lw_book *book, const char *json, size_t size, const lw_trip_ask *how, const char *version,
                        char **answer, lw_err *err)
{
    request r = {.book = book, .version = version, .plan = 1};
    lw_code code = take(&r, json, size, how, err);
    code = code ? code : answer_it(&r, answer, err);
    free(r.candidates);
    if (r.root)
        json_decref(r.root);
    return code;
}
