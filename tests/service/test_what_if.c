#include "service/what_if.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

#include "tests/check.h"
#include "tests/service/camp_answer.h"

static const lw_words_choice US = {.units = LW_UNITS_US};

static const lw_what_if_row *row_of(const lw_what_if *w, lw_supply supply)
{
    for (int i = 0; i < w->row_count; i++)
        if (w->row[i].supply == supply)
            return &w->row[i];
    fail_msg("no row of %s", lw_supply_word(supply));
    return NULL;
}

static void set_end(lw_outlook_answer *a, lw_supply supply, double days, int is_beyond)
{
    lw_outlook *o = a->outlook;
    o->leeway[supply].q[1] =
        (lw_quantile){.days = days, .at_s = o->start_s + (int64_t)(days * 86400.0), .beyond_horizon = is_beyond};
}

static void a_difference_against_a_censored_end_is_a_bound(void **state)
{
    (void)state;
    static const struct {
        double before, after;
        int before_beyond, after_beyond;
        lw_bound bound;
        const char *difference, *part;
    } row[] = {
        {4.1, 6.4, 0, 0, LW_BOUND_EXACT, "+2.3", "6.4 days instead of 4.1, 2.3 days more"},
        {6.4, 5.4, 0, 0, LW_BOUND_EXACT, "-1", "1 day less"},
        {4.1, 20.0, 0, 1, LW_BOUND_AT_LEAST, ">= +15.9", ">= 20 days instead of 4.1, at least 15.9 days more"},
        {20.0, 4.0, 1, 0, LW_BOUND_AT_MOST, "<= -16", "at least 16 days less"},
        {20.0, 20.0, 1, 1, LW_BOUND_UNKNOWN, "not known", "past the horizon either way"},
        {4.1, 4.12, 0, 0, LW_BOUND_EXACT, "same", "no change"},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_outlook_answer a = camp_answer(camp_new(20), 0), b = camp_answer(camp_new(20), 0);
        set_end(&a, LW_SUPPLY_GREY, row[i].before, row[i].before_beyond);
        set_end(&b, LW_SUPPLY_GREY, row[i].after, row[i].after_beyond);
        lw_what_if *w = malloc(sizeof *w);
        lw_what_if_make(&a, &b, &US, w);
        const lw_what_if_row *r = row_of(w, LW_SUPPLY_GREY);
        assert_int_equal(r->bound, row[i].bound);
        if (strcmp(r->difference, row[i].difference) != 0 || !strstr(r->sentence, row[i].part))
            fail_msg("row %zu: \"%s\", \"%s\"", i, r->difference, r->sentence);
        free(w);
        lw_outlook_answer_clear(&a);
        lw_outlook_answer_clear(&b);
    }
}

static void the_same_camp_twice_has_no_difference(void **state)
{
    (void)state;
    lw_outlook_answer a = camp_answer(camp_new(20), 0);
    lw_what_if *w = malloc(sizeof *w);
    lw_what_if_make(&a, &a, &US, w);
    assert_true(w->row_count > 5);
    for (int i = 0; i < w->row_count; i++)
        if (w->row[i].difference_days != 0.0)
            fail_msg("%s: %s", lw_supply_word(w->row[i].supply), w->row[i].sentence);
    assert_non_null(strstr(w->headline, "no longer and no shorter"));
    free(w);
    lw_outlook_answer_clear(&a);
}

static void more_water_moves_what_binds(void **state)
{
    (void)state;
    lw_outlook_answer a = camp_answer(camp_new(20), 0);
    lw_scenario *more = camp_new(20);
    for (int v = 0; v < more->rig.vessel_count; v++)
        if (more->rig.vessel[v].supply == LW_SUPPLY_FRESH)
            more->rig.vessel[v].capacity = more->rig.vessel[v].level = 1000.0;
    lw_outlook_answer b = camp_answer(more, 0);
    lw_what_if *w = malloc(sizeof *w);
    lw_what_if_make(&a, &b, &US, w);
    assert_int_equal(w->binding_before, LW_SUPPLY_FRESH);
    assert_int_not_equal(w->binding_after, LW_SUPPLY_FRESH);
    assert_true(w->stay_after_days > w->stay_before_days);
    assert_non_null(strstr(w->headline, "longer"));
    const char *const change = "rig.tanks.fresh=1000 L";
    lw_assumption floor = {.key = "rig.battery.floor", .value = "50 %"};
    a.loaded.assumption = &floor;
    a.loaded.assumption_count = 1;
    char *text = lw_what_if_json(
        w,
        &(lw_what_if_json_options){
            .before = &a, .after = &b, .change = &change, .change_count = 1, .wants_assumptions = 1, .is_compact = 1});
    a.loaded.assumption = NULL;
    a.loaded.assumption_count = 0;
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
    assert_non_null(root);
    assert_string_equal(json_string_value(json_object_get(root, "schema")), "leeway.what-if/1");
    assert_string_equal(json_string_value(json_object_get(json_object_get(root, "before"), "binding")), "fresh");
    const json_t *assumed = json_object_get(root, "assumptions");
    assert_int_equal(json_array_size(json_object_get(assumed, "before_only")), 1);
    assert_int_equal(json_array_size(json_object_get(assumed, "after_only")), 0);
    assert_int_equal(json_array_size(json_object_get(root, "changes")), 1);
    json_decref(root);
    free(text);
    free(w);
    lw_outlook_answer_clear(&a);
    lw_outlook_answer_clear(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_difference_against_a_censored_end_is_a_bound),
        cmocka_unit_test(the_same_camp_twice_has_no_difference),
        cmocka_unit_test(more_water_moves_what_binds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
