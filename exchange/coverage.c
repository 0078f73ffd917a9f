#include "exchange/coverage.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <jansson.h>

#include "exchange/features.h"
#include "exchange/rings.h"
#include "exchange/unpack.h"
#include "text/decimal.h"
#include "text/say.h"

static const char *const WHO[] = {"brandname", "provider", "providerid", "network", "name"};

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
    for (size_t i = 0; i < sizeof WHO / sizeof WHO[0]; i++) {
        const json_t *value = property(properties, WHO[i]);
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

static lw_code take_feature(const json_t *feature, lw_rings *rings, lw_coverage_fn *take, void *context, lw_err *err)
{
    lw_coverage_row row;
    json_t *properties = json_object_get(feature, "properties");
    if (!name_of(properties, row.who))
        return LW_OK; /* whose it is decides everything */
    const double technology = number_of(property(properties, "technology"));
    row.technology = technology >= 1.0 && technology < 10000.0 ? (int)technology : 0;
    row.down_mbit = number_of(property(properties, "mindown"));
    row.up_mbit = number_of(property(properties, "minup"));
    row.is_in_vehicles = number_of(property(properties, "environmnt")) > 0.5;
    const lw_code code = lw_rings_geojson(rings, json_object_get(feature, "geometry"), err);
    row.shape = lw_rings_shape(rings);
    return code ? code : take(context, &row, err);
}

lw_code lw_coverage_each(lw_read_fn *read, void *source, lw_coverage_fn *take, void *context, lw_err *err)
{
    lw_features *features;
    lw_rings rings = {.corner = NULL};
    json_t *feature = NULL;
    lw_code code = lw_features_open(read, source, &features, err);
    if (code)
        return code;
    while (!(code = lw_features_next(features, &feature, err)) && feature) {
        code = take_feature(feature, &rings, take, context, err);
        json_decref(feature);
        if (code)
            break;
    }
    lw_rings_clear(&rings);
    lw_features_close(features);
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
} asked;

static lw_code add_row(void *context, const lw_coverage_row *row, lw_err *err)
{
    const asked *a = context;
    return lw_coverages_add(a->out, row, lw_shape_place(&row->shape, a->at) != LW_OUTSIDE, err);
}

lw_code lw_coverages_read(lw_read_fn *read, void *context, lw_spot at, lw_coverages *out, lw_err *err)
{
    lw_unpack *from;
    asked a = {at, out};
    lw_code code = lw_unpack_open(read, context, &from, err);
    if (code)
        return code;
    *out = (lw_coverages){.count = 0};
    code = lw_coverage_each(lw_unpack_read, from, add_row, &a, err);
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
