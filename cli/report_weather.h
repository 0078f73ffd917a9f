/* cli/report_weather.h: a climate by month, or loaded weather by day, as a table and a plot for a terminal.
 *
 * Plot      a line a month or day: heavy from its low to its high, on one scale of temperature; a mark where water freezes. */
#ifndef LW_CLI_REPORT_WEATHER_H
#define LW_CLI_REPORT_WEATHER_H

#include "cli/screen.h"
#include "service/weather.h"

void lw_report_weather(lw_screen *screen, const lw_weather_answer *answer, lw_unit_system units);

#endif
