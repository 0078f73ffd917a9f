#include "core/base/random.h"

#include <math.h>

#include "core/base/lanes.h"

/* Multipliers and key steps of Philox 4x32 (Salmon et al. 2011). */
static const uint32_t M0 = 0xD2511F53u, M1 = 0xCD9E8D57u, STEP0 = 0x9E3779B9u, STEP1 = 0xBB67AE85u;
enum { ROUNDS = 10 };

lw_random_words lw_philox(lw_random_words counter, uint32_t key0, uint32_t key1)
{
    uint32_t *c = counter.word;
    for (int round = 0; round < ROUNDS; round++) {
        const uint64_t a = (uint64_t)M0 * c[0], b = (uint64_t)M1 * c[2];
        const uint32_t c1 = c[1], c3 = c[3];
        c[0] = (uint32_t)(b >> 32) ^ c1 ^ key0;
        c[1] = (uint32_t)b;
        c[2] = (uint32_t)(a >> 32) ^ c3 ^ key1;
        c[3] = (uint32_t)a;
        key0 += STEP0;
        key1 += STEP1;
    }
    return counter;
}

lw_random_words lw_random_block(const lw_random_key *key, uint32_t stream, int64_t index)
{
    const uint64_t at = (uint64_t)index;
    const lw_random_words counter = {{(uint32_t)at, (uint32_t)(at >> 32), stream, key->draw}};
    return lw_philox(counter, (uint32_t)key->seed, (uint32_t)(key->seed >> 32));
}

static double ratio(double x, const double top[8], const double bottom[8])
{
    double a = top[7], b = bottom[7];
    for (int i = 6; i >= 0; i--)
        a = a * x + top[i], b = b * x + bottom[i];
    return a / b;
}

/* AS 241, PPND16: the middle, the shoulders, the tails. */
static const double MIDDLE = 0.425, MIDDLE_SQUARE = 0.180625;
static const double A[8] = {3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3,
                            1.3731693765509461125e4, 4.5921953931549871457e4, 6.7265770927008700853e4,
                            3.3430575583588128105e4, 2.5090809287301226727e3};
static const double B[8] = {1.0,
                            4.2313330701600911252e1,
                            6.8718700749205790830e2,
                            5.3941960214247511077e3,
                            2.1213794301586595867e4,
                            3.9307895800092710610e4,
                            2.8729085735721942674e4,
                            5.2264952788528545610e3};
static const double C[8] = {1.42343711074968357734e0,  4.63033784615654529590e0, 5.76949722146069140550e0,
                            3.64784832476320460504e0,  1.27045825245236838258e0, 2.41780725177450611770e-1,
                            2.27238449892691845833e-2, 7.74545014278341407640e-4};
static const double D[8] = {1.0,
                            2.05319162663775882187e0,
                            1.67638483018380384940e0,
                            6.89767334985100004550e-1,
                            1.48103976427480074590e-1,
                            1.51986665636164571966e-2,
                            5.47593808499534494600e-4,
                            1.05075007164441684324e-9};
static const double E[8] = {6.65790464350110377720e0,  5.46378491116411436990e0,  1.78482653991729133580e0,
                            2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3,
                            2.71155556874348757815e-5, 2.01033439929228813265e-7};
static const double F[8] = {1.0,
                            5.99832206555887937690e-1,
                            1.36929880922735805310e-1,
                            1.48753612908506148525e-2,
                            7.86869131145613259100e-4,
                            1.84631831751005468180e-5,
                            1.42151175831644588870e-7,
                            2.04426310338993978564e-15};

static double outer_normal(double p, double q)
{
    const double r = sqrt(-log(q < 0.0 ? p : 1.0 - p));
    const double deviate = r <= 5.0 ? ratio(r - 1.6, C, D) : ratio(r - 5.0, E, F);
    return q < 0.0 ? -deviate : deviate;
}

double lw_random_normal(double p)
{
    const double q = p - 0.5;
    return fabs(q) <= MIDDLE ? q * ratio(MIDDLE_SQUARE - q * q, A, B) : outer_normal(p, q);
}

void lw_random_normals(const uint32_t word[8], double deviate[8])
{
    double p[LW_LANES];
    for (int l = 0; l < LW_LANES; l++)
        p[l] = lw_random_unit(word[l]);
    const lw_v q = lw_vload(p) - 0.5, x = MIDDLE_SQUARE - q * q;
    lw_v a = lw_all(A[7]), b = lw_all(B[7]);
    for (int i = 6; i >= 0; i--)
        a = a * x + A[i], b = b * x + B[i];
    lw_vstore(deviate, q * (a / b));
    for (int l = 0; l < LW_LANES; l++)
        if (!(fabs(q[l]) <= MIDDLE))
            deviate[l] = outer_normal(p[l], q[l]);
}

double lw_normal_frac(double deviate)
{
    const double x = fabs(deviate), t = 1.0 / (1.0 + 0.2316419 * x);
    const double tail = 0.3989422804014327 * exp(-0.5 * x * x) * t *
                        (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
    return deviate < 0.0 ? tail : 1.0 - tail;
}
