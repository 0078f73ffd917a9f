/* core/base/num.h: the lesser and the greater of two numbers, inline.
 *
 * fmin and fmax are calls for the sake of NaN; behind the checks there is none, and the hour loop asks a dozen times. */
#ifndef LW_CORE_BASE_NUM_H
#define LW_CORE_BASE_NUM_H

static inline double lw_least(double a, double b)
{
    return a < b ? a : b;
}

static inline double lw_most(double a, double b)
{
    return a > b ? a : b;
}

#endif
