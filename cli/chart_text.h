/* cli/chart_text.h: the leeway chart as lines of text.
 *
 * Form      a line a supply: name, what is left, days, and a bar on one scale of civil days: heavy while the supply is sure
 *           to last (P10), light until it is as likely out as not (a dot at P50), dotted until it is all but surely out
 *           (P90). Marks run down through where bars have ended. What lasts past the right edge ends in an arrow.
 * Reading   read aloud, a line says name, amount and days before any drawing. Only the binding supply is painted.
 * Limits    the scale is the screen's width: a column may be many hours. */
#ifndef LW_CLI_CHART_TEXT_H
#define LW_CLI_CHART_TEXT_H

#include "cli/screen.h"
#include "service/chart.h"

void lw_chart_text(lw_screen *screen, const lw_chart *chart);

#endif
