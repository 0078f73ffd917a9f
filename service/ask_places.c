/* The household's own places: which fit, where a stay holds best, what a map shows around them, and the way between two. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/spots.h"
#include "service/ask_internal.h"
#include "service/drive.h"
#include "service/map_seen.h"
#include "service/rank.h"
#include "text/moment.h"
#include "text/say.h"

static lw_code read_day(lw_asked *a, const char *key, int64_t *day, lw_err *err)
{
    const char *text = lw_asked_param(a, key);
    lw_date date;
    if (!text)
        return LW_OK;
    if (lw_date_parse(text, &date, err)) {
        a->reply->status = 400;
        return lw_err_at(err, key, 0, NULL);
    }
    *day = lw_day_of(date);
    return LW_OK;
}

static lw_code read_kinds(lw_asked *a, const char *key, unsigned *kinds, lw_err *err)
{
    const char *text = lw_asked_param(a, key);
    if (!text || !*text || (*kinds = lw_spot_kinds_of(text)) != 0)
        return LW_OK;
    a->reply->status = 400;
    return lw_fail(err, LW_E_SYNTAX, "%s is to be kinds with commas between, such as dump,water, not %s", key,
                   lw_quoted(text, strlen(text)).text);
}

static lw_code read_wish(lw_asked *a, const lw_camps *camps, lw_pick_wish *wish, lw_err *err)
{
    const char *near = lw_asked_param(a, "near");
    *wish = lw_pick_wish_none();
    wish->is_any_size = lw_asked_param(a, "length_m") == NULL;
    wish->name = lw_asked_param(a, "name");
    wish->manager = lw_asked_param(a, "manager");
    wish->has_from = near != NULL;
    lw_code code = near ? lw_asked_missing(a, lw_roads_end(camps, near, &wish->from, &wish->from_m, err)) : LW_OK;
    code = code ? code : read_day(a, "from", &wish->first_day, err);
    code = code ? code : read_day(a, "until", &wish->until_day, err);
    code = code ? code : read_kinds(a, "supply", &wish->services, err);
    code = code ? code : lw_asked_real(a, "within_m", 0.0, 2e7, &wish->within_m, err);
    code = code ? code : lw_asked_real(a, "drive_s", 0.0, 1e7, &wish->within_s, err);
    code = code ? code : lw_asked_real(a, "night_low_c", -60.0, 60.0, &wish->night_low_c, err);
    code = code ? code : lw_asked_real(a, "night_high_c", -60.0, 60.0, &wish->night_high_c, err);
    code = code ? code : lw_asked_real(a, "signal_frac", 0.0, 1.0, &wish->signal_frac, err);
    code = code ? code : lw_asked_real(a, "length_m", 0.0, 60.0, &wish->length_m, err);
    if (code)
        return code;
    const int has_first = wish->first_day != LW_NO_DAY, has_until = wish->until_day != LW_NO_DAY;
    const int is_night = !isnan(wish->night_low_c) || !isnan(wish->night_high_c);
    wish->night_low_c = is_night && isnan(wish->night_low_c) ? -60.0 : wish->night_low_c;
    wish->night_high_c = is_night && isnan(wish->night_high_c) ? 60.0 : wish->night_high_c;
    a->reply->status = 400;
    if (has_first != has_until ||
        (has_first && (wish->until_day <= wish->first_day || wish->until_day > wish->first_day + 366)))
        return lw_fail(err, LW_E_RANGE, "from and until are a pair of dates, within a year");
    if (is_night && !has_first)
        return lw_fail(err, LW_E_MISSING, "nights are asked for by dates: from and until are wanted");
    if (!wish->has_from && (!isnan(wish->within_m) || !isnan(wish->within_s)))
        return lw_fail(err, LW_E_MISSING, "say from where: near is to name a place");
    a->reply->status = 0;
    return LW_OK;
}

#define WISHES                                                                                                         \
    "near", "from", "until", "manager", "supply", "within_m", "drive_s", "night_low_c", "night_high_c", "signal_frac", \
        "length_m"

lw_code lw_ask_places(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", WISHES, NULL};
    lw_camps camps = {0};
    lw_roads roads = {0};
    lw_picks picks = {0};
    lw_pick_wish wish;
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_camps_load(a->book, &camps, err);
    code = code ? code : read_wish(a, &camps, &wish, err);
    wish.tell = lw_asked_tells;
    wish.with = (void *)a->ask;
    code = code ? code : lw_roads_open(a->book, &camps, a->ask->now_s, &roads, err);
    code = code ? code : lw_picks_make(a->book, &camps, &roads, &wish, &picks, err);
    char *text = code ? NULL : lw_picks_json(&camps, &picks, a->ask->version);
    lw_picks_clear(&picks);
    lw_roads_clear(&roads);
    lw_camps_clear(&camps);
    return code ? code : lw_asked_reply(a, text, err);
}

/* ---- where a stay holds best ---- */

static lw_code rank(lw_asked *a, lw_rank_ask *order, lw_err *err)
{
    lw_camps camps = {0};
    lw_rank *made = calloc(1, sizeof *made);
    order->from = lw_asked_param(a, "from");
    order->until = lw_asked_param(a, "until");
    order->now_s = a->ask->now_s;
    order->seed = 1;
    order->progress = lw_asked_tells;
    order->with = (void *)a->ask;
    lw_code code = made ? lw_asked_want_time(a, err) : lw_fail(err, LW_E_FULL, "no memory to rank places");
    if (!code && (!order->from || !order->until)) {
        a->reply->status = 400;
        code = lw_fail(err, LW_E_MISSING, "say from when until when");
    }
    code = code ? code : lw_camps_load(a->book, &camps, err);
    code = code ? code : read_wish(a, &camps, &order->wish, err);
    code = code ? code : lw_asked_missing(a, lw_rank_make(a->book, order, made, err));
    char *text = code || !made ? NULL : lw_rank_json(made, a->ask->version);
    if (made)
        lw_rank_clear(made);
    free(made);
    lw_camps_clear(&camps);
    return code ? code : lw_asked_reply(a, text, err);
}

lw_code lw_ask_rank(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", "best", WISHES, NULL};
    lw_rank_ask order = {.named_count = 0};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_whole(a, "best", 1, LW_RANK_BEST, &order.best, err);
    return code ? code : rank(a, &order, err);
}

lw_code lw_ask_compare(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", "near", "from", "until", NULL};
    lw_rank_ask order = {.named_count = 0};
    const lw_code code = lw_asked_want_params(a, KEYS, err);
    if (code)
        return code;
    const char *named[LW_ASK_PARAMS];
    order.named_count = lw_asked_values(a, "name", named);
    if (order.named_count < 2 || order.named_count > LW_RANK_NAMED) {
        a->reply->status = 400;
        return lw_fail(err, LW_E_MISSING, "two to %d places are wanted, name=ONE&name=OTHER", LW_RANK_NAMED);
    }
    for (int i = 0; i < order.named_count; i++)
        order.named[i] = named[i];
    for (int i = 0; i < a->param_count; i++) /* they are no wish for a part of a name */
        a->key[i] = strcmp(a->key[i], "name") == 0 ? "" : a->key[i];
    return rank(a, &order, err);
}

/* How far the long answer is that is being worked out. */
lw_code lw_ask_progress(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    const lw_code code = lw_asked_want_params(a, KEYS, err);
    lw_json j = {.zone = NULL};
    if (code)
        return code;
    if (strcmp(a->ask->method, "POST") == 0 && a->ask->cut_short)
        a->ask->cut_short(a->ask->with);
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.progress/1");
    lw_json_text(&j, root, "target", a->ask->work_target);
    lw_json_count(&j, root, "done", a->ask->work_done);
    lw_json_count(&j, root, "of", a->ask->work_of);
    return lw_asked_reply_json(a, &j, root, err);
}

/* ---- the map ---- */

lw_code lw_ask_map(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"west", "south", "east", "north", "width_px", "kinds", "lands", "roads", NULL};
    lw_map_seen_ask ask = {.window = {(double)NAN, (double)NAN, (double)NAN, (double)NAN}, .width_px = 1000};
    char *text = NULL;
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_real(a, "west", -180.0, 180.0, &ask.window.west_deg, err);
    code = code ? code : lw_asked_real(a, "south", -90.0, 90.0, &ask.window.south_deg, err);
    code = code ? code : lw_asked_real(a, "east", -180.0, 180.0, &ask.window.east_deg, err);
    code = code ? code : lw_asked_real(a, "north", -90.0, 90.0, &ask.window.north_deg, err);
    code = code ? code : lw_asked_whole(a, "width_px", 100, 10000, &ask.width_px, err);
    code = code ? code : lw_asked_whole(a, "lands", 0, 1, &ask.wants_lands, err);
    code = code ? code : lw_asked_whole(a, "roads", 0, 1, &ask.wants_roads, err);
    code = code ? code : read_kinds(a, "kinds", &ask.kinds, err);
    if (!code && (code = lw_map_seen_json(a->book, &ask, a->ask->version, &text, err)) == LW_E_RANGE)
        a->reply->status = 400;
    return code ? code : lw_asked_reply(a, text, err);
}

/* ---- the way between two ---- */

lw_code lw_ask_drive(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"from", "to", NULL};
    lw_drive_ask ask = {.now_s = a->ask->now_s};
    lw_drive_answer answer = {.note = ""};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_want(a, "from", &ask.from, err);
    code = code ? code : lw_asked_want(a, "to", &ask.to, err);
    code = code ? code : lw_asked_missing(a, lw_drive_make(a->book, &ask, &answer, err));
    return code ? code : lw_asked_reply(a, lw_drive_json(&answer, a->ask->version), err);
}
