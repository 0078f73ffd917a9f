#include "exchange/tzif.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "exchange/limits.h"
#include "exchange/tzrule_internal.h"
#include "text/say.h"

static const char *const FOLDERS[] = {"/usr/share/zoneinfo", "/usr/lib/zoneinfo", "/usr/share/lib/zoneinfo"};

#define HEADER_BYTES     44
#define LEAST_OFFSET_S   (-89999) /* RFC 8536, section 3.2 */
#define LARGEST_OFFSET_S 93599
#define EARLIEST_S       INT64_C(-62135596800) /* year 1; spans are clipped so that years fit an int */
#define LATEST_S         INT64_C(253402300799) /* end of year 9999 */

typedef struct block {
    uint32_t is_ut, is_std, leaps, times, types, chars;
} block;

typedef struct reader {
    const unsigned char *bytes;
    size_t n, at;
} reader;

static uint32_t big32(const unsigned char *p)
{
    return (uint32_t)p[0] << 24 | (uint32_t)p[1] << 16 | (uint32_t)p[2] << 8 | p[3];
}

static int64_t big64(const unsigned char *p)
{
    return (int64_t)((uint64_t)big32(p) << 32 | big32(p + 4));
}

static int32_t signed32(const unsigned char *p)
{
    return (int32_t)big32(p);
}

static int read_header(reader *r, block *b, unsigned *version)
{
    if (r->n - r->at < HEADER_BYTES || memcmp(r->bytes + r->at, "TZif", 4) != 0)
        return 0;
    const unsigned char *p = r->bytes + r->at;
    *version = p[4] == 0 ? 1u : (unsigned)(p[4] - '0');
    *b = (block){big32(p + 20), big32(p + 24), big32(p + 28), big32(p + 32), big32(p + 36), big32(p + 40)};
    r->at += HEADER_BYTES;
    /* Each count is far below what could overflow the sum of lengths. */
    return b->is_ut <= LW_TZIF_BYTES && b->is_std <= LW_TZIF_BYTES && b->leaps <= LW_TZIF_BYTES &&
           b->times <= LW_TZIF_TIMES && b->types >= 1 && b->types <= 256 && b->chars >= 1 && b->chars <= LW_TZIF_BYTES;
}

static size_t block_bytes(const block *b, size_t time_bytes)
{
    return b->times * (time_bytes + 1) + b->types * (size_t)6 + b->chars + b->leaps * (time_bytes + 4) + b->is_std +
           b->is_ut;
}

/* Rows in order of time; what lies before the span only says how it begins. */
typedef struct rows {
    lw_zone *zone;
    int64_t from_s, to_s;
    int is_full;
} rows;

static int is_row(const lw_zone *zone, int row, int32_t offset_s, const char *letters)
{
    return zone->offset_s[row] == offset_s && strncmp(zone->letters[row], letters, 8) == 0;
}

static void add_row(rows *out, int64_t at_s, int32_t offset_s, const char *letters)
{
    lw_zone *zone = out->zone;
    if (at_s > out->to_s && zone->count > 0)
        return;
    int row = zone->count;
    while (row > 0 && at_s <= zone->from_s[row - 1])
        row--; /* the later rule wins: a summer that begins before the last one has ended goes on */
    if (row > 0 && is_row(zone, row - 1, offset_s, letters)) {
        zone->count = row; /* no change of the clock */
        return;
    }
    if (row == LW_ZONE_CHANGES) {
        out->is_full = 1;
        return;
    }
    zone->from_s[row] = at_s > out->from_s ? at_s : out->from_s;
    zone->offset_s[row] = offset_s;
    memset(zone->letters[row], 0, sizeof zone->letters[row]);
    memcpy(zone->letters[row], letters, strnlen(letters, sizeof zone->letters[row] - 1));
    zone->count = row + 1;
}

/* Summer time of consecutive years; of equal moments the end of one year comes before the begin of the next. */
static void add_rule(rows *out, const lw_tz_rule *rule, int64_t after_s, int has_times)
{
    if (!has_times)
        add_row(out, INT64_MIN, rule->standard.offset_s, rule->standard.letters);
    if (!rule->has_summer)
        return;
    const int64_t begin_s = after_s > out->from_s ? after_s : out->from_s;
    if (begin_s > out->to_s)
        return;
    const int first = lw_date_of(begin_s / 86400).year - 2, last = lw_date_of(out->to_s / 86400).year + 1;
    for (int year = first; year <= last; year++) {
        const int64_t begin = lw_tz_rule_begin(rule, year), end = lw_tz_rule_end(rule, year);
        const int is_begin_first = begin <= end;
        for (int i = 0; i < 2; i++) {
            const int is_begin = (i == 0) == is_begin_first;
            const int64_t at_s = is_begin ? begin : end;
            const lw_tz_half *half = is_begin ? &rule->summer : &rule->standard;
            if (!has_times || at_s > after_s)
                add_row(out, at_s, half->offset_s, half->letters);
        }
    }
}

static lw_code refuse_file(lw_err *err, const char *name, const char *why)
{
    return lw_fail(err, LW_E_SYNTAX, "the file of time zone %s %s; install the system's tzdata anew", name, why);
}

typedef struct types {
    int32_t offset_s[256];
    char letters[256][8];
} types;

static const char *read_types(const unsigned char *p, const block *b, types *out)
{
    const unsigned char *chars = p + (size_t)b->types * 6;
    for (uint32_t i = 0; i < b->types; i++, p += 6) {
        const int32_t offset_s = signed32(p);
        const uint32_t at = p[5];
        if (offset_s < LEAST_OFFSET_S || offset_s > LARGEST_OFFSET_S)
            return "holds a clock more than 25 h from UTC";
        if (at >= b->chars || !memchr(chars + at, '\0', b->chars - at))
            return "holds letters beyond their table";
        out->offset_s[i] = offset_s;
        memset(out->letters[i], 0, 8);
        memcpy(out->letters[i], chars + at, strnlen((const char *)chars + at, 7));
    }
    return NULL;
}

/* The block of 64-bit times and the footer behind it; gives why not, or NULL. */
static const char *read_rows(reader *r, const block *b, rows *out)
{
    const size_t length = block_bytes(b, 8);
    if (length > r->n - r->at)
        return "is cut short";
    if (b->leaps)
        return "counts leap seconds, which this program does not";
    const unsigned char *times = r->bytes + r->at, *index = times + (size_t)b->times * 8;
    types found = {0};
    const char *why = read_types(index + b->times, b, &found);
    if (why)
        return why;
    add_row(out, INT64_MIN, found.offset_s[0], found.letters[0]);
    int64_t last_s = INT64_MIN;
    for (uint32_t i = 0; i < b->times; i++) {
        const int64_t at_s = big64(times + (size_t)i * 8);
        if (i > 0 && at_s <= last_s)
            return "holds changes out of order";
        if (index[i] >= b->types)
            return "names a clock that it does not hold";
        last_s = at_s;
        add_row(out, at_s, found.offset_s[index[i]], found.letters[index[i]]);
    }
    r->at += length;
    const char *footer = (const char *)r->bytes + r->at;
    const size_t left = r->n - r->at;
    const char *stop = left > 1 && footer[0] == '\n' ? memchr(footer + 1, '\n', left - 1) : NULL;
    if (!stop)
        return "has no footer";
    if (stop == footer + 1)
        return NULL; /* no rule: the last clock holds on */
    lw_tz_rule rule;
    if (!lw_tz_rule_parse(footer + 1, (size_t)(stop - footer - 1), &rule))
        return "has a footer that is no rule";
    add_rule(out, &rule, last_s, b->times > 0);
    return NULL;
}

lw_code lw_zone_read(const unsigned char *bytes, size_t n, const char *name, int64_t from_s, int64_t to_s,
                     lw_zone *zone, lw_err *err)
{
    if (from_s > to_s || from_s < EARLIEST_S || to_s > LATEST_S)
        return lw_fail(err, LW_E_RANGE, "the span asked of time zone %s is turned round or beyond years 1 to 9999",
                       name);
    reader r = {bytes, n, 0};
    block b;
    unsigned version;
    if (n < 4 || memcmp(bytes, "TZif", 4) != 0)
        return refuse_file(err, name, "is not a compiled time zone");
    if (!read_header(&r, &b, &version))
        return refuse_file(err, name, "has a damaged header");
    if (version < 2)
        return refuse_file(err, name, "is of version 1, which ends in 2037");
    const size_t skipped = block_bytes(&b, 4);
    if (skipped > n - r.at)
        return refuse_file(err, name, "is cut short");
    r.at += skipped;
    if (!read_header(&r, &b, &version))
        return refuse_file(err, name, "has a damaged second header");
    lw_zone found;
    memset(&found, 0, sizeof found);
    rows out = {&found, from_s, to_s, 0};
    const char *why = read_rows(&r, &b, &out);
    if (why)
        return refuse_file(err, name, why);
    if (out.is_full)
        return lw_fail(err, LW_E_FULL, "time zone %s changes its clock more than %d times in the span asked", name,
                       LW_ZONE_CHANGES);
    snprintf(found.name, sizeof found.name, "%s", name);
    *zone = found;
    return LW_OK;
}

static int is_name_sound(const char *name)
{
    const size_t n = strlen(name);
    if (n == 0 || n >= sizeof((lw_zone *)0)->name || name[0] == '/' || name[n - 1] == '/' || strstr(name, "//"))
        return 0;
    for (size_t i = 0; i < n; i++)
        if (!((name[i] >= 'A' && name[i] <= 'Z') || (name[i] >= 'a' && name[i] <= 'z') ||
              (name[i] >= '0' && name[i] <= '9') || strchr("_+-/", name[i])))
            return 0; /* the point is not among them, so neither is ".." */
    return 1;
}

static FILE *open_in_database(const char *name)
{
    char path[512];
    const char *own = getenv("TZDIR");
    if (own && own[0]) {
        snprintf(path, sizeof path, "%s/%s", own, name);
        return fopen(path, "rb");
    }
    for (size_t i = 0; i < sizeof FOLDERS / sizeof FOLDERS[0]; i++) {
        snprintf(path, sizeof path, "%s/%s", FOLDERS[i], name);
        FILE *file = fopen(path, "rb");
        if (file)
            return file;
    }
    return NULL;
}

typedef struct near_name {
    char name[48];
    size_t distance;
} near_name;

/* "Denver" is as near to America/Denver as the whole name. */
static size_t distance_to(const char *wanted, const char *name)
{
    const char *place = strrchr(name, '/');
    const size_t whole = lw_edit_distance(wanted, name);
    const size_t part = place ? lw_edit_distance(wanted, place + 1) : whole;
    return part < whole ? part : whole;
}

static int find_near(const char *wanted, near_name *best)
{
    static const char *const TABLES[] = {"zone.tab", "zone1970.tab"};
    char line[512];
    FILE *table = NULL;
    for (size_t i = 0; i < sizeof TABLES / sizeof TABLES[0] && !table; i++)
        table = open_in_database(TABLES[i]);
    if (!table)
        return 0;
    *best = (near_name){.distance = strlen(wanted) / 3 + 2};
    for (int rows_read = 0; rows_read < LW_ZONE_TABLE_NAMES && fgets(line, sizeof line, table);) {
        if (line[0] == '#')
            continue;
        rows_read++;
        char *name = strchr(line, '\t');
        name = name ? strchr(name + 1, '\t') : NULL;
        if (!name)
            continue;
        name++;
        name[strcspn(name, "\t\n")] = '\0';
        const size_t distance = distance_to(wanted, name);
        if (distance < best->distance && strlen(name) < sizeof best->name) {
            best->distance = distance;
            memcpy(best->name, name, strlen(name) + 1);
        }
    }
    fclose(table);
    return 1;
}

static lw_code refuse_name(const char *name, lw_err *err)
{
    near_name near = {.distance = 0};
    const lw_quoted_text quoted = lw_quoted(name, strlen(name));
    const int has_table = find_near(quoted.text, &near);
    if (!has_table)
        return lw_fail(err, LW_E_MISSING, "time zone %s: this system has no tz database; install its package tzdata",
                       quoted.text);
    if (near.name[0])
        return lw_fail(err, LW_E_MISSING, "there is no time zone %s; did you mean %s?", quoted.text, near.name);
    return lw_fail(err, LW_E_MISSING,
                   "there is no time zone %s; write a name of the tz database, such as America/Denver", quoted.text);
}

lw_code lw_zone_load(const char *name, int64_t from_s, int64_t to_s, lw_zone *zone, lw_err *err)
{
    FILE *file = is_name_sound(name) ? open_in_database(name) : NULL;
    if (!file)
        return refuse_name(name, err);
    lw_code code = LW_OK;
    unsigned char *bytes = malloc(LW_TZIF_BYTES + 1);
    const size_t n = bytes ? fread(bytes, 1, LW_TZIF_BYTES + 1, file) : 0;
    if (!bytes)
        code = lw_fail(err, LW_E_FULL, "no memory to read time zone %s", name);
    else if (ferror(file)) /* a folder such as "America" */
        code = refuse_name(name, err);
    else if (n > LW_TZIF_BYTES)
        code = refuse_file(err, name, "is larger than any zone");
    else
        code = lw_zone_read(bytes, n, name, from_s, to_s, zone, err);
    free(bytes);
    fclose(file);
    return code;
}

static int is_zone_there(const char *name)
{
    FILE *file = is_name_sound(name) ? open_in_database(name) : NULL;
    if (!file)
        return 0;
    char magic[4];
    const int is_zone = fread(magic, 1, 4, file) == 4 && memcmp(magic, "TZif", 4) == 0;
    fclose(file);
    return is_zone;
}

static int name_from_link(char *buf, size_t n)
{
    char target[512];
    const ssize_t length = readlink("/etc/localtime", target, sizeof target - 1);
    if (length <= 0)
        return 0;
    target[length] = '\0';
    const char *folder = strstr(target, "zoneinfo/");
    if (!folder)
        return 0;
    const char *name = folder + strlen("zoneinfo/");
    name += strncmp(name, "posix/", 6) == 0 ? 6 : 0;
    snprintf(buf, n, "%s", name);
    return is_zone_there(buf);
}

static int name_from_file(char *buf, size_t n)
{
    FILE *file = fopen("/etc/timezone", "r");
    if (!file)
        return 0;
    char line[128] = "";
    const int is_read = fgets(line, sizeof line, file) != NULL;
    fclose(file);
    line[strcspn(line, " \t\r\n#")] = '\0';
    snprintf(buf, n, "%s", line);
    return is_read && is_zone_there(buf);
}

char *lw_zone_machine(char *buf, size_t n)
{
    const char *variable = getenv("TZ");
    if (variable && variable[0]) {
        variable += variable[0] == ':';
        if (is_zone_there(variable)) {
            snprintf(buf, n, "%s", variable);
            return buf;
        }
    }
    if (!name_from_link(buf, n) && !name_from_file(buf, n))
        snprintf(buf, n, "UTC");
    return buf;
}
