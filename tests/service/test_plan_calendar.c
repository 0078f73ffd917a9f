/* Plans as a calendar: an invented camp; what is written is read back by libical, a library of others (https://libical.github.io). */
#include "tests/check.h"

#include <libical/ical.h>
#include <stdlib.h>
#include <string.h>

#include "service/plan_calendar.h"
#include "tests/service/camp_answer.h"

static const int64_t HOUR_S = 3600;

typedef struct made {
    char *text;
    icalcomponent *root;
    int count;
} made;

static made make(const lw_plan_calendar_in *in)
{
    made m = {.text = NULL};
    lw_err err = {0};
    if (lw_plan_calendar(in, &m.text, &m.count, &err))
        fail_msg("%s: %s", err.where, err.text);
    m.root = icalparser_parse_string(m.text);
    if (!m.root || icalcomponent_count_errors(m.root) != 0 || !icalrestriction_check(m.root))
        fail_msg("libical does not take:\n%s", m.text);
    assert_int_equal(icalcomponent_count_components(m.root, ICAL_VEVENT_COMPONENT), m.count);
    return m;
}

static void drop(made *m)
{
    icalcomponent_free(m->root);
    free(m->text);
}

static icalcomponent *event_named(const made *m, const char *summary)
{
    for (icalcomponent *e = icalcomponent_get_first_component(m->root, ICAL_VEVENT_COMPONENT); e;
         e = icalcomponent_get_next_component(m->root, ICAL_VEVENT_COMPONENT))
        if (strstr(icalcomponent_get_summary(e), summary))
            return e;
    fail_msg("there is no %s in:\n%s", summary, m->text);
    return NULL;
}

static int64_t begins(icalcomponent *event)
{
    return icaltime_as_timet_with_zone(icalcomponent_get_dtstart(event), icaltimezone_get_utc_timezone());
}

static void a_stay_has_its_departure_limit_and_checklists(void **state)
{
    lw_scenario *s = camp_cold_night();
    lw_loaded loaded = camp_loaded(s);
    (void)state;
    snprintf(loaded.rule_words, sizeof loaded.rule_words, "14 days in any 28; ask, please");
    s->stay.stay_end_s = s->stay.arrival_s + 14 * 24 * HOUR_S - 15 * HOUR_S; /* a midnight: the camp begins at 15:00 */
    const lw_plan_calendar_in in = {.loaded = &loaded, .now_s = s->stay.arrival_s, .version = "0"};
    made m = make(&in);
    assert_int_equal(m.count, 3);
    assert_int_equal(begins(event_named(&m, "Leave Saltgrass Bench")), s->stay.departure_s);
    assert_non_null(strstr(icalcomponent_get_description(event_named(&m, "Leave Saltgrass Bench")), "- "));
    icalcomponent *limit = event_named(&m, "Last day allowed");
    const struct icaltimetype day = icalcomponent_get_dtstart(limit);
    assert_true(day.is_date && day.month == 6 && day.day == 27); /* 14 June and 14 days: gone by the 28th */
    assert_non_null(strstr(icalcomponent_get_description(limit), "14 days in any 28; ask, please. Signs win"));
    drop(&m);
    free(s);
}

/* Those of a new plan go before those that were kept, and none are there where none are wanted. */
static void windows_that_were_kept_are_in_it(void **state)
{
    lw_scenario *s = camp_cold_night();
    lw_loaded loaded = camp_loaded(s);
    const int64_t day_s = s->stay.arrival_s + 24 * HOUR_S;
    (void)state;
    s->rig.generator.window[0] = (lw_span){s->stay.arrival_s - 3 * HOUR_S, s->stay.arrival_s}; /* over */
    s->rig.generator.window[1] = (lw_span){day_s, day_s + 2 * HOUR_S};
    s->rig.generator.window_count = 2;
    lw_plan_calendar_in in = {.loaded = &loaded, .now_s = s->stay.arrival_s, .version = "0"};
    made m = make(&in);
    icalcomponent *event = event_named(&m, "Generator");
    assert_int_equal(begins(event), day_s);
    assert_non_null(strstr(icalcomponent_get_description(event), "20 ft"));
    in.without_windows = 1;
    made without = make(&in);
    assert_int_equal(without.count, m.count - 1);
    drop(&without);
    drop(&m);
    free(s);
}

static void chores_windows_and_errands_are_in_it_and_keep_their_uids(void **state)
{
    lw_scenario *s = camp_cold_night();
    lw_outlook_answer answer = camp_answer(s, 1);
    lw_today *today = calloc(1, sizeof *today);
    lw_generator_plan *generator = calloc(1, sizeof *generator);
    lw_runs_planned *runs = calloc(1, sizeof *runs);
    lw_err err = {0};
    (void)state;
    const int64_t now_s = answer.outlook->start_s + HOUR_S;
    const lw_today_in today_in = {.answer = &answer, .now_s = now_s, .engine_h = NAN};
    assert_int_equal(lw_today_make(&today_in, today, &err), LW_OK);
    assert_true(today->count > 0);
    generator->is_found = 1;
    generator->run_count = 2;
    for (int i = 0; i < 2; i++) {
        lw_generator_run *run = &generator->run[i];
        run->from_s = now_s + (3 + 4 * i) * HOUR_S;
        run->until_s = run->from_s + HOUR_S;
        snprintf(run->sentence, sizeof run->sentence, "window %d", i);
    }
    snprintf(generator->run[1].why, sizeof generator->run[1].why, "cooking");
    snprintf(generator->caution.text, sizeof generator->caution.text, "20 ft from any door");
    runs->out.is_found = runs->out.count = 1;
    runs->in.service_count = 1;
    runs->out.run[0].services = 1;
    snprintf(runs->errands.service[0].name, sizeof runs->errands.service[0].name, "dump, at the yard");
    runs->run[0] = (lw_planned_run){.leave_s = now_s + 20 * HOUR_S, .back_s = now_s + 22 * HOUR_S};
    const lw_plan_calendar_in in = {
        .loaded = &answer.loaded, .today = today, .generator = generator, .runs = runs, .now_s = now_s, .version = "0"};
    made first = make(&in), again = make(&in);
    assert_string_equal(first.text, again.text);
    icalcomponent *window = event_named(&first, "Generator, for cooking");
    assert_int_equal(begins(window), now_s + 7 * HOUR_S);
    assert_non_null(strstr(icalcomponent_get_description(window), "20 ft from any door"));
    assert_int_equal(begins(event_named(&first, "Run: dump, at the yard")), now_s + 20 * HOUR_S);
    for (int i = 0; i < today->count; i++)
        if (today->item[i].kind != LW_TODO_POWER && today->item[i].kind != LW_TODO_RUN &&
            today->item[i].kind != LW_TODO_STAY)
            (void)event_named(&first, today->item[i].what);
    drop(&first);
    drop(&again);
    /* Where no plan was found the chores are all that is told. */
    generator->is_found = runs->out.is_found = 0;
    made none = make(&in);
    int told = 0;
    for (int i = 0; i < today->count; i++)
        if (today->item[i].kind == LW_TODO_POWER || today->item[i].kind == LW_TODO_RUN) {
            (void)event_named(&none, today->item[i].what);
            told++;
        }
    assert_true(told > 0);
    drop(&none);
    lw_outlook_answer_clear(&answer);
    free(today);
    free(generator);
    free(runs);
}

static int has_event(const made *m, const char *summary)
{
    for (icalcomponent *e = icalcomponent_get_first_component(m->root, ICAL_VEVENT_COMPONENT); e;
         e = icalcomponent_get_next_component(m->root, ICAL_VEVENT_COMPONENT))
        if (strstr(icalcomponent_get_summary(e), summary))
            return 1;
    return 0;
}

/* An errand that is kept for a day tells of the run that is due on it; one of another day does not. */
static void a_run_is_not_told_beside_an_errand_of_its_day(void **state)
{
    lw_scenario *s = camp_cold_night();
    lw_loaded loaded = camp_loaded(s);
    lw_today *today = calloc(1, sizeof *today);
    (void)state;
    const int64_t now_s = s->stay.arrival_s + HOUR_S, day_s = s->stay.arrival_s + 45 * HOUR_S; /* at noon */
    today->now_s = now_s;
    today->count = 1;
    today->item[0] = (lw_todo){.kind = LW_TODO_RUN, .by_s = day_s + 5 * HOUR_S, .supplies = 1u << LW_SUPPLY_PROPANE};
    snprintf(today->item[0].what, sizeof today->item[0].what, "Run to town: fill propane.");
    snprintf(today->item[0].why, sizeof today->item[0].why, "Propane is safe until then.");
    snprintf(today->item[0].otherwise, sizeof today->item[0].otherwise, "Then it is cold.");
    s->transfer_count = 1;
    for (int days = 0; days < 2; days++) {
        s->transfer[0] = (lw_transfer){.at_s = day_s + days * 24 * HOUR_S, .vessel = 0, .kind = LW_TRANSFER_FILL};
        const lw_plan_calendar_in in = {.loaded = &loaded, .today = today, .now_s = now_s, .version = "0"};
        made m = make(&in);
        const char *told = icalcomponent_get_description(event_named(&m, "Errand: "));
        assert_int_equal(has_event(&m, "Run to town"), days == 1);
        assert_int_equal(strstr(told, "Run to town: fill propane. Propane is safe until then.") != NULL, days == 0);
        drop(&m);
    }
    /* A renewal is no errand. */
    s->transfer[0].at_s = day_s;
    snprintf(s->transfer[0].why, sizeof s->transfer[0].why, "renewal");
    const lw_plan_calendar_in in = {.loaded = &loaded, .today = today, .now_s = now_s, .version = "0"};
    made m = make(&in);
    assert_true(has_event(&m, "Run to town"));
    drop(&m);
    free(today);
    free(s);
}

int main(void)
{
    const struct CMUnitTest test[] = {
        cmocka_unit_test(a_stay_has_its_departure_limit_and_checklists),
        cmocka_unit_test(windows_that_were_kept_are_in_it),
        cmocka_unit_test(chores_windows_and_errands_are_in_it_and_keep_their_uids),
        cmocka_unit_test(a_run_is_not_told_beside_an_errand_of_its_day),
    };
    return cmocka_run_group_tests(test, NULL, NULL);
}
