/* text/utf8.h: characters of UTF-8.
 *
 * Computes  lw_utf8_length: bytes of the character at `at`, 1 for a NUL; 0 where none is: overlong forms, surrogates and what lies
 *           past U+10FFFF are none. Reads no byte past the first that does not fit, so a NUL-ended text needs no length.
 * Source    RFC 3629, section 4. */
#ifndef LW_TEXT_UTF8_H
#define LW_TEXT_UTF8_H

#include <stddef.h>

size_t lw_utf8_length(const char *at);

#endif
