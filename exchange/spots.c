#include "exchange/spots.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

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
};

/* What is kept as it stands, for people. */
static const char *const DETAILS[] = {"access",      "fee",       "charge",     "opening_hours", "seasonal", "waste",
                                      "operator",    "maxlength", "maxheight",  "maxwidth",      "maxstay",  "capacity",
                                      "reservation", "openfire",  "toilets",    "backcountry",   "bottle",   "phone",
                                      "website",     "note",      "description"};

static int is_one_of(const char *key, const char *const *list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (strcasecmp(key, list[i]) == 0)
            return 1;
    return 0;
}

/* As text of one line, cut where there is no more room. */
static void put_line(char *to, size_t size, const char *text)
{
    size_t n = 0;
    for (; text[n] && n + 1 < size; n++)
        to[n] = (unsigned char)text[n] < ' ' || text[n] == 127 ? ' ' : text[n];
    while (n && ((unsigned char)text[n] & 0xC0) == 0x80) /* not within a character */
        n--;
    to[n] = '\0';
}

static void add_detail(lw_spot_row *row, const char *key, const char *value)
{
    char line[160];
    const size_t used = strlen(row->detail);
    put_line(line, sizeof line, value);
    if (used + strlen(key) + strlen(line) + 4 < sizeof row->detail)
        snprintf(row->detail + used, sizeof row->detail - used, "%s%.40s=%.160s", used ? "; " : "", key, line);
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
        put_line(d->row.name, sizeof d->row.name, value);
    else if (strcasecmp(key, "kind") == 0 || strcasecmp(key, "kinds") == 0)
        d->row.kinds |= lw_spot_kinds_of(value);
    else if (strcasecmp(key, "drinking_water") == 0)
        tag_water(d, value);
    else if (is_one_of(key, IDS, sizeof IDS / sizeof IDS[0])) {
        put_line(d->row.key, sizeof d->row.key, value);
        d->is_openstreetmap = 1;
    } else if (is_one_of(key, DETAILS, sizeof DETAILS / sizeof DETAILS[0]))
        add_detail(&d->row, key, value);
    for (size_t i = 0; i < sizeof TAGS / sizeof TAGS[0]; i++)
        if (strcmp(key, TAGS[i].key) == 0 &&
            (TAGS[i].value ? strcmp(value, TAGS[i].value) == 0 : strcasecmp(value, "no") != 0))
            d->row.kinds |= TAGS[i].kinds;
    if (strcmp(key, "amenity") == 0 && strcmp(value, "drinking_water") == 0 && d->row.fit == LW_FIT_UNKNOWN)
        d->row.fit = LW_FIT_YES;
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
    row->kinds |= d->has_water ? BIT(WATER) : 0u;
    if (!row->kinds && row->name[0])
        row->kinds = BIT(PLACE);
    if (!row->kinds) {
        run->out->passed_over++;
        return LW_OK;
    }
    if (!row->key[0])
        snprintf(row->key, sizeof row->key, "%.70s@%.5f,%.5f", row->name, row->spot.latitude_deg,
                 row->spot.longitude_deg);
    run->out->is_openstreetmap |= d->is_openstreetmap;
    run->out->taken++;
    return run->take(run->context, row, run->err);
}

/* ---- which format ---- */

/* The first byte has been looked at and goes first. */
typedef struct peeked {
    lw_unpack *from;
    char first[64];
    size_t n, at;
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

static lw_code read_as_it_looks(peeked *p, lw_spots_run *run)
{
    const long n = lw_unpack_read(p->from, p->first, sizeof p->first);
    if (n < 0)
        return lw_unpack_refuse(p->from, run->err);
    p->n = (size_t)n;
    size_t at = p->n >= 3 && memcmp(p->first, "\xef\xbb\xbf", 3) == 0 ? 3 : 0; /* byte order mark */
    while (at < p->n && (unsigned char)p->first[at] <= ' ')
        at++;
    const char c = at < p->n ? p->first[at] : '\0';
    const lw_code code = c == '{' ? lw_spots_geojson(run) : c == '<' ? lw_spots_gpx(run) : lw_spots_csv(run);
    return code == LW_E_IO && run->err->where[0] == '\0' ? lw_unpack_refuse(p->from, run->err) : code;
}

lw_code lw_spots_read_from(lw_read_fn *read, void *source, lw_spot_fn *take, void *context, lw_spots_read *out,
                           lw_err *err)
{
    peeked p = {.at = 0};
    lw_code code = lw_unpack_open(read, source, &p.from, err);
    if (code)
        return code;
    *out = (lw_spots_read){0};
    lw_spots_run run = {read_peeked, &p, take, context, out, err};
    code = read_as_it_looks(&p, &run);
    lw_unpack_close(p.from);
    return code;
}

lw_code lw_spots_load(const char *path, lw_spot_fn *take, void *context, lw_spots_read *out, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
        return lw_err_at(err, path, 0, NULL);
    }
    const lw_code code = lw_spots_read_from(lw_read_file, file, take, context, out, err);
    (void)fclose(file);
    return code ? lw_err_at(err, path, 0, NULL) : LW_OK;
}
