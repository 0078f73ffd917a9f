#include <math.h>
#include <stdio.h>
#include <string.h>

#include <jansson.h>

#include "exchange/features.h"
#include "exchange/spots_internal.h"
#include "text/decimal.h"
#include "text/say.h"

/* As text; NULL: no plain value. */
static const char *text_of(const json_t *value, char buf[LW_DECIMAL_BYTES])
{
    if (json_is_string(value))
        return json_string_value(value);
    if (json_is_boolean(value))
        return json_is_true(value) ? "yes" : "no";
    if (!json_is_number(value))
        return NULL;
    lw_decimal_print(buf, LW_DECIMAL_BYTES, json_number_value(value), 6, 0);
    return buf;
}

static lw_spot pair_of(const json_t *pair)
{
    const json_t *x = json_array_get(pair, 0), *y = json_array_get(pair, 1);
    return (lw_spot){json_is_number(y) ? json_number_value(y) : (double)NAN,
                     json_is_number(x) ? json_number_value(x) : (double)NAN};
}

static void add_ring(const json_t *ring, lw_spot_box *box)
{
    for (size_t i = 0; i < json_array_size(ring); i++)
        lw_spot_box_add(box, pair_of(json_array_get(ring, i)));
}

static int is_of(const json_t *geometry, const char *type)
{
    const char *is = json_string_value(json_object_get(geometry, "type"));
    return is && strcmp(is, type) == 0;
}

/* 0: no area. */
static int add_area(const json_t *geometry, lw_spot_box *box)
{
    const json_t *at = json_object_get(geometry, "coordinates");
    if (is_of(geometry, "Polygon")) {
        add_ring(json_array_get(at, 0), box);
        return 1;
    }
    if (!is_of(geometry, "MultiPolygon"))
        return 0;
    for (size_t i = 0; i < json_array_size(at); i++)
        add_ring(json_array_get(json_array_get(at, i), 0), box);
    return 1;
}

/* 0: not of a kind that has one point. Of a collection its first point, else the middle of its areas. */
static int spot_of(const json_t *geometry, lw_spot *spot)
{
    const json_t *members = json_object_get(geometry, "geometries");
    const int is_many = is_of(geometry, "GeometryCollection");
    lw_spot_box box = {.is_any = 0};
    int has_area = 0;
    for (size_t i = 0; i < (is_many ? json_array_size(members) : 1); i++) {
        const json_t *one = is_many ? json_array_get(members, i) : geometry;
        if (is_of(one, "Point")) {
            *spot = pair_of(json_object_get(one, "coordinates"));
            return 1;
        }
        has_area |= add_area(one, &box);
    }
    if (has_area)
        *spot = box.is_any ? lw_spot_box_middle(&box) : (lw_spot){(double)NAN, (double)NAN};
    return has_area;
}

static lw_code take_feature(void *context, json_t *feature, lw_err *err)
{
    const lw_spots_run *run = *(const lw_spots_run **)context; /* which has err too */
    (void)err;
    lw_spot_draft draft = {.has_water = 0};
    char buf[LW_DECIMAL_BYTES];
    const char *key, *text = text_of(json_object_get(feature, "id"), buf);
    json_t *value, *properties = json_object_get(feature, "properties");
    if (!spot_of(json_object_get(feature, "geometry"), &draft.row.spot)) {
        run->out->passed_over++;
        return LW_OK;
    }
    snprintf(draft.row.key, sizeof draft.row.key, "%.120s", text ? text : "");
    json_object_foreach(properties, key, value)
    {
        text = text_of(value, buf);
        if (text)
            lw_spot_tag(&draft, key, text);
    }
    return lw_spot_done(run, &draft);
}

lw_code lw_spots_geojson(const lw_spots_run *run)
{
    return lw_features_each(run->read, run->source, take_feature, &run, run->err);
}
