#include "service/words.h"

#include <stdlib.h>
#include <string.h>

#include "tests/check.h"
#include "tests/service/camp_answer.h"

static const lw_words_choice US = {.units = LW_UNITS_US}, SI = {.units = LW_UNITS_SI};
static int renews;

static lw_words *words_of(const lw_outlook_answer *answer, const lw_words_choice *choice)
{
    lw_words *words = calloc(1, sizeof *words);
    lw_err err = {0};
    if (lw_words_make(answer, choice, words, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return words;
}

static void drop(lw_words *words, lw_outlook_answer *answer)
{
    lw_words_clear(words);
    free(words);
    lw_outlook_answer_clear(answer);
}

/* The end of a supply moved to a stated time, so that sentences are tested without the engine's figures. */
static void set_end(lw_outlook *o, lw_supply supply, double p10, double p50, double p90)
{
    const double days[LW_QUANTILES] = {p10, p50, p90};
    for (int i = 0; i < LW_QUANTILES; i++)
        o->leeway[supply].q[i] =
            (lw_quantile){.days = days[i], .at_s = o->start_s + (int64_t)(days[i] * 86400.0 + 0.5)};
}

static void set_beyond(lw_outlook *o)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        for (int i = 0; i < LW_QUANTILES; i++)
            o->leeway[k].q[i] = (lw_quantile){
                .days = (double)(o->horizon_s - o->start_s) / 86400.0, .at_s = o->horizon_s, .beyond_horizon = 1};
    o->binding = -1;
    o->event_count = 0;
}

#define CHECK_TEXT(got, want)                                                                                          \
    do {                                                                                                               \
        if (strcmp(got, want) != 0)                                                                                    \
            fail_msg("got  \"%s\"\nwant \"%s\"", got, want);                                                           \
    } while (0)
#define CHECK_HAS(text, part)                                                                                          \
    do {                                                                                                               \
        if (!strstr(text, part))                                                                                       \
            fail_msg("\"%s\" has no \"%s\"", text, part);                                                              \
    } while (0)

static void the_headline_names_what_ends_the_stay_and_when(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    lw_outlook *o = answer.outlook;
    set_beyond(o);
    o->departure_s = 0;
    o->binding = LW_SUPPLY_GREY;
    o->leeway[LW_SUPPLY_GREY].vessel = 1;
    /* The camp starts on Sunday, 14 June, 15:00. */
    static const struct {
        double days;
        const char *want;
    } row[] = {
        {4.0 + 3.0 / 24.0 + 40.0 / 1440.0,
         "Grey water ends this stay Thursday evening: the kitchen grey tank is full by 18:40."},
        {1.5, "Grey water ends this stay early Tuesday: the kitchen grey tank is full by 03:00."},
        {0.875, "Grey water ends this stay Monday afternoon: the kitchen grey tank is full by 12:00."},
        {11.0, "Grey water ends this stay on the afternoon of Thu 25 June: the kitchen grey tank is full by 15:00."},
        {0.0, "Grey water is at its end from the start: the kitchen grey tank is full."},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        set_end(o, LW_SUPPLY_GREY, row[i].days, row[i].days, row[i].days);
        lw_words *words = words_of(&answer, &US);
        CHECK_TEXT(words->headline, row[i].want);
        lw_words_clear(words);
        free(words);
    }
    lw_outlook_answer_clear(&answer);
}

static void nothing_ends_a_stay_that_outlasts_its_wish(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(28), 0); /* wishes to leave after 14 days, on 28 June */
    set_beyond(answer.outlook);
    lw_words *words = words_of(&answer, &US);
    CHECK_TEXT(words->headline, "Nothing ends this stay before Sun 28 June, when you leave.");
    CHECK_TEXT(words->departure, "You wish to leave Sun 28 Jun 15:00: everything lasts until then.");
    lw_words_clear(words);
    answer.outlook->binding = LW_SUPPLY_FRESH;
    set_end(answer.outlook, LW_SUPPLY_FRESH, 18.0, 18.0, 18.0);
    assert_int_equal(lw_words_make(&answer, &US, words, &(lw_err){0}), LW_OK);
    CHECK_TEXT(words->headline, "Nothing ends this stay before Sun 28 June, when you leave. Next would be fresh water, "
                                "on the afternoon of Thu 2 July.");
    drop(words, &answer);
}

static void a_supply_says_until_about_and_by_quantiles_once_they_differ(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    set_end(answer.outlook, LW_SUPPLY_FRESH, 4.9, 5.0, 5.1);
    lw_words *words = words_of(&answer, &US);
    CHECK_HAS(words->supply[LW_SUPPLY_FRESH].sentence,
              "Fresh water: until about Fri 19 Jun 15:00, 5 days; 38.3 gal now");
    lw_words_clear(words);
    set_end(answer.outlook, LW_SUPPLY_FRESH, 3.0, 5.0, 7.0);
    assert_int_equal(lw_words_make(&answer, &SI, words, &(lw_err){0}), LW_OK);
    CHECK_HAS(words->supply[LW_SUPPLY_FRESH].sentence,
              "Fresh water: safe until Wed 17 June, likely until Fri 19 June, at best until Sun 21 June; 145 L now");
    lw_words_clear(words);
    answer.outlook->leeway[LW_SUPPLY_FRESH].q[2].beyond_horizon = 1;
    assert_int_equal(lw_words_make(&answer, &SI, words, &(lw_err){0}), LW_OK);
    CHECK_HAS(words->supply[LW_SUPPLY_FRESH].sentence, "at best past Sun 21 June");
    drop(words, &answer);
}

static void lines_that_do_not_concern_the_household_are_not_there(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_new(10);
    scenario->rig.generator.is_present = 0; /* nothing uses its fuel */
    lw_outlook_answer answer = camp_answer(scenario, 0);
    lw_words *words = words_of(&answer, &US);
    assert_false(words->supply[LW_SUPPLY_FUEL].is_shown);
    CHECK_TEXT(words->supply[LW_SUPPLY_FUEL].sentence, "");
    assert_false(words->supply[LW_SUPPLY_STAY].is_shown);
    CHECK_TEXT(words->stay_rule, "");
    assert_true(words->supply[LW_SUPPLY_BATTERY].is_shown);
    assert_true(words->supply[LW_SUPPLY_RUBBISH].age_sentence[0] != '\0');
    for (int i = 0; i < words->caution_count; i++)
        assert_string_not_equal(words->caution[i].id, "generator");
    drop(words, &answer);
}

static void water_of_unknown_origin_is_marked(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_new(10);
    scenario->rig.vessel[0].potable = LW_POTABLE_UNKNOWN;
    lw_outlook_answer answer = camp_answer(scenario, 0);
    lw_words *words = words_of(&answer, &US);
    CHECK_HAS(words->supply[LW_SUPPLY_FRESH].sentence, "Not known to be fit to drink");
    int found = 0;
    for (int i = 0; i < words->caution_count; i++)
        found += strcmp(words->caution[i].id, "drinking-water") == 0;
    assert_int_equal(found, 1);
    /* Bottles stand beside the tank: nobody drinks from it. */
    for (int v = 0; v < scenario->rig.vessel_count; v++)
        if (scenario->rig.vessel[v].supply == LW_SUPPLY_DRINKING)
            scenario->rig.vessel[v].supply = LW_SUPPLY_FUEL;
    lw_words_clear(words);
    assert_int_equal(lw_words_make(&answer, &US, words, &(lw_err){0}), LW_OK);
    assert_string_equal(words->caution[0].id, "water-not-known");
    CHECK_HAS(words->caution[0].text, "Nobody knows that the water in the fresh tank is fit to drink");
    drop(words, &answer);
}

static void every_kind_of_event_has_a_sentence(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    lw_outlook *o = answer.outlook;
    o->event_count = LW_EVENT_KIND_COUNT;
    for (int k = 0; k < LW_EVENT_KIND_COUNT; k++)
        o->event[k] = (lw_event){
            .at_s = o->start_s + 3600, .kind = (lw_event_kind)k, .supply = LW_SUPPLY_GREY, .index = 1, .value = 10.5};
    lw_words *words = words_of(&answer, &US);
    for (int k = 0; k < LW_EVENT_KIND_COUNT; k++) {
        const char *said = words->event[k];
        if (strncmp(said, "Sun 14 Jun 16:00: ", 18) != 0 || strlen(said) < 30 || said[strlen(said) - 1] != '.')
            fail_msg("%s: \"%s\"", lw_event_word((lw_event_kind)k), said);
    }
    drop(words, &answer);
}

/* The engine notes an effect at its step's start and its cause inside the step. */
static void a_cause_comes_before_what_it_sets_off(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    lw_outlook *o = answer.outlook;
    static const lw_event given[] = {
        {.kind = LW_EVENT_CABIN_FREEZES, .at_s = 7200},
        {.kind = LW_EVENT_FURNACE_STOPS, .at_s = 3600, .value = 2.0},
        {.kind = LW_EVENT_FRIDGE_STOPS, .at_s = 3600},
        {.kind = LW_EVENT_VITAL_STOPS, .at_s = 7200},
        {.kind = LW_EVENT_SUPPLY_END, .at_s = 4200, .supply = LW_SUPPLY_PROPANE, .index = -1},
        {.kind = LW_EVENT_LOADS_CUT, .at_s = 7200},
        {.kind = LW_EVENT_BATTERY_FLOOR, .at_s = 7200},
    };
    static const lw_event_kind want[] = {LW_EVENT_SUPPLY_END,    LW_EVENT_FURNACE_STOPS, LW_EVENT_FRIDGE_STOPS,
                                         LW_EVENT_BATTERY_FLOOR, LW_EVENT_LOADS_CUT,     LW_EVENT_VITAL_STOPS,
                                         LW_EVENT_CABIN_FREEZES};
    o->event_count = COUNT_OF(given);
    for (size_t i = 0; i < COUNT_OF(given); i++) {
        o->event[i] = given[i];
        o->event[i].at_s += o->start_s;
    }
    lw_words *words = words_of(&answer, &US);
    for (size_t i = 0; i < COUNT_OF(want); i++)
        if (words->happening[i].kind != want[i])
            fail_msg("%zu: %s, want %s", i, lw_event_word(words->happening[i].kind), lw_event_word(want[i]));
    CHECK_TEXT(words->event[1], "Sun 14 Jun 16:10: furnace stops: no gas.");
    drop(words, &answer);
}

static void repeats_are_counted_not_repeated(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    lw_outlook *o = answer.outlook;
    set_beyond(o);
    o->departure_s = 0;
    o->event_count = 6;
    for (int i = 0; i < 5; i++) /* 02:00 of Tuesday and the nights after; the last night twice */
        o->event[i] = (lw_event){.at_s = o->start_s + 35 * INT64_C(3600) + i * INT64_C(86400),
                                 .kind = LW_EVENT_FURNACE_SHORT,
                                 .value = 15.0};
    o->event[5] = o->event[4];
    o->event[5].at_s += 2 * INT64_C(3600);
    lw_words *words = words_of(&answer, &US);
    assert_int_equal(words->warning_count, 1);
    assert_int_equal(words->warning[0].times, 5);
    CHECK_TEXT(words->warning[0].sentence, "5 nights, first Tue 16 Jun 02:00: the furnace runs without pause and does "
                                           "not reach the warmth you set, 59 F inside.");
    drop(words, &answer);
}

static void a_vital_load_is_the_first_warning_and_says_leave(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_cold_night();
    camp_load(scenario, "breathing device", LW_LOAD_WEEKLY, 40.0, 0.0)->is_vital = 1;
    camp_hours(scenario->rig.load[scenario->rig.load_count - 1].hours, 0, 24);
    lw_outlook_answer answer = camp_answer(scenario, 0);
    lw_words *words = words_of(&answer, &US);
    assert_true(words->warning_count >= 2);
    assert_int_equal(words->warning[0].kind, LW_EVENT_VITAL_STOPS);
    CHECK_HAS(words->warning[0].sentence, "no power for breathing device");
    CHECK_HAS(words->warning[0].sentence, "leave before then");
    CHECK_HAS(words->warning[0].sentence, "not a medical device");
    int vital_caution = 0;
    for (int i = 0; i < words->caution_count; i++)
        vital_caution += strcmp(words->caution[i].id, "medical") == 0;
    assert_int_equal(vital_caution, 1);
    drop(words, &answer);
}

static void a_vital_load_that_lasts_has_its_own_line(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_new(10);
    camp_load(scenario, "breathing device", LW_LOAD_WEEKLY, 5.0, 0.0)->is_vital = 1;
    camp_hours(scenario->rig.load[scenario->rig.load_count - 1].hours, 0, 8);
    scenario->crew.person[0].inside_low_c = 2.0;
    lw_outlook_answer answer = camp_answer(scenario, 0);
    lw_outlook *o = answer.outlook;
    lw_words *words = words_of(&answer, &US);
    assert_int_equal(words->vital_count, 2);
    assert_true(words->vital[0].lasts);
    CHECK_HAS(words->vital[0].sentence, "breathing device: has power in all its hours until Fri 19 Jun 15:00");
    CHECK_HAS(words->vital[1].sentence, ": 36 F or more inside while somebody is in, until Fri 19 Jun 15:00");
    CHECK_TEXT(words->vital_note, "That is one course only: plan with a spare. This program is not a medical device.");
    lw_words_clear(words);
    /* It fails although no room was left in the list of events: it is still the first warning. */
    o->vital[0].q[1] = (lw_quantile){.days = 1.5, .at_s = o->start_s + 36 * INT64_C(3600)};
    o->event_count = 0;
    assert_int_equal(lw_words_make(&answer, &US, words, &(lw_err){0}), LW_OK);
    assert_false(words->vital[0].lasts);
    CHECK_HAS(words->vital[0].sentence, "breathing device: has power until Tue 16 Jun 03:00.");
    assert_int_equal(words->warning[0].kind, LW_EVENT_VITAL_STOPS);
    CHECK_HAS(words->headline, "Power for breathing device fails early Tuesday at 03:00");
    CHECK_HAS(words->stay, "this stay");
    assert_null(strstr(words->vital_note, "medical")); /* the warning says it already */
    drop(words, &answer);
}

static const lw_warning *warning_of(const lw_words *words, lw_event_kind kind)
{
    for (int i = 0; i < words->warning_count; i++)
        if (words->warning[i].kind == kind && !words->warning[i].is_chain)
            return &words->warning[i];
    fail_msg("no warning of %s", lw_event_word(kind));
    return NULL;
}

/* The first flat night has no frost; two later ones do. */
static void freezing_on_a_later_flat_night_is_told_with_its_day(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    lw_outlook *o = answer.outlook;
    set_beyond(o);
    o->departure_s = 0;
    for (int night = 0; night < 4; night++) {
        const int64_t at_s = o->start_s + (10 + 24 * night) * INT64_C(3600); /* 01:00 */
        o->event[o->event_count++] = (lw_event){.at_s = at_s, .kind = LW_EVENT_LOADS_CUT, .value = 10.5};
        o->event[o->event_count++] = (lw_event){.at_s = at_s + 3600, .kind = LW_EVENT_CABIN_COLD, .value = 9.0};
        if (night > 1)
            o->event[o->event_count++] = (lw_event){.at_s = at_s + 7200, .kind = LW_EVENT_CABIN_FREEZES, .value = -1.0};
        o->event[o->event_count++] = (lw_event){.at_s = at_s + 10800, .kind = LW_EVENT_LOADS_BACK, .value = 10.5};
    }
    lw_words *words = words_of(&answer, &US);
    CHECK_TEXT(warning_of(words, LW_EVENT_CABIN_FREEZES)->sentence,
               "Flat battery again: cabin below freezing, 2 nights (Wed 17 Jun and Thu 18 Jun).");
    CHECK_TEXT(warning_of(words, LW_EVENT_CABIN_COLD)->sentence,
               "Flat battery again: cabin below 50 F, 1 night (Tue 16 Jun).");
    /* The last night's frost comes before midnight, on the date of the frost before it. */
    o->event[o->event_count - 2].at_s -= INT64_C(4) * 3600;
    o->event[o->event_count - 3].at_s -= INT64_C(4) * 3600;
    o->event[o->event_count - 4].at_s -= INT64_C(4) * 3600;
    lw_words_clear(words);
    assert_int_equal(lw_words_make(&answer, &US, words, &(lw_err){0}), LW_OK);
    CHECK_TEXT(warning_of(words, LW_EVENT_CABIN_FREEZES)->sentence,
               "Flat battery again: cabin below freezing, 2 nights (Tue 16 Jun and Wed 17 Jun).");
    drop(words, &answer);
}

static void what_happens_by_day_is_counted_in_days(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    lw_outlook *o = answer.outlook;
    set_beyond(o);
    o->departure_s = 0;
    o->event_count = 2;
    for (int i = 0; i < 2; i++)
        o->event[i] = (lw_event){
            .at_s = o->start_s + (23 + 24 * i) * INT64_C(3600), .kind = LW_EVENT_FURNACE_STOPS, .value = 2.0};
    lw_words *words = words_of(&answer, &US);
    CHECK_TEXT(words->warning[0].sentence, "2 days, first Mon 15 Jun 14:00: furnace stops: no gas.");
    lw_words_clear(words);
    o->event_count = 1; /* it begins then and lasts */
    assert_int_equal(lw_words_make(&answer, &US, words, &(lw_err){0}), LW_OK);
    CHECK_TEXT(words->warning[0].sentence, "From Mon 15 Jun 14:00: furnace stops: no gas.");
    drop(words, &answer);
}

static void what_the_list_could_not_hold_is_told_by_its_last_time(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    lw_outlook *o = answer.outlook;
    set_beyond(o);
    o->departure_s = 0;
    o->event_count = 1;
    o->event_lost = 4;
    o->event[0] = (lw_event){.at_s = o->start_s + 3600, .kind = LW_EVENT_PIPES_FREEZE, .value = -2.0};
    o->event_sum[LW_EVENT_PIPES_FREEZE] = (lw_event_sum){.count = 5, .last_s = o->start_s + 10 * INT64_C(86400)};
    lw_words *words = words_of(&answer, &US);
    CHECK_TEXT(words->warning[0].sentence,
               "From Sun 14 Jun 16:00: pipes in the tank bay freeze, 28 F there. It happens "
               "again later, the last time Wed 24 Jun 15:00.");
    drop(words, &answer);
}

static void gas_too_cold_to_leave_is_not_called_burnt(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 0);
    set_beyond(answer.outlook);
    answer.outlook->departure_s = 0;
    answer.outlook->binding = LW_SUPPLY_PROPANE;
    set_end(answer.outlook, LW_SUPPLY_PROPANE, 2.0, 2.0, 2.0);
    answer.outlook->leeway[LW_SUPPLY_PROPANE].is_too_cold = 1;
    lw_words *words = words_of(&answer, &US);
    CHECK_TEXT(words->headline, "Propane ends this stay Tuesday afternoon: what gas is left is too cold to leave its "
                                "cylinders by 15:00.");
    drop(words, &answer);
}

static void what_the_rig_has_no_place_for_is_told(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_new(10);
    int kept = 0;
    for (int v = 0; v < scenario->rig.vessel_count; v++)
        if (scenario->rig.vessel[v].supply != LW_SUPPLY_RUBBISH)
            scenario->rig.vessel[kept++] = scenario->rig.vessel[v];
    scenario->rig.vessel_count = kept;
    lw_outlook_answer answer = camp_answer(scenario, 0);
    lw_words *words = words_of(&answer, &US);
    const lw_warning *w = warning_of(words, LW_EVENT_SUPPLY_END);
    assert_int_equal(w->supply, LW_SUPPLY_RUBBISH);
    CHECK_HAS(w->sentence, "From the start: ");
    CHECK_HAS(w->sentence, "of rubbish that no place of yours takes");
    CHECK_HAS(w->sentence, "carry all of it out");
    drop(words, &answer);
}

static void of_many_early_ends_three_are_named(void **state)
{
    (void)state;
    static const lw_supply early[] = {LW_SUPPLY_FRESH, LW_SUPPLY_GREY, LW_SUPPLY_BLACK, LW_SUPPLY_PROPANE,
                                      LW_SUPPLY_FOOD};
    lw_outlook_answer answer = camp_answer(camp_new(28), 0);
    set_beyond(answer.outlook);
    for (size_t i = 0; i < COUNT_OF(early); i++) {
        set_end(answer.outlook, early[i], 2.0, 2.0, 2.0);
        answer.outlook->order[i] = (int)early[i];
    }
    answer.outlook->order_count = COUNT_OF(early);
    answer.loaded.scenario->stay.stay_end_s = answer.outlook->start_s + 4 * INT64_C(86400);
    lw_words *words = words_of(&answer, &US);
    CHECK_TEXT(
        words->departure,
        "You wish to leave Sun 28 Jun 15:00: fresh water (Tue 16 Jun 15:00), grey water (Tue 16 Jun 15:00), black "
        "water (Tue 16 Jun 15:00) and 2 more end before that. You may stay until Thu 18 Jun 15:00 at most.");
    lw_words_clear(words);
    answer.outlook->order_count = 4; /* a fourth is named: to count one would be no shorter */
    assert_int_equal(lw_words_make(&answer, &US, words, &(lw_err){0}), LW_OK);
    CHECK_HAS(words->departure, " and propane (Tue 16 Jun 15:00) end before that.");
    drop(words, &answer);
}

static void a_plan_says_its_speed_and_price(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(10), 0);
    int data = -1;
    for (int v = 0; v < answer.loaded.scenario->rig.vessel_count; v++)
        if (answer.loaded.scenario->rig.vessel[v].supply == LW_SUPPLY_DATA)
            data = v;
    assert_true(data >= 0);
    answer.loaded.connection[0] = (lw_connection){.vessel = data, .slow_mbit = 0.6, .price_usd = 20.0};
    answer.loaded.connection_count = 1;
    lw_words *words = words_of(&answer, &US);
    CHECK_HAS(words->supply[LW_SUPPLY_DATA].plan_sentence,
              ": once spent it goes on at 600 kbit/s; one more allowance costs 20 USD.");
    drop(words, &answer);
}

static void drinking_by_a_filter_alone_is_not_called_empty(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_new(10);
    for (int v = 0; v < scenario->rig.vessel_count; v++)
        if (scenario->rig.vessel[v].supply == LW_SUPPLY_DRINKING) {
            scenario->rig.vessel[v].filter_life_l = scenario->rig.vessel[v].capacity = 100.0;
            scenario->rig.vessel[v].level = 40.0;
        }
    lw_outlook_answer answer = camp_answer(scenario, 0);
    answer.outlook->leeway[LW_SUPPLY_DRINKING].use_per_day = 2.0;
    lw_words *words = words_of(&answer, &SI);
    CHECK_TEXT(words->supply[LW_SUPPLY_DRINKING].left, "filter for 40 L");
    drop(words, &answer);
}

static void each_caution_comes_once(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_cold_night(), 0);
    lw_words *words = words_of(&answer, &US);
    assert_true(words->caution_count > 3);
    for (int i = 0; i < words->caution_count; i++)
        for (int k = 0; k < i; k++)
            assert_string_not_equal(words->caution[i].id, words->caution[k].id);
    drop(words, &answer);
}

static void times_are_of_the_place_in_24_or_12_hours(void **state)
{
    (void)state;
    lw_zone zone = {.name = "X", .count = 1, .offset_s = {-7 * 3600}};
    char buf[LW_WHEN];
    /* 2026-06-19T01:40:00Z is Thursday 18:40 seven hours behind. */
    const int64_t at_s = INT64_C(20623) * 86400 + 3600 + 40 * INT64_C(60);
    CHECK_TEXT(lw_when_print(buf, sizeof buf, &zone, at_s, 0), "Thu 18 Jun 18:40");
    CHECK_TEXT(lw_when_print(buf, sizeof buf, &zone, at_s, 1), "Thu 18 Jun 6:40 pm");
    CHECK_TEXT(lw_day_print(buf, sizeof buf, &zone, at_s), "Thu 18 June");
    CHECK_TEXT(lw_hour_print(buf, sizeof buf, &zone, at_s + 5 * INT64_C(3600) + 20 * INT64_C(60), 1), "12:00 am");
    CHECK_TEXT(lw_hour_print(buf, sizeof buf, &zone, at_s + 5 * INT64_C(3600) + 20 * INT64_C(60) - 31, 0), "23:59");
    CHECK_TEXT(lw_hour_print(buf, sizeof buf, &zone, at_s + 5 * INT64_C(3600) + 20 * INT64_C(60) - 29, 0), "00:00");
    CHECK_TEXT(lw_relative_print(buf, sizeof buf, &zone, at_s - 86400 * INT64_C(4), at_s), "in 4 days");
    CHECK_TEXT(lw_relative_print(buf, sizeof buf, &zone, at_s - 12 * INT64_C(3600), at_s), "tonight");
    CHECK_TEXT(lw_relative_print(buf, sizeof buf, &zone, at_s - 86400, at_s), "tomorrow");
}

static void amounts_are_in_the_units_a_person_says(void **state)
{
    (void)state;
    static const struct {
        lw_supply supply;
        double amount;
        const char *us, *si;
    } row[] = {
        {LW_SUPPLY_FRESH, 90.86, "24 gal", "90.9 L"},   {LW_SUPPLY_PROPANE, 9.072, "20 lb", "9.07 kg"},
        {LW_SUPPLY_BATTERY, 640.0, "640 Wh", "640 Wh"}, {LW_SUPPLY_BATTERY, 2432.0, "2.43 kWh", "2.43 kWh"},
        {LW_SUPPLY_DATA, 38.0, "38 GB", "38 GB"},       {LW_SUPPLY_FOOD, 12.0, "12 person-days", "12 person-days"},
        {LW_SUPPLY_GREY, 0.0, "0 gal", "0 L"},          {LW_SUPPLY_STAY, 3.25, "3.3 days", "3.3 days"},
    };
    char buf[64];
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        CHECK_TEXT(lw_amount_print(buf, sizeof buf, row[i].supply, row[i].amount, LW_UNITS_US), row[i].us);
        CHECK_TEXT(lw_amount_print(buf, sizeof buf, row[i].supply, row[i].amount, LW_UNITS_SI), row[i].si);
    }
}

static void quiet_rows(FILE *to, const lw_outlook_answer *answer, const lw_words *words)
{
    fprintf(to, "%s\n%s\n%s\n\n", words->headline, words->why, words->departure);
    for (int i = 0; i < answer->outlook->order_count; i++)
        fprintf(to, "%s\n", words->supply[answer->outlook->order[i]].sentence);
    fprintf(to, "%s\n\n", words->supply[LW_SUPPLY_RUBBISH].age_sentence);
    for (int i = 0; i < words->warning_count; i++)
        fprintf(to, "%s\n", words->warning[i].sentence);
    fprintf(to, "\n%s\n", words->weather);
    for (int i = 0; i < words->caution_count; i++)
        fprintf(to, "%s\n", words->caution[i].title);
}

/* Read line by line when it changes; renewed by: build/debug/tests/service_words_test --renew */
static void a_cold_night_on_a_flat_battery_is_told_as_one_chain(void **state)
{
    (void)state;
    static const char PATH[] = "tests/service/golden/cold_night.txt";
    lw_outlook_answer answer = camp_answer(camp_cold_night(), 0);
    lw_words *words = words_of(&answer, &US);
    char *got = NULL;
    size_t n = 0;
    FILE *to = open_memstream(&got, &n);
    quiet_rows(to, &answer, words);
    fclose(to);
    int chains = 0;
    for (int i = 0; i < words->warning_count; i++)
        chains += words->warning[i].is_chain;
    assert_int_equal(chains, 1);
    drop(words, &answer);
    if (renews) {
        FILE *file = fopen(PATH, "w");
        assert_non_null(file);
        fwrite(got, 1, n, file);
        fclose(file);
    }
    FILE *file = fopen(PATH, "r");
    assert_non_null(file);
    char *want = calloc(1, 65536);
    const size_t have = fread(want, 1, 65535, file);
    fclose(file);
    if (have != n || memcmp(got, want, n) != 0)
        fail_msg("the report of a cold night is not that of %s; it is:\n%s", PATH, got);
    free(want);
    free(got);
}

int main(int argc, char **argv)
{
    renews = argc > 1 && strcmp(argv[1], "--renew") == 0;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_headline_names_what_ends_the_stay_and_when),
        cmocka_unit_test(nothing_ends_a_stay_that_outlasts_its_wish),
        cmocka_unit_test(a_supply_says_until_about_and_by_quantiles_once_they_differ),
        cmocka_unit_test(lines_that_do_not_concern_the_household_are_not_there),
        cmocka_unit_test(water_of_unknown_origin_is_marked),
        cmocka_unit_test(every_kind_of_event_has_a_sentence),
        cmocka_unit_test(a_cause_comes_before_what_it_sets_off),
        cmocka_unit_test(repeats_are_counted_not_repeated),
        cmocka_unit_test(a_vital_load_is_the_first_warning_and_says_leave),
        cmocka_unit_test(a_vital_load_that_lasts_has_its_own_line),
        cmocka_unit_test(freezing_on_a_later_flat_night_is_told_with_its_day),
        cmocka_unit_test(what_happens_by_day_is_counted_in_days),
        cmocka_unit_test(what_the_list_could_not_hold_is_told_by_its_last_time),
        cmocka_unit_test(gas_too_cold_to_leave_is_not_called_burnt),
        cmocka_unit_test(what_the_rig_has_no_place_for_is_told),
        cmocka_unit_test(of_many_early_ends_three_are_named),
        cmocka_unit_test(a_plan_says_its_speed_and_price),
        cmocka_unit_test(drinking_by_a_filter_alone_is_not_called_empty),
        cmocka_unit_test(each_caution_comes_once),
        cmocka_unit_test(times_are_of_the_place_in_24_or_12_hours),
        cmocka_unit_test(amounts_are_in_the_units_a_person_says),
        cmocka_unit_test(a_cold_night_on_a_flat_battery_is_told_as_one_chain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
