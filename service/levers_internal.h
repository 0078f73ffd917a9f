/* service/levers_internal.h: what the parts of service/levers share. */
#ifndef LW_SERVICE_LEVERS_INTERNAL_H
#define LW_SERVICE_LEVERS_INTERNAL_H

#include "exchange/tables.h"
#include "service/levers.h"

enum { LW_TARGET_ALL = LW_SUPPLY_COUNT, LW_TARGETS }; /* none of the supplies ends; a target each and this one */

/* The work as it goes on. */
typedef struct lw_levers_work {
    const lw_trials *trials;
    lw_levers *to;
    int threads;
    lw_bench *bench;        /* one a thread */
    lw_outlook **plain;     /* one a thread */
    lw_outlook *base_plain; /* of the unchanged camp */
    lw_trial base;
    lw_trial_row *base_row;
    double wished_h;                      /* hours to the departure; the horizon where none is wished */
    double (*sure_days)[LW_SUPPLY_COUNT]; /* by lever number: that each supply lasts in the wished share of the draws */
} lw_levers_work;

/* levers_table.c: the rows that make sense for this household, without results. */
LW_MUST_USE lw_code lw_levers_read(const lw_loaded *base, lw_levers *to, lw_err *err);
double lw_lever_habit_minutes(const lw_loaded *loaded, const lw_table *habits, const char *id);
LW_MUST_USE lw_code lw_levers_price(const char *id, double *usd, lw_err *err);

/* levers_set.c */
LW_MUST_USE lw_code lw_levers_choose(lw_levers_work *w, lw_err *err);

/* levers.c */
lw_gain lw_gain_of(const lw_levers_work *w, const lw_trial_row *row, int supply);
double lw_rows_stay_frac(const lw_levers_work *w, const lw_trial_row *row, int count);
double lw_lever_room(const lw_leeway *leeway, lw_supply supply); /* what can be drawn, or what fits, at the start */
double lw_rows_sure_days(const lw_trial_row *row, int count, int supply, double frac);
float lw_row_first_h(const lw_trial_row *row);

/* levers_words.c */
void lw_levers_say(lw_levers *levers, const lw_loaded *loaded);

#endif
