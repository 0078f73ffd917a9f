#include "service/camps.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "book/household.h"
#include "book/spots.h"
#include "core/land/spot_kind.h"
#include "exchange/terrain.h"
#include "service/household.h"
#include "service/land_at.h"
#include "service/place_known.h"
#include "service/stays.h"
#include "text/say.h"

static const double SAME_M = 200.0, NAMED_M = 5000.0; /* common practice, no source: a spot and its gate; a road name */

void lw_camps_clear(lw_camps *camps)
{
    free(camps->camp);
    *camps = (lw_camps){0};
}

static void add_place(lw_camps *camps, const lw_kept_place *place)
{
    lw_camp *to = &camps->camp[camps->count];
    lw_err unread = {0};
    to->id = place->id;
    snprintf(to->zone, sizeof to->zone, "%.47s", place->zone ? place->zone : "");
    if (lw_place_read(place->doc, &to->facts, &unread)) {
        camps->unread++;
        return;
    }
    snprintf(to->facts.name, sizeof to->facts.name, "%.31s", place->name);
    to->facts.spot = (lw_spot){place->latitude_deg, place->longitude_deg};
    if (isnan(to->facts.elevation_m))
        to->facts.elevation_m = place->elevation_m;
    camps->count++;
}

lw_code lw_camps_load(lw_book *book, lw_camps *camps, lw_err *err)
{
    lw_kept_places places = {0};
    lw_camps made = {0};
    lw_code code = lw_book_list_places(book, NULL, &places, err);
    if (code)
        return code;
    made.camp = calloc(places.count + 1, sizeof *made.camp);
    if (!made.camp)
        code = lw_fail(err, LW_E_FULL, "no memory for the places of the book");
    for (size_t i = 0; made.camp && i < places.count; i++)
        add_place(&made, &places.place[i]);
    lw_kept_places_clear(&places);
    if (code)
        lw_camps_clear(&made);
    else
        *camps = made;
    return code;
}

const lw_camp *lw_camps_named(const lw_camps *camps, const char *name)
{
    for (int i = 0; i < camps->count; i++)
        if (strcasecmp(camps->camp[i].facts.name, name) == 0)
            return &camps->camp[i];
    return NULL;
}

static lw_code refuse_name(const char *name, const char *near, lw_err *err)
{
    const lw_quoted_text typed = lw_quoted(name, strlen(name));
    char add[sizeof err->typed];
    if (near)
        return lw_fail(err, LW_E_MISSING, "the book has no place %s; did you mean %s?", typed.text, near);
    snprintf(add, sizeof add, "leeway places add %s LAT,LON makes one", typed.text);
    return lw_fail_typed(err, LW_E_MISSING, add, "the book has no place %s", typed.text);
}

lw_code lw_camps_find(const lw_camps *camps, const char *name, const lw_camp **camp, lw_err *err)
{
    *camp = lw_camps_named(camps, name);
    if (*camp)
        return LW_OK;
    const char **names = calloc((size_t)camps->count + 1, sizeof *names);
    for (int i = 0; names && i < camps->count; i++)
        names[i] = camps->camp[i].facts.name;
    const char *near = names ? lw_nearest(name, names, (size_t)camps->count) : NULL;
    free(names);
    return refuse_name(name, near, err);
}

/* ---- what may be the same ---- */

static int is_near_name(const char *a, const char *b)
{
    const char *list[] = {b};
    return strcasecmp(a, b) == 0 || lw_nearest(a, list, 1) != NULL;
}

static void add_same(lw_camp_put *put, const char *name, const char *source, double way_m)
{
    if (put->same_count == LW_CAMPS_SAME)
        return;
    lw_camp_same *same = &put->same[put->same_count++];
    snprintf(same->name, sizeof same->name, "%.63s", name);
    snprintf(same->source, sizeof same->source, "%.63s", source);
    same->way_m = way_m;
}

static lw_code find_same(lw_book *book, const char *name, lw_spot spot, lw_camp_put *put, lw_err *err)
{
    lw_kept_places places = {0};
    lw_kept_spots spots = {0};
    const lw_spots_near near = {spot.latitude_deg, spot.longitude_deg, NAMED_M, 1u << LW_SPOT_CAMP, 50};
    lw_code code = lw_book_list_places(book, &(lw_kept_key){.near = &spot, .within_m = NAMED_M}, &places, err);
    code = code ? code : lw_book_spots_near(book, &near, &spots, err);
    for (size_t i = 0; i < places.count && !code; i++) {
        const lw_kept_place *p = &places.place[i];
        const double way_m = lw_distance_m(spot, (lw_spot){p->latitude_deg, p->longitude_deg});
        if (p->id != put->id && (way_m <= SAME_M || (way_m <= NAMED_M && is_near_name(name, p->name))))
            add_same(put, p->name, "", way_m);
    }
    for (size_t i = 0; i < spots.count && !code; i++) {
        const lw_kept_spot *s = &spots.spot[i];
        if (s->way_m <= SAME_M || (s->name && is_near_name(name, s->name)))
            add_same(put, s->name ? s->name : "a camp without a name", s->source, s->way_m);
    }
    lw_kept_spots_clear(&spots);
    lw_kept_places_clear(&places);
    return code;
}

/* ---- putting ---- */

static lw_code named_row(lw_book *book, const char *name, lw_kept_places *places, lw_kept_place **row, lw_err *err)
{
    const lw_code code = lw_book_list_places(book, NULL, places, err);
    *row = NULL;
    for (size_t i = 0; i < places->count; i++)
        if (strcasecmp(places->place[i].name, name) == 0)
            *row = &places->place[i];
    if (code || *row)
        return code;
    const char **names = calloc(places->count + 1, sizeof *names);
    for (size_t i = 0; names && i < places->count; i++)
        names[i] = places->place[i].name;
    (void)refuse_name(name, names ? lw_nearest(name, names, places->count) : NULL, err);
    free(names);
    return LW_E_MISSING;
}

/* The columns follow the section. */
static lw_code put_section(lw_book *book, const char *section, int64_t id, const char *zone, lw_camp_put *put,
                           lw_err *err)
{
    lw_place_facts *facts = malloc(sizeof *facts);
    if (!facts)
        return lw_fail(err, LW_E_FULL, "no memory for a place");
    lw_code code = lw_place_read(section, facts, err);
    if (!code) {
        lw_kept_place place = {.id = id,
                               .name = facts->name,
                               .latitude_deg = facts->spot.latitude_deg,
                               .longitude_deg = facts->spot.longitude_deg,
                               .elevation_m = facts->elevation_m,
                               .zone = zone,
                               .manager = facts->manager[0] ? facts->manager : NULL,
                               .doc = section};
        code = lw_book_put_place(book, &place, err);
        put->id = place.id;
        code = code ? code : find_same(book, facts->name, facts->spot, put, err);
    }
    free(facts);
    return code;
}

lw_code lw_camp_is_there(lw_book *book, const char *name, int *is_there, lw_err *err)
{
    lw_kept_places places = {0};
    const lw_code code = lw_book_list_places(book, &(lw_kept_key){.alike = name}, &places, err);
    *is_there = !code && places.count > 0;
    lw_kept_places_clear(&places);
    return code;
}

static lw_code want_new(lw_book *book, const char *name, lw_err *err)
{
    int is_there;
    const lw_code code = lw_camp_is_there(book, name, &is_there, err);
    if (code || !is_there)
        return code;
    return lw_fail_typed(err, LW_E_CONFLICT, "leeway places edit changes it", "the book has a place %s already",
                         lw_quoted(name, strlen(name)).text);
}

/* In one transaction: `code` is how it went so far. */
static lw_code settle(lw_book *book, lw_code code, const lw_camp_put *made, lw_camp_put *put, lw_err *err)
{
    code = lw_book_end(book, code, err);
    if (!code)
        *put = *made;
    return code;
}

/* ---- what is looked up for a new place ---- */

static int is_said(const lw_camp_order *o, const char *key)
{
    const size_t n = strlen(key);
    for (int i = 0; i < o->change_count; i++)
        if (strncmp(o->change[i], key, n) == 0 && o->change[i][n] == '=')
            return 1;
    return 0;
}

static double tile_m(const char *folder, lw_spot spot, lw_terrain_files *files)
{
    lw_err ignored = {0};
    double height_m = (double)NAN;
    if (folder[0] && lw_terrain_files_open(folder, files, &ignored) == LW_OK &&
        lw_terrain_files_around(files, spot, 0.0, &ignored) == LW_OK)
        height_m = lw_terrain_m(&files->terrain, spot);
    lw_terrain_files_clear(files);
    return height_m;
}

/* A zone's hour is 15 degrees of longitude; so far off the stay's own clock is a guess no more (from memory). */
static const double SAME_CLOCK_DEG = 4.0;

/* Of the last stay: its zone, where the spot is no further east or west, and the height in the tiles that it names, else in those beside
 * the book. Nothing is known where there is none. */
static void look_at_stay(lw_book *book, const lw_camp_order *o, char zone[48], double *elevation_m)
{
    lw_household home = {0};
    lw_err ignored = {0};
    lw_terrain_files *files = calloc(1, sizeof *files);
    if (files && lw_household_load_last(book, o->now_s, &home, &ignored) == LW_OK) {
        const double off_deg = fabs(o->spot.longitude_deg - home.loaded.scenario->place.longitude_deg);
        if (fmin(off_deg, 360.0 - off_deg) <= SAME_CLOCK_DEG)
            snprintf(zone, 48, "%s", home.loaded.zone.name);
        if (isnan(*elevation_m) && !is_said(o, "elevation"))
            *elevation_m = tile_m(home.loaded.terrain_path, o->spot, files);
    }
    if (files && isnan(*elevation_m) && !is_said(o, "elevation")) {
        lw_place_known known;
        lw_place_known_find(book, o->spot, &known);
        *elevation_m = tile_m(known.terrain, o->spot, files);
    }
    free(files);
    lw_household_clear(&home);
}

/* The smallest area that holds the point, where it is clear of its border. */
static void look_at_land(lw_book *book, const lw_camp_order *o, char manager[LW_NAME], lw_camp_put *put)
{
    lw_land_here here = {0};
    lw_err ignored = {0};
    if (is_said(o, "manager") || lw_land_at(book, o->spot, &here, &ignored))
        return;
    const lw_kept_land *land = here.lands.count ? &here.lands.land[0] : NULL;
    if (land && land->border_m > LW_LAND_NEAR_M) {
        const char *rule = here.told[0].rule;
        char said[LW_LAND_LINE];
        const char *name =
            land->name ? land->name : lw_land_say(&here, 0, said); /* the office's own, where the map has it */
        snprintf(manager, LW_NAME, "%.*s", LW_NAME - 1, name);
        snprintf(put->manager, sizeof put->manager, "%.100s by %.40s%s%.40s%s", lw_land_say(&here, 0, said),
                 land->source, rule[0] ? "; its usual rule: stay_rule=" : "", rule,
                 rule[0] ? ", once you have asked" : "");
    }
    lw_land_here_clear(&here);
}

lw_code lw_camp_add(lw_book *book, const lw_camp_order *o, lw_camp_put *put, lw_err *err)
{
    lw_fault fault;
    lw_camp_put made = {0};
    char *bare = NULL, *section = NULL;
    if (strlen(o->name) >= LW_NAME || !*o->name)
        return lw_fail(err, LW_E_FULL, "a place's name has 1 to %d letters", LW_NAME - 1);
    if (lw_spot_check(&o->spot, &fault))
        return lw_fault_say(&fault, err);
    char zone[48] = "", manager[LW_NAME] = "", set_manager[LW_NAME + 16];
    double elevation_m = o->elevation_m;
    const char *change[LW_PLACE_CHANGES + 1];
    int count = 0;
    look_at_stay(book, o, zone, &elevation_m);
    look_at_land(book, o, manager, &made);
    made.elevation_m = isnan(o->elevation_m) ? elevation_m : (double)NAN;
    snprintf(set_manager, sizeof set_manager, "manager=%s", manager);
    if (manager[0])
        change[count++] = set_manager;
    for (int i = 0; i < o->change_count && count <= LW_PLACE_CHANGES; i++)
        change[count++] = o->change[i];
    const char *const zone_known = o->zone ? o->zone : zone[0] && !is_said(o, "zone") ? zone : NULL;
    lw_code code = lw_place_section(o->name, o->spot, elevation_m, zone_known, &bare, err);
    code = code ? code : lw_place_change(bare, change, count, o->now_s, &section, err);
    free(bare);
    code = code ? code : lw_book_begin(book, err);
    if (code) {
        free(section);
        return code;
    }
    code = want_new(book, o->name, err);
    code = code ? code : put_section(book, section, 0, zone_known, &made, err);
    free(section);
    return settle(book, code, &made, put, err);
}

lw_code lw_camp_edit(lw_book *book, const lw_camp_order *o, lw_camp_put *put, lw_err *err)
{
    lw_camp_put made = {0};
    lw_kept_places places = {0};
    lw_kept_stays open = {0};
    lw_kept_place *row;
    char *section = NULL;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = named_row(book, o->name, &places, &row, err);
    code = code ? code : lw_book_current_stay(book, o->now_s, &open, err); /* which goes by what is known now */
    code = code ? code : lw_place_change(row->doc, o->change, o->change_count, o->now_s, &section, err);
    if (!code && strcmp(section, row->doc) != 0)
        code = lw_stays_keep_section(book, "place", row->id, row->doc, open.count ? open.stay[0].id : 0, err);
    made.id = row ? row->id : 0;
    code = code ? code : put_section(book, section, row->id, row->zone, &made, err);
    free(section);
    lw_kept_stays_clear(&open);
    lw_kept_places_clear(&places);
    return settle(book, code, &made, put, err);
}

/* ---- the one that was forgotten last ---- */

/* In settings, cut to their size: its zone, a line end, its section. Those behind it are of one that was longer. */
enum { FORGOTTEN_PARTS = 64, FORGOTTEN_BYTES = LW_BOOK_TEXT_BYTES - 8 };

static void forgotten_key(char key[32], int part)
{
    snprintf(key, 32, "forgotten.%d", part);
}

static lw_code keep_forgotten(lw_book *book, const lw_kept_place *row, lw_err *err)
{
    char key[32], piece[FORGOTTEN_BYTES + 1];
    const char *zone = row->zone ? row->zone : "";
    const size_t n = strlen(zone) + strlen(row->doc) + 1;
    char *text = malloc(n + 1);
    lw_code code = text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a place");
    if (text)
        snprintf(text, n + 1, "%s\n%s", zone, row->doc);
    size_t at = 0;
    for (int part = 0; part < FORGOTTEN_PARTS && !code; part++) {
        size_t take = n - at < FORGOTTEN_BYTES ? n - at : FORGOTTEN_BYTES;
        while (text && take && at + take < n && ((unsigned char)text[at + take] & 0xC0) == 0x80) /* whole letters */
            take--;
        if (text)
            memcpy(piece, text + at, take);
        piece[take] = '\0';
        at += take;
        forgotten_key(key, part);
        code = lw_book_set(book, key, take ? piece : NULL, err);
    }
    free(text);
    return code;
}

/* Owned by the caller; NULL: nothing is kept. */
static char *kept_forgotten(lw_book *book)
{
    char key[32], piece[LW_BOOK_TEXT_BYTES + 1], *text = NULL;
    size_t n = 0;
    int is_there = 1;
    lw_err ignored = {0};
    for (int part = 0; part < FORGOTTEN_PARTS && is_there; part++) {
        forgotten_key(key, part);
        if (lw_book_get(book, key, piece, sizeof piece, &is_there, &ignored) || !is_there)
            break;
        char *more = realloc(text, n + strlen(piece) + 1);
        if (!more)
            break;
        text = more;
        memcpy(text + n, piece, strlen(piece) + 1);
        n += strlen(piece);
    }
    return text;
}

/* The line end behind the zone becomes the end of it. */
static lw_code put_back(lw_book *book, char *text, const char *name, lw_camp_put *made, lw_err *err)
{
    char *line_end = strchr(text, '\n');
    lw_err unread = {0};
    lw_place_facts *facts = malloc(sizeof *facts);
    if (!facts)
        return lw_fail(err, LW_E_FULL, "no memory for a place");
    const int is_it =
        line_end && lw_place_read(line_end + 1, facts, &unread) == LW_OK && strcasecmp(facts->name, name) == 0;
    free(facts);
    if (!is_it)
        return lw_fail(err, LW_E_MISSING, "%s is not the place that was forgotten last",
                       lw_quoted(name, strlen(name)).text);
    *line_end = '\0';
    const lw_code code = want_new(book, name, err);
    return code ? code : put_section(book, line_end + 1, 0, text[0] ? text : NULL, made, err);
}

lw_code lw_camp_recall(lw_book *book, const char *name, lw_camp_put *put, lw_err *err)
{
    lw_camp_put made = {0};
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    char none[] = "", *text = kept_forgotten(book);
    code = put_back(book, text ? text : none, name, &made, err);
    for (int part = 0; part < FORGOTTEN_PARTS && !code; part++) {
        char key[32];
        forgotten_key(key, part);
        code = lw_book_set(book, key, NULL, err);
    }
    free(text);
    return settle(book, code, &made, put, err);
}

lw_code lw_camp_forget(lw_book *book, const char *name, lw_err *err)
{
    lw_kept_places places = {0};
    lw_kept_place *row;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = named_row(book, name, &places, &row, err);
    if (!code) {
        lw_err own = {0};
        code = keep_forgotten(book, row, err);
        code = code ? code : lw_book_drop_place(book, row->id, &own);
        if (code == LW_E_CONFLICT)
            code = lw_fail(err, LW_E_CONFLICT, "%.40s stays in the book: stays were there, and the ledger counts them",
                           row->name);
        else if (code && own.code)
            *err = own;
    }
    lw_kept_places_clear(&places);
    return lw_book_end(book, code, err);
}

lw_code lw_camp_take(lw_book *book, const char *section, int64_t now_s, lw_camp_put *put, lw_err *err)
{
    lw_camp_put made = {0};
    char *checked = NULL;
    lw_place_facts *facts = malloc(sizeof *facts);
    if (!facts)
        return lw_fail(err, LW_E_FULL, "no memory for a place");
    lw_code code = lw_place_change(section, NULL, 0, now_s, &checked, err);
    code = code ? code : lw_place_read(checked, facts, err);
    code = code ? code : lw_book_begin(book, err);
    if (!code) {
        code = want_new(book, facts->name, err);
        code = code ? code : put_section(book, checked, 0, NULL, &made, err);
        code = settle(book, code, &made, put, err);
    }
    free(checked);
    free(facts);
    return code;
}

lw_code lw_camp_look_for_same(lw_book *book, const lw_camp *camp, lw_camp_put *put, lw_err *err)
{
    *put = (lw_camp_put){.id = camp->id};
    return find_same(book, camp->facts.name, camp->facts.spot, put, err);
}
