/* exchange/epw.h: the EPW form of hourly weather (see exchange/hourly.h for what is kept and what is refused).
 *
 * Reads     eight header lines, of which LOCATION and DATA PERIODS (one period) are used, then at least 22 columns a
 *           row. Minute 0 and 60 of an hourly file mean the same; sub-hourly files stamp the end of the step.
 * Limits    several data periods in one file are refused; quotes do not count, as header lines hold them at will. */
#ifndef LW_EXCHANGE_EPW_H
#define LW_EXCHANGE_EPW_H

#include "exchange/csv.h"
#include "exchange/hourly.h"

/* The csv is fresh (lw_csv_init), the hourly file empty but for its block (lw_hourly_take_block). */
LW_MUST_USE lw_code lw_epw_read(lw_csv *csv, lw_hourly *h, lw_err *err);

#endif
