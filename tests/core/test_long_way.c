/* Short ways through a step against the long one: uses summed by strand instead of one by one, power without a search for
 * switches. Random invented camps, both courses, each step from the same state. */
#include "tests/check.h"

#include "tests/core/camp.h"

enum { CAMPS = 250, DAYS = 4 };

/* Rounding of sums taken in another order; levels and flows reach hundreds. */
static const double REL = 1e-11;

static int is_near(double a, double b)
{
    return fabs(a - b) <= REL * (1.0 + fabs(a) + fabs(b));
}

static void compare(const camp *c, const lw_state *a, const lw_state *b, const char *where)
{
    for (int v = 0; v < c->scenario->rig.vessel_count; v++)
        if (!is_near(a->level[v], b->level[v]))
            fail_msg("%s: %s holds %.15g, by the long way %.15g", where, c->scenario->rig.vessel[v].name, a->level[v],
                     b->level[v]);
    const double pair[][2] = {
        {a->battery_q1_ah, b->battery_q1_ah},
        {a->battery_q2_ah, b->battery_q2_ah},
        {a->battery_c, b->battery_c},
        {a->cabin_c, b->cabin_c},
        {a->bay_c, b->bay_c},
        {a->water_deficit_j, b->water_deficit_j},
        {a->rubbish_age_frac, b->rubbish_age_frac},
        {a->fridge_warm_h, b->fridge_warm_h},
        {a->freeze_valve_h, b->freeze_valve_h},
        {a->freeze_pipe_h, b->freeze_pipe_h},
        {(double)a->cut, (double)b->cut},
        {a->is_generator_on, b->is_generator_on},
    };
    for (size_t i = 0; i < COUNT_OF(pair); i++)
        if (!is_near(pair[i][0], pair[i][1]))
            fail_msg("%s: figure %zu of the state is %.15g, by the long way %.15g", where, i, pair[i][0], pair[i][1]);
}

static void run_camp(uint64_t number, lw_mode mode)
{
    camp c = camp_prepare(camp_random(DAYS, number), number % 5 == 0 ? 2 : 1);
    lw_state s;
    lw_state_start(c.context, &s);
    for (int step = 0; step < lw_context_steps(c.context); step++) {
        lw_state slow = s;
        lw_flows f, slow_f;
        char where[80];
        snprintf(where, sizeof where, "camp %d step %d mode %d", (int)number, step, (int)mode);
        lw_step_once(c.context, mode, step, &s, &f);
        lw_step_once_long(c.context, mode, step, &slow, &slow_f);
        compare(&c, &s, &slow, where);
        for (int k = 0; k < LW_FLOW_COUNT; k++)
            if (!is_near(f.of[k], slow_f.of[k]))
                fail_msg("%s: flow %d is %.15g, by the long way %.15g", where, k, f.of[k], slow_f.of[k]);
    }
    camp_free(&c);
}

static void short_ways_give_what_the_long_one_gives(void **state)
{
    (void)state;
    for (uint64_t i = 1; i <= CAMPS; i++) {
        run_camp(i, LW_MODE_OWN);
        run_camp(i, LW_MODE_JOINT);
    }
}

/* Draws keep no ledger; what they tell of gas and sun must be what it would say. */
static void what_draws_tell_is_what_the_ledger_says(void **state)
{
    (void)state;
    for (uint64_t number = 1; number <= 60; number++) {
        camp c = camp_prepare(camp_random(8, number), 1);
        lw_state s;
        lw_course course;
        lw_state_start(c.context, &s);
        lw_course_run(c.context, LW_MODE_OWN, &s, &course, NULL);
        const double *of = course.to_departure.of;
        const double gas_kg = of[LW_FLOW_PROPANE_OUT] + of[LW_FLOW_PROPANE_SHORT], sun_wh = of[LW_FLOW_SUN_PANELS];
        if (!is_near(course.gas_asked_kg, gas_kg) || !is_near(course.panels_wh, sun_wh))
            fail_msg("camp %d: %.15g kg and %.15g Wh, by the ledger %.15g and %.15g", (int)number, course.gas_asked_kg,
                     course.panels_wh, gas_kg, sun_wh);
        camp_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(short_ways_give_what_the_long_one_gives),
                                       cmocka_unit_test(what_draws_tell_is_what_the_ledger_says)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
