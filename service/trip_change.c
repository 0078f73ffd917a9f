/* A trip's file as reality has it: another day and place to go on from, a place that is full, a stay that is to be as it is. */
#include <stdio.h>
#include <string.h>

#include "service/trip_internal.h"
#include "text/moment.h"
#include "text/say.h"

enum { FULL_DAYS = 7 };

static lw_code place_of(const lw_trip_file *file, const char *name, size_t n, int *place, lw_err *err)
{
    const char *names[LW_TRIP_FILE_PLACES];
    char said[LW_TRIP_FILE_NAME];
    snprintf(said, sizeof said, "%.*s", (int)n, name);
    for (int p = 0; p < file->place_count; p++) {
        names[p] = file->place[p].name;
        if (strcmp(said, names[p]) == 0) {
            *place = p;
            return LW_OK;
        }
    }
    const char *near = lw_nearest(said, names, (size_t)file->place_count);
    return lw_fail(err, LW_E_MISSING,
                   near ? "no place of the trip is named %s; did you mean %s?" : "no place of the trip is named %s%s",
                   lw_quoted(said, strlen(said)).text, near ? near : "");
}

static lw_code go_on_from(lw_trip_file *file, const lw_trip_ask *ask, lw_err *err)
{
    lw_date date;
    if (ask->at) {
        const lw_code code = place_of(file, ask->at, strlen(ask->at), &file->start, err);
        if (code)
            return code;
    }
    if (!ask->from)
        return LW_OK;
    if (lw_date_parse(ask->from, &date, err))
        return err->code;
    const int64_t day = lw_day_of(date);
    if (day < file->from_day || day >= file->until_day) {
        char first[40], last[40];
        return lw_fail(err, LW_E_RANGE, "%s is no day of the trip, which goes from %s to %s", ask->from,
                       lw_date_print(first, sizeof first, lw_date_of(file->from_day)),
                       lw_date_print(last, sizeof last, lw_date_of(file->until_day)));
    }
    file->from_day = day;
    return LW_OK;
}

/* "Tin Cup, 2027-05-21, 2027-05-26": these nights there, as a must. */
static lw_code hold_stay(lw_trip_file *file, const char *text, int is_on_the_way, lw_err *err)
{
    char from[16], until[16];
    lw_date first, last;
    int place = 0;
    const char *comma = strchr(text, ',');
    if (!comma || sscanf(comma, ", %15[0-9-] , %15[0-9-]", from, until) != 2)
        return lw_fail(err, LW_E_SYNTAX,
                       "a stay to hold is PLACE, FIRST NIGHT, LAST MORNING: \"Tin Cup, 2027-05-21, 2027-05-26\"");
    lw_code code = place_of(file, text, (size_t)(comma - text), &place, err);
    code = code ? code : lw_date_parse(from, &first, err);
    code = code ? code : lw_date_parse(until, &last, err);
    if (code)
        return code;
    const int64_t until_day = lw_day_of(last);
    int64_t from_day = lw_day_of(first);
    if (is_on_the_way && until_day <= file->from_day)
        return LW_OK; /* it has been */
    if (is_on_the_way && from_day < file->from_day)
        from_day = file->from_day;
    if (from_day < file->from_day || until_day > file->until_day || until_day <= from_day)
        return lw_fail(err, LW_E_RANGE, "from %s to %s is no part of the trip", from, until);
    if (file->wish_count == LW_TRIP_FILE_WISHES)
        return lw_fail(err, LW_E_FULL, "a trip has at most %d wishes and stays to hold", LW_TRIP_FILE_WISHES);
    lw_trip_file_wish *wish = &file->wish[file->wish_count++];
    *wish = (lw_trip_file_wish){
        .from_day = from_day, .until_day = until_day, .nights = (int)(until_day - from_day), .is_must = 1};
    snprintf(wish->what, sizeof wish->what, "%.*s", (int)(comma - text), text);
    wish->of[place / 64] |= UINT64_C(1) << (place % 64);
    return LW_OK;
}

/* A wish that stays until now have kept is had; one that is being kept wants the rest of its nights where one is. What there is no time
 * left for is no longer asked, but for a must. */
static void count_what_was_had(const lw_trip_ask *ask, lw_trip_file *file)
{
    for (int w = 0; w < file->wish_count; w++) {
        lw_trip_file_wish *wish = &file->wish[w];
        const int64_t until = wish->until_day && wish->until_day < file->until_day ? wish->until_day : file->until_day;
        for (int i = 0; i < ask->lived_count && !wish->is_had; i++) {
            const lw_trip_lived *lived = &ask->lived[i];
            const int64_t from = lived->first_day > wish->from_day ? lived->first_day : wish->from_day;
            const int64_t to = lived->last_day < until ? lived->last_day : until;
            const int nights = (int)(to > from ? to - from : 0);
            if (!(wish->of[lived->place / 64] >> (lived->place % 64) & 1u) || nights == 0)
                continue;
            if (nights >= wish->nights)
                wish->is_had = 1;
            else if (lived->last_day == file->from_day && lived->place == file->start &&
                     until - file->from_day >= wish->nights - nights) {
                memset(wish->of, 0, sizeof wish->of);
                wish->of[lived->place / 64] |= UINT64_C(1) << (lived->place % 64);
                wish->nights -= nights;
                wish->from_day = file->from_day;
                wish->until_day = file->from_day + wish->nights;
                break;
            }
        }
        const int64_t from = wish->from_day > file->from_day ? wish->from_day : file->from_day;
        if (wish->is_had || until - from >= wish->nights)
            continue;
        wish->is_had = !wish->is_must;
        wish->nights = 1; /* a must that no place can keep any more */
        memset(wish->of, 0, sizeof wish->of);
        wish->from_day = wish->until_day = 0;
    }
}

lw_code lw_trip_change(const lw_trip_ask *ask, lw_trip_file *file, lw_err *err)
{
    lw_code code = go_on_from(file, ask, err);
    for (int i = 0; i < ask->full_count && !code; i++) {
        int place = 0;
        code = place_of(file, ask->full[i], strlen(ask->full[i]), &place, err);
        if (!code && file->place[place].from_day < file->from_day + FULL_DAYS)
            file->place[place].from_day = file->from_day + FULL_DAYS;
    }
    for (int i = 0; i < ask->hold_count && !code; i++)
        code = hold_stay(file, ask->hold[i], ask->lived_count > 0, err);
    if (!code)
        count_what_was_had(ask, file);
    return code;
}
