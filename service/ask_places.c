/* The household's own places: which there are, the sheet of one, and the way between two. */
#include <stdlib.h>
#include <string.h>

#include "service/ask_internal.h"
#include "service/camp_sheet.h"
#include "service/drive.h"
#include "service/pick.h"
#include "text/moment.h"
#include "text/say.h"

static lw_code want_param(lw_asked *a, const char *key, const char **value, lw_err *err)
{
    *value = lw_asked_param(a, key);
    if (*value)
        return LW_OK;
    a->reply->status = 400;
    return lw_fail(err, LW_E_MISSING, "%s is to name a place", key);
}

/* A name that is none of the book's. */
static lw_code as_missing(lw_asked *a, lw_code code)
{
    if (code == LW_E_MISSING)
        a->reply->status = 404;
    return code;
}

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

static lw_code read_wish(lw_asked *a, const lw_camps *camps, lw_pick_wish *wish, lw_err *err)
{
    const char *near = lw_asked_param(a, "near");
    *wish = lw_pick_wish_none();
    wish->is_any_size = 1;
    wish->name = lw_asked_param(a, "name");
    wish->has_from = near != NULL;
    lw_code code = near ? as_missing(a, lw_roads_end(camps, near, &wish->from, &wish->from_m, err)) : LW_OK;
    code = code ? code : read_day(a, "from", &wish->first_day, err);
    code = code ? code : read_day(a, "until", &wish->until_day, err);
    const int has_first = wish->first_day != LW_NO_DAY, has_until = wish->until_day != LW_NO_DAY;
    if (!code && (has_first != has_until ||
                  (has_first && (wish->until_day <= wish->first_day || wish->until_day > wish->first_day + 366)))) {
        a->reply->status = 400;
        return lw_fail(err, LW_E_RANGE, "from and until are a pair of dates, within a year");
    }
    return code;
}

lw_code lw_ask_places(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", "near", "from", "until", NULL};
    lw_camps camps = {0};
    lw_roads roads = {0};
    lw_picks picks = {0};
    lw_pick_wish wish;
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_camps_load(a->book, &camps, err);
    code = code ? code : read_wish(a, &camps, &wish, err);
    code = code ? code : lw_roads_open(a->book, &camps, a->ask->now_s, &roads, err);
    code = code ? code : lw_picks_make(a->book, &camps, &roads, &wish, &picks, err);
    char *text = code ? NULL : lw_picks_json(&camps, &picks, a->ask->version);
    lw_picks_clear(&picks);
    lw_roads_clear(&roads);
    lw_camps_clear(&camps);
    return code ? code : lw_asked_reply(a, text, err);
}

lw_code lw_ask_place(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", NULL};
    const char *name = NULL;
    const lw_camp *camp = NULL;
    lw_camps camps = {0};
    lw_camp_put put = {0};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : want_param(a, "name", &name, err);
    code = code ? code : lw_camps_load(a->book, &camps, err);
    code = code ? code : as_missing(a, lw_camps_find(&camps, name, &camp, err));
    code = code ? code : lw_camp_look_for_same(a->book, camp, &put, err);
    char *text = code ? NULL : lw_camp_json(camp, &put, a->ask->version);
    lw_camps_clear(&camps);
    return code ? code : lw_asked_reply(a, text, err);
}

lw_code lw_ask_drive(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"from", "to", NULL};
    lw_drive_ask ask = {.now_s = a->ask->now_s};
    lw_drive_answer answer = {.note = ""};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : want_param(a, "from", &ask.from, err);
    code = code ? code : want_param(a, "to", &ask.to, err);
    code = code ? code : as_missing(a, lw_drive_make(a->book, &ask, &answer, err));
    return code ? code : lw_asked_reply(a, lw_drive_json(&answer, a->ask->version), err);
}
