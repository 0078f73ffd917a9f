/* Places of the book that a trip may stay at, by name or by a filter, as rows of its file; and those rows kept beside the trip. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/household.h"
#include "service/json.h"
#include "service/pick.h"
#include "service/place_known.h"
#include "service/trip_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/say.h"

enum { MOST_USUAL = 60 };

void lw_trip_gathered_clear(lw_trip_gathered *g)
{
    free(g->place);
    free(g->service);
    *g = (lw_trip_gathered){.place = NULL};
}

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "no memory for a trip's places");
}

/* ---- a place of the book as a row of the file ---- */

/* Days of the trip on which it is shut, in stretches; more of them than fit become one. */
static void fill_shut(const lw_about *about, int64_t from_day, int64_t until_day, lw_trip_file_place *to)
{
    char why[160];
    for (int64_t day = from_day; day < until_day; day++) {
        if (!lw_about_shut(about, day, why, sizeof why))
            continue;
        const int last = to->shut_count - 1;
        if (last >= 0 && (to->shut[last].until_day == day || to->shut_count == LW_TRIP_FILE_SHUT))
            to->shut[last].until_day = day + 1;
        else {
            to->shut[to->shut_count].from_day = day;
            to->shut[to->shut_count++].until_day = day + 1;
        }
    }
}

static void fill_nearby(const lw_about *about, char *to, size_t n)
{
    lw_line line = lw_line_of(to, n);
    for (int i = 0; i < about->nearby_count; i++) {
        const size_t used = strlen(to);
        lw_line_add(&line, "%s%s", used ? ", " : "", about->nearby[i].what);
        if (about->nearby[i].time_s > 0.0)
            lw_line_add(&line, " (%d min)", (int)lround(about->nearby[i].time_s / 60.0));
        if (strlen(to) + 1 >= n) {
            to[used] = '\0'; /* no half of a name */
            break;
        }
    }
}

static void fill_caution(const lw_about *about, char *to, size_t n)
{
    lw_line line = lw_line_of(to, n);
    if (about->road.clearance == LW_CLEARANCE_HIGH || about->road.clearance == LW_CLEARANCE_FOUR_WHEEL)
        lw_line_add(&line, "the last of the way wants %s clearance", lw_clearance_word(about->road.clearance));
    if (about->road.grade_frac >= 0.1)
        lw_line_add(&line, "%sa grade of %d %% on the last of the way", to[0] ? ", " : "",
                    (int)lround(100.0 * about->road.grade_frac));
}

static void fill_row(lw_book *book, const lw_camp *camp, const lw_pick *pick, const lw_trip_candidates *c,
                     lw_trip_file_place *to)
{
    const lw_place_facts *f = &camp->facts;
    const lw_about *about = &f->about;
    const unsigned there = about->has_services ? about->services : 0;
    const unsigned tanks = 1u << LW_PLACE_SERVICE_WATER | 1u << LW_PLACE_SERVICE_DUMP;
    *to = (lw_trip_file_place){.spot = f->spot,
                               .elevation_m = f->elevation_m,
                               .worth_usd = c->worth_usd,
                               .fee_usd = about->fee_usd > 0.0 ? about->fee_usd : 0.0,
                               .signal_frac = pick->signal_frac,
                               .length_m = about->is_said ? about->length_m : (double)NAN,
                               .height_m = about->is_said ? about->height_m : (double)NAN,
                               .room = about->rigs,
                               .road_s = (double)NAN,
                               .is_dry_only = about->is_said && about->road.is_dry_only,
                               .is_of_book = 1,
                               .has_own_rule = f->has_rule,
                               .own_rule = f->rule};
    snprintf(to->name, sizeof to->name, "%.*s", LW_TRIP_FILE_NAME - 1, f->name);
    snprintf(to->manager, sizeof to->manager, "%s", f->manager);
    snprintf(to->rule_words, sizeof to->rule_words, "%.*s", LW_TRIP_FILE_LINE - 1, f->rule_words);
    if ((there & tanks) == tanks && about->water == LW_PLACE_WATER_POTABLE) {
        to->has_everything = (int)(there >> LW_PLACE_SERVICE_POWER & 1u);
        to->road_s = 0.0;
    }
    if (!f->has_rule) {
        lw_place_known known;
        lw_place_known_find(book, f->spot, &known);
        snprintf(to->rule, sizeof to->rule, "%.*s", LW_TRIP_FILE_NAME - 1, known.rule);
    }
    if (!about->is_said)
        return;
    fill_shut(about, c->from_day, c->until_day, to);
    fill_nearby(about, to->nearby, sizeof to->nearby);
    fill_caution(about, to->caution, sizeof to->caution);
}

/* ---- which of them ---- */

static lw_code find_from(lw_book *book, const lw_camps *camps, const lw_trip_candidates *c, int64_t now_s,
                         lw_pick_wish *wish, lw_err *err)
{
    lw_household home = {0};
    lw_err own = {0};
    wish->has_from = 1;
    if (c->near[0])
        return lw_roads_end(camps, c->near, &wish->from, &wish->from_m, err);
    wish->has_from = lw_household_load_last(book, now_s, &home, &own) == LW_OK;
    if (wish->has_from)
        wish->from = (lw_spot){home.loaded.scenario->place.latitude_deg, home.loaded.scenario->place.longitude_deg};
    lw_household_clear(&home);
    if (!wish->has_from && (!isnan(c->within_m) || !isnan(c->drive_s)))
        return lw_fail(err, LW_E_MISSING, "the book has no stay, so say from where: candidates: {near: PLACE}");
    return LW_OK;
}

static lw_pick_wish wish_of(const lw_trip_candidates *c)
{
    lw_pick_wish wish = lw_pick_wish_none();
    wish.manager = c->manager[0] ? c->manager : NULL;
    wish.within_m = c->within_m;
    wish.within_s = c->drive_s;
    wish.services = c->supplies;
    wish.signal_frac = c->signal_frac;
    wish.night_low_c = c->night_low_c;
    wish.night_high_c = c->night_high_c;
    wish.length_m = c->length_m;
    wish.is_shut_too = 1; /* shut on some days of the trip is no reason: the plan knows on which */
    if (c->from_day && c->until_day > c->from_day) {
        wish.first_day = c->from_day;
        wish.until_day = c->until_day;
    }
    return wish;
}

/* A third of what the tables are told by. */
static int tell_gathered(void *with, int done, int of)
{
    const lw_trip_ask *ask = with;
    return !ask->progress || ask->progress(ask->with, done, 3 * of);
}

typedef struct taken {
    lw_book *book;
    const lw_trip_ask *ask;
    const lw_camps *camps;
    const lw_trip_candidates *c;
    lw_trip_gathered *to;
    int no_height, too_many;
} taken;

static void take(taken *t, const lw_pick *pick, int most)
{
    const lw_camp *camp = &t->camps->camp[pick->camp];
    for (int i = 0; i < t->to->place_count; i++)
        if (strncmp(t->to->place[i].name, camp->facts.name, LW_TRIP_FILE_NAME - 1) == 0)
            return;
    if (isnan(camp->facts.elevation_m))
        t->no_height++;
    else if (t->to->place_count >= most)
        t->too_many++;
    else
        fill_row(t->book, camp, pick, t->c, &t->to->place[t->to->place_count++]);
}

static const lw_pick *pick_of(const lw_picks *picks, const lw_camps *camps, const lw_camp *camp)
{
    for (int i = 0; i < picks->count; i++)
        if (&camps->camp[picks->pick[i].camp] == camp)
            return &picks->pick[i];
    return NULL;
}

static lw_code take_named(taken *t, lw_roads *roads, lw_err *err)
{
    lw_pick_wish any = lw_pick_wish_none();
    lw_picks all = {0};
    any.is_any = 1;
    any.tell = tell_gathered;
    any.with = (void *)t->ask;
    lw_code code = lw_picks_make(t->book, t->camps, roads, &any, &all, err);
    for (int i = 0; i < t->c->named_count && !code; i++) {
        const lw_camp *camp = NULL;
        code = lw_camps_find(t->camps, t->c->named[i], &camp, err);
        const lw_pick *pick = code ? NULL : pick_of(&all, t->camps, camp);
        if (pick && isnan(camp->facts.elevation_m)) {
            (void)lw_fail_typed(err, LW_E_MISSING, "leeway places edit NAME elevation=6200 ft",
                                "its height is not known");
            code = lw_err_at(err, camp->facts.name, 0, NULL);
        } else if (pick)
            take(t, pick, LW_TRIP_FILE_PLACES);
    }
    lw_picks_clear(&all);
    return code;
}

static void say_taken(const taken *t, const lw_picks *picks)
{
    char away[LW_SENTENCE];
    lw_line line = lw_line_of(t->to->note, sizeof t->to->note);
    lw_line_add(&line, "%d %s of the book.", t->to->place_count, t->to->place_count == 1 ? "place" : "places");
    lw_picks_say_away(picks, away, sizeof away);
    if (away[0])
        lw_line_add(&line, " %s", away);
    if (t->no_height)
        lw_line_add(&line, " Left out for want of a height: %d.", t->no_height);
    if (t->too_many)
        lw_line_add(&line, " %d farther ones are left out; most: takes more.", t->too_many);
}

lw_code lw_trip_gather(const lw_trip_ask *ask, const lw_trip_candidates *c, lw_trip_gathered *to, lw_err *err)
{
    lw_camps camps = {0};
    lw_roads roads = {0};
    lw_picks picks = {0};
    lw_pick_wish wish = wish_of(c);
    taken t = {.book = ask->book, .ask = ask, .camps = &camps, .c = c, .to = to};
    wish.tell = tell_gathered;
    wish.with = (void *)ask;
    *to = (lw_trip_gathered){.place = calloc(LW_TRIP_FILE_PLACES, sizeof *to->place)};
    if (!ask->book)
        return lw_fail(err, LW_E_MISSING,
                       "candidates are places of the book, and there is none; write places: out, or leeway begin");
    if (!to->place)
        return no_memory(err);
    lw_code code = lw_camps_load(ask->book, &camps, err);
    code = code ? code : lw_roads_open(ask->book, &camps, ask->now_s, &roads, err);
    code = code ? code : take_named(&t, &roads, err);
    if (!code && c->has_filter)
        code = find_from(ask->book, &camps, c, ask->now_s, &wish, err);
    if (!code && c->has_filter)
        code = lw_picks_make(ask->book, &camps, &roads, &wish, &picks, err);
    const int most = to->place_count + (c->most > 0 ? c->most : MOST_USUAL);
    for (int i = 0; i < picks.count && !code; i++)
        take(&t, &picks.pick[i], most < LW_TRIP_FILE_PLACES ? most : LW_TRIP_FILE_PLACES);
    if (!code)
        say_taken(&t, &picks);
    if (!code && to->place_count == 0 && !c->has_places)
        code = lw_fail(err, LW_E_MISSING, "no place of the book fits what is asked: %.180s", to->note);
    lw_picks_clear(&picks);
    lw_roads_clear(&roads);
    lw_camps_clear(&camps);
    return code;
}

/* ---- kept beside the trip ---- */

static json_t *rule_json(lw_json *j, const lw_stay_rule *r)
{
    json_t *o = lw_json_object(j);
    lw_json_count(j, o, "days", r->days);
    lw_json_count(j, o, "window_days", r->window_days);
    lw_json_count(j, o, "reading", r->reading);
    lw_json_count(j, o, "count", r->count);
    lw_json_number(j, o, "radius_m", r->radius_m, 3);
    lw_json_number(j, o, "second_radius_m", r->second_radius_m, 3);
    lw_json_count(j, o, "second_from", r->second_from);
    lw_json_count(j, o, "second_to", r->second_to);
    lw_json_count(j, o, "consecutive_days", r->consecutive_days);
    lw_json_number(j, o, "site_m", r->site_m, 3);
    lw_json_count(j, o, "year_days", r->year_days);
    lw_json_count(j, o, "site_gap_days", r->site_gap_days);
    return o;
}

static json_t *place_json(lw_json *j, const lw_trip_file_place *p)
{
    json_t *o = lw_json_object(j), *shut = lw_json_array(j);
    lw_json_text(j, o, "name", p->name);
    lw_json_text(j, o, "rule", p->rule);
    lw_json_text(j, o, "manager", p->manager);
    lw_json_text(j, o, "rule_words", p->rule_words);
    lw_json_text(j, o, "caution", p->caution);
    lw_json_text(j, o, "nearby", p->nearby);
    lw_json_number(j, o, "latitude_deg", p->spot.latitude_deg, 9);
    lw_json_number(j, o, "longitude_deg", p->spot.longitude_deg, 9);
    lw_json_number(j, o, "elevation_m", p->elevation_m, 3);
    lw_json_number(j, o, "worth_usd", p->worth_usd, 2);
    lw_json_number(j, o, "fee_usd", p->fee_usd, 2);
    lw_json_number(j, o, "signal_frac", p->signal_frac, 9);
    lw_json_number(j, o, "length_m", p->length_m, 3);
    lw_json_number(j, o, "height_m", p->height_m, 3);
    lw_json_number(j, o, "road_s", p->road_s, 0);
    lw_json_count(j, o, "room", p->room);
    lw_json_flag(j, o, "has_everything", p->has_everything);
    lw_json_flag(j, o, "is_dry_only", p->is_dry_only);
    if (p->has_own_rule)
        lw_json_put(j, o, "own_rule", rule_json(j, &p->own_rule));
    for (int i = 0; i < p->shut_count; i++) {
        lw_json_add(j, shut, json_integer(p->shut[i].from_day));
        lw_json_add(j, shut, json_integer(p->shut[i].until_day));
    }
    lw_json_put(j, o, "shut", shut);
    return o;
}

static json_t *service_json(lw_json *j, const lw_trip_file_service *s)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "name", s->name);
    lw_json_number(j, o, "latitude_deg", s->spot.latitude_deg, 9);
    lw_json_number(j, o, "longitude_deg", s->spot.longitude_deg, 9);
    lw_json_count(j, o, "supplies", s->supplies);
    lw_json_number(j, o, "fee_usd", s->fee_usd, 2);
    lw_json_count(j, o, "days", s->days);
    lw_json_flag(j, o, "is_guess", s->is_guess);
    return o;
}

json_t *lw_trip_gathered_json(lw_json *j, const lw_trip_gathered *g)
{
    json_t *o = lw_json_object(j), *places = lw_json_array(j), *services = lw_json_array(j);
    for (int i = 0; i < g->place_count; i++)
        lw_json_add(j, places, place_json(j, &g->place[i]));
    for (int i = 0; i < g->service_count; i++)
        lw_json_add(j, services, service_json(j, &g->service[i]));
    lw_json_put(j, o, "places", places);
    lw_json_put(j, o, "services", services);
    lw_json_text(j, o, "note", g->note);
    return o;
}

static int64_t whole(const json_t *o, const char *key)
{
    return json_integer_value(json_object_get(o, key));
}

static double real(const json_t *o, const char *key)
{
    const json_t *value = json_object_get(o, key);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

static void text(const json_t *o, const char *key, char *to, size_t n)
{
    const char *value = json_string_value(json_object_get(o, key));
    snprintf(to, n, "%s", value ? value : "");
}

static lw_stay_rule rule_of(const json_t *o)
{
    return (lw_stay_rule){.days = (int)whole(o, "days"),
                          .window_days = (int)whole(o, "window_days"),
                          .reading = (lw_stay_reading)whole(o, "reading"),
                          .count = (lw_stay_count)whole(o, "count"),
                          .radius_m = real(o, "radius_m"),
                          .second_radius_m = real(o, "second_radius_m"),
                          .second_from = (int)whole(o, "second_from"),
                          .second_to = (int)whole(o, "second_to"),
                          .consecutive_days = (int)whole(o, "consecutive_days"),
                          .site_m = real(o, "site_m"),
                          .year_days = (int)whole(o, "year_days"),
                          .site_gap_days = (int)whole(o, "site_gap_days")};
}

static void take_place(const json_t *o, lw_trip_file_place *to)
{
    const json_t *rule = json_object_get(o, "own_rule"), *shut = json_object_get(o, "shut");
    *to = (lw_trip_file_place){.spot = {real(o, "latitude_deg"), real(o, "longitude_deg")},
                               .elevation_m = real(o, "elevation_m"),
                               .worth_usd = real(o, "worth_usd"),
                               .fee_usd = real(o, "fee_usd"),
                               .signal_frac = real(o, "signal_frac"),
                               .length_m = real(o, "length_m"),
                               .height_m = real(o, "height_m"),
                               .road_s = real(o, "road_s"),
                               .room = (int)whole(o, "room"),
                               .has_everything = json_is_true(json_object_get(o, "has_everything")),
                               .is_dry_only = json_is_true(json_object_get(o, "is_dry_only")),
                               .is_of_book = 1,
                               .has_own_rule = json_is_object(rule)};
    text(o, "name", to->name, sizeof to->name);
    text(o, "rule", to->rule, sizeof to->rule);
    text(o, "manager", to->manager, sizeof to->manager);
    text(o, "rule_words", to->rule_words, sizeof to->rule_words);
    text(o, "caution", to->caution, sizeof to->caution);
    text(o, "nearby", to->nearby, sizeof to->nearby);
    if (to->has_own_rule)
        to->own_rule = rule_of(rule);
    for (size_t i = 0; i + 1 < json_array_size(shut) && to->shut_count < LW_TRIP_FILE_SHUT; i += 2) {
        to->shut[to->shut_count].from_day = json_integer_value(json_array_get(shut, i));
        to->shut[to->shut_count++].until_day = json_integer_value(json_array_get(shut, i + 1));
    }
}

static void take_service(const json_t *o, lw_trip_file_service *to)
{
    *to = (lw_trip_file_service){.spot = {real(o, "latitude_deg"), real(o, "longitude_deg")},
                                 .supplies = (uint32_t)whole(o, "supplies"),
                                 .fee_usd = real(o, "fee_usd"),
                                 .days = (unsigned)whole(o, "days"),
                                 .is_guess = json_is_true(json_object_get(o, "is_guess"))};
    text(o, "name", to->name, sizeof to->name);
}

lw_code lw_trip_gathered_of(const json_t *o, lw_trip_gathered *to, lw_err *err)
{
    const json_t *places = json_object_get(o, "places"), *services = json_object_get(o, "services");
    *to = (lw_trip_gathered){.place = calloc(LW_TRIP_FILE_PLACES, sizeof *to->place),
                             .service = calloc(LW_TRIP_FILE_SERVICES, sizeof *to->service)};
    if (!to->place || !to->service)
        return no_memory(err);
    for (size_t i = 0; i < json_array_size(places) && i < LW_TRIP_FILE_PLACES; i++)
        take_place(json_array_get(places, i), &to->place[to->place_count++]);
    for (size_t i = 0; i < json_array_size(services) && i < LW_TRIP_FILE_SERVICES; i++)
        take_service(json_array_get(services, i), &to->service[to->service_count++]);
    text(o, "note", to->note, sizeof to->note);
    return LW_OK;
}
