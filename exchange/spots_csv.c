#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "exchange/spots_internal.h"
#include "text/decimal.h"
#include "text/say.h"

static const char *const LAT[] = {"lat", "latitude", "latitude_deg"}, *const LON[] = {"lon", "longitude",
                                                                                      "longitude_deg"};
enum { SPELLINGS = 3, COLUMNS_MOST = 64 };

typedef struct table {
    lw_csv *csv;
    int lat, lon, count;
    char name[COLUMNS_MOST][40];
} table;

/* Without the blanks around it; those of ours whatever their case. */
static void name_column(const char *text, size_t n, char name[40])
{
    static const char *const OURS[] = {"name",         "kind", "lat",       "latitude",
                                       "latitude_deg", "lon",  "longitude", "longitude_deg"};
    while (n && (*text == ' ' || *text == '\t'))
        text++, n--;
    while (n && (text[n - 1] == ' ' || text[n - 1] == '\t'))
        n--;
    snprintf(name, 40, "%.*s", n < 39 ? (int)n : 39, text);
    for (size_t i = 0; i < sizeof OURS / sizeof OURS[0]; i++)
        if (strcasecmp(name, OURS[i]) == 0)
            snprintf(name, 40, "%s", OURS[i]);
}

static int column_of(const table *t, const char *const spelling[SPELLINGS])
{
    for (int i = 0; i < SPELLINGS; i++)
        for (int k = 0; k < t->count; k++)
            if (strcmp(t->name[k], spelling[i]) == 0)
                return k;
    return -1;
}

static lw_code take_header(const lw_spots_run *run, table *t)
{
    const lw_csv *csv = t->csv;
    t->count = csv->count < COLUMNS_MOST ? (int)csv->count : COLUMNS_MOST;
    for (int i = 0; i < t->count; i++)
        name_column(csv->field[i], csv->field_n[i], t->name[i]);
    t->lat = column_of(t, LAT);
    t->lon = column_of(t, LON);
    if (t->lat >= 0 && t->lon >= 0)
        return LW_OK;
    if (csv->count == 0)
        lw_fail(run->err, LW_E_MISSING, "there is nothing in it; a map or a table of places is expected");
    else
        lw_fail(run->err, LW_E_MISSING,
                "column %s is missing in '%s'; a table of places has lat, lon, name and kind, with commas between",
                t->lat < 0 ? LAT[0] : LON[0], lw_quoted(csv->raw, csv->raw_n).text);
    return lw_err_at(run->err, NULL, csv->count ? csv->line : 1, NULL);
}

static lw_code take_degrees(const lw_spots_run *run, const table *t, int at, double *degrees)
{
    const char *text = (size_t)at < t->csv->count ? t->csv->field[at] : "";
    if (lw_decimal_parse(text, text + strlen(text), degrees))
        return LW_OK;
    lw_fail(run->err, LW_E_SYNTAX, "'%s' is no number of degrees", lw_quoted(text, strlen(text)).text);
    return lw_err_at(run->err, NULL, t->csv->line, t->name[at]);
}

static lw_code take_line(const lw_spots_run *run, const table *t)
{
    lw_spot_draft draft = {.has_water = 0};
    lw_code code = take_degrees(run, t, t->lat, &draft.row.spot.latitude_deg);
    code = code ? code : take_degrees(run, t, t->lon, &draft.row.spot.longitude_deg);
    for (int i = 0; i < t->count && (size_t)i < t->csv->count && !code; i++) {
        if (strcmp(t->name[i], "kind") == 0 && t->csv->field_n[i] && !lw_spot_kinds_of(t->csv->field[i])) {
            lw_fail(run->err, LW_E_SYNTAX, "'%s' is no kind; " LW_SPOT_KINDS_SAID "and no others are",
                    lw_quoted(t->csv->field[i], t->csv->field_n[i]).text);
            return lw_err_at(run->err, NULL, t->csv->line, "kind");
        }
        if (i != t->lat && i != t->lon)
            lw_spot_tag(&draft, t->name[i], t->csv->field[i]);
    }
    code = code ? code : lw_spot_done(run, &draft);
    return code && !strstr(run->err->where, "line") ? lw_err_at(run->err, NULL, t->csv->line, NULL) : code;
}

static lw_code take_lines(const lw_spots_run *run, table *t)
{
    lw_code code = lw_csv_next(t->csv, run->err);
    code = code ? code : take_header(run, t);
    while (!code) {
        code = lw_csv_next(t->csv, run->err);
        if (code || t->csv->count == 0)
            return code;
        code = take_line(run, t);
    }
    return code;
}

lw_code lw_spots_csv(const lw_spots_run *run)
{
    table *t = calloc(1, sizeof *t);
    lw_code code = LW_E_FULL;
    if (t && (t->csv = calloc(1, sizeof *t->csv)) != NULL) {
        lw_csv_init(t->csv, run->read, run->source, LW_CSV_COMMENTS);
        code = take_lines(run, t);
        free(t->csv);
    } else {
        lw_fail(run->err, code, "no memory to read places");
    }
    free(t);
    return code;
}
