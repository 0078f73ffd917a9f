/* tests/table.h: reads a reference table: '#' lines are its source, then a header line, then rows; an empty field is
 * NaN. Times ("2026-01-20T06:36:48Z") become seconds since 1970, dates days since 1970. For tests only: it aborts the
 * test on a file it cannot read. */
#ifndef LW_TESTS_TABLE_H
#define LW_TESTS_TABLE_H

#include <stdlib.h>
#include <string.h>

#include "tests/check.h"

typedef struct table {
    FILE *file;
    char header[2048], line[2048];
    char *names[64], *fields[64];
    int name_count, field_count, row; /* row counts from 1 */
    const char *path;
} table;

static inline int table_cut(char *text, char *parts[64])
{
    int count = 0;
    text[strcspn(text, "\r\n")] = '\0';
    for (char *at = text; at && count < 64; count++) {
        parts[count] = at;
        at = strchr(at, ',');
        if (at)
            *at++ = '\0';
    }
    return count;
}

static inline int table_line(table *t, char *into, size_t size)
{
    while (fgets(into, (int)size, t->file))
        if (into[0] != '#' && into[0] != '\n')
            return 1;
    return 0;
}

static inline void table_open(table *t, const char *path)
{
    memset(t, 0, sizeof *t);
    t->path = path;
    t->file = fopen(path, "r");
    if (!t->file || !table_line(t, t->header, sizeof t->header))
        fail_msg("%s: cannot be read", path);
    t->name_count = table_cut(t->header, t->names);
}

/* The next row; closes the file behind the last one. */
static inline int table_next(table *t)
{
    if (!table_line(t, t->line, sizeof t->line)) {
        if (t->row == 0)
            fail_msg("%s: no rows", t->path);
        fclose(t->file);
        return 0;
    }
    t->row++;
    t->field_count = table_cut(t->line, t->fields);
    if (t->field_count != t->name_count)
        fail_msg("%s row %d: %d fields under %d names", t->path, t->row, t->field_count, t->name_count);
    return 1;
}

static inline int table_has(const table *t, const char *name)
{
    for (int i = 0; i < t->name_count; i++)
        if (strcmp(t->names[i], name) == 0)
            return 1;
    return 0;
}

static inline const char *table_text(const table *t, const char *name)
{
    for (int i = 0; i < t->name_count; i++)
        if (strcmp(t->names[i], name) == 0)
            return t->fields[i];
    fail_msg("%s: no column %s", t->path, name);
    return "";
}

static inline double table_number(const table *t, const char *name)
{
    const char *text = table_text(t, name);
    return *text ? strtod(text, NULL) : (double)NAN;
}

/* Counted from March, so that the leap day comes last: 153 days in each five months. */
static inline double table_day_number(int year, int month, int day)
{
    const int y = month > 2 ? year : year - 1, m = (month + 9) % 12;
    return 365.0 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 1 - 719468;
}

static inline double table_date(const table *t, const char *name)
{
    int year, month, day;
    if (sscanf(table_text(t, name), "%d-%d-%d", &year, &month, &day) != 3)
        return (double)NAN;
    return table_day_number(year, month, day);
}

static inline double table_time(const table *t, const char *name)
{
    int year, month, day, hour, minute;
    double second;
    if (sscanf(table_text(t, name), "%d-%d-%dT%d:%d:%lfZ", &year, &month, &day, &hour, &minute, &second) != 6)
        return (double)NAN;
    return table_day_number(year, month, day) * 86400.0 + hour * 3600.0 + minute * 60.0 + second;
}

#endif
