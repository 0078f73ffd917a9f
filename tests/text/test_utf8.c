#include "tests/check.h"

#include "text/utf8.h"

/* RFC 3629, sections 3 and 4: the ranges' edges, and what is outside them. */
static void characters_are_as_long_as_rfc_3629_says(void **state)
{
    static const struct {
        const char *text;
        size_t want;
    } row[] = {
        {"", 1},
        {"a", 1},
        {"\x7F", 1},
        {"\xC2\x80", 2},
        {"\xDF\xBF", 2},
        {"\xE0\xA0\x80", 3},
        {"\xED\x9F\xBF", 3},
        {"\xEE\x80\x80", 3},
        {"\xF0\x90\x80\x80", 4},
        {"\xF4\x8F\xBF\xBF", 4},
        {"\x80", 0},             /* goes on from nothing */
        {"\xC0\x80", 0},         /* overlong */
        {"\xC1\xBF", 0},         /* overlong */
        {"\xE0\x9F\xBF", 0},     /* overlong */
        {"\xF0\x8F\xBF\xBF", 0}, /* overlong */
        {"\xED\xA0\x80", 0},     /* a surrogate */
        {"\xF4\x90\x80\x80", 0}, /* past U+10FFFF */
        {"\xF5\x80\x80\x80", 0},
        {"\xFF", 0},
        {"\xC2", 0}, /* cut off */
        {"\xE2\x82", 0},
        {"\xE2\x82z", 0},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        if (lw_utf8_length(row[i].text) != row[i].want)
            fail_msg("row %zu: got %zu, want %zu", i, lw_utf8_length(row[i].text), row[i].want);
}

int main(void)
{
    const struct CMUnitTest test[] = {cmocka_unit_test(characters_are_as_long_as_rfc_3629_says)};
    return cmocka_run_group_tests(test, NULL, NULL);
}
