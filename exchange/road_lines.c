#include "exchange/road_lines.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "exchange/features.h"
#include "exchange/map_tags.h"
#include "exchange/tables.h"
#include "exchange/wkb.h"
#include "text/decimal.h"
#include "text/say.h"

#define ROLES(X)                                                                                                       \
    X(KEY, "key")                                                                                                      \
    X(NAME, "name")                                                                                                    \
    X(SURFACE, "surface")                                                                                              \
    X(SEASON, "season")                                                                                                \
    X(ACCESS, "access")                                                                                                \
    X(DETAIL, "detail")                                                                                                \
    X(GRADE, "grade")                                                                                                  \
    X(WET, "wet")                                                                                                      \
    X(CLASS, "class")                                                                                                  \
    X(PAVED, "paved")                                                                                                  \
    X(NEEDS, "needs")                                                                                                  \
    X(DRY, "dry")
typedef enum role {
#define ID(id, word) id,
    ROLES(ID) ROLE_COUNT
#undef ID
} role;

/* A row of the table: kept, because it is asked for every tag of every way. */
typedef struct rule {
    role role;
    int means; /* of a class, paved, needs, dry */
    const char *field, *value;
} rule;

struct lw_road_lines {
    lw_table table;
    rule *rule;
    lw_road_fn *take;
    void *context;
    lw_road_lines_read *out;
    long rows;
    int needs_class, has_class, has_told;
    lw_rings rings;
    lw_road_row row;
    int best[ROLE_COUNT]; /* rule that said it; INT_MAX: none yet */
};

/* ---- the table ---- */

static int at_of(const char *word, const char *const *words, int count)
{
    int at = 0;
    while (at < count && strcmp(words[at], word) != 0)
        at++;
    return at;
}

static lw_code take_rule(lw_road_lines *r, int row, lw_err *err)
{
#define WORD(id, word) word,
    static const char *const ROLE[] = {ROLES(WORD)}, *const CLASSES[] = {LW_ROAD_CLASSES(WORD)};
#undef WORD
    static const char *const YES_NO[] = {"unknown", "yes", "no"};
    static const char *const NEED[] = {"unknown", "nothing", "high clearance", "four-wheel drive", "no car"};
    const char *means = lw_table_cell(&r->table, row, "means"), *word = lw_table_cell(&r->table, row, "role");
    const int which = at_of(word, ROLE, ROLE_COUNT);
    int of = 1, at = 0;
    if (which == ROLE_COUNT)
        return lw_fail(err, LW_E_SYNTAX, "road_fields.csv: %s is no role", word);
    if (which == CLASS)
        at = at_of(means, CLASSES, of = LW_ROAD_CLASS_COUNT);
    else if (which == NEEDS)
        at = at_of(means, NEED, of = LW_NEEDS_COUNT);
    else if (which == PAVED || which == DRY)
        at = at_of(means, YES_NO, of = LW_PAVED_COUNT);
    if (at >= of)
        return lw_fail(err, LW_E_SYNTAX, "road_fields.csv: %s is no meaning of a %s", means, word);
    r->rule[row] =
        (rule){(role)which, at, lw_table_cell(&r->table, row, "field"), lw_table_cell(&r->table, row, "value")};
    return LW_OK;
}

void lw_road_lines_begin_row(lw_road_lines *r)
{
    r->row = (lw_road_row){.class = LW_ROAD_MINOR, .grade_frac = (double)NAN};
    r->has_class = r->has_told = 0;
    r->rows++;
    for (int i = 0; i < ROLE_COUNT; i++)
        r->best[i] = INT_MAX;
    lw_rings_begin(&r->rings);
}

lw_code lw_road_lines_open(lw_road_fn *take, void *context, lw_road_lines_read *out, lw_road_lines **roads, lw_err *err)
{
    lw_road_lines *r = calloc(1, sizeof *r);
    if (!r)
        return lw_fail(err, LW_E_FULL, "no memory to read roads");
    lw_code code = lw_table_open("road_fields", &r->table, err);
    r->rule = code ? NULL : malloc((size_t)r->table.rows * sizeof *r->rule);
    if (!code && !r->rule) {
        lw_road_lines_close(r);
        return lw_fail(err, LW_E_FULL, "no memory to read roads");
    }
    for (int row = 0; !code && row < r->table.rows; row++)
        code = take_rule(r, row, err);
    if (code) {
        lw_road_lines_close(r);
        return code;
    }
    r->take = take;
    r->context = context;
    r->out = out;
    *out = (lw_road_lines_read){0};
    lw_road_lines_begin_row(r);
    *roads = r;
    return LW_OK;
}

void lw_road_lines_close(lw_road_lines *r)
{
    if (!r)
        return;
    lw_table_clear(&r->table);
    lw_rings_clear(&r->rings);
    free(r->rule);
    free(r);
}

void lw_road_lines_needs_class(lw_road_lines *r)
{
    r->needs_class = 1;
}

void lw_road_lines_leave_out(lw_road_lines *r, long left_out)
{
    r->out->left_out = left_out;
}

/* Those that other maps have as well, a name or a key, tell nothing. */
int lw_road_lines_knows(const lw_road_lines *r, const char *field)
{
    for (int i = 0; i < r->table.rows; i++)
        if ((r->rule[i].role == CLASS || r->rule[i].role == SURFACE || r->rule[i].role == NEEDS) &&
            strcasecmp(r->rule[i].field, field) == 0)
            return 1;
    return 0;
}

/* ---- fields ---- */

static void add_detail(lw_road_row *row, const char *field, const char *text)
{
    char line[96];
    lw_map_line(line, sizeof line, text);
    lw_map_tag_add(row->detail, sizeof row->detail, field, line);
}

/* "12%", "-8 %", "5°": the steeper the worse, up or down. A bare number is percent; "up" tells no number. */
static double grade_of(const char *text)
{
    char *after;
    if (!((*text >= '0' && *text <= '9') || *text == '-' || *text == '+'))
        return (double)NAN;
    const double number = strtod(text, &after);
    while (*after == ' ')
        after++;
    const int is_degrees = strncmp(after, "\xc2\xb0", 2) == 0;
    const double frac = fabs(is_degrees ? tan(number * 0.017453292519943295) : number / 100.0);
    return (*after == '\0' || *after == '%' || is_degrees) && frac <= 1.0 ? frac : (double)NAN;
}

static int tells_of_wet(const char *text)
{
    const char *at = strstr(text, "no @");
    return at && strstr(at, "wet") != NULL;
}

static int is_whole_year(const char *text)
{
    return strcasecmp(text, "no") == 0 || strcasecmp(text, "yearlong") == 0;
}

static char *text_of(lw_road_row *row, role which)
{
    return which == KEY       ? row->key
           : which == NAME    ? row->name
           : which == SURFACE ? row->surface
           : which == SEASON  ? row->season
                              : row->access;
}

static void take_meaning(lw_road_lines *r, const rule *is)
{
    lw_road_row *row = &r->row;
    if (is->role == CLASS) {
        row->class = (lw_road_class)is->means;
        r->has_class = 1;
    } else if (is->role == NEEDS) {
        row->needs = is->means > (int)row->needs ? (lw_road_needs)is->means : row->needs;
    } else if (is->role == PAVED) {
        row->paved = (lw_paved)is->means;
    } else {
        row->dry_only = (lw_fit)is->means;
    }
}

static void take_text(lw_road_lines *r, const rule *is, const char *field, const char *text)
{
    if (is->role == DETAIL)
        add_detail(&r->row, field, text);
    else if (is->role == GRADE)
        r->row.grade_frac = grade_of(text);
    else if (is->role == WET)
        r->row.dry_only = tells_of_wet(text) ? LW_FIT_YES : r->row.dry_only;
    else
        lw_map_line(text_of(&r->row, is->role), LW_ROAD_TEXT, is->role == SEASON && is_whole_year(text) ? "" : text);
}

void lw_road_lines_field(lw_road_lines *r, const char *field, const char *text)
{
    r->out->is_openstreetmap |= strcmp(field, "@id") == 0 || strcmp(field, "osm_id") == 0;
    for (int i = 0; i < r->table.rows && *text; i++) {
        const rule *is = &r->rule[i];
        const int adds = is->role == DETAIL || is->role == NEEDS || is->role == WET;
        if ((!adds && i > r->best[is->role]) || strcasecmp(is->field, field) != 0 ||
            (is->value[0] && strcasecmp(is->value, text) != 0))
            continue;
        r->best[is->role] = i;
        if (is->value[0])
            take_meaning(r, is);
        else
            take_text(r, is, field, text);
        r->has_told |= is->role == NEEDS || (is->role == PAVED && is->means == LW_PAVED_NO);
    }
}

const lw_road_row *lw_road_lines_draft(const lw_road_lines *r)
{
    return &r->row;
}

int lw_road_lines_is_taken(const lw_road_lines *r)
{
    return (r->has_class || !r->needs_class) && (r->row.class != LW_ROAD_STREET || r->has_told);
}

lw_rings *lw_road_lines_rings(lw_road_lines *r)
{
    return &r->rings;
}

lw_code lw_road_lines_end_row(lw_road_lines *r, int is_taken, lw_err *err)
{
    lw_code code = LW_OK;
    if (is_taken && r->rings.rings > 0) {
        if (!r->row.key[0])
            snprintf(r->row.key, sizeof r->row.key, "row %ld", r->rows);
        r->row.shape = lw_rings_shape(&r->rings);
        r->out->taken++;
        code = r->take(r->context, &r->row, err);
    } else {
        r->out->passed_over++;
    }
    lw_road_lines_begin_row(r);
    return code;
}

lw_code lw_road_lines_wkb(lw_road_lines *r, const unsigned char *bytes, size_t n, lw_err *err)
{
    int is_line = 0;
    const lw_code code = lw_wkb_lines(bytes, n, &r->rings, &is_line, err);
    return code ? code : lw_road_lines_end_row(r, lw_road_lines_is_taken(r), err);
}

/* ---- GeoJSON ---- */

static void take_value(lw_road_lines *r, const char *key, const json_t *value)
{
    char buf[LW_DECIMAL_BYTES];
    if (json_is_string(value)) {
        lw_road_lines_field(r, key, json_string_value(value));
    } else if (json_is_boolean(value)) {
        lw_road_lines_field(r, key, json_is_true(value) ? "yes" : "no");
    } else if (json_is_number(value)) {
        lw_decimal_print(buf, sizeof buf, json_number_value(value), 6, 0);
        lw_road_lines_field(r, key, buf);
    }
}

static lw_code take_feature(void *context, json_t *feature, lw_err *err)
{
    lw_road_lines *r = context;
    const char *key;
    json_t *value, *properties = json_object_get(feature, "properties");
    json_object_foreach(properties, key, value)
    {
        take_value(r, key, value);
    }
    take_value(r, "id", json_object_get(feature, "id"));
    const lw_code code = lw_rings_geojson_lines(&r->rings, json_object_get(feature, "geometry"), err);
    return code ? code : lw_road_lines_end_row(r, lw_road_lines_is_taken(r), err);
}

lw_code lw_road_lines_geojson(lw_road_lines *r, lw_read_fn *read, void *source, lw_err *err)
{
    return lw_features_each(read, source, take_feature, r, err);
}
