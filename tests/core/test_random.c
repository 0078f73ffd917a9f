#include "core/base/random.h"

#include <string.h>

#include "tests/check.h"

static void philox_gives_the_published_known_answers(void **state)
{
    /* Known-answer vectors of the Random123 library (kat_vectors, philox4x32, 10 rounds). */
    static const struct {
        uint32_t counter[4], key[2], want[4];
    } row[] = {
        {{0, 0, 0, 0}, {0, 0}, {0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}},
        {{0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff},
         {0xffffffff, 0xffffffff},
         {0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}},
        {{0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344},
         {0xa4093822, 0x299f31d0},
         {0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_random_words counter;
        memcpy(counter.word, row[i].counter, sizeof counter.word);
        const lw_random_words got = lw_philox(counter, row[i].key[0], row[i].key[1]);
        for (int k = 0; k < 4; k++)
            if (got.word[k] != row[i].want[k])
                fail_msg("row %zu word %d: %08x, want %08x", i, k, got.word[k], row[i].want[k]);
    }
}

static void another_seed_draw_stream_or_index_gives_other_words(void **state)
{
    (void)state;
    const lw_random_key key = {0x123456789abcdef0u, 7};
    const lw_random_words first = lw_random_block(&key, 3, 20000);
    const lw_random_words other[] = {
        lw_random_block(&(lw_random_key){key.seed + 1, 7}, 3, 20000),
        lw_random_block(&(lw_random_key){key.seed + (1ull << 40), 7}, 3, 20000),
        lw_random_block(&(lw_random_key){key.seed, 8}, 3, 20000),
        lw_random_block(&key, 4, 20000),
        lw_random_block(&key, 3, 20001),
        lw_random_block(&key, 3, 20000 + (1ll << 40)),
    };
    const lw_random_words again = lw_random_block(&key, 3, 20000);
    assert_memory_equal(&first, &again, sizeof first);
    for (size_t i = 0; i < COUNT_OF(other); i++)
        assert_memory_not_equal(&first, &other[i], sizeof first);
}

static void a_unit_lies_strictly_between_0_and_1(void **state)
{
    (void)state;
    assert_true(lw_random_unit(0) > 0.0);
    assert_true(lw_random_unit(UINT32_MAX) < 1.0);
    CHECK_NEAR(lw_random_unit(UINT32_MAX) + lw_random_unit(0), 1.0, 1e-15, "as near to 1 as to 0");
    double sum = 0.0, squares = 0.0;
    enum { N = 40000 };
    for (int i = 0; i < N; i++) {
        const double x = lw_random_unit(lw_random_block(&(lw_random_key){1, 0}, 0, i).word[i % 4]) - 0.5;
        sum += x;
        squares += x * x;
    }
    CHECK_NEAR(sum / N, 0.0, 4.0 * sqrt(1.0 / 12.0 / N), "mean, within four standard errors");
    CHECK_NEAR(squares / N, 1.0 / 12.0, 4.0 * sqrt(1.0 / 180.0 / N), "variance");
}

static void normal_deviates_are_those_of_the_tables(void **state)
{
    /* AS 241 prints two check values; 1.959964 and the others are in every table of the normal distribution. */
    static const struct {
        double p, want;
    } row[] = {{0.25, -0.6744897501960817}, {0.001, -3.090232306167814}, {1e-20, -9.262340089798408}, {0.5, 0.0},
               {0.975, 1.959963984540054},  {0.999999713348428, 5.0},    {0.9, 1.2815515655446004}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(lw_random_normal(row[i].p), row[i].want, 1e-9 + 1e-9 * fabs(row[i].want), "p = %g", row[i].p);
    assert_true(isnan(lw_random_normal(-1.0)));
    assert_true(isnan(lw_random_normal((double)NAN)));
}

static void the_inverse_undoes_the_distribution(void **state)
{
    (void)state;
    for (double x = -6.0; x <= 6.0; x += 0.01) {
        CHECK_NEAR(lw_normal_frac(x), 0.5 * erfc(-x / sqrt(2.0)), 7.6e-8, "26.2.17 at %g", x);
        if (fabs(x) < 3.0)
            CHECK_NEAR(lw_random_normal(0.5 * erfc(-x / sqrt(2.0))), x, 1e-12, "x = %g", x);
    }
}

static void eight_normals_at_once_are_those_of_one(void **state)
{
    (void)state;
    for (uint32_t i = 0; i < 4000; i++) {
        const lw_random_key key = {.seed = 7, .draw = i};
        const lw_random_words a = lw_random_block(&key, 1, 0), b = lw_random_block(&key, 1, 1);
        /* The last two lie in the far tails. */
        const uint32_t word[8] = {a.word[0], a.word[1], a.word[2], a.word[3], b.word[0], b.word[1], i, UINT32_MAX - i};
        double deviate[8];
        lw_random_normals(word, deviate);
        for (int l = 0; l < 8; l++) {
            const double one = lw_random_normal(lw_random_unit(word[l]));
            if (memcmp(&one, &deviate[l], sizeof one) != 0)
                fail_msg("word %u: %.17g among eight, %.17g alone", (unsigned)word[l], deviate[l], one);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(philox_gives_the_published_known_answers),
        cmocka_unit_test(another_seed_draw_stream_or_index_gives_other_words),
        cmocka_unit_test(a_unit_lies_strictly_between_0_and_1),
        cmocka_unit_test(normal_deviates_are_those_of_the_tables),
        cmocka_unit_test(the_inverse_undoes_the_distribution),
        cmocka_unit_test(eight_normals_at_once_are_those_of_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
