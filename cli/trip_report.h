/* cli/trip_report.h: a trip and a year on the terminal. */
#ifndef LW_CLI_TRIP_REPORT_H
#define LW_CLI_TRIP_REPORT_H

#include "cli/screen.h"
#include "service/trip.h"

/* Every plan with its weeks and stops, then side by side; asked: how many were looked for. */
void lw_trip_report(lw_screen *screen, const lw_trip_planned *planned, int asked, lw_unit_system units);
/* What the trip counts with that its file does not say. */
void lw_trip_report_grounds(lw_screen *screen, const lw_trip_planned *planned, lw_unit_system units);
void lw_trip_year_report(lw_screen *screen, const lw_trip_year *year, lw_unit_system units);

#endif
