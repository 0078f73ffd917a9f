/* text/decimal.h: decimal numbers as text, the same on every machine and under every locale.
 *
 * Reads     [+-] digits [. digits] [e [+-] digits]; a point, never a comma; no hexadecimal, no "inf", no "nan".
 *           Correctly rounded for up to 15 significant digits and powers of ten within +-22, which is every figure
 *           that people write; beyond that within a few units in the last place. Too large to hold is no number; too
 *           small is zero.
 * Prints    plain decimal, correctly rounded, halves to even; an exponent only from 1e15 up.
 * Errors    reading: NULL. Printing: a text that does not fit is cut, as snprintf does. */
#ifndef LW_TEXT_DECIMAL_H
#define LW_TEXT_DECIMAL_H

#include <stddef.h>

#define LW_DECIMAL_BYTES 48 /* holds every number that lw_decimal_print makes */

/* Reads the longest number at the start of text..end; gives where it stopped, NULL when there is none. */
const char *lw_decimal_scan(const char *text, const char *end, double *value);

/* The whole of text..end must be one number. */
int lw_decimal_parse(const char *text, const char *end, double *value);

/* `decimals` 0..15 digits after the point, trailing zeros trimmed unless keep_zeros; never "-0"; NaN "nan", infinity
 * "inf". Gives the length. */
size_t lw_decimal_print(char *buf, size_t n, double value, int decimals, int keep_zeros);

/* To so many significant digits (1..15), never dropping digits before the point. */
size_t lw_decimal_print_digits(char *buf, size_t n, double value, int digits);

/* A number inside a sentence: lw_fail(err, code, "found %s", lw_num(x).text). Never a printf %g: that follows the
 * locale. Six significant digits. */
typedef struct lw_num_text {
    char text[LW_DECIMAL_BYTES];
} lw_num_text;

lw_num_text lw_num(double value);

#endif
