#include "service/outlook_json.h"

#include <jansson.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "service/json.h"
#include "service/what_if.h"
#include "tests/check.h"
#include "tests/service/camp_answer.h"

static char *text_of(const lw_outlook_answer *answer, const lw_json_options *options)
{
    char *text = NULL;
    lw_err err = {0};
    if (lw_outlook_json(answer, options, &text, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return text;
}

static json_t *decoded(const char *text)
{
    json_error_t error;
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &error);
    if (!root)
        fail_msg("line %d: %s", error.line, error.text);
    return root;
}

static const json_t *supply_of(const json_t *root, const char *word)
{
    const json_t *list = json_object_get(root, "supplies");
    for (size_t i = 0; i < json_array_size(list); i++)
        if (strcmp(json_string_value(json_object_get(json_array_get(list, i), "supply")), word) == 0)
            return json_array_get(list, i);
    fail_msg("no supply %s", word);
    return NULL;
}

static double number_at(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

static void numbers_come_back_as_they_were(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    const lw_json_options options = {.version = "0.1.0"};
    char *text = text_of(&answer, &options);
    json_t *root = decoded(text);
    const lw_outlook *o = answer.outlook;
    const json_t *fresh = supply_of(root, "fresh"), *p50 = json_object_get(json_object_get(fresh, "leeway"), "p50");
    CHECK_NEAR(number_at(fresh, "level_l"), o->leeway[LW_SUPPLY_FRESH].start[1], 0.0005, "level");
    CHECK_NEAR(number_at(fresh, "capacity_l"), o->leeway[LW_SUPPLY_FRESH].capacity, 0.0005, "capacity");
    CHECK_NEAR(number_at(fresh, "use_l_per_day"), o->leeway[LW_SUPPLY_FRESH].use_per_day, 0.0005, "use");
    CHECK_NEAR(number_at(p50, "days"), o->leeway[LW_SUPPLY_FRESH].q[1].days, 0.00005, "days");
    const json_t *flows = json_object_get(json_object_get(root, "flows"), "joint");
    CHECK_NEAR(number_at(flows, "sun_panels_wh"), o->joint.of[LW_FLOW_SUN_PANELS], 0.0005, "sun");
    assert_int_equal(json_object_size(flows), LW_FLOW_COUNT);
    assert_int_equal(json_array_size(json_object_get(root, "supplies")), (size_t)o->order_count);
    assert_int_equal(json_array_size(json_object_get(root, "events")), (size_t)o->event_count);
    json_decref(root);
    free(text);
    lw_outlook_answer_clear(&answer);
}

static void a_number_is_rounded_and_never_odd(void **state)
{
    (void)state;
    static const struct {
        double value;
        int decimals;
        const char *want;
    } row[] = {
        {0.812, 4, "0.812"},         {1.0 / 3.0, 3, "0.333"}, {-0.00001, 3, "0.0"},
        {1e6 / 7.0, 2, "142857.14"}, {NAN, 3, "null"},        {INFINITY, 3, "null"},
        {12.0, 1, "12.0"},           {2.5e-4, 4, "0.0002"},   {123456789.125, 3, "123456789.125"},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_json j = {0};
        json_t *o = lw_json_object(&j);
        lw_json_number(&j, o, "x", row[i].value, row[i].decimals);
        char *text = lw_json_finish(&j, o, 1), want[64];
        snprintf(want, sizeof want, "{\"x\":%s}\n", row[i].want);
        if (!text || strcmp(text, want) != 0)
            fail_msg("%g to %d: got %s want %s", row[i].value, row[i].decimals, text ? text : "(null)", want);
        free(text);
    }
}

static void a_decimal_comma_of_the_locale_stays_out(void **state)
{
    (void)state;
    static const char *const comma[] = {"de_DE.UTF-8", "fr_FR.UTF-8", "de_DE", "C.UTF-8"};
    for (size_t i = 0; i < COUNT_OF(comma); i++)
        if (setlocale(LC_NUMERIC, comma[i]))
            break;
    lw_outlook_answer answer = camp_answer(camp_new(6), 0);
    const lw_json_options options = {.is_compact = 1};
    char *text = text_of(&answer, &options);
    (void)setlocale(LC_NUMERIC, "C");
    json_t *root = decoded(text);
    CHECK_NEAR(number_at(json_object_get(root, "place"), "latitude_deg"), 40.5, 1e-9, "latitude");
    assert_ptr_equal(strchr(text, '\n'), text + strlen(text) - 1); /* one line */
    json_decref(root);
    free(text);
    lw_outlook_answer_clear(&answer);
}

static void what_is_not_known_is_null(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_new(6);
    scenario->stay.departure_s = 0;
    lw_outlook_answer answer = camp_answer(scenario, 0);
    const lw_json_options options = {0};
    char *text = text_of(&answer, &options);
    json_t *root = decoded(text);
    assert_true(json_is_null(json_object_get(root, "departure")));
    assert_true(json_is_null(json_object_get(root, "stay_rule")));
    assert_true(json_is_null(json_object_get(supply_of(root, "fresh"), "level_at_departure_l")));
    assert_true(json_is_null(json_object_get(json_object_get(root, "weather"), "age_days")));
    assert_null(json_object_get(root, "series"));
    assert_null(json_object_get(root, "assumptions"));
    json_decref(root);
    free(text);
    lw_outlook_answer_clear(&answer);
}

static void a_name_in_a_foreign_encoding_does_not_cost_the_answer(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_new(4);
    memcpy(scenario->rig.vessel[0].name, "fr\xE9sh", 6);
    lw_outlook_answer answer = camp_answer(scenario, 0);
    const lw_json_options options = {0};
    char *text = text_of(&answer, &options);
    json_t *root = decoded(text);
    const json_t *first = json_array_get(json_object_get(root, "vessels"), 0);
    assert_string_equal(json_string_value(json_object_get(first, "name")), "fr?sh");
    json_decref(root);
    free(text);
    lw_outlook_answer_clear(&answer);
}

static void write_text(const char *folder, int number, char *text)
{
    char path[64];
    snprintf(path, sizeof path, "%s/%d.json", folder, number);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
    free(text);
}

/* Holds folder/0.json and on to the schema and takes them away again. */
static void hold_to(const char *schema, const char *folder, int count)
{
    char path[64], command[256];
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py %s %s/*.json", schema, folder);
    const int status = system(command);
    for (int i = 0; i < count; i++) {
        snprintf(path, sizeof path, "%s/%d.json", folder, i);
        (void)remove(path);
    }
    (void)rmdir(folder);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

/* No weather, no departure, a device and a person to be kept warm: the climate of the place and every optional part. */
static const char BARE[] = "leeway: 1\n"
                           "rig: {kind: van, appliances: [cpap, light-led]}\n"
                           "crew: {people: [{name: Wren, kind: adult, keep_above: 60 F}]}\n"
                           "place: {latitude: 44 N, longitude: 110 W, zone: America/Denver}\n"
                           "stay: {arrive: 2026-10-05 16:00}\n";

/* NULL: the bare one. */
static lw_outlook_answer of_file(const char *path, const char *change)
{
    const lw_outlook_request request = {.from = {.path = path ? path : "bare.yaml",
                                                 .bytes = path ? NULL : BARE,
                                                 .size = path ? 0 : sizeof BARE - 1,
                                                 .change = &change,
                                                 .change_count = change != NULL},
                                        .wants_series = 1};
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    if (lw_outlook_run(&request, &answer, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return answer;
}

static const char *const FILES[] = {"examples/ten-lines.yaml", "examples/family-at-work.yaml",
                                    "examples/winter-trailer.yaml", "examples/every-key.yaml", NULL};

static void results_fit_their_schema(void **state)
{
    (void)state;
    char folder[] = "/tmp/leeway-json-XXXXXX";
    assert_non_null(mkdtemp(folder));
    int count = 0;
    for (size_t i = 0; i < COUNT_OF(FILES); i++) {
        lw_outlook_answer answer = of_file(FILES[i], NULL);
        for (int flags = 0; flags < 16; flags++)
            write_text(folder, count++,
                       text_of(&answer, &(lw_json_options){.choice = {.units = flags & 1 ? LW_UNITS_SI : LW_UNITS_US,
                                                                      .is_12_hour = flags >> 1 & 1},
                                                           .wants_assumptions = flags >> 2 & 1,
                                                           .wants_series = flags >> 3 & 1,
                                                           .version = "0.1.0"}));
        lw_outlook_answer_clear(&answer);
    }
    for (uint64_t seed = 0; seed < 6; seed++) {
        lw_outlook_answer answer = camp_answer(seed == 0 ? camp_cold_night() : camp_random(9, seed), 1);
        write_text(folder, count++, text_of(&answer, &(lw_json_options){.wants_series = 1, .wants_assumptions = 1}));
        lw_outlook_answer_clear(&answer);
    }
    hold_to("docs/outlook.schema.json", folder, count);
}

static void comparisons_fit_their_schema(void **state)
{
    (void)state;
    char folder[] = "/tmp/leeway-json-XXXXXX";
    const char *const change = "rig.battery.floor=40 %";
    assert_non_null(mkdtemp(folder));
    int count = 0;
    for (size_t i = 0; i < COUNT_OF(FILES); i++) {
        lw_outlook_answer before = of_file(FILES[i], NULL), after = of_file(FILES[i], change);
        lw_what_if what_if;
        lw_what_if_make(&before, &after, &(lw_words_choice){.units = LW_UNITS_US}, &what_if);
        for (int wants = 0; wants < 2; wants++)
            write_text(folder, count++,
                       lw_what_if_json(&what_if, &(lw_what_if_json_options){.before = &before,
                                                                            .after = &after,
                                                                            .change = &change,
                                                                            .change_count = 1,
                                                                            .wants_assumptions = wants}));
        lw_outlook_answer_clear(&before);
        lw_outlook_answer_clear(&after);
    }
    hold_to("docs/what-if.schema.json", folder, count);
}

static void a_failure_is_json_too(void **state)
{
    (void)state;
    const lw_err failure = {.code = LW_E_UNIT, .where = "rig.yaml:3 rig.solar", .text = "40 has no \"unit\""};
    char *text = lw_err_json(&failure, 1);
    json_t *root = decoded(text);
    assert_string_equal(json_string_value(json_object_get(root, "schema")), "leeway.error/1");
    assert_string_equal(json_string_value(json_object_get(root, "code")), "unit");
    assert_string_equal(json_string_value(json_object_get(root, "text")), failure.text);
    json_decref(root);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_come_back_as_they_were),
        cmocka_unit_test(a_number_is_rounded_and_never_odd),
        cmocka_unit_test(a_decimal_comma_of_the_locale_stays_out),
        cmocka_unit_test(what_is_not_known_is_null),
        cmocka_unit_test(a_name_in_a_foreign_encoding_does_not_cost_the_answer),
        cmocka_unit_test(results_fit_their_schema),
        cmocka_unit_test(comparisons_fit_their_schema),
        cmocka_unit_test(a_failure_is_json_too),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
