/* The trip: planned, shown, planned anew and kept, as docs/trip-request.schema.json asks; and one of its plans in a form for other
 * programs, for paper, for somebody at home. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/ask_internal.h"
#include "service/trip_request.h"
#include "text/say.h"

/* The work stops when nobody waits any more. */
static lw_trip_ask how(const lw_asked *a)
{
    return (lw_trip_ask){
        .now_s = a->ask->now_s, .progress = lw_asked_tells, .is_enough = lw_asked_is_enough, .with = (void *)a->ask};
}

lw_code lw_ask_trip(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    const lw_trip_ask ask = how(a);
    char *text = NULL;
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_want_time(a, err);
    if (!code && (!a->ask->body || a->ask->size == 0)) {
        a->reply->status = 400;
        code = lw_fail(err, LW_E_MISSING, "a JSON object is wanted as the body, and there is none");
    }
    code = code ? code : lw_trip_request(a->book, a->ask->body, a->ask->size, &ask, a->ask->version, &text, err);
    return code ? code : lw_asked_reply(a, text, err);
}

static const struct {
    const char *word, *type;
    lw_trip_form form;
} FORMS[] = {
    {"calendar", "text/calendar; charset=utf-8", LW_TRIP_CALENDAR},
    {"gpx", "application/gpx+xml; charset=utf-8", LW_TRIP_GPX},
    {"csv", "text/csv; charset=utf-8", LW_TRIP_CSV},
    {"sheet", "text/html; charset=utf-8", LW_TRIP_PAPER},
    {"home", "text/plain; charset=utf-8", LW_TRIP_HOME},
};
enum { FORM_COUNT = sizeof FORMS / sizeof FORMS[0] };

static lw_code take_form(lw_asked *a, int *at, lw_err *err)
{
    const char *word = lw_asked_param(a, "as");
    for (*at = 0; word && *at < FORM_COUNT; (*at)++)
        if (strcmp(FORMS[*at].word, word) == 0)
            return LW_OK;
    a->reply->status = 400;
    return lw_fail(err, LW_E_SYNTAX, "as is one of calendar, gpx, csv, sheet, home");
}

lw_code lw_ask_trip_export(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", "plan", "as", NULL};
    const char *name = lw_asked_param(a, "name");
    if (!name) {
        a->reply->status = 400;
        return lw_fail(err, LW_E_MISSING, "name is to name a trip that is kept");
    }
    const lw_trip_ask ask = how(a);
    lw_trip_planned *p = calloc(1, sizeof *p);
    char *text = NULL;
    int form = 0, plan = 1;
    if (!p)
        return lw_fail(err, LW_E_FULL, "no memory for a trip");
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_want_time(a, err);
    code = code ? code : take_form(a, &form, err);
    code = code ? code : lw_asked_whole(a, "plan", 1, LW_TRIP_PLANS, &plan, err);
    code = code ? code : lw_trip_show(a->book, name, &ask, p, err);
    if (!code && plan > p->plan_count)
        code = lw_fail(err, LW_E_MISSING, "trip %s has %d plans", lw_quoted(name, strlen(name)).text, p->plan_count);
    if (code == LW_E_MISSING && !a->reply->status)
        a->reply->status = 404;
    code = code ? code : lw_trip_export(p, plan - 1, FORMS[form].form, a->ask->now_s, a->ask->version, &text, err);
    lw_trip_clear(p);
    free(p);
    code = code ? code : lw_asked_reply(a, text, err);
    if (!code)
        a->reply->type = FORMS[form].type;
    return code;
}
