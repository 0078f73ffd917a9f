#include <stdio.h>
#include <string.h>

#include "exchange/limits.h"
#include "exchange/osm_internal.h"
#include "exchange/rings.h"

/* Into the draft; 0: no road that is taken. Most ways are none, so its one telling tag is looked for first. */
static int draft(const lw_osm_gather *g, const lw_osm_element *way)
{
    size_t at = 0;
    if (!g->run->roads || way->what != LW_OSM_WAY)
        return 0;
    while (at < way->tags && strcmp(way->tag[at].key, "highway") != 0)
        at++;
    if (at == way->tags)
        return 0;
    lw_road_lines_begin_row(g->run->roads);
    for (size_t i = 0; i < way->tags; i++)
        lw_road_lines_field(g->run->roads, way->tag[i].key, way->tag[i].value);
    return lw_road_lines_is_taken(g->run->roads);
}

void lw_osm_road_count(lw_osm_gather *g, const lw_osm_element *way)
{
    if (!draft(g, way))
        return;
    const lw_road_class class = lw_road_lines_draft(g->run->roads)->class;
    g->road_refs[class] += way->refs;
    g->road_ways[class]++;
}

void lw_osm_road_room(lw_osm_gather *g)
{
    size_t refs = 0;
    int class = 0;
    long left_out = 0;
    while (class < LW_ROAD_CLASS_COUNT && (refs += g->road_refs[class]) <= LW_ROAD_CORNERS)
        class ++;
    g->road_classes = refs ? class : 0;
    for (; class < LW_ROAD_CLASS_COUNT; class ++)
        left_out += g->road_ways[class];
    if (g->run->roads)
        lw_road_lines_leave_out(g->run->roads, left_out);
}

lw_code lw_osm_road_note(lw_osm_gather *g, const lw_osm_element *way)
{
    lw_code code = LW_OK;
    if (!draft(g, way) || (int)lw_road_lines_draft(g->run->roads)->class >= g->road_classes)
        return LW_OK;
    for (size_t i = 0; i < way->refs && !code; i++)
        code = lw_osm_note(g, &g->corners, way->ref[i]);
    return code;
}

/* A corner that is not in the extract ends a line; the next begins another. */
static lw_code put_corners(lw_osm_gather *g, const lw_osm_element *way, lw_rings *rings)
{
    lw_code code = LW_OK;
    for (size_t i = 0; i < way->refs && !code; i++) {
        const lw_osm_corner *c = lw_osm_corner_of(g, way->ref[i]);
        code = c ? lw_rings_corner(rings, c->longitude_e7 * 1e-7, c->latitude_e7 * 1e-7, g->run->err)
                 : lw_rings_end_line(rings, g->run->err);
    }
    return code ? code : lw_rings_end_line(rings, g->run->err);
}

static lw_code put_own(const lw_osm_gather *g, const lw_osm_element *way, lw_rings *rings)
{
    lw_code code = LW_OK;
    for (size_t i = 0; i < way->owns && !code; i++)
        code = lw_rings_corner(rings, way->own[i].longitude_deg, way->own[i].latitude_deg, g->run->err);
    return code ? code : lw_rings_end_line(rings, g->run->err);
}

lw_code lw_osm_road_put(lw_osm_gather *g, const lw_osm_element *way)
{
    char id[32];
    if (!draft(g, way) || (int)lw_road_lines_draft(g->run->roads)->class >= g->road_classes)
        return LW_OK;
    snprintf(id, sizeof id, "way/%lld", (long long)way->id);
    lw_road_lines_field(g->run->roads, "@id", id);
    lw_rings *rings = lw_road_lines_rings(g->run->roads);
    g->is_road = 1;
    const lw_code code = way->owns ? put_own(g, way, rings) : put_corners(g, way, rings);
    return code ? code : lw_road_lines_end_row(g->run->roads, 1, g->run->err);
}
