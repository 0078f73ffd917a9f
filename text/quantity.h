/* text/quantity.h: quantities with their unit as text, both ways.
 *
 * Reads     "40 gal", "151L", "-3 gal", "2/3", "67 %", "1 1/2 gal", "68 F", "$40", and sums of falling units of one
 *           kind: "5 h 30 min", "12 lb 4 oz", "6 ft 2 in". Blanks between number and unit are optional.
 *           Into the storage unit of the dimension (core/base/units.h).
 * Errors    LW_E_UNIT     a number without a unit (the sentence lists the units that fit and gives the same number in
 * two of them), a unit of another dimension, an unknown unit; LW_E_SYNTAX   not a number, junk behind it, a comma
 * inside it; LW_E_RANGE    too large to hold, not below absolute zero, no finite value (0 mpg). Results stay untouched
 * on failure. Bounds that depend on the use are the caller's to check. Bare      a number alone stands only where one
 * unit is possible (numbers, people, bags, flushes, person-days) and as a fraction from 0 to 1. Prints    in the unit a
 * person of that unit system would use for a value of that size, three significant digits unless said, whole digits
 * before the point always kept; a decimal point under every locale. */
#ifndef LW_TEXT_QUANTITY_H
#define LW_TEXT_QUANTITY_H

#include <stddef.h>

#include "core/base/err.h"
#include "core/base/units.h"

#define LW_QUANTITY_BYTES 64 /* holds every printed quantity */

LW_MUST_USE lw_code lw_quantity_parse(const char *text, lw_dim dim, double *value_si, lw_err *err);
LW_MUST_USE lw_code lw_quantity_parse_n(const char *text, size_t n, lw_dim dim, double *value_si, lw_err *err);

/* The unit that fits value, dimension and system; borrowed for ever; LW_UNIT_NONE for a dimension without units. */
const lw_unit *lw_quantity_unit(double value_si, lw_dim dim, lw_unit_system system);

/* "40 gal". Gives buf. */
char *lw_quantity_print(char *buf, size_t n, double value_si, lw_dim dim, lw_unit_system system);
/* In a stated unit, to so many significant digits. */
char *lw_quantity_print_in(char *buf, size_t n, double value_si, const lw_unit *unit, int digits);

/* "gal, L, qt, ..." : the units of a dimension, in the order people meet them. Gives buf. */
char *lw_quantity_units(char *buf, size_t n, lw_dim dim);

#endif
