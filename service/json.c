#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/json.h"
#include "service/words.h"
#include "text/moment.h"

/* Digits printed of a number that was rounded to fewer: enough to read back what was put in. */
enum { LW_JSON_DIGITS = 14 };

json_t *lw_json_object(lw_json *j)
{
    json_t *made = json_object();
    j->has_failed |= !made;
    return made;
}

json_t *lw_json_array(lw_json *j)
{
    json_t *made = json_array();
    j->has_failed |= !made;
    return made;
}

void lw_json_put(lw_json *j, json_t *object, const char *key, json_t *value)
{
    j->has_failed |= json_object_set_new(object, key, value) != 0;
}

void lw_json_add(lw_json *j, json_t *array, json_t *value)
{
    j->has_failed |= json_array_append_new(array, value) != 0;
}

/* Names come from files; a cut in the middle of a character or a foreign encoding must not cost the whole answer. */
static json_t *text_of(const char *text)
{
    json_t *made = json_string(text);
    if (made)
        return made;
    char plain[1024];
    size_t n = 0;
    for (; n < sizeof plain - 1 && text[n]; n++)
        plain[n] = (unsigned char)text[n] < 0x80u ? text[n] : '?';
    plain[n] = '\0';
    return json_string(plain);
}

void lw_json_text(lw_json *j, json_t *object, const char *key, const char *text)
{
    lw_json_put(j, object, key, text && text[0] ? text_of(text) : json_null());
}

void lw_json_flag(lw_json *j, json_t *object, const char *key, int is_so)
{
    lw_json_put(j, object, key, json_boolean(is_so));
}

void lw_json_count(lw_json *j, json_t *object, const char *key, int64_t count)
{
    lw_json_put(j, object, key, json_integer((json_int_t)count));
}

json_t *lw_json_real(double value, int decimals)
{
    if (!isfinite(value))
        return json_null();
    double scale = 1.0;
    for (int i = 0; i < decimals; i++)
        scale *= 10.0;
    const double rounded = nearbyint(value * scale) / scale;
    if (rounded == 0.0)
        return json_real(0.0);
    return json_real(isfinite(rounded) ? rounded : value);
}

void lw_json_number(lw_json *j, json_t *object, const char *key, double value, int decimals)
{
    lw_json_put(j, object, key, lw_json_real(value, decimals));
}

void lw_json_time(lw_json *j, json_t *object, const char *key, int64_t at_s)
{
    char civil_key[64], utc[48], civil[LW_WHEN];
    snprintf(civil_key, sizeof civil_key, "%s_civil", key);
    if (at_s == 0) {
        lw_json_put(j, object, key, json_null());
        lw_json_put(j, object, civil_key, json_null());
        return;
    }
    lw_json_text(j, object, key, lw_instant_print(utc, sizeof utc, (double)at_s, 0));
    lw_json_text(j, object, civil_key, lw_when_print(civil, sizeof civil, j->zone, at_s, j->is_12_hour));
}

json_t *lw_json_assumption(lw_json *j, const lw_assumption *assumption)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "key", assumption->key);
    lw_json_text(j, o, "value", assumption->value);
    lw_json_text(j, o, "source", assumption->source);
    lw_json_text(j, o, "kind", assumption->kind);
    return o;
}

void lw_json_assumptions(lw_json *j, json_t *list, const lw_assumption *assumption, int count)
{
    for (int i = 0; i < count; i++)
        lw_json_add(j, list, lw_json_assumption(j, &assumption[i]));
}

void lw_json_grounds(lw_json *j, json_t *list, const lw_price_list *prices, const lw_loaded *loaded)
{
    lw_json_assumptions(j, list, prices->of, prices->count);
    lw_json_assumptions(j, list, loaded->assumption, loaded->assumption_count);
}

char *lw_json_finish(lw_json *j, json_t *root, int is_compact)
{
    char *text = NULL;
    if (!j->has_failed) {
        const size_t layout = is_compact ? JSON_COMPACT : JSON_INDENT(2);
        char *made = json_dumps(root, layout | JSON_REAL_PRECISION(LW_JSON_DIGITS) | JSON_ENSURE_ASCII);
        const size_t n = made ? strlen(made) : 0;
        text = made ? malloc(n + 2) : NULL;
        if (text) {
            memcpy(text, made, n);
            memcpy(text + n, "\n", 2);
        }
        free(made);
    }
    json_decref(root);
    return text;
}
