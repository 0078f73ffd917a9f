/* core/base/exp.h: exponential and logarithm where they are asked of eight numbers at once, or have to agree with that bit for bit.
 *
 * Computes  lw_exp: e^x from e^(n ln 2) e^r, |r| <= ln 2 / 2, the latter by its series to r^13 (what is left out is below 1e-17).
 *           lw_log1p: ln(1 + x) from the exponent of u = 1 + x and the series of artanh to its 21st power; times x / (u - 1),
 *           which takes the rounding of u out again. The same text for one number and for the lanes of core/base/lanes.h
 *           (lw_vexp, lw_vlog1p); no table, no call.
 * Inputs    any number, held to -708..709, where a double neither underflows nor overflows; x above -1, finite.
 * Results   within 1 and 4 units in the last place of the C library's (tests/core/test_exp.c).
 * Source    Cody and Waite, Software Manual for the Elementary Functions, 1980: ln 2 in two parts. The correction of ln(1 + x):
 *           Hewlett-Packard, HP-15C Advanced Functions Handbook, 1982, from memory. */
#ifndef LW_CORE_BASE_EXP_H
#define LW_CORE_BASE_EXP_H

#include <stdint.h>
#include <string.h>

#include "core/base/num.h"

#define LW_EXP_LEAST    (-708.0)
#define LW_EXP_MOST     709.0
#define LW_EXP_PER_LN2  1.4426950408889634 /* 1 / ln 2 */
#define LW_EXP_LN2_HIGH 0x1.62e42fee00000p-1
#define LW_EXP_LN2_LOW  0x1.a39ef35793c76p-33
#define LW_EXP_ROUND    0x1.8p52 /* added and taken away: what is left is whole */

/* (e^r - 1 - r) / r^2 from r, r^2, r^4 and r^8: sums side by side, so that none waits long for another. */
#define LW_EXP_SERIES(r, r2, r4, r8)                                                                                   \
    (((1.0 / 2.0 + (r) * (1.0 / 6.0)) + (1.0 / 24.0 + (r) * (1.0 / 120.0)) * (r2)) +                                   \
     ((1.0 / 720.0 + (r) * (1.0 / 5040.0)) + (1.0 / 40320.0 + (r) * (1.0 / 362880.0)) * (r2)) * (r4) +                 \
     ((1.0 / 3628800.0 + (r) * (1.0 / 39916800.0)) + (1.0 / 479001600.0 + (r) * (1.0 / 6227020800.0)) * (r2)) * (r8))

static inline double lw_exp(double x)
{
    const double held = lw_least(lw_most(x, LW_EXP_LEAST), LW_EXP_MOST);
    const double rounded = held * LW_EXP_PER_LN2 + LW_EXP_ROUND, n = rounded - LW_EXP_ROUND;
    const double r = held - n * LW_EXP_LN2_HIGH - n * LW_EXP_LN2_LOW, r2 = r * r, r4 = r2 * r2, r8 = r4 * r4;
    const double part = 1.0 + (r + r2 * LW_EXP_SERIES(r, r2, r4, r8));
    const uint64_t bits = (uint64_t)((int64_t)n + 1023) << 52;
    double whole;
    memcpy(&whole, &bits, sizeof whole);
    return part * whole;
}

#define LW_LOG_ROOT_HALF UINT64_C(0x3fe6a09e667f3bcd) /* bits of the root of a half */

/* ln m from t = (m - 1) / (m + 1) and powers of z = t t: side by side too. */
#define LW_LOG_SERIES(t, z, z2, z4, z8)                                                                                \
    ((t) * (((2.0 + (z) * (2.0 / 3.0)) + (2.0 / 5.0 + (z) * (2.0 / 7.0)) * (z2)) +                                     \
            ((2.0 / 9.0 + (z) * (2.0 / 11.0)) + (2.0 / 13.0 + (z) * (2.0 / 15.0)) * (z2)) * (z4) +                     \
            ((2.0 / 17.0 + (z) * (2.0 / 19.0)) + (2.0 / 21.0) * (z2)) * (z8)))

static inline double lw_log1p(double x)
{
    const double u = 1.0 + x;
    uint64_t bits;
    double m;
    memcpy(&bits, &u, sizeof bits);
    const int64_t exponent = (int64_t)(bits - LW_LOG_ROOT_HALF) >> 52;
    const uint64_t rest = bits - ((uint64_t)exponent << 52);
    memcpy(&m, &rest, sizeof m);
    const double t = (m - 1.0) / (m + 1.0), z = t * t, z2 = z * z, z4 = z2 * z2, z8 = z4 * z4, n = (double)exponent;
    const double ln = n * LW_EXP_LN2_HIGH + (LW_LOG_SERIES(t, z, z2, z4, z8) + n * LW_EXP_LN2_LOW), over = u - 1.0;
    return over < 0.0 || over > 0.0 ? ln * (x / over) : x;
}

#endif
