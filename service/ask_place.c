/* Looking at one place of the book: what is known of it, what lies around, its climate, sun and signal. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/tzif.h"
#include "exchange/ground.h"
#include "service/ask_internal.h"
#include "service/camp_sheet.h"
#include "service/land_at.h"
#include "service/map_tag_words.h"
#include "service/opening_now.h"
#include "service/places.h"
#include "service/sun_map.h"
#include "service/terrain_import.h"
#include "service/weather.h"
#include "text/moment.h"
#include "text/say.h"

/* The places of the book, and the one that is asked about. */
typedef struct found {
    lw_camps camps;
    const lw_camp *camp;
    lw_words_choice choice;
} found;

static lw_code find(lw_asked *a, const char *const *keys, found *f, lw_err *err)
{
    const char *name = NULL;
    lw_code code = lw_asked_want_params(a, keys, err);
    code = code ? code : lw_asked_want(a, "name", &name, err);
    code = code ? code : lw_asked_choice(a, &f->choice, err);
    code = code ? code : lw_camps_load(a->book, &f->camps, err);
    code = code ? code : lw_asked_missing(a, lw_camps_find(&f->camps, name, &f->camp, err));
    return code || f->camp ? code : LW_E_MISSING;
}

static const char *const NAME_ONLY[] = {"name", NULL};

lw_code lw_ask_place(lw_asked *a, lw_err *err)
{
    found f = {.camp = NULL};
    lw_camp_put put = {0};
    lw_code code = find(a, NAME_ONLY, &f, err);
    code = code ? code : lw_camp_look_for_same(a->book, f.camp, &put, err);
    char *text = code ? NULL : lw_camp_json(f.camp, &put, a->ask->version);
    lw_camps_clear(&f.camps);
    return code ? code : lw_asked_reply(a, text, err);
}

static json_t *head(lw_asked *a, lw_json *j, const char *schema, const found *f)
{
    json_t *root = lw_json_object(j);
    lw_json_text(j, root, "schema", schema);
    lw_json_text(j, root, "program", a->ask->version);
    lw_json_text(j, root, "name", f->camp->facts.name);
    return root;
}

/* ---- its sheet ---- */

static json_t *lines_json(lw_json *j, const lw_camp_sheet *sheet)
{
    json_t *lines = lw_json_array(j);
    for (int i = 0; i < sheet->count; i++) {
        json_t *o = lw_json_object(j);
        lw_json_text(j, o, "what", sheet->line[i].what);
        lw_json_text(j, o, "text", sheet->line[i].text);
        lw_json_add(j, lines, o);
    }
    return lines;
}

static json_t *lands_json(lw_json *j, const lw_land_here *here)
{
    json_t *lands = lw_json_array(j);
    for (size_t i = 0; i < here->lands.count; i++) {
        const lw_kept_land *land = &here->lands.land[i];
        const lw_land_told *told = &here->told[i];
        char text[LW_LAND_LINE], rule[3 * LW_LAND_LINE] = "", credit[LW_CREDIT_LINE];
        json_t *o = lw_json_object(j);
        if (*told->rule)
            snprintf(rule, sizeof rule, "%s (%s). %s; %s.", told->rule_title, told->rule, told->rule_source,
                     told->rule_kind);
        lw_json_text(j, o, "land", lw_land_say(here, i, text));
        lw_json_text(j, o, "access", lw_land_access_say(land));
        lw_json_text(j, o, "usual_rule", rule);
        lw_json_text(j, o, "note", told->note);
        lw_json_number(j, o, "border_m", land->border_m, 0);
        lw_json_text(j, o, "credit", lw_credit_say(land->source, land->credit, land->imported_s, land->data_s, credit));
        lw_json_add(j, lands, o);
    }
    return lands;
}

lw_code lw_ask_place_sheet(lw_asked *a, lw_err *err)
{
    found f = {.camp = NULL};
    lw_roads roads = {0};
    lw_land_here here = {.known = 0};
    lw_camp_sheet *sheet = malloc(sizeof *sheet);
    lw_code code = find(a, NAME_ONLY, &f, err);
    if (!code && !sheet)
        code = lw_fail(err, LW_E_FULL, "no memory for a sheet");
    code = code ? code : lw_roads_open(a->book, &f.camps, a->ask->now_s, &roads, err);
    code = code ? code : lw_land_at(a->book, f.camp->facts.spot, &here, err);
    if (!code && sheet) {
        lw_camp_sheet_make(f.camp, &roads.rig, f.choice.units, sheet);
        code = lw_camp_sheet_road(a->book, f.camp, f.choice.units, sheet, err);
    }
    if (!code && sheet) {
        lw_json j = {.zone = NULL};
        json_t *root = head(a, &j, "leeway.sheet/1", &f);
        lw_json_put(&j, root, "lines", lines_json(&j, sheet));
        lw_json_put(&j, root, "lands", lands_json(&j, &here));
        lw_json_text(&j, root, "ask", lw_land_ask(&here));
        code = lw_asked_reply_json(a, &j, root, err);
    }
    free(sheet);
    lw_land_here_clear(&here);
    lw_roads_clear(&roads);
    lw_camps_clear(&f.camps);
    return code;
}

/* ---- what lies around ---- */

static const double AROUND_M = 80000.0;

static json_t *around_json(lw_json *j, lw_roads *roads, lw_spot at, lw_spot_kind kind, const lw_kept_spot *spot,
                           const char *open)
{
    static const char *const FIT[] = {"unknown", "yes", "no"};
    const lw_road road = lw_roads_between(roads, at, (lw_spot){spot->latitude_deg, spot->longitude_deg});
    char word[LW_PLACE_KINDS], credit[LW_CREDIT_LINE], detail[LW_MAP_TAGS_SAID];
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "kind", lw_place_kinds_say(1u << kind, word));
    lw_json_text(j, o, "name", spot->name);
    lw_map_tags_say(spot->detail, detail);
    lw_json_text(j, o, "detail", detail[0] ? detail : NULL);
    lw_json_text(j, o, "opening", open[0] ? open : NULL);
    lw_json_text(j, o, "is_drinkable", kind == LW_SPOT_WATER && (unsigned)spot->fit < 3 ? FIT[spot->fit] : NULL);
    lw_json_number(j, o, "latitude_deg", spot->latitude_deg, 5);
    lw_json_number(j, o, "longitude_deg", spot->longitude_deg, 5);
    lw_json_number(j, o, "way_m", spot->way_m, 0);
    lw_json_text(j, o, "toward", lw_place_toward(at, spot));
    lw_json_number(j, o, "road_m", road.distance_m.middle, 0);
    lw_json_number(j, o, "time_s", road.time_s.middle, 0);
    lw_json_flag(j, o, "is_guess", road.by == LW_ROAD_GUESS);
    lw_json_text(j, o, "credit", lw_credit_say(spot->source, spot->credit, spot->imported_s, spot->data_s, credit));
    return o;
}

/* The nearest of each kind by air; the way to it by road. */
lw_code lw_ask_place_around(lw_asked *a, lw_err *err)
{
    found f = {.camp = NULL};
    lw_roads roads = {0};
    lw_json j = {.zone = NULL};
    char open[LW_OPENING_SAID];
    lw_zone *zone = malloc(sizeof *zone);
    lw_code code = zone ? find(a, NAME_ONLY, &f, err) : lw_fail(err, LW_E_FULL, "no memory for what is around");
    code = code ? code : lw_zone_here(a->book, f.camp->zone, a->ask->now_s, zone, err);
    code = code ? code : lw_roads_open(a->book, &f.camps, a->ask->now_s, &roads, err);
    json_t *rows = code ? NULL : lw_json_array(&j);
    for (int kind = 0; kind < LW_SPOT_KIND_COUNT && !code && f.camp; kind++) {
        const lw_spot at = f.camp->facts.spot;
        lw_kept_spots near = {0};
        code = lw_book_spots_near(a->book, &(lw_spots_near){at.latitude_deg, at.longitude_deg, AROUND_M, 1u << kind, 1},
                                  &near, err);
        if (!code && near.count)
            lw_json_add(&j, rows,
                        around_json(&j, &roads, at, (lw_spot_kind)kind, &near.spot[0],
                                    lw_opening_now_say(near.spot[0].detail, zone, a->ask->now_s, open)));
        lw_kept_spots_clear(&near);
    }
    if (code) {
        json_decref(rows);
    } else {
        json_t *root = head(a, &j, "leeway.around/1", &f);
        lw_json_number(&j, root, "within_m", AROUND_M, 0);
        lw_json_put(&j, root, "around", rows);
        code = lw_asked_reply_json(a, &j, root, err);
    }
    free(zone);
    lw_roads_clear(&roads);
    lw_camps_clear(&f.camps);
    return code;
}

/* ---- its climate, its sun ---- */

lw_code lw_ask_place_climate(lw_asked *a, lw_err *err)
{
    found f = {.camp = NULL};
    lw_weather_answer *answer = calloc(1, sizeof *answer);
    char *text = NULL;
    lw_code code = answer ? find(a, NAME_ONLY, &f, err) : lw_fail(err, LW_E_FULL, "no memory for the climate");
    if (!code && answer) {
        const lw_place_facts *p = &f.camp->facts;
        code = lw_weather_of_place(&(lw_climate_place){p->spot.latitude_deg, p->spot.longitude_deg, p->elevation_m},
                                   f.choice.units, answer, err);
        code = code ? code : lw_weather_json(answer, a->ask->version, &text, err);
    }
    if (answer)
        lw_weather_answer_clear(answer);
    free(answer);
    lw_camps_clear(&f.camps);
    return code ? code : lw_asked_reply(a, text, err);
}

/* The terrain that the last stay names, else the folder beside the book. Gives buf; empty: there is none. */
static const char *terrain_of(lw_asked *a, const lw_household *home, char buf[LW_TERRAIN_PATH])
{
    if (home->loaded.terrain_path[0])
        snprintf(buf, LW_TERRAIN_PATH, "%s", home->loaded.terrain_path);
    else if (!lw_terrain_folder(lw_book_path(a->book), buf))
        buf[0] = '\0';
    return buf;
}

enum { SUN_DAYS_MOST = 24, SUN_EVERY_MOST = 31, SUN_CELLS = 21 };

static lw_code sun_ask(lw_asked *a, const found *f, lw_sun_ask *ask, lw_err *err)
{
    static const int64_t SPAN_S = 800 * INT64_C(86400);
    const char *on = lw_asked_param(a, "on");
    char zone[48];
    lw_date date;
    ask->days = 12;
    ask->step_days = 30;
    ask->side = SUN_CELLS;
    ask->half_m = (double)NAN;
    snprintf(zone, sizeof zone, "%s", f->camp->zone);
    if (!zone[0])
        lw_zone_machine(zone, sizeof zone);
    lw_code code = lw_asked_whole(a, "days", 1, SUN_DAYS_MOST, &ask->days, err);
    code = code ? code : lw_asked_real(a, "map_m", 50.0, 5000.0, &ask->half_m, err);
    code = code ? code : lw_asked_whole(a, "every", 1, SUN_EVERY_MOST, &ask->step_days, err);
    code = code ? code : lw_zone_load(zone, a->ask->now_s - SPAN_S, a->ask->now_s + SPAN_S, &ask->zone, err);
    if (code)
        return code;
    ask->spot = f->camp->facts.spot;
    ask->first_day = lw_clock_at(&ask->zone, a->ask->now_s).day;
    if (on && lw_date_parse(on, &date, err)) {
        a->reply->status = 400;
        return lw_err_at(err, "on", 0, NULL);
    }
    ask->first_day = on ? lw_day_of(date) : ask->first_day;
    return LW_OK;
}

/* *map NULL: none is asked for, or there is no terrain. */
static lw_code sun_map(const lw_sun_ask *ask, lw_sun_map **map, lw_err *err)
{
    *map = isnan(ask->half_m) || !ask->terrain || !ask->terrain[0] ? NULL : malloc(sizeof **map);
    return *map ? lw_sun_map_make(ask, *map, err) : LW_OK;
}

/* Without a tile for the place the skyline is level, and the answer says so. */
lw_code lw_ask_place_sun(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", "on", "days", "every", "map_m", NULL};
    found f = {.camp = NULL};
    lw_household home = {0};
    lw_sun_ask ask = {.terrain = NULL};
    lw_sun_day day[SUN_DAYS_MOST];
    lw_err none = {0};
    char folder[LW_TERRAIN_PATH];
    lw_code code = find(a, KEYS, &f, err);
    code = code ? code : sun_ask(a, &f, &ask, err);
    if (!code) {
        if (lw_household_load_last(a->book, a->ask->now_s, &home, &none))
            home.loaded.terrain_path[0] = '\0'; /* without a stay the folder beside the book is looked into */
        ask.terrain = terrain_of(a, &home, folder);
        none = (lw_err){0};
        code = lw_sun_days_make(&ask, day, &none);
        if (code && ask.terrain[0]) {
            ask.terrain = NULL;
            none = (lw_err){0};
            code = lw_sun_days_make(&ask, day, &none);
        }
        if (code)
            *err = none;
    }
    lw_ground *ground = code || !ask.terrain ? NULL : malloc(sizeof *ground);
    if (ground && lw_ground_find(ask.terrain, ask.spot, ground, &none) == LW_OK)
        ask.skyline_deg = ground->skyline.seen_deg;
    lw_sun_map *map = NULL;
    code = code ? code : sun_map(&ask, &map, err);
    char *text = code ? NULL : lw_sun_json(&ask, day, map, a->ask->version);
    free(map);
    free(ground);
    lw_household_clear(&home);
    lw_camps_clear(&f.camps);
    return code ? code : lw_asked_reply(a, text, err);
}

/* ---- signal ---- */

static json_t *carriers_json(lw_json *j, const lw_signal_answer *answer, lw_unit_system units)
{
    json_t *rows = lw_json_array(j);
    char text[LW_SIGNAL_TEXT];
    for (int i = 0; i < answer->carrier_count; i++) {
        const lw_carrier_signal *c = &answer->carrier[i];
        json_t *o = lw_json_object(j);
        lw_json_text(j, o, "name", c->name);
        lw_json_flag(j, o, "is_line", c->is_line);
        lw_json_number(j, o, "chance_frac", c->frac, 3);
        lw_json_text(j, o, "measured", lw_signal_say_own(c, units, text));
        lw_json_text(j, o, "published", lw_signal_say_published(answer, c, text));
        lw_json_text(j, o, "predicted", lw_signal_say_predicted(answer, c, units, text));
        lw_json_text(j, o, "together", lw_signal_say_together(c, text));
        lw_json_add(j, rows, o);
    }
    return rows;
}

static lw_code signal_reply(lw_asked *a, const found *f, const lw_signal_answer *answer, lw_err *err)
{
    lw_json j = {.zone = NULL};
    char text[LW_SIGNAL_TEXT];
    json_t *root = head(a, &j, "leeway.place-signal/1", f), *notes = lw_json_array(&j);
    lw_json_text(&j, root, "headline", lw_signal_headline(answer, text));
    lw_json_number(&j, root, "chance_frac", answer->any_frac, 3);
    lw_json_number(&j, root, "sky_frac", answer->sky_frac, 3);
    lw_json_put(&j, root, "carriers", carriers_json(&j, answer, f->choice.units));
    for (int i = 0; i < answer->note_count; i++)
        lw_json_add(&j, notes, json_string(answer->note[i]));
    lw_json_put(&j, root, "notes", notes);
    return lw_asked_reply_json(a, &j, root, err);
}

/* What is known of the place's signal, opened; the lines are those of the last stay. The caller clears it, on failure too. */
typedef struct asked_signal {
    found of;
    lw_household home;
    lw_signal_ask ask;
    char folder[LW_TERRAIN_PATH];
} asked_signal;

static lw_code open_signal(lw_asked *a, const char *const *keys, asked_signal *s, lw_err *err)
{
    lw_code code = find(a, keys, &s->of, err);
    code = code ? code : lw_asked_want_stay(a, err);
    code = code ? code : lw_camp_signal_ask(a->book, s->of.camp, a->ask->now_s, &s->home, &s->ask, err);
    if (code)
        return code;
    s->ask.book = a->book;
    if (!s->ask.terrain || !s->ask.terrain[0]) {
        s->ask.terrain = terrain_of(a, &s->home, s->folder);
        s->ask.is_own_terrain = 1;
    }
    return LW_OK;
}

static void close_signal(asked_signal *s)
{
    if (!s)
        return;
    lw_signal_ask_clear(&s->ask);
    lw_household_clear(&s->home);
    lw_camps_clear(&s->of.camps);
    free(s);
}

lw_code lw_ask_place_signal(lw_asked *a, lw_err *err)
{
    asked_signal *s = calloc(1, sizeof *s);
    lw_signal_answer *answer = calloc(1, sizeof *answer);
    lw_code code =
        s && answer ? open_signal(a, NAME_ONLY, s, err) : lw_fail(err, LW_E_FULL, "no memory for the signal");
    if (!code && s && answer) {
        code = lw_signal_make(&s->ask, answer, err);
        code = code ? code : signal_reply(a, &s->of, answer, err);
    }
    free(answer);
    close_signal(s);
    return code;
}

enum { RUN_USUAL_PCT = 80 };

lw_code lw_ask_place_signal_run(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"name", "chance", NULL};
    asked_signal *s = calloc(1, sizeof *s);
    lw_signal_reach *reach = calloc(1, sizeof *reach);
    lw_road *road = calloc(LW_CARRIERS, sizeof *road);
    char *text = NULL;
    int pct = RUN_USUAL_PCT;
    lw_code code =
        s && reach && road ? open_signal(a, KEYS, s, err) : lw_fail(err, LW_E_FULL, "no memory for the signal");
    code = code ? code : lw_asked_whole(a, "chance", 1, 99, &pct, err);
    if (!code && s && reach && road) {
        code = lw_signal_reach_make(&s->ask, pct / 100.0, reach, err);
        code = code ? code : lw_signal_roads(a->book, a->ask->now_s, reach, road, err);
        text = code ? NULL : lw_signal_reach_json(reach, road, a->ask->version);
    }
    free(road);
    free(reach);
    close_signal(s);
    return code ? code : lw_asked_reply(a, text, err);
}
