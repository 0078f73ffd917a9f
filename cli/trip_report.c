#include "cli/trip_report.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cli/report.h"
#include "cli/screen.h"
#include "service/trip_grounds.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"

/* ---- a trip ---- */

static void put_night(lw_screen *screen, const lw_trip_made *plan, int day)
{
    static const char MARK[] = {' ', 'r', '>', '+'};
    char text[16];
    int stop = 0;
    if (day < 0) {
        lw_put_blank(screen, 4);
        return;
    }
    while (stop + 1 < plan->stop_count && plan->stop[stop].leave <= day)
        stop++;
    const int is_first = day == plan->stop[stop].arrive && plan->stop[stop].is_start;
    snprintf(text, sizeof text, "%3d%c", stop + 1, is_first ? ' ' : MARK[plan->out.chain.act[day]]);
    lw_put(screen, LW_PAINT_PLAIN, text);
}

/* Weeks from Monday: by night the number of its stop, and how one came to it. */
static void put_weeks(lw_screen *screen, const lw_trip_planned *p, const lw_trip_made *plan)
{
    static const char *const DAY[] = {"Mo", "Tu", "We", "Th", "Fr", "Sa", "Su"};
    const int days = (int)(p->file.until_day - p->file.from_day), first = lw_weekday_of(p->file.from_day);
    char day[64];
    lw_put_blank(screen, 7);
    for (int d = 0; d < 7; d++)
        lw_put_padded(screen, LW_PAINT_FAINT, DAY[d], 4, 1);
    lw_put_end(screen);
    for (int week = -first; week < days; week += 7) {
        (void)lw_when_print(day, sizeof day, &p->zone, lw_trip_date_s(p, week, 12), 0); /* "Mon 3 Aug 12:00" */
        *strrchr(day, ' ') = '\0';
        lw_put_padded(screen, LW_PAINT_FAINT, strchr(day, ' ') + 1, 7, 0);
        for (int d = week; d < week + 7 && d < days; d++)
            put_night(screen, plan, d);
        lw_put_end(screen);
    }
    lw_put_blank(screen, 7);
    lw_put_wrapped(screen, LW_PAINT_FAINT,
                   "the night's stop; > driven to that day, + with a call at services, r run for services", 7, 7);
}

static void put_plan(lw_screen *screen, const lw_trip_planned *p, int at, lw_unit_system units)
{
    const lw_trip_made *plan = &p->plan[at];
    char text[LW_SENTENCE], number[16];
    if (p->plan_count > 1) {
        snprintf(text, sizeof text, "Trip %d", at + 1);
        lw_put_title(screen, text);
    }
    lw_put_wrapped(screen, LW_PAINT_STRONG, lw_trip_say_plan(p, at, text, sizeof text), 0, 0);
    put_weeks(screen, p, plan);
    for (int i = 0; i < plan->stop_count; i++) {
        snprintf(number, sizeof number, "%2d  ", i + 1);
        lw_put(screen, LW_PAINT_PLAIN, number);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, lw_trip_say_stop(p, plan, i, units, text, sizeof text), 4, 4);
        for (int k = 0; k < plan->stop[i].note_count; k++) {
            lw_put_blank(screen, 4);
            lw_put_wrapped(screen, LW_PAINT_FAINT, plan->stop[i].note[k], 4, 4);
        }
    }
    if (lw_trip_say_end(p, plan, text, sizeof text)[0])
        lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 4, 4);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, lw_trip_say_measured(p, at, text, sizeof text), 0, 0);
}

/* ---- trips side by side ---- */

enum { COLUMNS = 6 };

static void compared(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[COLUMNS] = {"trip", "worth", "money", "wheel", "supplies", "most nights at"};
    const lw_trip_planned *p = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_trip_made *plan = &p->plan[row - 1];
    int nights[LW_TRIP_FILE_PLACES] = {0}, most = plan->out.chain.place[0];
    for (int d = 0; d < p->file.until_day - p->file.from_day; d++)
        nights[plan->out.chain.place[d]]++;
    for (int q = 0; q < p->file.place_count; q++)
        most = nights[q] > nights[most] ? q : most;
    if (column == 0)
        snprintf(buf, n, "%d", row);
    else if (column == 1)
        snprintf(buf, n, "%s USD", lw_num(round((double)plan->out.value_c / 100.0)).text);
    else if (column == 2)
        snprintf(buf, n, "%s USD", lw_num(round((double)plan->sum.money_c / 100.0)).text);
    else if (column == 3)
        snprintf(buf, n, "%d h", (plan->sum.drive_min + 30) / 60);
    else if (column == 4)
        snprintf(buf, n, "%s %%", lw_num(fmin(99.0, floor(100.0 * plan->supplies_frac))).text);
    else
        snprintf(buf, n, "%s (%d)", p->file.place[most].name, nights[most]);
}

static void put_none(lw_screen *screen, const lw_trip_planned *p)
{
    lw_put_wrapped(screen, LW_PAINT_STRONG, p->why, 0, 0);
    if (p->relax_count == 0)
        lw_put_wrapped(screen, LW_PAINT_PLAIN, "No three wishes relaxed make one either; look at dates and places.", 0,
                       0);
    else
        lw_put_wrapped(screen, LW_PAINT_PLAIN,
                       p->relax_count > 1 ? "There is a trip with any of these:" : "There is a trip with this:", 0, 0);
    for (int i = 0; i < p->relax_count; i++) {
        lw_put_blank(screen, 2);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, p->relax[i], 2, 4);
    }
}

void lw_trip_report(lw_screen *screen, const lw_trip_planned *p, int asked, lw_unit_system units)
{
    char text[LW_SENTENCE];
    if (p->plan_count == 0)
        put_none(screen, p);
    for (int i = 0; i < p->plan_count; i++)
        put_plan(screen, p, i, units);
    if (p->plan_count > 1) {
        lw_put_title(screen, "Side by side");
        lw_put_table(screen, &(lw_table){.rows = p->plan_count + 1,
                                         .columns = COLUMNS,
                                         .right = 1U << 1 | 1U << 2 | 1U << 3 | 1U << 4,
                                         .head = LW_PAINT_FAINT,
                                         .warm_row = -1,
                                         .context = p,
                                         .cell = compared});
    }
    if (p->plan_count > 0 && p->plan_count < asked) {
        snprintf(text, sizeof text, "No other trip has two nights in five at other places%s.",
                 p->plan_count > 1 ? " than these" : "");
        lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 0, 0);
    }
}

void lw_trip_report_grounds(lw_screen *screen, const lw_trip_planned *p, lw_unit_system units)
{
    lw_assumption row[LW_TRIP_USUAL_COUNT];
    char text[LW_SENTENCE + sizeof p->file.camp];
    const int count = lw_trip_grounds(p, units, row);
    lw_report_sources(screen, "What the trip's file leaves out", row, count);
    if (count == 0)
        lw_put_title(screen, "The trip's file says every number itself");
    snprintf(text, sizeof text, "What the camp leaves out: leeway outlook %s%s--assumptions.", p->file.camp,
             p->file.camp[0] ? " " : "");
    lw_put_end(screen);
    lw_put_wrapped(screen, LW_PAINT_FAINT, text, 0, 0);
}

/* ---- the year ---- */

static void put_month(lw_screen *screen, const lw_trip_year *year, int m, lw_unit_system units)
{
    static const char *const MONTH[] = {"January", "February", "March",     "April",   "May",      "June",
                                        "July",    "August",   "September", "October", "November", "December"};
    const lw_trip_month *month = &year->month[m];
    char text[LW_SENTENCE], low[64], high[64];
    lw_put_padded(screen, LW_PAINT_STRONG, MONTH[m], 11, 0);
    if (month->fit_count == 0) {
        lw_put_wrapped(screen, LW_PAINT_PLAIN, "none of these places", 11, 11);
        return;
    }
    size_t used = 0;
    for (int i = 0; i < month->fit_count && i < 3; i++) {
        const int p = month->fit[i];
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s (%s to %s)", i ? "; " : "",
                                 year->file.place[p].name,
                                 lw_quantity_print(low, sizeof low, month->low_c[p], LW_DIM_TEMPERATURE, units),
                                 lw_quantity_print(high, sizeof high, month->high_c[p], LW_DIM_TEMPERATURE, units));
    }
    if (month->fit_count > 3)
        snprintf(text + used, sizeof text - used, "; and %d more", month->fit_count - 3);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 11, 11);
}

void lw_trip_year_report(lw_screen *screen, const lw_trip_year *year, lw_unit_system units)
{
    lw_put_wrapped(
        screen, LW_PAINT_PLAIN,
        "Where nights and days are as wished by the climate of a usual year, dearest first; lows and highs are means.",
        0, 0);
    for (int m = 0; m < 12; m++)
        put_month(screen, year, m, units);
    char way[2 * LW_SENTENCE];
    lw_put_wrapped(screen, LW_PAINT_STRONG, lw_trip_year_say(year, units, way, sizeof way), 0, 0);
}
