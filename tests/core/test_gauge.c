/* What a gauge says about a level. Values by hand from the rules of core/learn/gauge.h: an outside source for how lamps of
 * tank panels are read is not known to us. */
#include "core/learn/gauge.h"

#include "tests/check.h"

#define THIRDS .kind = LW_GAUGE_PROBES, .probe_count = 2, .probe_frac = {1.0 / 3.0, 2.0 / 3.0}
#define INF    INFINITY

static void near_or_same(double got, double want, size_t row, const char *what)
{
    if (got == want)
        return; /* infinities */
    CHECK_NEAR(got, want, 1e-9, "row %zu, %s", row, what);
}

static void what_is_shown_says_an_interval(void **state)
{
    static const struct {
        lw_gauge gauge;
        double shown, capacity, low, high;
    } row[] = {
        /* a lamp means that the liquid has reached its probe */
        {{THIRDS}, 0.0, 120.0, -INF, 40.0},
        {{THIRDS}, 1.0 / 3.0, 120.0, 40.0, 80.0},
        {{THIRDS}, 0.667, 120.0, 80.0, 0.97 * 120.0},
        {{THIRDS}, 1.0, 120.0, 0.97 * 120.0, INF},
        /* the mark next to the level */
        {{THIRDS, .rule = LW_GAUGE_NEAREST}, 0.0, 120.0, -INF, 20.0},
        {{THIRDS, .rule = LW_GAUGE_NEAREST}, 1.0 / 3.0, 120.0, 20.0, 60.0},
        {{THIRDS, .rule = LW_GAUGE_NEAREST}, 1.0, 120.0, 100.0, INF},
        /* numbers */
        {{.kind = LW_GAUGE_PERCENT, .rule = LW_GAUGE_NEAREST, .step = 0.1}, 0.4, 200.0, 70.0, 90.0},
        {{.kind = LW_GAUGE_PERCENT, .rule = LW_GAUGE_REACHED, .step = 0.1}, 0.4, 200.0, 80.0, 100.0},
        {{.kind = LW_GAUGE_PERCENT, .rule = LW_GAUGE_NEAREST, .step = 0.1}, 1.0, 200.0, 190.0, INF},
        {{.kind = LW_GAUGE_PERCENT, .rule = LW_GAUGE_NEAREST, .step = 0.1}, 0.0, 200.0, -INF, 10.0},
        {{.kind = LW_GAUGE_AMOUNT, .rule = LW_GAUGE_NEAREST, .step = 2.0}, 30.0, 100.0, 29.0, 31.0},
        {{.kind = LW_GAUGE_SCALE, .rule = LW_GAUGE_NEAREST, .step = 0.5}, 6.0, 9.0, 5.75, 6.25},
        {{.kind = LW_GAUGE_SCALE, .rule = LW_GAUGE_NEAREST, .step = 0.5}, 9.0, 9.0, 8.75, INF},
        {{.kind = LW_GAUGE_COUNT, .rule = LW_GAUGE_NEAREST, .step = 50.0}, 100.0, 200.0, 75.0, 125.0},
        /* no level: nothing is open */
        {{.kind = LW_GAUGE_VOLTS, .rule = LW_GAUGE_NEAREST, .step = 0.1}, 12.4, 100.0, 12.35, 12.45},
        {{.kind = LW_GAUGE_HOURS, .rule = LW_GAUGE_REACHED, .step = 0.1}, 412.3, 0.0, 412.3, 412.4},
        /* an eye, trusted to a quarter of the vessel, or as it says */
        {{.kind = LW_GAUGE_NONE, .rule = LW_GAUGE_NEAREST}, 50.0, 100.0, 37.5, 62.5},
        {{.kind = LW_GAUGE_NONE, .rule = LW_GAUGE_NEAREST, .step = 10.0}, 50.0, 100.0, 45.0, 55.0},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        double low, high;
        lw_gauge_says(&row[i].gauge, row[i].shown, row[i].capacity, &low, &high);
        near_or_same(low, row[i].low, i, "low");
        near_or_same(high, row[i].high, i, "high");
    }
}

static const lw_gauge EVERY[] = {
    {THIRDS},
    {THIRDS, .rule = LW_GAUGE_NEAREST},
    {.kind = LW_GAUGE_PROBES, .probe_count = 3, .probe_frac = {0.2, 0.5, 0.7}},
    {.kind = LW_GAUGE_PERCENT, .rule = LW_GAUGE_NEAREST, .step = 0.05},
    {.kind = LW_GAUGE_PERCENT, .rule = LW_GAUGE_REACHED, .step = 0.25},
    {.kind = LW_GAUGE_AMOUNT, .rule = LW_GAUGE_NEAREST, .step = 3.0},
    {.kind = LW_GAUGE_SCALE, .rule = LW_GAUGE_NEAREST, .step = 0.25},
    {.kind = LW_GAUGE_COUNT, .rule = LW_GAUGE_REACHED, .step = 49.2},
    {.kind = LW_GAUGE_VOLTS, .rule = LW_GAUGE_NEAREST, .step = 0.1},
    {.kind = LW_GAUGE_HOURS, .rule = LW_GAUGE_REACHED, .step = 0.1},
    {.kind = LW_GAUGE_NONE, .rule = LW_GAUGE_NEAREST},
};

/* The law that the learning stands on: a truthful gauge's interval holds the level that it was read at. */
static void the_interval_of_what_a_level_shows_holds_that_level(void **state)
{
    (void)state;
    for (size_t g = 0; g < COUNT_OF(EVERY); g++) {
        const double capacity = 147.6;
        for (int i = 0; i <= 1000; i++) {
            const double level = capacity * i / 1000.0;
            const double shown = lw_gauge_shows(&EVERY[g], level, capacity);
            double low, high, nearest;
            lw_gauge_says(&EVERY[g], shown, capacity, &low, &high);
            if (!(level >= low - 1e-9 && level < high + 1e-9 && low < high))
                fail_msg("gauge %zu shows %.9g at %.9g, which it says is in %.9g..%.9g", g, shown, level, low, high);
            if (!lw_gauge_can_show(&EVERY[g], shown, capacity, &nearest))
                fail_msg("gauge %zu cannot show %.9g, which it shows at %.9g", g, shown, level);
        }
    }
}

static void what_it_cannot_show_is_told_from_what_it_can(void **state)
{
    static const struct {
        lw_gauge gauge;
        double shown, capacity;
        int can;
        double nearest;
    } row[] = {
        {{THIRDS}, 0.4, 120.0, 0, 1.0 / 3.0},
        {{THIRDS}, 0.33, 120.0, 1, 1.0 / 3.0},
        {{THIRDS}, 0.65, 120.0, 0, 2.0 / 3.0},
        {{THIRDS}, 1.0, 120.0, 1, 1.0},
        {{THIRDS}, 0.9, 120.0, 0, 1.0},
        {{.kind = LW_GAUGE_PERCENT, .rule = LW_GAUGE_NEAREST, .step = 0.01}, 1.2, 120.0, 0, 1.0},
        {{.kind = LW_GAUGE_PERCENT, .rule = LW_GAUGE_NEAREST, .step = 0.1}, 0.45, 120.0, 1, 0.45},
        {{.kind = LW_GAUGE_SCALE, .rule = LW_GAUGE_NEAREST, .step = 0.5}, 10.0, 9.0, 0, 9.0},
        {{.kind = LW_GAUGE_SCALE, .rule = LW_GAUGE_NEAREST, .step = 0.5}, -1.0, 9.0, 0, 0.0},
        {{.kind = LW_GAUGE_HOURS, .rule = LW_GAUGE_REACHED, .step = 0.1}, 4123.0, 0.0, 1, 4123.0},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        double nearest;
        const int can = lw_gauge_can_show(&row[i].gauge, row[i].shown, row[i].capacity, &nearest);
        if (can != row[i].can)
            fail_msg("row %zu: %.3f %s", i, row[i].shown, can ? "is taken" : "is refused");
        CHECK_NEAR(nearest, row[i].nearest, 1e-9, "row %zu, nearest", i);
    }
}

static void a_light_that_changes_is_at_its_probe(void **state)
{
    static const lw_gauge REACHED = {THIRDS}, NEAREST = {THIRDS, .rule = LW_GAUGE_NEAREST};
    (void)state;
    CHECK_NEAR(lw_gauge_edge(&REACHED, 1.0 / 3.0, 1, 120.0), 80.0, 1e-9, "up from 1/3");
    CHECK_NEAR(lw_gauge_edge(&REACHED, 1.0 / 3.0, 0, 120.0), 40.0, 1e-9, "down from 1/3");
    CHECK_NEAR(lw_gauge_edge(&REACHED, 2.0 / 3.0, 1, 120.0), 0.97 * 120.0, 1e-9, "up from 2/3");
    CHECK_NEAR(lw_gauge_edge(&NEAREST, 0.0, 1, 120.0), 20.0, 1e-9, "up from empty, nearest");
    assert_true(isnan(lw_gauge_edge(&REACHED, 0.0, 0, 120.0)));
    assert_true(isnan(lw_gauge_edge(&REACHED, 1.0, 1, 120.0)));
}

static void nonsense_is_refused(void **state)
{
    static const struct {
        lw_gauge gauge;
        const char *field;
    } row[] = {
        {{.kind = LW_GAUGE_KIND_COUNT}, "kind"},
        {{THIRDS, .rule = (lw_gauge_rule)2}, "rule"},
        {{THIRDS, .lie_frac = 0.6}, "lie_frac"},
        {{THIRDS, .lie_frac = NAN}, "lie_frac"},
        {{.kind = LW_GAUGE_PROBES}, "probe_count"},
        {{.kind = LW_GAUGE_PROBES, .probe_count = 9}, "probe_count"},
        {{.kind = LW_GAUGE_PROBES, .probe_count = 2, .probe_frac = {0.6, 0.4}}, "probe_frac"},
        {{.kind = LW_GAUGE_PROBES, .probe_count = 1, .probe_frac = {1.0}}, "probe_frac"},
        {{.kind = LW_GAUGE_PROBES, .probe_count = 1, .probe_frac = {NAN}}, "probe_frac"},
        {{.kind = LW_GAUGE_PERCENT, .step = 0.0}, "step"},
        {{.kind = LW_GAUGE_PERCENT, .step = 0.6}, "step"},
        {{.kind = LW_GAUGE_VOLTS}, "step"},
        {{.kind = LW_GAUGE_NONE, .step = -1.0}, "step"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(EVERY); i++)
        assert_int_equal(lw_gauge_check(&EVERY[i], &(lw_fault){0}), LW_OK);
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_fault fault = {0};
        assert_int_equal(lw_gauge_check(&row[i].gauge, &fault), LW_E_RANGE);
        assert_string_equal(fault.field, row[i].field);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_shown_says_an_interval),
        cmocka_unit_test(the_interval_of_what_a_level_shows_holds_that_level),
        cmocka_unit_test(what_it_cannot_show_is_told_from_what_it_can),
        cmocka_unit_test(a_light_that_changes_is_at_its_probe),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
