#include "tests/check.h"

#include <locale.h>
#include <stdlib.h>
#include <string.h>

#include "text/decimal.h"

/* A small generator of its own so that failures repeat: Knuth's MMIX constants. */
static uint64_t next_of(uint64_t *seed)
{
    *seed = *seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return *seed >> 16;
}

static double parsed(const char *text)
{
    double value = NAN;
    if (!lw_decimal_parse(text, text + strlen(text), &value))
        return NAN;
    return value;
}

static void reading_agrees_with_libc_to_the_last_bit_up_to_15_digits(void **state)
{
    uint64_t seed = 1;
    (void)state;
    for (int i = 0; i < 200000; i++) {
        char text[64];
        const int places = (int)(next_of(&seed) % 12);
        const uint64_t digits = next_of(&seed) % UINT64_C(1000000000000000);
        if (i % 3 == 0)
            snprintf(text, sizeof text, "-%llue%d", (unsigned long long)digits, places - 6);
        else
            snprintf(text, sizeof text, "%llu.%0*llu", (unsigned long long)(digits % 1000), places + 1,
                     (unsigned long long)(digits % 1000000000));
        const double want = strtod(text, NULL), got = parsed(text);
        if (!(got >= want && got <= want))
            fail_msg("%s: got %.17g, want %.17g", text, got, want);
    }
}

static void long_and_extreme_numbers_are_near_or_refused(void **state)
{
    static const char *const text[] = {"3.14159265358979323846264338327950288",
                                       "1e300",
                                       "4.9e-324",
                                       "1e-400",
                                       "123456789012345678901234567890",
                                       "0.000000000000000000000000000001",
                                       "1.7976931348623157e308",
                                       "00000000000000000000000000001.5",
                                       "2.22507385850720138309e-308"};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(text); i++) {
        const double want = strtod(text[i], NULL);
        CHECK_NEAR(parsed(text[i]), want, 1e-15 * fabs(want), "%s", text[i]);
    }
    static const char *const refused[] = {"",      "-",   ".",    "+.",  "1e400", "1e99999999999",
                                          "nan",   "inf", "0x10", "1,5", "1 ",    " 1",
                                          "1.2.3", "--1", "1e",   "e5",  "1e+"};
    for (size_t i = 0; i < COUNT_OF(refused); i++)
        if (!isnan(parsed(refused[i])))
            fail_msg("'%s' is read as %g", refused[i], parsed(refused[i]));
}

static void printing_agrees_with_libc(void **state)
{
    uint64_t seed = 7;
    (void)state;
    for (int i = 0; i < 200000; i++) {
        const int decimals = (int)(next_of(&seed) % 13);
        double value = (double)next_of(&seed) / pow(10.0, (double)(next_of(&seed) % 20));
        if (i % 4 == 0) /* exact halves: the tie goes to the even digit as in libc */
            value = (double)(next_of(&seed) % 4096) / 64.0;
        value = fmod(i % 2 ? -value : value, 1e15);
        char want[64], got[64];
        snprintf(want, sizeof want, "%.*f", decimals, value);
        if (strspn(want, "-0.") == strlen(want) && want[0] == '-')
            memmove(want, want + 1, strlen(want));
        lw_decimal_print(got, sizeof got, value, decimals, 1);
        /* keep_zeros with no fraction at all prints the zeros too */
        if (strcmp(got, want) != 0)
            fail_msg("%.17g to %d: got %s, want %s", value, decimals, got, want);
    }
}

static void trimming_signs_and_sizes(void **state)
{
    static const struct {
        double value;
        int decimals;
        const char *want;
    } row[] = {
        {1.5, 6, "1.5"},
        {2.0, 6, "2"},
        {-0.0, 6, "0"},
        {-0.0000001, 6, "0"},
        {0.05, 6, "0.05"},
        {999999.9999999, 6, "1000000"},
        {1e14, 0, "100000000000000"},
        {1e15, 3, "1e+15"},
        {-2.5e20, 3, "-2.5e+20"},
        {9.99999999999999999e22, 3, "1e+23"},
        {0.5, 0, "0"},
        {1.5, 0, "2"},
        {INFINITY, 2, "inf"},
        {NAN, 2, "nan"},
        {1.7976931348623157e308, 2, "1.79769313486232e+308"},
    };
    char got[64];
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_decimal_print(got, sizeof got, row[i].value, row[i].decimals, 0);
        assert_string_equal(got, row[i].want);
    }
    assert_int_equal(lw_decimal_print(got, 3, 12345.0, 0, 0), 5);
    assert_string_equal(got, "12");
    assert_string_equal(lw_num(151.4164713).text, "151.416");
    assert_string_equal(lw_num(0.00012345678).text, "0.000123457");
}

static void no_locale_brings_a_comma(void **state)
{
    static const char *const names[] = {"de_DE.UTF-8", "de_DE", "fr_FR.UTF-8", "nl_NL.UTF-8", "sv_SE.UTF-8"};
    size_t i = 0;
    char text[32];
    (void)state;
    while (i < COUNT_OF(names) && !setlocale(LC_ALL, names[i]))
        i++;
    lw_decimal_print(text, sizeof text, 2.5, 2, 0);
    const double back = parsed("2.5");
    snprintf(text + 16, 16, "%.1f", 2.5); /* what libc does there */
    setlocale(LC_ALL, "C");
    if (i == COUNT_OF(names))
        skip(); /* this system has no locale with a decimal comma */
    assert_string_equal(text + 16, "2,5");
    assert_string_equal(text, "2.5");
    CHECK_NEAR(back, 2.5, 0.0, "2.5 read");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reading_agrees_with_libc_to_the_last_bit_up_to_15_digits),
        cmocka_unit_test(long_and_extreme_numbers_are_near_or_refused),
        cmocka_unit_test(printing_agrees_with_libc),
        cmocka_unit_test(trimming_signs_and_sizes),
        cmocka_unit_test(no_locale_brings_a_comma),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
