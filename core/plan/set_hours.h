/* core/plan/set_hours.h: in which hours to run the generator: the least cost that keeps the battery above its floor.
 *
 * Computes   for each hour of a course whether the set runs, so that the battery's charge never passes the owner's floor and every
 *            need for its alternating current is met, at the least sum of costs.
 * Model      Hours are whole. An hour's charge, taper and fuel are the simulation's own (core/sim/set_course.h). Cost = fuel x its price
 *            + running time x (an hour's cost + what the hour weighs besides) + starts x what a start costs. A need asks for so many
 *            hours of running between two hours. What is in the battery at the end is worth nothing.
 * Exact      for that model: labels by hour (cost, charge of both wells, hours towards open needs), of which one is dropped only where
 *            another costs no more and has no less. Where more are left than fit, nearly equal ones are joined: then is_exact is 0
 *            and bound_usd says below which cost no plan can be. Random cases agree with trying every plan
 *            (tests/core/test_set_hours.c).
 * Inputs     lw_set_hours_in that passed lw_set_hours_check; memory from an arena of lw_set_hours_bytes.
 * Results    lw_set_hours_out; is_found 0: no hours keep the floor; then short_hour is the last that any plan reaches above it.
 * Errors     LW_E_RANGE from lw_set_hours_check; LW_E_FULL when the arena is too small.
 * Limits     that more charge is never worse holds where the set neither heats nor cools the cabin; with an air conditioner or an electric
 *            heater the cabin's own warmth is not weighed. */
#ifndef LW_CORE_PLAN_SET_HOURS_H
#define LW_CORE_PLAN_SET_HOURS_H

#include "core/base/arena.h"
#include "core/sim/set_course.h"

enum {
    LW_SET_DAYS = 14,
    LW_SET_HOURS = LW_SET_DAYS * 24 + 1, /* with the hour that autumn puts in */
    LW_SET_KINDS = 4,                    /* of needs */
    LW_SET_NEEDS = LW_SET_KINDS * (LW_SET_DAYS + 1) * 4,
    LW_SET_LABELS = 400, /* of one hour */
};

typedef struct lw_set_need {
    int kind; /* below LW_SET_KINDS; needs of one kind do not overlap */
    int from, until, least_h;
} lw_set_need;

typedef struct lw_set_hours_in {
    lw_set_course *course;
    lw_state start;
    int hours;      /* looked at, from the course's first */
    int floor_from; /* hours before it may lie below the floor */
    double fuel_usd, running_usd, start_usd;
    double hour_usd[LW_SET_HOURS];
    lw_set_need need[LW_SET_NEEDS]; /* by kind and time as they come */
    int need_count;
} lw_set_hours_in;

typedef struct lw_set_hours_out {
    int is_found, is_exact, short_hour;
    uint8_t on[LW_SET_HOURS];
    double usd, bound_usd, fuel, running_h;
    int labels; /* made */
} lw_set_hours_out;

LW_MUST_USE lw_code lw_set_hours_check(const lw_set_hours_in *in, lw_fault *fault);
size_t lw_set_hours_bytes(void);
LW_MUST_USE lw_code lw_set_hours_plan(const lw_set_hours_in *in, lw_arena *arena, lw_set_hours_out *out,
                                      lw_fault *fault);

/* The cost of given hours; is_kept 0: they pass the floor or miss a need. */
typedef struct lw_set_cost {
    int is_kept;
    double usd, fuel, running_h;
} lw_set_cost;
lw_set_cost lw_set_hours_cost(const lw_set_hours_in *in, const uint8_t *on);

#endif
