/* core/base/num.h: the lesser and the greater of two numbers, inline.
 *
 * fmin and fmax are calls for the sake of NaN; behind the checks there is none, and the hour loop asks three dozen times.
 * Where either is NaN, or both are zero, the result is b, on every machine. */
#ifndef LW_CORE_BASE_NUM_H
#define LW_CORE_BASE_NUM_H

/* One instruction each that x86-64 has just for these two. gcc does not take it, since it may not assume what NaN does
 * here, and writes a branch, or a pair of masks, instead: a fortieth of an outlook. */
#if defined(__GNUC__) && !defined(__clang__) && defined(__SSE2__)
static inline double lw_least(double a, double b)
{
    __asm__("minsd %1, %0" : "+x"(a) : "xm"(b));
    return a;
}

static inline double lw_most(double a, double b)
{
    __asm__("maxsd %1, %0" : "+x"(a) : "xm"(b));
    return a;
}
#else
static inline double lw_least(double a, double b)
{
    return a < b ? a : b;
}

static inline double lw_most(double a, double b)
{
    return a > b ? a : b;
}
#endif

#endif
