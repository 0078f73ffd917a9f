#include "tests/check.h"

#include "core/base/random.h"
#include "core/land/belief.h"
#include "core/land/link.h"

/* 3GPP TR 36.942 annex A, truncated Shannon bound; end points 22.05 dB and 14.91 dB as quoted from it. */
static void rates_follow_the_truncated_bound(void **state)
{
    static const double row[][3] = {{-10, 0.08250, 0.05500}, {-5, 0.23785, 0.15856}, {0, 0.60000, 0.40000},
                                    {5, 1.23442, 0.82295},   {10, 2.07566, 1.38377}, {15, 3.01668, 2.0},
                                    {20, 3.99493, 2.0},      {25, 4.4, 2.0}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        CHECK_NEAR(lw_link_down_bits(row[i][0]), row[i][1], 5.1e-6, "down at %g dB", row[i][0]);
        CHECK_NEAR(lw_link_up_bits(row[i][0]), row[i][2], 5.1e-6, "up at %g dB", row[i][0]);
    }
    CHECK_NEAR(lw_link_down_bits(-10.01), 0.0, 0.0, "below -10 dB");
    assert_true(lw_link_down_bits(22.04) < 4.4 && lw_link_down_bits(22.06) >= 4.4);
    assert_true(lw_link_up_bits(14.90) < 2.0 && lw_link_up_bits(14.92) >= 2.0);
}

/* Arithmetic by hand: 30 - 140 = -110 dBm; noise -174 + 41.76 + 9 = -123.24 dBm, so 13.2 dB; 1.5 km of doubling is 6 dB. */
static void a_budget_adds_up(void **state)
{
    (void)state;
    const lw_link_cell cell = {30.0, 15.22, 10.0, 1.0};
    lw_link_end end = {0.0, 0.0, 9.0, 23.0};
    CHECK_NEAR(lw_link_rsrp_dbm(&cell, &end, 140.0), -110.0, 1e-9, "bare phone");
    CHECK_NEAR(lw_link_noise_dbm(&end), -123.239, 0.001, "noise");
    CHECK_NEAR(lw_link_sum_dbm(-100.0, -100.0), -96.9897, 1e-4, "two equal powers");
    CHECK_NEAR(lw_link_sum_dbm(-100.0, -INFINITY), -100.0, 0.0, "one alone");
    /* uplink by hand: 23 - (15.22 + 110) = -102.22 dBm over -174 + 69.54 + 4 = -100.46 dBm: -1.76 dB, 0.2946 bit/s/Hz of 9 MHz */
    const lw_link_rate rate = lw_link_rate_of(&cell, &end, -110.0, -INFINITY);
    CHECK_NEAR(rate.up_mbit, 9.0 * 0.4 * log2(1.0 + pow(10.0, -0.1762)), 0.01, "up");
    CHECK_NEAR(rate.down_mbit, 9.0 * 0.6 * log2(1.0 + pow(10.0, 1.3239)), 0.01, "down");
    end.gain_dbi = 6.0;
    end.cable_db = 1.0;
    CHECK_NEAR(lw_link_rsrp_dbm(&cell, &end, 140.0), -105.0, 1e-9, "roof antenna");
}

static void the_wanted_level_is_where_the_rate_begins(void **state)
{
    (void)state;
    const lw_link_cell cell = {25.0, 15.2, 10.0, 4.0};
    const lw_link_end end = {0.0, 0.0, 9.0, 23.0};
    const lw_link_rate need = {5.0, 1.0};
    const double wanted_dbm = lw_link_wanted_dbm(&cell, &end, need, -120.0);
    const lw_link_rate at = lw_link_rate_of(&cell, &end, wanted_dbm, -120.0),
                       below = lw_link_rate_of(&cell, &end, wanted_dbm - 0.02, -120.0);
    assert_true(at.down_mbit >= need.down_mbit && at.up_mbit >= need.up_mbit);
    assert_true(below.down_mbit < need.down_mbit || below.up_mbit < need.up_mbit);
    assert_true(isinf(lw_link_wanted_dbm(&cell, &end, (lw_link_rate){50.0, 1.0}, -INFINITY)));
    lw_fault fault;
    assert_int_equal(lw_link_check(&(lw_link_cell){25.0, 15.2, NAN, 4.0}, &end, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "bandwidth_mhz");
}

/* A normal table: 10, 15 and 20 dB over the wanted level at 12 dB are 80, 89 and 95 %. */
static void a_prediction_alone_has_its_published_spread(void **state)
{
    (void)state;
    static const double row[][2] = {{10.0, 0.798}, {15.0, 0.894}, {20.0, 0.952}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_belief b =
            lw_belief_join(&(lw_evidence){.predicted_dbm = -100.0, .has_terrain = 1, .claim = LW_CLAIM_UNKNOWN});
        CHECK_NEAR(b.sigma_db, 12.0, 0.0, "spread");
        CHECK_NEAR(lw_belief_frac(&b, -100.0 - row[i][0]), row[i][1], 0.001, "%g dB above", row[i][0]);
    }
    const lw_belief nothing = lw_belief_join(&(lw_evidence){.predicted_dbm = NAN, .claim = LW_CLAIM_UNKNOWN});
    assert_int_equal(nothing.has_any, 0);
    assert_true(isnan(lw_belief_frac(&nothing, -110.0)));
}

static void published_coverage_is_weak_evidence(void **state)
{
    (void)state;
    lw_evidence e = {.predicted_dbm = -110.0, .has_terrain = 1, .claim = LW_CLAIM_YES};
    const lw_belief yes = lw_belief_join(&e);
    e.claim = LW_CLAIM_NO;
    const lw_belief no = lw_belief_join(&e);
    assert_true(yes.dbm > -110.0 && yes.dbm < -106.0 && no.dbm < -115.0);
    CHECK_NEAR(yes.sigma_db, 12.0, 0.0, "no surer than a prediction");
    CHECK_NEAR(no.sigma_db, 12.0, 0.0, "no surer than a prediction");
    /* FCC staff report, December 2019: 75 % of tests in claimed areas had a signal, 62 % the claimed rate */
    const lw_belief claim = lw_belief_of_claim(LW_CLAIM_YES);
    CHECK_NEAR(lw_belief_frac(&claim, -115.0), 0.75, 0.01, "a signal");
    CHECK_NEAR(lw_belief_frac(&claim, -105.0), 0.62, 0.01, "the rate");
}

static void own_measurements_win_here_and_fade_with_the_way(void **state)
{
    (void)state;
    lw_measured m = {.dbm = -118.0, .predicted_dbm = -100.0, .way_m = 0.0};
    const lw_evidence e = {
        .predicted_dbm = -100.0, .has_terrain = 1, .claim = LW_CLAIM_YES, .measured = &m, .measured_count = 1};
    const lw_belief without =
        lw_belief_join(&(lw_evidence){.predicted_dbm = -100.0, .has_terrain = 1, .claim = LW_CLAIM_YES});
    double before_dbm = -1000.0, before_db = 0.0;
    for (m.way_m = 0.0; m.way_m <= 12000.0; m.way_m += 500.0) {
        const lw_belief b = lw_belief_join(&e);
        assert_true(b.dbm >= before_dbm && b.sigma_db >= before_db && b.sigma_db >= 6.0 && b.sigma_db <= 12.0);
        before_dbm = b.dbm;
        before_db = b.sigma_db;
    }
    CHECK_NEAR(before_dbm, without.dbm, 0.1, "12 km off it tells nothing");
    m.way_m = 50.0;
    CHECK_NEAR(lw_belief_join(&e).sigma_db, 6.0, 1e-9, "here");
    CHECK_NEAR(lw_belief_join(&e).dbm, -118.0, 1e-9, "here: the measurement, whatever was predicted and claimed");
    m.way_m = 400.0;
    m.predicted_dbm = -103.0; /* 3 dB less was to be expected there */
    CHECK_NEAR(lw_belief_join(&e).dbm, -115.0, 1e-9, "near: corrected for the other point");
    const double near_db = lw_belief_join(&e).sigma_db;
    assert_true(near_db >= 8.0 && near_db <= 9.0);
}

static void what_worked_here_counts_and_lines_help_each_other(void **state)
{
    (void)state;
    CHECK_NEAR(lw_belief_seen(0.5, 0, 0), 0.5, 0.0, "nothing tried");
    CHECK_NEAR(lw_belief_seen(0.5, 4, 4), 5.0 / 6.0, 1e-12, "four of four");
    CHECK_NEAR(lw_belief_seen(NAN, 0, 2), 0.25, 1e-12, "none of two, nothing known");
    const double two[] = {0.6, 0.5}, one[] = {0.83}, none[] = {0.0, 0.0};
    const double any = lw_belief_any(two, 2);
    CHECK_NEAR(lw_belief_any(one, 1), 0.83, 0.0, "one line");
    CHECK_NEAR(lw_belief_any(none, 2), 0.0, 1e-6, "no line");
    assert_true(any > 0.6 && any < 1.0 - 0.4 * 0.5); /* between the best alone and two that share nothing */
    /* against draws by hand: P(neither) of two normals with correlation 0.5 */
    int works = 0;
    const double a = lw_random_normal(0.6), b = lw_random_normal(0.5);
    for (uint32_t i = 0; i < 20000; i++) {
        const lw_random_words w = lw_random_block(&(lw_random_key){7, i}, 1, 1);
        const double z = lw_random_normal(lw_random_unit(w.word[0])), x = lw_random_normal(lw_random_unit(w.word[1])),
                     y = lw_random_normal(lw_random_unit(w.word[2]));
        works += a + sqrt(0.5) * (z + x) > 0.0 || b + sqrt(0.5) * (z + y) > 0.0;
    }
    CHECK_NEAR(any, works / 20000.0, 0.012, "20,000 draws, four of their own errors");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rates_follow_the_truncated_bound),
        cmocka_unit_test(a_budget_adds_up),
        cmocka_unit_test(the_wanted_level_is_where_the_rate_begins),
        cmocka_unit_test(a_prediction_alone_has_its_published_spread),
        cmocka_unit_test(published_coverage_is_weak_evidence),
        cmocka_unit_test(own_measurements_win_here_and_fade_with_the_way),
        cmocka_unit_test(what_worked_here_counts_and_lines_help_each_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
