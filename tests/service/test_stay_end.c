/* A stay that is over: its first forecast against what was logged, by hand; ended, taken back, kept and scored. */
#include <math.h>
#include <sys/wait.h>

#include "book/entries.h"
#include "book/forecasts.h"
#include "service/ledger.h"
#include "service/stay_end.h"
#include "tests/service/learn_home.h"

/* 2026-06-08 15:00 in the west of the mountains, invented. */
static const char CAMP[] = "leeway: 1\n"
                           "rig: {kind: class-c, tanks: {fresh: 45 gal, grey: {capacity: 36 gal, gauge: percent}, "
                           "black: {capacity: 31 gal, gauge: percent}}}\n"
                           "crew: 2 adults\n"
                           "place: {latitude: 38.2 N, longitude: 111.1 W, zone: America/Denver, name: Bench}\n"
                           "stay: {arrive: 2026-06-08 15:00, leave: 2026-06-25 10:00}\n"
                           "weather: {high: 84 F, low: 50 F}\n";
static const int64_t DAY_S = 86400, ARRIVAL_S = 1780952400;

/* A forecast whose figures are round: grey to be full after 4, 5 or 7 days, its level rising by a tenth a day, eight of ten within
 * a tenth on either side. */
static void keep_round_forecast(const home *h, int64_t stay)
{
    lw_forecast *f = calloc(1, sizeof *f);
    lw_err err = {0};
    assert_non_null(f);
    *f = (lw_forecast){.made_s = ARRIVAL_S,
                       .start_s = ARRIVAL_S,
                       .draws = 100,
                       .binding = LW_SUPPLY_GREY,
                       .mark_count = LW_FORECAST_MARKS};
    for (int k = 0; k < 2; k++) {
        lw_forecast_supply *s = &f->supply[k ? LW_SUPPLY_GREY : LW_SUPPLY_BLACK];
        *s = (lw_forecast_supply){.is_present = 1, .capacity = 1.0, .days = {4.0, 5.0, k ? 7.0 : INFINITY}};
        for (int m = 0; m < LW_FORECAST_MARKS; m++)
            for (int q = 0; q < LW_QUANTILES; q++)
                s->level[m][q] = (float)(0.1 * (q - 1) + 0.1 * m * LW_FORECAST_MARK_H / 24.0);
    }
    char *json = lw_forecast_json(f);
    lw_kept_forecast kept = {.made_s = ARRIVAL_S,
                             .stay = stay,
                             .program_version = "1",
                             .table_hash = "x",
                             .draws = 100,
                             .input = "leeway: 1",
                             .result = json};
    home_need(lw_book_keep_forecast(h->book, &kept, &err), &err);
    free(json);
    free(f);
}

static const lw_supply_summary *of(const lw_stay_summary *s, lw_supply supply)
{
    for (int i = 0; i < s->supply_count; i++)
        if (s->supply[i].supply == supply)
            return &s->supply[i];
    fail_msg("%s is not in the summary", lw_supply_word(supply));
    return NULL;
}

/* Day 2: forecast 10..30 %, read 20 %: inside, off by 0. Day 4: forecast 30..50 %, read 60 % (57.5 to 62.5): outside, off by 0.2.
 * Day 5: read full (97.5 % on): it ended half way between day 4 and day 5; forecast 40..60 %, outside. Then dumped. */
static void log_grey(home *h)
{
    home_log(h, ARRIVAL_S + 2 * DAY_S, "grey=20%");
    home_log(h, ARRIVAL_S + 3 * DAY_S, "black=20%");             /* forecast 20..40 %: inside */
    home_log(h, ARRIVAL_S + 3 * DAY_S + DAY_S / 2, "black=10%"); /* 25..45 %: below it */
    home_log(h, ARRIVAL_S + 4 * DAY_S, "grey=60%");
    home_log(h, ARRIVAL_S + 4 * DAY_S + 7200, "dumped black");
    home_log(h, ARRIVAL_S + 4 * DAY_S + 10800, "black=40%"); /* in the band, but behind the dump */
    home_log(h, ARRIVAL_S + 5 * DAY_S, "grey=full");
    home_log(h, ARRIVAL_S + 5 * DAY_S + 3600, "dumped grey");
    home_log(h, ARRIVAL_S + 6 * DAY_S, "grey=20%"); /* behind the dump: no longer of that forecast */
    home_log(h, ARRIVAL_S + 6 * DAY_S, "spent 12.34 USD dump");
}

static void what_was_logged_is_held_against_the_first_forecast(void **state)
{
    (void)state;
    home h = home_open(CAMP, ARRIVAL_S);
    lw_stay_summary s;
    lw_err err = {0};
    keep_round_forecast(&h, 1);
    log_grey(&h);
    home_need(lw_stay_end(h.book, ARRIVAL_S + 9 * DAY_S, ARRIVAL_S + 10 * DAY_S, &s, &err), &err);
    assert_int_equal(s.nights, 9);
    assert_int_equal(s.money[LW_CURRENCY_USD].all_cents, 1234);
    assert_int_equal(s.binding, LW_SUPPLY_GREY);
    assert_int_equal(s.first, LW_SUPPLY_BLACK);
    const lw_supply_summary *grey = of(&s, LW_SUPPLY_GREY);
    assert_int_equal(grey->happened, LW_HAPPENED_ENDED);
    CHECK_NEAR(grey->ends.happened_days, 4.5, 1e-9, "half way");
    assert_int_equal(grey->compared, 3);
    assert_int_equal(grey->inside, 1);
    /* a reading of 97.5 % and more has its middle at 98.75 % */
    CHECK_NEAR(grey->off_frac, (0.0 + 0.2 + 0.4875) / 3.0, 0.002, "mean distance");
    const lw_supply_summary *black = of(&s, LW_SUPPLY_BLACK);
    assert_int_equal(black->happened, LW_HAPPENED_SERVED);
    assert_true(black->happened_s == ARRIVAL_S + 4 * DAY_S + 7200);
    assert_true(black->ends.is_left_early);
    CHECK_NEAR(black->ends.happened_days, 3.5, 1e-9, "the last reading before the dump");
    assert_int_equal(black->compared, 2);
    assert_int_equal(black->inside, 1);
    CHECK_NEAR(black->off_frac, (0.1 + 0.25) / 2.0, 0.002, "mean distance");
    CHECK_NEAR(black->ends.p90_days, LW_BEYOND_DAYS, 0.0, "beyond");
    home_close(&h);
}

static void the_ledger_scores_it(void **state)
{
    (void)state;
    home h = home_open(CAMP, ARRIVAL_S);
    lw_stay_summary s;
    lw_book_ledger l = {0};
    lw_err err = {0};
    keep_round_forecast(&h, 1);
    log_grey(&h);
    home_need(lw_stay_end(h.book, ARRIVAL_S + 9 * DAY_S, ARRIVAL_S + 10 * DAY_S, &s, &err), &err);
    home_need(lw_book_ledger_make(h.book, &(lw_ledger_request){.now_s = ARRIVAL_S + 11 * DAY_S}, &l, &err), &err);
    assert_int_equal(l.scored_stays, 1);
    assert_int_equal(l.score_count, 2);
    const lw_supply_score *grey = &l.score[0];
    assert_int_equal(grey->supply, LW_SUPPLY_GREY);
    assert_int_equal(grey->ends.scored, 1);
    assert_int_equal(grey->ends.inside, 1); /* 4.5 days lie in 4 to 7 */
    CHECK_NEAR(grey->ends.mean_error_days, -0.5, 1e-9, "4.5 against 5");
    assert_int_equal(grey->compared, 3);
    assert_int_equal(grey->inside, 1);
    assert_int_equal(l.score[1].ends.unscored, 1);
    lw_book_ledger_clear(&l);
    home_close(&h);
}

static void an_end_can_be_taken_back(void **state)
{
    (void)state;
    home h = home_open(CAMP, ARRIVAL_S);
    const int64_t now_s = ARRIVAL_S + 3 * DAY_S;
    lw_stay_summary s;
    lw_gone_on gone;
    lw_household household = {0};
    lw_err err = {0};
    assert_int_equal(lw_stay_go_on(h.book, now_s, &gone, &err), LW_E_MISSING);
    err = (lw_err){0};
    home_need(lw_stay_end(h.book, now_s, now_s, &s, &err), &err);
    assert_int_equal(lw_household_load(h.book, now_s, 0, &household, &err), LW_E_MISSING);
    err = (lw_err){0};
    home_need(lw_household_load_last(h.book, now_s, &household, &err), &err);
    lw_household_clear(&household);
    assert_int_equal(lw_stay_end(h.book, now_s, now_s, &s, &err), LW_E_MISSING);
    err = (lw_err){0};
    home_need(lw_stay_go_on(h.book, now_s, &gone, &err), &err);
    assert_string_equal(gone.place, "Bench");
    assert_int_equal(gone.dropped[0], 0);
    home_need(lw_household_load(h.book, now_s, 0, &household, &err), &err);
    lw_household_clear(&household);
    home_close(&h);
}

/* The next stay ends this one with its summary; begun by mistake, it is taken out again, but not with something in it. */
static void a_stay_begun_by_mistake_is_taken_back(void **state)
{
    (void)state;
    home h = home_open(CAMP, ARRIVAL_S);
    const int64_t now_s = 1781809200; /* 2026-06-18 19:00 UTC */
    static const char NEXT[] = "leeway: 1\nrig: class-c\ncrew: 2 adults\n"
                               "place: {latitude: 39 N, longitude: 111.1 W, zone: America/Denver, name: Wash}\n"
                               "stay: {arrive: 2026-06-18 12:00}\nweather: {high: 84 F, low: 50 F}\n";
    lw_gone_on gone;
    lw_kept_stays stays = {0};
    lw_err err = {0};
    keep_round_forecast(&h, 1);
    log_grey(&h);
    home_begin(&h, NEXT, now_s);
    home_need(lw_book_list_stays(h.book, NULL, &stays, &err), &err);
    assert_int_equal(stays.count, 2);
    assert_non_null(stays.stay[0].summary);
    assert_non_null(strstr(stays.stay[0].summary, "\"schema\": \"leeway.stay/1\""));
    lw_kept_stays_clear(&stays);
    home_need(lw_stay_go_on(h.book, now_s, &gone, &err), &err);
    assert_string_equal(gone.dropped, "Wash");
    home_need(lw_book_list_stays(h.book, NULL, &stays, &err), &err);
    assert_int_equal(stays.count, 1);
    assert_true(stays.stay[0].left_s == LW_NO_TIME && !stays.stay[0].summary);
    lw_kept_stays_clear(&stays);
    home_begin(&h, NEXT, now_s);
    home_log(&h, now_s, "grey=1/3");
    assert_int_equal(lw_stay_go_on(h.book, now_s, &gone, &err), LW_E_CONFLICT);
    assert_non_null(strstr(err.text, "the stay at Wash goes on"));
    home_close(&h);
}

static void a_stay_does_not_end_before_what_was_logged(void **state)
{
    (void)state;
    home h = home_open(CAMP, ARRIVAL_S);
    lw_stay_summary s;
    lw_kept_stays stays = {0};
    lw_err err = {0};
    home_log(&h, ARRIVAL_S + 2 * DAY_S, "grey=20%");
    assert_int_equal(lw_stay_end(h.book, ARRIVAL_S + DAY_S, ARRIVAL_S + 3 * DAY_S, &s, &err), LW_E_CONFLICT);
    err = (lw_err){0};
    assert_int_equal(lw_stay_end(h.book, ARRIVAL_S - DAY_S, ARRIVAL_S + 3 * DAY_S, &s, &err), LW_E_RANGE);
    err = (lw_err){0};
    home_need(lw_book_list_stays(h.book, NULL, &stays, &err), &err);
    assert_true(stays.stay[0].left_s == LW_NO_TIME);
    lw_kept_stays_clear(&stays);
    home_close(&h);
}

/* A forecast of the book is kept once a day, the one of most draws; one of a changed scenario is not. */
static void forecasts_are_kept_once_a_day(void **state)
{
    (void)state;
    home h = home_open(CAMP, ARRIVAL_S);
    static const char *const CHANGE[] = {"rig.solar=400 W"};
    static const struct {
        int64_t after_s;
        int draws, changes;
        size_t kept;
        int64_t last_draws;
    } row[] = {
        {3600, 1, 0, 0, 0},    {7200, 12, 0, 1, 12},  {10800, 8, 0, 1, 12},
        {14400, 20, 0, 1, 20}, {14400, 24, 1, 1, 20}, {86400 + 3600, 4, 0, 2, 4},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_kept_forecasts kept = {0};
        lw_err err = {0};
        const lw_learning_request request = {.now_s = ARRIVAL_S + row[i].after_s,
                                             .change = CHANGE,
                                             .change_count = row[i].changes,
                                             .learn_draws = 20,
                                             .draws = {.draws = row[i].draws, .seed = 7, .ends_only = 1}};
        lw_outlook_answer answer = home_ask(&h, &request);
        home_need(lw_book_list_forecasts(h.book, 0, &kept, &err), &err);
        if (kept.count != row[i].kept)
            fail_msg("row %zu: %zu are kept, want %zu", i, kept.count, row[i].kept);
        if (kept.count > 0) {
            const lw_kept_forecast *last = &kept.forecast[kept.count - 1];
            lw_forecast *f = malloc(sizeof *f);
            assert_true(last->draws == row[i].last_draws && last->seed == 7);
            home_need(lw_forecast_read(last->result, f, &err), &err);
            if (last->draws == answer.outlook->draws)
                CHECK_NEAR(f->supply[LW_SUPPLY_GREY].days[1], answer.outlook->leeway[LW_SUPPLY_GREY].q[1].days, 6e-4,
                           "row %zu, P50 of grey", i);
            free(f);
            /* what is kept is a scenario that can be run again */
            lw_loaded again = {0};
            home_need(
                lw_scenario_load(&(lw_scenario_from){.path = "kept", .bytes = last->input, .size = strlen(last->input)},
                                 &again, &err),
                &err);
            assert_true(again.scenario->stay.arrival_s == ARRIVAL_S);
            lw_loaded_clear(&again);
        }
        lw_kept_forecasts_clear(&kept);
        lw_outlook_answer_clear(&answer);
    }
    home_close(&h);
}

static void the_kept_summary_keeps_to_its_schema(void **state)
{
    (void)state;
    home h = home_open(CAMP, ARRIVAL_S);
    char path[128], command[256];
    lw_stay_summary s;
    lw_kept_stays stays = {0};
    lw_err err = {0};
    keep_round_forecast(&h, 1);
    log_grey(&h);
    home_need(lw_stay_end(h.book, ARRIVAL_S + 9 * DAY_S, ARRIVAL_S + 10 * DAY_S, &s, &err), &err);
    home_need(lw_book_list_stays(h.book, NULL, &stays, &err), &err);
    snprintf(path, sizeof path, "%s/stay.json", h.folder);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(stays.stay[0].summary, file);
    fclose(file);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/stay.schema.json %s", path);
    const int status = system(command);
    (void)remove(path);
    lw_kept_stays_clear(&stays);
    home_close(&h);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_was_logged_is_held_against_the_first_forecast),
        cmocka_unit_test(the_ledger_scores_it),
        cmocka_unit_test(an_end_can_be_taken_back),
        cmocka_unit_test(a_stay_begun_by_mistake_is_taken_back),
        cmocka_unit_test(a_stay_does_not_end_before_what_was_logged),
        cmocka_unit_test(forecasts_are_kept_once_a_day),
        cmocka_unit_test(the_kept_summary_keeps_to_its_schema),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
