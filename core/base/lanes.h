/* core/base/lanes.h: several numbers at once, by the vector extensions of GCC and Clang.
 *
 * Computes  arithmetic and choices on LW_LANES numbers side by side, each exactly as alone: no operation mixes lanes or
 *           rounds otherwise than one number's. Where the machine has no such registers the compiler takes lanes one by one.
 *           LW_LANES: 8, or 4 where that is set ahead of the first include.
 * Inputs    lw_v: numbers; lw_m: masks, all bits of a lane or none (and integers). Operators + - * / & | ~ work on them.
 * Limits    for code inside one file: compilers differ in how such arguments are passed. */
#ifndef LW_CORE_BASE_LANES_H
#define LW_CORE_BASE_LANES_H

#include <math.h>
#include <stdint.h>

#include "core/base/exp.h"

#ifndef LW_LANES
#define LW_LANES 8
#endif
/* Whether the lanes fill the registers there are; which those are a file chooses by a pragma ahead of its includes. */
#if defined(__AVX512F__) && LW_LANES == 8
#define LW_LANES_V4 1
#else
#define LW_LANES_V4 0
#endif
#if defined(__AVX2__) && LW_LANES == 4
#define LW_LANES_V3 1
#else
#define LW_LANES_V3 0
#endif
#if LW_LANES_V4 || LW_LANES_V3
#include <immintrin.h>
#endif

typedef double lw_v __attribute__((vector_size(8 * LW_LANES)));
typedef int64_t lw_m __attribute__((vector_size(8 * LW_LANES)));
typedef uint64_t lw_bits __attribute__((vector_size(8 * LW_LANES)));
typedef float lw_vf __attribute__((vector_size(4 * LW_LANES)));
typedef double lw_v_at __attribute__((vector_size(8 * LW_LANES), may_alias, aligned(8)));
typedef int64_t lw_m_at __attribute__((vector_size(8 * LW_LANES), may_alias, aligned(8)));

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
#if LW_LANES == 4
    return (lw_v){x, x, x, x};
#else
    return (lw_v){x, x, x, x, x, x, x, x};
#endif
}

LW_LANED lw_m lw_mall(int is)
{
    const int64_t x = is ? -1 : 0;
#if LW_LANES == 4
    return (lw_m){x, x, x, x};
#else
    return (lw_m){x, x, x, x, x, x, x, x};
#endif
}

/* One lane alone. */
LW_LANED lw_m lw_mlane(int lane)
{
    lw_m is = lw_mall(0);
    is[lane] = -1;
    return is;
}

LW_LANED lw_v lw_choose(lw_m is, lw_v yes, lw_v no)
{
#if LW_LANES_V3
    return (lw_v)_mm256_blendv_pd((__m256d)no, (__m256d)yes, (__m256d)is);
#else
    return (lw_v)((is & (lw_m)yes) | (~is & (lw_m)no));
#endif
}

/* x where the mask holds, else +0. */
LW_LANED lw_v lw_where(lw_m is, lw_v x)
{
    return (lw_v)(is & (lw_m)x);
}

/* Stores x where the mask holds; the other lanes stay as they are. */
LW_LANED void lw_vkeep(double *at, lw_m of, lw_v x)
{
#if LW_LANES_V4
    _mm512_mask_storeu_pd(at, _mm512_movepi64_mask((__m512i)of), (__m512d)x);
#else
    lw_vstore(at, lw_choose(of, x, lw_vload(at)));
#endif
}

/* a < b ? a : b, and with >: just what the machine's own instructions give, of zeros and of what is no number too. */
LW_LANED lw_v lw_vleast(lw_v a, lw_v b)
{
#if LW_LANES_V4
    return (lw_v)_mm512_min_pd((__m512d)a, (__m512d)b);
#elif LW_LANES_V3
    return (lw_v)_mm256_min_pd((__m256d)a, (__m256d)b);
#else
    return lw_choose((lw_m)(a < b), a, b);
#endif
}

LW_LANED lw_v lw_vmost(lw_v a, lw_v b)
{
#if LW_LANES_V4
    return (lw_v)_mm512_max_pd((__m512d)a, (__m512d)b);
#elif LW_LANES_V3
    return (lw_v)_mm256_max_pd((__m256d)a, (__m256d)b);
#else
    return lw_choose((lw_m)(a > b), a, b);
#endif
}

LW_LANED int lw_any(lw_m is)
{
#if LW_LANES_V4
    return _mm512_test_epi64_mask((__m512i)is, (__m512i)is) != 0;
#elif LW_LANES_V3
    return !_mm256_testz_si256((__m256i)is, (__m256i)is);
#else
    int64_t all = 0;
    for (int l = 0; l < LW_LANES; l++)
        all |= is[l];
    return all != 0;
#endif
}

LW_LANED lw_v lw_vsqrt(lw_v x)
{
#if LW_LANES_V3
    return (lw_v)_mm256_sqrt_pd((__m256d)x);
#else
    lw_v root = {0};
    for (int l = 0; l < LW_LANES; l++)
        root[l] = sqrt(x[l]);
    return root;
#endif
}

/* The whole part of numbers that are not negative and below 2^31. */
LW_LANED lw_m lw_whole(lw_v x)
{
#if LW_LANES_V3
    return (lw_m)_mm256_cvtepi32_epi64(_mm256_cvttpd_epi32((__m256d)x));
#else
    return __builtin_convertvector(x, lw_m);
#endif
}

/* Whole numbers below 256 as a byte each. */
LW_LANED void lw_vbytes(lw_m i, uint8_t *to)
{
#if LW_LANES_V4
    _mm_storel_epi64((__m128i *)(void *)to, _mm512_cvtepi64_epi8((__m512i)i));
#else
    for (int l = 0; l < LW_LANES; l++)
        to[l] = (uint8_t)i[l];
#endif
}

/* Whole numbers below 2^51 as they are. */
LW_LANED lw_v lw_number(lw_m i)
{
#if LW_LANES_V3
    return (lw_v)(i + INT64_C(0x4338000000000000)) -
           LW_EXP_ROUND; /* there is no instruction for it: bits of 1.5 * 2^52 */
#else
    return __builtin_convertvector(i, lw_v);
#endif
}

/* lw_exp of each. */
LW_LANED lw_v lw_vexp(lw_v x)
{
    const lw_v held = lw_vleast(lw_vmost(x, lw_all(LW_EXP_LEAST)), lw_all(LW_EXP_MOST));
    const lw_v rounded = held * LW_EXP_PER_LN2 + LW_EXP_ROUND, n = rounded - LW_EXP_ROUND;
    const lw_v r = held - n * LW_EXP_LN2_HIGH - n * LW_EXP_LN2_LOW, r2 = r * r, r4 = r2 * r2, r8 = r4 * r4;
    const lw_v part = 1.0 + (r + r2 * LW_EXP_SERIES(r, r2, r4, r8));
    return part * (lw_v)(((lw_bits)rounded + 1023) << 52); /* the lowest bits of `rounded` are those of n */
}

/* lw_log1p of each. */
LW_LANED lw_v lw_vlog1p(lw_v x)
{
    const lw_v u = 1.0 + x;
    const lw_bits bits = (lw_bits)u;
    /* Moved up by 1024 meanwhile: none is negative. */
    const lw_m exponent = (lw_m)((bits - LW_LOG_ROOT_HALF + (UINT64_C(1024) << 52)) >> 52) - 1024;
    const lw_bits rest = bits - ((lw_bits)exponent << 52);
    const lw_v m = (lw_v)rest, t = (m - 1.0) / (m + 1.0), n = lw_number(exponent);
    const lw_v z = t * t, z2 = z * z, z4 = z2 * z2, z8 = z4 * z4;
    const lw_v ln = n * LW_EXP_LN2_HIGH + (LW_LOG_SERIES(t, z, z2, z4, z8) + n * LW_EXP_LN2_LOW), over = u - 1.0;
    return lw_choose((lw_m)(over < 0.0) | (lw_m)(over > 0.0), ln * (x / over), x);
}

/* Of a table of 17 to 31: at the lane's index and at the next. */
LW_LANED void lw_vpick_pair(const float *table, int count, lw_m index, lw_vf *low, lw_vf *high)
{
#if LW_LANES_V4
    const __m512 first = _mm512_loadu_ps(table);
    const __m512 rest = _mm512_maskz_loadu_ps((__mmask16)((1u << (count - 16)) - 1u), table + 16);
    const __m256i at = _mm512_cvtepi64_epi32((__m512i)index);
    const __m512i both = _mm512_inserti64x4(_mm512_castsi256_si512(at), _mm256_add_epi32(at, _mm256_set1_epi32(1)), 1);
    const __m512 found = _mm512_permutex2var_ps(first, both, rest);
    *low = (lw_vf)_mm512_castps512_ps256(found);
    *high = (lw_vf)_mm256_castpd_ps(_mm512_extractf64x4_pd(_mm512_castps_pd(found), 1));
#else
    (void)count;
    for (int l = 0; l < LW_LANES; l++)
        (*low)[l] = table[index[l]], (*high)[l] = table[index[l] + 1];
#endif
}

/* Of a table of at most 16, by the lane's index. */
LW_LANED lw_v lw_vpick(const double *table, int count, lw_m index)
{
#if LW_LANES_V4
    const __m512d low = _mm512_loadu_pd(table);
    const __m512d high = _mm512_maskz_loadu_pd((__mmask8)((1u << (count - 8)) - 1u), table + 8);
    return (lw_v)_mm512_permutex2var_pd(low, (__m512i)index, high);
#else
    lw_v x = {0};
    (void)count;
    for (int l = 0; l < LW_LANES; l++)
        x[l] = table[index[l]];
    return x;
#endif
}

#endif
