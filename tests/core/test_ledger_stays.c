/* core/land/ledger.h against counting day by day, which needs no source. */
#include <string.h>

#include "core/base/civil.h"
#include "core/land/ledger.h"
#include "tests/check.h"

static const lw_stay_place CAMP = {{43.0, -118.0}, 1};

static int64_t on(int year, int month, int day)
{
    return lw_day_of((lw_date){year, month, day});
}

static lw_ledger_stay stay(int place, int manager, int64_t arrival, int64_t departure)
{
    return (lw_ledger_stay){
        .place = place, .manager = manager, .spot = CAMP.spot, .arrival_day = arrival, .departure_day = departure};
}

static uint32_t next(uint32_t *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 8;
}

/* The oracle: a calendar in which every night is ticked. */
static void nights_are_those_of_a_ticked_calendar(void **state)
{
    (void)state;
    uint32_t seed = 7;
    for (int round = 0; round < 1000; round++) {
        lw_ledger_stay stays[6];
        char ticked[3][200];
        memset(ticked, 0, sizeof ticked);
        const int64_t zero = on(2027, 11, 20) + (int)(next(&seed) % 60); /* over the year's turn and 29 February 2028 */
        for (int i = 0; i < 6; i++) {
            const int from = (int)(next(&seed) % 120), length = (int)(next(&seed) % 20);
            const int manager = (int)(next(&seed) % 3);
            stays[i] = stay(i, manager, zero + from, zero + from + length);
            memset(ticked[manager] + from, 1, (size_t)length);
        }
        const lw_ledger ledger = {.stay = stays, .stay_count = 6};
        const int low = (int)(next(&seed) % 100), high = low + (int)(next(&seed) % 60);
        int want = 0, want_all = 0;
        for (int day = low; day < high; day++) {
            want += ticked[1][day];
            want_all += ticked[0][day] || ticked[1][day] || ticked[2][day];
        }
        assert_int_equal(lw_ledger_nights(&ledger, -1, 1, zero + low, zero + high), want);
        assert_int_equal(lw_ledger_nights(&ledger, -1, -1, zero + low, zero + high), want_all);
    }
}

static int is_in(const lw_ledger_stay *stays, int count, int counts_nights, int64_t day)
{
    for (int i = 0; i < count; i++)
        if (day >= stays[i].arrival_day && day < stays[i].departure_day + !counts_nights)
            return 1;
    return 0;
}

/* N days in any W: walked day by day, used days in a set; the same for the day one may be back. */
static void what_is_left_is_what_walking_finds(void **state)
{
    (void)state;
    uint32_t seed = 99;
    for (int round = 0; round < 1000; round++) {
        const int window = 7 + (int)(next(&seed) % 30), days = 1 + (int)(next(&seed) % 14);
        const lw_stay_rule rule = {.days = days < window ? days : window,
                                   .window_days = window,
                                   .radius_m = 40234.0,
                                   .count = round % 2 ? LW_STAY_NIGHTS : LW_STAY_ANY_PART};
        lw_ledger_stay stays[4];
        const int64_t today = on(2028, 3, 5);
        for (int i = 0; i < 4; i++) {
            const int64_t from = today - 1 - (int)(next(&seed) % 60);
            int64_t to = from + (int)(next(&seed) % 9);
            if (to >= today)
                to = today - 1;
            stays[i] = stay(1, 1, from, to);
        }
        const lw_ledger ledger = {.stay = stays, .stay_count = 4};
        char used[2000] = {0};
        enum { TODAY = 200 };
        for (int d = 0; d < TODAY; d++)
            used[d] = (char)is_in(stays, 4, rule.count == LW_STAY_NIGHTS, today - TODAY + d);
        int left = 0, d = TODAY, again = 0;
        for (; d < TODAY + 400; d++) {
            int sum = 0;
            for (int back = 1; back < window; back++)
                sum += used[d - back];
            if (sum >= rule.days)
                break;
            used[d] = 1;
            left++;
        }
        const int is_limited = d < TODAY + 400;
        for (int a = TODAY + left + 1; is_limited && !again; a++) {
            int sum = 0;
            for (int back = 1; back < window; back++)
                sum += used[a - back];
            again = sum < rule.days ? a : 0;
        }
        const lw_ledger_left got = lw_ledger_left_at(&ledger, &rule, CAMP, today);
        if (got.is_limited != is_limited || (is_limited && got.left_days != left) ||
            (is_limited && got.again_day != today - TODAY + again))
            fail_msg("round %d, %d in %d: limited %d, left %d, again in %d; want %d, %d, %d", round, rule.days, window,
                     got.is_limited, got.left_days, (int)(got.again_day - today), is_limited, left, again - TODAY);
    }
}

static const lw_stay_rule FOURTEEN = {.days = 14, .window_days = 28, .radius_m = 40234.0};

/* 62 FR 66880 (22 Dec 1997): 14 days within any 28 consecutive days, then beyond 25 miles. */
static void leaving_and_coming_back_starts_nothing_anew(void **state)
{
    (void)state;
    const lw_ledger_stay stays[] = {stay(1, 1, on(2026, 6, 1), on(2026, 6, 7)),
                                    stay(1, 1, on(2026, 6, 10), on(2026, 6, 12))};
    const lw_ledger ledger = {.stay = stays, .stay_count = 2};
    const lw_ledger_left left = lw_ledger_left_at(&ledger, &FOURTEEN, CAMP, on(2026, 6, 13));
    assert_int_equal(left.used_days, 10);
    assert_int_equal(left.left_days, 4);
    assert_int_equal(left.last_day, on(2026, 6, 16));
    assert_int_equal(left.again_day, on(2026, 6, 29)); /* 1 June leaves the 28 days */
    CHECK_NEAR(left.away_m, 40234.0, 0.0, "25 miles");
    const lw_stay_place far = {{44.0, -118.0}, 1};
    assert_int_equal(lw_ledger_left_at(&ledger, &FOURTEEN, far, on(2026, 6, 13)).left_days, 14);
}

static void the_window_ends_on_its_own_day_over_a_leap_day(void **state)
{
    (void)state;
    const lw_ledger_stay stays[] = {stay(1, 1, on(2028, 2, 5), on(2028, 2, 18))};
    const lw_ledger ledger = {.stay = stays, .stay_count = 1};
    assert_int_equal(lw_ledger_left_at(&ledger, &FOURTEEN, CAMP, on(2028, 3, 3)).left_days, 0);
    assert_int_equal(lw_ledger_left_at(&ledger, &FOURTEEN, CAMP, on(2028, 3, 4)).left_days,
                     14); /* 28 days after 5 Feb */
}

static void a_permit_replaces_the_limit_in_its_season(void **state)
{
    (void)state;
    const lw_ledger_stay stays[] = {stay(1, 1, on(2026, 9, 1), on(2026, 9, 14))};
    const lw_permit permit = {.manager = 1,
                              .first_day = on(2026, 9, 10),
                              .last_day = on(2027, 5, 31),
                              .season_from = 915,
                              .season_to = 415,
                              .price_usd = 180.0};
    const lw_ledger ledger = {.stay = stays, .stay_count = 1, .permit = &permit, .permit_count = 1};
    lw_ledger_left left = lw_ledger_left_at(&ledger, &FOURTEEN, CAMP, on(2026, 9, 15));
    assert_true(left.is_permit);
    assert_int_equal(left.last_day, on(2027, 4, 15)); /* days under it count, so that its end is the end */
    lw_permit uncounted = permit;
    uncounted.is_uncounted = 1;
    const lw_ledger other = {.stay = stays, .stay_count = 1, .permit = &uncounted, .permit_count = 1};
    left = lw_ledger_left_at(&other, &FOURTEEN, CAMP, on(2026, 9, 15));
    assert_int_equal(left.last_day, on(2027, 4, 29)); /* and fourteen days of the rule behind it */
    CHECK_NEAR(lw_permit_cost_usd(&permit, on(2026, 9, 10)), 0.0, 0.0, "not begun");
    CHECK_NEAR(lw_permit_cost_usd(&permit, on(2027, 1, 1)), 180.0, 0.0, "once");
    lw_permit fortnight = permit;
    fortnight.renews_days = 14;
    CHECK_NEAR(lw_permit_cost_usd(&fortnight, on(2026, 9, 24)), 180.0, 0.0, "fourteen days");
    CHECK_NEAR(lw_permit_cost_usd(&fortnight, on(2026, 9, 25)), 360.0, 0.0, "the fifteenth");
}

/* The same stays as above, by hand: ten days of June are used; the window of 28 days leaves 1 June behind on 29 June, and 12
 * June, the last, on 10 July. */
static void the_window_frees_days_while_one_stays_away(void **state)
{
    (void)state;
    const lw_ledger_stay stays[] = {stay(1, 1, on(2026, 6, 1), on(2026, 6, 7)),
                                    stay(1, 1, on(2026, 6, 10), on(2026, 6, 12))};
    const lw_ledger ledger = {.stay = stays, .stay_count = 2};
    const lw_ledger_frees frees = lw_ledger_frees_at(&ledger, &FOURTEEN, CAMP, on(2026, 6, 12));
    assert_int_equal(frees.used_days, 10);
    assert_int_equal(frees.first_day, on(2026, 6, 29));
    assert_int_equal(frees.freed_days, 1);
    assert_int_equal(frees.all_day, on(2026, 7, 10));
    const lw_ledger_frees none = lw_ledger_frees_at(&ledger, &FOURTEEN, CAMP, on(2027, 6, 12));
    assert_true(none.used_days == 0 && none.first_day == 0 && none.all_day == 0);
}

/* Days off by one are found by ticking all of a year. */
static void permits_cover_and_fall_due_as_ticked(void **state)
{
    (void)state;
    const lw_permit permit[] = {
        {.manager = 1, .first_day = 100, .last_day = 131, .price_usd = 40.0, .renews_days = 14},
        {.manager = 1, .first_day = 132, .last_day = 140, .price_usd = 40.0},
        {.manager = 2, .first_day = 141, .last_day = 200, .price_usd = 40.0},
    };
    const lw_ledger ledger = {.permit = permit, .permit_count = 3};
    for (int day = 80; day < 220; day++) {
        int last = day - 1;
        while (last + 1 >= 100 && last + 1 <= 140)
            last++;
        assert_int_equal(lw_permit_covered_until(&ledger, 1, day), last);
        int due = 0;
        for (int at = 100; at <= 131 && !due; at += 14)
            due = at > day ? at : 0;
        if (lw_permit_due_day(&permit[0], day) != due)
            fail_msg("on day %d due on %d, want %d", day, (int)lw_permit_due_day(&permit[0], day), due);
        assert_int_equal(lw_permit_due_day(&permit[1], day), 0);
    }
}

static void money_adds_up_by_kind_within_its_days(void **state)
{
    (void)state;
    const lw_expense spent[] = {{10, LW_EXPENSE_FUEL, 4210},
                                {11, LW_EXPENSE_DUMP, 1500},
                                {12, LW_EXPENSE_FUEL, -210},
                                {13, LW_EXPENSE_FUEL, 99}};
    const lw_money money = lw_ledger_money(spent, 4, 10, 13);
    assert_int_equal(money.cents[LW_EXPENSE_FUEL], 4000);
    assert_int_equal(money.cents[LW_EXPENSE_DUMP], 1500);
    assert_int_equal(money.all_cents, 5500);
}

static void a_forecast_is_scored_by_what_happened(void **state)
{
    (void)state;
    const lw_forecast_kept kept[] = {
        {.p10_days = 4, .p50_days = 5, .p90_days = 7, .happened_days = 7},                     /* on the border */
        {.p10_days = 4, .p50_days = 5, .p90_days = 7, .happened_days = 3},                     /* too early */
        {.p10_days = 4, .p50_days = 5, .p90_days = 7, .happened_days = 6, .is_left_early = 1}, /* says nothing */
        {.p10_days = 4, .p50_days = 5, .p90_days = 7, .happened_days = 9, .is_left_early = 1}, /* outside for sure */
        {.p10_days = 4, .p50_days = 5, .p90_days = 7, .happened_days = 4.5},
    };
    lw_fault fault = {0};
    assert_int_equal(lw_forecasts_check(kept, 5, &fault), LW_OK);
    const lw_score score = lw_ledger_score(kept, 5);
    assert_int_equal(score.scored, 4);
    assert_int_equal(score.unscored, 1);
    assert_int_equal(score.inside, 2);
    CHECK_NEAR(score.inside_frac, 0.5, 1e-12, "inside");
    CHECK_NEAR(score.mean_error_days, (2.0 - 2.0 - 0.5) / 3.0, 1e-12, "mean");
    CHECK_NEAR(score.median_off_days, 2.0, 1e-12, "median of 2, 2, 0.5");
    assert_true(isnan(lw_ledger_score(kept, 0).inside_frac));
}

static void what_cannot_be_is_refused(void **state)
{
    (void)state;
    lw_fault fault = {0};
    const lw_ledger_stay turned = stay(1, 1, 20, 19);
    assert_int_equal(lw_ledger_check(&(lw_ledger){.stay = &turned, .stay_count = 1}, &fault), LW_E_CONFLICT);
    const lw_permit permit = {.manager = 1, .first_day = 5, .last_day = 9, .price_usd = NAN};
    assert_int_equal(lw_ledger_check(&(lw_ledger){.permit = &permit, .permit_count = 1}, &fault), LW_E_RANGE);
    assert_int_equal(lw_ledger_check(&(lw_ledger){.stay_count = LW_LEDGER_STAYS + 1}, &fault), LW_E_FULL);
    const lw_forecast_kept kept = {.p10_days = 5, .p50_days = 4, .p90_days = 7};
    assert_int_equal(lw_forecasts_check(&kept, 1, &fault), LW_E_CONFLICT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nights_are_those_of_a_ticked_calendar),
        cmocka_unit_test(what_is_left_is_what_walking_finds),
        cmocka_unit_test(leaving_and_coming_back_starts_nothing_anew),
        cmocka_unit_test(the_window_ends_on_its_own_day_over_a_leap_day),
        cmocka_unit_test(a_permit_replaces_the_limit_in_its_season),
        cmocka_unit_test(the_window_frees_days_while_one_stays_away),
        cmocka_unit_test(permits_cover_and_fall_due_as_ticked),
        cmocka_unit_test(money_adds_up_by_kind_within_its_days),
        cmocka_unit_test(a_forecast_is_scored_by_what_happened),
        cmocka_unit_test(what_cannot_be_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
