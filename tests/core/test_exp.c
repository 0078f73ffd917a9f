/* Our exponential and logarithm against the C library's (glibc's are within one unit in the last place: its manual, "Known
 * Maximum Errors in Math Functions"), and one number against lanes of them, bit for bit. */
#include "tests/check.h"

#include "core/base/lanes.h"
#include "tests/core/camp.h"

enum { TRIALS = 200000 };

/* How far apart, in units in the last place of what is expected. */
static double ulps(double got, double want)
{
    const double next = nextafter(fabs(want), INFINITY) - fabs(want);
    return fabs(got - want) / next;
}

static void exponential_is_near_the_librarys(void **state)
{
    (void)state;
    uint64_t seed = 11;
    double worst = 0.0;
    for (int i = 0; i < TRIALS; i++) {
        const double x = i % 2 ? camp_between(&seed, -12.0, 2.0) : camp_between(&seed, -700.0, 700.0);
        worst = lw_most(worst, ulps(lw_exp(x), exp(x)));
    }
    assert_true(worst < 1.5);
    assert_true(lw_exp(0.0) >= 1.0 && lw_exp(0.0) <= 1.0);
    assert_true(lw_exp(-1e9) < 1e-300 && lw_exp(1e9) > 1e300 && !isinf(lw_exp(1e9)));
}

static void logarithm_is_near_the_librarys(void **state)
{
    (void)state;
    uint64_t seed = 12;
    double worst = 0.0;
    for (int i = 0; i < TRIALS; i++) {
        const double far = camp_between(&seed, -0.999999, 3.0), near = exp(camp_between(&seed, -40.0, -1.0));
        const double x = i % 3 == 0 ? far : i % 3 == 1 ? near : -near;
        worst = lw_most(worst, ulps(lw_log1p(x), log1p(x)));
    }
    assert_true(worst < 4.5);
    assert_true(lw_log1p(0.0) >= 0.0 && lw_log1p(0.0) <= 0.0);
}

static void lanes_agree_with_one(void **state)
{
    (void)state;
    uint64_t seed = 13;
    for (int i = 0; i < TRIALS / LW_LANES; i++) {
        double x[LW_LANES], e[LW_LANES], ln[LW_LANES];
        for (int l = 0; l < LW_LANES; l++)
            x[l] = camp_between(&seed, -0.9999, 2.0) * (l % 2 ? 1.0 : 1e-9);
        lw_vstore(e, lw_vexp(300.0 * lw_vload(x)));
        lw_vstore(ln, lw_vlog1p(lw_vload(x)));
        for (int l = 0; l < LW_LANES; l++) {
            const double one_e = lw_exp(300.0 * x[l]), one_ln = lw_log1p(x[l]);
            assert_memory_equal(&e[l], &one_e, sizeof one_e);
            assert_memory_equal(&ln[l], &one_ln, sizeof one_ln);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(exponential_is_near_the_librarys),
                                       cmocka_unit_test(logarithm_is_near_the_librarys),
                                       cmocka_unit_test(lanes_agree_with_one)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
