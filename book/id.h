/* book/id.h: names of entries and forecasts: 128 random bits, made by the device that writes, so that two devices without
 * contact never make the same one and a message sent twice is known again.
 *
 * Text      32 hexadecimal digits, small letters; reading takes capitals too.
 * Errors    LW_E_IO where the system gives no random numbers; LW_E_SYNTAX for another form. */
#ifndef LW_BOOK_ID_H
#define LW_BOOK_ID_H

#include <stddef.h>

#include "core/base/err.h"

enum { LW_ID_BYTES = 16, LW_ID_TEXT = 33 };

typedef struct lw_id {
    unsigned char byte[LW_ID_BYTES];
} lw_id;

LW_MUST_USE lw_code lw_id_make(lw_id *id, lw_err *err);
LW_MUST_USE lw_code lw_id_parse(const char *text, lw_id *id, lw_err *err);
char *lw_id_print(char *buf, size_t n, const lw_id *id); /* gives buf */
int lw_id_is_none(const lw_id *id);                      /* all zeros: not made yet */
int lw_id_equal(const lw_id *a, const lw_id *b);

#endif
