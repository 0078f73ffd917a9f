/* exchange/ghcn_internal.h: the days of a station between reading (ghcn.c) and counting (ghcn_climate.c). */
#ifndef LW_EXCHANGE_GHCN_INTERNAL_H
#define LW_EXCHANGE_GHCN_INTERNAL_H

#include <stdint.h>

#include "exchange/ghcn.h"

enum {
    LW_GHCN_TMAX = 0,
    LW_GHCN_TMIN,
    LW_GHCN_PRCP,
    LW_GHCN_ELEMENTS,
    LW_GHCN_YEARS = LW_GHCN_LAST_YEAR - LW_GHCN_FIRST_YEAR + 1,
    LW_GHCN_SLOTS = LW_GHCN_YEARS * LW_MONTHS * 31, /* 31 days a month: a slot needs no calendar */
    LW_GHCN_NONE = INT16_MIN,
};

typedef struct lw_ghcn_days {
    const char *wanted; /* NULL: the only station */
    char id[32], name[64];
    double place[3]; /* latitude, longitude, elevation; NaN: not said */
    int dropped_by_flag, dropped_as_wrong;
    int16_t tenths[LW_GHCN_ELEMENTS][LW_GHCN_SLOTS];
} lw_ghcn_days;

int lw_ghcn_slot(int year, int month, int day);

LW_MUST_USE lw_code lw_ghcn_climate_of(lw_ghcn_days *days, lw_ghcn_climate *out, lw_err *err);

#endif
