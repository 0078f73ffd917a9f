#include <stdio.h>
#include <string.h>

#include "service/log_internal.h"
#include "text/say.h"

enum { NAMES = LW_VESSELS + LW_SUPPLY_COUNT + 2 };

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c;
}

static int begins(const char *word, const char *a, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!word[i] || lower(a[i]) != lower(word[i]))
            return 0;
    return 1;
}

int lw_log_same(const char *a, size_t n, const char *word)
{
    return strlen(word) == n && begins(word, a, n);
}

lw_log_thing lw_log_thing_of(const lw_loaded *rig, int vessel)
{
#define UNIT(id, word, end, unit) #unit,
    static const char *const UNITS[] = {LW_SUPPLIES(UNIT)};
#undef UNIT
    if (vessel == LW_LOG_BATTERY)
        return (lw_log_thing){LW_LOG_BATTERY, LW_SUPPLY_BATTERY, "battery", "frac", 1.0, &rig->battery_gauges};
    if (vessel == LW_LOG_GENERATOR)
        return (lw_log_thing){LW_LOG_GENERATOR, LW_SUPPLY_COUNT, "generator", "h", 0.0, &rig->generator_gauges};
    const lw_vessel *v = &rig->scenario->rig.vessel[vessel];
    return (lw_log_thing){vessel, v->supply, v->name, UNITS[v->supply], v->capacity, &rig->vessel_gauges[vessel]};
}

lw_log_thing lw_log_thing_read(const lw_loaded *rig, const lw_log_record *record)
{
    lw_log_thing thing = lw_log_thing_of(rig, record->vessel);
    if (record->also)
        thing.name = record->target;
    for (int v = 0; record->also >> v; v++)
        if (record->also >> v & 1u)
            thing.capacity += rig->scenario->rig.vessel[v].capacity;
    return thing;
}

/* ---- a name, and all that it can stand for ---- */

typedef struct name {
    const char *text;
    int vessel; /* LW_LOG_NOTHING: a supply's word */
    lw_supply supply;
} name;

static int names_of(const lw_loaded *rig, name names[NAMES])
{
    const lw_rig *r = &rig->scenario->rig;
    int count = 0;
    for (int v = 0; v < r->vessel_count; v++)
        names[count++] = (name){r->vessel[v].name, v, r->vessel[v].supply};
    for (int s = 0; s < LW_SUPPLY_STAY; s++)
        for (int v = 0; v < r->vessel_count; v++)
            if ((int)r->vessel[v].supply == s) {
                names[count++] = (name){lw_supply_word((lw_supply)s), LW_LOG_NOTHING, (lw_supply)s};
                break;
            }
    names[count++] = (name){"battery", LW_LOG_BATTERY, LW_SUPPLY_BATTERY};
    if (r->generator.is_present)
        names[count++] = (name){"generator", LW_LOG_GENERATOR, LW_SUPPLY_COUNT};
    return count;
}

static int vessels_of(const lw_loaded *rig, const name *one, int vessel[LW_VESSELS])
{
    const lw_rig *r = &rig->scenario->rig;
    int count = 0;
    if (one->vessel != LW_LOG_NOTHING) {
        vessel[0] = one->vessel;
        return 1;
    }
    for (int v = 0; v < r->vessel_count; v++)
        if (r->vessel[v].supply == one->supply)
            vessel[count++] = v;
    return count;
}

/* A supply of one vessel and that vessel are the same thing. */
static int is_same_thing(const lw_loaded *rig, const name *a, const name *b)
{
    int va[LW_VESSELS], vb[LW_VESSELS];
    const int na = vessels_of(rig, a, va), nb = vessels_of(rig, b, vb);
    return na == nb && memcmp(va, vb, (size_t)na * sizeof *va) == 0;
}

static void list_names(const name *names, const int *at, int count, char *buf, size_t n)
{
    size_t used = 0;
    buf[0] = '\0';
    for (int i = 0; i < count && used + LW_NAME + 8 < n; i++) {
        int is_new = 1; /* a vessel may be called after its supply */
        for (int k = 0; k < i && is_new; k++)
            is_new = strcmp(names[at[k]].text, names[at[i]].text) != 0;
        if (is_new)
            used += (size_t)snprintf(buf + used, n - used, "%s%s", used ? ", " : "", names[at[i]].text);
        if (used + LW_NAME + 8 >= n && i + 1 < count)
            snprintf(buf + used, n - used, ", ...");
    }
}

static int refuse_unknown(const name *names, int count, const char *typed, size_t n, lw_err *err)
{
    const char *words[NAMES];
    int every[NAMES];
    char list[280], copy[64];
    for (int i = 0; i < count; i++) {
        words[i] = names[i].text;
        every[i] = i;
    }
    snprintf(copy, sizeof copy, "%.*s", (int)(n < 63 ? n : 63), typed);
    const char *near = lw_nearest(copy, words, (size_t)count);
    list_names(names, every, count, list, sizeof list);
    if (near)
        (void)lw_fail(err, LW_E_SYNTAX, "there is no %s in this rig; did you mean %s?", lw_quoted(typed, n).text, near);
    else
        (void)lw_fail(err, LW_E_SYNTAX, "there is no %s in this rig; there are %s",
                      n ? lw_quoted(typed, n).text : "thing without a name", list);
    return 0;
}

/* Exact names first: a vessel before the supply of its name. Else what the beginning fits, if that is one thing. */
static int find(const lw_loaded *rig, const char *typed, size_t n, int supply, int vessel[LW_VESSELS], lw_err *err)
{
    name names[NAMES];
    int fits[NAMES], fit_count = 0;
    const int count = names_of(rig, names);
    for (int i = 0; i < count && n > 0; i++) {
        if (supply >= 0 && (names[i].vessel == LW_LOG_NOTHING || (int)names[i].supply != supply))
            continue;
        if (lw_log_same(typed, n, names[i].text))
            return vessels_of(rig, &names[i], vessel);
        int is_new = begins(names[i].text, typed, n);
        for (int k = 0; k < fit_count && is_new; k++)
            is_new = !is_same_thing(rig, &names[fits[k]], &names[i]);
        if (is_new)
            fits[fit_count++] = i;
    }
    if (fit_count == 1)
        return vessels_of(rig, &names[fits[0]], vessel);
    if (fit_count > 1) {
        char list[200];
        list_names(names, fits, fit_count, list, sizeof list);
        (void)lw_fail(err, LW_E_SYNTAX, "%s may be %s; write more of it", lw_quoted(typed, n).text, list);
        return 0;
    }
    return refuse_unknown(names, count, typed, n, err);
}

int lw_log_find(const lw_loaded *rig, const char *typed, size_t n, int vessel[LW_VESSELS], lw_err *err)
{
    const char *slash = memchr(typed, '/', n);
    int of[LW_VESSELS] = {0};
    for (int v = 0; v < rig->scenario->rig.vessel_count && slash; v++)
        if (lw_log_same(typed, n, rig->scenario->rig.vessel[v].name))
            slash = NULL; /* a part of the name */
    if (!slash)
        return find(rig, typed, n, -1, vessel, err);
    const size_t head = (size_t)(slash - typed);
    const int count = find(rig, typed, head, -1, of, err);
    if (count == 0)
        return 0;
    if (of[0] < 0) {
        (void)lw_fail(err, LW_E_SYNTAX, "%s has no vessels; write its name alone", lw_quoted(typed, head).text);
        return 0;
    }
    return find(rig, slash + 1, n - head - 1, (int)rig->scenario->rig.vessel[of[0]].supply, vessel, err);
}

int lw_log_is_name(const lw_loaded *rig, const char *typed, size_t n)
{
    int vessel[LW_VESSELS];
    lw_err unread = {0};
    return lw_log_find(rig, typed, n, vessel, &unread) > 0;
}

int lw_log_find_all(const lw_loaded *rig, const char *typed, size_t n, int *vessel, uint32_t *also)
{
    static const char ALL[] = "all ";
    const size_t head = sizeof ALL - 1;
    int found[LW_VESSELS] = {0};
    lw_err unread = {0};
    if (n <= head || !lw_log_same(typed, head, ALL) || lw_log_is_name(rig, typed, n))
        return 0;
    const int count = lw_log_find(rig, typed + head, n - head, found, &unread);
    if (count < 1)
        return 0;
    *vessel = found[0];
    *also = 0;
    for (int i = 1; i < count; i++)
        *also |= UINT32_C(1) << found[i];
    return 1;
}
