/* core/base/random.h: random numbers by counter: any number of any draw at once, without a state.
 *
 * Computes  lw_random_block: the four words that belong to (seed, draw, stream, index), by Philox 4x32-10;
 *           lw_random_unit: a word as a number evenly spread over 0 < x < 1; lw_random_normal: such a number as a normal
 *           deviate, by the inverse of the distribution; lw_normal_frac: the distribution itself.
 * Inputs    seed of the run, draw of the ensemble, stream (which quantity), index (civil day, hour): never a step, so that the
 *           same seed gives the same numbers for any step and number of threads.
 * Errors    none: all are total. lw_random_normal wants 0 < p < 1 and is NaN outside.
 * Source    J. K. Salmon, M. A. Moraes, R. O. Dror, D. E. Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC11 (2011);
 *           M. J. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988), relative error 1e-16; M. Abramowitz,
 *           I. A. Stegun, Handbook of Mathematical Functions (1964), 26.2.17, absolute error 7.5e-8.
 * Limits    a unit has 32 bits: the furthest normal deviate is 6.3. */
#ifndef LW_CORE_BASE_RANDOM_H
#define LW_CORE_BASE_RANDOM_H

#include <stdint.h>

typedef struct lw_random_key {
    uint64_t seed;
    uint32_t draw;
} lw_random_key;

typedef struct lw_random_words {
    uint32_t word[4];
} lw_random_words;

/* Philox 4x32-10 as published: counter and key to four words. */
lw_random_words lw_philox(lw_random_words counter, uint32_t key0, uint32_t key1);

lw_random_words lw_random_block(const lw_random_key *key, uint32_t stream, int64_t index);

static inline double lw_random_unit(uint32_t word)
{
    return ((double)word + 0.5) * 0x1p-32;
}

double lw_random_normal(double p);
/* Of eight words at once, each just what lw_random_normal gives for its unit. */
void lw_random_normals(const uint32_t word[8], double deviate[8]);
double lw_normal_frac(double deviate);

#endif
