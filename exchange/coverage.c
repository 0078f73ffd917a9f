#include "exchange/coverage.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <jansson.h>

#include "core/land/belief.h"
#include "core/land/hexagon.h"
#include "exchange/features.h"
#include "exchange/rings.h"
#include "exchange/unpack.h"
#include "text/decimal.h"
#include "text/say.h"

/* What is looked for in a map; the first of several that a row has. */
enum {
    BRAND,
    PROVIDER,
    PROVIDER_ID,
    NETWORK,
    NAME,
    TECHNOLOGY,
    DOWN,
    UP,
    ENVIRONMENT,
    HEX_9,
    HEX_8,
    HEX_INDEX,
    HEX,
    FIELDS
};
enum { WHO_FIRST = BRAND, WHO_LAST = NAME, HEX_FIRST = HEX_9, HEX_LAST = HEX };
static const char *const FIELD[FIELDS] = {"brandname",  "provider", "providerid", "network",    "name",
                                          "technology", "mindown",  "minup",      "environmnt", "h3_res9_id",
                                          "h3_res8_id", "h3_index", "h3"};
enum { CELL_DIGITS = 15, CELL_TEXT = 24 };

typedef struct reading {
    lw_coverage_fn *take;
    void *context;
    lw_rings rings;
    lw_hex_grid grid;
} reading;

int lw_coverage_knows(const char *name, size_t n)
{
    static const int TELLING[] = {DOWN, UP, ENVIRONMENT, HEX_9, HEX_8, HEX_INDEX};
    for (size_t i = 0; i < sizeof TELLING / sizeof TELLING[0]; i++)
        if (strlen(FIELD[TELLING[i]]) == n && strncasecmp(FIELD[TELLING[i]], name, n) == 0)
            return 1;
    return 0;
}

/* ---- a cell as its area ---- */

static lw_code take_cell(reading *r, const char *text, lw_err *err)
{
    const size_t n = strlen(text);
    char *end = NULL;
    const uint64_t cell =
        n == CELL_DIGITS && strspn(text, "0123456789abcdefABCDEF") == n ? strtoull(text, &end, 16) : 0;
    lw_spot corner[LW_HEX_CORNERS];
    if (!lw_hex_is_cell(cell))
        return lw_fail(err, LW_E_SYNTAX,
                       "'%s' is no cell of the H3 grid; fifteen hexadecimal digits such as 8928308280fffff are",
                       lw_quoted(text, n).text);
    const int corners = lw_hex_border(&r->grid, cell, corner);
    lw_code code = LW_OK;
    lw_rings_begin(&r->rings);
    for (int i = 0; i < corners && !code; i++)
        code = lw_rings_corner(&r->rings, corner[i].longitude_deg, corner[i].latitude_deg, err);
    return code ? code : lw_rings_close(&r->rings, err);
}

/* ---- GeoJSON ---- */

static const json_t *property(json_t *properties, const char *name)
{
    const char *key;
    json_t *value;
    json_object_foreach(properties, key, value) if (strcasecmp(key, name) == 0) return value;
    return NULL;
}

/* A number, also one written as a text; NaN: none. */
static double number_of(const json_t *value)
{
    double number;
    if (json_is_number(value))
        return json_number_value(value);
    const char *text = json_string_value(value);
    return text && lw_decimal_parse(text, text + strlen(text), &number) ? number : (double)NAN;
}

static int name_of(json_t *properties, char name[LW_COVERAGE_NAME])
{
    for (int i = WHO_FIRST; i <= WHO_LAST; i++) {
        const json_t *value = property(properties, FIELD[i]);
        if (json_is_string(value) && *json_string_value(value)) {
            snprintf(name, LW_COVERAGE_NAME, "%s", json_string_value(value));
            return 1;
        }
        if (json_is_integer(value)) {
            snprintf(name, LW_COVERAGE_NAME, "%lld", (long long)json_integer_value(value));
            return 1;
        }
    }
    return 0;
}

static const char *cell_of(json_t *properties)
{
    for (int i = HEX_FIRST; i <= HEX_LAST; i++) {
        const char *text = json_string_value(property(properties, FIELD[i]));
        if (text && *text)
            return text;
    }
    return NULL;
}

static void fill(lw_coverage_row *row, double technology, double down_mbit, double up_mbit, double environment)
{
    row->technology = technology >= 1.0 && technology < 10000.0 ? (int)technology : 0;
    row->down_mbit = down_mbit;
    row->up_mbit = up_mbit;
    row->is_in_vehicles = environment > 0.5;
}

static lw_code take_feature(void *context, json_t *feature, lw_err *err)
{
    reading *r = context;
    lw_coverage_row row;
    json_t *properties = json_object_get(feature, "properties");
    if (!name_of(properties, row.who))
        return LW_OK; /* whose it is decides everything */
    fill(&row, number_of(property(properties, FIELD[TECHNOLOGY])), number_of(property(properties, FIELD[DOWN])),
         number_of(property(properties, FIELD[UP])), number_of(property(properties, FIELD[ENVIRONMENT])));
    lw_code code = lw_rings_geojson(&r->rings, json_object_get(feature, "geometry"), err);
    row.shape = lw_rings_shape(&r->rings);
    const char *cell = cell_of(properties);
    if (!code && row.shape.rings == 0 && cell) {
        code = take_cell(r, cell, err);
        row.shape = lw_rings_shape(&r->rings);
    }
    return code ? code : r->take(r->context, &row, err);
}

static lw_code read_features(reading *r, lw_read_fn *read, void *source, lw_err *err)
{
    return lw_features_each(read, source, take_feature, r, err);
}

/* ---- a list of cells ---- */

static const char *field_of(const lw_csv *csv, const int at[FIELDS], int field)
{
    return at[field] >= 0 && (size_t)at[field] < csv->count ? csv->field[at[field]] : "";
}

/* The first of a few that says something. */
static const char *first_of(const lw_csv *csv, const int at[FIELDS], int first, int last)
{
    for (int i = first; i < last; i++)
        if (*field_of(csv, at, i))
            return field_of(csv, at, i);
    return field_of(csv, at, last);
}

static double figure_of(const lw_csv *csv, const int at[FIELDS], int field)
{
    double number;
    const char *text = field_of(csv, at, field);
    return lw_decimal_parse(text, text + strlen(text), &number) ? number : (double)NAN;
}

static lw_code take_record(reading *r, const lw_csv *csv, const int at[FIELDS], lw_err *err)
{
    lw_coverage_row row;
    const char *who = first_of(csv, at, WHO_FIRST, WHO_LAST), *cell = first_of(csv, at, HEX_FIRST, HEX_LAST);
    if (!*who)
        return LW_OK;
    snprintf(row.who, sizeof row.who, "%.*s", LW_COVERAGE_NAME - 1, who);
    fill(&row, figure_of(csv, at, TECHNOLOGY), figure_of(csv, at, DOWN), figure_of(csv, at, UP),
         figure_of(csv, at, ENVIRONMENT));
    lw_code code = take_cell(r, cell, err);
    if (code)
        return lw_err_at(err, NULL, csv->line, NULL);
    row.shape = lw_rings_shape(&r->rings);
    return r->take(r->context, &row, err);
}

static lw_code take_header(const lw_csv *csv, int at[FIELDS], lw_err *err)
{
    int has_who = 0, has_cell = 0;
    for (int i = 0; i < FIELDS; i++) {
        at[i] = -1;
        for (size_t c = 0; c < csv->count && at[i] < 0; c++)
            at[i] = strcasecmp(csv->field[c], FIELD[i]) == 0 ? (int)c : -1;
        has_who |= i <= WHO_LAST && at[i] >= 0;
        has_cell |= i >= HEX_FIRST && at[i] >= 0;
    }
    return has_who && has_cell ? LW_OK
                               : lw_fail(err, LW_E_MISSING,
                                         "a list of coverage needs a header with whose it is (brandname, provider or "
                                         "name) and with cells of the "
                                         "H3 grid (h3_res9_id)");
}

static lw_code read_list(reading *r, lw_read_fn *read, void *source, lw_err *err)
{
    int at[FIELDS];
    lw_csv *csv = malloc(sizeof *csv);
    if (!csv)
        return lw_fail(err, LW_E_FULL, "no memory to read a list of coverage");
    lw_csv_init(csv, read, source, 0);
    lw_code code = lw_csv_next(csv, err);
    code = code ? code : take_header(csv, at, err);
    while (!code) {
        code = lw_csv_next(csv, err);
        if (code || csv->count == 0)
            break;
        code = take_record(r, csv, at, err);
    }
    free(csv);
    return code;
}

/* ---- either ---- */

/* A source whose first bytes were looked at. */
typedef struct looked {
    lw_read_fn *read;
    void *source;
    char first[64];
    size_t n, at;
} looked;

static long read_looked(void *context, char *buf, size_t n)
{
    looked *l = context;
    if (l->at == l->n)
        return l->read(l->source, buf, n);
    const size_t take = l->n - l->at < n ? l->n - l->at : n;
    memcpy(buf, l->first + l->at, take);
    l->at += take;
    return (long)take;
}

/* The marks of UTF-8 and of RFC 8142 may stand before the brace. */
static int is_json(const looked *l)
{
    for (size_t i = 0; i < l->n; i++)
        if ((unsigned char)l->first[i] > ' ' && (unsigned char)l->first[i] < 0x80)
            return l->first[i] == '{';
    return 1; /* nothing: the other reader says so */
}

lw_code lw_coverage_each(lw_read_fn *read, void *source, lw_coverage_fn *take, void *context, lw_err *err)
{
    looked l = {.read = read, .source = source};
    reading *r = calloc(1, sizeof *r);
    if (!r)
        return lw_fail(err, LW_E_FULL, "no memory to read coverage");
    r->take = take;
    r->context = context;
    lw_hex_grid_make(&r->grid);
    const long got = read(source, l.first, sizeof l.first);
    l.n = got > 0 ? (size_t)got : 0;
    lw_code code = got < 0       ? lw_fail(err, LW_E_IO, "cannot be read")
                   : is_json(&l) ? read_features(r, read_looked, &l, err)
                                 : read_list(r, read_looked, &l, err);
    lw_rings_clear(&r->rings);
    free(r);
    return code;
}

/* ---- at a point ---- */

static lw_coverage *coverage_of(lw_coverages *out, const char *who)
{
    for (int i = 0; i < out->count; i++)
        if (strcmp(out->of[i].who, who) == 0)
            return &out->of[i];
    if (out->count == LW_COVERAGES)
        return NULL;
    lw_coverage *made = &out->of[out->count++];
    *made = (lw_coverage){.down_mbit = NAN, .up_mbit = NAN};
    snprintf(made->who, sizeof made->who, "%s", who);
    return made;
}

lw_code lw_coverages_add(lw_coverages *out, const lw_coverage_row *row, int is_here, lw_err *err)
{
    lw_coverage *c = coverage_of(out, row->who);
    if (!c)
        return lw_fail(err, LW_E_FULL, "more than %d different names of operators; cut the file to your own",
                       LW_COVERAGES);
    if (!is_here)
        return LW_OK;
    c->is_in_vehicles |= row->is_in_vehicles;
    if (!c->is_claimed || row->down_mbit > c->down_mbit) {
        c->down_mbit = row->down_mbit;
        c->up_mbit = row->up_mbit;
        c->technology = row->technology;
    }
    c->is_claimed = 1;
    return LW_OK;
}

typedef struct asked {
    lw_spot at;
    lw_coverages *out;
    int is_any_near;
} asked;

/* By its box, and not over the seam at 180 degrees. */
static int is_near(const lw_shape *shape, lw_spot at)
{
    const lw_shape_box box = lw_shape_box_of(shape);
    const double up_e6 = LW_COVERAGE_REACH_M / 0.11119, north_e6 = at.latitude_deg * 1e6,
                 east_e6 = at.longitude_deg * 1e6;
    const double across_e6 = up_e6 / fmax(0.02, cos(at.latitude_deg * 0.017453292519943295));
    return box.west_e6 <= box.east_e6 && box.south_e6 <= north_e6 + up_e6 && box.north_e6 >= north_e6 - up_e6 &&
           box.west_e6 <= east_e6 + across_e6 && box.east_e6 >= east_e6 - across_e6;
}

static lw_code add_row(void *context, const lw_coverage_row *row, lw_err *err)
{
    asked *a = context;
    a->is_any_near = a->is_any_near || is_near(&row->shape, a->at);
    return lw_coverages_add(a->out, row, lw_shape_place(&row->shape, a->at) != LW_OUTSIDE, err);
}

lw_code lw_coverages_read(lw_read_fn *read, void *context, lw_spot at, lw_coverages *out, lw_err *err)
{
    lw_unpack *from;
    asked a = {.at = at, .out = out};
    lw_code code = lw_unpack_open(read, context, &from, err);
    if (code)
        return code;
    *out = (lw_coverages){.count = 0};
    code = lw_coverage_each(lw_unpack_read, from, add_row, &a, err);
    if (!code && !a.is_any_near)
        out->count = 0;
    if (code == LW_E_IO)
        code = lw_unpack_refuse(from, err);
    lw_unpack_close(from);
    return code;
}

lw_code lw_coverages_load(const char *path, lw_spot at, lw_coverages *out, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
        return lw_err_at(err, path, 0, NULL);
    }
    const lw_code code = lw_coverages_read(lw_read_file, file, at, out, err);
    (void)fclose(file);
    return code ? lw_err_at(err, path, 0, NULL) : LW_OK;
}
