/* core/land/season.h: a part of every year by month and day.
 *
 * Inputs    from, to: month x 100 + day, both inside; from after to passes the turn of the year; from 0: all year. day: civil day
 *           since 1970-01-01. */
#ifndef LW_CORE_LAND_SEASON_H
#define LW_CORE_LAND_SEASON_H

#include "core/base/civil.h"

typedef struct lw_season {
    int from, to;
} lw_season;

static inline int lw_season_holds(lw_season season, int64_t day)
{
    const lw_date date = lw_date_of(day);
    const int now = date.month * 100 + date.day;
    if (season.from == 0)
        return 1;
    return season.from <= season.to ? now >= season.from && now <= season.to : now >= season.from || now <= season.to;
}

#endif
