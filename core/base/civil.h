/* core/base/civil.h: civil dates and the clock of a place, as pure arithmetic.
 *
 * Days are counted from 1970-01-01, seconds from its midnight UTC (no leap seconds, as POSIX). The calendar is the
 * proleptic Gregorian one, exact for years -9999..9999.
 * A zone is a table of the moments at which its offset from UTC changes, cut to a span and owned by the caller; it is
 * filled from the system's tz database by exchange/tzif.h.
 * Source     ISO 8601; day count by arithmetic on 400-year cycles of 146,097 days. */
#ifndef LW_CORE_BASE_CIVIL_H
#define LW_CORE_BASE_CIVIL_H

#include <stdint.h>

#include "core/base/err.h"

#define LW_ZONE_CHANGES 256 /* two a year for 128 years; a span of a few years needs a handful */

typedef struct lw_date {
    int year, month, day; /* month 1..12, day 1..31 */
} lw_date;

typedef struct lw_clock {
    lw_date date;
    int hour, minute, second;
    int weekday;  /* 0 = Monday .. 6 = Sunday */
    int year_day; /* 1..366 */
    int64_t day;  /* days since 1970-01-01 of the civil date */
    int32_t utc_offset_s;
    char letters[8]; /* "MDT"; empty where the zone gives none */
} lw_clock;

typedef struct lw_zone {
    char name[48]; /* IANA name, "UTC" for the zero zone */
    int count;     /* changes; the first row holds for all time before the second */
    int64_t from_s[LW_ZONE_CHANGES];
    int32_t offset_s[LW_ZONE_CHANGES];
    char letters[LW_ZONE_CHANGES][8];
} lw_zone;

int64_t lw_day_of(lw_date date); /* days since 1970-01-01 */
lw_date lw_date_of(int64_t day);
int lw_weekday_of(int64_t day); /* 0 = Monday */
int lw_is_leap(int year);
int lw_days_in_month(int year, int month); /* 0 when month is not 1..12 */

void lw_zone_utc(lw_zone *zone); /* the zero zone */
lw_clock lw_clock_at(const lw_zone *zone, int64_t utc_s);
int32_t lw_zone_offset(const lw_zone *zone, int64_t utc_s);

/* The UTC second of a civil date and time. A time that does not exist (clock put forward) gives the same stretch after
 * the gap (02:30 -> 03:30); a time that comes twice gives the first. `seconds_of_day` 0..86400, 86400 = next midnight.
 */
int64_t lw_utc_of(const lw_zone *zone, int64_t day, int32_t seconds_of_day);

#endif
