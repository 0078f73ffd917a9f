#include "exchange/features.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/limits.h"
#include "text/say.h"

enum { PIECE = 65536 };

struct lw_features {
    lw_read_fn *read;
    void *context;
    char *kept; /* of the object that is gathered */
    size_t n, room;
    int depth, base; /* open brackets; those that lie outside of features: 0, or 2 within a collection */
    int is_in_string, is_escaped, is_gathering, has_any, is_end;
    size_t text_at;   /* of the string that is open or was last, in kept */
    int was_features; /* the last string at depth 1 was this */
    long line, began;
    size_t at, have;
    char piece[PIECE];
};

lw_code lw_features_open(lw_read_fn *read, void *context, lw_features **features, lw_err *err)
{
    lw_features *f = calloc(1, sizeof *f);
    if (!f)
        return lw_fail(err, LW_E_FULL, "no memory to read GeoJSON");
    f->read = read;
    f->context = context;
    f->line = 1;
    *features = f;
    return LW_OK;
}

static lw_code keep(lw_features *f, char c, lw_err *err)
{
    if (f->n == f->room) {
        const size_t room = f->room ? 2 * f->room : PIECE;
        char *kept = room <= 2 * (size_t)LW_FEATURE_BYTES ? realloc(f->kept, room) : NULL;
        if (!kept) {
            lw_fail(err, LW_E_FULL, "one feature is longer than %d bytes", LW_FEATURE_BYTES);
            return lw_err_at(err, NULL, f->began, NULL);
        }
        f->kept = kept;
        f->room = room;
    }
    f->kept[f->n++] = c;
    return LW_OK;
}

static int is_text_features(const lw_features *f)
{
    static const char WORD[] = "\"features\"";
    return f->n - f->text_at == sizeof WORD - 1 && memcmp(f->kept + f->text_at, WORD, sizeof WORD - 1) == 0;
}

static void take_string_byte(lw_features *f, char c)
{
    f->is_in_string = c != '"' || f->is_escaped;
    f->is_escaped = c == '\\' && !f->is_escaped;
    if (!f->is_in_string && f->depth == 1)
        f->was_features = is_text_features(f);
}

/* 1: an object is whole. */
static int take_bracket(lw_features *f, char c)
{
    const int is_open = c == '{' || c == '[';
    f->depth += is_open ? 1 : -1;
    if (c == '[' && f->depth == 2 && f->base == 0 && f->was_features) {
        f->base = 2; /* what was gathered is the collection itself */
        f->is_gathering = 0;
        f->n = 0;
    } else if (c == ']' && f->depth == 1 && f->base == 2) {
        f->base = 3; /* the rest of the collection is of no use */
    } else if (!is_open && f->depth == f->base && f->is_gathering) {
        f->is_gathering = 0;
        return 1;
    } else if (f->base == 3 && f->depth == 0) {
        f->base = 0;
    }
    return 0;
}

static int refuse(const lw_features *f, lw_code code, const char *what, lw_err *err)
{
    (void)lw_fail(err, code, "%s", what);
    (void)lw_err_at(err, NULL, f->line, NULL);
    return -1;
}

/* 1: an object is whole; 0: go on; -1: refused, err is filled. */
static int take_byte(lw_features *f, char c, lw_err *err)
{
    f->line += c == '\n';
    if (!f->is_in_string && c == '{' && f->depth == f->base && f->base < 3) {
        f->is_gathering = 1;
        f->n = 0;
        f->began = f->line;
    }
    if (f->is_gathering && keep(f, c, err))
        return -1;
    if (f->is_in_string) {
        take_string_byte(f, c);
        return 0;
    }
    if (c == '"') {
        f->is_in_string = 1;
        f->text_at = f->n ? f->n - 1 : 0;
        return 0;
    }
    if (c != '{' && c != '[' && c != '}' && c != ']') {
        f->was_features = f->was_features && (c == ':' || (unsigned char)c <= ' ');
        if (f->depth > 0 || (unsigned char)c <= ' ' || c == 0x1e || (unsigned char)c >= 0x80)
            return 0;
        return refuse(f, LW_E_SYNTAX, "this is no GeoJSON", err);
    }
    const int is_whole = take_bracket(f, c);
    if (f->depth >= 0 && f->depth <= LW_GRIDPOINT_DEPTH)
        return is_whole;
    return f->depth < 0 ? refuse(f, LW_E_SYNTAX, "this is no GeoJSON", err)
                        : refuse(f, LW_E_FULL, "the JSON is nested too deep", err);
}

static lw_code fill(lw_features *f, lw_err *err)
{
    const long n = f->read(f->context, f->piece, PIECE);
    if (n < 0)
        return lw_fail(err, LW_E_IO, "cannot be read");
    f->at = 0;
    f->have = (size_t)n;
    f->is_end = n == 0;
    if (!f->is_end)
        f->has_any = 1;
    else if (!f->has_any)
        return lw_fail(err, LW_E_MISSING, "it is empty");
    else if (f->depth > 0)
        return lw_fail(err, LW_E_SYNTAX, "the JSON is cut: it ends before it is closed");
    return LW_OK;
}

static lw_code parse(const lw_features *f, json_t **feature, lw_err *err)
{
    json_error_t why;
    *feature = json_loadb(f->kept, f->n, JSON_REJECT_DUPLICATES, &why);
    const char *type = json_string_value(json_object_get(*feature, "type"));
    if (*feature && (f->base == 2 || (type && strcmp(type, "Feature") == 0)))
        return LW_OK;
    if (*feature) {
        json_decref(*feature);
        *feature = NULL;
        (void)lw_fail(err, LW_E_SYNTAX, "this is no GeoJSON of features; a FeatureCollection is expected");
        return lw_err_at(err, NULL, f->began, NULL);
    }
    if (json_error_code(&why) == json_error_duplicate_key)
        (void)lw_fail(err, LW_E_CONFLICT, "a key comes twice in one object");
    else
        (void)lw_fail(err, LW_E_SYNTAX, "this is no JSON");
    return lw_err_at(err, NULL, f->began + (why.line > 0 ? why.line - 1 : 0), NULL);
}

lw_code lw_features_next(lw_features *f, json_t **feature, lw_err *err)
{
    *feature = NULL;
    while (!f->is_end) {
        while (f->at < f->have) {
            const int state = take_byte(f, f->piece[f->at++], err);
            if (state)
                return state < 0 ? err->code : parse(f, feature, err);
        }
        const lw_code code = fill(f, err);
        if (code)
            return code;
    }
    return LW_OK;
}

void lw_features_close(lw_features *f)
{
    if (f)
        free(f->kept);
    free(f);
}

lw_code lw_features_each(lw_read_fn *read, void *source, lw_feature_fn *take, void *context, lw_err *err)
{
    lw_features *features = NULL;
    json_t *feature = NULL;
    lw_code code = lw_features_open(read, source, &features, err);
    if (!features)
        return code;
    while (!(code = lw_features_next(features, &feature, err)) && feature) {
        code = take(context, feature, err);
        json_decref(feature);
        if (code)
            break;
    }
    lw_features_close(features);
    return code;
}
