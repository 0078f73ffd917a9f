#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "service/today_internal.h"
#include "text/say.h"

/* A set may stop and go on, but nobody wants to start it thrice: one block of whole hours, at most so many. */
enum { BLOCK_MOST_H = 16, LOOK_DAYS = 2 };
/* Where no rule forbids the night, the day is still preferred; from judgement. */
enum { DAY_FROM_H = 8, DAY_TO_H = 22 };

typedef struct trial {
    lw_scenario *scenario; /* a copy whose generator hours are changed */
    lw_arena arena;
    int now_hour; /* of the calendar */
    lw_state now;
    int until_hour;
    int by_day; /* only hours in which nobody sleeps */
} trial;

static int is_allowed(const trial *t, int hour)
{
    const lw_scenario *s = t->scenario;
    const int civil_hour = s->calendar.civil_hour[hour];
    if (t->by_day && (civil_hour < DAY_FROM_H || civil_hour >= DAY_TO_H))
        return 0;
    return s->rig.generator.allowed[s->calendar.weekday[hour]] >> civil_hour & 1u;
}

/* The hour at which the set may run again so many days after the one that `hour` lies in, or as far as the horizon goes. */
static int allowed_after(const trial *t, int days)
{
    const lw_scenario *s = t->scenario;
    const int hour = t->now_hour;
    const int last = s->calendar.hours - 1, to = hour + 24 * (days + 1);
    for (int i = hour; i <= last && i < to; i++)
        if (s->calendar.civil_day[i] >= s->calendar.civil_day[hour] + days && is_allowed(t, i))
            return i;
    return to < last ? to : last;
}

/* Runs from now on with the set on in [from, from + hours); gives the hour in which the floor is passed, or -1. */
static int floor_hour(trial *t, int from, int hours, lw_err *err, lw_code *code)
{
    lw_fault fault = {0};
    lw_context *context;
    const lw_calendar *calendar = &t->scenario->calendar;
    lw_generator_use *set = &t->scenario->rig.generator;
    const lw_generator_use kept = *set;
    for (int h = from; h < from + hours; h++)
        set->run[calendar->weekday[h]] |= UINT32_C(1) << calendar->civil_hour[h];
    t->arena.used = 0;
    *code = lw_prepare(t->scenario, 1, &t->arena, &context, &fault);
    *set = kept;
    if (*code) {
        (void)lw_fault_say(&fault, err);
        return -1;
    }
    lw_state s = t->now;
    lw_flows flows;
    const double floor = t->scenario->rig.battery.floor_frac;
    for (int h = t->now_hour; h < t->until_hour; h++) {
        lw_step_once(context, LW_MODE_JOINT, h, &s, &flows);
        if (lw_state_battery_frac(context, &s) <= floor || s.cut)
            return h;
    }
    return -1;
}

/* The latest block of so many hours, begun at once or later, that keeps the floor; -1: none does. */
static int latest_start(trial *t, int hours, int before, lw_err *err, lw_code *code)
{
    for (int from = before; from >= t->now_hour && !*code; from--) {
        int fits = from + hours <= t->until_hour;
        for (int h = from; h < from + hours && fits; h++)
            fits = is_allowed(t, h);
        if (fits && floor_hour(t, from, hours, err, code) < 0 && !*code)
            return from;
    }
    return -1;
}

static lw_code find(trial *t, lw_generator_window *window, lw_err *err)
{
    const lw_scenario *s = t->scenario;
    lw_code code = LW_OK;
    int floor_at = -1;
    for (int days = 1; days <= LOOK_DAYS && floor_at < 0 && !code; days++) {
        t->until_hour = allowed_after(t, days);
        floor_at = floor_hour(t, t->now_hour, 0, err, &code);
    }
    if (code)
        return code;
    window->until_s = s->calendar.start_s + (int64_t)t->until_hour * 3600;
    window->floor_s = floor_at < 0 ? 0 : s->calendar.start_s + (int64_t)floor_at * 3600;
    for (int hours = 1; floor_at >= 0 && s->rig.generator.is_present && hours <= BLOCK_MOST_H; hours++) {
        const int from = latest_start(t, hours, floor_at, err, &code);
        if (code)
            return code;
        if (from >= 0) {
            window->hours = hours;
            window->latest_s = s->calendar.start_s + (int64_t)from * 3600;
            return LW_OK;
        }
    }
    return LW_OK;
}

lw_code lw_generator_window_find(const lw_today_in *in, lw_generator_window *window, lw_err *err)
{
    const lw_outlook_answer *a = in->answer;
    const lw_scenario *scenario = a->loaded.scenario;
    *window = (lw_generator_window){.until_s = in->now_s};
    if (scenario->rig.battery.capacity_ah <= 0.0)
        return LW_OK;
    trial t = {.scenario = malloc(sizeof *t.scenario), .arena = {.cap = lw_prepare_bytes(scenario, 1)}};
    t.arena.base = malloc(t.arena.cap);
    if (!t.scenario || !t.arena.base) {
        free(t.scenario);
        free(t.arena.base);
        return lw_fail(err, LW_E_FULL, "no memory to try the generator");
    }
    *t.scenario = *scenario;
    t.now_hour = (int)((in->now_s - scenario->calendar.start_s) / 3600);
    const int row = lw_joint_row_at(a, in->now_s);
    lw_fault fault = {0};
    lw_context *context;
    lw_code code = lw_prepare(scenario, 1, &t.arena, &context, &fault);
    if (code)
        (void)lw_fault_say(&fault, err);
    else if (row >= 0)
        t.now = a->joint.state[row];
    else
        lw_state_start(context, &t.now);
    for (int by_day = 1; by_day >= 0 && !code && !window->hours; by_day--) {
        t.by_day = by_day;
        code = find(&t, window, err);
    }
    free(t.arena.base);
    free(t.scenario);
    return code;
}
