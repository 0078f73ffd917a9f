/* core/base/lanes.h: several numbers at once, by the vector extensions of GCC and Clang.
 *
 * Computes  arithmetic and choices on LW_LANES numbers side by side, each exactly as alone: no operation mixes lanes or
 *           rounds otherwise than one number's. Where the machine has no such registers the compiler takes lanes one by one.
 * Inputs    lw_v: numbers; lw_m: masks, all bits of a lane or none (and integers). Operators + - * / & | ~ work on them.
 * Limits    for code inside one file: compilers differ in how such arguments are passed. */
#ifndef LW_CORE_BASE_LANES_H
#define LW_CORE_BASE_LANES_H

#include <math.h>
#include <stdint.h>
#ifdef __AVX512F__
#include <immintrin.h>
#endif

enum { LW_LANES = 8 };

typedef double lw_v __attribute__((vector_size(64)));
typedef int64_t lw_m __attribute__((vector_size(64)));
typedef double lw_v_at __attribute__((vector_size(64), may_alias, aligned(8)));
typedef int64_t lw_m_at __attribute__((vector_size(64), may_alias, aligned(8)));

#define LW_LANED static inline __attribute__((always_inline))

LW_LANED lw_v lw_vload(const double *at)
{
    return *(const lw_v_at *)at;
}

LW_LANED void lw_vstore(double *at, lw_v x)
{
    *(lw_v_at *)at = x;
}

LW_LANED lw_m lw_mload(const int64_t *at)
{
    return *(const lw_m_at *)at;
}

LW_LANED void lw_mstore(int64_t *at, lw_m x)
{
    *(lw_m_at *)at = x;
}

LW_LANED lw_v lw_all(double x)
{
    return (lw_v){x, x, x, x, x, x, x, x};
}

LW_LANED lw_m lw_mall(int is)
{
    const int64_t x = is ? -1 : 0;
    return (lw_m){x, x, x, x, x, x, x, x};
}

LW_LANED lw_v lw_choose(lw_m is, lw_v yes, lw_v no)
{
    return (lw_v)((is & (lw_m)yes) | (~is & (lw_m)no));
}

/* x where the mask holds, else +0. */
LW_LANED lw_v lw_where(lw_m is, lw_v x)
{
    return (lw_v)(is & (lw_m)x);
}

LW_LANED lw_v lw_vleast(lw_v a, lw_v b)
{
    return lw_choose((lw_m)(a < b), a, b);
}

LW_LANED lw_v lw_vmost(lw_v a, lw_v b)
{
    return lw_choose((lw_m)(a > b), a, b);
}

LW_LANED int lw_any(lw_m is)
{
#ifdef __AVX512F__
    return _mm512_test_epi64_mask((__m512i)is, (__m512i)is) != 0;
#else
    int64_t all = 0;
    for (int l = 0; l < LW_LANES; l++)
        all |= is[l];
    return all != 0;
#endif
}

LW_LANED lw_v lw_vsqrt(lw_v x)
{
    lw_v root;
    for (int l = 0; l < LW_LANES; l++)
        root[l] = sqrt(x[l]);
    return root;
}

/* Of a table of at most 16, by the lane's index. */
LW_LANED lw_v lw_vpick(const double *table, int count, lw_m index)
{
#ifdef __AVX512F__
    const __m512d low = _mm512_loadu_pd(table);
    const __m512d high = _mm512_maskz_loadu_pd((__mmask8)((1u << (count - 8)) - 1u), table + 8);
    return (lw_v)_mm512_permutex2var_pd(low, (__m512i)index, high);
#else
    lw_v x;
    (void)count;
    for (int l = 0; l < LW_LANES; l++)
        x[l] = table[index[l]];
    return x;
#endif
}

#endif
