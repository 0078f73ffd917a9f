#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "exchange/osm_internal.h"
#include "text/decimal.h"
#include "text/say.h"

static const char *const WORDS[LW_OSM_WHATS] = {"node", "way", "relation"};

int lw_osm_wants(lw_osm_gather *g, lw_osm_what what)
{
    g->is_out_of_order |= g->pass == LW_OSM_AREAS && what < g->last;
    g->last = what;
    switch (g->pass) {
    case LW_OSM_AREAS:
        return what != LW_OSM_NODE;
    case LW_OSM_MEMBERS:
    case LW_OSM_BOXES:
        return what == LW_OSM_WAY;
    case LW_OSM_NODES:
        return what == LW_OSM_NODE;
    default:
        return 1;
    }
}

/* What its tags make of it; kinds 0: no place. */
static void draft_of(const lw_osm_element *e, lw_spot_draft *draft)
{
    *draft = (lw_spot_draft){.is_openstreetmap = 1, .needs_kind = 1};
    for (size_t i = 0; i < e->tags; i++)
        lw_spot_tag(draft, e->tag[i].key, e->tag[i].value);
}

static int is_place(const lw_osm_gather *g, const lw_osm_element *e)
{
    lw_spot_draft draft;
    if (e->tags == 0 || !g->run->take)
        return 0;
    draft_of(e, &draft);
    return lw_spot_is_taken(&draft);
}

/* ---- what is looked for ---- */

lw_code lw_osm_note(const lw_osm_gather *g, lw_osm_set *to, int64_t id)
{
    if (lw_osm_set_add(to, id))
        return LW_OK;
    if (to->room < to->most)
        return lw_fail(g->run->err, LW_E_FULL, "no memory for the corners of areas");
    return lw_fail(g->run->err, LW_E_FULL,
                   "its areas have more than %zu %s; cut the extract to the region of your trip", to->most,
                   to == &g->ways ? "ways" : "corners");
}

static lw_code note_area(lw_osm_gather *g, const lw_osm_element *e)
{
    lw_code code = LW_OK;
    if (!is_place(g, e))
        return LW_OK;
    for (size_t i = 0; i < e->refs && !code; i++)
        if (e->what == LW_OSM_WAY || e->ref_what[i] == LW_OSM_NODE)
            code = lw_osm_note(g, &g->corners, e->ref[i]);
        else if (e->ref_what[i] == LW_OSM_WAY)
            code = lw_osm_note(g, &g->ways, e->ref[i]);
    return code;
}

static lw_code note_member(lw_osm_gather *g, const lw_osm_element *e)
{
    lw_code code = LW_OK;
    for (size_t i = 0; lw_osm_set_find(&g->ways, e->id) && i < e->refs && !code; i++)
        code = lw_osm_note(g, &g->corners, e->ref[i]);
    return code;
}

static void note_corner(lw_osm_gather *g, const lw_osm_element *e)
{
    lw_osm_corner *c = lw_osm_set_find(&g->corners, e->id);
    if (c)
        *c = (lw_osm_corner){(int32_t)e->latitude_e7, (int32_t)e->longitude_e7};
}

/* ---- rows ---- */

const lw_osm_corner *lw_osm_corner_of(lw_osm_gather *g, int64_t id)
{
    const lw_osm_corner *c = lw_osm_set_find(&g->corners, id);
    return c && (c->latitude_e7 != -1 || c->longitude_e7 != -1) ? c : NULL;
}

static void add_corner(lw_osm_gather *g, int64_t id, lw_spot_box *box)
{
    const lw_osm_corner *c = lw_osm_corner_of(g, id);
    if (c)
        lw_spot_box_add(box, (lw_spot){c->latitude_e7 * 1e-7, c->longitude_e7 * 1e-7});
}

static lw_spot_box box_of(lw_osm_gather *g, const lw_osm_element *e)
{
    lw_spot_box box = e->box;
    for (size_t i = 0; i < e->refs; i++)
        if (e->what == LW_OSM_WAY || e->ref_what[i] == LW_OSM_NODE) {
            add_corner(g, e->ref[i], &box);
        } else if (e->ref_what[i] == LW_OSM_WAY) {
            const lw_spot_box *way = lw_osm_set_find(&g->ways, e->ref[i]);
            if (way && way->is_any == 1) {
                lw_spot_box_add(&box, (lw_spot){way->south_deg, way->west_deg});
                lw_spot_box_add(&box, (lw_spot){way->north_deg, way->east_deg});
            }
        }
    return box;
}

static void note_box(lw_osm_gather *g, const lw_osm_element *e)
{
    lw_spot_box *box = lw_osm_set_find(&g->ways, e->id);
    if (box)
        *box = box_of(g, e);
}

static lw_code put_row(lw_osm_gather *g, const lw_osm_element *e)
{
    lw_spot_draft draft;
    if (e->what == LW_OSM_WAY)
        note_box(g, e);
    if (e->tags)
        draft_of(e, &draft);
    const int is_row = e->tags && g->run->take && lw_spot_is_taken(&draft);
    g->run->out->passed_over += e->tags && !is_row && !g->is_road;
    if (!is_row)
        return LW_OK;
    lw_spot_box box = {.is_any = 0};
    if (e->what != LW_OSM_NODE)
        box = box_of(g, e);
    if (e->what != LW_OSM_NODE && !box.is_any) {
        g->run->out->without_corners++;
        return LW_OK;
    }
    draft.row.spot = e->what == LW_OSM_NODE ? (lw_spot){(double)e->latitude_e7 * 1e-7, (double)e->longitude_e7 * 1e-7}
                                            : lw_spot_box_middle(&box);
    snprintf(draft.row.key, sizeof draft.row.key, "%s/%lld", WORDS[e->what], (long long)e->id);
    return lw_spot_done(g->run, &draft);
}

static lw_code put_all(lw_osm_gather *g, const lw_osm_element *e)
{
    lw_code code = LW_OK;
    g->is_road = 0;
    if (e->what == LW_OSM_NODE)
        note_corner(g, e);
    else if (e->what == LW_OSM_WAY)
        code = lw_osm_road_put(g, e);
    return code ? code : put_row(g, e);
}

static int is_on_earth(const lw_osm_element *e)
{
    return e->latitude_e7 >= -900000000 && e->latitude_e7 <= 900000000 && e->longitude_e7 >= -1800000000 &&
           e->longitude_e7 <= 1800000000;
}

lw_code lw_osm_take(lw_osm_gather *g, const lw_osm_element *e)
{
    if (e->what == LW_OSM_NODE && !is_on_earth(e))
        return lw_fail(g->run->err, LW_E_RANGE, "node %lld is not on earth: latitude %s, longitude %s",
                       (long long)e->id, lw_num((double)e->latitude_e7 * 1e-7).text,
                       lw_num((double)e->longitude_e7 * 1e-7).text);
    switch (g->pass) {
    case LW_OSM_AREAS:
        lw_osm_road_count(g, e);
        return note_area(g, e);
    case LW_OSM_MEMBERS:
        return lw_osm_road_note(g, e) ? g->run->err->code : note_member(g, e);
    case LW_OSM_NODES:
        note_corner(g, e);
        return LW_OK;
    case LW_OSM_BOXES:
        note_box(g, e);
        return LW_OK;
    default:
        return put_all(g, e);
    }
}

/* ---- again and again ---- */

static lw_code go_through(lw_osm_gather *g, lw_osm_pass pass, lw_osm_reader *reader)
{
    const int is_first = pass == LW_OSM_AREAS;
    g->pass = pass;
    g->last = LW_OSM_NODE;
    if (!is_first && (!g->run->again || g->run->again(g->run->source)))
        return lw_fail(g->run->err, LW_E_IO,
                       "cannot be read a second time, as OpenStreetMap's areas need; give it as "
                       "a file, not through a pipe");
    return reader(g->run, g);
}

static lw_code sorted(const lw_osm_gather *g, lw_osm_set *set)
{
    return lw_osm_set_sort(set) ? LW_OK : lw_fail(g->run->err, LW_E_FULL, "no memory for the corners of areas");
}

static lw_code go_through_all(lw_osm_gather *g, lw_osm_reader *reader)
{
    lw_code code = go_through(g, LW_OSM_AREAS, reader);
    code = code ? code : sorted(g, &g->ways);
    lw_osm_road_room(g);
    if (!code && (g->ways.count || g->road_classes))
        code = go_through(g, LW_OSM_MEMBERS, reader);
    code = code ? code : sorted(g, &g->corners);
    if (!code && g->is_out_of_order)
        code = go_through(g, LW_OSM_NODES, reader);
    if (!code && g->is_out_of_order && g->ways.count)
        code = go_through(g, LW_OSM_BOXES, reader);
    return code ? code : go_through(g, LW_OSM_ROWS, reader);
}

static lw_code gather(const lw_spots_run *run, lw_osm_reader *reader)
{
    lw_osm_gather g = {
        .run = run,
        .corners = {.most = LW_OSM_CORNERS + (run->roads ? LW_ROAD_CORNERS : 0), .size = sizeof(lw_osm_corner)},
        .ways = {.most = LW_OSM_WAYS, .size = sizeof(lw_spot_box)}};
    if (run->roads)
        lw_road_lines_needs_class(run->roads);
    const lw_code code = go_through_all(&g, reader);
    lw_osm_set_clear(&g.corners);
    lw_osm_set_clear(&g.ways);
    run->out->is_openstreetmap = 1;
    return code;
}

lw_code lw_spots_osm_xml(const lw_spots_run *run)
{
    return gather(run, lw_osm_xml);
}

lw_code lw_spots_osm_pbf(const lw_spots_run *run)
{
    return gather(run, lw_osm_pbf);
}
