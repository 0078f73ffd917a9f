/* service/plan_calendar.h: the plans of a stay as a calendar for any phone or computer (exchange/icalendar.h).
 *
 * Takes     what there is of: the stay itself (arrival, wished departure, its limit, errands that its scenario announces), what is to be done (service/today.h), errands
 *           (service/runs_plan.h), windows of the generator (service/generator_plan.h, or those that were kept).
 * Results   the calendar's text and how many events it has. The stay's limit is the whole day before it; chores end at their latest time;
 *           the departure has the leaving checklist of this rig with it; windows carry the caution about exhaust.
 * Again     taken in again it moves what it had: chores by what they serve, errands by their number in the plan, windows by day. What a
 *           later plan no longer has stays where it was: a calendar of its own that is emptied first shows no old plans.
 * Errors    those of exchange/icalendar.h and of the tables of data/. */
#ifndef LW_SERVICE_PLAN_CALENDAR_H
#define LW_SERVICE_PLAN_CALENDAR_H

#include "service/generator_plan.h"
#include "service/runs_plan.h"
#include "service/today.h"

typedef struct lw_plan_calendar_in {
    const lw_loaded *loaded;
    const lw_today *today;              /* NULL: none, as the next two */
    const lw_generator_plan *generator; /* NULL: the windows that the scenario names (stay.generator) */
    int without_windows;                /* not those either */
    const lw_runs_planned *runs;
    lw_words_choice choice;
    int64_t now_s; /* the stamp of the calendar */
    const char *version;
} lw_plan_calendar_in;

/* *text is the caller's (free). */
LW_MUST_USE lw_code lw_plan_calendar(const lw_plan_calendar_in *in, char **text, int *count, lw_err *err);

#endif
