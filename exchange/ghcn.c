#include "exchange/ghcn.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "exchange/ghcn_internal.h"
#include "text/decimal.h"
#include "text/say.h"

enum { FIXED_DAYS = 31, FIXED_DAY_BYTES = 8, FIXED_HEAD_BYTES = 21 };

static lw_code fail_here(const lw_csv *csv, lw_err *err)
{
    return lw_err_at(err, NULL, csv->line, NULL);
}

int lw_ghcn_slot(int year, int month, int day)
{
    return ((year - LW_GHCN_FIRST_YEAR) * LW_MONTHS + month - 1) * FIXED_DAYS + day - 1;
}

/* ---- one value ---- */

static const char *const ELEMENTS[LW_GHCN_ELEMENTS] = {"TMAX", "TMIN", "PRCP"};
static const int LEAST[LW_GHCN_ELEMENTS] = {-900, -900, 0}, MOST[LW_GHCN_ELEMENTS] = {600, 600, 18500};

static int element_named(const char *name, size_t n)
{
    for (int e = 0; e < LW_GHCN_ELEMENTS; e++)
        if (n == 4 && memcmp(name, ELEMENTS[e], 4) == 0)
            return e;
    return -1;
}

static void put(lw_ghcn_days *days, int element, int slot, int tenths, char quality)
{
    if (tenths == -9999)
        return;
    if (quality != ' ' && quality != '\0')
        days->dropped_by_flag++;
    else if (tenths < LEAST[element] || tenths > MOST[element])
        days->dropped_as_wrong++;
    else
        days->tenths[element][slot] = (int16_t)tenths;
}

/* Blanks around; -1 when it is no whole number of up to six digits. An empty field is missing where that may be. */
static int read_whole(const char *text, size_t n, int *value)
{
    char plain[16];
    double number;
    while (n > 0 && text[0] == ' ')
        text++, n--;
    while (n > 0 && text[n - 1] == ' ')
        n--;
    if (n == 0 || n >= sizeof plain)
        return n == 0 ? 0 : -1;
    memcpy(plain, text, n);
    if (!lw_decimal_parse(plain, plain + n, &number) || !(fabs(number) < 1e6) || fabs(number - nearbyint(number)) > 0.0)
        return -1;
    *value = (int)number;
    return 1;
}

static lw_code read_tenths(const lw_csv *csv, const char *text, size_t n, int element, int *tenths, lw_err *err)
{
    *tenths = -9999;
    if (read_whole(text, n, tenths) >= 0)
        return LW_OK;
    lw_fail(err, LW_E_SYNTAX, "%s is '%s', which is no whole number of tenths", ELEMENTS[element],
            lw_quoted(text, n).text);
    return fail_here(csv, err);
}

static lw_code check_date(const lw_csv *csv, int year, int month, int day, lw_err *err)
{
    if (year >= LW_GHCN_FIRST_YEAR && year <= LW_GHCN_LAST_YEAR && month >= 1 && month <= LW_MONTHS && day >= 1 &&
        day <= lw_days_in_month(year, month))
        return LW_OK;
    lw_fail(err, LW_E_RANGE, "%d-%02d-%02d is no day of %d to %d", year, month, day, LW_GHCN_FIRST_YEAR,
            LW_GHCN_LAST_YEAR);
    return fail_here(csv, err);
}

/* "20120131" or "2012-01-31" */
static lw_code read_date(const lw_csv *csv, const char *text, int *slot, lw_err *err)
{
    int year = 0, month = 0, day = 0, used = 0;
    const size_t n = strlen(text);
    if ((n == 8 && strspn(text, "0123456789") == 8 && sscanf(text, "%4d%2d%2d%n", &year, &month, &day, &used) == 3) ||
        (n == 10 && text[4] == '-' && text[7] == '-' && strspn(text, "0123456789-") == 10 &&
         sscanf(text, "%4d-%2d-%2d%n", &year, &month, &day, &used) == 3)) {
        const lw_code bad = check_date(csv, year, month, day, err);
        *slot = bad ? 0 : lw_ghcn_slot(year, month, day);
        return bad;
    }
    lw_fail(err, LW_E_SYNTAX, "'%s' is no date of the form 20120131 or 2012-01-31", lw_quoted(text, n).text);
    return fail_here(csv, err);
}

/* ---- which station ---- */

/* 1: take the row; 0: another station's; -1: refused. */
static int is_wanted(const lw_csv *csv, lw_ghcn_days *days, const char *id, size_t n, lw_err *err)
{
    char here[sizeof days->id];
    snprintf(here, sizeof here, "%.*s", n < sizeof here ? (int)n : (int)sizeof here - 1, id);
    if (days->wanted) {
        const int is_it = strcmp(here, days->wanted) == 0;
        if (is_it && !days->id[0])
            snprintf(days->id, sizeof days->id, "%s", here);
        return is_it;
    }
    if (!days->id[0]) {
        if (here[0])
            snprintf(days->id, sizeof days->id, "%s", here);
        else
            lw_fail(err, LW_E_SYNTAX, "the row names no station");
    } else if (strcmp(here, days->id) != 0)
        lw_fail(err, LW_E_CONFLICT, "the file holds several stations, first %s, here %s; name one",
                lw_quoted(days->id, strlen(days->id)).text, lw_quoted(here, strlen(here)).text);
    else
        return 1;
    if (!err->code)
        return 1;
    fail_here(csv, err);
    return -1;
}

/* ---- the long form ---- */

static lw_code read_long_row(const lw_csv *csv, lw_ghcn_days *days, lw_err *err)
{
    if (csv->count < 6) {
        lw_fail(err, LW_E_SYNTAX, "this row has %zu fields; station, date, element, value and two flags are needed",
                csv->count);
        return fail_here(csv, err);
    }
    const int wanted = is_wanted(csv, days, csv->field[0], csv->field_n[0], err);
    if (wanted < 0)
        return err->code;
    const int element = element_named(csv->field[2], csv->field_n[2]);
    int slot = 0, tenths = 0;
    lw_code bad = read_date(csv, csv->field[1], &slot, err);
    if (bad || wanted == 0 || element < 0)
        return bad;
    bad = read_tenths(csv, csv->field[3], csv->field_n[3], element, &tenths, err);
    if (!bad)
        put(days, element, slot, tenths, csv->field[5][0]);
    return bad;
}

/* ---- the wide form ---- */

typedef struct wide {
    int station, date, name, place[3];
    int value[LW_GHCN_ELEMENTS], flags[LW_GHCN_ELEMENTS];
} wide;

static lw_code read_wide_names(const lw_csv *csv, wide *w, lw_err *err)
{
    static const char *const PLACE[] = {"LATITUDE", "LONGITUDE", "ELEVATION"};
    *w = (wide){.station = lw_csv_column(csv, "STATION"),
                .date = lw_csv_column(csv, "DATE"),
                .name = lw_csv_column(csv, "NAME")};
    for (int i = 0; i < 3; i++)
        w->place[i] = lw_csv_column(csv, PLACE[i]);
    int found = 0;
    for (int e = 0; e < LW_GHCN_ELEMENTS; e++) {
        char flags[20];
        snprintf(flags, sizeof flags, "%s_ATTRIBUTES", ELEMENTS[e]);
        w->value[e] = lw_csv_column(csv, ELEMENTS[e]);
        w->flags[e] = lw_csv_column(csv, flags);
        found += w->value[e] >= 0;
    }
    if (w->station >= 0 && w->date >= 0 && found > 0)
        return LW_OK;
    lw_fail(err, LW_E_MISSING, "the header names no STATION, DATE and TMAX, TMIN or PRCP");
    return fail_here(csv, err);
}

static const char *field_or_nothing(const lw_csv *csv, int at)
{
    return at >= 0 && (size_t)at < csv->count ? csv->field[at] : "";
}

/* The second of the comma-parted attributes. */
static char quality_of(const char *attributes)
{
    const char *comma = strchr(attributes, ',');
    return !comma || comma[1] == ',' ? '\0' : comma[1];
}

static void read_wide_place(const lw_csv *csv, const wide *w, lw_ghcn_days *days)
{
    const char *name = field_or_nothing(csv, w->name);
    static const double LIMIT[] = {90.0, 180.0, 9000.0};
    for (int i = 0; i < 3; i++) {
        const char *text = field_or_nothing(csv, w->place[i]);
        double value;
        text += strspn(text, " ");
        if (lw_decimal_parse(text, text + strcspn(text, " "), &value) && fabs(value) <= LIMIT[i])
            days->place[i] = value;
    }
    snprintf(days->name, sizeof days->name, "%s", lw_quoted(name, strlen(name)).text);
}

static lw_code read_wide_row(const lw_csv *csv, const wide *w, lw_ghcn_days *days, lw_err *err)
{
    int slot = 0;
    const char *id = field_or_nothing(csv, w->station);
    const int wanted = is_wanted(csv, days, id, strlen(id), err);
    if (wanted < 0)
        return err->code;
    lw_code bad = read_date(csv, field_or_nothing(csv, w->date), &slot, err);
    if (bad || wanted == 0)
        return bad;
    if (!days->name[0])
        read_wide_place(csv, w, days);
    for (int e = 0; e < LW_GHCN_ELEMENTS && !bad; e++) {
        const char *text = field_or_nothing(csv, w->value[e]);
        int tenths = 0;
        bad = read_tenths(csv, text, strlen(text), e, &tenths, err);
        if (!bad)
            put(days, e, slot, tenths, quality_of(field_or_nothing(csv, w->flags[e])));
    }
    return bad;
}

/* ---- the fixed form ---- */

/* A line may have lost the blanks at its end. */
static char letter_at(const lw_csv *csv, size_t at)
{
    return at < csv->raw_n ? csv->raw[at] : ' ';
}

static lw_code read_fixed_row(const lw_csv *csv, lw_ghcn_days *days, lw_err *err)
{
    int year = 0, month = 0;
    if (csv->raw_n < FIXED_HEAD_BYTES || read_whole(csv->raw + 11, 4, &year) != 1 ||
        read_whole(csv->raw + 15, 2, &month) != 1) {
        lw_fail(err, LW_E_SYNTAX,
                "this is no line of daily records: columns 1 to 21 hold station, year, month and element");
        return fail_here(csv, err);
    }
    const int wanted = is_wanted(csv, days, csv->raw, 11, err);
    if (wanted < 0)
        return err->code;
    lw_code bad = check_date(csv, year, month, 1, err);
    const int element = element_named(csv->raw + 17, 4);
    if (bad || wanted == 0 || element < 0)
        return bad;
    for (int day = 1; day <= FIXED_DAYS; day++) {
        const size_t at = FIXED_HEAD_BYTES + (size_t)(day - 1) * FIXED_DAY_BYTES;
        int tenths = -9999;
        if (at >= csv->raw_n)
            break;
        bad = read_tenths(csv, csv->raw + at, csv->raw_n - at < 5 ? csv->raw_n - at : 5, element, &tenths, err);
        if (bad)
            return bad;
        if (day <= lw_days_in_month(year, month))
            put(days, element, lw_ghcn_slot(year, month, day), tenths, letter_at(csv, at + 6));
    }
    return LW_OK;
}

/* ---- the file ---- */

typedef enum form { LONG, WIDE, FIXED } form;

static lw_code find_form(const lw_csv *csv, form *f, wide *w, lw_err *err)
{
    if (lw_csv_column(csv, "STATION") >= 0) {
        *f = WIDE;
        return read_wide_names(csv, w, err);
    }
    *f = csv->count > 1 ? LONG : FIXED;
    const size_t id_n = csv->count > 1 ? csv->field_n[0] : csv->raw_n;
    if (csv->count >= 6 ? id_n >= 3 && id_n <= 20 : csv->count == 1 && csv->raw_n >= FIXED_HEAD_BYTES)
        return LW_OK;
    lw_fail(err, LW_E_SYNTAX,
            "this is no file of daily records: the long form has station, date, element and value in a line, the wide "
            "form a header with STATION, the fixed form 21 columns before its days");
    return fail_here(csv, err);
}

static lw_code read_days(lw_csv *csv, lw_ghcn_days *days, lw_err *err)
{
    form f = LONG;
    wide w;
    lw_code bad = lw_csv_next(csv, err);
    if (!bad && csv->count == 0)
        return lw_fail(err, LW_E_MISSING, "the file is empty");
    bad = bad ? bad : find_form(csv, &f, &w, err);
    if (!bad && f == WIDE)
        bad = lw_csv_next(csv, err);
    while (!bad && csv->count > 0) {
        bad = f == WIDE   ? read_wide_row(csv, &w, days, err)
              : f == LONG ? read_long_row(csv, days, err)
                          : read_fixed_row(csv, days, err);
        bad = bad ? bad : lw_csv_next(csv, err);
    }
    if (!bad && !days->id[0])
        return days->wanted ? lw_fail(err, LW_E_MISSING, "there is no station %s in this file",
                                      lw_quoted(days->wanted, strlen(days->wanted)).text)
                            : lw_fail(err, LW_E_MISSING, "the file has a header and no days");
    return bad;
}

lw_code lw_ghcn_read(lw_read_fn *read, void *context, const char *name, const char *station, lw_ghcn_climate *out,
                     lw_err *err)
{
    lw_csv *csv = malloc(sizeof *csv);
    lw_ghcn_days *days = malloc(sizeof *days);
    lw_code code;
    if (!csv || !days) {
        code = lw_fail(err, LW_E_FULL, "no memory to read the days of a station");
    } else {
        lw_csv_init(csv, read, context, 0);
        memset(days, 0, sizeof *days);
        for (int e = 0; e < LW_GHCN_ELEMENTS; e++)
            for (int i = 0; i < LW_GHCN_SLOTS; i++)
                days->tenths[e][i] = LW_GHCN_NONE;
        days->wanted = station;
        days->place[0] = days->place[1] = days->place[2] = NAN;
        code = read_days(csv, days, err);
        code = code ? code : lw_ghcn_climate_of(days, out, err);
    }
    free(csv);
    free(days);
    return code ? lw_err_at(err, name, 0, NULL) : LW_OK;
}

lw_code lw_ghcn_read_path(const char *path, const char *station, lw_ghcn_climate *out, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, LW_E_IO, "the system does not let this file be read; is its name right?");
        return lw_err_at(err, path, 0, NULL);
    }
    const lw_code code = lw_ghcn_read(lw_read_file, file, path, station, out, err);
    fclose(file);
    return code;
}
