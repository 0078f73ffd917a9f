/* exchange/hourly_internal.h: what the readers of the hourly forms share. */
#ifndef LW_EXCHANGE_HOURLY_INTERNAL_H
#define LW_EXCHANGE_HOURLY_INTERNAL_H

#include "exchange/hourly.h"

typedef struct lw_stamp {
    int year, month, day;
    int32_t end_s;
} lw_stamp;

/* Adds a row: the stamp must follow the last one. value[] in the order of LW_HOURLY_COLUMNS, NaN where missing. */
LW_MUST_USE lw_code lw_hourly_add(lw_hourly *h, const lw_stamp *stamp, const double *value, lw_err *err);

/* After the last row: whole days, absent columns, gaps. */
LW_MUST_USE lw_code lw_hourly_finish(lw_hourly *h, lw_err *err);

/* The field as a number; LW_E_SYNTAX names the column. An empty field is NaN where `or_nan`. */
LW_MUST_USE lw_code lw_hourly_number(const lw_csv *csv, size_t field, const char *what, int or_nan, double *value,
                                     lw_err *err);
LW_MUST_USE lw_code lw_hourly_whole(const lw_csv *csv, size_t field, const char *what, int low, int high, int *value,
                                    lw_err *err);

/* Latitude, longitude, elevation and zone in bounds, else a sentence. */
LW_MUST_USE lw_code lw_hourly_check_place(const lw_hourly *h, lw_err *err);

#endif
