/* Hours of the generator: random camps, held against trying every plan with the same steps of the simulation. */
#include "tests/check.h"

#include <stdlib.h>
#include <string.h>

#include "core/plan/set_hours.h"
#include "tests/core/camp.h"

typedef struct bench {
    lw_scenario *scenario;
    lw_arena memory, planning;
    void *course;
    lw_set_hours_in in;
} bench;

static void open_bench(bench *b, lw_scenario *scenario, int hours)
{
    lw_fault fault = {0};
    lw_context *context = NULL;
    *b = (bench){.scenario = scenario};
    scenario->rig.generator.is_present = 1;
    scenario->rig.generator.is_automatic = scenario->rig.generator.runs_for_cooling = 0;
    memset(scenario->rig.generator.run, 0, sizeof scenario->rig.generator.run);
    scenario->rig.cabin.electric_w = 0.0;
    b->memory.cap = lw_prepare_bytes(scenario, 1);
    b->memory.base = malloc(b->memory.cap);
    if (lw_scenario_check(scenario, &fault) || lw_prepare(scenario, 1, &b->memory, &context, &fault))
        fail_msg("%s: %g", fault.field, fault.value);
    b->course = malloc(lw_set_course_bytes(context));
    b->in.course = lw_set_course_begin(context, b->course);
    b->in.hours = hours;
    lw_state_start(context, &b->in.start);
    b->planning.cap = lw_set_hours_bytes();
    b->planning.base = malloc(b->planning.cap);
}

static void close_bench(bench *b)
{
    free(b->memory.base);
    free(b->planning.base);
    free(b->course);
    free(b->scenario);
}

static lw_set_hours_out planned(bench *b)
{
    lw_set_hours_out out = {.is_found = 0};
    lw_fault fault = {0};
    b->planning.used = 0;
    if (lw_set_hours_check(&b->in, &fault) || lw_set_hours_plan(&b->in, &b->planning, &out, &fault))
        fail_msg("%s: %g", fault.field, fault.value);
    return out;
}

/* Every plan over the allowed hours. */
static lw_set_cost tried(const bench *b)
{
    int free_hour[LW_SET_HOURS], free_count = 0;
    lw_set_cost best = {.is_kept = 0};
    for (int h = 0; h < b->in.hours; h++)
        if (lw_set_course_may_run(b->in.course, h))
            free_hour[free_count++] = h;
    for (uint32_t plan = 0; plan < 1u << free_count; plan++) {
        uint8_t on[LW_SET_HOURS] = {0};
        for (int i = 0; i < free_count; i++)
            on[free_hour[i]] = plan >> i & 1u;
        const lw_set_cost cost = lw_set_hours_cost(&b->in, on);
        if (cost.is_kept && (!best.is_kept || cost.usd < best.usd))
            best = cost;
    }
    return best;
}

enum { CASES = 60, HOURS = 14, FREE = 8 };

static void make_case(bench *b, uint64_t seed)
{
    uint64_t r = seed * 7919u + 12345u;
    lw_scenario *s = camp_random(2, seed);
    for (int a = 0; a < s->rig.array_count; a++)
        s->rig.array[a].rated_w *= 0.1;
    s->rig.battery.floor_frac = camp_between(&r, 0.1, 0.5);
    s->rig.battery.level_frac = s->rig.battery.floor_frac + camp_between(&r, 0.02, 0.2);
    memset(s->rig.generator.allowed, 0, sizeof s->rig.generator.allowed);
    uint32_t allowed = 0;
    for (int i = 0; i < FREE; i++)
        allowed |= 1u << (s->calendar.civil_hour[(int)(camp_uniform(&r) * HOURS)]);
    for (int d = 0; d < 7; d++)
        s->rig.generator.allowed[d] = allowed;
    open_bench(b, s, HOURS);
    b->in.fuel_usd = 1.0;
    b->in.running_usd = camp_between(&r, 0.0, 1.0);
    b->in.start_usd = camp_uniform(&r) < 0.5 ? 0.0 : camp_between(&r, 0.0, 1.0);
    for (int h = 0; h < HOURS; h++)
        b->in.hour_usd[h] = camp_uniform(&r) < 0.7 ? 0.0 : camp_between(&r, 0.0, 4.0);
    if (camp_uniform(&r) < 0.5)
        b->in.need[b->in.need_count++] = (lw_set_need){.kind = 0, .from = 4, .until = 12, .least_h = 1};
    if (camp_uniform(&r) < 0.3)
        b->in.need[b->in.need_count++] = (lw_set_need){.kind = 1, .from = 2, .until = 9, .least_h = 2};
}

static void the_plan_costs_as_little_as_the_best_of_all(void **state)
{
    int found = 0, ran = 0;
    (void)state;
    for (uint64_t seed = 1; seed <= CASES; seed++) {
        bench b;
        make_case(&b, seed);
        const lw_set_cost best = tried(&b);
        const lw_set_hours_out out = planned(&b);
        if (out.is_found != best.is_kept)
            fail_msg("case %d: found %d, there is a plan: %d", (int)seed, out.is_found, best.is_kept);
        if (out.is_found) {
            CHECK_NEAR(out.usd, best.usd, 1e-9, "case %d, USD", (int)seed);
            const lw_set_cost again = lw_set_hours_cost(&b.in, out.on);
            assert_true(again.is_kept && out.is_exact);
            CHECK_NEAR(again.usd, out.usd, 1e-9, "case %d, USD of its own hours", (int)seed);
            CHECK_NEAR(again.fuel, out.fuel, 1e-9, "case %d, fuel", (int)seed);
        }
        found += out.is_found;
        ran += out.is_found && out.running_h > 0.0;
        close_bench(&b);
    }
    if (found < CASES / 3 || ran < CASES / 4)
        fail_msg("%d cases have a plan and %d run the set: too few to tell", found, ran);
}

/* The battery takes less the fuller it is: hours in the upper part, which a habit of charging in the morning has, cost more
 * fuel and time for the same floor. */
static void the_set_runs_where_the_battery_takes_most(void **state)
{
    bench b;
    uint8_t morning[LW_SET_HOURS] = {0};
    (void)state;
    lw_scenario *s = camp_new(6);
    s->rig.array_count = 0;
    s->rig.battery.chemistry = LW_CHEMISTRY_AGM;
    s->rig.battery.level_frac = 0.95;
    s->rig.battery.floor_frac = 0.3;
    open_bench(&b, s, 5 * 24);
    b.in.fuel_usd = 1.0;
    b.in.running_usd = 0.5;
    const lw_set_hours_out out = planned(&b);
    assert_true(out.is_found);
    for (int h = 0; h < b.in.hours; h++)
        morning[h] = s->calendar.civil_hour[h] >= 8 && s->calendar.civil_hour[h] < 14;
    const lw_set_cost usual = lw_set_hours_cost(&b.in, morning);
    if (!usual.is_kept || !(out.running_h < 0.9 * usual.running_h) || !(out.fuel < usual.fuel))
        fail_msg("planned %.1f h and %.2f l, each morning %.1f h and %.2f l (floor kept: %d)", out.running_h, out.fuel,
                 usual.running_h, usual.fuel, usual.is_kept);
    close_bench(&b);
}

static void what_cannot_be_kept_is_said(void **state)
{
    bench b;
    (void)state;
    lw_scenario *s = camp_new(4);
    s->rig.array_count = 0;
    memset(s->rig.generator.allowed, 0, sizeof s->rig.generator.allowed);
    open_bench(&b, s, 80);
    const lw_set_hours_out out = planned(&b);
    assert_false(out.is_found);
    assert_true(out.short_hour > 0 && out.short_hour < 79);
    lw_fault fault = {0};
    b.in.hours = 5000;
    assert_int_equal(lw_set_hours_check(&b.in, &fault), LW_E_RANGE);
    b.in.hours = 20;
    b.in.hour_usd[3] = NAN;
    assert_int_equal(lw_set_hours_check(&b.in, &fault), LW_E_RANGE);
    close_bench(&b);
}

/* A fortnight has too many hours for labels without end; what is joined is told with a bound below the cost. */
static void a_long_plan_is_bounded(void **state)
{
    bench b;
    (void)state;
    lw_scenario *s = camp_new(12);
    s->rig.array[0].rated_w = 60.0;
    s->rig.array[1].rated_w = 0.0;
    open_bench(&b, s, 5 * 24);
    b.in.fuel_usd = 1.0;
    b.in.running_usd = 0.5;
    b.in.start_usd = 0.25;
    const lw_set_hours_out out = planned(&b);
    assert_true(out.is_found && out.running_h > 0.0);
    if (!(out.bound_usd <= out.usd && out.bound_usd > 0.9 * out.usd))
        fail_msg("cost %.4f, bound %.4f", out.usd, out.bound_usd);
    const lw_set_cost again = lw_set_hours_cost(&b.in, out.on);
    assert_true(again.is_kept);
    CHECK_NEAR(again.usd, out.usd, 1e-9, "USD of its own hours");
    close_bench(&b);
}

int main(void)
{
    const struct CMUnitTest test[] = {
        cmocka_unit_test(the_plan_costs_as_little_as_the_best_of_all),
        cmocka_unit_test(the_set_runs_where_the_battery_takes_most),
        cmocka_unit_test(what_cannot_be_kept_is_said),
        cmocka_unit_test(a_long_plan_is_bounded),
    };
    return cmocka_run_group_tests(test, NULL, NULL);
}
