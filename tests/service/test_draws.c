/* Draws on many threads. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "service/outlook.h"
#include "service/outlook_json.h"
#include "service/words.h"
#include "tests/check.h"

static const char CAMP[] = "leeway: 1\n"
                           "rig: van\n"
                           "crew: 2 adults\n"
                           "place: {latitude: 38.2 N, longitude: 111.1 W, elevation: 7000 ft, zone: America/Denver}\n"
                           "stay: {arrive: 2026-03-08 15:00, leave: 2026-03-22 10:00}\n";

static lw_outlook_answer drawn(const char *text, int draws, uint64_t seed, int threads)
{
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    const lw_outlook_request request = {.from = {.path = "camp.yaml", .bytes = text, .size = strlen(text)},
                                        .draws = {.draws = draws, .seed = seed, .threads = threads}};
    if (lw_outlook_run(&request, &answer, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return answer;
}

static char *json_of(const lw_outlook_answer *answer)
{
    char *text = NULL;
    lw_err err = {0};
    assert_int_equal(lw_outlook_json(answer, &(lw_json_options){.version = "test"}, &text, &err), LW_OK);
    return text;
}

static void one_thread_and_sixteen_give_the_same_bytes(void **state)
{
    (void)state;
    lw_outlook_answer one = drawn(CAMP, 200, 3, 1), many = drawn(CAMP, 200, 3, 16), other = drawn(CAMP, 200, 4, 2);
    char *a = json_of(&one), *b = json_of(&many), *c = json_of(&other);
    assert_string_equal(a, b);
    assert_string_not_equal(a, c);
    free(a), free(b), free(c);
    lw_outlook_answer_clear(&one);
    lw_outlook_answer_clear(&many);
    lw_outlook_answer_clear(&other);
}

static void draws_spread_about_the_single_course(void **state)
{
    (void)state;
    lw_outlook_answer one = drawn(CAMP, 1, 1, 0), many = drawn(CAMP, 400, 1, 0);
    const lw_leeway *a = &one.outlook->leeway[LW_SUPPLY_FRESH], *b = &many.outlook->leeway[LW_SUPPLY_FRESH];
    assert_int_equal(one.outlook->draws, 1);
    assert_int_equal(many.outlook->draws, 400);
    assert_true(b->q[0].days < a->q[1].days && a->q[1].days < b->q[2].days);
    CHECK_NEAR(b->q[1].days, a->q[1].days, 0.1 * a->q[1].days, "the median near the single course");
    lw_outlook_answer_clear(&one);
    lw_outlook_answer_clear(&many);
}

static void the_first_sentence_is_how_long_it_is_safe(void **state)
{
    (void)state;
    lw_outlook_answer answer = drawn(CAMP, 200, 1, 0);
    lw_words *words = calloc(1, sizeof *words);
    lw_err err = {0};
    assert_non_null(words);
    assert_int_equal(lw_words_make(&answer, &(lw_words_choice){.units = LW_UNITS_US}, words, &err), LW_OK);
    assert_int_equal(strncmp(words->headline, "Safe until ", 11), 0);
    assert_non_null(strstr(words->headline, "likely until"));
    const lw_outlook *o = answer.outlook;
    assert_true(o->first.q[0].at_s <= o->leeway[o->binding].q[0].at_s);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (o->leeway[k].is_present)
            assert_true(o->first.q[1].days <= o->leeway[k].q[1].days);
    lw_words_clear(words);
    free(words);
    lw_outlook_answer_clear(&answer);
}

/* Where a life hangs on it, what 99 of 100 courses reach is told: never later than the median. */
static void a_vital_device_is_planned_at_ninety_nine_percent(void **state)
{
    (void)state;
    static const char TEXT[] =
        "leeway: 1\n"
        "rig: {kind: van, appliances: [{id: cpap, vital: yes}]}\n"
        "crew: 2 adults\n"
        "place: {latitude: 45.2 N, longitude: 111.1 W, elevation: 6000 ft, zone: America/Denver}\n"
        "stay: {arrive: 2026-11-08 15:00, leave: 2026-11-18 10:00}\n";
    lw_outlook_answer answer = drawn(TEXT, 300, 1, 0);
    const lw_outlook *o = answer.outlook;
    assert_int_equal(o->vital_count, 1);
    assert_true(o->vital_p01[0].days <= o->vital[0].q[0].days);
    assert_true(o->vital_p01[0].days < o->vital[0].q[1].days);
    lw_outlook_answer_clear(&answer);
}

/* Water ends by use, whatever the weather; the battery in a cloudy spring by the weather. Few draws tell nothing. */
static void what_makes_the_spread_is_told(void **state)
{
    (void)state;
    lw_outlook_answer few = drawn(CAMP, 40, 1, 0), many = drawn(CAMP, 200, 1, 0);
    assert_true(isnan(few.outlook->leeway[LW_SUPPLY_FRESH].spread_use_frac));
    CHECK_NEAR(many.outlook->leeway[LW_SUPPLY_FRESH].spread_use_frac, 1.0, 1e-9, "fresh water");
    assert_true(many.outlook->leeway[LW_SUPPLY_BATTERY].spread_use_frac < 0.3);
    for (int i = 1; i < LW_DECILES; i++)
        assert_true(many.outlook->propane_kg[i] > many.outlook->propane_kg[i - 1]);
    lw_outlook_answer_clear(&few);
    lw_outlook_answer_clear(&many);
}

static int stop_at_once(void *with, int done, int of)
{
    (void)of;
    *(int *)with = done;
    return 0;
}

static void a_stopped_run_gives_no_answer(void **state)
{
    (void)state;
    int done = 0;
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    lw_outlook_request request = {.from = {.path = "camp.yaml", .bytes = CAMP, .size = strlen(CAMP)},
                                  .draws = {.draws = 5000, .threads = 1, .progress = stop_at_once, .with = &done}};
    assert_int_equal(lw_outlook_run(&request, &answer, &err), LW_E_CONFLICT);
    assert_true(done > 0 && done < 5000);
    assert_null(answer.outlook);
    err = (lw_err){0};
    request.draws.draws = LW_DRAWS_MOST + 1;
    assert_int_equal(lw_outlook_run(&request, &answer, &err), LW_E_RANGE);
    err = (lw_err){0};
    request.draws = (lw_draws_wish){.draws = 10};
    request.steps_per_hour = 2;
    assert_int_equal(lw_outlook_run(&request, &answer, &err), LW_E_RANGE);
    assert_non_null(strstr(err.typed, "--step"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_thread_and_sixteen_give_the_same_bytes),
        cmocka_unit_test(draws_spread_about_the_single_course),
        cmocka_unit_test(the_first_sentence_is_how_long_it_is_safe),
        cmocka_unit_test(a_vital_device_is_planned_at_ninety_nine_percent),
        cmocka_unit_test(what_makes_the_spread_is_told),
        cmocka_unit_test(a_stopped_run_gives_no_answer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
