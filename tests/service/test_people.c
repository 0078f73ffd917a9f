/* Who is in camp by what was logged, and what it does to the water. */
#include "service/people.h"

#include "tests/check.h"
#include "tests/service/camp_answer.h"

static const int64_t DAY_S = 86400;

typedef struct line {
    double day; /* after arrival */
    const char *words;
} line;

/* One adult, or two, who draw ten litres a day each, evenly, from a tank of a hundred; nothing else. */
static lw_loaded plain_camp(int adults)
{
    lw_scenario *s = camp_new(10);
    s->crew.use_count = s->crew.person_count = s->rig.vessel_count = s->transfer_count = 0;
    s->rig.load_count = 0;
    s->rig.generator.is_present = 0;
    s->rig.cabin.cool_w = s->rig.cabin.furnace_input_w = 0.0;
    s->rig.cabin.fridge_is_present = s->rig.cabin.water_heater_is_present = 0;
    s->rig.cabin.open_cylinders = 0;
    for (int i = 0; i < adults; i++) {
        lw_person *person = &s->crew.person[s->crew.person_count++];
        *person = (lw_person){.being = LW_BEING_ADULT, .inside_low_c = NAN, .inside_high_c = NAN};
        snprintf(person->name, sizeof person->name, "%s", i ? "Bo" : "Ada");
    }
    camp_vessel(s, "tank", LW_SUPPLY_FRESH, 100.0, 100.0);
    lw_use *use = camp_use(s, "water", LW_GROUP_DRINKING, LW_FIXTURE_KITCHEN, 0.0);
    for (int i = 0; i < adults; i++)
        use->rate[i] = 10.0;
    for (int h = 0; h < 24; h++)
        use->weight[h] = 1.0 / 24.0;
    camp_effect(use, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -1.0);
    camp_effect(use, LW_EFFECT_GONE_L, 0, 1.0);
    return camp_loaded(s);
}

static lw_logged read_line(const lw_loaded *loaded, int64_t at_s, const char *text)
{
    char copy[160];
    const char *words[12];
    int count = 0;
    lw_logged logged;
    lw_err err = {0};
    snprintf(copy, sizeof copy, "%s", text);
    for (char *at = strtok(copy, " "); at && count < 12; at = strtok(NULL, " "))
        words[count++] = at;
    if (lw_log_read(loaded, at_s, words, count, &logged, &err) != LW_OK)
        fail_msg("%s: %s", text, err.text);
    return logged;
}

static void apply(lw_loaded *loaded, const line *lines, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const int64_t at_s = loaded->scenario->stay.arrival_s + (int64_t)(lines[i].day * (double)DAY_S);
        const lw_logged logged = read_line(loaded, at_s, lines[i].words);
        for (int k = 0; k < logged.count; k++) {
            lw_people_moved moved;
            if (!lw_people_apply(loaded, &logged.record[k], &moved))
                fail_msg("%s does not fit", lines[i].words);
        }
    }
}

static double fresh_days(lw_loaded *loaded)
{
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    if (lw_outlook_of_loaded(loaded, 1, 0, NULL, &answer, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    const double days = answer.outlook->leeway[LW_SUPPLY_FRESH].q[1].days;
    lw_outlook_answer_clear(&answer);
    return days;
}

/* By hand: a hundred litres at ten a day and head. */
static void the_water_lasts_as_long_as_reckoned_by_hand(void **state)
{
    (void)state;
    static const struct {
        int adults;
        line line[3];
        size_t count;
        double want_days;
    } row[] = {
        {1, {{0.0, ""}}, 0, 10.0},
        {1, {{2.0, "people +1"}}, 1, 2.0 + 80.0 / 20.0},
        {1, {{2.0, "people +3"}}, 1, 2.0 + 80.0 / 40.0},
        {2, {{0.0, ""}}, 0, 5.0},
        {2, {{2.0, "people -1"}}, 1, 2.0 + 60.0 / 10.0},
        {2, {{1.0, "people -Ada"}, {3.0, "people +Ada"}}, 2, 3.0 + 60.0 / 20.0},
        {1, {{1.0, "people +1"}, {2.0, "people -1"}}, 2, 2.0 + 70.0 / 10.0},
        {1, {{1.0, "people +Marlow"}, {2.0, "people -Marlow"}, {4.0, "people +Marlow"}}, 3, 4.0 + 50.0 / 20.0},
        {2,
         {{0.5, "people -1"}, {1.5, "people +2"}},
         2,
         1.5 + 80.0 / 30.0}, /* one of them is back, the other a guest */
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_loaded loaded = plain_camp(row[i].adults);
        apply(&loaded, row[i].line, row[i].count);
        CHECK_NEAR(fresh_days(&loaded), row[i].want_days, 0.05, "row %zu", i);
    }
}

static void until_ends_it(void **state)
{
    (void)state;
    static const struct {
        int adults;
        const char *sign, *who;
        double want_days;
    } row[] = {
        {1, "+", "1", 1.0 + 2.0 + (100.0 - 10.0 - 40.0) / 10.0}, /* one day alone, two days two, then alone */
        {2, "-", "Bo", 1.0 + 2.0 + (100.0 - 20.0 - 20.0) / 20.0},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_loaded loaded = plain_camp(row[i].adults);
        const lw_clock until = lw_clock_at(&loaded.zone, loaded.scenario->stay.arrival_s + 3 * DAY_S);
        char words[120];
        snprintf(words, sizeof words, "people %s%s until %04d-%02d-%02d %02d:00", row[i].sign, row[i].who,
                 until.date.year, until.date.month, until.date.day, until.hour);
        apply(&loaded, &(line){1.0, words}, 1);
        CHECK_NEAR(fresh_days(&loaded), row[i].want_days, 0.05, "%s", words);
    }
}

static void they_are_counted_at_the_table(void **state)
{
    (void)state;
    lw_loaded loaded = plain_camp(2);
    const int64_t at_s = loaded.scenario->stay.arrival_s;
    static const line lines[] = {{1.0, "people +1 child"}, {2.0, "people -2"}, {3.0, "people +Bo"}};
    static const struct {
        double day;
        int want;
    } row[] = {{0.5, 2}, {1.5, 3}, {2.5, 1}, {3.5, 2}};
    apply(&loaded, lines, COUNT_OF(lines));
    for (size_t i = 0; i < COUNT_OF(row); i++)
        if (lw_people_at(&loaded, at_s + (int64_t)(row[i].day * (double)DAY_S)) != row[i].want)
            fail_msg("day %g: %d, want %d", row[i].day,
                     lw_people_at(&loaded, at_s + (int64_t)(row[i].day * (double)DAY_S)), row[i].want);
    free(loaded.scenario);
}

/* Bo is a guest of the scenario, from the third day to the fifth. */
static void a_guest_who_is_awaited_comes_by_name_or_in_time(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        double day;
        int want;
    } row[] = {{"people +1", 2.0, 2},  {"people +1", 4.0, 3},  {"people +Bo", 2.0, 2},
               {"people +Bo", 4.0, 2}, {"people +Bo", 5.5, 2}, {"people -Bo", 4.0, 1}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_loaded loaded = plain_camp(2);
        const int64_t at_s = loaded.scenario->stay.arrival_s;
        loaded.scenario->crew.person[1].guest = (lw_span){at_s + 3 * DAY_S, at_s + 5 * DAY_S};
        apply(&loaded, &(line){1.0 + (row[i].day > 5.0 ? 4.2 : row[i].day > 3.0 ? 2.5 : 0.0), row[i].words}, 1);
        const int got = lw_people_at(&loaded, at_s + (int64_t)(row[i].day * (double)DAY_S));
        if (got != row[i].want)
            fail_msg("%s, seen on day %g: %d, want %d", row[i].words, row[i].day, got, row[i].want);
        free(loaded.scenario);
    }
}

static void what_does_not_fit_leaves_the_crew_alone(void **state)
{
    (void)state;
    lw_loaded loaded = plain_camp(2);
    const lw_crew before = loaded.scenario->crew;
    lw_people_moved moved;
    lw_log_record record = {.kind = LW_LOG_PEOPLE, .at_s = loaded.scenario->stay.arrival_s, .people = -3};
    assert_int_equal(lw_people_apply(&loaded, &record, &moved), 0);
    record.people = LW_PEOPLE - 1;
    assert_int_equal(lw_people_apply(&loaded, &record, &moved), 0);
    assert_int_equal(memcmp(&before, &loaded.scenario->crew, sizeof before), 0);
    free(loaded.scenario);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_water_lasts_as_long_as_reckoned_by_hand),
        cmocka_unit_test(until_ends_it),
        cmocka_unit_test(they_are_counted_at_the_table),
        cmocka_unit_test(a_guest_who_is_awaited_comes_by_name_or_in_time),
        cmocka_unit_test(what_does_not_fit_leaves_the_crew_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
