/* What was foreseen of days that are over: each forecast counts until the next. */
#include "book/forecasts.h"
#include "service/foreseen.h"
#include "tests/service/learn_home.h"

/* Invented. */
static const char CAMP[] = "leeway: 1\n"
                           "rig: {kind: class-c, tanks: {fresh: 46 gal, grey: 36 gal, black: 31 gal}}\n"
                           "crew: 2 adults\n"
                           "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver}\n"
                           "stay: {arrive: 2026-06-08 15:00, leave: 2026-06-25 10:00}\n"
                           "weather: {high: 84 F, low: 50 F}\n";
static const int64_t DAY_S = 86400, HOUR_S = 3600, ARRIVAL_S = 1780952400;
enum { DRAWS = 16 };

/* A forecast that the book keeps; gives it as it was. */
static lw_forecast forecast_at(home *h, int64_t now_s)
{
    const lw_learning_request request = {.now_s = now_s, .learn_draws = DRAWS, .draws = {.draws = DRAWS, .seed = 1}};
    lw_outlook_answer answer = home_ask(h, &request);
    lw_forecast made;
    lw_forecast_of(&answer, now_s, &made);
    lw_outlook_answer_clear(&answer);
    return made;
}

static void each_counts_until_the_next(void **state)
{
    static lw_foreseen seen;
    static lw_forecast first, second;
    lw_err err = {0};
    int after = 0;
    (void)state;
    home h = home_open(CAMP, ARRIVAL_S);
    first = forecast_at(&h, ARRIVAL_S + HOUR_S);
    home_log(&h, ARRIVAL_S + DAY_S, "fresh=1/3 grey=2/3");
    second = forecast_at(&h, ARRIVAL_S + DAY_S + HOUR_S);
    const int64_t to_s = ARRIVAL_S + 2 * DAY_S + 1800;
    home_need(lw_foreseen_make(h.book, 1, ARRIVAL_S, to_s, &seen, &err), &err);
    /* 24 hours in steps of six and 23.5: 5 points, and 5 with the broken end. */
    assert_int_equal(seen.count, 10);
    assert_true(seen.at_s[0] == first.start_s && seen.at_s[seen.count - 1] == to_s);
    for (int i = 0; i < seen.count; i++) {
        double band[LW_QUANTILES];
        assert_true(i == 0 || seen.at_s[i] >= seen.at_s[i - 1]);
        after = after || (i > 0 && seen.at_s[i] == seen.at_s[i - 1]);
        assert_true(lw_forecast_level(after ? &second : &first, LW_SUPPLY_GREY, seen.at_s[i], band));
        for (int q = 0; q < LW_QUANTILES; q++)
            CHECK_NEAR((double)seen.level[i][LW_SUPPLY_GREY][q], band[q], 1.1e-3, "point %d, quantile %d", i, q);
    }
    assert_true(after);
    home_need(lw_foreseen_make(h.book, 1, to_s - 3 * HOUR_S, to_s, &seen, &err), &err);
    assert_true(seen.count == 2 || seen.count == 3);
    assert_true(seen.at_s[0] == to_s - 3 * HOUR_S);
    home_need(lw_foreseen_make(h.book, 7, ARRIVAL_S, to_s, &seen, &err), &err);
    assert_int_equal(seen.count, 0);
    home_close(&h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_counts_until_the_next)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
