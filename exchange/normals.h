/* exchange/normals.h: NOAA monthly climate normals as CSV, 1991-2020 and 1981-2010, into a station's climate.
 *
 * Reads     twelve rows a station, one station or many in a file; columns by name, in any order. 1991-2020: plain units
 *           (degF, inch, days), flags in meas_flag_X and comp_flag_X. 1981-2010: tenths of degF, hundredths of inch,
 *           tenths of days, the flag in X_ATTRIBUTES.
 * Choice    a station by its id; else the one nearest to a spot that has maximum and minimum of all months; else the only
 *           one of the file.
 * Missing   -9999, -8888, -6666, -5555, an empty field, the measurement flag M, and a value with another measurement
 *           flag that no weather has. -7777 is a little that rounds to zero: 0. Completeness P, Q and E mark a value weak.
 * Errors    one sentence with file and line: another kind of file, no such station, several where none was chosen, a
 *           month twice, fewer than twelve, a bad number, a value no weather has.
 * Memory    none is kept: a file of all stations runs through.
 * Source    NOAA NCEI, U.S. Climate Normals 1991-2020 and 1981-2010, monthly by-station documentation.
 * Limits    the rows of a station stand together. A day is wet from 0.01 inch on; February has 28.25 days. */
#ifndef LW_EXCHANGE_NORMALS_H
#define LW_EXCHANGE_NORMALS_H

#include "core/base/err.h"
#include "exchange/csv.h"
#include "exchange/station_climate.h"

typedef struct lw_normals_choice {
    const char *station;                /* id; NULL: by the spot */
    double latitude_deg, longitude_deg; /* NaN: no spot, the file holds one station */
} lw_normals_choice;

/* `name` is what errors call the file. On failure *out is untouched. */
LW_MUST_USE lw_code lw_normals_read(lw_read_fn *read, void *context, const char *name, const lw_normals_choice *choice,
                                    lw_station_climate *out, lw_err *err);
LW_MUST_USE lw_code lw_normals_read_path(const char *path, const lw_normals_choice *choice, lw_station_climate *out,
                                         lw_err *err);

#endif
