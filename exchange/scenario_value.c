#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/scenario_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { WORDS_AT_MOST = 24 };

/* ---- words ---- */

const char *lw_word_at(const char *words, int n, char *buf, size_t size)
{
    for (; n > 0; n--) {
        words += strcspn(words, "|");
        if (!*words)
            return NULL;
        words++;
    }
    snprintf(buf, size, "%.*s", (int)strcspn(words, "|/"), words);
    return buf;
}

static int is_same_word(const char *a, size_t n, const char *b, size_t m)
{
    if (n != m)
        return 0;
    for (size_t i = 0; i < n; i++) {
        const char x = a[i] >= 'A' && a[i] <= 'Z' ? (char)(a[i] + 32) : a[i];
        if (x != b[i])
            return 0;
    }
    return 1;
}

static int word_of(const char *words, const char *text, size_t n)
{
    int at = 0;
    for (const char *w = words;; w++) {
        const size_t m = strcspn(w, "|/");
        if (is_same_word(text, n, w, m))
            return at;
        w += m;
        if (!*w)
            return -1;
        at += *w == '|';
    }
}

static lw_code refuse_word(const lw_key *key, const char *text, size_t n, lw_err *err)
{
    char list[200] = "", buf[LW_NAME], spelling[WORDS_AT_MOST][LW_NAME];
    const char *names[WORDS_AT_MOST];
    int count = 0;
    for (const char *w; count < WORDS_AT_MOST && (w = lw_word_at(key->words, count, buf, sizeof buf)); count++) {
        snprintf(spelling[count], sizeof spelling[count], "%s", w);
        names[count] = spelling[count];
        const size_t used = strlen(list);
        snprintf(list + used, sizeof list - used, "%s%s", count ? ", " : "", w);
    }
    char typed[64];
    snprintf(typed, sizeof typed, "%s", lw_quoted(text, n).text);
    const char *near = lw_nearest(typed, names, (size_t)count);
    if (near)
        return lw_fail(err, LW_E_SYNTAX, "%s is not one of its words; did you mean %s? (%s)", typed, near, list);
    return lw_fail(err, LW_E_SYNTAX, "%s is not one of its words: %s", typed, list);
}

static const char *trimmed(const char *text, size_t *n)
{
    while (*n && (*text == ' ' || *text == '\n' || *text == '\t'))
        text++, (*n)--;
    while (*n && (text[*n - 1] == ' ' || text[*n - 1] == '\n' || text[*n - 1] == '\t'))
        (*n)--;
    return text;
}

static lw_code read_words(const lw_key *key, const char *text, unsigned *bits, lw_err *err)
{
    unsigned found = 0;
    while (*text) {
        size_t n = strcspn(text, ",");
        const size_t whole = n;
        const char *part = trimmed(text, &n);
        const int word = word_of(key->words, part, n);
        if (word < 0)
            return refuse_word(key, part, n, err);
        found |= 1u << word;
        text += whole + (text[whole] == ',');
    }
    *bits = found;
    return LW_OK;
}

/* ---- numbers ---- */

static const lw_unit *unit_typed(const char *text, lw_dim dim, double value_si)
{
    double number;
    const char *end = text + strlen(text), *rest = lw_decimal_scan(text, end, &number);
    if (rest) {
        size_t n = (size_t)(end - rest);
        rest = trimmed(rest, &n);
        const lw_unit *unit = lw_unit_find(dim, rest, n);
        if (unit)
            return unit;
    }
    return lw_quantity_unit(value_si, dim, LW_UNITS_US);
}

static void print_bound(char *buf, size_t n, double value_si, const lw_unit *unit)
{
    if (unit)
        lw_quantity_print_in(buf, n, value_si, unit, 3);
    else
        lw_decimal_print_digits(buf, n, value_si, 6);
}

static lw_code want_bounds(const lw_key *key, const char *text, lw_dim dim, double si, double low, double high,
                           lw_err *err)
{
    if (si >= low && si <= high)
        return LW_OK;
    const lw_unit *unit = unit_typed(text, dim, si);
    char least[LW_QUANTITY_BYTES], most[LW_QUANTITY_BYTES];
    print_bound(least, sizeof least, low, unit);
    print_bound(most, sizeof most, high, unit);
    (void)key;
    return lw_fail(err, LW_E_RANGE, "%s does not fit; from %s to %s does", lw_quoted(text, strlen(text)).text, least,
                   most);
}

/* Another dimension's bounds are wide: they only keep nonsense out, the build checks what it converts to. */
static lw_code read_quantity(const lw_key *key, const char *text, lw_value *value, lw_err *err)
{
    lw_err other = {0};
    double si;
    if (key->other_dim && !lw_quantity_parse(text, key->other_dim, &si, &other)) {
        *value = (lw_value){.si = si, .dim = key->other_dim};
        return want_bounds(key, text, key->other_dim, si, 0.0, key->kind == LW_KEY_LEVEL ? 1.0 : 1e6, err);
    }
    const lw_code code = lw_quantity_parse(text, key->dim, &si, err);
    if (code)
        return code;
    *value = (lw_value){.si = si, .dim = key->dim};
    return want_bounds(key, text, key->dim, si, key->low, key->high, err);
}

static lw_code read_level(const lw_key *key, const char *text, lw_value *value, lw_err *err)
{
    const size_t n = strlen(text);
    if (is_same_word(text, n, "full", 4) || is_same_word(text, n, "empty", 5)) {
        *value = (lw_value){.si = n == 4, .dim = LW_DIM_FRACTION};
        return LW_OK;
    }
    return read_quantity(key, text, value, err);
}

static lw_code read_bearing(const char *text, lw_value *value, lw_err *err)
{
    static const char WORDS[] = "n/north|nne|ne/northeast|ene|e/east|ese|se/southeast|sse|s/south|ssw|sw/southwest|wsw|"
                                "w/west|wnw|nw/northwest|nnw";
    const int word = word_of(WORDS, text, strlen(text));
    lw_err unread = {0};
    double deg = word * 22.5;
    if (word < 0 && lw_quantity_parse(text, LW_DIM_ANGLE, &deg, &unread))
        return lw_fail(err, LW_E_SYNTAX, "%s is no direction; write 180 deg (clockwise from north), S or southeast",
                       lw_quoted(text, strlen(text)).text);
    if (!(deg >= 0.0 && deg <= 360.0))
        return lw_fail(err, LW_E_RANGE, "%s does not fit; a direction is 0 deg to 360 deg, clockwise from north",
                       lw_quoted(text, strlen(text)).text);
    *value = (lw_value){.si = deg, .dim = LW_DIM_ANGLE};
    return LW_OK;
}

/* "37.5", "37.5 N", "-112.5", "112.5 W", "37.5 deg N" */
static lw_code read_coordinate(const char *text, int is_latitude, lw_value *value, lw_err *err)
{
    size_t n = strlen(text);
    text = trimmed(text, &n);
    const lw_quoted_text typed = lw_quoted(text, n);
    const char *forms = is_latitude ? "37.5 N or -33.9" : "112.5 W or -112.5";
    const double most = is_latitude ? 90.0 : 180.0;
    char letter = n ? text[n - 1] : ' ';
    if (letter >= 'a' && letter <= 'z')
        letter = (char)(letter - 32);
    const int is_lettered = letter != 'G' && letter >= 'A' && letter <= 'Z';
    if (is_lettered && letter != (is_latitude ? 'N' : 'E') && letter != (is_latitude ? 'S' : 'W'))
        return lw_fail(err, LW_E_SYNTAX, "%s is no %s; write %s", typed.text, is_latitude ? "latitude" : "longitude",
                       forms);
    const int is_negative = letter == 'S' || letter == 'W';
    if (is_lettered)
        n--;
    text = trimmed(text, &n);
    double deg;
    lw_err unread = {0};
    if (!lw_decimal_parse(text, text + n, &deg) && lw_quantity_parse_n(text, n, LW_DIM_ANGLE, &deg, &unread))
        return lw_fail(err, LW_E_SYNTAX, "%s is no %s; write %s", typed.text, is_latitude ? "latitude" : "longitude",
                       forms);
    if (is_lettered && deg < 0.0)
        return lw_fail(err, LW_E_CONFLICT, "%s has a sign and a letter; write %s", typed.text, forms);
    if (!(fabs(deg) <= most))
        return lw_fail(err, LW_E_RANGE, "%s does not fit; a %s lies between -%d and %d degrees", typed.text,
                       is_latitude ? "latitude" : "longitude", (int)most, (int)most);
    *value = (lw_value){.si = is_negative ? -deg : deg, .dim = LW_DIM_ANGLE};
    return LW_OK;
}

/* ---- hours of the week ---- */

/* An hour counts where at least half of it is inside. */
static void mark(uint32_t hours[7], int day, int32_t from_s, int32_t to_s)
{
    for (int h = 0; h < 24; h++) {
        const int32_t start = h * 3600, end = start + 3600;
        const int32_t inside = (to_s < end ? to_s : end) - (from_s > start ? from_s : start);
        if (inside >= 1800)
            hours[day] |= UINT32_C(1) << h;
    }
}

static void mark_range(uint32_t hours[7], unsigned days, lw_clock_range range)
{
    for (int day = 0; day < 7; day++) {
        if (!(days >> day & 1u))
            continue;
        if (range.to_s > range.from_s) {
            mark(hours, day, range.from_s, range.to_s);
        } else {
            mark(hours, day, range.from_s, 86400);
            mark(hours, (day + 1) % 7, 0, range.to_s);
        }
    }
}

/* "Mon-Fri 8:00-16:00", "Sat", "22:00-6:00": weekdays are the longest beginning that reads as such. */
static lw_code read_hours_part(const char *text, uint32_t hours[7], lw_err *err)
{
    unsigned days = LW_EVERY_DAY;
    lw_clock_range range = {0, 86400};
    lw_err unread = {0};
    if (!lw_weekdays_parse(text, &days, &unread)) {
        mark_range(hours, days, range);
        return LW_OK;
    }
    char head[LW_TEXT_BYTES * 2];
    for (size_t n = strlen(text); n-- > 0;) {
        if (text[n] != ' ' || n >= sizeof head)
            continue;
        snprintf(head, sizeof head, "%.*s", (int)n, text);
        unread = (lw_err){0};
        if (!lw_weekdays_parse(head, &days, &unread)) {
            const lw_code code = lw_clock_range_parse(text + n + 1, &range, err);
            if (!code)
                mark_range(hours, days, range);
            return code;
        }
    }
    const lw_code code = lw_clock_range_parse(text, &range, err);
    if (!code)
        mark_range(hours, LW_EVERY_DAY, range);
    return code;
}

static int has_digit(const char *text, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (text[i] >= '0' && text[i] <= '9')
            return 1;
    return 0;
}

/* Parts are parted by ';' or by a ',' behind a clock time; a ',' between weekdays belongs to them. */
static lw_code read_hours(const char *text, lw_value *value, lw_err *err)
{
    lw_value found = {0};
    const size_t all = strlen(text);
    if (is_same_word(text, all, "always", 6) || is_same_word(text, all, "never", 5)) {
        for (int day = 0; day < 7; day++)
            found.hours[day] = all == 6 ? UINT32_C(0xFFFFFF) : 0;
        *value = found;
        return LW_OK;
    }
    while (*text) {
        size_t n = strcspn(text, ",;");
        while (text[n] == ',' && !has_digit(text, n))
            n += 1 + strcspn(text + n + 1, ",;");
        const size_t whole = n;
        const char *part = trimmed(text, &n);
        char copy[LW_TEXT_BYTES * 2];
        size_t used = 0;
        for (size_t i = 0; i < n && used + 1 < sizeof copy; i++)
            if (!(part[i] == ' ' && i && part[i - 1] == ','))
                copy[used++] = part[i];
        copy[used] = '\0';
        const lw_code code = read_hours_part(copy, found.hours, err);
        if (code)
            return code;
        text += whole + (text[whole] != '\0');
    }
    *value = found;
    return LW_OK;
}

static lw_code read_span(const char *text, lw_value *value, lw_err *err)
{
    const char *to = strstr(text, " to ");
    char from[LW_TEXT_BYTES];
    lw_value found = {0};
    if (!to || (size_t)(to - text) >= sizeof from)
        return lw_fail(err, LW_E_SYNTAX, "%s is no span; write 2026-06-10 9:00 to 2026-06-10 11:00",
                       lw_quoted(text, strlen(text)).text);
    snprintf(from, sizeof from, "%.*s", (int)(to - text), text);
    lw_code code = lw_moment_parse(from, &found.at, err);
    if (!code)
        code = lw_moment_parse(to + 4, &found.until, err);
    if (!code)
        *value = found;
    return code;
}

static lw_code read_date(const char *text, lw_value *value, lw_err *err)
{
    lw_date date;
    const lw_code code = lw_date_parse(text, &date, err);
    if (!code)
        *value = (lw_value){.at = {.day = lw_day_of(date)}};
    return code;
}

static lw_code read_moment(const char *text, lw_value *value, lw_err *err)
{
    lw_value found = {0};
    const lw_code code = lw_moment_parse(text, &found.at, err);
    if (!code)
        *value = found;
    return code;
}

static lw_code read_text(const lw_key *key, const char *text, lw_err *err)
{
    const size_t most = key->high > 0.0 ? (size_t)key->high : LW_NAME - 1;
    if (strlen(text) > most)
        return lw_fail(err, LW_E_FULL, "%s is too long; %zu letters fit", lw_quoted(text, strlen(text)).text, most);
    if (strchr(text, '\n'))
        return lw_fail(err, LW_E_SYNTAX, "this text goes over several lines; one line fits");
    return LW_OK;
}

static lw_code read_yesno(const char *text, lw_value *value, lw_err *err)
{
    const int word = word_of("no/false|yes/true", text, strlen(text));
    if (word < 0)
        return lw_fail(err, LW_E_SYNTAX, "%s is neither yes nor no", lw_quoted(text, strlen(text)).text);
    *value = (lw_value){.word = word};
    return LW_OK;
}

/* "unknown", "about 40 gal", or as sure as it is written. */
static lw_code read_unsure(const lw_key *key, const char *text, lw_value *value, lw_err *err)
{
    static const char ABOUT[] = "about ";
    const size_t n = sizeof ABOUT - 1;
    if (is_same_word(text, strlen(text), "unknown", 7)) {
        *value = (lw_value){.si = NAN, .dim = key->dim, .sureness = LW_UNKNOWN};
        return LW_OK;
    }
    const int is_about = strlen(text) > n && is_same_word(text, n, ABOUT, n);
    const lw_code code = read_quantity(key, text + (is_about ? n : 0), value, err);
    if (!code && is_about)
        value->sureness = LW_ABOUT;
    return code;
}

lw_code lw_value_read(const lw_key *key, const char *text, lw_value *value, lw_err *err)
{
    if (!*text)
        return lw_fail(err, LW_E_MISSING, "there is no value; leave the key out to take the default");
    if (key->flags & LW_KEY_UNSURE_FITS)
        return read_unsure(key, text, value, err);
    switch (key->kind) {
    case LW_KEY_QUANTITY:
        return read_quantity(key, text, value, err);
    case LW_KEY_LEVEL:
        return read_level(key, text, value, err);
    case LW_KEY_WORD: {
        const int word = word_of(key->words, text, strlen(text));
        if (word < 0)
            return refuse_word(key, text, strlen(text), err);
        *value = (lw_value){.word = word};
        return LW_OK;
    }
    case LW_KEY_WORDS:
        *value = (lw_value){0};
        return read_words(key, text, &value->words, err);
    case LW_KEY_YESNO:
        return read_yesno(text, value, err);
    case LW_KEY_MOMENT:
        return read_moment(text, value, err);
    case LW_KEY_DATE:
        return read_date(text, value, err);
    case LW_KEY_HOURS:
        return read_hours(text, value, err);
    case LW_KEY_SPANS:
        return read_span(text, value, err);
    case LW_KEY_BEARING:
        return read_bearing(text, value, err);
    case LW_KEY_LATITUDE:
        return read_coordinate(text, 1, value, err);
    case LW_KEY_LONGITUDE:
        return read_coordinate(text, 0, value, err);
    default:
        *value = (lw_value){0};
        return read_text(key, text, err);
    }
}
