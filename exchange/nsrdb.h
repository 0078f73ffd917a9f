/* exchange/nsrdb.h: the NSRDB PSM v3 form of hourly weather (see exchange/hourly.h for what is kept and refused).
 *
 * Reads     a line of names and a line of values about the place, a line of column names in any order, rows of 60, 30,
 *           15 or 5 minutes. Rows are in `Time Zone`; `Local Time Zone` only where the former is absent.
 * Stamps    rows are stamped in the middle of their step (hourly: minute 30), or, finer than an hour, about minute 0. Ours
 *           stand at the end of a step: what is read at a moment is drawn halfway to the next row, and irradiance about
 *           minute 0 is the mean of two neighbours. An hourly row stamped 0 is taken as the hour that begins there, as
 *           conversions write it. Steps of 5 min are joined to 15.
 * Filled    a GHI that is absent or missing is DHI + DNI cos(zenith), the angle from its column, else by core/sky/spa.h;
 *           humidity that is absent comes from air and dew point (core/sky/air.h). 29 February is dropped. A year's last
 *           row is drawn towards its first.
 * Source    NREL, National Solar Radiation Database, file description of the Physical Solar Model version 3.
 * Limits    the file carries no precipitation and no snow. Empty fields and values of -999 and below are missing. */
#ifndef LW_EXCHANGE_NSRDB_H
#define LW_EXCHANGE_NSRDB_H

#include "exchange/csv.h"
#include "exchange/hourly.h"

/* The csv is fresh (lw_csv_init), the hourly file empty but for its block (lw_hourly_take_block). */
LW_MUST_USE lw_code lw_nsrdb_read(lw_csv *csv, lw_hourly *h, lw_err *err);

#endif
