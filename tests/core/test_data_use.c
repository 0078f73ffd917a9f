#include "core/house/data_use.h"
#include "tests/words.h"

static void a_meeting_takes_what_its_service_prints(void **state)
{
    (void)state;
    /* Help page of a meeting service: 2.0 up + 2.0 down = 1,800 MB an hour; 2.6 + 1.8 by the same arithmetic. */
    CHECK_NEAR(lw_data_gb(&(lw_data_in){2.0, 2.0, 1.0}), 1.80, 0.01, "2.0 + 2.0");
    CHECK_NEAR(lw_data_gb(&(lw_data_in){2.6, 1.8, 1.0}), 1.98, 0.01, "2.6 + 1.8");
    CHECK_NEAR(lw_data_gb(&(lw_data_in){2.6, 1.8, 3.0}), 3.0 * 1.98, 0.01, "three hours");
}

static void activities_take_the_gigabytes_of_the_trade(void **state)
{
    /* Common practice, GB an hour; the two meeting rows by the services' figures. */
    static const struct {
        const char *id;
        double low, high;
    } row[] = {{"meeting-group-720p", 1.97, 1.99},
               {"meeting-group-1080p", 3.05, 3.07},
               {"call-video", 1.07, 1.09},
               {"call-voice", 0.05, 0.09},
               {"desk-private-network", 0.05, 0.30},
               {"desk-remote", 0.1, 0.5},
               {"school-stream", 0.7, 1.5},
               {"video-sd", 0.7, 1.0},
               {"video-hd", 2.0, 3.0},
               {"video-4k", 6.0, 7.0},
               {"video-saver", 0.25, 0.35},
               {"audio", 0.05, 0.15},
               {"web", 0.06, 0.2},
               {"maps", 0.009, 0.011}};
    static words w;
    (void)state;
    words_open(&w, "data/activities.csv");
    words_check_sources(&w);
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const int at = words_row(&w, row[i].id);
        const double gb =
            lw_data_gb(&(lw_data_in){words_number(&w, at, "down_mbit"), words_number(&w, at, "up_mbit"), 1.0});
        if (!(gb >= row[i].low && gb <= row[i].high))
            fail_msg("%s: %.3f GB an hour, want %g..%g", row[i].id, gb, row[i].low, row[i].high);
        assert_true(words_number(&w, at, "needs_down_mbit") > 0.0 && words_number(&w, at, "needs_up_mbit") > 0.0);
    }
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault;
    assert_int_equal(lw_data_check(&(lw_data_in){0.0, 0.0, 0.0}, &fault), LW_OK);
    assert_int_equal(lw_data_check(&(lw_data_in){NAN, 0.0, 1.0}, &fault), LW_E_RANGE);
    assert_int_equal(lw_data_check(&(lw_data_in){1.0, -0.1, 1.0}, &fault), LW_E_RANGE);
    assert_int_equal(lw_data_check(&(lw_data_in){1.0, 1.0, 1e9}, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "hours");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_meeting_takes_what_its_service_prints),
        cmocka_unit_test(activities_take_the_gigabytes_of_the_trade),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
