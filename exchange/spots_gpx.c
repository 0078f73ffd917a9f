#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/xml_internal.h"
#include "text/say.h"

typedef struct gpx {
    lw_xml xml;
    lw_spot_draft draft;
    int is_in_point;
    lw_xml_text text; /* of the child of a waypoint that is open */
} gpx;

static void begin(void *context, const char *name, const char **attributes, int depth)
{
    gpx *g = context;
    g->text.n = 0;
    if (depth == 1 && strcmp(name, "gpx") != 0) {
        lw_xml_refuse(&g->xml, "this XML is no map file; OpenStreetMap's begins with osm, KML with kml, GPX with gpx");
    } else if (depth == 2 && strcmp(name, "wpt") == 0) {
        g->draft = (lw_spot_draft){.has_water = 0};
        g->is_in_point = 1;
        if (!lw_xml_degrees(attributes, "lat", &g->draft.row.spot.latitude_deg) ||
            !lw_xml_degrees(attributes, "lon", &g->draft.row.spot.longitude_deg))
            lw_xml_refuse(&g->xml, "a waypoint needs lat and lon in degrees");
    }
}

static void characters(void *context, const char *text, size_t n, int depth)
{
    gpx *g = context;
    if (g->is_in_point && depth == 3)
        lw_xml_text_add(&g->text, text, n);
}

static void take_child(gpx *g, const char *name, const char *text)
{
    if (strcmp(name, "type") == 0) /* our own words, where they are there */
        g->draft.row.kinds |= lw_spot_kinds_of(text);
    lw_spot_tag(&g->draft, strcmp(name, "desc") == 0 ? "description" : strcmp(name, "cmt") == 0 ? "note" : name, text);
}

static void end(void *context, const char *name, int depth)
{
    gpx *g = context;
    if (depth == 3 && g->is_in_point)
        take_child(g, name, lw_xml_text_end(&g->text));
    if (depth != 2 || !g->is_in_point)
        return;
    g->is_in_point = 0;
    const lw_code code = lw_spot_done(g->xml.run, &g->draft);
    if (code)
        lw_xml_stop(&g->xml, code);
}

lw_code lw_spots_gpx(const lw_spots_run *run)
{
    gpx *g = calloc(1, sizeof *g);
    if (!g)
        return lw_fail(run->err, LW_E_FULL, "no memory to read places");
    g->xml = (lw_xml){.run = run, .context = g, .begin = begin, .end = end, .text = characters};
    const lw_code code = lw_xml_parse(&g->xml);
    free(g);
    return code;
}
