/* exchange/ghcn.h: GHCN-Daily records of one station, turned into a climate of that station.
 *
 * Reads     three forms, told apart by the first line: the long CSV (station, date, element, value, flags), the wide
 *           "access" CSV (STATION, DATE, ..., X, X_ATTRIBUTES), the fixed columns of .dly. TMAX, TMIN and PRCP, in tenths
 *           of degC and mm. Rows in any order; of the long form a file of many stations when one is named.
 * Results   means and spreads by month over the last LW_GHCN_YEARS_KEPT years that the file has:
 *           base      mean daily maximum, minimum, share of days with 0.25 mm or more, precipitation of the month;
 *           sd_k      spread of one day's mean about the smooth normal of its day of the year, all years together;
 *           r1        correlation of that anomaly with the day before; sd_range_k: spread of the daily range likewise;
 *           wet_mm    mean precipitation of a wet day. NaN for a month with less than LW_GHCN_DAYS_LEAST days.
 * Dropped   values with a quality flag, values no weather has, pairs with the minimum above the maximum: counted.
 * Errors    one sentence with file and line: another kind of file, a short line, a bad date or number, several stations
 *           where none is named, no such station, and fewer than LW_GHCN_YEARS_LEAST years of days with both extremes
 *           (the sentence says how many there are).
 * Source    NOAA NCEI, GHCN-Daily documentation (readme, by-year and access forms). The normal is the mean and three
 *           harmonics of the year by least squares.
 * Memory    one block of about 0.7 MB while it reads, whatever the file's length.
 * Limits    years 1750 to 2099. An observer who reads in the morning books a day's maximum to the day after: means hold,
 *           r1 of maximum against minimum would not. The long and fixed forms carry no place: latitude, longitude and
 *           elevation are NaN then. Trends within the years kept count as spread. */
#ifndef LW_EXCHANGE_GHCN_H
#define LW_EXCHANGE_GHCN_H

#include "core/base/err.h"
#include "exchange/csv.h"
#include "exchange/limits.h"
#include "exchange/station_climate.h"

typedef struct lw_ghcn_climate {
    lw_station_climate base;
    double sd_k[LW_MONTHS], r1[LW_MONTHS], sd_range_k[LW_MONTHS], wet_mm[LW_MONTHS];
    int first_year, last_year; /* of the years kept */
    double years;              /* of days with both extremes */
    int dropped_by_flag, dropped_as_wrong;
} lw_ghcn_climate;

/* `station` NULL: the only one of the file. `name` is what errors call the file. On failure *out is untouched. */
LW_MUST_USE lw_code lw_ghcn_read(lw_read_fn *read, void *context, const char *name, const char *station,
                                 lw_ghcn_climate *out, lw_err *err);
LW_MUST_USE lw_code lw_ghcn_read_path(const char *path, const char *station, lw_ghcn_climate *out, lw_err *err);

#endif
