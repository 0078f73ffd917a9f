/* exchange/tmy3.h: the TMY3 form of hourly weather (see exchange/hourly.h for what is kept and what is refused).
 *
 * Reads     a line of place data, a line of column names, hourly rows. Columns are found by the start of their name, so
 * that older copies with fewer columns are read too. Time "24:00" belongs to the date it stands with. */
#ifndef LW_EXCHANGE_TMY3_H
#define LW_EXCHANGE_TMY3_H

#include "exchange/csv.h"
#include "exchange/hourly.h"

/* The csv is fresh (lw_csv_init), the hourly file empty but for its block (lw_hourly_take_block). */
LW_MUST_USE lw_code lw_tmy3_read(lw_csv *csv, lw_hourly *h, lw_err *err);

#endif
