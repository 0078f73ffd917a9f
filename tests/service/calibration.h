/* tests/service/calibration.h: chances that were told, held against many further draws. */
#ifndef LW_TESTS_SERVICE_CALIBRATION_H
#define LW_TESTS_SERVICE_CALIBRATION_H

#include <math.h>
#include <stdlib.h>

#include "tests/check.h"

typedef struct calibration {
    int cases, far; /* far: off by more than 1.5 points */
    double error_sum, variance_sum, far_expected;
} calibration;

static inline void calibration_add(calibration *c, double told, int told_draws, double true_frac, int true_draws)
{
    const double sd = sqrt(true_frac * (1.0 - true_frac) * (1.0 / told_draws + 1.0 / true_draws));
    c->cases++;
    c->error_sum += told - true_frac;
    c->variance_sum += sd * sd;
    c->far += fabs(told - true_frac) > 0.015;
    c->far_expected += sd > 0.0 ? erfc(0.015 / sd / sqrt(2.0)) : 0.0; /* both tails of the normal */
    if (getenv("LEEWAY_SOAK"))                                        /* hours pass: what is there so far */
        print_message("  %d: told %.4f, %.4f of further draws\n", c->cases, told, true_frac);
}

/* The bar: mean signed error at most half a point, and no more cases beyond 1.5 points than binomial chance gives: with its own
 * scatter, three standard deviations and one. Few cases of few draws are given their own three standard deviations. */
static inline void calibration_want(const calibration *c, int is_full, const char *what)
{
    const double error_most = 0.005 + (is_full ? 0.0 : 3.0 * sqrt(c->variance_sum) / c->cases);
    const double far_most = c->far_expected + 3.0 * sqrt(c->far_expected) + 1.0;
    print_message("%s: %d cases, mean signed error %.2f points, %d beyond 1.5 points (by chance %.1f)\n", what,
                  c->cases, 100.0 * c->error_sum / c->cases, c->far, c->far_expected);
    if (!(fabs(c->error_sum / c->cases) <= error_most) || !(c->far <= far_most))
        fail_msg("%s: mean signed error %.4f, %d of %d cases beyond 1.5 points, by chance %.2f", what,
                 c->error_sum / c->cases, c->far, c->cases, c->far_expected);
}

#endif
