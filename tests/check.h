/* tests/check.h: what every test program shares: comparisons that print what came and what was wanted. */
#ifndef LW_TESTS_CHECK_H
#define LW_TESTS_CHECK_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>
#include <math.h>

/* Written so that NaN fails. */
#define CHECK_NEAR(got, want, tolerance, ...)                                                                          \
    do {                                                                                                               \
        const double got_ = (got), want_ = (want), tolerance_ = (tolerance);                                           \
        if (!(fabs(got_ - want_) <= tolerance_)) {                                                                     \
            char which_[160];                                                                                          \
            snprintf(which_, sizeof which_, __VA_ARGS__);                                                              \
            fail_msg("%s: got %.12g, want %.12g within %.3g", which_, got_, want_, tolerance_);                        \
        }                                                                                                              \
    } while (0)

#define COUNT_OF(table) (sizeof(table) / sizeof((table)[0]))

#endif
