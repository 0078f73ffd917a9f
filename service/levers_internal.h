/* service/levers_internal.h: what the parts of service/levers share. */
#ifndef LW_SERVICE_LEVERS_INTERNAL_H
#define LW_SERVICE_LEVERS_INTERNAL_H

#include "core/sim/asked.h"
#include "exchange/tables.h"
#include "service/levers.h"

enum { LW_TARGET_ALL = LW_SUPPLY_COUNT, LW_TARGETS }; /* none of the supplies ends; a target each and this one */

/* Of each draw what uses ask of a supply beyond the room there is, as sums (core/sim/asked.h); of a lever what that is more than
 * without it: these add up. Hours are those until the departure, parted by the time of a run. */
typedef enum lw_sum {
    LW_SUM_ALL = 0, /* in all the hours, beyond the room at the start */
    LW_SUM_BEFORE,  /* before the run */
    LW_SUM_AFTER,   /* after it, beyond the room of renewed tanks */
    LW_SUM_MISSING, /* what a run can bring or take away at most */
    LW_SUMS
} lw_sum;

typedef struct lw_lever_sums {
    uint32_t is_known, is_whole, is_single; /* bit per supply; single: of one vessel */
    uint32_t is_renewed;                    /* by a run of this lever */
    double brought[LW_SUPPLY_COUNT];        /* by it, or taken away */
    double *of[LW_SUPPLY_COUNT];            /* [lw_sum][draw]; NULL: nothing more or less */
} lw_lever_sums;

/* The work as it goes on. */
typedef struct lw_levers_work {
    const lw_trials *trials;
    lw_levers *to;
    int threads;
    lw_bench *bench;        /* one a thread */
    lw_outlook **plain;     /* one a thread */
    lw_outlook *base_plain; /* of the unchanged camp */
    lw_trial base;
    lw_trial_row *base_row;                       /* set_draws of them where a set is looked for, and draws at least */
    double wished_h;                              /* hours to the departure; the horizon where none is wished */
    float (*factor)[LW_DAYS + 2][LW_GROUP_COUNT]; /* of use, by draw; NULL: no set is looked for */
    struct lw_asked_pair **asked;                 /* one a thread */
    struct lw_asked_pair *base_asked;
    lw_lever_sums base_sums, *sums; /* the latter by lever number */
} lw_levers_work;

/* levers_table.c: the rows that make sense for this household, without results. */
LW_MUST_USE lw_code lw_levers_read(const lw_loaded *base, lw_levers *to, lw_err *err);
double lw_lever_habit_minutes(const lw_loaded *loaded, const lw_table *habits, const char *id);

/* levers_sums.c */
LW_MUST_USE lw_code lw_levers_sums_open(lw_levers_work *w, lw_err *err);
void lw_levers_sums_close(lw_levers_work *w);
void lw_levers_sum(const lw_levers_work *w, const lw_trial *trial, int worker, lw_lever_sums *to);

/* levers_cases.c: due and pays as in lw_set_in; room for LW_SET_CASES, and as many for each lever. Gives their number; 0: none. */
typedef struct lw_case_maker {
    const lw_lever_sums *base, *sums[LW_SET_LEVERS];
    const lw_set_lever *lever;
    int count;
} lw_case_maker;
int lw_levers_cases(const lw_case_maker *maker, int draws, int wanted, float *due, float *pays);

/* levers_set.c */
LW_MUST_USE lw_code lw_levers_choose(lw_levers_work *w, lw_err *err);

/* levers.c */
lw_gain lw_gain_of(const lw_levers_work *w, const lw_trial_row *row, int supply);
double lw_rows_stay_frac(const lw_levers_work *w, const lw_trial_row *row, int count);
double lw_rows_sure_days(const lw_trial_row *row, int count, int supply, double frac);
float lw_row_first_h(const lw_trial_row *row);

/* levers_words.c */
void lw_levers_say(lw_levers *levers, const lw_loaded *loaded);

#endif
