#include "exchange/areas.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "exchange/features.h"
#include "exchange/map_tags.h"
#include "exchange/rings.h"
#include "exchange/tables.h"
#include "exchange/wkb.h"
#include "text/decimal.h"
#include "text/say.h"

enum { MANAGER, NAME, ACCESS, DESIGNATION, KEY, ROLES };
static const char *const ROLE[ROLES] = {"manager", "name", "access", "designation", "key"};

struct lw_areas {
    lw_table fields, managers;
    lw_area_fn *take;
    void *context;
    lw_areas_read *out;
    long rows;
    lw_rings rings;
    lw_area_row row;
    int best[ROLES]; /* row of `fields` that said it; INT_MAX: none yet */
};

static void begin_row(lw_areas *a)
{
    a->row = (lw_area_row){.key = ""};
    a->rows++;
    for (int r = 0; r < ROLES; r++)
        a->best[r] = INT_MAX;
}

lw_code lw_areas_open(lw_area_fn *take, void *context, lw_areas_read *out, lw_areas **areas, lw_err *err)
{
    lw_areas *a = calloc(1, sizeof *a);
    if (!a)
        return lw_fail(err, LW_E_FULL, "no memory to read land");
    lw_code code = lw_table_open("land_fields", &a->fields, err);
    code = code ? code : lw_table_open("land_managers", &a->managers, err);
    if (code) {
        lw_areas_close(a);
        return code;
    }
    a->take = take;
    a->context = context;
    a->out = out;
    *out = (lw_areas_read){0};
    begin_row(a);
    *areas = a;
    return LW_OK;
}

void lw_areas_close(lw_areas *a)
{
    if (!a)
        return;
    lw_table_clear(&a->fields);
    lw_table_clear(&a->managers);
    lw_rings_clear(&a->rings);
    free(a);
}

/* ---- fields ---- */

static int role_of(const lw_areas *a, int row)
{
    const char *word = lw_table_cell(&a->fields, row, "role");
    int role = 0;
    while (role < ROLES && strcmp(ROLE[role], word) != 0)
        role++;
    return role;
}

int lw_areas_knows_manager(const lw_areas *a, const char *field)
{
    for (int row = 0; row < a->fields.rows; row++)
        if (role_of(a, row) == MANAGER && strcasecmp(lw_table_cell(&a->fields, row, "field"), field) == 0)
            return 1;
    return 0;
}

void lw_areas_field(lw_areas *a, const char *field, const char *text)
{
    char *const to[ROLES] = {a->row.said, a->row.name, a->row.access, a->row.designation, a->row.key};
    a->out->is_openstreetmap |= strcmp(field, "@id") == 0;
    for (int row = 0; row < a->fields.rows && *text; row++) {
        if (strcasecmp(lw_table_cell(&a->fields, row, "field"), field) != 0)
            continue;
        const int role = role_of(a, row);
        if (role < ROLES && row < a->best[role]) {
            a->best[role] = row;
            lw_map_line(to[role], LW_AREA_TEXT, text);
        }
    }
}

static int is_among(const char *values, const char *word)
{
    const size_t n = strlen(word);
    for (const char *at = values; *at; at += strcspn(at, ";"), at += *at == ';')
        if (strcspn(at, ";") == n && strncasecmp(at, word, n) == 0)
            return 1;
    return 0;
}

static void find_manager(lw_areas *a)
{
    for (int row = 0; row < a->managers.rows && !a->row.manager[0]; row++)
        if (is_among(lw_table_cell(&a->managers, row, "values"), a->row.said) ||
            strcasecmp(lw_table_cell(&a->managers, row, "id"), a->row.said) == 0)
            snprintf(a->row.manager, sizeof a->row.manager, "%.15s", lw_table_cell(&a->managers, row, "id"));
}

static lw_code end_row(lw_areas *a, int is_area, lw_err *err)
{
    lw_code code = LW_OK;
    if (is_area) {
        if (a->row.said[0])
            find_manager(a);
        if (!a->row.key[0])
            snprintf(a->row.key, sizeof a->row.key, "row %ld", a->rows);
        a->row.shape = lw_rings_shape(&a->rings);
        a->out->taken++;
        a->out->unknown += !a->row.manager[0];
        code = a->take(a->context, &a->row, err);
    } else {
        a->out->passed_over++;
    }
    begin_row(a);
    return code;
}

lw_code lw_areas_wkb(lw_areas *a, const unsigned char *bytes, size_t n, lw_err *err)
{
    int is_area = 0;
    const lw_code code = lw_wkb_read(bytes, n, &a->rings, &is_area, err);
    return code ? code : end_row(a, is_area, err);
}

/* ---- GeoJSON ---- */

static void take_field(lw_areas *a, const char *key, const json_t *value)
{
    char buf[LW_DECIMAL_BYTES];
    if (json_is_string(value)) {
        lw_areas_field(a, key, json_string_value(value));
    } else if (json_is_number(value)) {
        lw_decimal_print(buf, sizeof buf, json_number_value(value), 6, 0);
        lw_areas_field(a, key, buf);
    }
}

static lw_code take_feature(void *context, json_t *feature, lw_err *err)
{
    lw_areas *a = context;
    const char *key;
    json_t *value;
    json_t *properties = json_object_get(feature, "properties");
    json_object_foreach(properties, key, value)
    {
        take_field(a, key, value);
    }
    take_field(a, "id", json_object_get(feature, "id"));
    const lw_code code = lw_rings_geojson(&a->rings, json_object_get(feature, "geometry"), err);
    return code ? code : end_row(a, a->rings.rings > 0, err);
}

lw_code lw_areas_geojson(lw_areas *a, lw_read_fn *read, void *source, lw_err *err)
{
    return lw_features_each(read, source, take_feature, a, err);
}
