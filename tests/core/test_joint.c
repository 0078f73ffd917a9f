/* The joint course: shortages feed back into one another. What the outlook makes of it, and what holds at every step. */
#include "tests/check.h"

#include "tests/core/camp.h"

enum { CAMPS = 150, ELECTRIC_CAMPS = 60 };

/* The outlook begins the joint course where shortages first matter; a plain one from the start must be the same. */
static void the_outlooks_joint_course_is_the_plain_one(void **state)
{
    (void)state;
    lw_outlook *out = malloc(sizeof *out);
    assert_non_null(out);
    for (uint64_t seed = 1; seed <= CAMPS; seed++) {
        const int steps_per_hour = seed % 7 == 0 ? 4 : 1;
        camp c = camp_prepare(camp_random(3 + (int)(seed % 40), seed), steps_per_hour);
        lw_outlook_make(c.context, out, NULL, NULL);
        const int steps = (int)((out->joint_until_s - out->start_s) * steps_per_hour / 3600);
        lw_state s;
        lw_flows sum = {{0}}, own_sum = {{0}};
        lw_state_start(c.context, &s);
        for (int i = 0; i < steps; i++) {
            lw_flows flows;
            lw_step_once(c.context, LW_MODE_JOINT, i, &s, &flows);
            for (int f = 0; f < LW_FLOW_COUNT; f++)
                sum.of[f] += flows.of[f];
        }
        lw_state_start(c.context, &s);
        for (int i = 0; i < lw_context_steps(c.context); i++) {
            lw_flows flows;
            lw_step_once(c.context, LW_MODE_OWN, i, &s, &flows);
            for (int f = 0; f < LW_FLOW_COUNT; f++)
                own_sum.of[f] += flows.of[f];
        }
        for (int f = 0; f < LW_FLOW_COUNT; f++) {
            CHECK_NEAR(out->joint.of[f], sum.of[f], 1e-6 * (1.0 + fabs(sum.of[f])), "camp %d joint flow %d", (int)seed,
                       f);
            CHECK_NEAR(out->own.of[f], own_sum.of[f], 1e-6 * (1.0 + fabs(own_sum.of[f])), "camp %d own flow %d",
                       (int)seed, f);
        }
        camp_free(&c);
    }
    free(out);
}

/* A heater or an air conditioner that hangs on the generator warms and cools with what the generator made, no more. */
static void no_heat_comes_from_a_generator_that_stands(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= ELECTRIC_CAMPS; seed++) {
        lw_scenario *s = camp_random(4, seed);
        uint64_t r = seed;
        s->rig.generator.is_present = 1;
        s->rig.cabin.electric_w = 1500.0;
        if (seed % 2)
            camp_weather(s, 36.0, 6.0, 0.9);
        for (int v = 0; v < s->rig.vessel_count; v++) {
            lw_vessel *t = &s->rig.vessel[v];
            if (t->supply == LW_SUPPLY_FUEL || t->supply == LW_SUPPLY_PROPANE)
                t->level = t->unusable + (t->capacity - t->unusable) * 0.1 * camp_uniform(&r);
        }
        camp c = camp_prepare(s, 1);
        lw_state now;
        lw_state_start(c.context, &now);
        for (int i = 0; i < lw_context_steps(c.context); i++) {
            lw_flows f;
            lw_step_once(c.context, LW_MODE_JOINT, i, &now, &f);
            /* The air conditioner's electricity by its rated ratio of cooling. */
            const lw_cabin_use *h = &s->rig.cabin;
            const double cooling_wh = f.of[LW_FLOW_HEAT_COOLING] * h->cool_electric_w / h->cool_w;
            if (f.of[LW_FLOW_HEAT_ELECTRIC] + cooling_wh > f.of[LW_FLOW_AC_GENERATOR] + 1e-6)
                fail_msg("camp %d step %d: electric heat %g Wh and cooling's %g Wh, but the generator gave %g Wh",
                         (int)seed, i, f.of[LW_FLOW_HEAT_ELECTRIC], cooling_wh, f.of[LW_FLOW_AC_GENERATOR]);
        }
        camp_free(&c);
    }
}

static int first_of(const lw_outlook *o, lw_event_kind kind)
{
    for (int e = 0; e < o->event_count; e++)
        if (o->event[e].kind == kind)
            return e;
    return -1;
}

/* The camp's inverter is on from 7 to 22: a breathing device on alternating current stops at 22 on the first evening. */
static void a_vital_device_on_alternating_current_stops_with_the_inverter(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(6);
    s->rig.generator.is_present = 0;
    lw_load *device = camp_load(s, "breathing device", LW_LOAD_WEEKLY, 30.0, 0.0);
    device->is_vital = 1;
    device->power = LW_POWER_AC;
    memset(device->hours, 0, sizeof device->hours);
    camp_hours(device->hours, 20, 24);
    camp c = camp_prepare(s, 1);
    lw_outlook *o = malloc(sizeof *o);
    assert_non_null(o);
    lw_outlook_make(c.context, o, NULL, NULL);
    CHECK_NEAR(o->vital[0].q[1].days * 24.0, 7.0, 1e-9, "hours of power from 15:00");
    const int e = first_of(o, LW_EVENT_VITAL_STOPS);
    assert_true(e >= 0);
    CHECK_NEAR((double)(o->event[e].at_s - o->start_s) / 3600.0, 7.0, 1e-9, "hours until it is told");
    free(o);
    camp_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_outlooks_joint_course_is_the_plain_one),
        cmocka_unit_test(no_heat_comes_from_a_generator_that_stands),
        cmocka_unit_test(a_vital_device_on_alternating_current_stops_with_the_inverter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
