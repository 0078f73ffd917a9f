#include "service/stays.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/lands.h"
#include "exchange/tzif.h"
#include "exchange/yaml_print.h"
#include "exchange/yaml_tree.h"
#include "service/land_at.h"
#include "text/moment.h"
#include "text/say.h"

static const int64_t DAY_S = 86400;
enum { ZONE_DAYS = 800 }; /* around a moment, as for a scenario */

static lw_code no_memory(lw_err *err)
{
    (void)lw_fail(err, LW_E_FULL, "no memory for the stays of the book");
    return LW_E_FULL;
}

void lw_stays_clear(lw_book_stays *stays)
{
    free(stays->stay);
    free(stays->before);
    *stays = (lw_book_stays){0};
}

/* ---- the text of a stay ---- */

static lw_code read_own(const lw_kept_stay *stay, lw_yaml *tree, lw_err *err)
{
    return lw_yaml_read(tree, "the book", stay->doc, strlen(stay->doc), err);
}

lw_code lw_stay_text(lw_book *book, const lw_kept_stay *stay, char **text, lw_err *err)
{
    lw_kept_docs rig = {0}, crew = {0};
    lw_kept_places place = {0};
    lw_yaml own = {0};
    char units[8] = "us";
    int has_units;
    lw_code code = lw_book_list_rigs(book, &(lw_kept_key){.id = stay->rig}, &rig, err);
    code = code ? code : lw_book_list_crews(book, &(lw_kept_key){.id = stay->crew}, &crew, err);
    code = code ? code : lw_book_list_places(book, &(lw_kept_key){.id = stay->place}, &place, err);
    code = code ? code : lw_book_get(book, "units", units, sizeof units, &has_units, err);
    code = code ? code : read_own(stay, &own, err);
    if (!code) {
        const char *const key[] = {"rig", "crew", "place"};
        const char *const part[] = {rig.doc[0].doc, crew.doc[0].doc, place.place[0].doc};
        size_t size = 0;
        FILE *to = open_memstream(text, &size);
        if (to) {
            fprintf(to, "leeway: 1\nunits: %s\n", strcmp(units, "si") == 0 ? "si" : "us");
            for (size_t i = 0; i < sizeof part / sizeof part[0]; i++)
                if (!own.root || !lw_yaml_find(&own, key[i]))
                    fputs(part[i], to);
            fputs(stay->doc, to);
        }
        if (!to || fclose(to) != 0)
            code = no_memory(err);
    }
    lw_yaml_clear(&own);
    lw_kept_docs_clear(&rig);
    lw_kept_docs_clear(&crew);
    lw_kept_places_clear(&place);
    return code;
}

static lw_code set_moment(lw_yaml *tree, const char *key, int64_t at_s, lw_err *err)
{
    char change[96], at[48];
    if (at_s == LW_NO_TIME)
        return LW_OK;
    snprintf(change, sizeof change, "%s='%s'", key, lw_instant_print(at, sizeof at, (double)at_s, 0));
    return lw_yaml_set(tree, change, err);
}

static lw_code print_tree(const lw_yaml *tree, char **text, lw_err *err)
{
    size_t size = 0;
    FILE *to = open_memstream(text, &size);
    lw_code code = to ? LW_OK : no_memory(err);
    for (const lw_yaml_node *node = tree->root->first; node && !code; node = node->next) {
        char *part = NULL;
        code = lw_yaml_print(node, NULL, &part, err);
        if (!code)
            fputs(part, to);
        free(part);
    }
    if (to && fclose(to) != 0 && !code)
        code = no_memory(err);
    if (code) {
        free(*text);
        *text = NULL;
    }
    return code;
}

lw_code lw_stay_scenario(lw_book *book, const lw_kept_stay *stay, char **text, lw_err *err)
{
    char *bare = NULL;
    lw_yaml tree = {0};
    lw_code code = lw_stay_text(book, stay, &bare, err);
    code = code ? code : lw_yaml_read(&tree, "the book", bare, strlen(bare), err);
    code = code ? code : set_moment(&tree, "stay.arrive", stay->arrival_s, err);
    code = code ? code : set_moment(&tree, "stay.leave", stay->departure_s, err);
    code = code ? code : print_tree(&tree, text, err);
    lw_yaml_clear(&tree);
    free(bare);
    return code;
}

static int64_t row_of(const lw_kept_stay *stay, const char *section)
{
    return strcmp(section, "rig") == 0 ? stay->rig : strcmp(section, "crew") == 0 ? stay->crew : stay->place;
}

static lw_code keep_in_stay(lw_book *book, lw_kept_stay *stay, const char *section, const char *old, lw_err *err)
{
    lw_yaml own = {0};
    lw_code code = read_own(stay, &own, err);
    const int has_own = !code && own.root && lw_yaml_find(&own, section);
    lw_yaml_clear(&own);
    if (code || has_own)
        return code;
    const size_t n = strlen(old) + strlen(stay->doc) + 1;
    char *both = malloc(n);
    if (!both)
        return no_memory(err);
    snprintf(both, n, "%s%s", old, stay->doc);
    stay->doc = both;
    code = lw_book_put_stay(book, stay, err);
    free(both);
    return code;
}

lw_code lw_stays_keep_section(lw_book *book, const char *section, int64_t row, const char *old, int64_t but,
                              lw_err *err)
{
    lw_kept_stays stays = {0};
    lw_code code = lw_book_list_stays(book, NULL, &stays, err);
    for (size_t i = 0; i < stays.count && !code; i++)
        if (stays.stay[i].id != but && row_of(&stays.stay[i], section) == row)
            code = keep_in_stay(book, &stays.stay[i], section, old, err);
    lw_kept_stays_clear(&stays);
    return code;
}

/* ---- days ---- */

/* Zones one after the other: a household moves seldom from one into another. */
typedef struct clock_of {
    lw_zone zone;
    int64_t around_s;
    int is_set;
} clock_of;

static lw_code set_clock(clock_of *c, const char *name, int64_t around_s, lw_err *err)
{
    const int64_t half_s = ZONE_DAYS * DAY_S;
    if (c->is_set && strcmp(c->zone.name, name) == 0 && around_s > c->around_s - half_s / 2 &&
        around_s < c->around_s + half_s / 2)
        return LW_OK;
    const lw_code code = lw_zone_load(name, around_s - half_s, around_s + half_s, &c->zone, err);
    c->is_set = !code;
    c->around_s = around_s;
    return code;
}

static lw_code civil_day(clock_of *c, const char *zone, int64_t at_s, int64_t *day, lw_err *err)
{
    const lw_code code = set_clock(c, zone, at_s, err);
    if (!code)
        *day = lw_clock_at(&c->zone, at_s).day;
    return code;
}

static const lw_kept_place *place_of(const lw_kept_places *places, int64_t id)
{
    for (size_t i = 0; i < places->count; i++)
        if (places->place[i].id == id)
            return &places->place[i];
    return NULL;
}

static lw_code add_stay(const lw_kept_stay *from, const lw_kept_place *place, int64_t now_s, clock_of *c,
                        lw_book_stays *stays, lw_err *err)
{
    lw_book_stay *to = stays->stay + stays->count++;
    *to = (lw_book_stay){.id = from->id,
                         .place = from->place,
                         .spot = {place->latitude_deg, place->longitude_deg},
                         .arrival_s = from->arrival_s,
                         .departure_s = from->departure_s,
                         .left_s = from->left_s};
    snprintf(to->place_name, sizeof to->place_name, "%.31s", place->name);
    snprintf(to->manager, sizeof to->manager, "%.31s", place->manager ? place->manager : "");
    snprintf(to->zone, sizeof to->zone, "%.47s", place->zone ? place->zone : "UTC");
    const int64_t end_s = from->left_s != LW_NO_TIME ? from->left_s : now_s;
    lw_code code = civil_day(c, to->zone, from->arrival_s, &to->arrival_day, err);
    return code ? code : civil_day(c, to->zone, end_s, &to->departure_day, err);
}

/* ---- what only the texts say ---- */

static void add_permits(const lw_land *land, lw_book_stays *to)
{
    for (int i = 0; i < land->permit_count; i++) {
        if (to->permit_count == LW_PERMITS) /* the oldest goes */
            memmove(to->permit, to->permit + 1, sizeof to->permit[0] * (size_t)--to->permit_count);
        to->permit[to->permit_count++] = land->permit[i];
    }
}

static lw_code add_before(const lw_land *land, lw_book_stays *to, lw_err *err)
{
    if (land->earlier_count == 0)
        return LW_OK;
    const size_t count = (size_t)to->before_count + (size_t)land->earlier_count;
    lw_named_stay *more = realloc(to->before, count * sizeof *more);
    if (!more)
        return no_memory(err);
    memcpy(more + to->before_count, land->earlier, (size_t)land->earlier_count * sizeof *more);
    to->before = more;
    to->before_count = (int)count;
    return LW_OK;
}

static int says_more(const char *text)
{
    return strstr(text, "permits:") || strstr(text, "earlier:");
}

/* A stay of long ago that cannot be read any more is no reason to refuse the present one. */
static lw_code read_land(lw_book *book, const lw_kept_stay *stay, int64_t now_s, lw_book_stays *to, lw_err *err)
{
    char *text = NULL;
    lw_loaded loaded = {0};
    lw_err unread = {0};
    lw_code code = lw_stay_scenario(book, stay, &text, err);
    if (code)
        return code;
    const lw_scenario_from from = {.path = "the book", .bytes = text, .size = strlen(text), .now_s = now_s};
    if (lw_scenario_land(&from, &loaded, &unread) == LW_OK) {
        add_permits(&loaded.land, to);
        code = add_before(&loaded.land, to, err);
    } else
        to->unread++;
    lw_loaded_clear(&loaded);
    free(text);
    return code;
}

/* ---- whose land it is, by the maps ---- */

/* The smallest area that holds the spot, where it is clear of its border. */
lw_code lw_stays_by_map(lw_book *book, lw_spot spot, char by_map[LW_MAP_MANAGER], lw_err *err)
{
    lw_kept_lands lands = {0};
    const lw_code code = lw_book_lands_at(book, spot, &lands, err);
    by_map[0] = '\0';
    if (!code && lands.count && lands.land[0].border_m > LW_LAND_NEAR_M && lands.land[0].manager)
        snprintf(by_map, LW_MAP_MANAGER, "%.23s", lands.land[0].manager);
    lw_kept_lands_clear(&lands);
    return code;
}

static lw_code look_at_maps(lw_book *book, lw_book_stays *stays, lw_err *err)
{
    int64_t known = 0;
    lw_code code = lw_book_lands_count(book, &known, err);
    for (int i = 0; i < stays->count && !code && known; i++) {
        lw_book_stay *stay = &stays->stay[i];
        int same = 0;
        while (stays->stay[same].place != stay->place)
            same++;
        if (same < i)
            memcpy(stay->by_map, stays->stay[same].by_map, sizeof stay->by_map);
        else
            code = lw_stays_by_map(book, stay->spot, stay->by_map, err);
    }
    return code;
}

lw_code lw_stays_land_of(lw_book *book, int64_t place, lw_land_of *land, lw_err *err)
{
    lw_kept_places places = {0};
    *land = (lw_land_of){.manager = ""};
    lw_code code = lw_book_list_places(book, &(lw_kept_key){.id = place}, &places, err);
    if (!code && places.count) {
        const lw_kept_place *at = &places.place[0];
        snprintf(land->manager, sizeof land->manager, "%.31s", at->manager ? at->manager : "");
        land->spot = (lw_spot){at->latitude_deg, at->longitude_deg};
        code = lw_stays_by_map(book, land->spot, land->by_map, err);
    }
    lw_kept_places_clear(&places);
    return code;
}

/* The map only takes away: a stay counts unless it is known to have been on the land of somebody else. */
static int is_elsewhere(const lw_book_stay *stay, const lw_land_of *here)
{
    const int both_say = stay->manager[0] && here->manager[0];
    return !both_say && stay->by_map[0] && here->by_map[0] && strcmp(stay->by_map, here->by_map) != 0;
}

static int is_by_arrival(const void *a, const void *b)
{
    const lw_book_stay *x = a, *y = b;
    return (x->arrival_s > y->arrival_s) - (x->arrival_s < y->arrival_s);
}

lw_code lw_stays_gather(lw_book *book, int64_t now_s, lw_book_stays *stays, lw_err *err)
{
    lw_kept_stays kept = {0};
    lw_kept_places places = {0};
    lw_book_stays made = {0};
    clock_of *c = calloc(1, sizeof *c);
    lw_code code = c ? lw_book_list_stays(book, NULL, &kept, err) : no_memory(err);
    code = code ? code : lw_book_list_places(book, NULL, &places, err);
    if (!code && !(made.stay = calloc(kept.count + 1, sizeof *made.stay)))
        code = no_memory(err);
    for (size_t i = 0; i < kept.count && !code; i++) {
        const lw_kept_place *place = place_of(&places, kept.stay[i].place);
        if (kept.stay[i].arrival_s > now_s || !place)
            continue;
        code = add_stay(&kept.stay[i], place, now_s, c, &made, err);
        if (!code && (says_more(place->doc) || says_more(kept.stay[i].doc)))
            code = read_land(book, &kept.stay[i], now_s, &made, err);
    }
    free(c);
    lw_kept_places_clear(&places);
    lw_kept_stays_clear(&kept);
    code = code ? code : look_at_maps(book, &made, err);
    if (code) {
        lw_stays_clear(&made);
        return code;
    }
    qsort(made.stay, (size_t)made.count, sizeof *made.stay, is_by_arrival);
    *stays = made;
    return LW_OK;
}

lw_named_stay *lw_stays_named(const lw_book_stays *stays, int64_t before_s, int64_t but, const lw_land_of *here,
                              int *count)
{
    lw_named_stay *named = calloc((size_t)(stays->count + stays->before_count) + 1, sizeof *named);
    *count = 0;
    for (int i = 0; named && i < stays->before_count; i++)
        named[(*count)++] = stays->before[i];
    for (int i = 0; named && i < stays->count; i++) {
        const lw_book_stay *from = &stays->stay[i];
        if (from->id == but || from->arrival_s >= before_s || (here && is_elsewhere(from, here)))
            continue;
        lw_named_stay *to = &named[(*count)++];
        *to = (lw_named_stay){
            .spot = from->spot, .arrival_day = from->arrival_day, .departure_day = from->departure_day, .place = i};
        snprintf(to->manager, sizeof to->manager, "%s", from->manager);
    }
    return named;
}
