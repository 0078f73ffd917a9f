#include "core/base/civil.h"
#include "core/land/stay_rule.h"
#include "tests/words.h"

static const double MILE_M = 1609.344;
static const lw_stay_place CAMP = {{43.0, -118.0}, 1};

static int64_t on(int month, int day)
{
    return lw_day_of((lw_date){2026, month, day});
}

static lw_stay_past stay(lw_spot spot, int64_t first_day, int64_t last_day)
{
    return (lw_stay_past){.spot = spot, .land = 1, .first_day = first_day, .last_day = last_day};
}

static lw_spot north_of(lw_spot spot, double metres)
{
    return (lw_spot){spot.latitude_deg + metres / 111195.0, spot.longitude_deg};
}

static void want(const lw_stay_rule *rule, const lw_stay_history *history, lw_stay_place place, int64_t from,
                 int64_t to, int is_allowed)
{
    for (int64_t day = from; day <= to; day++) {
        const lw_stay_verdict v = lw_stay_on(rule, history, place, day);
        if (v.is_allowed != is_allowed) {
            const lw_date d = lw_date_of(day);
            fail_msg("%d-%02d-%02d: allowed %d, want %d (used %d)", d.year, d.month, d.day, v.is_allowed, is_allowed,
                     v.used_days);
        }
    }
}

static const lw_stay_rule BLM = {.days = 14, .window_days = 28, .radius_m = 40234.0};

static void fourteen_days_in_any_28_as_the_burns_notice_reads(void **state)
{
    (void)state;
    /* BLM Burns District, 62 FR 66880 (22 Dec 1997): 14 days in any 28 consecutive days, then outside 25 mi. */
    lw_stay_past a[] = {stay(CAMP.spot, on(6, 1), on(6, 14))};
    const lw_stay_history one = {a, 1};
    want(&BLM, &one, CAMP, on(6, 15), on(6, 28), 0);
    want(&BLM, &one, CAMP, on(6, 29), on(6, 29), 1);
    lw_stay_rule with_gap = BLM; /* the same notice: the same site not again until 14 days after the last day of use */
    with_gap.site_gap_days = 14;
    with_gap.site_m = 800.0;
    want(&with_gap, &one, CAMP, on(6, 29), on(6, 29), 1);
    const lw_stay_place outside = {north_of(CAMP.spot, 26.0 * MILE_M), 1};
    want(&BLM, &one, outside, on(6, 15), on(6, 28), 1);
    const lw_stay_place inside = {north_of(CAMP.spot, 24.0 * MILE_M), 1};
    want(&BLM, &one, inside, on(6, 15), on(6, 28), 0);
}

static void two_visits_under_the_rolling_reading(void **state)
{
    (void)state;
    /* 62 FR 66880 again; 1-7 and 15-21 June: full 22-28 June, a greedy stay 29 June-5 July, and again from 13 July. */
    lw_stay_past b[] = {stay(CAMP.spot, on(6, 15), on(6, 21)), stay(CAMP.spot, on(6, 1), on(6, 7)),
                        stay(CAMP.spot, on(6, 29), on(7, 5))};
    lw_stay_history two = {b, 2};
    want(&BLM, &two, CAMP, on(6, 22), on(6, 28), 0);
    const lw_stay_until until = lw_stay_last_day(&BLM, &two, CAMP, on(6, 29));
    assert_true(until.is_limited && until.last_day == on(7, 5) && until.leave_day == on(7, 5));
    assert_int_equal(until.limit, LW_STAY_LIMIT_WINDOW);
    two.count = 3;
    want(&BLM, &two, CAMP, on(6, 29), on(7, 5), 1);
    want(&BLM, &two, CAMP, on(7, 6), on(7, 12), 0);
    want(&BLM, &two, CAMP, on(7, 13), on(7, 13), 1);
}

static void the_anchored_reading_opens_a_new_window_and_the_rolling_one_does_not(void **state)
{
    (void)state;
    /* Both readings of one text: days 1-7 and 15-21 used; full on 22-28 under both; rolling: 29-35 free, 36-42 not, 43 is;
     * anchored at day 1: a new window opens on day 29 and 29-42 are free. Arithmetic on 62 FR 66880. */
    const int64_t day0 = on(1, 1) - 1;
    lw_stay_past b[] = {stay(CAMP.spot, day0 + 1, day0 + 7), stay(CAMP.spot, day0 + 15, day0 + 21)};
    const lw_stay_history two = {b, 2};
    lw_stay_rule anchored = BLM;
    anchored.reading = LW_STAY_ANCHORED;
    want(&BLM, &two, CAMP, day0 + 22, day0 + 28, 0);
    want(&anchored, &two, CAMP, day0 + 22, day0 + 28, 0);
    assert_true(lw_stay_last_day(&BLM, &two, CAMP, day0 + 29).last_day == day0 + 35);
    assert_true(lw_stay_last_day(&anchored, &two, CAMP, day0 + 29).last_day == day0 + 42);
    assert_true(lw_stay_last_day(&anchored, &two, CAMP, day0 + 22).last_day == day0 + 21);
}

static void the_radius_is_that_of_the_day_asked(void **state)
{
    (void)state;
    /* Boise National Forest Order 0402-00-62: 25 mi from 1 Apr to 31 Aug, 5 mi from 1 Sept to 31 Mar; 14 in 30. */
    const lw_stay_rule boise = {.days = 14,
                                .window_days = 30,
                                .radius_m = 25.0 * MILE_M,
                                .second_radius_m = 5.0 * MILE_M,
                                .second_from = 901,
                                .second_to = 331};
    lw_stay_past a[] = {stay(CAMP.spot, on(8, 7), on(8, 20))};
    const lw_stay_history one = {a, 1};
    const lw_stay_place b = {north_of(CAMP.spot, 10.0 * MILE_M), 1};
    want(&boise, &one, b, on(8, 25), on(8, 25), 0);
    want(&boise, &one, b, on(9, 1), on(9, 1), 1);
    want(&boise, &one, CAMP, on(9, 1), on(9, 1), 0);
    lw_stay_past winter[] = {stay(CAMP.spot, on(3, 10), on(3, 23))};
    const lw_stay_history in_march = {winter, 1};
    want(&boise, &in_march, b, on(3, 31), on(3, 31), 1);
    want(&boise, &in_march, b, on(4, 1), on(4, 1), 0);
}

static void two_limits_hold_at_once(void **state)
{
    (void)state;
    /* Rogue River-Siskiyou Order 06-10-24-07: 14 consecutive days at one place, 28 in a calendar year. */
    const lw_stay_rule rogue = {.consecutive_days = 14, .site_m = MILE_M, .year_days = 28};
    const lw_stay_place b = {north_of(CAMP.spot, 30000.0), 1}, c = {north_of(CAMP.spot, 90000.0), 1};
    lw_stay_past past[] = {stay(CAMP.spot, on(1, 1), on(1, 14)), stay(b.spot, on(1, 15), on(1, 28))};
    lw_stay_history history = {past, 0};
    const lw_stay_until first = lw_stay_last_day(&rogue, &history, CAMP, on(1, 1));
    assert_true(first.last_day == on(1, 14));
    assert_int_equal(first.limit, LW_STAY_LIMIT_CONSECUTIVE);
    history.count = 1;
    want(&rogue, &history, CAMP, on(1, 15), on(1, 15), 0);
    want(&rogue, &history, b, on(1, 15), on(1, 15), 1);
    history.count = 2;
    want(&rogue, &history, CAMP, on(1, 29), on(12, 31), 0);
    want(&rogue, &history, c, on(1, 29), on(12, 31), 0);
    assert_int_equal(lw_stay_on(&rogue, &history, c, on(1, 29)).limit, LW_STAY_LIMIT_YEAR);
    want(&rogue, &history, c, lw_day_of((lw_date){2027, 1, 1}), lw_day_of((lw_date){2027, 1, 14}), 1);
    const lw_stay_place elsewhere = {c.spot, 2}; /* land of another order */
    want(&rogue, &history, elsewhere, on(1, 29), on(1, 29), 1);
}

static void fourteen_in_thirty(void **state)
{
    (void)state;
    /* Bureau of Reclamation, 43 CFR 423.33(b); same numbers in 36 CFR 327.7 (Corps of Engineers). */
    const lw_stay_rule rule = {.days = 14, .window_days = 30};
    lw_stay_past a[] = {stay(CAMP.spot, on(5, 1), on(5, 14))};
    const lw_stay_history one = {a, 1};
    want(&rule, &one, CAMP, on(5, 15), on(5, 30), 0);
    want(&rule, &one, CAMP, on(5, 31), on(5, 31), 1);
}

static void the_count_falls_to_zero_after_the_days_away(void **state)
{
    (void)state;
    /* BLM Colorado, 75 FR 32968 (10 June 2010): 14 days, then away for 30. */
    const lw_stay_rule rule = {.days = 14, .window_days = 30, .reading = LW_STAY_RESET};
    lw_stay_past a[] = {stay(CAMP.spot, on(5, 1), on(5, 14)), stay(CAMP.spot, on(6, 1), on(6, 1))};
    lw_stay_history history = {a, 1};
    want(&rule, &history, CAMP, on(5, 15), on(6, 13), 0);
    want(&rule, &history, CAMP, on(6, 14), on(6, 27), 1);
    assert_true(lw_stay_last_day(&rule, &history, CAMP, on(6, 14)).last_day == on(6, 27));
    history.count = 2; /* one day back starts the thirty days anew */
    want(&rule, &history, CAMP, on(6, 14), on(7, 1), 0);
    want(&rule, &history, CAMP, on(7, 2), on(7, 2), 1);
}

static void nights_leave_the_day_of_departure_out(void **state)
{
    (void)state;
    const lw_stay_history none = {NULL, 0};
    lw_stay_rule nights = {.consecutive_days = 14, .site_m = MILE_M, .year_days = 30, .count = LW_STAY_NIGHTS};
    const lw_stay_until until = lw_stay_last_day(&nights, &none, CAMP, on(6, 1));
    assert_true(until.last_day == on(6, 14) && until.leave_day == on(6, 15));
    lw_stay_past past[] = {stay(CAMP.spot, on(6, 1), on(6, 14))};
    const lw_stay_history one = {past, 1};
    assert_int_equal(lw_stay_on(&nights, &one, CAMP, on(6, 14)).used_days, 13);
    want(&nights, &one, CAMP, on(6, 14), on(6, 14), 1);
    assert_int_equal(lw_stay_on(&nights, &one, CAMP, on(6, 20)).year_used_days, 13);
    nights.count = LW_STAY_ANY_PART;
    assert_int_equal(lw_stay_on(&nights, &one, CAMP, on(6, 20)).year_used_days, 14);
    want(&nights, &one, CAMP, on(6, 15), on(6, 15), 0);
    assert_true(lw_stay_last_day(&nights, &none, CAMP, on(6, 1)).leave_day == on(6, 14));
}

static void days_on_which_two_stays_overlap_count_once(void **state)
{
    (void)state;
    lw_stay_past past[] = {stay(CAMP.spot, on(6, 1), on(6, 7)), stay(CAMP.spot, on(6, 7), on(6, 10)),
                           stay(CAMP.spot, on(6, 1), on(6, 7))};
    const lw_stay_history history = {past, 3};
    assert_int_equal(lw_stay_on(&BLM, &history, CAMP, on(6, 20)).used_days, 10);
    assert_int_equal(lw_stay_on(&BLM, &history, CAMP, on(6, 20)).year_used_days, 10);
}

static void a_rule_without_limits_never_binds(void **state)
{
    (void)state;
    const lw_stay_rule open = {0};
    const lw_stay_history none = {NULL, 0};
    const lw_stay_until until = lw_stay_last_day(&open, &none, CAMP, on(6, 1));
    assert_false(until.is_limited);
    assert_int_equal(until.limit, LW_STAY_LIMIT_NONE);
    assert_true(until.last_day == on(6, 1) + LW_STAY_HORIZON_DAYS - 1);
}

/* Oracle: stays as a plain array of used days, counted over every window that holds the day. */
static void greedy_stays_never_put_more_than_n_days_in_any_window(void **state)
{
    enum { SPAN = 240 };
    (void)state;
    unsigned random = 12345u;
    for (int round = 0; round < 40; round++) {
        lw_stay_past past[SPAN];
        int used[SPAN] = {0};
        lw_stay_history history = {past, 0};
        for (int day = 0; day < SPAN; day++) {
            random = random * 1664525u + 1013904223u;
            if (random >> 30 == 0u)
                continue; /* a day spent elsewhere by choice */
            const int is_allowed = lw_stay_on(&BLM, &history, CAMP, on(1, 1) + day).is_allowed;
            int in_window = 0;
            for (int back = day; back > day - 28 && back >= 0; back--)
                in_window += used[back];
            assert_int_equal(is_allowed, in_window < 14);
            if (is_allowed) {
                used[day] = 1;
                past[history.count++] = stay(CAMP.spot, on(1, 1) + day, on(1, 1) + day);
            }
        }
    }
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault;
    lw_stay_rule rule = BLM;
    assert_int_equal(lw_stay_rule_check(&rule, &fault), LW_OK);
    rule.radius_m = NAN;
    assert_int_equal(lw_stay_rule_check(&rule, &fault), LW_E_RANGE);
    rule = BLM;
    rule.window_days = -1;
    assert_int_equal(lw_stay_rule_check(&rule, &fault), LW_E_RANGE);
    rule = BLM;
    rule.second_from = 931;
    rule.second_to = 331;
    assert_int_equal(lw_stay_rule_check(&rule, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "second_from");
    lw_stay_past past[] = {stay(CAMP.spot, on(6, 2), on(6, 1))};
    assert_int_equal(lw_stay_history_check(&(lw_stay_history){past, 1}, &fault), LW_E_CONFLICT);
    assert_int_equal(lw_stay_history_check(&(lw_stay_history){past, LW_STAYS + 1}, &fault), LW_E_FULL);
    past[0].spot.latitude_deg = NAN;
    assert_int_equal(lw_stay_history_check(&(lw_stay_history){past, 1}, &fault), LW_E_RANGE);
}

static double or_zero(double value)
{
    return isnan(value) ? 0.0 : value;
}

static void every_row_of_the_table_is_a_rule(void **state)
{
    static words w;
    static const char *const READINGS[] = {
#define WORD(id, word) word,
        LW_STAY_READINGS(WORD)};
    static const char *const COUNTS[] = {LW_STAY_COUNTS(WORD)};
#undef WORD
    (void)state;
    words_open(&w, "data/stay_rules.csv");
    words_check_sources(&w);
    for (int row = 1; row < w.rows; row++) {
        const char *id = w.cell[row][0];
        const char *reading = words_at(&w, row, "reading"), *counts = words_at(&w, row, "counts");
        const lw_stay_rule rule = {
            .days = (int)or_zero(words_number(&w, row, "days")),
            .window_days = (int)or_zero(words_number(&w, row, "window_days")),
            .reading = *reading ? (lw_stay_reading)words_index(READINGS, LW_STAY_READING_COUNT, reading, id) : 0,
            .count = *counts ? (lw_stay_count)words_index(COUNTS, LW_STAY_COUNT_COUNT, counts, id) : 0,
            .radius_m = or_zero(words_number(&w, row, "radius_m")),
            .second_radius_m = or_zero(words_number(&w, row, "radius2_m")),
            .second_from = (int)or_zero(words_number(&w, row, "radius2_from")),
            .second_to = (int)or_zero(words_number(&w, row, "radius2_to")),
            .consecutive_days = (int)or_zero(words_number(&w, row, "consecutive_days")),
            .site_m = or_zero(words_number(&w, row, "consecutive_m")),
            .year_days = (int)or_zero(words_number(&w, row, "year_days")),
            .site_gap_days = (int)or_zero(words_number(&w, row, "site_gap_days")),
        };
        lw_fault fault = {0};
        if (lw_stay_rule_check(&rule, &fault))
            fail_msg("%s: %s = %g", id, fault.field, fault.value);
        const int has_limit = (rule.days && rule.window_days) || rule.consecutive_days || rule.year_days;
        const lw_stay_until until = lw_stay_last_day(&rule, &(lw_stay_history){NULL, 0}, CAMP, on(3, 1));
        if (until.is_limited != has_limit || (has_limit && until.last_day - on(3, 1) + 1 > 30))
            fail_msg("%s: limited %d after %d days", id, until.is_limited, (int)(until.last_day - on(3, 1) + 1));
        or_zero(words_number(&w, row, "unattended_h"));
        or_zero(words_number(&w, row, "year"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fourteen_days_in_any_28_as_the_burns_notice_reads),
        cmocka_unit_test(two_visits_under_the_rolling_reading),
        cmocka_unit_test(the_anchored_reading_opens_a_new_window_and_the_rolling_one_does_not),
        cmocka_unit_test(the_radius_is_that_of_the_day_asked),
        cmocka_unit_test(two_limits_hold_at_once),
        cmocka_unit_test(fourteen_in_thirty),
        cmocka_unit_test(the_count_falls_to_zero_after_the_days_away),
        cmocka_unit_test(nights_leave_the_day_of_departure_out),
        cmocka_unit_test(days_on_which_two_stays_overlap_count_once),
        cmocka_unit_test(a_rule_without_limits_never_binds),
        cmocka_unit_test(greedy_stays_never_put_more_than_n_days_in_any_window),
        cmocka_unit_test(nonsense_is_refused),
        cmocka_unit_test(every_row_of_the_table_is_a_rule),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
