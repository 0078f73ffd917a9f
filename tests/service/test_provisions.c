/* What to bring: invented households. The amounts are held against what their draws ask for, the chance against the outlook's own
 * draws of the stay that begins with them, masses against published ones. */
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/check.h"

#include "service/outlook.h"
#include "service/plan_source.h"
#include "service/provisions.h"
#include "text/decimal.h"

static const double LB_KG = 0.45359237, GAL_L = 3.785411784; /* NIST SP 811 */

/* Two people, tanks that are surely large enough for two days, a battery that lasts. */
static const char LARGE[] = "leeway: 1\n"
                            "rig:\n"
                            "  kind: class-c\n"
                            "  tanks: {fresh: 250 gal, grey: 200 gal, black: 100 gal}\n"
                            "  battery: {chemistry: lfp, capacity: 600 Ah}\n"
                            "  rubbish: 20 bags\n"
                            "  payload: 4000 lb\n"
                            "  gear: 300 lb\n"
                            "crew: 2 adults\n"
                            "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"
                            "stay: {arrive: 2026-06-08 15:00, leave: 2026-06-10 15:00}\n"
                            "weather: {high: 84 F, low: 50 F}\n";

static char scenario_path[] = "/tmp/leeway-provisions-XXXXXX";

static int write_scenario(void **state)
{
    (void)state;
    const int file = mkstemp(scenario_path);
    const int is_whole = file >= 0 && write(file, LARGE, strlen(LARGE)) == (ssize_t)strlen(LARGE);
    close(file);
    return is_whole ? 0 : -1;
}

static int remove_scenario(void **state)
{
    (void)state;
    return remove(scenario_path);
}

static lw_code provisions_of(const char *path, const char *const *change, int count, double frac, lw_provisions *to,
                             lw_err *err)
{
    lw_plan_source source = {.path = path, .now_s = 1781000000, .seed = 1, .change = change, .change_count = count};
    lw_trials trials = lw_plan_source_trials(&source);
    const lw_provisions_wish wish = {.confidence_frac = frac, .draws = 160, .fresh = 480};
    return lw_provisions_make(&trials, &wish, to, err);
}

static lw_provisions *made(const char *path, const char *const *change, int count, double frac)
{
    lw_provisions *p = malloc(sizeof *p);
    lw_err err = {0};
    assert_non_null(p);
    if (provisions_of(path, change, count, frac, p, &err))
        fail_msg("%s: %s", err.where, err.text);
    return p;
}

/* The stay is loaded anew, as a file that says these levels, and drawn by the outlook with another seed. */
static void the_outlook_agrees_that_these_amounts_are_enough(void **state)
{
    char text[LW_SUPPLY_COUNT][80];
    const char *change[LW_SUPPLY_COUNT];
    int count = 0;
    (void)state;
    lw_provisions *p = made(scenario_path, NULL, 0, 0.8);
    assert_true(p->is_reached && p->fresh_frac >= 0.8 && p->fresh_draws == 480);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        static const char *const UNIT[LW_SUPPLY_COUNT] = {
            [LW_SUPPLY_FRESH] = "L",    [LW_SUPPLY_GREY] = "L",    [LW_SUPPLY_BLACK] = "L",
            [LW_SUPPLY_PROPANE] = "kg", [LW_SUPPLY_RUBBISH] = "L", [LW_SUPPLY_FOOD] = "person-days"};
        if (!UNIT[k] || !p->supply[k].is_counted)
            continue;
        assert_true(p->supply[k].more <= 0.0);
        snprintf(text[count], sizeof text[count], "stay.levels.%s=%s %s", lw_supply_word((lw_supply)k),
                 lw_num(p->supply[k].level).text, UNIT[k]);
        change[count] = text[count];
        count++;
    }
    assert_true(count == 6);
    lw_outlook_answer answer = {.outlook = NULL};
    lw_err err = {0};
    const lw_outlook_request request = {.from = {.path = scenario_path, .change = change, .change_count = count},
                                        .steps_per_hour = 1,
                                        .draws = {.draws = 480, .seed = 77}};
    if (lw_outlook_run(&request, &answer, &err))
        fail_msg("%s: %s", err.where, err.text);
    /* 480 draws: a standard error of 1.8 points; three of them below the wish. */
    if (!(answer.outlook->stays_frac >= 0.8 - 0.055))
        fail_msg("the outlook gives %.3f", answer.outlook->stays_frac);
    lw_outlook_answer_clear(&answer);
    free(p);
}

/* Share of further draws, of numbers nobody chose by, in which all that is counted is enough. */
static double further_frac(const char *const *change, int count, const lw_provisions *p, uint32_t draws)
{
    char text[LW_SUPPLY_COUNT][80];
    const char *all[LW_SUPPLY_COUNT + 4];
    lw_err err = {0};
    for (int i = 0; i < count; i++)
        all[i] = change[i];
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!p->supply[k].is_counted)
            continue;
        const char *unit = k == LW_SUPPLY_PROPANE ? "kg" : k == LW_SUPPLY_FOOD ? "person-days" : "L";
        assert_true(p->supply[k].more <= 0.0);
        snprintf(text[k], sizeof text[k], "stay.levels.%s=%.9g %s", lw_supply_word((lw_supply)k), p->supply[k].level,
                 unit);
        all[count++] = text[k];
    }
    lw_plan_source source = {
        .path = scenario_path, .now_s = 1781000000, .seed = p->seed, .change = all, .change_count = count};
    lw_trials trials = lw_plan_source_trials(&source);
    lw_trial trial;
    lw_bench bench;
    uint32_t enough = 0;
    trials.most_hours = (int)ceil((double)(p->departure_s - p->start_s) / 3600.0);
    lw_trial_row *row = malloc(draws * sizeof *row);
    assert_true(row && !lw_trials_open(&trials, &err) && !lw_trial_make(&trials, NULL, 0, &trial, &err) &&
                !lw_bench_open(&trial, &bench, &err));
    lw_trial_rows(&trial, &bench, 1u << 24, draws, row);
    for (uint32_t i = 0; i < draws; i++) {
        int is_enough = 1;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            is_enough &= !p->supply[k].is_counted || isinf(row[i].end_h[k]);
        enough += (uint32_t)is_enough;
    }
    lw_bench_close(&bench);
    lw_trial_clear(&trial);
    lw_trials_close(&trials);
    free(row);
    return (double)enough / draws;
}

/* Against further draws the chance that is told is off by no more than draws are: at full length 100 cases, 10,000 draws against
 * 100,000, mean signed error within half a point, beyond 1.5 points no more cases than three deviations of what is expected. */
static void the_chance_that_is_told_holds_in_further_draws(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL, cases = is_soak ? 100 : 3;
    const uint32_t further = is_soak ? 100000 : 1600;
    double sum = 0.0, expected = 0.0;
    int beyond = 0;
    (void)state;
    for (int n = 0; n < cases; n++) {
        char crew[32], leave[48];
        lw_provisions p;
        lw_err err = {0};
        snprintf(crew, sizeof crew, "crew=%d adults", 1 + n % 3);
        snprintf(leave, sizeof leave, "stay.leave=2026-06-%02d %02d:00", 9 + n / 3 % 4, 16 + n % 5);
        const char *change[LW_SUPPLY_COUNT + 4] = {crew, leave};
        lw_plan_source source = {
            .path = scenario_path, .now_s = 1781000000, .seed = (uint64_t)n + 1, .change = change, .change_count = 2};
        lw_trials trials = lw_plan_source_trials(&source);
        const lw_provisions_wish wish = {
            .confidence_frac = 0.6 + 0.1 * (n % 4), .draws = is_soak ? 0 : 120, .fresh = is_soak ? 0 : 400};
        if (lw_provisions_make(&trials, &wish, &p, &err))
            fail_msg("%s: %s", err.where, err.text);
        const double holds = further_frac(change, 2, &p, further), off = p.fresh_frac - holds;
        const double sd = sqrt(holds * (1.0 - holds) * (1.0 / p.fresh_draws + 1.0 / further));
        assert_true(p.is_reached && p.fresh_frac >= wish.confidence_frac);
        if (!(fabs(off) <= 4.5 * sd + 1e-9))
            fail_msg("case %d: told %g, further draws %g", n, p.fresh_frac, holds);
        sum += off;
        beyond += fabs(off) > 0.015;
        expected += sd > 0.0 ? erfc(0.015 / sd / sqrt(2.0)) : 0.0;
    }
    if (is_soak) {
        print_message("mean signed error %.3f points, %d beyond 1.5, %.1f expected\n", 100.0 * sum / cases, beyond,
                      expected);
        assert_true(fabs(sum / cases) <= 0.005 && beyond <= expected + 3.0 * sqrt(expected) + 1.0);
    }
}

static void surer_takes_more_and_longer_takes_more(void **state)
{
    const char *longer[] = {"stay.leave=2026-06-12 15:00"};
    (void)state;
    lw_provisions *half = made(scenario_path, NULL, 0, 0.5), *sure = made(scenario_path, NULL, 0, 0.95),
                  *four = made(scenario_path, longer, 1, 0.5);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!half->supply[k].is_counted || !(half->supply[k].middle > 0.0))
            continue;
        if (!(sure->supply[k].sure > half->supply[k].sure && half->supply[k].sure >= half->supply[k].middle &&
              four->supply[k].middle > 1.5 * half->supply[k].middle))
            fail_msg("%s: %g half, %g sure, %g for four days", lw_supply_word((lw_supply)k), half->supply[k].sure,
                     sure->supply[k].sure, four->supply[k].middle);
    }
    free(half);
    free(sure);
    free(four);
}

/* 49 CFR 571.120 S10: water at 8.3 lb a gallon on the label; here 1 kg a litre, which is 8.345. NFPA 58 table: a cylinder of 20 lb
 * holds 20.0 lb. CDC 2021: US adults weigh 185.3 lb in the mean. */
static void masses_are_the_published_ones(void **state)
{
    (void)state;
    lw_provisions *p = made(scenario_path, NULL, 0, 0.8);
    const lw_cargo *c = &p->cargo;
    CHECK_NEAR(c->supply_kg[LW_SUPPLY_FRESH] * GAL_L / LB_KG, 8.3, 0.05, "a gallon of water, lb");
    CHECK_NEAR(c->supply_kg[LW_SUPPLY_PROPANE], 1.0, 0.0, "propane is kept by mass");
    CHECK_NEAR(c->people_kg / LB_KG, 2.0 * 185.3, 1.0, "two adults, lb");
    CHECK_NEAR(c->payload_kg / LB_KG, 4000.0, 1e-6, "the payload that was said");
    double sum_kg = c->people_kg + 300.0 * LB_KG;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        sum_kg += p->supply[k].mass_kg;
    CHECK_NEAR(p->arriving_kg, sum_kg, 1e-6, "the sum by hand");
    CHECK_NEAR(p->supply[LW_SUPPLY_FUEL].mass_kg, 0.0, 0.0, "the fuel of a driven rig is in its empty weight");
    CHECK_NEAR(p->over_kg, 0.0, 0.0, "within 4000 lb");
    free(p);
    const char *light[] = {"rig.payload=500 lb"};
    p = made(scenario_path, light, 1, 0.8);
    CHECK_NEAR(p->over_kg, p->arriving_kg - 500.0 * LB_KG, 1e-6, "over");
    assert_non_null(strstr(p->mass, "too much"));
    free(p);
}

/* What a smaller tank does not hold is what a larger one would have had to, and the chance holds with it. */
static void what_does_not_fit_is_named(void **state)
{
    const char *small[] = {"rig.tanks.fresh=10 gal", "rig.tanks.grey=8 gal"};
    (void)state;
    lw_provisions *p = made(scenario_path, small, 2, 0.8);
    const lw_provision *fresh = &p->supply[LW_SUPPLY_FRESH], *grey = &p->supply[LW_SUPPLY_GREY];
    assert_true(p->is_reached);
    CHECK_NEAR(fresh->level, fresh->capacity, 1e-9, "the tank is filled");
    assert_true(fresh->more >= fresh->sure - 9.0 * GAL_L - 1e-6 && fresh->more < fresh->sure - 8.0 * GAL_L + 1e-6);
    CHECK_NEAR(fmod(fresh->more / GAL_L + 0.5, 1.0), 0.5, 1e-6, "whole gallons");
    assert_non_null(strstr(fresh->carry, "gal of fresh water do not fit"));
    assert_non_null(strstr(grey->carry, "of grey water have no room"));
    assert_non_null(strstr(grey->list, "dump it before you come"));
    free(p);
}

static void tanks_of_two_uses_are_filled_until_the_engine_agrees(void **state)
{
    const char *split[] = {
        "rig.tanks.grey=[{name: k, capacity: 60 gal, from: kitchen}, {name: b, capacity: 9 gal, from: "
        "\"basin, shower\"}]"};
    (void)state;
    lw_provisions *p = made(scenario_path, split, 1, 0.8);
    assert_true(p->is_reached && p->fresh_frac >= 0.8);
    free(p);
}

static void what_is_refilled_or_cannot_be_brought_is_told_apart(void **state)
{
    const char *with[] = {"stay.events+={at: 2026-06-09 12:00, do: fill, what: fresh}"};
    (void)state;
    lw_provisions *p = made(scenario_path, with, 1, 0.8);
    assert_true(!p->supply[LW_SUPPLY_FRESH].is_counted && p->supply[LW_SUPPLY_FRESH].is_refilled);
    assert_non_null(strstr(p->supply[LW_SUPPLY_FRESH].given, "come with it full"));
    assert_non_null(strstr(p->supply[LW_SUPPLY_BATTERY].given, "battery"));
    assert_string_equal(p->supply[LW_SUPPLY_BATTERY].list, "");
    free(p);
}

static void what_is_asked_wrongly_is_refused(void **state)
{
    const char *open_end[] = {"stay={arrive: 2026-06-08 15:00}"};
    lw_provisions *p = malloc(sizeof *p);
    lw_err err = {0}, other = {0};
    (void)state;
    assert_non_null(p);
    assert_int_equal(provisions_of(scenario_path, open_end, 1, 0.8, p, &err), LW_E_MISSING);
    assert_non_null(strstr(err.typed, "--until"));
    assert_int_equal(provisions_of(scenario_path, NULL, 0, 1.0, p, &other), LW_E_RANGE);
    free(p);
}

static void the_json_keeps_to_its_schema(void **state)
{
    char path[] = "/tmp/leeway-provisions-json-XXXXXX", command[256];
    lw_loaded loaded;
    lw_err err = {0};
    (void)state;
    lw_provisions *p = made("examples/ten-lines.yaml", (const char *[]){"stay.leave=2026-06-10 10:00"}, 1, 0.8);
    assert_int_equal(
        lw_scenario_load(&(lw_scenario_from){.path = "examples/ten-lines.yaml", .now_s = 1781000000}, &loaded, &err),
        LW_OK);
    char *text = lw_provisions_json(p, &loaded, "0.0.0");
    const int file = mkstemp(path);
    assert_non_null(text);
    assert_true(file >= 0 && write(file, text, strlen(text)) == (ssize_t)strlen(text));
    close(file);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/provisions.schema.json %s", path);
    const int status = system(command);
    (void)remove(path);
    free(text);
    free(p);
    lw_loaded_clear(&loaded);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_outlook_agrees_that_these_amounts_are_enough),
        cmocka_unit_test(the_chance_that_is_told_holds_in_further_draws),
        cmocka_unit_test(surer_takes_more_and_longer_takes_more),
        cmocka_unit_test(masses_are_the_published_ones),
        cmocka_unit_test(what_does_not_fit_is_named),
        cmocka_unit_test(tanks_of_two_uses_are_filled_until_the_engine_agrees),
        cmocka_unit_test(what_is_refilled_or_cannot_be_brought_is_told_apart),
        cmocka_unit_test(what_is_asked_wrongly_is_refused),
        cmocka_unit_test(the_json_keeps_to_its_schema),
    };
    return cmocka_run_group_tests_name("service/provisions", tests, write_scenario, remove_scenario);
}
