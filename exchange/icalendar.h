/* exchange/icalendar.h: a calendar as text that any calendar program takes in.
 *
 * Writes    one VCALENDAR of VEVENTs. Times are UTC ("...Z"), which needs no VTIMEZONE and shows in the reader's own zone; whole days
 *           are dates, the last one exclusive, and belong to no zone. Lines end in CR LF and are folded at 75 bytes, never inside a
 *           character; TEXT is escaped. A line break inside a text is "\n"; other control characters become a blank and bytes that
 *           are no UTF-8 U+FFFD.
 * Again     UIDs are the caller's and stay the same from export to export (lw_ical_uid makes them), SEQUENCE is the minutes of the
 *           stamp since 2020: taken in again, an event is moved, not doubled.
 * Results   the caller's text (free).
 * Errors    LW_E_MISSING no event at all, or one without uid or summary; LW_E_RANGE its end before its start, a year outside 1970..9999,
 *           a stamp outside 2020..2100, a latitude or longitude that is none, an alarm more than 366 days before; LW_E_CONFLICT two events of one
 *           uid; LW_E_FULL no memory. A refused event is named by its place in the list.
 * Source    RFC 5545 sections 3.1, 3.3.4, 3.3.5, 3.3.6, 3.3.11, 3.6.1, 3.6.6, 3.8.1.6, 3.8.7.4; NAME: RFC 7986 section 5.1.
 * Limits    no VTODO: the calendars of phones leave them out on import (common practice, no source); a chore is a day's event that
 *           leaves the day free (is_free). No recurrence: each event stands for itself. */
#ifndef LW_EXCHANGE_ICALENDAR_H
#define LW_EXCHANGE_ICALENDAR_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/err.h"

#define LW_ICAL_UID  96
#define LW_ICAL_MOST 4096 /* events of one calendar */

typedef struct lw_ical_event {
    const char *uid, *summary;                     /* needed */
    const char *description, *location, *category; /* NULL: none */
    int is_whole_days;
    int64_t start_s, end_s;      /* UTC; used without is_whole_days */
    int64_t from_day, until_day; /* civil days since 1970, until_day exclusive; used with it */
    int is_free;                 /* it leaves the time free for others (TRANSP:TRANSPARENT) */
    int has_alarm;
    int32_t alarm_before_s; /* before the start; of whole days before their first midnight */
    int has_place;
    double latitude_deg, longitude_deg;
} lw_ical_event;

typedef struct lw_ical {
    const char *name;    /* of the calendar; NULL: none */
    const char *version; /* of the program */
    int64_t stamp_s;     /* when it is made */
    const lw_ical_event *event;
    size_t count;
} lw_ical;

LW_MUST_USE lw_code lw_ical_print(const lw_ical *calendar, char **text, lw_err *err);

/* "run-2-4f6c...@leeway": the same for the same words and number. `owner` tells households and stays apart and shows in no
 * readable form; `what` is one of our words. */
typedef struct lw_ical_uid_text {
    char text[LW_ICAL_UID];
} lw_ical_uid_text;

lw_ical_uid_text lw_ical_uid(const char *owner, const char *what, int64_t number);

#endif
