/* service/today_internal.h: what the parts of service/today share. */
#ifndef LW_SERVICE_TODAY_INTERNAL_H
#define LW_SERVICE_TODAY_INTERNAL_H

#include "service/today.h"
#include "service/words_internal.h"

/* What today is made with. */
typedef struct lw_planner {
    const lw_today_in *in;
    lw_speaker speaker;
    lw_today *today;
} lw_planner;

/* NULL: there is no room for another. */
lw_todo *lw_todo_new(lw_planner *p, lw_todo_kind kind, int64_t by_s, const char *caution);

void lw_plan_overdue(lw_planner *p);
void lw_plan_stay(lw_planner *p);
void lw_plan_permits(lw_planner *p);
void lw_plan_data(lw_planner *p);
void lw_plan_kept(lw_planner *p);

/* Supplies that the fills and dumps of that transfer's moment serve; whereto into *where, as far as it is said. */
uint32_t lw_errand_serves(const lw_scenario *scenario, int first, const char **where);

/* "fill fresh water, dump the grey water and shop for food" */
void lw_add_errands(uint32_t supplies, lw_line *to);

/* What keeps the battery above its floor until the set may run again: tomorrow or, where it lasts until then anyway, the
 * day after. */
typedef struct lw_generator_window {
    int64_t floor_s;  /* when the battery reaches its floor without it; 0: not before until_s */
    int64_t until_s;  /* as far as was looked */
    int64_t latest_s; /* when it must begin */
    int hours;        /* 0: none is needed, or none is enough */
} lw_generator_window;

LW_MUST_USE lw_code lw_generator_window_find(const lw_today_in *in, lw_generator_window *window, lw_err *err);

#endif
