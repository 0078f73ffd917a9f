#include "exchange/spots.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "exchange/map_tags.h"
#include "exchange/spots_internal.h"
#include "exchange/unpack.h"
#include "text/say.h"

static const char *const WORDS[] = {
#define WORD(id, word) word,
    LW_SPOT_KINDS(WORD)
#undef WORD
};

const char *lw_spot_kind_word(lw_spot_kind kind)
{
    return WORDS[(unsigned)kind < LW_SPOT_KIND_COUNT ? kind : LW_SPOT_PLACE];
}

unsigned lw_spot_kinds_of(const char *words)
{
    unsigned kinds = 0;
    while (*words) {
        words += strspn(words, " ,;");
        const size_t n = strcspn(words, ",;");
        size_t letters = n;
        while (letters && words[letters - 1] == ' ')
            letters--;
        int kind = 0;
        while (kind < LW_SPOT_KIND_COUNT && (strncasecmp(words, WORDS[kind], letters) != 0 || WORDS[kind][letters]))
            kind++;
        if (letters && kind == LW_SPOT_KIND_COUNT)
            return 0;
        kinds |= letters ? 1u << kind : 0u;
        words += n;
    }
    return kinds;
}

/* ---- tags ---- */

#define BIT(id) (1u << LW_SPOT_##id)

/* value NULL: any but "no". */
static const struct {
    const char *key, *value;
    unsigned kinds;
} TAGS[] = {
    {"amenity", "sanitary_dump_station", BIT(DUMP)},
    {"sanitary_dump_station", NULL, BIT(DUMP)},
    {"amenity", "water_point", BIT(WATER)},
    {"amenity", "drinking_water", BIT(WATER)},
    {"man_made", "water_tap", BIT(WATER)},
    {"amenity", "waste_disposal", BIT(RUBBISH)},
    {"amenity", "recycling", BIT(RECYCLING)},
    {"amenity", "shower", BIT(SHOWER)},
    {"amenity", "fuel", BIT(FUEL)},
    {"fuel:propane", NULL, BIT(PROPANE)},
    {"fuel:lpg", NULL, BIT(PROPANE)},
    {"shop", "gas", BIT(PROPANE)},
    {"tourism", "camp_site", BIT(CAMP)},
    {"tourism", "caravan_site", BIT(CAMP)},
    {"tourism", "camp_pitch", BIT(CAMP)},
    {"shop", "supermarket", BIT(GROCERIES)},
    {"shop", "convenience", BIT(GROCERIES)},
    {"shop", "grocery", BIT(GROCERIES)},
    {"shop", "laundry", BIT(LAUNDRY)},
    {"amenity", "laundry", BIT(LAUNDRY)},
    {"highway", "rest_area", BIT(REST)},
    {"highway", "services", BIT(REST)},
    {"place", "city", BIT(TOWN)},
    {"place", "town", BIT(TOWN)},
    {"place", "village", BIT(TOWN)},
    {"highway", "trailhead", BIT(TRAIL)},
    {"leisure", "park", BIT(PARK)},
    {"leisure", "nature_reserve", BIT(PARK)},
    {"boundary", "national_park", BIT(PARK)},
    {"tourism", "viewpoint", BIT(SIGHT)},
    {"tourism", "attraction", BIT(SIGHT)},
    {"tourism", "museum", BIT(SIGHT)},
};

/* What is kept as it stands, for people. */
static const char *const DETAILS[] = {
    "access",
    "fee",
    "charge",
    "opening_hours",
    "seasonal",
    "intermittent",
    "waste",
    "operator",
    "maxlength",
    "maxheight",
    "maxwidth",
    "maxweight",
    "maxstay",
    "overnight",
    "capacity",
    "caravans",
    "tents",
    "capacity:pitches",
    "impromptu",
    "power_supply",
    "reservation",
    "openfire",
    "toilets",
    "shower",
    "backcountry",
    "bottle",
    "internet_access",
    "recycling_type",
    "fuel:diesel",
    "fuel:lpg",
    "fuel:propane",
    "sanitary_dump_station",
    "phone",
    "website",
    "note",
    "description",
};

static int is_one_of(const char *key, const char *const *list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcasecmp(key, list[i]) == 0)
            return 1;
    return 0;
}

static void add_detail(lw_spot_row *row, const char *key, const char *value)
{
    char line[160];
    lw_map_line(line, sizeof line, value);
    lw_map_tag_add(row->detail, sizeof row->detail, key, line);
}

static void tag_water(lw_spot_draft *d, const char *value)
{
    const int is_yes = strcasecmp(value, "yes") == 0, is_no = strcasecmp(value, "no") == 0;
    d->row.fit = is_yes ? LW_FIT_YES : is_no ? LW_FIT_NO : d->row.fit;
    d->has_water |= is_yes;
}

void lw_spot_tag(lw_spot_draft *d, const char *key, const char *value)
{
    static const char *const IDS[] = {"@id", "osm_id", "full_id"};
    if (!*value)
        return;
    if (strcasecmp(key, "name") == 0)
        lw_map_line(d->row.name, sizeof d->row.name, value);
    else if (strcasecmp(key, "kind") == 0 || strcasecmp(key, "kinds") == 0)
        d->row.kinds |= lw_spot_kinds_of(value);
    else if (strcasecmp(key, "drinking_water") == 0)
        tag_water(d, value);
    else if (is_one_of(key, IDS, sizeof IDS / sizeof IDS[0])) {
        lw_map_line(d->row.key, sizeof d->row.key, value);
        d->is_openstreetmap = 1;
    } else if ((strcmp(key, "disused") == 0 || strcmp(key, "abandoned") == 0) && strcmp(value, "no") != 0)
        d->is_closed = 1;
    else if (is_one_of(key, DETAILS, sizeof DETAILS / sizeof DETAILS[0]))
        add_detail(&d->row, key, value);
    for (size_t i = 0; i < sizeof TAGS / sizeof TAGS[0]; i++)
        if (strcmp(key, TAGS[i].key) == 0 &&
            (TAGS[i].value ? strcmp(value, TAGS[i].value) == 0 : strcasecmp(value, "no") != 0))
            d->row.kinds |= TAGS[i].kinds;
    if (strcmp(key, "amenity") == 0 && strcmp(value, "drinking_water") == 0 && d->row.fit == LW_FIT_UNKNOWN)
        d->row.fit = LW_FIT_YES;
}

int lw_spot_is_taken(const lw_spot_draft *d)
{
    return !d->is_closed && (d->row.kinds || d->has_water || (d->row.name[0] && !d->needs_kind));
}

lw_code lw_spot_done(const lw_spots_run *run, lw_spot_draft *d)
{
    lw_spot_row *row = &d->row;
    const lw_want want[] = {
        {"latitude_deg", row->spot.latitude_deg, -90.0, 90.0},
        {"longitude_deg", row->spot.longitude_deg, -180.0, 180.0},
    };
    lw_fault fault;
    if (lw_want_all(&fault, LW_WANTS(want))) {
        lw_fault_say(&fault, run->err);
        return lw_err_at(run->err, NULL, 0, row->name[0] ? row->name : NULL);
    }
    if (!lw_spot_is_taken(d)) {
        run->out->passed_over++;
        return LW_OK;
    }
    row->kinds |= d->has_water ? BIT(WATER) : 0u;
    row->kinds = row->kinds ? row->kinds : BIT(PLACE);
    if (!row->key[0])
        snprintf(row->key, sizeof row->key, "%.70s@%.5f,%.5f", row->name, row->spot.latitude_deg,
                 row->spot.longitude_deg);
    run->out->is_openstreetmap |= d->is_openstreetmap;
    run->out->taken++;
    return run->take(run->context, row, run->err);
}

/* ---- areas ---- */

void lw_spot_box_add(lw_spot_box *box, lw_spot corner)
{
    const double turned = box->is_any ? 360.0 * round((box->west_deg - corner.longitude_deg) / 360.0) : 0.0,
                 east_deg = corner.longitude_deg + turned;
    if (!box->is_any)
        *box = (lw_spot_box){corner.longitude_deg, corner.latitude_deg, corner.longitude_deg, corner.latitude_deg, 1};
    box->west_deg = fmin(box->west_deg, east_deg);
    box->east_deg = fmax(box->east_deg, east_deg);
    box->south_deg = fmin(box->south_deg, corner.latitude_deg);
    box->north_deg = fmax(box->north_deg, corner.latitude_deg);
}

lw_spot lw_spot_box_middle(const lw_spot_box *box)
{
    const double east_deg = 0.5 * (box->west_deg + box->east_deg);
    return (lw_spot){0.5 * (box->south_deg + box->north_deg), east_deg - 360.0 * round(east_deg / 360.0)};
}

/* ---- which format ---- */

/* The first bytes have been looked at and go first. */
typedef struct peeked {
    lw_read_fn *read;
    lw_again_fn *again;
    void *source;
    lw_unpack *from;
    lw_err *err;
    size_t n, at;
    char first[4096];
} peeked;

static long read_peeked(void *context, char *buf, size_t n)
{
    peeked *p = context;
    if (p->at == p->n)
        return lw_unpack_read(p->from, buf, n);
    const size_t take = p->n - p->at < n ? p->n - p->at : n;
    memcpy(buf, p->first + p->at, take);
    p->at += take;
    return (long)take;
}

static int peeked_again(void *context)
{
    peeked *p = context;
    if (!p->again || p->again(p->source))
        return -1;
    lw_unpack_close(p->from);
    p->from = NULL;
    p->n = p->at = 0;
    return lw_unpack_open(p->read, p->source, &p->from, p->err) ? -1 : 0;
}

static lw_code peek(peeked *p)
{
    while (p->n < sizeof p->first) {
        const long n = lw_unpack_read(p->from, p->first + p->n, sizeof p->first - p->n);
        if (n < 0)
            return lw_unpack_refuse(p->from, p->err);
        if (n == 0)
            break;
        p->n += (size_t)n;
    }
    return LW_OK;
}

static int begins(const peeked *p, size_t at, const char *bytes, size_t n)
{
    return p->n >= at + n && memcmp(p->first + at, bytes, n) == 0;
}

/* The name of the first element behind what may stand before it: <?...?>, <!--...-->, <!DOCTYPE ...>. */
static int is_xml_of(const peeked *p, size_t at, const char *name)
{
    const size_t n = strlen(name);
    while (at + 1 < p->n && p->first[at] == '<' && (p->first[at + 1] == '?' || p->first[at + 1] == '!')) {
        const int is_remark = begins(p, at, "<!--", 4);
        while (at < p->n && !(is_remark ? begins(p, at, "-->", 3) : p->first[at] == '>'))
            at++;
        at += is_remark ? 3 : 1;
        while (at < p->n && (unsigned char)p->first[at] <= ' ')
            at++;
    }
    return begins(p, at, "<", 1) && begins(p, at + 1, name, n) && at + 1 + n < p->n &&
           strchr(" >/\t\r\n", p->first[at + 1 + n]) != NULL;
}

/* Forms that are known and not read, by their first bytes. */
static const struct {
    const char *bytes;
    size_t n;
    const char *said;
} OTHERS[] = {
    {"BZh", 3, "is packed with bzip2; unpack it first (bunzip2)"},
    {"\xfd\x37zXZ", 5, "is packed with xz; unpack it first (unxz)"},
    {"\xff\xe0\x04o5", 5, "is o5m; write it anew as .osm.pbf"},
    {"SQLite format 3", 15, "is a database, not a map file of places"},
};

static lw_code read_as_it_looks(const peeked *p, const lw_spots_run *run)
{
    size_t at = begins(p, 0, "\xef\xbb\xbf", 3) ? 3 : 0; /* byte order mark */
    for (size_t i = 0; i < sizeof OTHERS / sizeof OTHERS[0]; i++)
        if (begins(p, 0, OTHERS[i].bytes, OTHERS[i].n))
            return lw_fail(run->err, LW_E_SYNTAX, "%s", OTHERS[i].said);
    while (at < p->n && (unsigned char)p->first[at] <= ' ')
        at++;
    if (begins(p, 4, "\x0a\x09OSMHeader", 11))
        return lw_spots_osm_pbf(run);
    if (is_xml_of(p, at, "osm"))
        return lw_spots_osm_xml(run);
    if (!run->take)
        return lw_fail(run->err, LW_E_SYNTAX,
                       "roads are read from OpenStreetMap, GeoJSON and GeoPackage, and this is none of them");
    if (is_xml_of(p, at, "kml"))
        return lw_spots_kml(run);
    return begins(p, at, "{", 1)   ? lw_spots_geojson(run)
           : begins(p, at, "<", 1) ? lw_spots_gpx(run)
                                   : lw_spots_csv(run);
}

lw_code lw_spots_read_both(lw_read_fn *read, lw_again_fn *again, void *source, const lw_spots_takers *to,
                           lw_spots_read *out, lw_err *err)
{
    peeked *p = malloc(sizeof *p);
    if (!p)
        return lw_fail(err, LW_E_FULL, "no memory to read places");
    *p = (peeked){.read = read, .again = again, .source = source, .err = err};
    *out = (lw_spots_read){.data_s = LW_SPOTS_NO_DATE};
    const lw_spots_run run = {read_peeked, peeked_again, p, to->take, to->context, to->roads, out, err};
    lw_code code = lw_unpack_open(read, source, &p->from, err);
    code = code ? code : peek(p);
    code = code ? code : read_as_it_looks(p, &run);
    if (code == LW_E_IO && err->where[0] == '\0' && p->from)
        code = lw_unpack_refuse(p->from, err);
    lw_unpack_close(p->from);
    free(p);
    return code;
}

lw_code lw_spots_read_from(lw_read_fn *read, lw_again_fn *again, void *source, lw_spot_fn *take, void *context,
                           lw_spots_read *out, lw_err *err)
{
    return lw_spots_read_both(read, again, source, &(lw_spots_takers){take, context, NULL}, out, err);
}

lw_code lw_spots_load(const char *path, const lw_watch *watch, lw_spot_fn *take, void *context, lw_spots_read *out,
                      lw_err *err)
{
    lw_watched file;
    if (lw_watched_open(&file, path, watch, err))
        return err->code;
    const lw_code code = lw_spots_read_from(lw_watched_read, lw_watched_again, &file, take, context, out, err);
    lw_watched_close(&file);
    return code ? lw_err_at(err, path, 0, NULL) : LW_OK;
}
