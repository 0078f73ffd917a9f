#include "text/decimal.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

static const double TENS[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                              1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
#define EXACT_TENS       22
#define LARGEST_EXACT    (UINT64_C(1) << 53)
#define PLAIN_BELOW      1e15
#define MOST_DECIMALS    15
#define LARGEST_EXPONENT 100000 /* beyond any double, below overflow of an int */

static int is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* mantissa * 10^exponent. Up to 2^53 and 10^22 both factors are exact, so that one operation rounds once. */
static double scaled(uint64_t mantissa, int exponent)
{
    if (mantissa == 0)
        return 0.0;
    if (mantissa <= LARGEST_EXACT && exponent >= -EXACT_TENS && exponent <= EXACT_TENS)
        return exponent < 0 ? (double)mantissa / TENS[-exponent] : (double)mantissa * TENS[exponent];
    long double value = (long double)mantissa;
    for (; exponent > 0 && value <= (long double)DBL_MAX; exponent -= exponent > EXACT_TENS ? EXACT_TENS : exponent)
        value *= (long double)TENS[exponent > EXACT_TENS ? EXACT_TENS : exponent];
    for (; exponent < 0 && value > 0.0L; exponent += exponent < -EXACT_TENS ? EXACT_TENS : -exponent)
        value /= (long double)TENS[exponent < -EXACT_TENS ? EXACT_TENS : -exponent];
    return value > (long double)DBL_MAX ? INFINITY : (double)value;
}

/* An exponent counts only when digits follow its letter: "5 e" ends at the 5. */
static const char *scan_exponent(const char *at, const char *end, int *exponent)
{
    const char *p = at;
    if (p == end || (*p != 'e' && *p != 'E'))
        return at;
    p++;
    const int is_negative = p < end && *p == '-';
    if (p < end && (*p == '-' || *p == '+'))
        p++;
    if (p == end || !is_digit(*p))
        return at;
    int written = 0;
    for (; p < end && is_digit(*p); p++)
        if (written < LARGEST_EXPONENT)
            written = written * 10 + (*p - '0');
    *exponent += is_negative ? -written : written;
    return p;
}

const char *lw_decimal_scan(const char *text, const char *end, double *value)
{
    const char *p = text;
    const int is_negative = p < end && *p == '-';
    if (p < end && (*p == '-' || *p == '+'))
        p++;
    uint64_t mantissa = 0;
    int kept = 0, exponent = 0, any = 0, has_point = 0;
    for (; p < end && (is_digit(*p) || (*p == '.' && !has_point)); p++) {
        if (*p == '.') {
            has_point = 1;
            continue;
        }
        any = 1;
        if (kept < 19) { /* 19 digits always fit 64 bits */
            mantissa = mantissa * 10 + (uint64_t)(*p - '0');
            kept += mantissa != 0;
            exponent -= has_point;
        } else {
            exponent += !has_point && exponent < LARGEST_EXPONENT;
        }
    }
    if (!any)
        return NULL;
    p = scan_exponent(p, end, &exponent);
    while (mantissa > LARGEST_EXACT && mantissa % 10 == 0) { /* 1.5000000000000000000 is 15 with an exponent */
        mantissa /= 10;
        exponent++;
    }
    const double magnitude = scaled(mantissa, exponent);
    if (isinf(magnitude))
        return NULL;
    *value = is_negative ? -magnitude : magnitude;
    return p;
}

int lw_decimal_parse(const char *text, const char *end, double *value)
{
    double found;
    const char *stop = lw_decimal_scan(text, end, &found);
    if (!stop || stop != end)
        return 0;
    *value = found;
    return 1;
}

static size_t copy_out(char *buf, size_t n, const char *text, size_t length)
{
    if (n > 0) {
        const size_t kept = length < n ? length : n - 1;
        memcpy(buf, text, kept);
        buf[kept] = '\0';
    }
    return length;
}

static size_t put_digits(char *at, uint64_t value)
{
    char reversed[20];
    size_t count = 0;
    do
        reversed[count++] = (char)('0' + value % 10);
    while ((value /= 10) != 0);
    for (size_t i = 0; i < count; i++)
        at[i] = reversed[count - 1 - i];
    return count;
}

/* fraction * 10^decimals to the nearest whole number. fma gives the part that the product lost, so that a half is
 * recognised as one exactly. */
static uint64_t rounded(double fraction, int decimals)
{
    const double product = fraction * TENS[decimals], lost = fma(fraction, TENS[decimals], -product);
    const double whole = floor(product);
    const double above_half = (product - whole - 0.5) + lost;
    const uint64_t down = (uint64_t)whole;
    if (above_half > 0.0 || (!(above_half < 0.0) && (down & 1)))
        return down + 1;
    return down;
}

static size_t print_plain(char *text, double magnitude, int decimals, int keep_zeros)
{
    const double floor_part = floor(magnitude);
    uint64_t whole = (uint64_t)floor_part, part = 0;
    if (decimals == 0) {
        const double rest = magnitude - floor_part;
        whole += rest > 0.5 || (!(rest < 0.5) && (whole & 1));
    } else {
        part = rounded(magnitude - floor_part, decimals);
        if (part >= (uint64_t)TENS[decimals]) {
            part -= (uint64_t)TENS[decimals];
            whole++;
        }
    }
    size_t length = put_digits(text, whole);
    if (decimals == 0 || (part == 0 && !keep_zeros))
        return length;
    text[length++] = '.';
    for (int i = decimals; i > 0; i--) {
        text[length + (size_t)i - 1] = (char)('0' + part % 10);
        part /= 10;
    }
    length += (size_t)decimals;
    while (!keep_zeros && text[length - 1] == '0')
        length--;
    return length;
}

static size_t print_exponent(char *text, double magnitude)
{
    int exponent = 15;
    long double mantissa = (long double)magnitude / 1e15L;
    for (; mantissa >= 1e22L; exponent += EXACT_TENS)
        mantissa /= 1e22L;
    for (; mantissa >= 10.0L; exponent++)
        mantissa /= 10.0L;
    size_t length = print_plain(text, (double)mantissa, 14, 0);
    if (length >= 2 && text[1] == '0') { /* 9.99.. rounded up to 10 */
        text[0] = '1';
        length = 1;
        exponent++;
    }
    text[length++] = 'e';
    text[length++] = '+';
    return length + put_digits(text + length, (uint64_t)exponent);
}

size_t lw_decimal_print(char *buf, size_t n, double value, int decimals, int keep_zeros)
{
    char text[LW_DECIMAL_BYTES];
    if (isnan(value))
        return copy_out(buf, n, "nan", 3);
    const double magnitude = fabs(value);
    if (isinf(magnitude))
        return value < 0.0 ? copy_out(buf, n, "-inf", 4) : copy_out(buf, n, "inf", 3);
    const int places = decimals < 0 ? 0 : decimals > MOST_DECIMALS ? MOST_DECIMALS : decimals;
    text[0] = '-';
    const size_t length = magnitude < PLAIN_BELOW ? print_plain(text + 1, magnitude, places, keep_zeros)
                                                  : print_exponent(text + 1, magnitude);
    int is_zero = 1;
    for (size_t i = 1; i <= length; i++)
        is_zero = is_zero && (text[i] == '0' || text[i] == '.');
    if (value < 0.0 && !is_zero)
        return copy_out(buf, n, text, length + 1);
    return copy_out(buf, n, text + 1, length);
}

size_t lw_decimal_print_digits(char *buf, size_t n, double value, int digits)
{
    const double magnitude = fabs(value);
    int before = magnitude < 1.0 ? 0 : 1; /* digits before the point; below one, minus the zeros after it */
    for (double x = magnitude; x >= 10.0 && before < 16; x /= 10.0)
        before++;
    for (double x = magnitude; x > 0.0 && x < 0.1 && before > -MOST_DECIMALS; x *= 10.0)
        before--;
    const int decimals = digits - before;
    return lw_decimal_print(buf, n, value, decimals < 0 ? 0 : decimals, 0);
}

lw_num_text lw_num(double value)
{
    lw_num_text out = {.text = ""};
    lw_decimal_print_digits(out.text, sizeof out.text, value, 6);
    return out;
}
