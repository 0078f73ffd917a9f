#include "exchange/gridpoint.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/units.h"
#include "exchange/json_tree.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

static const double RAD = 3.14159265358979323846 / 180.0;

enum { HOUR_S = 3600, LONGEST_S = 15 * 86400 };

typedef enum kind { WARMTH, SHARE, SPEED, BEARING, DEPTH } kind;

static const struct {
    const char *name, *layer;
    kind kind;
    double least, most;
} LAYERS[] = {
#define ROW(id, name, layer, kind, least, most) {#name, layer, kind, least, most},
    LW_FORECAST_LAYERS(ROW)
#undef ROW
};

/* Codes of the form, and the unit of core/base/units.h that they are. */
static const struct {
    kind kind;
    const char *code;
    lw_dim dim;
    const char *unit;
} UNITS[] = {
    {WARMTH, "degC", LW_DIM_TEMPERATURE, "C"}, {WARMTH, "K", LW_DIM_TEMPERATURE, "K"},
    {WARMTH, "degF", LW_DIM_TEMPERATURE, "F"}, {SHARE, "percent", LW_DIM_FRACTION, "%"},
    {SPEED, "km_h-1", LW_DIM_SPEED, "km/h"},   {SPEED, "m_s-1", LW_DIM_SPEED, "m/s"},
    {SPEED, "kt", LW_DIM_SPEED, "kn"},         {BEARING, "degree_(angle)", LW_DIM_ANGLE, "deg"},
    {DEPTH, "mm", LW_DIM_LENGTH, "mm"},        {DEPTH, "cm", LW_DIM_LENGTH, "cm"},
    {DEPTH, "m", LW_DIM_LENGTH, "m"},          {DEPTH, "in", LW_DIM_LENGTH, "in"},
};

const char *lw_forecast_name(lw_forecast_layer layer)
{
    return LAYERS[(unsigned)layer < LW_FORECAST_LAYER_COUNT ? layer : 0].name;
}

static double *hours_of(lw_forecast *f, int layer)
{
    double *const all[] = {
#define FIELD(id, name, key, kind, least, most) f->name,
        LW_FORECAST_LAYERS(FIELD)
#undef FIELD
    };
    return all[layer];
}

const double *lw_forecast_hours(const lw_forecast *forecast, lw_forecast_layer layer)
{
    const double *const all[] = {
#define FIELD(id, name, key, kind, least, most) forecast->name,
        LW_FORECAST_LAYERS(FIELD)
#undef FIELD
    };
    return all[(unsigned)layer < LW_FORECAST_LAYER_COUNT ? layer : 0];
}

/* ---- texts of the form ---- */

static lw_code refuse_at(lw_err *err, const char *layer, int at, const char *key)
{
    char field[64];
    if (at >= 0)
        snprintf(field, sizeof field, "%.32s[%d]%s%s", layer, at, key ? "." : "", key ? key : "");
    else
        snprintf(field, sizeof field, "%.32s%s%s", layer, key ? "." : "", key ? key : "");
    return lw_err_at(err, NULL, 0, field);
}

/* P[nD][T[nH][nM]]: seconds; 0 when it is no duration of the form. */
static int64_t duration_s(const char *text)
{
    static const struct {
        char letter;
        int is_time;
        int64_t seconds;
    } PARTS[] = {{'D', 0, 86400}, {'H', 1, 3600}, {'M', 1, 60}};
    int64_t sum_s = 0;
    int is_time = 0, part = 0;
    if (*text++ != 'P')
        return 0;
    while (*text) {
        if (*text == 'T' && !is_time) {
            is_time = 1;
            if (!*++text)
                return 0;
        }
        const size_t n = strspn(text, "0123456789");
        if (n == 0 || n > 3)
            return 0;
        while (part < 3 && (PARTS[part].letter != text[n] || PARTS[part].is_time != is_time))
            part++;
        if (part == 3)
            return 0;
        sum_s += atoi(text) * PARTS[part++].seconds;
        text += n + 1;
    }
    return sum_s;
}

typedef struct interval {
    int64_t from_s, to_s;
} interval;

static lw_code read_interval(const json_t *value, interval *out, lw_err *err)
{
    const char *text = json_string_value(value), *slash = text ? strchr(text, '/') : NULL;
    char start[48];
    if (!text || !slash || (size_t)(slash - text) >= sizeof start)
        return lw_fail(err, LW_E_SYNTAX, "%s is no interval such as 2026-10-12T06:00:00+00:00/PT3H",
                       text ? lw_quoted(text, strlen(text)).text : "what stands here");
    memcpy(start, text, (size_t)(slash - text));
    start[slash - text] = '\0';
    double from_s;
    const lw_code bad = lw_instant_parse(start, &from_s, err);
    if (bad)
        return bad;
    out->from_s = (int64_t)floor(from_s);
    const int64_t length_s = duration_s(slash + 1);
    if (length_s <= 0 || length_s > LONGEST_S)
        return lw_fail(err, LW_E_SYNTAX, "%s is no duration from a minute to 15 days, such as PT3H or P1DT6H",
                       lw_quoted(slash + 1, strlen(slash + 1)).text);
    out->to_s = out->from_s + length_s;
    return LW_OK;
}

/* Behind "wmoUnit:" or "unit:". */
static lw_code find_unit(const json_t *uom, kind k, const lw_unit **unit, lw_err *err)
{
    const char *text = json_string_value(uom);
    if (!text)
        return lw_fail(err, LW_E_UNIT, "the layer has values and no unit (uom)");
    const char *colon = strchr(text, ':'), *code = colon ? colon + 1 : text;
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++)
        if (UNITS[i].kind == k && strcmp(UNITS[i].code, code) == 0) {
            *unit = lw_unit_find(UNITS[i].dim, UNITS[i].unit, strlen(UNITS[i].unit));
            return *unit ? LW_OK : lw_fail(err, LW_E_UNIT, "the unit %s has no row of its own", UNITS[i].unit);
        }
    return lw_fail(err, LW_E_UNIT, "the unit %s is not one that this layer is read in",
                   lw_quoted(text, strlen(text)).text);
}

/* ---- a layer into hours ---- */

typedef struct filling {
    double *hour;
    double covered_s[LW_FORECAST_HOURS], north[LW_FORECAST_HOURS];
    int64_t start_s;
    kind kind;
    int end_h;
} filling;

static void fill_interval(filling *f, const interval *at, double value)
{
    const int64_t from_s = at->from_s > f->start_s ? at->from_s - f->start_s : 0;
    const int64_t horizon_s = (int64_t)LW_FORECAST_HOURS * HOUR_S;
    const int64_t to_s = at->to_s - f->start_s < horizon_s ? at->to_s - f->start_s : horizon_s;
    for (int64_t s = from_s; s < to_s;) {
        const int h = (int)(s / HOUR_S);
        const int64_t stop_s = (int64_t)(h + 1) * HOUR_S < to_s ? (int64_t)(h + 1) * HOUR_S : to_s;
        const double part_s = (double)(stop_s - s);
        f->covered_s[h] += part_s;
        if (f->kind == DEPTH)
            f->hour[h] += value * part_s / (double)(at->to_s - at->from_s);
        else if (f->kind == BEARING) {
            f->hour[h] += part_s * sin(value * RAD);
            f->north[h] += part_s * cos(value * RAD);
        } else
            f->hour[h] += part_s * value;
        s = stop_s;
    }
}

/* Sums become means; what is covered by less than half stays unknown. */
static void finish_hours(filling *f)
{
    for (int h = 0; h < LW_FORECAST_HOURS; h++) {
        if (f->covered_s[h] < 0.5 * HOUR_S) {
            f->hour[h] = NAN;
            continue;
        }
        f->end_h = h + 1;
        if (f->kind == BEARING)
            f->hour[h] = fmod(atan2(f->hour[h], f->north[h]) / RAD + 360.0, 360.0);
        else if (f->kind != DEPTH)
            f->hour[h] /= f->covered_s[h];
    }
}

static lw_code read_value(const json_t *value, int layer, const lw_unit *unit, double *out, lw_err *err)
{
    *out = NAN;
    if (!value || json_is_null(value))
        return LW_OK;
    if (!json_is_number(value))
        return lw_fail(err, LW_E_SYNTAX, "what stands here is neither a number nor null");
    const double said = json_number_value(value), ours = lw_unit_to_si(unit, said);
    *out = LAYERS[layer].kind == DEPTH ? 1000.0 * ours : ours; /* millimetres of the storage unit's metres */
    if (*out >= LAYERS[layer].least && *out <= LAYERS[layer].most)
        return LW_OK;
    return lw_fail(err, LW_E_RANGE, "%s is no value that weather has", lw_num(said).text);
}

static lw_code check_layer(const json_t *layer, const json_t **values, lw_err *err)
{
    *values = json_object_get(layer, "values");
    if (!layer || json_is_null(layer))
        return LW_OK;
    if (!json_is_object(layer) || (*values && !json_is_array(*values)))
        return lw_fail(err, LW_E_SYNTAX, "this layer is no object with a list of values");
    return LW_OK;
}

static lw_code read_item(const json_t *item, int layer, const lw_unit *unit, interval *at, double *value, lw_err *err)
{
    const int64_t before_s = at->to_s;
    lw_code bad = read_interval(json_object_get(item, "validTime"), at, err);
    if (!bad && at->from_s < before_s)
        bad = lw_fail(err, LW_E_SYNTAX, "the interval begins before the last one ends");
    return bad ? bad : read_value(json_object_get(item, "value"), layer, unit, value, err);
}

static lw_code read_layer(const json_t *properties, int layer, lw_forecast *out, lw_err *err)
{
    const char *name = LAYERS[layer].layer;
    const json_t *object = json_object_get(properties, name), *values;
    const lw_unit *unit = NULL;
    filling *f = calloc(1, sizeof *f);
    if (!f)
        return lw_fail(err, LW_E_FULL, "no memory for a forecast");
    f->hour = hours_of(out, layer);
    f->kind = LAYERS[layer].kind;
    f->start_s = out->start_s;
    memset(f->hour, 0, LW_FORECAST_HOURS * sizeof *f->hour);
    lw_code bad = check_layer(object, &values, err);
    if (!bad && json_array_size(values) > 0)
        bad = find_unit(json_object_get(object, "uom"), f->kind, &unit, err);
    if (bad)
        refuse_at(err, name, -1, NULL);
    interval at = {.to_s = INT64_MIN};
    for (size_t i = 0; i < json_array_size(values) && !bad; i++) {
        double value;
        bad = read_item(json_array_get(values, i), layer, unit, &at, &value, err);
        if (bad)
            refuse_at(err, name, (int)i, NULL);
        else if (!isnan(value))
            fill_interval(f, &at, value);
    }
    finish_hours(f);
    out->end_h[layer] = f->end_h;
    free(f);
    return bad;
}

/* ---- the frame ---- */

static void read_cell(const json_t *root, lw_forecast *out)
{
    const json_t *ring = json_array_get(json_object_get(json_object_get(root, "geometry"), "coordinates"), 0);
    size_t corners = json_array_size(ring);
    double longitude = 0.0, latitude = 0.0;
    corners = corners > 1 ? corners - 1 : corners; /* the last is the first again */
    for (size_t i = 0; i < corners; i++) {
        const json_t *corner = json_array_get(ring, i);
        longitude += json_number_value(json_array_get(corner, 0)) / (double)corners;
        latitude += json_number_value(json_array_get(corner, 1)) / (double)corners;
    }
    const int is_spot = corners >= 3 && fabs(latitude) <= 90.0 && fabs(longitude) <= 180.0;
    out->latitude_deg = is_spot ? latitude : NAN;
    out->longitude_deg = is_spot ? longitude : NAN;
}

static lw_code read_elevation(const json_t *properties, lw_forecast *out, lw_err *err)
{
    const json_t *elevation = json_object_get(properties, "elevation");
    const json_t *value = json_object_get(elevation, "value"), *code = json_object_get(elevation, "unitCode");
    const lw_unit *unit = NULL;
    out->elevation_m = NAN;
    if (!json_is_number(value))
        return LW_OK;
    if (find_unit(code, DEPTH, &unit, err))
        return refuse_at(err, "elevation", -1, NULL);
    out->elevation_m = lw_unit_to_si(unit, json_number_value(value));
    if (out->elevation_m >= -500.0 && out->elevation_m <= 9000.0)
        return LW_OK;
    lw_fail(err, LW_E_RANGE, "%s m is no elevation of this earth", lw_num(out->elevation_m).text);
    return refuse_at(err, "elevation", -1, NULL);
}

static int64_t whole_hour(int64_t utc_s)
{
    const int64_t rest = utc_s % HOUR_S;
    return utc_s - (rest < 0 ? rest + HOUR_S : rest);
}

/* The hour that holds now, but none before the air's layer begins. */
static lw_code find_start(const json_t *properties, int64_t now_s, lw_forecast *out, lw_err *err)
{
    const json_t *values = json_object_get(json_object_get(properties, LAYERS[LW_FORECAST_AIR].layer), "values");
    interval first = {0, 0};
    if (json_array_size(values) == 0) {
        lw_fail(err, LW_E_MISSING, "this is no gridpoint forecast, or one without temperatures: the layer is empty");
        return refuse_at(err, LAYERS[LW_FORECAST_AIR].layer, -1, NULL);
    }
    if (read_interval(json_object_get(json_array_get(values, 0), "validTime"), &first, err))
        return refuse_at(err, LAYERS[LW_FORECAST_AIR].layer, 0, "validTime");
    out->start_s = whole_hour(now_s > first.from_s ? now_s : first.from_s);
    return LW_OK;
}

static lw_code read_frame(const json_t *root, int64_t now_s, lw_forecast *out, lw_err *err)
{
    const json_t *properties = json_object_get(root, "properties");
    const char *issued = json_string_value(json_object_get(properties, "updateTime"));
    if (!json_is_object(properties) || !json_object_get(properties, LAYERS[LW_FORECAST_AIR].layer))
        return lw_fail(err, LW_E_SYNTAX,
                       "this is no gridpoint forecast: that is a GeoJSON Feature whose properties hold the layer "
                       "temperature");
    if (!issued) {
        lw_fail(err, LW_E_MISSING, "it is missing: nobody knows how old this forecast is");
        return refuse_at(err, "updateTime", -1, NULL);
    }
    double issued_s;
    if (lw_instant_parse(issued, &issued_s, err))
        return refuse_at(err, "updateTime", -1, NULL);
    out->issued_s = (int64_t)floor(issued_s);
    read_cell(root, out);
    lw_code bad = read_elevation(properties, out, err);
    bad = bad ? bad : find_start(properties, now_s, out, err);
    for (int layer = 0; layer < LW_FORECAST_LAYER_COUNT && !bad; layer++)
        bad = read_layer(properties, layer, out, err);
    out->hours = out->end_h[LW_FORECAST_AIR];
    return bad;
}

lw_code lw_gridpoint_read(lw_read_fn *read, void *context, const char *name, int64_t now_s, lw_forecast *out,
                          lw_err *err)
{
    json_t *root = NULL;
    lw_forecast *found = calloc(1, sizeof *found);
    if (!found)
        return lw_fail(err, LW_E_FULL, "no memory for a forecast");
    lw_code code = lw_json_tree_read(read, context, &root, err);
    code = code ? code : read_frame(root, now_s, found, err);
    if (!code)
        *out = *found;
    json_decref(root);
    free(found);
    return code ? lw_err_at(err, name, 0, NULL) : LW_OK;
}

lw_code lw_gridpoint_read_path(const char *path, int64_t now_s, lw_forecast *out, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, LW_E_IO, "the system does not let this file be read; is its name right?");
        return lw_err_at(err, path, 0, NULL);
    }
    const lw_code code = lw_gridpoint_read(lw_read_file, file, path, now_s, out, err);
    fclose(file);
    return code;
}

lw_code lw_gridpoint_find_url(const char *text, size_t n, char *url, size_t size, lw_err *err)
{
    lw_bytes bytes = {text, n};
    json_t *root = NULL;
    lw_code code = lw_json_tree_read(lw_read_bytes, &bytes, &root, err);
    if (code)
        return code;
    const char *found = json_string_value(json_object_get(json_object_get(root, "properties"), "forecastGridData"));
    if (!found || strlen(found) >= size)
        code = lw_fail(err, LW_E_MISSING, "it does not say where the forecast of this spot is (forecastGridData)");
    else
        memcpy(url, found, strlen(found) + 1);
    json_decref(root);
    return code;
}
