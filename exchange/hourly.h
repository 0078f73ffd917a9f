/* exchange/hourly.h: an hourly weather file in memory, whatever its form.
 *
 * Holds     place and time step, then one array a column, one row a step, in the file's order. Stamps are local
 *           standard time without daylight saving, at the END of the step: hour 1..24 of its date, 24 being midnight.
 *           Row i with its stamp at t: irradiance is the MEAN over the step that ends at t (its sun stands best at the
 *           middle, t - step/2); precipitation is the SUM over it; air, dew point, humidity, pressure, wind, snow and
 *           albedo are read AT t, more or less.
 * NaN       not known. After a successful read air and irradiance have none; a column that the file does not carry at
 *           all is NaN throughout and marked absent. Wind direction, precipitation, snow and albedo may hold NaN here
 *           and there.
 * Gaps      of up to LW_HOURLY_GAP_H hours in air, dew point, humidity, pressure, irradiance and wind speed are bridged
 *           linearly (at the file's ends by the nearest value) and counted in `filled`; longer ones are refused.
 * Errors    one sentence with file and line: another kind of file, a damaged or missing header, a short line, a bad
 *           number, a value no weather has, hours out of order, a cut file, a gap too long. On failure the struct is
 *           untouched.
 * Memory    lw_hourly_init, lw_hourly_clear (twice is fine). One block of LW_HOURLY_RECORDS rows, taken by the reader.
 * Source    the forms: NREL, Users Manual for TMY3 Data Sets (2008); EnergyPlus Auxiliary Programs, EPW data
 *           dictionary; NREL, National Solar Radiation Database, PSM version 3.
 * Limits    steps of 15 min to 1 h. A typical year joins months of different years, so `year` jumps between rows. A 29
 *           February may be absent. TMY3 and EPW give precipitation over a period that may be longer than the step: the
 *           total then stands at the period's end. Zero precipitation of a TMY3 station may mean "not measured". */
#ifndef LW_EXCHANGE_HOURLY_H
#define LW_EXCHANGE_HOURLY_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/err.h"
#include "exchange/csv.h"
#include "exchange/limits.h"

/* id, name, least, largest value that weather has, must the file carry it, are gaps bridged */
#define LW_HOURLY_COLUMNS(X)                                                                                           \
    X(AIR, air_c, -90.0, 70.0, 1, 1)                                                                                   \
    X(DEW, dew_c, -100.0, 50.0, 0, 1)                                                                                  \
    X(HUMIDITY, humidity_frac, 0.0, 1.1, 0, 1)                                                                         \
    X(PRESSURE, pressure_pa, 30000.0, 120000.0, 0, 1)                                                                  \
    X(GHI, ghi_wm2, 0.0, 1800.0, 1, 1)                                                                                 \
    X(DNI, dni_wm2, 0.0, 1800.0, 1, 1)                                                                                 \
    X(DHI, dhi_wm2, 0.0, 1800.0, 1, 1)                                                                                 \
    X(WIND, wind_ms, 0.0, 120.0, 0, 1)                                                                                 \
    X(WIND_FROM, wind_from_deg, 0.0, 360.0, 0, 0)                                                                      \
    X(PRECIPITATION, precipitation_mm, 0.0, 500.0, 0, 0)                                                               \
    X(SNOW, snow_depth_m, 0.0, 20.0, 0, 0)                                                                             \
    X(ALBEDO, albedo_frac, 0.0, 1.0, 0, 0)

typedef enum lw_hourly_column {
#define LW_HOURLY_ID(id, name, least, most, must, bridged) LW_HOURLY_##id,
    LW_HOURLY_COLUMNS(LW_HOURLY_ID)
#undef LW_HOURLY_ID
        LW_HOURLY_COLUMN_COUNT
} lw_hourly_column;

typedef enum lw_hourly_form { LW_FORM_UNKNOWN = 0, LW_FORM_EPW, LW_FORM_TMY3, LW_FORM_NSRDB } lw_hourly_form;

typedef struct lw_hourly {
    lw_hourly_form form;
    char place[96], station[32];
    double latitude_deg, longitude_deg; /* north, east positive */
    double elevation_m;
    double utc_offset_h; /* of the stamps, east positive */
    int step_s;
    int count;         /* rows */
    int is_whole_year; /* first row ends the first step of 1 January, last row ends 31 December */
    int has_leap_day;
    int16_t *year;
    int8_t *month, *day;
    int32_t *end_s; /* stamp as seconds of its day: step_s..86400 */
    double *column[LW_HOURLY_COLUMN_COUNT];
    int filled[LW_HOURLY_COLUMN_COUNT];    /* values bridged */
    int is_absent[LW_HOURLY_COLUMN_COUNT]; /* the file carries none */
    void *block;
} lw_hourly;

/* All columns at one moment, in the order of LW_HOURLY_COLUMNS. */
typedef struct lw_hourly_values {
    double value[LW_HOURLY_COLUMN_COUNT];
} lw_hourly_values;

void lw_hourly_init(lw_hourly *h);
void lw_hourly_clear(lw_hourly *h);

/* For who calls the reader of one form (exchange/epw.h, tmy3.h, nsrdb.h) itself: takes the rows' memory, which lw_hourly_clear
 * gives back. LW_E_FULL when there is none. */
LW_MUST_USE lw_code lw_hourly_take_block(lw_hourly *h, lw_err *err);

/* Which form the first bytes of a file have; 512 bytes are enough. */
lw_hourly_form lw_hourly_sniff(const char *bytes, size_t n);
const char *lw_hourly_form_word(lw_hourly_form form); /* "EPW"; borrowed for ever */

/* Reads a file of any form. `name` is what errors call it. */
LW_MUST_USE lw_code lw_hourly_read(lw_read_fn *read, void *context, const char *name, lw_hourly *h, lw_err *err);
LW_MUST_USE lw_code lw_hourly_read_path(const char *path, lw_hourly *h, lw_err *err);

/* LW_E_MISSING with a sentence unless the file covers a whole year. */
LW_MUST_USE lw_code lw_hourly_want_year(const lw_hourly *h, lw_err *err);

/* The weather at a local standard time, hour 0 to 24 with parts. Readings are drawn straight between stamps, over the
 * turn of a whole year too; the wind's direction by the shorter way; irradiance and precipitation are those of the step
 * that the moment lies in, its end included. 29 February is 28 February where the file has none. LW_E_MISSING outside
 * the file. */
LW_MUST_USE lw_code lw_hourly_at(const lw_hourly *h, int month, int day, double hour, lw_hourly_values *out,
                                 lw_err *err);

/* What the reader should be told: values bridged, columns absent, a file of less than a year. One sentence each, ended
 * by newlines; empty when there is nothing to tell. Gives buf. */
char *lw_hourly_notes(const lw_hourly *h, char *buf, size_t n);

const char *lw_hourly_name(lw_hourly_column column); /* "air_c"; borrowed for ever */

#endif
