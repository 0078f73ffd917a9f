/* Runs of an invented stay: what is planned is held against running the stay again, as the module does on fresh draws. */
#include <stdlib.h>
#include <string.h>

#include "tests/check.h"

#include "service/runs_plan.h"

static const char ERRANDS[] =
    "services:\n"
    "  - {name: yard, gives: [water, dump, rubbish], distance: 5 mi, road: 15 min, fee: 8 USD, for: public}\n"
    "  - {name: spigot, gives: water, distance: 1 mi, road: 5 min}\n"
    "runs:\n"
    "  - {kind: break-camp, ready: 60 min, trouble: 5 USD}\n";

static lw_code plan_of(const char *until, lw_runs_planned *plan, lw_err *err)
{
    lw_errands errands;
    const lw_runs_wish wish = {.path = "examples/ten-lines.yaml",
                               .until = until,
                               .now_s = 1781000000,
                               .confidence_frac = 0.6,
                               .hour_usd = 10.0,
                               .draws = 16,
                               .fresh = 64,
                               .seed = 1};
    const lw_code code = lw_errands_read("e.yaml", ERRANDS, strlen(ERRANDS), &errands, err);
    return code ? code : lw_runs_plan_make(&wish, &errands, plan, err);
}

static void a_run_keeps_the_stay_going(void **state)
{
    lw_runs_planned *plan = malloc(sizeof *plan);
    lw_err err = {0};
    (void)state;
    assert_non_null(plan);
    if (plan_of("2026-06-10 20:00", plan, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_true(plan->out.is_found && plan->out.count >= 1);
    assert_true(plan->is_reached && plan->fresh_frac >= 0.6 && plan->without_frac < 0.6);
    assert_non_null(strstr(plan->run[0].sentence, "by breaking camp: yard for water in"));
    assert_non_null(strstr(plan->ask, "spigot"));
    for (int i = 0; i < plan->out.count; i++)
        assert_true(plan->run[i].leave_s > plan->start_s && plan->run[i].back_s < plan->departure_s);
    /* By hand: an hour of packing, half an hour of road, twenty minutes there; ten miles at 0.60 USD; fee and trouble. */
    CHECK_NEAR(plan->out.run[0].usd, 10.0 * (1.0 + 0.5 + 1.0 / 3.0) + 10.0 * 0.6 + 8.0 + 5.0, 1e-6, "its cost");
    free(plan);
}

static void a_short_stay_needs_none_and_a_long_one_is_refused(void **state)
{
    lw_runs_planned *plan = malloc(sizeof *plan);
    lw_err err = {0};
    (void)state;
    assert_non_null(plan);
    assert_int_equal(plan_of("2026-06-08 20:00", plan, &err), LW_OK);
    assert_true(plan->out.is_found && plan->out.count == 0 && strstr(plan->headline, "No run is needed"));
    assert_int_equal(plan_of("2026-08-08 20:00", plan, &err), LW_E_RANGE);
    free(plan);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_run_keeps_the_stay_going),
        cmocka_unit_test(a_short_stay_needs_none_and_a_long_one_is_refused),
    };
    return cmocka_run_group_tests_name("service/runs_plan", tests, NULL, NULL);
}
