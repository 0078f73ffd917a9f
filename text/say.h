/* text/say.h: failures as sentences.
 *
 * lw_fail       fills code and sentence and gives the code back. The first failure wins: an err that holds a code keeps
 *               code and sentence, and its code is returned.
 * lw_fail_typed  the same, with what to type about it, for a command line alone; "" for nothing.
 * lw_err_at     adds the place: "path:line field", each part as far as known (NULL, 0). The caller nearer to the file
 *               is called later, so its part goes in front of what stands there already.
 * lw_fault_say  turns what the core refuses (numbers) into a sentence in the units the field's name ends in.
 * lw_nearest    the known word nearest to a mistyped one, for "did you mean"; NULL when none is near.
 * Limits        numbers inside a sentence go through lw_num (text/decimal.h), never through %f or %g, which follow the
 *               locale. Text longer than the struct's field is cut. A lw_err starts as {0}. */
#ifndef LW_TEXT_SAY_H
#define LW_TEXT_SAY_H

#include <stddef.h>

#include "core/base/err.h"

lw_code lw_fail(lw_err *err, lw_code code, const char *fmt, ...) LW_PRINTF(3, 4);
lw_code lw_fail_typed(lw_err *err, lw_code code, const char *typed, const char *fmt, ...) LW_PRINTF(4, 5);
lw_code lw_err_at(lw_err *err, const char *path, long line, const char *field);
lw_code lw_fault_say(const lw_fault *fault, lw_err *err);

/* The unit that a name ends in: "elevation_m" gives "m" and the suffix's length 2; "" and 0 where there is none. */
const char *lw_unit_of_name(const char *field, size_t *suffix_n);

/* Borrowed from list. Distance counts insertions, deletions, changes and swapped neighbours; near is a third of the
 * word's length, at least one. Upper and lower case are alike. */
const char *lw_nearest(const char *word, const char *const *list, size_t count);
size_t lw_edit_distance(const char *a, const char *b);

/* Bytes from outside, fit to stand in a sentence: control characters become '?', a long text is cut with "...". */
typedef struct lw_quoted_text {
    char text[64];
} lw_quoted_text;

lw_quoted_text lw_quoted(const char *bytes, size_t n);

#endif
