#include "exchange/ascii_grid.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "exchange/limits.h"
#include "text/decimal.h"
#include "text/say.h"

enum { NCOLS, NROWS, CELLSIZE, XCENTER, YCENTER, XCORNER, YCORNER, NODATA, HEADINGS };
static const char *const WORDS[HEADINGS] = {"ncols",     "nrows",     "cellsize",  "xllcenter",
                                            "yllcenter", "xllcorner", "yllcorner", "nodata_value"};

typedef struct scan {
    const char *at, *end;
} scan;

static void skip_blanks(scan *s)
{
    while (s->at < s->end && (*s->at == ' ' || *s->at == '\t' || *s->at == '\r' || *s->at == '\n'))
        s->at++;
}

static lw_code take_number(scan *s, const char *what, double *value, lw_err *err)
{
    skip_blanks(s);
    const char *after = lw_decimal_scan(s->at, s->end, value);
    if (!after) {
        size_t n = 0;
        while (s->at + n < s->end && s->at[n] > ' ')
            n++;
        return n ? lw_fail(err, LW_E_SYNTAX, "'%s' is no number for %s", lw_quoted(s->at, n).text, what)
                 : lw_fail(err, LW_E_MISSING, "the file ends before %s", what);
    }
    s->at = after;
    return LW_OK;
}

static int heading_at(const scan *s, size_t n)
{
    for (int h = 0; h < HEADINGS; h++)
        if (strlen(WORDS[h]) == n && strncasecmp(s->at, WORDS[h], n) == 0)
            return h;
    return -1;
}

static lw_code take_headings(scan *s, double value[HEADINGS], lw_err *err)
{
    for (int h = 0; h < HEADINGS; h++)
        value[h] = (double)NAN;
    for (skip_blanks(s); s->at < s->end && (*s->at | 0x20) >= 'a' && (*s->at | 0x20) <= 'z'; skip_blanks(s)) {
        size_t n = 0;
        while (s->at + n < s->end && s->at[n] > ' ')
            n++;
        const int h = heading_at(s, n);
        if (h < 0)
            return lw_fail(err, LW_E_SYNTAX, "'%s' is no heading of an ASCII grid; %s and the like are",
                           lw_quoted(s->at, n).text, WORDS[NCOLS]);
        s->at += n;
        const lw_code code = take_number(s, WORDS[h], &value[h], err);
        if (code)
            return code;
    }
    for (int h = NCOLS; h <= CELLSIZE; h++)
        if (isnan(value[h]))
            return lw_fail(err, LW_E_MISSING, "the heading %s is missing", WORDS[h]);
    return LW_OK;
}

static lw_code take_heights(scan *s, const double value[HEADINGS], lw_ascii_grid *out, lw_err *err)
{
    const double columns = value[NCOLS], rows = value[NROWS];
    if (!(columns >= 2.0 && rows >= 2.0 && columns * rows <= LW_ASCII_GRID_CELLS))
        return lw_fail(err, LW_E_FULL, "%s x %s heights; from 2 x 2 up to %d in all are read", lw_num(columns).text,
                       lw_num(rows).text, LW_ASCII_GRID_CELLS);
    const double half_m = 0.5 * value[CELLSIZE];
    const double left_m = isnan(value[XCENTER]) ? value[XCORNER] + half_m : value[XCENTER],
                 bottom_m = isnan(value[YCENTER]) ? value[YCORNER] + half_m : value[YCENTER];
    if (isnan(left_m) || isnan(bottom_m))
        return lw_fail(err, LW_E_MISSING, "the heading %s is missing", WORDS[isnan(left_m) ? XCENTER : YCENTER]);
    const size_t count = (size_t)columns * (size_t)rows;
    double *h_m = malloc(count * sizeof *h_m);
    if (!h_m)
        return lw_fail(err, LW_E_FULL, "no memory for a grid");
    lw_code code = LW_OK;
    for (size_t i = 0; i < count && !code; i++) {
        code = take_number(s, "a height", &h_m[i], err);
        if (!code && fabs(h_m[i] - value[NODATA]) < 1e-9)
            h_m[i] = (double)NAN;
    }
    const lw_flat_grid grid = {(int)columns, (int)rows, left_m, bottom_m, value[CELLSIZE], h_m};
    lw_fault fault = {0};
    if (!code && lw_flat_grid_check(&grid, &fault))
        code = lw_fault_say(&fault, err);
    if (code)
        free(h_m);
    else
        *out = (lw_ascii_grid){grid, h_m};
    return code;
}

lw_code lw_ascii_grid_read(const char *text, size_t size, lw_ascii_grid *out, lw_err *err)
{
    scan s = {text, text + size};
    double value[HEADINGS];
    const lw_code code = take_headings(&s, value, err);
    return code ? code : take_heights(&s, value, out, err);
}

static lw_code read_file(FILE *file, lw_ascii_grid *out, lw_err *err)
{
    char *text = malloc(LW_ASCII_GRID_BYTES);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for a grid");
    const size_t n = fread(text, 1, LW_ASCII_GRID_BYTES, file);
    lw_code code;
    if (ferror(file))
        code = lw_fail(err, LW_E_IO, "cannot be read: %s", strerror(errno));
    else if (n == LW_ASCII_GRID_BYTES)
        code = lw_fail(err, LW_E_FULL, "is larger than %d bytes", LW_ASCII_GRID_BYTES);
    else
        code = lw_ascii_grid_read(text, n, out, err);
    free(text);
    return code;
}

lw_code lw_ascii_grid_load(const char *path, lw_ascii_grid *out, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    lw_code code;
    if (!file) {
        code = lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
    } else {
        code = read_file(file, out, err);
        (void)fclose(file);
    }
    return code ? lw_err_at(err, path, 0, NULL) : LW_OK;
}

void lw_ascii_grid_clear(lw_ascii_grid *grid)
{
    free(grid->owned);
    *grid = (lw_ascii_grid){0};
}
