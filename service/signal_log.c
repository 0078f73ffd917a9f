#include "service/signal_log.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/units.h"
#include "exchange/yaml_tree.h"
#include "service/log_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { CARRIER, DEVICE, ANTENNA, BARS, DBM, DOWN, UP, CALL, KEY_COUNT, SATURDAY = 5 };
static const char *const KEYS[KEY_COUNT] = {"carrier", "device", "antenna", "bars", "dbm", "down", "up", "call"};
static const double DBM_LEAST = -150.0, DBM_MOST = -20.0, BARS_MOST = 5.0;

static lw_code read_text(const char *key, const char *text, char to[LW_NAME], lw_err *err)
{
    if (!*text || strlen(text) >= LW_NAME || strchr(text, '/'))
        return lw_fail(err, LW_E_SYNTAX, "%s: 1 to %d letters without a slash fit", key, LW_NAME - 1);
    snprintf(to, LW_NAME, "%s", text);
    return LW_OK;
}

static lw_code read_number(const char *key, const char *text, const char *unit, double low, double high, double *to,
                           lw_err *err)
{
    size_t n = strlen(text);
    double value;
    const size_t m = strlen(unit);
    if (m && n > m && lw_log_same(text + n - m, m, unit))
        for (n -= m; n && text[n - 1] == ' ';)
            n--;
    if (!lw_decimal_parse(text, text + n, &value) || !(value >= low && value <= high))
        return lw_fail(err, LW_E_RANGE, "%s: %s does not fit; from %s to %s does", key,
                       lw_quoted(text, strlen(text)).text, lw_num(low).text, lw_num(high).text);
    *to = value;
    return LW_OK;
}

static lw_code read_rate(const char *key, const char *text, double *to, lw_err *err)
{
    const lw_code code = lw_quantity_parse(text, LW_DIM_DATA_RATE, to, err);
    if (!code && !(*to >= 0.0))
        return lw_fail(err, LW_E_RANGE, "%s: %s is less than nothing", key, lw_quoted(text, strlen(text)).text);
    return code;
}

static lw_code read_word(const char *word, lw_signal *to, unsigned *given, lw_err *err)
{
    const char *equals = strchr(word, '=');
    int key = -1;
    for (int i = 0; i < KEY_COUNT && equals; i++)
        if (lw_log_same(word, (size_t)(equals - word), KEYS[i]))
            key = i;
    if (key < 0) {
        char typed[64];
        snprintf(typed, sizeof typed, "%.*s", (int)(equals ? equals - word : 63), word);
        const char *near = lw_nearest(typed, KEYS, KEY_COUNT);
        return lw_fail(err, LW_E_SYNTAX, "%s is no part of signal; %s%s%s", lw_quoted(word, strlen(word)).text,
                       near ? "did you mean " : "there are carrier, device, antenna, bars, dbm, down, up, call",
                       near ? near : "", near ? "=?" : "");
    }
    if (*given & 1u << key)
        return lw_fail(err, LW_E_CONFLICT, "%s stands twice in one line", KEYS[key]);
    *given |= 1u << key;
    const char *text = equals + 1;
    if (strcmp(text, "?") == 0)
        return LW_OK;
    switch (key) {
    case CARRIER:
        return read_text(KEYS[key], text, to->carrier, err);
    case DEVICE:
        return read_text(KEYS[key], text, to->device, err);
    case ANTENNA:
        return read_text(KEYS[key], text, to->antenna, err);
    case BARS:
        return read_number(KEYS[key], text, "bars", 0.0, BARS_MOST, &to->bars, err);
    case DBM:
        return read_number(KEYS[key], text, "dBm", DBM_LEAST, DBM_MOST, &to->dbm, err);
    case DOWN:
        return read_rate(KEYS[key], text, &to->down_mbit, err);
    case UP:
        return read_rate(KEYS[key], text, &to->up_mbit, err);
    default:
        to->call = lw_log_same(text, strlen(text), "yes") ? 1 : lw_log_same(text, strlen(text), "no") ? 0 : -1;
        return to->call < 0
                   ? lw_fail(err, LW_E_SYNTAX, "call: %s is neither yes nor no", lw_quoted(text, strlen(text)).text)
                   : LW_OK;
    }
}

static lw_signal nothing(void)
{
    return (lw_signal){.bars = NAN, .dbm = NAN, .down_mbit = NAN, .up_mbit = NAN, .call = -1};
}

lw_code lw_signal_read(const char *const *words, int count, lw_signal *signal, lw_err *err)
{
    lw_signal found = nothing();
    unsigned given = 0;
    lw_code code = LW_OK;
    for (int i = 0; i < count && !code; i++)
        code = read_word(words[i], &found, &given, err);
    if (!code && !found.carrier[0])
        code = lw_fail(err, LW_E_MISSING, "say whose signal it is, such as carrier=Anycell");
    if (!code && isnan(found.bars) && isnan(found.dbm) && isnan(found.down_mbit) && isnan(found.up_mbit) &&
        found.call < 0)
        code = lw_fail(err, LW_E_MISSING, "say what it is like: bars=3, dbm=-98, down=\"12 Mbit/s\", up=, call=yes");
    if (!code)
        *signal = found;
    return code;
}

static void put_what(const lw_signal *s, const char *between, char *buf, size_t n)
{
    const int is_slash = between[0] == '/';
    snprintf(buf, n, "%s%s%s%s%s", s->carrier, s->device[0] || (is_slash && s->antenna[0]) ? between : "", s->device,
             s->antenna[0] ? between : "", s->antenna);
}

char *lw_signal_say(const lw_signal *s, char *buf, size_t n)
{
    char what[LW_SIGNAL_TARGET], rate[LW_QUANTITY_BYTES];
    put_what(s, ", ", what, sizeof what);
    size_t used = (size_t)snprintf(buf, n, "signal of %s:", what);
    const char *comma = "";
    if (!isnan(s->bars) && used < n) {
        used += (size_t)snprintf(buf + used, n - used, " %s bars", lw_num(s->bars).text);
        comma = ",";
    }
    if (!isnan(s->dbm) && used < n) {
        used += (size_t)snprintf(buf + used, n - used, "%s %s dBm", comma, lw_num(s->dbm).text);
        comma = ",";
    }
    if (!isnan(s->down_mbit) && used < n) {
        lw_quantity_print(rate, sizeof rate, s->down_mbit, LW_DIM_DATA_RATE, LW_UNITS_SI);
        used += (size_t)snprintf(buf + used, n - used, "%s %s down", comma, rate);
        comma = ",";
    }
    if (!isnan(s->up_mbit) && used < n) {
        lw_quantity_print(rate, sizeof rate, s->up_mbit, LW_DIM_DATA_RATE, LW_UNITS_SI);
        used += (size_t)snprintf(buf + used, n - used, "%s %s up", comma, rate);
        comma = ",";
    }
    if (s->call >= 0 && used < n)
        snprintf(buf + used, n - used, "%s %s", comma, s->call ? "a call is possible" : "no call is possible");
    return buf;
}

static void put_number(char *detail, const char *key, double value)
{
    const size_t used = strlen(detail);
    if (!isnan(value))
        snprintf(detail + used, LW_SIGNAL_DETAIL - used, "%s%s: %s", used ? ", " : "{", key, lw_num(value).text);
}

void lw_entry_of_signal(const lw_signal *s, char target[LW_SIGNAL_TARGET], char detail[LW_SIGNAL_DETAIL],
                        lw_entry *entry)
{
    put_what(s, "/", target, LW_SIGNAL_TARGET);
    detail[0] = '\0';
    put_number(detail, "bars", s->bars);
    put_number(detail, "down_mbit", s->down_mbit);
    put_number(detail, "up_mbit", s->up_mbit);
    put_number(detail, "call", s->call < 0 ? (double)NAN : (double)s->call);
    const size_t used = strlen(detail);
    if (used)
        snprintf(detail + used, LW_SIGNAL_DETAIL - used, "}");
    *entry = (lw_entry){.kind = LW_ENTRY_SIGNAL,
                        .target = target,
                        .low = s->dbm,
                        .high = s->dbm,
                        .amount = NAN,
                        .unit = isnan(s->dbm) ? NULL : "dbm",
                        .detail = used ? detail : NULL};
}

static double number_at(const lw_yaml *detail, const char *key)
{
    const lw_yaml_node *node = detail->root ? lw_yaml_child(detail->root, key) : NULL;
    double value;
    return node && node->text && lw_decimal_parse(node->text, node->text + strlen(node->text), &value) ? value : NAN;
}

void lw_signal_of_entry(const lw_entry *entry, lw_signal *signal)
{
    lw_yaml detail = {0};
    lw_err unread = {0};
    char *const part[] = {signal->carrier, signal->device, signal->antenna};
    const char *at = entry->target ? entry->target : "";
    *signal = nothing();
    for (int i = 0; i < 3; i++) {
        const size_t n = strcspn(at, "/");
        snprintf(part[i], LW_NAME, "%.*s", (int)(n < LW_NAME ? n : LW_NAME - 1), at);
        at += n + (at[n] == '/');
    }
    if (entry->detail) /* one that cannot be read leaves an empty tree, which says nothing */
        (void)!lw_yaml_read(&detail, "detail", entry->detail, strlen(entry->detail), &unread);
    signal->dbm = entry->low;
    signal->bars = number_at(&detail, "bars");
    signal->down_mbit = number_at(&detail, "down_mbit");
    signal->up_mbit = number_at(&detail, "up_mbit");
    const double call = number_at(&detail, "call");
    signal->call = isnan(call) ? -1 : call > 0.0;
    lw_yaml_clear(&detail);
}

/* ---- the table ---- */

typedef struct seen {
    char what[LW_SIGNAL_TARGET];
    int is_weekend, hour;
    lw_signal signal;
} seen;

static int compare(const void *a, const void *b)
{
    const seen *x = a, *y = b;
    const int by_what = strcmp(x->what, y->what);
    return by_what ? by_what : x->is_weekend != y->is_weekend ? x->is_weekend - y->is_weekend : x->hour - y->hour;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Of those that were said; NaN: none was. `room` holds count. */
static double median(const seen *first, size_t count, size_t offset, double *room)
{
    size_t said = 0;
    for (size_t i = 0; i < count; i++) {
        double value;
        memcpy(&value, (const char *)&first[i].signal + offset, sizeof value);
        if (!isnan(value))
            room[said++] = value;
    }
    qsort(room, said, sizeof *room, by_value);
    return said == 0 ? NAN : 0.5 * (room[said / 2] + room[(said - 1) / 2]);
}

static void make_row(const seen *first, size_t count, double *room, lw_signal_row *row)
{
    *row = (lw_signal_row){.is_weekend = first->is_weekend,
                           .hour = first->hour,
                           .readings = (int)count,
                           .bars = median(first, count, offsetof(lw_signal, bars), room),
                           .dbm = median(first, count, offsetof(lw_signal, dbm), room),
                           .down_mbit = median(first, count, offsetof(lw_signal, down_mbit), room),
                           .up_mbit = median(first, count, offsetof(lw_signal, up_mbit), room)};
    memcpy(row->what, first->what, sizeof row->what);
    for (size_t i = 0; i < count; i++) {
        row->calls_asked += first[i].signal.call >= 0;
        row->calls += first[i].signal.call > 0;
    }
}

/* The rows of what was seen, sorted; gives their number. */
static size_t make_rows(seen *all, size_t used, double *room, lw_signal_row *rows)
{
    size_t count = 0;
    qsort(all, used, sizeof *all, compare);
    for (size_t first = 0, end; first < used; first = end) {
        for (end = first + 1; end < used && compare(&all[first], &all[end]) == 0;)
            end++;
        make_row(&all[first], end - first, room, &rows[count++]);
    }
    return count;
}

static size_t gather(const lw_zone *zone, const lw_entries *entries, seen *all)
{
    size_t used = 0;
    for (size_t i = 0; i < entries->count; i++) {
        const lw_entry *entry = &entries->entry[i];
        if (entry->kind != LW_ENTRY_SIGNAL || entry->is_undone)
            continue;
        const lw_clock clock = lw_clock_at(zone, entry->stated_s);
        seen *one = &all[used++];
        one->is_weekend = clock.weekday >= SATURDAY;
        one->hour = clock.hour;
        lw_signal_of_entry(entry, &one->signal);
        put_what(&one->signal, ", ", one->what, sizeof one->what);
    }
    return used;
}

lw_code lw_signal_table(const lw_zone *zone, const lw_entries *entries, lw_signal_row **rows, size_t *count,
                        lw_err *err)
{
    seen *all = calloc(entries->count + 1, sizeof *all);
    double *room = calloc(entries->count + 1, sizeof *room);
    lw_signal_row *made = calloc(entries->count + 1, sizeof *made);
    lw_code code = LW_OK;
    if (all && room && made) {
        *count = make_rows(all, gather(zone, entries, all), room, made);
        *rows = made;
        made = NULL;
    } else {
        code = lw_fail(err, LW_E_FULL, "not enough memory for this table");
    }
    free(made);
    free(all);
    free(room);
    return code;
}
