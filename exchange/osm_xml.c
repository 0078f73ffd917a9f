#include <stdlib.h>
#include <string.h>

#include "exchange/osm_internal.h"
#include "exchange/xml_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

enum { POOL = 1 << 20 }; /* bytes of one element's tags */

typedef struct osm_file {
    lw_xml xml;
    lw_osm_gather *gather;
    lw_osm_element element;
    int is_in_element; /* one that this going through wants */
    size_t tags, refs, pool_n;
    lw_osm_tag tag[LW_OSM_TAGS];
    int64_t ref[LW_OSM_REFS];
    unsigned char ref_what[LW_OSM_REFS];
    char pool[POOL];
} osm_file;

static int what_of(const char *name)
{
    return strcmp(name, "node") == 0       ? LW_OSM_NODE
           : strcmp(name, "way") == 0      ? LW_OSM_WAY
           : strcmp(name, "relation") == 0 ? LW_OSM_RELATION
                                           : LW_OSM_WHATS;
}

static int whole_of(const char *text, int64_t *number)
{
    char *after;
    if (!text || !((*text >= '0' && *text <= '9') || *text == '-'))
        return 0;
    *number = strtoll(text, &after, 10);
    return *after == '\0' && after != text;
}

/* Degrees with seven digits, as they are kept; anything beyond the earth is refused by its taker. */
static int take_e7(const char **attributes, const char *name, int64_t *e7)
{
    double degrees;
    if (!lw_xml_degrees(attributes, name, &degrees) || !(degrees > -1e3 && degrees < 1e3))
        return 0;
    *e7 = (int64_t)(degrees * 1e7 + (degrees < 0.0 ? -0.5 : 0.5));
    return 1;
}

static void begin_element(osm_file *f, lw_osm_what what, const char **attributes)
{
    const char *action = lw_xml_attribute(attributes, "action"), *visible = lw_xml_attribute(attributes, "visible");
    f->is_in_element = lw_osm_wants(f->gather, what) && !(action && strcmp(action, "delete") == 0) &&
                       !(visible && strcmp(visible, "false") == 0);
    if (!f->is_in_element)
        return;
    f->element = (lw_osm_element){.what = what};
    f->tags = f->refs = f->pool_n = 0;
    if (!whole_of(lw_xml_attribute(attributes, "id"), &f->element.id))
        lw_xml_refuse(&f->xml, "an element needs an id, a whole number");
    else if (what == LW_OSM_NODE && (!take_e7(attributes, "lat", &f->element.latitude_e7) ||
                                     !take_e7(attributes, "lon", &f->element.longitude_e7)))
        lw_xml_refuse(&f->xml, "a node needs lat and lon in degrees");
}

static const char *pooled(osm_file *f, const char *text)
{
    const size_t n = strlen(text) + 1;
    if (n > POOL - f->pool_n)
        return NULL;
    char *at = f->pool + f->pool_n;
    memcpy(at, text, n);
    f->pool_n += n;
    return at;
}

static void take_tag(osm_file *f, const char **attributes)
{
    const char *key = lw_xml_attribute(attributes, "k"), *value = lw_xml_attribute(attributes, "v");
    if (!key || !value) {
        lw_xml_refuse(&f->xml, "a tag needs k and v");
        return;
    }
    key = pooled(f, key);
    value = key ? pooled(f, value) : NULL;
    if (!value || f->tags == LW_OSM_TAGS)
        lw_xml_refuse(&f->xml, "an element has more tags than OpenStreetMap would allow");
    else
        f->tag[f->tags++] = (lw_osm_tag){key, value};
}

static void take_ref(osm_file *f, const char **attributes)
{
    const char *type = lw_xml_attribute(attributes, "type");
    int64_t ref;
    if (!whole_of(lw_xml_attribute(attributes, "ref"), &ref)) {
        lw_xml_refuse(&f->xml, "a reference needs ref, a whole number");
    } else if (f->refs == LW_OSM_REFS) {
        lw_xml_refuse(&f->xml, "an element has more members than OpenStreetMap would allow");
    } else {
        f->ref_what[f->refs] = (unsigned char)(type ? what_of(type) : LW_OSM_NODE);
        f->ref[f->refs++] = ref;
    }
}

/* When the data is of: an attribute of the first element, or of <meta>. */
static void take_date(osm_file *f, const char *text)
{
    lw_err ignored = {0};
    double utc_s;
    if (text && lw_instant_parse(text, &utc_s, &ignored) == LW_OK)
        f->xml.run->out->data_s = (int64_t)utc_s;
}

static void begin(void *context, const char *name, const char **attributes, int depth)
{
    osm_file *f = context;
    const int what = depth == 2 ? what_of(name) : LW_OSM_WHATS;
    if (depth == 1)
        take_date(f, lw_xml_attribute(attributes, "timestamp"));
    else if (depth == 2 && strcmp(name, "meta") == 0)
        take_date(f, lw_xml_attribute(attributes, "osm_base"));
    else if (what != LW_OSM_WHATS)
        begin_element(f, (lw_osm_what)what, attributes);
    else if (depth == 3 && f->is_in_element && strcmp(name, "tag") == 0)
        take_tag(f, attributes);
    else if (depth == 3 && f->is_in_element && strcmp(name, f->element.what == LW_OSM_WAY ? "nd" : "member") == 0)
        take_ref(f, attributes);
}

static void end(void *context, const char *name, int depth)
{
    osm_file *f = context;
    (void)name;
    if (depth != 2 || !f->is_in_element)
        return;
    f->is_in_element = 0;
    f->element.tag = f->tag;
    f->element.tags = f->tags;
    f->element.ref = f->ref;
    f->element.ref_what = f->ref_what;
    f->element.refs = f->refs;
    const lw_code code = lw_osm_take(f->gather, &f->element);
    if (code)
        lw_xml_stop(&f->xml, code);
}

lw_code lw_osm_xml(const lw_spots_run *run, lw_osm_gather *gather)
{
    osm_file *f = malloc(sizeof *f);
    if (!f)
        return lw_fail(run->err, LW_E_FULL, "no memory to read places");
    f->xml = (lw_xml){.run = run, .context = f, .begin = begin, .end = end};
    f->gather = gather;
    f->is_in_element = 0;
    const lw_code code = lw_xml_parse(&f->xml);
    free(f);
    return code;
}
