#include "core/sky/cloud.h"
#include "tests/check.h"

static void cover_lets_through_what_hamburg_saw(void **state)
{
    /* Kasten and Czeplak 1980, equation 4: 1 - 0.75 n^3.4 with n = okta / 8; values by hand, four digits. */
    static const struct {
        double cover_frac, want;
    } row[] = {{0.0, 1.0}, {0.25, 0.9933}, {0.5, 0.9290}, {0.75, 0.7180}, {0.875, 0.5237}, {1.0, 0.25}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(lw_cloud_clear_frac(row[i].cover_frac), row[i].want, 0.00006, "cover %g", row[i].cover_frac);
}

static void more_cloud_never_lets_more_through(void **state)
{
    (void)state;
    for (int i = 1; i <= 100; i++)
        assert_true(lw_cloud_clear_frac(i / 100.0) < lw_cloud_clear_frac((i - 1) / 100.0));
}

static void what_is_no_share_is_refused(void **state)
{
    static const double bad[] = {-0.01, 1.01, (double)NAN, (double)INFINITY};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(bad); i++) {
        lw_fault fault = {0};
        assert_int_equal(lw_cloud_check(bad[i], &fault), LW_E_RANGE);
        assert_string_equal(fault.field, "cover_frac");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cover_lets_through_what_hamburg_saw),
        cmocka_unit_test(more_cloud_never_lets_more_through),
        cmocka_unit_test(what_is_no_share_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
