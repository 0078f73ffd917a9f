#include "exchange/profile.h"

#include <errno.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/csv.h"
#include "text/decimal.h"
#include "text/say.h"

enum { D_KM, H_M, CLUTTER_M, ZONE, COLUMNS };
static const char *const NAMES[COLUMNS] = {"d_km", "h_m", "clutter_m", "zone"};

typedef struct reading {
    lw_csv *csv;
    const char *path;
    int at[COLUMNS];
    double *numbers; /* three stretches of LW_PROFILE_POINTS */
    unsigned char *zones;
    int count;
} reading;

static lw_code read_header(reading *r, lw_err *err)
{
    if (lw_csv_next(r->csv, err))
        return lw_err_at(err, r->path, 0, NULL);
    for (int c = 0; c < COLUMNS; c++) {
        r->at[c] = r->csv->count ? lw_csv_column(r->csv, NAMES[c]) : -1;
        if (c <= H_M && r->at[c] < 0) {
            lw_fail(err, LW_E_MISSING, "column %s is missing; a path's profile has d_km and h_m", NAMES[c]);
            return lw_err_at(err, r->path, r->csv->count ? r->csv->line : 0, NULL);
        }
    }
    return LW_OK;
}

static lw_code read_point(reading *r, lw_err *err)
{
    if (r->count == LW_PROFILE_POINTS) {
        lw_fail(err, LW_E_FULL, "a path has at most %d points; take longer steps", LW_PROFILE_POINTS);
        return lw_err_at(err, r->path, r->csv->line, NULL);
    }
    for (int c = 0; c < COLUMNS; c++) {
        double value;
        if (r->at[c] < 0)
            continue;
        const size_t at = (size_t)r->at[c];
        const char *text = at < r->csv->count ? r->csv->field[at] : "";
        if (!lw_decimal_parse(text, text + strlen(text), &value)) {
            lw_fail(err, LW_E_SYNTAX, "'%s' is no number; write digits with a point, such as 12.5",
                    lw_quoted(text, strlen(text)).text);
            return lw_err_at(err, r->path, r->csv->line, NAMES[c]);
        }
        if (c == ZONE)
            r->zones[r->count] = value >= 0.0 && value <= 9.0 ? (unsigned char)value : 0;
        else
            r->numbers[c * LW_PROFILE_POINTS + r->count] = value;
    }
    r->count++;
    return LW_OK;
}

static lw_code read_points(reading *r, lw_profile_file *out, lw_err *err)
{
    lw_code code = read_header(r, err);
    while (!code) {
        if (lw_csv_next(r->csv, err))
            return lw_err_at(err, r->path, 0, NULL);
        if (r->csv->count == 0)
            break;
        code = read_point(r, err);
    }
    if (code)
        return code;
    out->profile =
        (lw_profile){.count = r->count,
                     .d_km = r->numbers,
                     .h_m = r->numbers + LW_PROFILE_POINTS,
                     .clutter_m = r->at[CLUTTER_M] < 0 ? NULL : r->numbers + (ptrdiff_t)2 * LW_PROFILE_POINTS,
                     .zone = r->at[ZONE] < 0 ? NULL : r->zones};
    lw_fault fault = {0};
    if (!lw_profile_check(&out->profile, &fault))
        return LW_OK;
    lw_fault_say(&fault, err);
    return lw_err_at(err, r->path, 0, fault.field);
}

lw_code lw_profile_load(const char *path, lw_profile_file *out, lw_err *err)
{
    *out = (lw_profile_file){0};
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
        return lw_err_at(err, path, 0, NULL);
    }
    out->numbers = malloc((size_t)3 * LW_PROFILE_POINTS * sizeof *out->numbers);
    out->zones = malloc(LW_PROFILE_POINTS);
    reading r = {.csv = malloc(sizeof *r.csv), .path = path, .numbers = out->numbers, .zones = out->zones};
    lw_code code;
    if (!r.csv || !r.numbers || !r.zones) {
        code = lw_fail(err, LW_E_FULL, "no memory to read a path's profile");
    } else {
        lw_csv_init(r.csv, lw_read_file, file, LW_CSV_COMMENTS);
        code = read_points(&r, out, err);
    }
    free(r.csv);
    (void)fclose(file);
    if (code)
        lw_profile_file_clear(out);
    return code;
}

void lw_profile_file_clear(lw_profile_file *file)
{
    free(file->numbers);
    free(file->zones);
    *file = (lw_profile_file){0};
}
