#include "exchange/towers.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/unpack.h"
#include "text/decimal.h"
#include "text/say.h"

enum { RADIO, MCC, NET, CELL, LON, LAT, SAMPLES, CHANGEABLE, COLUMNS, FIELDS_LEAST = 5 };

static const struct {
    const char *name;
    int at; /* without a header */
    int is_needed;
    double low, high;
} COLUMN[COLUMNS] = {
    [RADIO] = {"radio", 0, 1, 0, 0},        [MCC] = {"mcc", 1, 1, 0, 999},
    [NET] = {"net", 2, 1, 0, 99999},        [CELL] = {"cell", 4, 1, 0, 68719476735.0}, /* 36 bits: NR */
    [LON] = {"lon", 6, 1, -180, 180},       [LAT] = {"lat", 7, 1, -90, 90},
    [SAMPLES] = {"samples", 9, 0, 0, 1e12}, [CHANGEABLE] = {"changeable", 10, 0, 0, 1},
};

typedef struct reading {
    lw_csv *csv;
    int at[COLUMNS];
    lw_tower_fn *take;
    void *context;
    lw_err *err;
} reading;

/* 0: no radio of this name; 1: one that carries data today, in *kind; 2: an older one. */
static int radio_of(const char *word, lw_radio_kind *kind)
{
    static const char *const OLD[] = {"GSM", "UMTS", "CDMA", "NBIOT"};
    *kind = strcmp(word, "NR") == 0 ? LW_RADIO_NR : LW_RADIO_LTE;
    if (strcmp(word, "LTE") == 0 || strcmp(word, "NR") == 0)
        return 1;
    for (size_t i = 0; i < sizeof OLD / sizeof OLD[0]; i++)
        if (strcmp(word, OLD[i]) == 0)
            return 2;
    return 0;
}

/* 1: the first record names the columns. */
static int take_header(reading *r)
{
    lw_radio_kind kind;
    const int is_header = r->csv->count && !radio_of(r->csv->field[0], &kind);
    for (int c = 0; c < COLUMNS; c++)
        r->at[c] = is_header ? lw_csv_column(r->csv, COLUMN[c].name) : COLUMN[c].at;
    return is_header;
}

static lw_code check_header(const reading *r)
{
    for (int c = 0; c < COLUMNS; c++)
        if (r->at[c] < 0 && COLUMN[c].is_needed) {
            lw_fail(r->err, LW_E_MISSING, "column %s is missing; a list of cells has radio, mcc, net, cell, lon, lat",
                    COLUMN[c].name);
            return lw_err_at(r->err, NULL, r->csv->line, NULL);
        }
    return LW_OK;
}

static lw_code take_field(const reading *r, int c, double *value)
{
    const size_t at = (size_t)(r->at[c] < 0 ? 0 : r->at[c]);
    const char *text = r->at[c] >= 0 && at < r->csv->count ? r->csv->field[at] : "";
    *value = c == CHANGEABLE ? 1.0 : 0.0;
    if (!*text && !COLUMN[c].is_needed)
        return LW_OK;
    if (lw_decimal_parse(text, text + strlen(text), value) && *value >= COLUMN[c].low && *value <= COLUMN[c].high)
        return LW_OK;
    lw_fail(r->err, LW_E_SYNTAX, "'%s' does not fit; a number from %s to %s does", lw_quoted(text, strlen(text)).text,
            lw_num(COLUMN[c].low).text, lw_num(COLUMN[c].high).text);
    return lw_err_at(r->err, NULL, r->csv->line, COLUMN[c].name);
}

static int64_t mast_of(lw_radio_kind radio, double cell, lw_spot spot)
{
    if (radio == LW_RADIO_LTE)
        return (int64_t)cell / 256;
    return (int64_t)lround((spot.latitude_deg + 90.0) * 100.0) * 100000 +
           (int64_t)lround((spot.longitude_deg + 180.0) * 100.0);
}

static int find(const lw_towers *towers, const lw_tower *like)
{
    for (int i = 0; i < towers->count; i++) {
        const lw_tower *t = &towers->tower[i];
        if (t->mast == like->mast && t->net == like->net && t->mcc == like->mcc && t->radio == like->radio)
            return i;
    }
    return -1;
}

/* A place in the list: the end of it, or that of the farthest when it is full and this one is nearer; -1: none. */
static int room_for(lw_towers *towers, double way_m)
{
    if (towers->count < LW_TOWERS)
        return towers->count++;
    int farthest = 0;
    for (int i = 1; i < towers->count; i++)
        farthest = towers->tower[i].way_m > towers->tower[farthest].way_m ? i : farthest;
    return towers->tower[farthest].way_m > way_m ? farthest : -1;
}

void lw_towers_add(lw_towers *towers, lw_spot from, const lw_tower *row)
{
    const int known = find(towers, row);
    if (known < 0) {
        const int at = room_for(towers, row->way_m);
        if (at >= 0)
            towers->tower[at] = *row;
        return;
    }
    lw_tower *t = &towers->tower[known];
    t->cells++;
    if (t->is_exact && !row->is_exact)
        return;
    const double before = row->is_exact && !t->is_exact ? 0.0 : t->samples, all = before + row->samples;
    t->spot.latitude_deg += (row->spot.latitude_deg - t->spot.latitude_deg) * row->samples / all;
    t->spot.longitude_deg += (row->spot.longitude_deg - t->spot.longitude_deg) * row->samples / all;
    t->samples = all;
    t->is_exact |= row->is_exact;
    t->way_m = lw_distance_m(from, t->spot);
}

static lw_code take_row(const reading *r)
{
    lw_radio_kind radio;
    double value[COLUMNS] = {0};
    const char *word = r->csv->count > (size_t)r->at[RADIO] ? r->csv->field[r->at[RADIO]] : "";
    const int kind = radio_of(word, &radio);
    if (!kind) {
        lw_fail(r->err, LW_E_SYNTAX, "'%s' is no radio; GSM, UMTS, CDMA, LTE or NR are",
                lw_quoted(word, strlen(word)).text);
        return lw_err_at(r->err, NULL, r->csv->line, "radio");
    }
    for (int c = MCC; c < COLUMNS && kind == 1; c++) {
        const lw_code bad = take_field(r, c, &value[c]);
        if (bad)
            return bad;
    }
    if (kind == 2)
        return r->take(r->context, NULL, r->err);
    const lw_spot spot = {value[LAT], value[LON]};
    return r->take(r->context,
                   &(lw_tower){.mcc = (int)value[MCC],
                               .net = (int)value[NET],
                               .radio = radio,
                               .mast = mast_of(radio, value[CELL], spot),
                               .cell = (int64_t)value[CELL],
                               .spot = spot,
                               .samples = value[SAMPLES] > 1.0 ? value[SAMPLES] : 1.0,
                               .is_exact = value[CHANGEABLE] < 0.5,
                               .cells = 1},
                   r->err);
}

static lw_code read_rows(reading *r)
{
    if (lw_csv_next(r->csv, r->err))
        return r->err->code;
    const int is_header = take_header(r);
    lw_code code = check_header(r);
    if (!code && !is_header && r->csv->count)
        code = take_row(r);
    while (!code) {
        code = lw_csv_next(r->csv, r->err);
        if (code || r->csv->count == 0)
            return code;
        code = take_row(r);
    }
    return code;
}

lw_code lw_towers_each(lw_read_fn *read, void *source, lw_tower_fn *take, void *context, lw_err *err)
{
    lw_unpack *from;
    lw_code code = lw_unpack_open(read, source, &from, err);
    if (code)
        return code;
    reading r = {.csv = malloc(sizeof *r.csv), .take = take, .context = context, .err = err};
    if (!r.csv) {
        code = lw_fail(err, LW_E_FULL, "no memory to read a list of cells");
    } else {
        lw_csv_init(r.csv, lw_unpack_read, from, 0);
        code = read_rows(&r);
        if (code == LW_E_IO)
            code = lw_unpack_refuse(from, err);
    }
    free(r.csv);
    lw_unpack_close(from);
    return code;
}

/* ---- near a point ---- */

typedef struct asked {
    lw_spot at;
    double reach_m;
    lw_towers *out;
} asked;

static lw_code add_near(void *context, const lw_tower *row, lw_err *err)
{
    const asked *a = context;
    (void)err;
    a->out->rows++;
    lw_tower near = row ? *row : (lw_tower){.cells = 0};
    near.way_m = row ? lw_distance_m(a->at, row->spot) : INFINITY;
    if (near.way_m > a->reach_m)
        a->out->skipped++;
    else
        lw_towers_add(a->out, a->at, &near);
    return LW_OK;
}

lw_code lw_towers_read(lw_read_fn *read, void *context, lw_spot at, double reach_m, lw_towers *out, lw_err *err)
{
    asked a = {at, reach_m, out};
    *out = (lw_towers){.count = 0};
    return lw_towers_each(read, context, add_near, &a, err);
}

lw_code lw_towers_load(const char *path, lw_spot at, double reach_m, lw_towers *out, lw_err *err)
{
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
        return lw_err_at(err, path, 0, NULL);
    }
    const lw_code code = lw_towers_read(lw_read_file, file, at, reach_m, out, err);
    (void)fclose(file);
    return code ? lw_err_at(err, path, 0, NULL) : LW_OK;
}
