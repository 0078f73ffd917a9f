#include "text/say.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "core/base/units.h"
#include "text/decimal.h"

static lw_code fail(lw_err *err, lw_code code, const char *typed, const char *fmt, va_list args)
{
    if (err->code != LW_OK)
        return err->code;
    err->code = code;
    vsnprintf(err->text, sizeof err->text, fmt, args);
    snprintf(err->typed, sizeof err->typed, "%s", typed);
    return code;
}

lw_code lw_fail(lw_err *err, lw_code code, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    code = fail(err, code, "", fmt, args);
    va_end(args);
    return code;
}

lw_code lw_fail_typed(lw_err *err, lw_code code, const char *typed, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    code = fail(err, code, typed, fmt, args);
    va_end(args);
    return code;
}

lw_code lw_err_at(lw_err *err, const char *path, long line, const char *field)
{
    char rest[sizeof err->where];
    if (path && line <= 0 && !field && strncmp(err->where, "line ", 5) == 0) { /* the line was known first */
        memcpy(rest, err->where, sizeof rest);
        snprintf(err->where, sizeof err->where, "%.80s:%.40s", path, rest + 5);
        return err->code;
    }
    char number[24] = "", place[sizeof err->where];
    if (line > 0)
        snprintf(number, sizeof number, path ? ":%ld" : "line %ld", line);
    const char *gap = (path || line > 0) && field ? " " : "";
    const int n = snprintf(place, sizeof place, "%s%s%s%s%s%s", path ? path : "", number, gap, field ? field : "",
                           err->where[0] ? " " : "", err->where);
    if (n > 0)
        memcpy(err->where, place, sizeof place);
    return err->code;
}

/* Suffixes of names beyond those of the storage units, as the unit to print. */
static const struct {
    const char *suffix, *unit;
} SUFFIXES[] = {
    {"_h", "h"},       {"_min", "min"},        {"_d", "d"},
    {"_km", "km"},     {"_mm", "mm"},          {"_cm", "cm"},
    {"_kw", "kW"},     {"_kwh", "kWh"},        {"_rad", "rad"},
    {"_pct", "%"},     {"_kgm3", "kg/m3"},     {"_mps", "m/s"},
    {"_kph", "km/h"},  {"_ma", "mA"},          {"_dbm", "dBm"},
    {"_db", "dB"},     {"_mhz", "MHz"},        {"_ghz", "GHz"},
    {"_days", "days"}, {"_per_h", "per hour"}, {"_wpm2k", "W/(m2 K)"},
    {"_jpk", "J/K"},
};

static int ends_with(const char *text, const char *tail)
{
    const size_t n = strlen(text), m = strlen(tail);
    return m > 0 && n > m && strcmp(text + n - m, tail) == 0;
}

/* The longest suffix wins: "_usd_per_l" before "_l". */
const char *lw_unit_of_name(const char *field, size_t *suffix_n)
{
    const char *unit = "";
    *suffix_n = 0;
    for (int dim = 0; dim < LW_DIM_COUNT; dim++) {
        const lw_dim_row *row = lw_dim_of((lw_dim)dim);
        if (ends_with(field, row->suffix) && strlen(row->suffix) > *suffix_n) {
            *suffix_n = strlen(row->suffix);
            unit = row->symbol;
        }
    }
    for (size_t i = 0; i < sizeof SUFFIXES / sizeof SUFFIXES[0]; i++)
        if (ends_with(field, SUFFIXES[i].suffix) && strlen(SUFFIXES[i].suffix) > *suffix_n) {
            *suffix_n = strlen(SUFFIXES[i].suffix);
            unit = SUFFIXES[i].unit;
        }
    return unit;
}

lw_code lw_fault_say(const lw_fault *fault, lw_err *err)
{
    const char *field = fault->field ? fault->field : "value";
    size_t suffix_n;
    const char *unit = lw_unit_of_name(field, &suffix_n), *gap = unit[0] ? " " : "";
    char name[64];
    snprintf(name, sizeof name, "%.*s", (int)(strlen(field) - suffix_n), field);
    for (char *c = name; *c; c++)
        if (*c == '_')
            *c = ' ';
    const int has_low = isfinite(fault->low), has_high = isfinite(fault->high);
    char range[128] = "a number";
    if (has_low && has_high && fault->low <= fault->high)
        snprintf(range, sizeof range, "%s to %s%s%s", lw_num(fault->low).text, lw_num(fault->high).text, gap, unit);
    else if (has_low && !has_high)
        snprintf(range, sizeof range, "%s%s%s or more", lw_num(fault->low).text, gap, unit);
    else if (has_high && !has_low)
        snprintf(range, sizeof range, "%s%s%s or less", lw_num(fault->high).text, gap, unit);
    if (fault->code == LW_E_MISSING)
        return lw_fail(err, fault->code, "%s is missing; give %s", name, range);
    if (isnan(fault->value))
        return lw_fail(err, fault->code, "%s is not a number; give %s", name, range);
    if (fault->code == LW_E_CONFLICT)
        return lw_fail(err, fault->code, "%s is %s%s%s, which contradicts another figure; %s would fit", name,
                       lw_num(fault->value).text, gap, unit, range);
    return lw_fail(err, fault->code, "%s is %s%s%s; give %s", name, lw_num(fault->value).text, gap, unit, range);
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c;
}

#define LONGEST_WORD 63 /* longer words are compared by their start */

size_t lw_edit_distance(const char *a, const char *b)
{
    size_t rows[3][LONGEST_WORD + 1], n = strlen(a), m = strlen(b);
    n = n > LONGEST_WORD ? LONGEST_WORD : n;
    m = m > LONGEST_WORD ? LONGEST_WORD : m;
    size_t *before = rows[0], *above = rows[1], *here = rows[2];
    for (size_t j = 0; j <= m; j++)
        above[j] = j;
    memcpy(before, above, sizeof rows[0]);
    for (size_t i = 1; i <= n; i++) {
        here[0] = i;
        for (size_t j = 1; j <= m; j++) {
            const int same = lower(a[i - 1]) == lower(b[j - 1]);
            size_t best = above[j - 1] + !same;
            best = above[j] + 1 < best ? above[j] + 1 : best;
            best = here[j - 1] + 1 < best ? here[j - 1] + 1 : best;
            if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]) &&
                before[j - 2] + 1 < best)
                best = before[j - 2] + 1;
            here[j] = best;
        }
        size_t *const oldest = before;
        before = above;
        above = here;
        here = oldest;
    }
    return above[m];
}

const char *lw_nearest(const char *word, const char *const *list, size_t count)
{
    const char *nearest = NULL;
    size_t least = strlen(word) / 3;
    least = (least < 1 ? 1 : least) + 1;
    for (size_t i = 0; i < count; i++) {
        const size_t distance = lw_edit_distance(word, list[i]);
        if (distance < least) {
            least = distance;
            nearest = list[i];
        }
    }
    return nearest;
}

lw_quoted_text lw_quoted(const char *bytes, size_t n)
{
    lw_quoted_text out;
    const size_t most = sizeof out.text - 1;
    size_t kept = n <= most ? n : most - 3;
    while (kept < n && kept > 0 && ((unsigned char)bytes[kept] & 0xC0) == 0x80) /* do not cut inside a character */
        kept--;
    for (size_t i = 0; i < kept; i++)
        out.text[i] = (unsigned char)bytes[i] < 0x20 || bytes[i] == 0x7F ? '?' : bytes[i];
    out.text[kept] = '\0';
    if (n > most)
        memcpy(out.text + kept, "...", 4);
    return out;
}
