/* cli/report_internal.h: what the parts of the report share. */
#ifndef LW_CLI_REPORT_INTERNAL_H
#define LW_CLI_REPORT_INTERNAL_H

#include "cli/report.h"

typedef struct lw_report {
    lw_screen *screen;
    const lw_outlook_answer *answer;
    const lw_outlook *outlook;
    const lw_loaded *loaded;
    const lw_scenario *scenario;
    const lw_words *words;
    lw_words_choice choice;
    int wants_details;
} lw_report;

void lw_put_item(const lw_report *r, lw_paint paint, const char *text);

/* report_course.c: sections made from the joint course. */
void lw_report_power(const lw_report *r);
void lw_report_warmth(const lw_report *r);
void lw_report_spread(const lw_report *r); /* whether use or weather decides, by supply */
void lw_report_events(const lw_report *r);
void lw_report_flows(const lw_report *r);

#endif
