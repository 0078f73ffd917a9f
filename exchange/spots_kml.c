#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/xml_internal.h"
#include "text/decimal.h"
#include "text/say.h"

/* Coordinates come as "lon,lat[,height]" parted by blanks, over as many pieces as the parser likes. */
typedef struct kml {
    lw_xml xml;
    lw_spot_draft draft;
    int placemark, point, ring; /* depths at which they are open; 0: not */
    char data[64];              /* name of the extended datum that is open */
    lw_xml_text text, pair;
    lw_spot_box box;
    lw_spot spot;
    int has_point, is_in_coordinates;
} kml;

static const char *plain_name(const char *name)
{
    const char *colon = strchr(name, ':');
    return colon ? colon + 1 : name;
}

static void take_pair(kml *k)
{
    const char *text = lw_xml_text_end(&k->pair), *end = text + strlen(text), *after;
    lw_spot spot;
    if (text == end)
        return;
    after = lw_decimal_scan(text, end, &spot.longitude_deg);
    after = after && after < end && *after == ',' ? lw_decimal_scan(after + 1, end, &spot.latitude_deg) : NULL;
    if (!after || (after < end && *after != ',')) {
        lw_xml_refuse(&k->xml, "coordinates are no longitude,latitude in degrees");
    } else if (k->ring) {
        lw_spot_box_add(&k->box, spot);
    } else if (k->point) {
        k->spot = spot;
        k->has_point = 1;
    }
}

static void begin(void *context, const char *qualified, const char **attributes, int depth)
{
    kml *k = context;
    const char *name = plain_name(qualified), *value;
    k->text.n = 0;
    if (strcmp(name, "Placemark") == 0 && !k->placemark) {
        k->draft = (lw_spot_draft){.has_water = 0};
        k->box = (lw_spot_box){.is_any = 0};
        k->has_point = 0;
        k->placemark = depth;
        if ((value = lw_xml_attribute(attributes, "id")) != NULL)
            snprintf(k->draft.row.key, sizeof k->draft.row.key, "%.120s", value);
    } else if (strcmp(name, "Point") == 0 && !k->point) {
        k->point = depth;
    } else if (strcmp(name, "outerBoundaryIs") == 0 && !k->ring) {
        k->ring = depth;
    } else if (strcmp(name, "coordinates") == 0) {
        k->is_in_coordinates = k->point || k->ring;
        k->pair.n = 0;
    } else if ((strcmp(name, "Data") == 0 || strcmp(name, "SimpleData") == 0) &&
               (value = lw_xml_attribute(attributes, "name")) != NULL) {
        snprintf(k->data, sizeof k->data, "%.63s", value);
    }
}

static void characters(void *context, const char *text, size_t n, int depth)
{
    kml *k = context;
    (void)depth;
    if (!k->is_in_coordinates) {
        lw_xml_text_add(&k->text, text, n);
        return;
    }
    for (size_t i = 0; i < n && !k->xml.code; i++)
        if ((unsigned char)text[i] <= ' ')
            take_pair(k);
        else
            lw_xml_text_add(&k->pair, text + i, 1);
}

static void end_placemark(kml *k)
{
    k->placemark = k->point = k->ring = 0;
    if (!k->has_point && !k->box.is_any) {
        k->xml.run->out->passed_over++;
        return;
    }
    k->draft.row.spot = k->has_point ? k->spot : lw_spot_box_middle(&k->box);
    const lw_code code = lw_spot_done(k->xml.run, &k->draft);
    if (code)
        lw_xml_stop(&k->xml, code);
}

static void end(void *context, const char *qualified, int depth)
{
    kml *k = context;
    const char *name = plain_name(qualified);
    if (k->is_in_coordinates) {
        k->is_in_coordinates = 0;
        take_pair(k);
        return;
    }
    const char *text = lw_xml_text_end(&k->text);
    if (depth == k->point)
        k->point = 0;
    else if (depth == k->ring)
        k->ring = 0;
    else if (k->placemark && depth == k->placemark)
        end_placemark(k);
    else if (k->placemark && depth == k->placemark + 1 &&
             (strcmp(name, "name") == 0 || strcmp(name, "description") == 0))
        lw_spot_tag(&k->draft, name, text);
    else if (k->placemark && k->data[0] && (strcmp(name, "value") == 0 || strcmp(name, "SimpleData") == 0))
        lw_spot_tag(&k->draft, k->data, text);
    if (strcmp(name, "Data") == 0 || strcmp(name, "SimpleData") == 0)
        k->data[0] = '\0';
}

lw_code lw_spots_kml(const lw_spots_run *run)
{
    kml *k = calloc(1, sizeof *k);
    if (!k)
        return lw_fail(run->err, LW_E_FULL, "no memory to read places");
    k->xml = (lw_xml){.run = run, .context = k, .begin = begin, .end = end, .text = characters};
    const lw_code code = lw_xml_parse(&k->xml);
    free(k);
    return code;
}
