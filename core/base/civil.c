#include "core/base/civil.h"

#include <string.h>

#define DAY_S           86400
#define CYCLE_DAYS      146097 /* 400 years */
#define EPOCH_SHIFT     719468 /* days from 0000-03-01 to 1970-01-01 */
#define LONGEST_SHIFT_S 100000 /* no clock is further from UTC than 25 h (RFC 8536) */

static int64_t floor_div(int64_t a, int64_t b)
{
    const int64_t q = a / b;
    return q - (a % b != 0 && (a < 0) != (b < 0));
}

int lw_is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

int lw_days_in_month(int year, int month)
{
    static const int DAYS[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (month < 1 || month > 12)
        return 0;
    return DAYS[month - 1] + (month == 2 && lw_is_leap(year));
}

/* Years are taken to begin in March, so that the leap day is the last of its year and months follow the rhythm of
 * 153 days in five. */
int64_t lw_day_of(lw_date date)
{
    const int64_t year = (int64_t)date.year - (date.month <= 2);
    const int64_t cycle = floor_div(year, 400), year_of_cycle = year - cycle * 400;
    const int64_t month_from_march = date.month > 2 ? date.month - 3 : date.month + 9;
    const int64_t day_of_year = (153 * month_from_march + 2) / 5 + date.day - 1;
    const int64_t day_of_cycle = year_of_cycle * 365 + year_of_cycle / 4 - year_of_cycle / 100 + day_of_year;
    return cycle * CYCLE_DAYS + day_of_cycle - EPOCH_SHIFT;
}

lw_date lw_date_of(int64_t day)
{
    const int64_t shifted = day + EPOCH_SHIFT;
    const int64_t cycle = floor_div(shifted, CYCLE_DAYS), day_of_cycle = shifted - cycle * CYCLE_DAYS;
    const int64_t year_of_cycle =
        (day_of_cycle - day_of_cycle / 1460 + day_of_cycle / 36524 - day_of_cycle / (CYCLE_DAYS - 1)) / 365;
    const int64_t day_of_year = day_of_cycle - (365 * year_of_cycle + year_of_cycle / 4 - year_of_cycle / 100);
    const int64_t month_from_march = (5 * day_of_year + 2) / 153;
    const int month = (int)(month_from_march < 10 ? month_from_march + 3 : month_from_march - 9);
    return (lw_date){
        .year = (int)(cycle * 400 + year_of_cycle + (month <= 2)),
        .month = month,
        .day = (int)(day_of_year - (153 * month_from_march + 2) / 5 + 1),
    };
}

int lw_weekday_of(int64_t day)
{
    return (int)(day + 3 - 7 * floor_div(day + 3, 7)); /* 1970-01-01 was a Thursday */
}

void lw_zone_utc(lw_zone *zone)
{
    memset(zone, 0, sizeof *zone);
    memcpy(zone->name, "UTC", 4);
    memcpy(zone->letters[0], "UTC", 4);
    zone->from_s[0] = INT64_MIN;
    zone->count = 1;
}

/* The last row that begins at or before the moment; the first for all moments before the second row. */
static int row_at(const lw_zone *zone, int64_t utc_s)
{
    int low = 0, high = zone->count;
    while (high - low > 1) {
        const int middle = low + (high - low) / 2;
        if (zone->from_s[middle] <= utc_s)
            low = middle;
        else
            high = middle;
    }
    return low;
}

int32_t lw_zone_offset(const lw_zone *zone, int64_t utc_s)
{
    return zone->offset_s[row_at(zone, utc_s)];
}

lw_clock lw_clock_at(const lw_zone *zone, int64_t utc_s)
{
    const int row = row_at(zone, utc_s);
    const int64_t local_s = utc_s + zone->offset_s[row];
    const int64_t day = floor_div(local_s, DAY_S);
    const int second = (int)(local_s - day * DAY_S);
    lw_clock clock = {
        .date = lw_date_of(day),
        .hour = second / 3600,
        .minute = second / 60 % 60,
        .second = second % 60,
        .weekday = lw_weekday_of(day),
        .day = day,
        .utc_offset_s = zone->offset_s[row],
    };
    clock.year_day = (int)(day - lw_day_of((lw_date){clock.date.year, 1, 1})) + 1;
    memcpy(clock.letters, zone->letters[row], sizeof clock.letters);
    return clock;
}

/* Rows are tried in order, so that of two moments the first is given. A local time that lies past the end of a row and
 * before the begin of the next stands in the gap between them; counted with the earlier offset it falls as far behind
 * the gap as it stands in it. */
int64_t lw_utc_of(const lw_zone *zone, int64_t day, int32_t seconds_of_day)
{
    const int64_t local_s = day * DAY_S + seconds_of_day;
    int row = row_at(zone, local_s - LONGEST_SHIFT_S);
    for (; row + 1 < zone->count; row++) {
        const int64_t utc_s = local_s - zone->offset_s[row];
        if (utc_s < zone->from_s[row + 1] || local_s - zone->offset_s[row + 1] < zone->from_s[row + 1])
            return utc_s;
    }
    return local_s - zone->offset_s[row];
}
