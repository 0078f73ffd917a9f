/* Codes are good once, wrong ones cost time; a token's hash is SHA-256. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "httpd/pairing.h"
#include "tests/check.h"

static lw_code try(lw_pairing *p, const char *code, int64_t now_s, int *is_new)
{
    lw_err err = {0};
    return lw_pairing_try(p, code, now_s, is_new, &err);
}

static lw_pairing begin(void)
{
    lw_pairing p;
    lw_err err = {0};
    assert_int_equal(lw_pairing_begin(&p, &err), LW_OK);
    assert_int_equal(strspn(p.code, "0123456789"), 6);
    return p;
}

static void a_code_is_good_once(void **state)
{
    (void)state;
    lw_pairing p = begin();
    char code[LW_PAIRING_CODE];
    int is_new;
    memcpy(code, p.code, sizeof code);
    assert_int_equal(try(&p, code, 0, &is_new), LW_OK);
    assert_true(is_new);
    if (strcmp(code, p.code) != 0) /* one time in a million it is drawn again */
        assert_int_equal(try(&p, code, 0, &is_new), LW_E_CONFLICT);
}

static void wrong_codes_cost_a_new_one_and_ever_longer_waits(void **state)
{
    (void)state;
    static const int64_t WAIT_S[] = {60, 120, 240, 480, 960, 1920, 3600, 3600};
    lw_pairing p = begin();
    int64_t now_s = 1000;
    int is_new;
    for (size_t round = 0; round < COUNT_OF(WAIT_S); round++) {
        for (int i = 1; i <= LW_PAIRING_TRIES; i++) {
            assert_int_equal(try(&p, "wrong!", now_s, &is_new), LW_E_CONFLICT);
            assert_int_equal(is_new, i == LW_PAIRING_TRIES);
        }
        if (try(&p, p.code, now_s + WAIT_S[round] - 1, &is_new) != LW_E_FULL)
            fail_msg("round %zu: the right code is taken before %d s are over", round, (int)WAIT_S[round]);
        now_s += WAIT_S[round];
    }
    assert_int_equal(try(&p, p.code, now_s, &is_new), LW_OK);
    for (int i = 0; i < LW_PAIRING_TRIES; i++)
        (void)try(&p, "wrong!", now_s, &is_new);
    assert_int_equal(try(&p, p.code, now_s + WAIT_S[0], &is_new), LW_OK); /* the waits began anew */
}

static void parts_and_longer_texts_are_no_code(void **state)
{
    (void)state;
    lw_pairing p = begin();
    char longer[16], shorter[8];
    int is_new;
    snprintf(longer, sizeof longer, "%s0", p.code);
    snprintf(shorter, sizeof shorter, "%.5s", p.code);
    assert_int_equal(try(&p, longer, 0, &is_new), LW_E_CONFLICT);
    assert_int_equal(try(&p, shorter, 0, &is_new), LW_E_CONFLICT);
    assert_int_equal(try(&p, "", 0, &is_new), LW_E_CONFLICT);
    assert_int_equal(try(&p, p.code, 0, &is_new), LW_OK);
}

static void tokens_differ_and_are_hashed_as_the_standard_says(void **state)
{
    (void)state;
    /* FIPS 180-4, examples of NIST: SHA-256 of "abc". */
    static const char WANT[] = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    unsigned char hash[LW_TOKEN_HASH];
    char text[LW_TOKEN_TEXT], one[LW_TOKEN_TEXT], two[LW_TOKEN_TEXT];
    lw_err err = {0};
    lw_token_hash("abc", hash);
    for (size_t i = 0; i < sizeof hash; i++)
        snprintf(text + 2 * i, 3, "%02x", hash[i]);
    assert_string_equal(text, WANT);
    assert_int_equal(lw_token_make(one, &err), LW_OK);
    assert_int_equal(lw_token_make(two, &err), LW_OK);
    assert_int_equal(strspn(one, "0123456789abcdef"), LW_TOKEN_TEXT - 1);
    assert_string_not_equal(one, two);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_code_is_good_once),
        cmocka_unit_test(wrong_codes_cost_a_new_one_and_ever_longer_waits),
        cmocka_unit_test(parts_and_longer_texts_are_no_code),
        cmocka_unit_test(tokens_differ_and_are_hashed_as_the_standard_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
