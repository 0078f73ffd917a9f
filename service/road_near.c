#include "service/road_near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/places.h"
#include "text/quantity.h"
#include "text/say.h"

const char *lw_road_class_word(lw_road_class class)
{
#define WORD(id, word) word,
    static const char *const WORDS[] = {LW_ROAD_CLASSES(WORD)};
#undef WORD
    return (unsigned)class < LW_ROAD_CLASS_COUNT ? WORDS[class] : "road";
}

const char *lw_road_needs_word(lw_road_needs needs)
{
    static const char *const WORDS[LW_NEEDS_COUNT] = {NULL, "any car", "high clearance", "four-wheel drive",
                                                      "no car gets through"};
    return (unsigned)needs < LW_NEEDS_COUNT ? WORDS[needs] : NULL;
}

typedef struct phrase {
    char *at;
    size_t used, size;
} phrase;

static void add(phrase *p, const char *before, const char *words)
{
    if (words && words[0] && p->used < p->size)
        p->used += (size_t)snprintf(p->at + p->used, p->size - p->used, "%s%s%s", p->used ? "; " : "", before, words);
}

char *lw_road_like(const lw_kept_road *road, char buf[LW_ROAD_WORDS])
{
    static const char *const PAVED[] = {NULL, "paved", "not paved"};
    char text[64];
    const int n = snprintf(buf, LW_ROAD_WORDS, "%s: ", lw_road_class_word(road->class));
    phrase p = {buf + n, 0, LW_ROAD_WORDS - (size_t)n};
    add(&p, "", road->surface ? road->surface : PAVED[(unsigned)road->paved < LW_PAVED_COUNT ? road->paved : 0]);
    add(&p, "", lw_road_needs_word(road->needs));
    snprintf(text, sizeof text, "%.0f %%", 100.0 * road->grade_frac);
    add(&p, "up to ", isnan(road->grade_frac) ? NULL : text);
    add(&p, "", road->dry_only == LW_FIT_YES ? "dry weather only" : NULL);
    add(&p, "season: ", road->season);
    add(&p, "access: ", road->access);
    add(&p, "", road->detail);
    if (p.used == 0)
        snprintf(p.at, p.size, "the map says nothing of its surface");
    return buf;
}

lw_code lw_road_near_of(lw_book *book, lw_spot spot, lw_road_near *near, lw_err *err)
{
    *near = (lw_road_near){.is_known = 0};
    const lw_code code = lw_book_roads_near(book, spot, LW_ROAD_NEAR_M, 1, &near->roads, err);
    near->is_known = !code && near->roads.count > 0;
    return code;
}

char *lw_road_near_say(const lw_road_near *near, lw_unit_system units, char buf[LW_ROAD_LINE])
{
    char words[LW_ROAD_WORDS], way[LW_QUANTITY_BYTES];
    buf[0] = '\0';
    if (!near->is_known)
        return buf;
    const lw_kept_road *road = near->roads.road;
    const int is_off = road->way_m >= LW_ROAD_AT_M;
    lw_quantity_print(way, sizeof way, road->way_m, LW_DIM_LENGTH, units);
    snprintf(buf, LW_ROAD_LINE, "%s%s%s%s%s%s", road->name ? road->name : "", road->name ? ", " : "",
             lw_road_like(road, words), is_off ? "; " : "", is_off ? way : "", is_off ? " off" : "");
    return buf;
}

json_t *lw_road_near_json(lw_json *j, const lw_road_near *near)
{
    static const char *const YES_NO[] = {NULL, "yes", "no"};
    if (!near->is_known)
        return json_null();
    const lw_kept_road *road = near->roads.road;
    char words[LW_ROAD_WORDS], credit[LW_CREDIT_LINE];
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "name", road->name);
    lw_json_text(j, o, "class", lw_road_class_word(road->class));
    lw_json_text(j, o, "surface", road->surface);
    lw_json_text(j, o, "is_paved", YES_NO[(unsigned)road->paved % 3]);
    lw_json_text(j, o, "needs", lw_road_needs_word(road->needs));
    lw_json_number(j, o, "grade_frac", road->grade_frac, 3);
    lw_json_text(j, o, "season", road->season);
    lw_json_text(j, o, "is_dry_only", YES_NO[(unsigned)road->dry_only % 3]);
    lw_json_text(j, o, "access", road->access);
    lw_json_text(j, o, "detail", road->detail);
    lw_json_number(j, o, "way_m", road->way_m, 0);
    lw_json_text(j, o, "says", lw_road_like(road, words));
    lw_json_text(j, o, "credit", lw_credit_say(road->source, road->credit, road->imported_s, road->data_s, credit));
    return o;
}

void lw_road_near_clear(lw_road_near *near)
{
    lw_kept_roads_clear(&near->roads);
    near->is_known = 0;
}
