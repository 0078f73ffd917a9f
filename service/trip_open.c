/* A trip before it is planned: its file, its places and services from the book, its camp, its tables. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/yaml_tree.h"
#include "service/household.h"
#include "service/stays.h"
#include "service/trip_internal.h"
#include "service/words_internal.h"
#include "text/say.h"

enum { NAMED_MOST = 6 };

/* ---- what cannot be driven to ---- */

static void say_left_out(lw_trip_planned *to, const lw_trip_tables *t)
{
    lw_line line = lw_line_of(to->left_out, sizeof to->left_out);
    int count = 0;
    for (int p = 0; p < t->in.place_count; p++) {
        int any = to->file.place[p].has_everything || p == t->in.start;
        for (int q = 0; q < t->in.place_count && !any; q++)
            any = q != p && t->leg[p * t->in.place_count + q].road_min <= LW_TRIP_FALLBACK_MIN;
        if (any)
            continue;
        if (++count <= NAMED_MOST)
            lw_line_add(&line, "%s%s",
                        count == 1 ? "Not driven to, as no other place is within 2 h 30 min should it be full: " : ", ",
                        to->file.place[p].name);
    }
    if (count > NAMED_MOST)
        lw_line_add(&line, " and %d more", count - NAMED_MOST);
    lw_line_add(&line, count ? "." : "");
}

/* ---- opening ---- */

const char *lw_trip_camp_name(const lw_trip_file *file)
{
    return file->camp[0] ? file->camp : "the book";
}

static char *copy(const char *text)
{
    const size_t n = strlen(text) + 1;
    char *to = malloc(n);
    if (to)
        memcpy(to, text, n);
    return to;
}

static lw_code find_camp(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err)
{
    size_t size = 0;
    if (ask->camp) {
        to->camp = copy(ask->camp);
        return to->camp ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a trip");
    }
    if (to->file.camp[0] && ask->has_no_files)
        return lw_fail(err, LW_E_CONFLICT,
                       "a trip from elsewhere cannot name a file; leave camp: out, it is that of the book");
    if (to->file.camp[0])
        return lw_yaml_bytes(to->file.camp, &to->camp, &size, err);
    if (!ask->book)
        return lw_fail(
            err, LW_E_MISSING,
            "the trip names no camp, and there is no book with one; write camp: and a scenario file beside it");
    return lw_household_scenario(ask->book, ask->now_s, &to->camp, err);
}

/* Stays of the book count for its own camp alone: another file's household has been elsewhere. */
static lw_code find_earlier(const lw_trip_ask *ask, const lw_trip_planned *to, lw_trip_ask *with,
                            lw_named_stay **earlier, lw_err *err)
{
    lw_book_stays stays = {0};
    *with = *ask;
    if (ask->camp || to->file.camp[0] || !ask->book)
        return LW_OK;
    const lw_code code = lw_stays_gather(ask->book, ask->now_s, &stays, err);
    if (code)
        return code;
    *earlier = lw_stays_named(&stays, INT64_MAX, 0, NULL, &with->earlier_count);
    with->earlier = *earlier;
    lw_stays_clear(&stays);
    return *earlier ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for the stays of the book");
}

/* Where the trip's file, or the request, asks for places of the book; kept ones as they were. */
static lw_code gather(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err)
{
    lw_trip_candidates *c = calloc(1, sizeof *c);
    char *text = NULL;
    if (!c)
        return lw_fail(err, LW_E_FULL, "no memory for a trip");
    lw_code code = lw_trip_candidates_read(ask->path, to->input, strlen(to->input), c, err);
    if (!code && ask->candidates) {
        const int64_t from_day = c->from_day, until_day = c->until_day;
        const int has_places = c->has_places;
        const size_t n = strlen(ask->candidates) + sizeof "candidates: \n";
        text = malloc(n);
        if (text) {
            snprintf(text, n, "candidates: %s\n", ask->candidates);
            code = lw_trip_candidates_read("request", text, strlen(text), c, err);
        } else {
            code = lw_fail(err, LW_E_FULL, "no memory for a trip");
        }
        c->from_day = from_day;
        c->until_day = until_day;
        c->has_places = has_places;
    }
    if (!code && c->is_asked)
        code = lw_trip_gather(ask, c, &to->gathered, err);
    free(text);
    free(c);
    return code;
}

static lw_code read_file(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err)
{
    const lw_trip_gathered *g = ask->gathered ? ask->gathered : &to->gathered;
    lw_code code = ask->gathered ? LW_OK : gather(ask, to, err);
    const lw_trip_file_more more = {g->place, g->service, g->place_count, g->service_count};
    return code ? code : lw_trip_file_read(ask->path, to->input, strlen(to->input), &more, &to->file, err);
}

static int copy_gathered(const lw_trip_gathered *from, lw_trip_gathered *to)
{
    *to = *from;
    to->place = calloc((size_t)from->place_count + 1, sizeof *to->place);
    to->service = calloc((size_t)from->service_count + 1, sizeof *to->service);
    if (!to->place || !to->service)
        return 0;
    for (int i = 0; i < from->place_count; i++)
        to->place[i] = from->place[i];
    for (int i = 0; i < from->service_count; i++)
        to->service[i] = from->service[i];
    return 1;
}

/* Services of the map files count where the trip is the book's own: its places, or its camp. What they are is kept with the trip. */
static lw_code find_services(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err)
{
    const int had = to->file.service_count;
    if (ask->gathered)
        return copy_gathered(ask->gathered, &to->gathered) ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a trip");
    if (!ask->book || ((ask->camp || to->file.camp[0]) && to->gathered.place_count == 0))
        return LW_OK;
    int asked_first = 0;
    const lw_code code = lw_trip_gather_services(ask->book, &to->file, &asked_first, err);
    const int count = to->file.service_count - had;
    to->gathered.service = calloc((size_t)count + 1, sizeof *to->gathered.service);
    if (!to->gathered.service)
        return code ? code : lw_fail(err, LW_E_FULL, "no memory for a trip");
    for (int i = 0; i < count; i++)
        to->gathered.service[i] = to->file.service[had + i];
    to->gathered.service_count = count;
    lw_line line =
        lw_line_of(to->gathered.note + strlen(to->gathered.note), sizeof to->gathered.note - strlen(to->gathered.note));
    if (asked_first)
        lw_line_add(&line,
                    "%sServices of the map files that do not say who may use them: %d; they are not relied on, ask "
                    "first.",
                    to->gathered.note[0] ? " " : "", asked_first);
    return code;
}

/* Days of which the forecast has every hour; a camp without one, or whose file is gone, has the climate alone. */
static void find_forecast(const lw_trip_ask *ask, lw_trip_planned *to)
{
    lw_loaded camp = {.scenario = NULL};
    lw_err ignored = {0};
    const lw_scenario_from from = {
        .path = lw_trip_camp_name(&to->file), .bytes = to->camp, .size = strlen(to->camp), .now_s = ask->now_s};
    if (lw_scenario_load(&from, &camp, &ignored))
        return;
    lw_trip_forecast *f = &to->forecast;
    const lw_scenario *s = camp.scenario;
    int hours = 0;
    f->spot = (lw_spot){s->place.latitude_deg, s->place.longitude_deg};
    for (int h = 0; h < s->calendar.hours; h++) {
        const int64_t at_s = s->calendar.start_s + INT64_C(3600) * h;
        const int64_t day = lw_clock_at(&camp.zone, at_s).day;
        if (at_s < camp.forecast_from_s || at_s >= camp.forecast_until_s)
            continue;
        if (f->count == 0 || day != f->first_day + f->count - 1) {
            if (f->count == LW_TRIP_FORECAST_DAYS)
                break;
            f->first_day = f->count ? f->first_day : day;
            f->rain_mm[f->count] = 0.0;
            f->wet_frac[f->count] = (double)NAN;
            f->snow_mm[f->count++] = 0.0;
            hours = 0;
        }
        const int at = f->count - 1;
        f->rain_mm[at] += s->weather.precip_mm[h];
        f->snow_mm[at] += s->weather.snow_mm[h] > 0.0 ? s->weather.snow_mm[h] : 0.0; /* NaN: not said */
        if (camp.before_forecast)
            f->wet_frac[at] = fmax(isnan(f->wet_frac[at]) ? 0.0 : f->wet_frac[at], camp.before_forecast->wet_frac[h]);
        hours++;
    }
    f->count -= f->count > 0 && hours < 12; /* half a day says little */
    lw_loaded_clear(&camp);
}

lw_code lw_trip_read(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err)
{
    size_t size = 0;
    lw_code code = LW_OK;
    if (ask->text)
        to->input = copy(ask->text), code = to->input ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a trip");
    else
        code = lw_yaml_bytes(ask->path, &to->input, &size, err);
    return code ? code : read_file(ask, to, err);
}

/* Rules in words, who travels in what, when they work. */
static void tell_camp(lw_trip_planned *to, const lw_trip_tables *t)
{
    const lw_crew *crew = &t->camp.scenario->crew;
    for (int p = 0; p < to->file.place_count; p++)
        if (t->place[p].rule >= 0 && !to->file.place[p].rule_words[0])
            snprintf(to->file.place[p].rule_words, LW_TRIP_FILE_LINE, "%s", t->rule_words[t->place[p].rule]);
    snprintf(to->rig, sizeof to->rig, "%s", t->camp.rig_kind);
    for (int i = 0; i < crew->person_count; i++) {
        const lw_person *one = &crew->person[i];
        to->people += one->being <= LW_BEING_CHILD && one->guest.to_s <= one->guest.from_s;
        to->animals += one->being > LW_BEING_CHILD;
    }
    for (int d = 0; d < 7; d++)
        for (int i = 0; i < crew->person_count; i++)
            to->work_hours[d] |= crew->person[i].work[d] | crew->person[i].school[d];
}

lw_code lw_trip_open(const lw_trip_ask *ask, lw_trip_planned *to, lw_trip_tables *t, lw_err *err)
{
    lw_trip_ask with;
    lw_named_stay *earlier = NULL;
    *to = (lw_trip_planned){
        .seed = ask->seed, .draws = ask->draws, .fresh_draws = ask->fresh > 0 ? ask->fresh : LW_TRIP_FRESH};
    to->plan = calloc(LW_TRIP_PLANS, sizeof *to->plan);
    lw_code code = to->plan ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a trip");
    code = code ? code : lw_trip_read(ask, to, err);
    code = code ? code : find_services(ask, to, err);
    code = code ? code : find_camp(ask, to, err);
    if (!code)
        to->file.camp_text = to->camp;
    code = code ? code : lw_trip_change(ask, &to->file, err);
    code = code ? code : find_earlier(ask, to, &with, &earlier, err);
    const double began_s = lw_trip_clock_s();
    code = code ? code : lw_trip_tables_make(&with, &to->file, t, err);
    free(earlier);
    if (code) {
        lw_trip_clear(to);
        return code;
    }
    to->tables_s = lw_trip_clock_s() - began_s;
    to->zone = t->camp.zone;
    to->units = t->camp.units;
    to->work_days = t->work_days;
    find_forecast(ask, to);
    tell_camp(to, t);
    snprintf(to->road_note, sizeof to->road_note, "%s", t->road_note);
    say_left_out(to, t);
    return LW_OK;
}
