/* text/moment.h: civil dates, times of day, weekdays and clock ranges as text, both ways.
 *
 * Reads     date      "2026-06-14"
 *           moment    "2026-06-14", "2026-06-14 15:00", "2026-06-14T15:00:00.5Z", "2026-06-14T15:00-06:00",
 *                     "2026-06-14 3 pm"
 *           time      "22:00", "22:00:30", "10 pm", "10:30 pm", "noon", "midnight"; "24:00" is the day's end
 *           weekdays  "Mon-Fri", "Mon,Wed,Sat", "Sat-Mon", "daily", "weekdays", "weekend"; English, three letters or
 *                     whole
 *           range     "08:00-17:00", "22:00-06:00", "10 pm - 6 am"
 * Results   civil days since 1970-01-01 and seconds of the day (core/base/civil.h). A moment without an offset is
 *           local: lw_moment_utc takes the zone of the place. A range whose end is not after its start runs over
 *           midnight.
 * Errors    LW_E_SYNTAX for another form, LW_E_RANGE for a date or time that does not exist ("2026-02-30"), each with
 *           what was expected. Results stay untouched on failure.
 * Limits    years 1 to 9999; leap seconds (":60") are refused; months as words are not read. */
#ifndef LW_TEXT_MOMENT_H
#define LW_TEXT_MOMENT_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/err.h"

typedef struct lw_moment {
    int64_t day;
    int32_t second;  /* 0..86400 */
    double fraction; /* of a second, 0..1 */
    int has_time, has_offset;
    int32_t offset_s; /* east positive; 0 without one */
} lw_moment;

typedef struct lw_clock_range {
    int32_t from_s, to_s; /* seconds of the day, from 0..86399, to 1..86400; to <= from runs over midnight */
} lw_clock_range;

#define LW_EVERY_DAY 0x7Fu /* weekday sets: bit 0 Monday .. bit 6 Sunday */

LW_MUST_USE lw_code lw_date_parse(const char *text, lw_date *date, lw_err *err);
LW_MUST_USE lw_code lw_moment_parse(const char *text, lw_moment *moment, lw_err *err);
LW_MUST_USE lw_code lw_time_parse(const char *text, int32_t *second, lw_err *err);
LW_MUST_USE lw_code lw_weekdays_parse(const char *text, unsigned *days, lw_err *err);
LW_MUST_USE lw_code lw_clock_range_parse(const char *text, lw_clock_range *range, lw_err *err);

/* An instant: a moment that must name its offset ("Z" or "+hh:mm"), with fractions. Seconds since 1970 UTC. */
LW_MUST_USE lw_code lw_instant_parse(const char *text, double *utc_s, lw_err *err);

int64_t lw_moment_utc(const lw_moment *moment, const lw_zone *zone); /* whole seconds */

/* How often the clock of the place shows a moment: put forward it skips some, put back it shows some twice (lw_moment_utc
 * then gives the first, and for a skipped one the same stretch after the gap). With an offset, or as a date: once. */
typedef enum lw_shown { LW_SHOWN_ONCE = 0, LW_SHOWN_NEVER, LW_SHOWN_TWICE } lw_shown;
lw_shown lw_moment_shown(const lw_moment *moment, const lw_zone *zone);
int lw_is_in_clock_range(lw_clock_range range, int32_t second); /* from inclusive, to exclusive */

/* Each gives buf; 40 bytes hold all of them. */
char *lw_date_print(char *buf, size_t n, lw_date date);                  /* 2026-06-14 */
char *lw_time_print(char *buf, size_t n, int32_t second);                /* 22:00, 22:00:30 */
char *lw_clock_print(char *buf, size_t n, const lw_clock *clock);        /* Sun 2026-06-14 15:00 */
char *lw_instant_print(char *buf, size_t n, double utc_s, int decimals); /* 2026-06-14T21:00:00.0Z */
char *lw_weekdays_print(char *buf, size_t n, unsigned days);             /* Mon-Fri, Mon,Wed,Sat, daily */
char *lw_clock_range_print(char *buf, size_t n, lw_clock_range range);   /* 22:00-06:00 */

const char *lw_weekday_word(int weekday); /* "Mon" for 0; borrowed for ever */

#endif
