/* service/runs_internal.h: what the parts of service/runs share. */
#ifndef LW_SERVICE_RUNS_INTERNAL_H
#define LW_SERVICE_RUNS_INTERNAL_H

#include "service/runs_plan.h"

enum { LW_RUNS_MORNING_H = 7, LW_RUNS_NOON_H = 14, LW_RUNS_NIGHT_H = 21 };

typedef struct lw_runs_work {
    const lw_runs_wish *wish;
    lw_runs_planned *to;
    lw_plan_source *source;
    lw_trials base;
    lw_outlook *plain;
    lw_trial_row *row; /* of the unchanged stay */
    double wished_h;
    int draws, threads;
    lw_trial_row **start;           /* rows that begin full on that morning */
    double *look_h;                 /* of each start: how far it is looked; infinite: to the departure */
    double usable[LW_RUN_SUPPLIES]; /* between full and ended */
    int start_count;
    lw_err *thread_err;
    lw_code code; /* of the first start that failed */
} lw_runs_work;

int64_t lw_runs_civil_s(const lw_runs_work *w, int day, int hour);

/* runs_tables.c */
LW_MUST_USE lw_code lw_runs_draw_starts(lw_runs_work *w, lw_err *err);
void lw_runs_fill_cover(lw_runs_work *w, double aim);
void lw_runs_fill_services(lw_runs_work *w);
void lw_runs_fill_types(lw_runs_work *w);

/* runs_words.c */
void lw_runs_say(lw_runs_work *w);

#endif
