#include "exchange/coverage.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <jansson.h>

#include "exchange/json_tree.h"
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

static int corner(const json_t *ring, size_t i, lw_spot *spot)
{
    const json_t *pair = json_array_get(ring, i);
    spot->longitude_deg = number_of(json_array_get(pair, 0));
    spot->latitude_deg = number_of(json_array_get(pair, 1));
    return !isnan(spot->longitude_deg) && !isnan(spot->latitude_deg);
}

/* How often a way east from the point crosses the ring, even or odd. */
static int crosses(const json_t *ring, lw_spot at)
{
    const size_t count = json_array_size(ring);
    int is_odd = 0;
    lw_spot a, b;
    for (size_t i = 1; i < count; i++) {
        if (!corner(ring, i - 1, &a) || !corner(ring, i, &b))
            continue;
        if ((a.latitude_deg > at.latitude_deg) == (b.latitude_deg > at.latitude_deg))
            continue;
        const double share = (at.latitude_deg - a.latitude_deg) / (b.latitude_deg - a.latitude_deg);
        is_odd ^= at.longitude_deg < a.longitude_deg + share * (b.longitude_deg - a.longitude_deg);
    }
    return is_odd;
}

static int polygon_holds(const json_t *rings, lw_spot at)
{
    int is_inside = 0;
    for (size_t i = 0; i < json_array_size(rings); i++)
        is_inside ^= crosses(json_array_get(rings, i), at);
    return is_inside;
}

static int geometry_holds(const json_t *geometry, lw_spot at)
{
    const char *type = json_string_value(json_object_get(geometry, "type"));
    const json_t *coordinates = json_object_get(geometry, "coordinates");
    if (type && strcmp(type, "Polygon") == 0)
        return polygon_holds(coordinates, at);
    if (!type || strcmp(type, "MultiPolygon") != 0)
        return 0;
    for (size_t i = 0; i < json_array_size(coordinates); i++)
        if (polygon_holds(json_array_get(coordinates, i), at))
            return 1;
    return 0;
}

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

static lw_code take_feature(const json_t *feature, lw_spot at, lw_coverages *out, lw_err *err)
{
    char who[LW_COVERAGE_NAME];
    json_t *properties = json_object_get(feature, "properties");
    if (!name_of(properties, who))
        return LW_OK; /* whose it is decides everything */
    lw_coverage *c = coverage_of(out, who);
    if (!c)
        return lw_fail(err, LW_E_FULL, "more than %d different names of operators; cut the file to your own",
                       LW_COVERAGES);
    if (!geometry_holds(json_object_get(feature, "geometry"), at))
        return LW_OK;
    const double down_mbit = number_of(property(properties, "mindown")),
                 technology = number_of(property(properties, "technology")),
                 environment = number_of(property(properties, "environmnt"));
    c->is_in_vehicles |= environment > 0.5;
    if (!c->is_claimed || down_mbit > c->down_mbit) {
        c->down_mbit = down_mbit;
        c->up_mbit = number_of(property(properties, "minup"));
        c->technology = technology >= 1.0 && technology < 10000.0 ? (int)technology : 0;
    }
    c->is_claimed = 1;
    return LW_OK;
}

static lw_code take_tree(const json_t *root, lw_spot at, lw_coverages *out, lw_err *err)
{
    const char *type = json_string_value(json_object_get(root, "type"));
    const json_t *features = json_object_get(root, "features");
    if (type && strcmp(type, "Feature") == 0)
        return take_feature(root, at, out, err);
    if (!type || strcmp(type, "FeatureCollection") != 0 || !json_is_array(features))
        return lw_fail(err, LW_E_SYNTAX,
                       "this is no GeoJSON of features; a FeatureCollection with polygons is expected");
    lw_code code = LW_OK;
    for (size_t i = 0; i < json_array_size(features) && !code; i++)
        code = take_feature(json_array_get(features, i), at, out, err);
    return code;
}

lw_code lw_coverages_read(lw_read_fn *read, void *context, lw_spot at, lw_coverages *out, lw_err *err)
{
    lw_unpack *from;
    json_t *root = NULL;
    lw_code code = lw_unpack_open(read, context, &from, err);
    if (code)
        return code;
    *out = (lw_coverages){.count = 0};
    code = lw_json_tree_read_up_to(LW_COVERAGE_BYTES, lw_unpack_read, from, &root, err);
    if (code == LW_E_IO)
        code = lw_unpack_refuse(from, err);
    if (!code)
        code = take_tree(root, at, out, err);
    json_decref(root);
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
