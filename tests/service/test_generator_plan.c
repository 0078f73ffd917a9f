/* Windows of a generator: the winter trailer of the examples for a few days. What is planned is held against its own rules and against
 * draws that it did not see; that no other hours cost less is held in tests/core/test_set_hours.c. */
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/check.h"

#include "core/base/random.h"
#include "service/generator_plan.h"
#include "tests/service/calibration.h"

enum { MOST = 8 };

typedef struct camp {
    const char *change[MOST];
    int count;
} camp;

static lw_code load(void *with, const char *const *change, int change_count, lw_loaded *loaded, lw_draw_start **start,
                    uint32_t *start_count, lw_err *err)
{
    const camp *c = with;
    const char *all[2 * MOST];
    int count = 0;
    *start = NULL;
    *start_count = 0;
    for (int i = 0; i < c->count; i++)
        all[count++] = c->change[i];
    for (int i = 0; i < change_count; i++)
        all[count++] = change[i];
    return lw_scenario_load(
        &(lw_scenario_from){
            .path = "examples/winter-trailer.yaml", .change = all, .change_count = count, .now_s = 1768000000},
        loaded, err);
}

static lw_code plan_of(camp c, uint64_t seed, int threads, lw_generator_plan *plan, lw_err *err)
{
    lw_trials trials = {.load = load, .with = &c, .seed = seed, .threads = threads};
    const lw_generator_wish wish = {.confidence_frac = 0.8, .draws = 16, .fresh = 100};
    return lw_generator_plan_make(&trials, &wish, plan, err);
}

static lw_generator_plan *planned(camp c, uint64_t seed, int threads)
{
    lw_generator_plan *plan = malloc(sizeof *plan);
    lw_err err = {0};
    assert_non_null(plan);
    if (plan_of(c, seed, threads, plan, &err))
        fail_msg("%s: %s", err.where, err.text);
    return plan;
}

#define SHORT "stay.leave=2026-01-13 22:00"

/* Of the zone of the place, at which the trailer stands in winter. */
static int civil_hour(int64_t at_s)
{
    lw_loaded loaded = {0};
    lw_draw_start *start;
    uint32_t count;
    lw_err err = {0};
    camp c = {.count = 0};
    assert_int_equal(load(&c, NULL, 0, &loaded, &start, &count, &err), LW_OK);
    const int hour = lw_clock_at(&loaded.zone, at_s).hour;
    lw_loaded_clear(&loaded);
    return hour;
}

static void windows_lie_in_allowed_hours_and_reach_the_wish(void **state)
{
    lw_generator_plan *plan =
        planned((camp){{SHORT, "rig.generator.allowed=8:00-20:00", "rig.battery.capacity=400 Ah"}, 3}, 1, 0);
    (void)state;
    assert_true(plan->is_needed && plan->is_found && plan->run_count > 0);
    for (int i = 0; i < plan->run_count; i++) {
        const lw_generator_run *run = &plan->run[i];
        const int from = civil_hour(run->from_s);
        if (from < 8 || from + run->hours > 20)
            fail_msg("%s", run->sentence);
        assert_true(run->until_s == run->from_s + run->hours * 3600);
        assert_true(i == 0 || run->from_s > plan->run[i - 1].until_s);
    }
    assert_true(plan->is_reached && plan->fresh_frac >= 0.8 && plan->fresh_draws == 100);
    assert_true(plan->without_frac < 0.8 && plan->fuel > 0.0 && plan->running_h > 0.0);
    assert_string_equal(plan->caution.id, "generator");
    free(plan);
}

static void the_same_seed_gives_the_same_plan_on_any_threads(void **state)
{
    lw_generator_plan *one = planned((camp){{SHORT}, 1}, 3, 1), *many = planned((camp){{SHORT}, 1}, 3, 4);
    (void)state;
    assert_int_equal(one->run_count, many->run_count);
    assert_memory_equal(&one->fuel, &many->fuel, sizeof one->fuel);
    assert_memory_equal(&one->fresh_frac, &many->fresh_frac, sizeof one->fresh_frac);
    for (int i = 0; i < one->run_count; i++)
        assert_string_equal(one->run[i].sentence, many->run[i].sentence);
    free(one);
    free(many);
}

/* An hour that bothers is used only where the battery cannot do without. */
static void hours_that_bother_are_spared(void **state)
{
    lw_generator_plan *plan = planned(
        (camp){{SHORT, "rig.generator.bother={what: lessons, hours: \"9:00-12:00\", per_hour: 50 USD}"}, 2}, 1, 0);
    lw_generator_plan *free_plan = planned((camp){{SHORT}, 1}, 1, 0);
    int in_lessons = 0;
    (void)state;
    for (int i = 0; i < plan->run_count; i++)
        in_lessons += strcmp(plan->run[i].spite, "lessons") == 0;
    if (in_lessons > 0 || !(plan->usd >= free_plan->usd - 1e-9))
        fail_msg("%d windows fall into lessons; %.2f USD, without them %.2f", in_lessons, plan->usd, free_plan->usd);
    free(plan);
    free(free_plan);
}

static void what_needs_the_current_gets_it_each_day(void **state)
{
    lw_generator_plan *plan =
        planned((camp){{SHORT, "rig.generator.needs={what: cooking, hours: \"17:00-19:00\", run: 1 h}"}, 2}, 1, 0);
    int days = 0;
    (void)state;
    for (int i = 0; i < plan->run_count; i++)
        days += strcmp(plan->run[i].why, "cooking") == 0;
    if (days != 2) /* the evenings of 12 and 13 January */
        fail_msg("cooking has the set on %d evenings", days);
    for (int i = 0; i < plan->run_count; i++)
        assert_true(!plan->run[i].why[0] || isnan(plan->run[i].skip_from_frac));
    free(plan);
}

static void a_battery_that_lasts_needs_no_set(void **state)
{
    lw_generator_plan *plan =
        planned((camp){{SHORT, "rig.battery.capacity=2000 Ah", "stay.levels.battery=full"}, 3}, 1, 0);
    (void)state;
    assert_true(!plan->is_needed && plan->run_count == 0 && plan->is_reached);
    assert_non_null(strstr(plan->headline, "can stay off"));
    assert_null(strstr(plan->headline, "as far as this plan looks"));
    free(plan);
    plan = planned(
        (camp){{"stay.leave=2026-01-31 11:00", "rig.battery.capacity=5000 Ah", "stay.levels.battery=full"}, 3}, 1, 0);
    assert_non_null(
        strstr(plan->headline, "That is as far as this plan looks: ask again for the days until Sat 31 Jan 11:00."));
    free(plan);
}

static void what_is_missing_is_said(void **state)
{
    static const struct {
        const char *change, *want;
    } row[] = {
        {"rig.generator=none", "no generator"},
        {"rig.charger=none", "no charger"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_generator_plan *plan = malloc(sizeof *plan);
        lw_err err = {0};
        assert_int_equal(plan_of((camp){{SHORT, row[i].change}, 2}, 1, 1, plan, &err), LW_E_MISSING);
        if (!strstr(err.text, row[i].want))
            fail_msg("\"%s\" does not say %s", err.text, row[i].want);
        free(plan);
    }
    lw_generator_plan *plan = planned((camp){{SHORT, "rig.generator.allowed=never"}, 2}, 1, 0);
    assert_true(plan->is_needed && !plan->is_found && !plan->is_reached);
    assert_non_null(strstr(plan->headline, "No allowed hours"));
    free(plan);
}

static double unit(uint32_t seed, uint32_t at)
{
    const lw_random_key key = {.seed = seed, .draw = at};
    return lw_random_unit(lw_random_block(&key, 19, 0).word[0]);
}

/* Another bank, other panels, another departure and wish a case. */
static void the_chance_is_that_of_further_draws(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL;
    const int cases = is_soak ? 100 : 2, fresh = is_soak ? LW_GENERATOR_FRESH : 200, further = is_soak ? 100000 : 800;
    calibration c = {.cases = 0};
    int reached = 0;
    lw_generator_plan *plan = malloc(sizeof *plan);
    (void)state;
    assert_non_null(plan);
    for (uint32_t seed = 1; c.cases < cases && seed < 10u * (uint32_t)cases; seed++) {
        char bank[64], sun[64], leave[64];
        lw_err err = {0};
        snprintf(bank, sizeof bank, "rig.battery.capacity=%d Ah", 200 + (int)(unit(seed, 0) * 600));
        snprintf(sun, sizeof sun, "rig.solar=%d W", 100 + (int)(unit(seed, 1) * 900));
        snprintf(leave, sizeof leave, "stay.leave=2026-01-%02d 11:00",
                 14 + (int)(unit(seed, 2) * (is_soak ? 8.0 : 1.0)));
        camp camp_of_case = {{bank, sun, leave, "rig.generator.allowed=8:00-20:00"}, 4};
        lw_trials trials = {.load = load, .with = &camp_of_case, .seed = seed};
        const lw_generator_wish wish = {.confidence_frac = 0.6 + 0.05 * floor(unit(seed, 3) * 7.0),
                                        .draws = is_soak ? 256 : 16,
                                        .fresh = fresh,
                                        .further = further};
        if (lw_generator_plan_make(&trials, &wish, plan, &err))
            fail_msg("%s: %s", err.where, err.text);
        if (!plan->is_found || !plan->is_needed)
            continue;
        if (plan->is_reached != (plan->fresh_frac >= wish.confidence_frac))
            fail_msg("case %u: %g is told for a wish of %g", seed, plan->fresh_frac, wish.confidence_frac);
        reached += plan->is_reached;
        calibration_add(&c, plan->fresh_frac, fresh, plan->further_frac, further);
    }
    assert_true(c.cases == cases && reached > cases / 3);
    calibration_want(&c, is_soak, "generator windows");
    free(plan);
}

static void the_json_keeps_to_its_schema(void **state)
{
    char path[] = "/tmp/leeway-generator-XXXXXX", command[256];
    lw_loaded loaded = {.file = "winter-trailer.yaml"};
    lw_generator_plan *plan = planned((camp){{SHORT}, 1}, 1, 0);
    (void)state;
    static const char *const PRICES[] = {"fuel", "generator-hour", "generator-start", "generator-night"};
    for (size_t i = 0; i < COUNT_OF(PRICES); i++)
        assert_true(lw_price_row(&plan->prices, PRICES[i]) && lw_price_row(&plan->prices, PRICES[i])->source[0]);
    char *text = lw_generator_plan_json(plan, &loaded, "0.0.0");
    const int file = mkstemp(path);
    assert_non_null(text);
    assert_true(file >= 0 && write(file, text, strlen(text)) == (ssize_t)strlen(text));
    close(file);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/generator.schema.json %s", path);
    const int status = system(command);
    (void)remove(path);
    free(text);
    free(plan);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

int main(void)
{
    const struct CMUnitTest test[] = {
        cmocka_unit_test(windows_lie_in_allowed_hours_and_reach_the_wish),
        cmocka_unit_test(the_same_seed_gives_the_same_plan_on_any_threads),
        cmocka_unit_test(hours_that_bother_are_spared),
        cmocka_unit_test(what_needs_the_current_gets_it_each_day),
        cmocka_unit_test(a_battery_that_lasts_needs_no_set),
        cmocka_unit_test(what_is_missing_is_said),
        cmocka_unit_test(the_chance_is_that_of_further_draws),
        cmocka_unit_test(the_json_keeps_to_its_schema),
    };
    return cmocka_run_group_tests(test, NULL, NULL);
}
