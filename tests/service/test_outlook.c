#include "service/outlook.h"

#include <stdio.h>
#include <string.h>

#include "tests/check.h"
#include "tests/service/camp_answer.h"

static const char TEXT[] = "leeway: 1\n"
                           "rig: van\n"
                           "crew: 2 adults\n"
                           "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"
                           "stay: {arrive: 2026-06-08 15:00, leave: 2026-06-18 10:00}\n"
                           "weather: {high: 84 F, low: 50 F}\n";

static lw_outlook_request request_of(const char *text)
{
    return (lw_outlook_request){.from = {.path = "camp.yaml", .bytes = text, .size = strlen(text)}};
}

static void a_scenario_text_becomes_an_outlook(void **state)
{
    (void)state;
    const lw_outlook_request request = request_of(TEXT);
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    if (lw_outlook_run(&request, &answer, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    assert_true(answer.outlook->order_count >= 5);
    assert_true(answer.outlook->binding >= 0);
    assert_true(answer.outlook->departure_s > answer.outlook->start_s);
    assert_null(answer.joint.state);
    lw_outlook_answer_clear(&answer);
    lw_outlook_answer_clear(&answer); /* twice is fine */
}

/* Whatever a kind of rig lacks, a changed array is no reason to refuse it. */
static void every_kind_of_rig_takes_another_array(void **state)
{
    (void)state;
    static const char *const KIND[] = {"class-c", "class-b",       "class-a",     "van",
                                       "trailer", "small-trailer", "fifth-wheel", "truck-camper"};
    int known = 0;
    for (size_t i = 0; i < sizeof KIND / sizeof KIND[0]; i++) {
        char text[400];
        snprintf(text, sizeof text,
                 "leeway: 1\nrig: {kind: %s, solar: 200 W}\ncrew: 2 adults\n"
                 "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"
                 "stay: {arrive: 2026-06-08 15:00, leave: 2026-06-18 10:00}\n",
                 KIND[i]);
        const lw_outlook_request request = request_of(text);
        lw_outlook_answer answer = {0};
        lw_err err = {0};
        const lw_code code = lw_outlook_run(&request, &answer, &err);
        if (code && strstr(err.where, "rig.kind"))
            continue; /* not in the table */
        if (code)
            fail_msg("%s: %s: %s", KIND[i], err.where, err.text);
        known++;
        lw_outlook_answer_clear(&answer);
    }
    assert_true(known >= 4);
}

static void until_moves_the_wished_departure(void **state)
{
    (void)state;
    lw_outlook_request request = request_of(TEXT);
    request.until = "2026-06-12 11:00";
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    assert_int_equal(lw_outlook_run(&request, &answer, &err), LW_OK);
    /* 11:00 MDT is 17:00 UTC: 2026-06-12T17:00:00Z, day 20616 of the epoch. */
    assert_int_equal(answer.outlook->departure_s, INT64_C(20616) * 86400 + 17 * INT64_C(3600));
    lw_outlook_answer_clear(&answer);
}

static void until_before_arrival_is_refused_with_its_key(void **state)
{
    (void)state;
    lw_outlook_request request = request_of(TEXT);
    request.until = "2026-06-01 11:00";
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    assert_int_not_equal(lw_outlook_run(&request, &answer, &err), LW_OK);
    assert_non_null(strstr(err.where, "leave"));
    assert_true(err.text[0] != '\0');
    assert_null(answer.outlook);
}

static void hourly_rows_come_when_asked(void **state)
{
    (void)state;
    lw_outlook_request request = request_of(TEXT);
    request.wants_series = 1;
    request.steps_per_hour = 2;
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    assert_int_equal(lw_outlook_run(&request, &answer, &err), LW_OK);
    /* The joint course is told until the household leaves, its own leeways to the horizon. */
    assert_int_equal(answer.joint.count, (int)((answer.outlook->joint_until_s - answer.outlook->start_s) / 3600));
    assert_int_equal(answer.own.count, (int)((answer.outlook->horizon_s - answer.outlook->start_s) / 3600));
    for (int h = 0; h < answer.joint.count; h++)
        if (!(answer.battery_frac[h] >= 0.0 && answer.battery_frac[h] <= 1.0 + 1e-9))
            fail_msg("hour %d: state of charge %g", h, answer.battery_frac[h]);
    lw_outlook_answer_clear(&answer);
}

static void a_figure_that_the_core_refuses_names_its_key(void **state)
{
    (void)state;
    static const struct {
        size_t at;
        double value;
        const char *key;
    } row[] = {
        {offsetof(lw_scenario, rig.battery.nominal_v), 3.0, "rig.battery"},
        {offsetof(lw_scenario, place.latitude_deg), NAN, "place"},
        {offsetof(lw_scenario, rig.cabin.ua_wk), -1.0, "rig.cabin"},
        {offsetof(lw_scenario, weather.air_c[3]), 99.0, "weather"},
        {offsetof(lw_scenario, rig.vessel[0].level), 1e5, "rig.tanks"},
        {offsetof(lw_scenario, rig.generator.rated_w), 1.0, "rig.generator"},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_scenario *scenario = camp_new(3);
        memcpy((char *)scenario + row[i].at, &row[i].value, sizeof row[i].value);
        lw_loaded loaded = camp_loaded(scenario);
        lw_outlook_answer answer = {0};
        lw_err err = {0};
        if (lw_outlook_of_loaded(&loaded, 1, 0, NULL, &answer, &err) != LW_E_RANGE)
            fail_msg("row %zu: %g was not refused", i, row[i].value);
        if (!strstr(err.where, row[i].key))
            fail_msg("row %zu: \"%s\" does not name %s", i, err.where, row[i].key);
        assert_null(answer.outlook);
        assert_null(loaded.scenario);
    }
}

static void steps_an_hour_outside_1_to_12_are_refused(void **state)
{
    (void)state;
    static const int steps[] = {-1, 13, 1000};
    for (size_t i = 0; i < COUNT_OF(steps); i++) {
        lw_loaded loaded = camp_loaded(camp_new(2));
        lw_outlook_answer answer = {0};
        lw_err err = {0};
        assert_int_equal(lw_outlook_of_loaded(&loaded, steps[i], 0, NULL, &answer, &err), LW_E_RANGE);
    }
}

static void nothing_loaded_is_refused(void **state)
{
    (void)state;
    lw_loaded loaded = {0};
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    assert_int_equal(lw_outlook_of_loaded(&loaded, 1, 1, NULL, &answer, &err), LW_E_MISSING);
    assert_null(answer.outlook);
}

/* A horizon that ends behind the departure, with ends alone drawn: what comes before it is what the whole outlook says. */
static void a_near_outlook_says_the_same_of_what_is_near(void **state)
{
    (void)state;
    static const char *const FILES[] = {"examples/ten-lines.yaml", "examples/winter-trailer.yaml"};
    for (size_t f = 0; f < COUNT_OF(FILES); f++) {
        lw_outlook_request request = {.from = {.path = FILES[f]}, .draws = {.draws = 30, .seed = 3}};
        lw_outlook_answer whole = {0}, near = {0};
        lw_err err = {0};
        assert_int_equal(lw_outlook_run(&request, &whole, &err), LW_OK);
        request.ahead_days = 14;
        request.draws.ends_only = 1;
        assert_int_equal(lw_outlook_run(&request, &near, &err), LW_OK);
        const lw_outlook *a = whole.outlook, *b = near.outlook;
        assert_true(b->horizon_s < a->horizon_s && b->horizon_s > a->departure_s);
        int told = 0;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
            CHECK_NEAR(b->leeway[k].use_per_day, a->leeway[k].use_per_day, 0.0, "%s, use of %d", FILES[f], k);
            for (int q = 0; q < LW_QUANTILES; q++) {
                const lw_quantile *x = &a->leeway[k].q[q], *y = &b->leeway[k].q[q];
                if (x->beyond_horizon || x->at_s >= a->departure_s) {
                    assert_true(y->beyond_horizon || y->at_s >= a->departure_s);
                    continue;
                }
                assert_int_equal(y->at_s, x->at_s);
                told++;
            }
        }
        assert_true(told > 3);
        assert_int_equal(b->event_count, a->event_count);
        for (int i = 0; i < b->vital_count; i++) /* of the plain course: one moment */
            assert_true(b->vital[i].q[0].at_s == b->vital[i].q[2].at_s &&
                        b->vital_p01[i].at_s == b->vital[i].q[0].at_s);
        lw_outlook_answer_clear(&whole);
        lw_outlook_answer_clear(&near);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_near_outlook_says_the_same_of_what_is_near),
        cmocka_unit_test(a_scenario_text_becomes_an_outlook),
        cmocka_unit_test(every_kind_of_rig_takes_another_array),
        cmocka_unit_test(until_moves_the_wished_departure),
        cmocka_unit_test(until_before_arrival_is_refused_with_its_key),
        cmocka_unit_test(hourly_rows_come_when_asked),
        cmocka_unit_test(a_figure_that_the_core_refuses_names_its_key),
        cmocka_unit_test(nothing_loaded_is_refused),
        cmocka_unit_test(steps_an_hour_outside_1_to_12_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
