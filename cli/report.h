/* cli/report.h: an outlook as a report for a tired person at a terminal.
 *
 * Order     what ends the stay and when; the leeway chart; what runs down; power; warmth; what happens; cautions; what it
 *           all stands on. A line that does not concern this household is not there; a section without lines neither.
 * Errors    LW_E_FULL no memory; those of service/words.h. */
#ifndef LW_CLI_REPORT_H
#define LW_CLI_REPORT_H

#include "cli/screen.h"
#include "service/prices.h"
#include "service/what_if.h"

typedef struct lw_report_options {
    lw_words_choice choice;
    int wants_details; /* every event, every flow, sources of cautions */
} lw_report_options;

LW_MUST_USE lw_code lw_report_put(lw_screen *screen, const lw_outlook_answer *answer, const lw_report_options *options,
                                  lw_err *err);

/* Two outlooks side by side: as it is, and with the changes. */
LW_MUST_USE lw_code lw_report_what_if(lw_screen *screen, const lw_outlook_answer *before,
                                      const lw_outlook_answer *after, const char *const *change, int change_count,
                                      const lw_report_options *options, lw_err *err);

/* Every value that the file does not give: key, value, kind, source; behind them those that only `before`, the scenario
 * without its changes, needs (NULL: there are no changes). */
void lw_report_assumptions(lw_screen *screen, const lw_outlook_answer *answer, const lw_outlook_answer *before);

/* Such a list under a title; none: nothing. */
void lw_report_sources(lw_screen *screen, const char *title, const lw_assumption *of, int count);

/* What a plan stands on: its prices (NULL: it has none), and every value that the file does not give. */
void lw_report_grounds(lw_screen *screen, const lw_price_list *prices, const lw_loaded *loaded);

#endif
