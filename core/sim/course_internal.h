/* core/sim/course_internal.h: running part of a course, so that the joint one begins where shortages first matter. */
#ifndef LW_CORE_SIM_COURSE_INTERNAL_H
#define LW_CORE_SIM_COURSE_INTERNAL_H

#include "core/sim/step_internal.h"

typedef struct lw_run {
    const lw_context *context;
    lw_mode mode;
    int tells;              /* events and comfort are wanted */
    int stop_where_parting; /* stop before the first step in which own and joint course differ */
    int last;               /* steps to run to; 0: to the horizon */
    lw_wants *wants;        /* for the long way alone (lw_step_once_long), else NULL */
    int is_without_flows;   /* nobody asks for the ledger: the course's sums of flows stay 0 */
    lw_series *series;      /* may be NULL */
} lw_run;

void lw_course_clear(const lw_context *c, lw_course *course);

/* While a course runs, rows hold sums from the start, so that it may stop inside an hour; this makes them hours. */
void lw_series_finish(lw_series *series);

/* Runs from a step to the last one or, where asked, up to the step in which the courses part; that step is not in the
 * course then and its index is returned. */
int lw_run_steps(const lw_run *run, int first, lw_state *s, lw_course *course);

/* Step to which a joint course is told that parted here: to departure or, without one, for a fortnight. */
int lw_last_joint_step(const lw_context *c, int parting);
/* Nobody stays an hour: as it is at the start. */
void lw_settle_comfort(const lw_context *c, const lw_state *start, lw_comfort *comfort);

/* What is wanted of the two courses besides their sums; any may be NULL. mark: of the own course. */
typedef struct lw_courses_wish {
    lw_series *own_series, *joint_series;
    float (*mark)[LW_MARKS];
    int is_without_flows; /* as in lw_run */
} lw_courses_wish;

/* Both courses from the start: common until they part, then the own one to the horizon and the joint one to joint_last
 * (steps; below 0: to departure or a fortnight past the first shortage). Gives the step the joint one ended at. */
int lw_run_both(const lw_context *c, const lw_courses_wish *wish, int joint_last, lw_course *own, lw_course *joint);

/* Of all its vessels together, filters' cartridges left out; the battery's in Wh. */
double lw_supply_level(const lw_context *c, int supply, const lw_state *s);

/* Order of the supplies by their median, and which binds by it. */
void lw_sort_supplies(lw_outlook *out);

#endif
