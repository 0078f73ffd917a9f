/* core/sim/set_course.h: a course whose generator runs in the hours that a planner says, hour by hour.
 *
 * Computes   lw_set_course_take copies the hours of a draw (lw_ensemble_draw) or of the plain context, whole or of some of its days;
 *            lw_set_course_hour runs one of them with the set on or off and tells the fuel, the running time and whether the owner's floor
 *            was passed. Own course: every other supply counts as topped up, the set's fuel too.
 * Inputs     a scenario whose set neither starts by the battery nor has hours of its own (is_automatic 0, run 0); steps of an hour.
 *            Where it also runs for cooling it does so by itself, and that is told as fuel and time.
 * Results    fuel in litres, of propane in kg; running_h within the hour.
 * Errors     none on checked input.
 * Limits     transfers of an hour come at its beginning. A course of days from several draws has the plain household's heat. */
#ifndef LW_CORE_SIM_SET_COURSE_H
#define LW_CORE_SIM_SET_COURSE_H

#include "core/sim/ensemble.h"

typedef struct lw_set_course lw_set_course; /* in the caller's memory of lw_set_course_bytes, aligned for any type */

typedef struct lw_set_hour {
    double fuel, running_h;
    double balance_wh; /* sun on the panels and driving, less what the loads ask of direct current */
    int is_under_floor;
} lw_set_hour;

size_t lw_set_course_bytes(const lw_context *context);

/* Begins with the plain hours of the context, which must outlive it. */
lw_set_course *lw_set_course_begin(const lw_context *context, void *memory);

/* The hours of another context of the same scenario that lie in civil days from .. until - 1, counted from the first; with is_whole its
 * household's heat too. */
void lw_set_course_take(lw_set_course *course, const lw_context *from, int from_day, int until_day, int is_whole);

int lw_set_course_hours(const lw_set_course *course);
int lw_set_course_day(const lw_set_course *course, int hour); /* civil days since the first */
int lw_set_course_may_run(const lw_set_course *course, int hour);

void lw_set_course_hour(lw_set_course *course, int hour, int is_on, lw_state *state, lw_set_hour *told);

/* Both wells of a bank, for telling which of two states has more. */
static inline double lw_state_charge_ah(const lw_state *s)
{
    return s->battery_q1_ah + s->battery_q2_ah;
}

/* The state with so much in the battery, at rest. */
void lw_set_course_charge(const lw_set_course *course, double battery_frac, lw_state *state);
double lw_set_course_floor_frac(const lw_set_course *course, const lw_state *state); /* as cold as it is */
double lw_set_course_frac(const lw_set_course *course, const lw_state *state);

#endif
