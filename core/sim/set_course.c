#include "core/sim/set_course.h"

#include <math.h>
#include <string.h>

#include "core/sim/course_internal.h"

struct lw_set_course {
    lw_context context;
    float factor[LW_DAYS + 2][LW_GROUP_COUNT];
    lw_hour hour[];
};

size_t lw_set_course_bytes(const lw_context *c)
{
    return sizeof(lw_set_course) + (size_t)c->steps * sizeof(lw_hour);
}

lw_set_course *lw_set_course_begin(const lw_context *c, void *memory)
{
    lw_set_course *course = memory;
    course->context = *c;
    course->context.hour = course->hour;
    course->context.use_factor = &course->factor[0][0];
    lw_set_course_take(course, c, 0, LW_DAYS + 2, 1);
    return course;
}

static void take_factors(lw_set_course *course, const lw_context *from, int day)
{
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        course->factor[day][g] = from->use_factor ? from->use_factor[day * LW_GROUP_COUNT + g] : 1.0f;
}

void lw_set_course_take(lw_set_course *course, const lw_context *from, int from_day, int until_day, int is_whole)
{
    lw_context *c = &course->context;
    for (int h = 0; h < c->steps; h++) {
        const int day = from->hour[h].day;
        if (day < from_day || day >= until_day)
            continue;
        course->hour[h] = from->hour[h];
        take_factors(course, from, day);
    }
    if (is_whole) {
        c->ua_wk = from->ua_wk;
        c->wind_wkpms = from->wind_wkpms;
        c->decay_calm = from->decay_calm;
    }
}

int lw_set_course_hours(const lw_set_course *course)
{
    return course->context.steps;
}

int lw_set_course_day(const lw_set_course *course, int hour)
{
    return course->hour[hour].day;
}

int lw_set_course_may_run(const lw_set_course *course, int hour)
{
    return course->hour[hour].is_generator_allowed;
}

static double running_fuel(const lw_context *c, const lw_flows *f)
{
    return c->scenario->rig.generator.fuel == LW_ENGINE_FUEL_LPG ? f->of[LW_FLOW_PROPANE_GENERATOR]
                                                                 : f->of[LW_FLOW_FUEL_OUT] + f->of[LW_FLOW_FUEL_SHORT];
}

void lw_set_course_hour(lw_set_course *course, int h, int is_on, lw_state *s, lw_set_hour *told)
{
    const lw_context *c = &course->context;
    lw_hour *hour = &course->hour[h];
    lw_flows flows = {{0}};
    lw_step_note note;
    note.wants = NULL;
    hour->is_generator_wanted = (uint8_t)(is_on && hour->is_generator_allowed);
    for (int i = 0; i < hour->transfer_count; i++)
        lw_apply_transfer(c, &c->scenario->transfer[hour->transfer_first + i], s, NULL);
    lw_step(c, LW_MODE_OWN, h, 0.0, 1.0, s, &flows, &note);
    *told = (lw_set_hour){.fuel = running_fuel(c, &flows),
                          .running_h = flows.of[LW_FLOW_GENERATOR_HOURS],
                          .balance_wh = flows.of[LW_FLOW_SUN_PANELS] + flows.of[LW_FLOW_DRIVE_DC] -
                                        flows.of[LW_FLOW_DC_LOADS] - flows.of[LW_FLOW_INVERTER_IN],
                          .is_under_floor = !isinf(note.floor_h) || s->cut != 0};
}

void lw_set_course_charge(const lw_set_course *course, double battery_frac, lw_state *s)
{
    const lw_kibam_state wells = lw_battery_at_soc(&course->context.battery, battery_frac);
    s->battery_q1_ah = wells.q1_ah;
    s->battery_q2_ah = wells.q2_ah;
}

double lw_set_course_floor_frac(const lw_set_course *course, const lw_state *s)
{
    const lw_battery *b = &course->context.battery;
    return lw_battery_soc_frac(b, lw_battery_floor_ah(b, s->battery_c));
}

double lw_set_course_frac(const lw_set_course *course, const lw_state *s)
{
    return lw_state_battery_frac(&course->context, s);
}
